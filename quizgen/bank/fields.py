"""The small languages of single fields: amounts, ranges, answers, texts with slots, citations.

Each function takes a text and gives a value or raises ExpressionError with the offset of the fault.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from decimal import Decimal
from fractions import Fraction

from quizgen.bank.faults import near, quoted
from quizgen.bank.models import Citation, Quantity, Slot, Words
from quizgen.expression.parse import ExpressionError
from quizgen.expression.units import Unit, UnitError, UnitList, dimension_text, read_unit, same_characters
from quizgen.expression.writing import Rounding

Amount = tuple[str, Unit]
"""A number as written, and its unit."""

_NUMBER = r"[-\u2212]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE]([+-]?\d+))?"
_AMOUNT = re.compile(rf"\s*({_NUMBER})(?: +(\S+))?\s*", re.ASCII)
ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,19}")
"""A person's code; never a name."""
_DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10)))
)
MAX_COUNT = 100_000
MAX_FIGURES = 15
"""Every decimal number of so many figures is told apart from its neighbours by its float."""
MAX_DIGITS = 30


class UnknownName(ExpressionError):
    """A name that stands nowhere. Where a file could not be read, it may stand there."""


def bad_id(id: str) -> str:
    """Why the id cannot be used, or "". Ids become file names and addresses."""
    if len(id) > 60:
        return "an id has at most 60 characters"
    if not ID.fullmatch(id):
        return f"{quoted(id)} is no id: use small letters, digits and single hyphens, like depot-van-current"
    if id in _DEVICES:
        return f"{quoted(id)} is a device name on some computers: choose another id"
    return ""


def bad_code(code: str) -> str:
    """Why this cannot be a person's code, or "". Codes become file names too."""
    if not CODE.fullmatch(code):
        return f"{quoted(code)} is no code: letters, digits and -, 20 at most, like A-07; no names here"
    if code.lower() in _DEVICES:
        return f"{quoted(code)} is a device name on some computers: choose another code"
    return ""


def unit(text: str, units: UnitList, at: int = 0) -> Unit:
    try:
        return read_unit(same_characters(text.strip()), units)
    except UnitError as error:
        hint = f" Did you mean {error.near}?" if error.near else ""
        raise ExpressionError(f"{error}.{hint}".replace("..", "."), at + error.at) from None


def amount(text: str, units: UnitList, at: int = 0) -> Amount:
    """`3.7 kW` as ("3.7", kW)."""
    found = _AMOUNT.fullmatch(text)
    if not found:
        if re.match(r"\s*-?\d+,\d", text):
            raise ExpressionError("write the decimal sign as a point in bank files", at)
        raise ExpressionError(f"{quoted(text.strip())} is no amount: write a number, a space and a unit", at)
    number = found.group(1).replace("\u2212", "-")
    mantissa, _, exponent = number.lower().partition("e")
    if len(mantissa) > MAX_DIGITS or len(exponent) > 3 or abs(int(exponent or 0)) > MAX_DIGITS:
        message = f"a number has at most {MAX_DIGITS} digits and an exponent of at most {MAX_DIGITS}"
        raise ExpressionError(message, at + found.start(1))
    number = format(Decimal(number), "f")
    return number, unit(found.group(3) or "1", units, at + max(found.start(3), 0))


def si(value: Amount) -> float:
    """The amount in coherent SI (Celsius: kelvins above 0 °C)."""
    return float(value[0]) * float(value[1].factor)


def fits(value: Amount, wanted: Unit, name: str, at: int = 0) -> None:
    """Raise ExpressionError unless the amount can be a value of a quantity measured in `wanted`."""
    got = value[1]
    if got.dimension != wanted.dimension:
        if not wanted.text:
            cure = "take the unit out"
        elif not got.text:
            cure = f"give the number its unit, {value[0]} {wanted.text}"
        else:
            cure = f"use {wanted.text} or another unit of the same kind"
        what = f"{name} is measured in {wanted.text or 'a pure number'}, but this is {dimension_text(got.dimension)}"
        raise ExpressionError(f"{what}: {cure}", at)
    if (wanted.kind and not got.text) or (("°C" in (got.kind, wanted.kind)) and got.kind != wanted.kind):
        raise ExpressionError(f"give the number its unit: {value[0]} {wanted.text}", at)


def plausible(value: Amount, quantity: Quantity, at: int = 0) -> None:
    """Raise ExpressionError where the amount lies outside the quantity's range."""
    low, high = quantity.low, quantity.high
    if low is None or high is None or low - 1e-12 * abs(low) <= si(value) <= high + 1e-12 * abs(high):
        return
    factor, unit_text = float(quantity.unit.factor), quantity.unit.text
    ends = f"{low / factor:.6g} to {high / factor:.6g} {unit_text}".strip()
    said = f"{value[0]} {value[1].text}".strip()
    raise ExpressionError(
        f"{said} leaves the range of {quantity.id}, {ends}: check number and unit, or change its between:", at
    )


def between(text: str, units: UnitList) -> tuple[Amount, Amount]:
    found = re.fullmatch(r"\s*(.+?)\s+and\s+(.+?)\s*", text)
    if not found:
        raise ExpressionError("expected two amounts: between: 0 A and 200 A", 0)
    low = amount(found.group(1), units, found.start(1))
    high = amount(found.group(2), units, found.start(2))
    if low[1].dimension == high[1].dimension and si(low) >= si(high):
        raise ExpressionError("the first amount must be the smaller one", found.start(1))
    return low, high


