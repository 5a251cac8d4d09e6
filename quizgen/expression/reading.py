"""Reading what a person typed: a number, perhaps with a unit.

The same grammar runs in the page (`web/script/number.js`); one table of cases tests both
(`tests/expression/reading_cases.json`). A text that cannot be read is never a wrong answer:
`Unreadable` says what to do and costs nothing. Nothing here guesses: `1.234` is one or a thousand,
so it is asked back.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from quizgen.expression.units import STANDARD, Unit, UnitError, UnitList, read_unit

MAX_TYPED = 40


@dataclass(frozen=True, slots=True)
class Typed:
    """What was read: `number` in the unit typed (or asked), and the weight of the last digit written."""

    number: float
    unit: Unit | None
    last: float
    digits: str
    """The number as plain digits with a point, without sign or exponent."""

    def si(self, asked: Unit) -> float:
        """The value in coherent SI, counted in the typed unit or else in the one asked for."""
        return self.number * float((self.unit or asked).factor)


@dataclass(frozen=True, slots=True)
class Unreadable:
    """`why` is one of "blank", "number", "two ways", "unit"; `says` tells what to do."""

    why: str
    says: str


_SPACE = re.compile(r"[\t\n\v\f\r\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]")
_COMPOSED = re.compile(r"[\uff10-\uff19\u2103]")
_RAISED = re.compile(r"[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+")
_CHARACTERS = str.maketrans(
    "\u2010\u2011\u2012\u2013\u2212\uff0d’\u2126\u03bc\u00ba\u02da\u22c5\u2219", "------'Ωµ°°··"
)

# A group never starts with 0, all groups of a number are separated alike, and the decimal sign is
# another one. One group of three after a point or a comma alone can be meant either way.
_GROUPED = re.compile(r"([1-9][0-9]?[0-9]?([ '.,])[0-9]{3}(?:\2[0-9]{3})*)(?:(?!\2)[.,]([0-9]+))?(?![0-9.,'])")
_TWO_WAYS = re.compile(r"([0-9]+)[.,]([0-9]{3})")
_PLAIN = re.compile(r"(?=[.,]?[0-9])([0-9]*)[.,]?([0-9]*)")
_FRACTION = re.compile(r"(?: [0-9]+)? ?/ ?[0-9]")
_MORE_DIGITS = re.compile(r"[.,']| (?!1/[^0-9])[ 0-9]*[0-9]")
_EXPONENT = re.compile(r"(?:[eE]| ?[xX×*·] ?10\^)([+-]?[0-9]{1,3})(?![0-9.,])")
_UNIT_CHARACTERS = re.compile(r"(?:1?/|[A-Za-z%°Ωµ€£$¤])[A-Za-z0-9_%°Ωµ€£$¤·*./()^-]*")

NOT_A_NUMBER = "This does not read as a number. Type digits with a point or a comma, like 16.5 or 16,5."
MISPLACED = "Spaces, points and commas only fit between groups of three digits, like 12 500."
NO_FRACTION = "Type a decimal number, not a fraction: 0.5, not 1/2."


def read(text: str, units: UnitList = STANDARD) -> Typed | Unreadable:
    """Read a typed number with an optional unit; never raises."""
    clean = _one_spelling(text)
    if not clean:
        return Unreadable("blank", "Nothing is typed yet.")
    if len(clean) > MAX_TYPED:
        return Unreadable("number", f"This is too long to read: {MAX_TYPED} characters at most.")
    minus = clean[0] == "-"
    rest = clean[1:].lstrip(" ") if clean[0] in "+-" else clean
    body = _body(rest)
    if isinstance(body, Unreadable):
        return body
    whole, fraction, end, doubtful = body
    exponent = 0
    if found := _EXPONENT.match(rest, end):
        exponent = int(found[1])
        end = found.end()
        doubtful = False
        if abs(exponent) > 30:
            return Unreadable("number", "The exponent is too big.")
    unit = _unit(rest[end:], units)
    if isinstance(unit, Unreadable):
        return unit
    if doubtful:
        sign = "\u2212" if minus else ""
        return Unreadable(
            "two ways",
            f"{sign}{rest[:end]} can be read two ways. Type {sign}{whole}{fraction} for the large number "
            f"or {sign}{whole}.{fraction}0 for the small one.",
        )
    number = float(f"{'-' if minus else ''}{whole}.{fraction or 0}e{exponent}")
    return Typed(number, unit, float(f"1e{exponent - len(fraction)}"), whole + (f".{fraction}" if fraction else ""))


def _one_spelling(text: str) -> str:
    """The text with each space, minus sign, digit and unit character in one spelling, no invisible marks.

    Only these characters are touched: the compatibility form of the whole text would turn 10² into 102.
    """

    def plain(found: re.Match[str]) -> str:
        return unicodedata.normalize("NFKC", found[0])

    if text.isascii():
        return _SPACE.sub(" ", text).strip(" ")
    seen = "".join(character for character in text if unicodedata.category(character) != "Cf")
    seen = _COMPOSED.sub(plain, _SPACE.sub(" ", seen))
    return _RAISED.sub(lambda found: "^" + plain(found), seen).translate(_CHARACTERS).strip(" ")


def _body(text: str) -> tuple[str, str, int, bool] | Unreadable:
    """Whole digits, fraction digits, where they end, and whether group or decimal sign is in doubt."""
    doubtful = None
    if found := _GROUPED.match(text):
        whole, fraction = re.sub("[^0-9]", "", found[1]), found[3] or ""
        if doubtful := _TWO_WAYS.fullmatch(found[0]):
            whole, fraction = doubtful.groups()
    elif found := _PLAIN.match(text):
        whole, fraction = found[1] or "0", found[2]
    else:
        return Unreadable("number", NOT_A_NUMBER)
    if _FRACTION.match(text, found.end()):
        return Unreadable("number", NO_FRACTION)
    if _MORE_DIGITS.match(text, found.end()):
        return Unreadable("number", MISPLACED)
    return whole, fraction, found.end(), bool(doubtful)


def _unit(text: str, units: UnitList) -> Unit | None | Unreadable:
    # Most answers are a number alone.
    word = re.sub(r"^ +| *\.?$", "", text) if text else ""
    if not word:
        return None
    spelled = re.sub(" *([·*./()]) *", r"\1", re.sub("° +C", "°C", word)).replace(" ", "·")
    if not _UNIT_CHARACTERS.fullmatch(spelled):
        return Unreadable("number", NOT_A_NUMBER)
    try:
        return read_unit("1" + spelled if spelled[0] == "/" else spelled, units)
    except UnitError as error:
        says = f"“{word}” is no unit known here."
        if error.near:
            says += f" Did you mean {error.near}?"
            if error.near.lower() == spelled.lower():
                says += " Capital and small letters differ."
        return Unreadable("unit", says)
