"""A counter-based mixer of integers: the n-th number of a stream without the ones before it.

Ours, so that no library's update ever changes a drawn number. One SHA-256 of course and question
id gives the key; the finaliser is a multiply-xorshift of 64 bits, the same in scalars and arrays.
The tests hold frozen draws and a spread test; nothing secret rests on it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

_MASK = (1 << 64) - 1
_STEP = 0x9E3779B97F4A7C15
_FIRST = 0xBF58476D1CE4E5B9
_SECOND = 0x94D049BB133111EB


@lru_cache(maxsize=4096)
def key_of(*parts: str) -> int:
    """64-bit key of texts; lengths are hashed too, so ("ab", "c") and ("a", "bc") differ."""
    digest = hashlib.sha256()
    for part in parts:
        encoded = part.encode()
        digest.update(len(encoded).to_bytes(4, "big") + encoded)
    return int.from_bytes(digest.digest()[:8], "big")


def mixed(key: int, counter: int) -> int:
    """The 64-bit number at `counter` of the stream `key`."""
    word = (key + (counter + 1) * _STEP) & _MASK
    word = ((word ^ (word >> 30)) * _FIRST) & _MASK
    word = ((word ^ (word >> 27)) * _SECOND) & _MASK
    return word ^ (word >> 31)


def mixed_array(key: int, first: int, count: int) -> Any:
    """`mixed(key, first)` … as a uint64 array of length `count`."""
    return mixed_rows([key], first, count)[0]


def mixed_rows(keys: Sequence[int], first: int, count: int) -> Any:
    """One row of `mixed_array` for each key, all in one go: shape (keys, count)."""
    import numpy as np

    counters = np.arange(first + 1, first + 1 + count, dtype=np.uint64)
    with np.errstate(over="ignore"):
        word = np.array(keys, dtype=np.uint64)[:, None] + counters * np.uint64(_STEP)
        for shift, factor in ((30, _FIRST), (27, _SECOND)):
            word ^= word >> np.uint64(shift)
            word *= np.uint64(factor)
        word ^= word >> np.uint64(31)
    return word


def below(words: Any, limit: Any) -> Any:
    """Numbers 0 … limit-1 from 64-bit words, by the high bits of a 32-bit product; shapes broadcast.

    The limit is at most 10^5, so the bias of the product is below 1 in 40,000.
    """
    import numpy as np

    return ((words >> np.uint64(32)) * np.asarray(limit, dtype=np.uint64)) >> np.uint64(32)
