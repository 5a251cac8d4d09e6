"""Chance for papers: streams of numbers from a secret, so that nobody who knows the course can tell a paper.

A seed is HMAC-SHA-256 of the secret over length-prefixed texts; block i of its stream is HMAC of the seed
over i in 4 bytes, read as 32-bit words, both big-endian. Numbers below n are drawn by rejection, so none is
favoured. Source of HMAC: RFC 2104, FIPS 198-1.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

Item = TypeVar("Item")
Bytes = Callable[[int], bytes]
"""Where secrets and paper numbers come from: so many random bytes. Tests put their own here."""

LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""32 signs that are hard to mistake for one another when they are read out."""


def new_number(random: Bytes = secrets.token_bytes) -> str:
    """A paper's number of 40 random bits, like 7KQ2-M9XD: it says nothing about candidate, date or seed."""
    signs = letters(random(5))
    return f"{signs[:4]}-{signs[4:]}"


def letters(five: bytes) -> str:
    """Five bytes as eight of our signs."""
    number = int.from_bytes(five[:5], "big")
    return "".join(LETTERS[number >> shift & 31] for shift in range(35, -1, -5))


def seed(secret: bytes, *parts: str) -> bytes:
    """32 bytes; lengths are part of what is hashed, so ("ab", "c") and ("a", "bc") differ."""
    message = b"".join(len(part.encode()).to_bytes(4, "big") + part.encode() for part in parts)
    return hmac.digest(secret, message, "sha256")


def words(of: bytes) -> Iterator[int]:
    """The stream of 32-bit words of a seed."""
    block = 0
    while True:
        made = hmac.digest(of, block.to_bytes(4, "big"), "sha256")
        yield from (int.from_bytes(made[at : at + 4], "big") for at in range(0, 32, 4))
        block += 1


class Stream:
    """Numbers from one seed, one after the other."""

    def __init__(self, of: bytes) -> None:
        self._words = words(of)

    def below(self, limit: int) -> int:
        """A number 0 … limit − 1, all alike. 1 ≤ limit ≤ 2^32."""
        top = 2**32 // limit * limit
        return next(word for word in self._words if word < top) % limit

    def mixed(self, items: Sequence[Item]) -> list[Item]:
        """The items in an order drawn from all orders alike."""
        made = list(items)
        for at in range(len(made) - 1, 0, -1):
            other = self.below(at + 1)
            made[at], made[other] = made[other], made[at]
        return made
