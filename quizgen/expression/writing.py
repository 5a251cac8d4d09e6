"""How numbers are written: one rule for rounding, here and in the page.

The rule: take the value to 12 significant digits (which absorbs the noise of binary arithmetic),
then round half away from zero on those decimal digits. `web/script/number.js` does the same.
Spacing and the space before the unit follow the SI brochure, 9th edition, 5.4.3 and 5.4.4.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import MAX_EMAX, MIN_EMIN, ROUND_HALF_UP, Context, Decimal

NARROW = "\u202f"
"""Narrow no-break space: between groups of three digits."""
NO_BREAK = "\u00a0"
"""No-break space: between number and unit."""

_TWELVE = Context(prec=12, rounding=ROUND_HALF_UP)
_WIDE = Context(prec=1000, rounding=ROUND_HALF_UP, Emin=MIN_EMIN, Emax=MAX_EMAX)
"""Holds every float to every step, so that no rounding but ours takes place."""


@dataclass(frozen=True, slots=True)
class Rounding:
    """What an answer is rounded to: `figures` significant figures, or whole steps of `step` ("0.1")."""

    figures: int = 0
    step: str = ""


def decimal(value: float) -> Decimal:
    """The value to 12 significant digits. Raises ValueError where it is no number."""
    if not math.isfinite(value):
        raise ValueError("only a finite number can be written")
    return _TWELVE.create_decimal_from_float(value)


def last_place(value: float, rounding: Rounding) -> float:
    """What one unit of the last figure asked is worth, in the unit of the value."""
    return float(_place(decimal(value), rounding))


def _place(value: Decimal, rounding: Rounding) -> Decimal:
    if rounding.step:
        return Decimal(rounding.step)
    if not value:
        return Decimal(1).scaleb(1 - rounding.figures)
    return Decimal(1).scaleb(value.adjusted() - rounding.figures + 1)


def rounded(value: float, rounding: Rounding) -> Decimal:
    """The value rounded half up as asked."""
    exact = decimal(value)
    place = _place(exact, rounding)
    whole = _WIDE.quantize(_WIDE.divide(exact, place), Decimal(1))
    result = _WIDE.multiply(whole, place)
    if rounding.figures and place < 1 and result and result.adjusted() > exact.adjusted():
        # 9.996 to three figures is 10.0, not 10.00.
        return _WIDE.quantize(result, place.scaleb(1))
    return result


def digits(value: float, rounding: Rounding) -> str:
    """The rounded value with plain digits and a point, without spaces: "22200", "0.050", "-3.2".

    Raises ValueError where the value is no number.
    """
    result = rounded(value, rounding)
    return format(result if result else abs(result), "f")


_DIGITS = re.compile(r"([-\u2212]?)([0-9]+)(.*)")


def spaced(text: str) -> str:
    """Digits in groups of three from five digits on, with a true minus sign."""
    if len(text) < 5 and text[0] not in "-\u2212":
        return text  # most numbers are short
    sign, whole, rest = _DIGITS.fullmatch(text).groups()  # type: ignore[union-attr]
    if len(whole) > 4:
        whole = re.sub(r"(?<=[0-9])(?=([0-9]{3})+$)", NARROW, whole)
    return ("\u2212" if sign else "") + whole + rest


def at_most(figures: int, value: float) -> str:
    """The value with no more figures than it needs, and so many at most, spaced: 16.5 for 16.5."""
    text = format(value + 0.0, ".12g")  # no zero with a sign
    if "e" not in text and len(text.lstrip("-0.").replace(".", "")) <= figures:
        return spaced(text)
    text = spaced(digits(value, Rounding(figures)))
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(text: str, unit: str) -> str:
    """Number text and unit text, joined as the SI brochure asks; an angle's degree sits close."""
    if not unit:
        return text
    return text + unit if unit == "°" else text + NO_BREAK + unit


def quantity(value: float, rounding: Rounding, unit: str) -> str:
    """The value (counted in the unit) rounded, spaced and with its unit."""
    return with_unit(spaced(digits(value, rounding)), unit)


ASCII = {
    "Ω": "ohm", "√": "sqrt", "µ": "u", "°": "deg ", "·": "*", "²": "^2", "³": "^3", "\u2212": "-",
    NARROW: " ", NO_BREAK: " ", "≤": "<=", "≥": ">=", "…": "...", "η": "eta", "λ": "lambda", "θ": "theta",
    "α": "alpha", "φ": "phi", "ρ": "rho", "π": "pi", "Δ": "Delta ", "×": "x", "–": "-", "’": "'",
}  # fmt: skip


def for_console(text: str, encoding: str) -> str:
    """The text as a console of that encoding can show it: Ω becomes ohm where it must."""
    try:
        text.encode(encoding)
        return text
    except (UnicodeEncodeError, LookupError):
        plain = "".join(ASCII.get(character, character) for character in text)
        return plain.encode("ascii", "replace").decode("ascii")