def span(text: str, units: UnitList) -> tuple[Decimal, Decimal, int, Unit]:
    """`from 3.7 kW to 22 kW by 0.1 kW` as start, step, count and unit."""
    found = re.fullmatch(r"\s*from\s+(.+?)\s+to\s+(.+?)\s+by\s+(.+?)\s*", text)
    if not found:
        raise ExpressionError("expected: from 3.7 kW to 22 kW by 0.1 kW", 0)
    parts = [amount(found.group(n), units, found.start(n)) for n in (1, 2, 3)]
    if len({part[1].text for part in parts}) > 1:
        raise ExpressionError("write the three amounts in one unit", found.start(1))
    start, end, step = (Fraction(part[0]) for part in parts)
    if step <= 0:
        raise ExpressionError("the step after by must be above zero", found.start(3))
    if end < start:
        raise ExpressionError("the range is empty: the amount after from must be the smaller one", found.start(1))
    if (end - start) % step:
        raise ExpressionError("the steps do not meet the end of the range: change the end or the step", found.start(2))
    count = int((end - start) / step) + 1
    if count > MAX_COUNT:
        message = f"the range has {count} values, at most {MAX_COUNT} are allowed: take larger steps"
        raise ExpressionError(message, found.start(3))
    decimals = max(len(part[0].partition(".")[2]) for part in (parts[0], parts[2]))
    if max(abs(start), abs(end)) * 10**decimals >= 10**MAX_FIGURES:
        message = f"the numbers of this range have more than {MAX_FIGURES} figures: take larger steps"
        raise ExpressionError(message, found.start(3))
    place = Decimal(1).scaleb(-decimals)
    return Decimal(parts[0][0]).quantize(place), Decimal(parts[2][0]).quantize(place), count, parts[0][1]


def choices(text: str) -> list[tuple[str, int]]:
    """`one of 0.95, 0.98` as texts with their offsets."""
    found = re.match(r"\s*one of\s+", text)
    if not found:
        raise ExpressionError("expected: one of 0.95, 0.98", 0)
    made, at = [], found.end()
    for part in text[found.end() :].split(","):
        made.append((part.strip(), at + len(part) - len(part.lstrip())))
        at += len(part) + 1
    if any(not part for part, _ in made):
        raise ExpressionError("a value between two commas is missing", found.end())
    if len({part for part, _ in made}) < len(made):
        raise ExpressionError("a value stands twice", found.end())
    return made


def answer(text: str, units: UnitList) -> tuple[Rounding, Unit | None]:
    """`3 figures in A`, `to 0.1 V`, `whole number`; the unit is None where none is named."""
    if found := re.fullmatch(r"\s*([1-6]) figures?(?: in (\S+))?\s*", text):
        named = unit(found.group(2), units, found.start(2)) if found.group(2) else None
        return Rounding(figures=int(found.group(1))), named
    if re.fullmatch(r"\s*whole number\s*", text):
        return Rounding(step="1"), None
    if found := re.fullmatch(r"\s*to (.+?)\s*", text):
        number, named = amount(found.group(1), units, found.start(1))
        if Decimal(number) <= 0:
            raise ExpressionError("the step of the answer must be above zero", found.start(1))
        return Rounding(step=number), named if named.text else None
    raise ExpressionError("expected: 3 figures in A, or to 0.1 V, or whole number", 0)


_BRACKET = re.compile(r"\(([A-Za-z][A-Za-z0-9_]*)( =)?\)")


def words(text: str, givens: Collection[str]) -> Words:
    """A text in which round brackets around exactly one given's name become a slot."""
    made: list[str | Slot] = []
    at = 0
    for found in _BRACKET.finditer(text):
        id = found.group(1)
        if id not in givens:
            if found.group(2) or _looks_meant(id, givens):
                raise ExpressionError(f"({id}) is no given here.{near(id, givens)}", found.start())
            continue
        made += [text[at : found.start()], Slot(id, named=bool(found.group(2)))]
        at = found.end()
    made.append(text[at:])
    return tuple(_tidy(made))


def _looks_meant(id: str, givens: Collection[str]) -> bool:
    """A symbol-like word in brackets is meant as a given; an ordinary word is just text."""
    return "_" in id or (near(id, givens) != "" and len(id) <= 2)


def _tidy(parts: list[str | Slot]) -> list[str | Slot]:
    """White space made single, none at the ends."""
    joined = [re.sub(r"\s+", " ", part) if isinstance(part, str) else part for part in parts]
    if joined and isinstance(joined[0], str):
        joined[0] = joined[0].lstrip()
    if joined and isinstance(joined[-1], str):
        joined[-1] = joined[-1].rstrip()
    return [part for part in joined if part != ""]


def citation(text: str, sources: Collection[str]) -> Citation:
    """`bird-circuits, ch. 19`, `common practice` or `from memory: …`."""
    plain = " ".join(text.split())
    if plain == "common practice" or plain.startswith("common practice,"):
        return Citation("common practice", where=plain[16:].strip())
    if plain.startswith("from memory"):
        where = plain[len("from memory") :].lstrip(": ").strip()
        if not where:
            raise ExpressionError("say what is remembered: from memory: IEC 61851-1, pilot levels", 0)
        return Citation("from memory", where=where)
    id, _, where = plain.partition(",")
    if id not in sources:
        raise UnknownName(
            f"{quoted(id)} is no source here: add it under sources:, "
            f"or write common practice or from memory: …{near(id, sources)}",
            0,
        )
    return Citation("published", id, where.strip())
