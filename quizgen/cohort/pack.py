"""Numbers in as few bits as they deserve: an adaptive binary range coder, and bytes as text that survives a message.

`quizgen/web/script/pack.js` does the same; a table of cases holds both to it. How it works: every yes or no is
coded with the share it had so far in its context, so what always happens costs next to nothing.
Source: G. N. N. Martin, Range encoding, Video & Data Recording Conference, Southampton 1979.
"""

from __future__ import annotations

ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+-"
"""No sign of it is markup, the start of an address or a face in any messenger."""
CONTEXTS = 32
"""Contexts of numbers; each holds the yes and no of sixteen places."""
PLACES = 16
MOST_BITS = 25
"""Numbers stay below 2 to this, less one."""
TOP, HIGH = 1 << 32, 1 << 24
MANY = 250
"""A context that saw so many forgets half, so that it follows what comes."""


class Packed(Exception):
    """The bytes hold what no slip holds."""


class Writer:
    """Writes; `done` gives the bytes. Use the contexts in the same order when reading."""

    def __init__(self) -> None:
        self.bytes = bytearray()
        self.low, self.range = 0, TOP - 1
        self.no, self.yes = [1] * CONTEXTS * PLACES, [1] * CONTEXTS * PLACES

    def bit(self, at: int, value: int) -> None:
        """A yes (1) or no (0) in a place of a context."""
        cut = self.range // (self.no[at] + self.yes[at]) * self.no[at]
        if value:
            self.low += cut
            self.range -= cut
        else:
            self.range = cut
        self._settle()
        _learn(self.no, self.yes, at, value)

    def plain(self, value: int, bits: int) -> None:
        """A number of so many bits, at most 16, of which nothing is expected."""
        self.range >>= bits
        self.low += self.range * value
        self._settle()

    def number(self, context: int, value: int) -> None:
        """A number that is mostly small: its length as yes and no, then its digits."""
        if not 0 <= value < (1 << MOST_BITS) - 1:
            raise Packed(f"{value} is too large for a slip")
        base, length = context * PLACES, (value + 1).bit_length()
        for at in range(length - 1):
            self.bit(base + min(at, 7), 1)
        self.bit(base + min(length - 1, 7), 0)
        if length > 1:
            self.bit(base + 8 + min(length, 7), value + 1 >> length - 2 & 1)
        self._digits(value + 1, length - 2)

    def _digits(self, value: int, bits: int) -> None:
        while bits > 0:
            now = min(bits, 16)
            bits -= now
            self.plain(value >> bits & (1 << now) - 1, now)

    def done(self) -> bytes:
        # One byte is enough: the reader goes on with noughts, and that value lies inside what is left.
        self.low = -(-self.low // HIGH) * HIGH
        self._carry()
        return bytes([*self.bytes, self.low // HIGH])

    def _settle(self) -> None:
        self._carry()
        while self.range < HIGH:
            self.bytes.append(self.low >> 24)
            self.low = self.low % HIGH * 256
            self.range *= 256

    def _carry(self) -> None:
        if self.low >= TOP:
            self.low -= TOP
            at = len(self.bytes) - 1
            while self.bytes[at] == 255:
                self.bytes[at] = 0
                at -= 1
            self.bytes[at] += 1


class Reader:
    """Reads what a `Writer` wrote; past the end come noughts. Raises Packed for numbers that are too long."""

    def __init__(self, body: bytes) -> None:
        self.bytes, self.at = body + bytes(8), 4
        self.code, self.range = int.from_bytes(self.bytes[:4]), TOP - 1
        self.no, self.yes = [1] * CONTEXTS * PLACES, [1] * CONTEXTS * PLACES

    def bit(self, at: int) -> int:
        no, yes = self.no[at], self.yes[at]
        cut = self.range // (no + yes) * no
        # What `_settle` and `_learn` do stands here once more: a slip is thousands of these.
        if self.code < cut:
            self.range = cut
            value = 0
            self.no[at] = no + 2
        else:
            self.code -= cut
            self.range -= cut
            value = 1
            self.yes[at] = yes + 2
        if no + yes + 2 > MANY:
            self.no[at], self.yes[at] = (self.no[at] + 1) >> 1, (self.yes[at] + 1) >> 1
        if self.range < HIGH:
            self._settle()
        return value

    def plain(self, bits: int) -> int:
        self.range >>= bits
        value = self.code // self.range
        # Bytes nobody wrote may lie above the last share.
        value = min(value, (1 << bits) - 1)
        self.code -= value * self.range
        self._settle()
        return value

    def number(self, context: int) -> int:
        base, length = context * PLACES, 1
        while self.bit(base + min(length - 1, 7)):
            length += 1
            if length > MOST_BITS:
                raise Packed("a number is too long")
        if length == 1:
            return 0
        value = 2 | self.bit(base + 8 + min(length, 7))
        bits = length - 2
        while bits > 0:
            now = min(bits, 16)
            bits -= now
            value = value << now | self.plain(now)
        return value - 1

    def _settle(self) -> None:
        while self.range < HIGH:
            self.code = self.code << 8 | (self.bytes[self.at] if self.at < len(self.bytes) else 0)
            self.at += 1
            self.range <<= 8

    @property
    def over(self) -> bool:
        """More was read than is there: the bytes are no slip's."""
        return self.at > len(self.bytes)


def _learn(no: list[int], yes: list[int], at: int, value: int) -> None:
    (yes if value else no)[at] += 2
    if no[at] + yes[at] > MANY:
        no[at], yes[at] = (no[at] + 1) >> 1, (yes[at] + 1) >> 1


def text_of(body: bytes) -> str:
    """The bytes in signs of six bits; the last is filled up with noughts."""
    bits = len(body) * 8
    whole = int.from_bytes(body) << -bits % 6
    count = -(-bits // 6)
    return "".join(ALPHABET[whole >> 6 * at & 63] for at in range(count - 1, -1, -1))


def bytes_of(text: str) -> bytes:
    """Back again. Raises ValueError for a sign that is not in the alphabet."""
    whole = 0
    for sign in text:
        whole = whole << 6 | ALPHABET.index(sign)
    spare = len(text) * 6 % 8
    return (whole >> spare).to_bytes(len(text) * 6 // 8)
