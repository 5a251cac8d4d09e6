"""Names in few bits: how a progress slip names questions, modules, cases and slips within one message.

A short name depends on its text and a salt alone, never on a place in a list, so a slip still reads after the
course was edited. The salts are found when the course is built, so that no two names that could be taken for one
another are alike; they travel in the slip. `script/pack.js` makes the same names.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import lru_cache

LEAST_QUESTION_BITS, LEAST_SLIP_BITS = 15, 9
MOST_BITS = 24
ALIKE = 4.2
"""So many pairs of names may be alike under a salt taken at random: then one salt in 67 keeps all apart."""
MOST_SALTS = 1000
WHOLE = 0xFFFFFFFF


@lru_cache(maxsize=65536)
def long_name(text: str) -> int:
    """32 bits of the text's UTF-8, by the public-domain FNV-1a.

    Source: D. Eastlake and others, The FNV Non-Cryptographic Hash Algorithm, RFC 9923.
    """
    made = 0x811C9DC5
    for byte in text.encode():
        made = (made ^ byte) * 0x01000193 & WHOLE
    return made


def short_name(text: str, salt: int, bits: int) -> int:
    """The upper bits of the long name, stirred with a salt."""
    made = long_name(text) ^ salt * 0x9E3779B1 & WHOLE
    made = (made ^ made >> 16) * 0x7FEB352D & WHOLE
    made = (made ^ made >> 15) * 0x846CA68B & WHOLE
    return (made ^ made >> 16) >> 32 - bits


@dataclass(frozen=True, slots=True)
class Salted:
    """How long short names are, and the salt under which none are alike."""

    bits: int
    salt: int

    def name(self, text: str) -> int:
        return short_name(text, self.salt, self.bits)


def kept_apart(groups: Iterable[Collection[str]], least: int) -> Salted:
    """The shortest names, and the first salt, that keep the names of each group apart. Raises ValueError."""
    sets = [sorted(set(group)) for group in groups]
    pairs = sum(len(group) * (len(group) - 1) / 2 for group in sets)
    for bits in range(least, MOST_BITS + 1):
        if pairs <= ALIKE * 2**bits:
            for salt in range(MOST_SALTS):
                if all(_apart(group, salt, bits) for group in sets):
                    return Salted(bits, salt)
    raise ValueError(f"no salt keeps these names apart in {MOST_BITS} bits")


def _apart(group: Collection[str], salt: int, bits: int) -> bool:
    seen = set()
    for text in group:
        name = short_name(text, salt, bits)
        if name in seen:
            return False
        seen.add(name)
    return True
