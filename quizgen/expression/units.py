"""The one list of units: names, prefixes, aliases, and how a unit text is read.

A unit is a factor to coherent SI and a vector of dimensions. Factors are exact fractions
(only the degree of angle needs a float). The list is short on purpose: what is not here is
refused with a suggestion. The tests prove every entry against an independent unit library;
the browser gets the same list (`entries_for_browser`) and makes the same table of it (`table_for_browser`).

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
_FACTOR = r"[A-Za-z%°Ωµ€£$¤]+(?:\^?-?[1-4])?"
_FACTORS = rf"{_FACTOR}(?:[·*.]{_FACTOR})*"
_UNIT = re.compile(rf"(1|{_FACTORS})(?:/(?:\(({_FACTORS})\)|({_FACTOR})))?")
_TWO_WAYS = re.compile(rf"(1|{_FACTORS})/({_FACTOR}(?:[·*./]{_FACTOR})+)")
_WORD = re.compile(r"([^0-9^-]+)\^?(-?[0-9]+)?")
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
    for entry in _with(currency):
        for spelling in (entry.symbol, *entry.aliases):
            spellings[spelling] = (entry.symbol, entry.factor, entry.dimension)
            for prefix in entry.prefixes:
                shown = (prefix + entry.symbol, PREFIXES[prefix] * entry.factor, entry.dimension)
                spellings[prefix + spelling] = shown
                if prefix == "µ":
                    spellings["u" + spelling] = shown
    return UnitList(currency, spellings)


def _with(currency: str) -> tuple[Entry, ...]:
    return (*ENTRIES, Entry(currency, Fraction(1), _dimension("currency"), "", ())) if currency else ENTRIES


STANDARD = unit_list()


def printable(text: str) -> str:
    """The text in quotes for a message of one line, with what cannot be printed named by its number."""
    return '"' + "".join(c if c.isprintable() else f"<U+{ord(c):04X}>" for c in text) + '"'


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
    i = next((i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b)))
    return a[i + 1 :] == b[i + 1 :] or a[i + 1 :] == b[i:] or a[i:] == b[i + 1 :]


@lru_cache(maxsize=4096)
def read_unit(text: str, units: UnitList = STANDARD) -> Unit:
    """Read a unit text such as `kW`, `Ω/km`, `A/%`, `kJ/(kg·K)`, `mm²`, `1/K`.

    One `/` at most; several factors that divide stand in brackets after it. Raises UnitError.
    """
    if len(text) > 50:
        raise UnitError("a unit is at most 50 characters long")
    plain = same_characters(text)
    places = [at for at, character in enumerate(text) for _ in same_characters(character)] + [len(text)]
    found = _UNIT.match(plain)
    if not found or found.end() < len(plain):
        at = places[found.end()] if found else 0
        raise UnitError(f"{printable(text)} is no unit", at, _in_brackets(plain, units))
    above = _ONE if found[1] == "1" else _product(found[1], places, units)
    below_text = found[2] or found[3]
    if not below_text:
        shown = "" if above is _ONE else above.text
        return Unit(shown, above.factor, above.dimension, shown if shown in ("%", "°", "°C") else "")
    below = _product(below_text, places[found.start(2 if found[2] else 3) :], units)
    shown = f"{above.text}/({below.text})" if found[2] else f"{above.text}/{below.text}"
    dimension = tuple(a - b for a, b in zip(above.dimension, below.dimension, strict=True))
    return Unit(shown, above.factor / below.factor, dimension)


_ONE = Unit("1", Fraction(1), NONE)


def _product(text: str, places: list[int], units: UnitList) -> Unit:
    """Factors such as kg·K; `places` says where each character stands in what was written."""
    made: Unit | None = None
    for found in re.finditer("[^·*.]+", text):
        one = _factor(found.group(), places[found.start()], units)
        if made:
            dimension = tuple(a + b for a, b in zip(made.dimension, one.dimension, strict=True))
            one = Unit(f"{made.text}·{one.text}", made.factor * one.factor, dimension)
        made = one
    assert made is not None  # the pattern asks for one factor at least
    return made


def _factor(text: str, at: int, units: UnitList) -> Unit:
    """One word with its power, such as mm²."""
    word, power_text = _WORD.fullmatch(text).groups()  # type: ignore[union-attr]
    if word not in units.spellings:
        raise UnitError(f'"{word}" is no unit known here', at, near_unit(word, units))
    shown, factor, dimension = units.spellings[word]
    power = int(power_text or 1)
    return Unit(shown + _SUPERSCRIPT[power], factor**power, tuple(power * d for d in dimension))


def _in_brackets(plain: str, units: UnitList) -> str:
    """W/(m·K) for W/m·K, which one person reads one way and the next the other way; else ""."""
    found = _TWO_WAYS.fullmatch(plain)
    if not found:
        return ""
    meant = f"{found[1]}/({re.sub('[*./]', '·', found[2])})"
    try:
        read_unit(meant, units)
    except UnitError:
        return ""
    return meant


def dimension_text(dimension: Dimension) -> str:
    """The dimension in a unit a trainer knows, such as V or Ω; else in base units."""
    if dimension == NONE:
        return "a pure number"
    for entry in ENTRIES:
        if entry.dimension == dimension and entry.symbol != "°C":
            return {"g": "kg", "s": "s", "Ah": "Ah", "L": "m³"}.get(entry.symbol, entry.symbol)
    return "·".join(
        f"{base}{'' if power == 1 else '^' + str(power)}" for base, power in zip(BASES, dimension, strict=True) if power
    )


def entries_for_browser(units: UnitList = STANDARD) -> list[list[object]]:
    """[symbol, factor, dimension as text, prefixes, aliases] for each unit: the page spells them out itself."""
    return [[one.symbol, _short(one.factor), _text(one.dimension), one.prefixes, [*one.aliases]]
            for one in _with(units.currency)]  # fmt: skip


def _short(factor: Fraction | float) -> float | int:
    return int(factor) if factor == int(factor) else float(factor)


def _text(dimension: Dimension) -> str:
    return " ".join(map(str, dimension))


def table_for_browser(units: UnitList = STANDARD) -> dict[str, list[object]]:
    """Spelling → [shown symbol, factor, dimension as text]: what the page makes of the entries."""
    return {
        spelling: [shown, float(factor), _text(dimension)]
        for spelling, (shown, factor, dimension) in units.spellings.items()
    }
