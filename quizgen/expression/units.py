"""The one list of units: names, prefixes, aliases, and how a unit text is read.

A unit is a factor to coherent SI and a vector of dimensions. Factors are exact fractions
(only the degree of angle needs a float). The list is short on purpose: what is not here is
refused with a suggestion. The tests prove every entry against an independent unit library;
the browser gets the same list (`table_for_browser`).

Source: BIPM, The International System of Units (SI brochure), 9th edition, tables 2 to 8.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

BASES = ("m", "kg", "s", "A", "K", "currency")
"""Order of the dimension vector. The course's currency is a dimension of its own."""

Dimension = tuple[int, ...]
NONE: Dimension = (0,) * len(BASES)


class UnitError(ValueError):
    """A unit text that cannot be read; `at` is the offset in that text, `near` a suggestion or ""."""

    def __init__(self, message: str, at: int = 0, near: str = "") -> None:
        super().__init__(message)
        self.at = at
        self.near = near


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit as written: `text` is shown, `factor` leads to coherent SI."""

    text: str
    factor: Fraction | float
    dimension: Dimension
    kind: str = ""
    """"%", "°" or "°C" where a bare number beside it would be ambiguous, else ""."""


@dataclass(frozen=True, slots=True)
class Entry:
    symbol: str
    factor: Fraction | float
    dimension: Dimension
    prefixes: str
    aliases: tuple[str, ...]


PREFIXES = {
    "p": Fraction(1, 10**12), "n": Fraction(1, 10**9), "µ": Fraction(1, 10**6), "m": Fraction(1, 1000),
    "c": Fraction(1, 100), "k": Fraction(1000), "M": Fraction(10**6), "G": Fraction(10**9),
}  # fmt: skip

# symbol | factor to SI | dimension | prefixes | aliases
_LIST = """
1    | 1          |                    |          |
%    | 1/100      |                    |          | percent
°    | deg        |                    |          | deg
rad  | 1          |                    |          |
m    | 1          | m                  | µ m c k  |
g    | 1/1000     | kg                 | m k      |
s    | 1          | s                  | n µ m    | sec
min  | 60         | s                  |          |
h    | 3600       | s                  |          |
A    | 1          | A                  | n µ m k  |
K    | 1          | K                  | m        |
°C   | 1          | K                  |          | degC
V    | 1          | kg m2 s-3 A-1      | µ m k M  |
W    | 1          | kg m2 s-3          | µ m k M  |
VA   | 1          | kg m2 s-3          | k M      |
var  | 1          | kg m2 s-3          | k M      | VAr Var VAR
J    | 1          | kg m2 s-2          | µ m k M  | Ws
Wh   | 3600       | kg m2 s-2          | k M      |
Ah   | 3600       | s A                | m k      |
C    | 1          | s A                | n µ m    |
Ω    | 1          | kg m2 s-3 A-2      | µ m k M G | ohm Ohm
S    | 1          | kg-1 m-2 s3 A2     | µ m      |
F    | 1          | kg-1 m-2 s4 A2     | p n µ m  |
H    | 1          | kg m2 s-2 A-2      | n µ m    |
Hz   | 1          | s-1                | k M      |
r    | 1          |                    |          |
N    | 1          | kg m s-2           | m k      |
Nm   | 1          | kg m2 s-2          |          |
Pa   | 1          | kg m-1 s-2         | m k M    |
bar  | 100000     | kg m-1 s-2         | m        |
L    | 1/1000     | m3                 | m        | l
"""

# One character written in several ways: to the one we show. Never NFKC, which would also turn a
# whole text such as 10² into 102; here only what stands in a unit is touched.
_SAME = {
    "\u2126": "Ω", "\u03bc": "µ", "\u2103": "°C", "\u00ba": "°", "\u02da": "°",
    "\u22c5": "·", "\u2219": "·", "\u207b": "-", "\u2212": "-",
    "\u00b9": "1", "\u00b2": "2", "\u00b3": "3", "\u2074": "4",
}  # fmt: skip
_UNIT_TOKEN = re.compile(r"[A-Za-z%°Ωµ€£$¤]+|\^?-?[0-9]+|[·*./()]")
_POWER = re.compile(r"\^?(-?[0-9]+)")
_SUPERSCRIPT = {1: "", 2: "²", 3: "³", 4: "⁴", -1: "⁻¹", -2: "⁻²", -3: "⁻³", -4: "⁻⁴"}


def _dimension(text: str) -> Dimension:
    powers = dict.fromkeys(BASES, 0)
    for part in text.split():
        base, power = re.fullmatch(r"([A-Za-z]+?)(-?\d+)?", part).groups()  # type: ignore[union-attr]
        powers[base] += int(power or 1)
    return tuple(powers[base] for base in BASES)


def _entries() -> tuple[Entry, ...]:
    made = []
    for line in _LIST.strip().splitlines():
        symbol, factor, dimension, prefixes, aliases = (cell.strip() for cell in line.split("|"))
        value = math.pi / 180 if factor == "deg" else Fraction(factor)
        other = tuple(aliases.split())
        made.append(Entry(symbol, value, _dimension(dimension), "".join(prefixes.split()), other))
    return tuple(made)


ENTRIES = _entries()


@dataclass(frozen=True, slots=True)
class UnitList:
    """Every spelling of every single unit, the course's currency included.

    `spellings` maps a spelling with its prefix ("kOhm") to (shown symbol, factor, dimension).
    """

    currency: str
    spellings: dict[str, tuple[str, Fraction | float, Dimension]]

    def __hash__(self) -> int:
        return hash(self.currency)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, UnitList) and other.currency == self.currency


@lru_cache(maxsize=8)
def unit_list(currency: str = "") -> UnitList:
    """The list of units with the course's own currency, such as EUR or €, which may be "".

    Raises UnitError where the currency is no word, or already another unit.
    """
    if currency and (not re.fullmatch(r"[A-Za-z]{2,8}|[€£$¤]", currency) or currency in STANDARD.spellings):
        raise UnitError(f'"{currency}" cannot be the currency: use its three letters, like EUR, or € £ $')
    spellings: dict[str, tuple[str, Fraction | float, Dimension]] = {}
    entries = ENTRIES
    if currency:
        entries = (*ENTRIES, Entry(currency, Fraction(1), _dimension("currency"), "", ()))
    for entry in entries:
        for spelling in (entry.symbol, *entry.aliases):
            spellings[spelling] = (entry.symbol, entry.factor, entry.dimension)
            for prefix in entry.prefixes:
                shown = (prefix + entry.symbol, PREFIXES[prefix] * entry.factor, entry.dimension)
                spellings[prefix + spelling] = shown
                if prefix == "µ":
                    spellings["u" + spelling] = shown
    return UnitList(currency, spellings)


STANDARD = unit_list()


def same_characters(text: str) -> str:
    """The text with the several code points of Ω, µ, °C, squares and dots made one."""
    return "".join(_SAME.get(character, character) for character in text)


def near_unit(word: str, units: UnitList = STANDARD) -> str:
    """The spelling an author or learner probably meant, or "".

    First the same letters in other case, then (from four letters on) one letter too many, missing
    or wrong. The page does the same, so the rule is kept simple.
    """
    folded = word.lower()
    for spelling in units.spellings:
        if spelling.lower() == folded:
            return spelling
    if len(word) < 4:
        return ""
    return next((spelling for spelling in units.spellings if _one_letter_apart(word, spelling)), "")


def _one_letter_apart(a: str, b: str) -> bool:
    if abs(len(a) - len(b)) > 1:
        return False
    i = 0
    while i < min(len(a), len(b)) and a[i] == b[i]:
        i += 1
    return a[i + 1 :] == b[i + 1 :] or a[i + 1 :] == b[i:] or a[i:] == b[i + 1 :]


@lru_cache(maxsize=4096)
def read_unit(text: str, units: UnitList = STANDARD) -> Unit:
    """Read a unit text such as `kW`, `Ω/km`, `A/%`, `kJ/(kg·K)`, `mm²`, `1/K`.

    One `/` at most; several factors that divide stand in brackets after it. Raises UnitError.
    """
    if len(text) > 40:
        raise UnitError("a unit is at most 40 characters long")
    plain = same_characters(text)
    places = [at for at, character in enumerate(text) for _ in same_characters(character)]
    tokens = [(found.group(), places[found.start()]) for found in _UNIT_TOKEN.finditer(plain)]
    if "".join(token for token, _ in tokens) != plain or not tokens:
        raise UnitError(f'"{text}" is no unit')
    shown, factor, dimension = _UnitReader(tokens, text, units).whole()
    kind = shown if shown in ("%", "°", "°C") else ""
    return Unit("" if shown == "1" else shown, factor, dimension, kind)


_Read = tuple[str, Fraction | float, Dimension]


class _UnitReader:
    """Over the tokens of one unit text: `["1"] or factors ["/" one factor or "(" factors ")"]`."""

    def __init__(self, tokens: list[tuple[str, int]], text: str, units: UnitList) -> None:
        self.tokens, self.text, self.units, self.index = tokens, text, units, 0

    def peek(self) -> str:
        return self.tokens[self.index][0] if self.index < len(self.tokens) else ""

    def at(self) -> int:
        return self.tokens[self.index][1] if self.index < len(self.tokens) else len(self.text)

    def whole(self) -> _Read:
        if self.peek() == "1":
            self.index += 1
            read: _Read = ("1", Fraction(1), NONE)
        else:
            read = self.factors()
        if self.peek() == "/":
            self.index += 1
            read = self.divided(read, self.at())
        if self.index < len(self.tokens):
            raise UnitError(f'"{self.text}" is no unit', self.at())
        return read

    def divided(self, above: _Read, start: int) -> _Read:
        bracket = self.peek() == "("
        self.index += bracket
        below = self.factors() if bracket else self.factor()
        if bracket:
            if self.peek() != ")":
                raise UnitError("a bracket in the unit is not closed", self.at())
            self.index += 1
        elif self.peek() in ("·", "*", ".", "/"):
            # W/m·K is read one way by one person and the other way by the next.
            raise UnitError(
                f'"{self.text}" reads two ways: put what divides in brackets',
                self.at(),
                self.in_brackets(start),
            )
        factor, dimension = above[1] / below[1], _combined(above[2], -1, below[2])
        return f"{above[0]}/" + (f"({below[0]})" if bracket else below[0]), factor, dimension

    def in_brackets(self, start: int) -> str:
        meant = f"{self.text[:start]}({re.sub('[*./]', '·', self.text[start:])})"
        try:
            read_unit(meant, self.units)
        except UnitError:
            return ""
        return meant

    def factors(self) -> _Read:
        shown, factor, dimension = self.factor()
        while self.peek() in ("·", "*", "."):
            self.index += 1
            other = self.factor()
            shown, factor = f"{shown}·{other[0]}", factor * other[1]
            dimension = _combined(dimension, 1, other[2])
        return shown, factor, dimension

    def factor(self) -> _Read:
        word, at = self.peek(), self.at()
        if word == "1" or word not in self.units.spellings:
            raise UnitError(f'"{word or self.text}" is no unit known here', at, near_unit(word, self.units))
        shown, factor, dimension = self.units.spellings[word]
        self.index += 1
        if found := _POWER.fullmatch(self.peek()):
            power = int(found.group(1)[:3])
            if power not in _SUPERSCRIPT or shown in ("%", "°", "°C"):
                raise UnitError(f'the power "{self.peek()}" does not fit this unit', self.at())
            self.index += 1
            return shown + _SUPERSCRIPT[power], factor**power, _combined(NONE, power, dimension)
        return shown, factor, dimension


def _combined(a: Dimension, sign: int, b: Dimension) -> Dimension:
    return tuple(x + sign * y for x, y in zip(a, b, strict=True))


def dimension_text(dimension: Dimension) -> str:
    """The dimension in a unit a trainer knows, such as V or Ω; else in base units."""
    if dimension == NONE:
        return "a pure number"
    for entry in ENTRIES:
        if entry.dimension == dimension and entry.symbol != "°C":
            return {"g": "kg", "s": "s", "Ah": "Ah", "L": "m³"}.get(entry.symbol, entry.symbol)
    return "·".join(
        f"{base}{'' if power == 1 else '^' + str(power)}"
        for base, power in zip(BASES, dimension, strict=True)
        if power
    )


def table_for_browser(units: UnitList = STANDARD) -> dict[str, list[object]]:
    """Spelling → [shown symbol, factor, dimension as text], for the reader in the page."""
    return {
        spelling: [shown, float(factor), " ".join(map(str, dimension))]
        for spelling, (shown, factor, dimension) in units.spellings.items()
    }
