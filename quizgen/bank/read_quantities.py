"""Quantities: name, symbol, unit and plausible range."""

from __future__ import annotations

import re

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, quoted
from quizgen.bank.fields import Amount, between, fits, si, unit
from quizgen.bank.models import Quantity
from quizgen.bank.yaml_reader import Mapping, Text
from quizgen.expression.tree import WORDS
from quizgen.expression.units import Unit, UnitList, read_unit

NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,29}")


def bad_name(name: str, units: UnitList) -> str:
    """Why the name cannot stand in an expression, or ""."""
    if not NAME.fullmatch(name):
        return f"{quoted(name)} is no name for a quantity: letters, digits and _, a letter first"
    if name in WORDS:
        return f"{quoted(name)} is a word of the expression language: choose another name"
    if name in units.spellings:
        return f"{quoted(name)} is a unit: add an index, like {name}_1"
    return ""


def read_quantity(id: Text, node: Mapping, units: UnitList, faults: list[Fault]) -> Quantity:
    entry = Entry(id.value, node, faults, ("name", "symbol", "unit", "between", "also"))
    if why := bad_name(id.value, units):
        entry.fault(id.place, why)
    name = entry.words("name")
    symbol = entry.words("symbol", required=False, default=id.value)
    if len(symbol) > 20 or re.search(r"[<>&\"'\s]", symbol):
        entry.fault(entry.place("symbol"), "a symbol is one short word, like U_LL or theta_1")
        symbol = id.value
    unit_text = entry.text("unit", required=False)
    words = bool(unit_text) and unit_text is not None and unit_text.value.strip() == "word"
    measured = read_unit("1")
    doubtful = False
    if unit_text and not words:
        found = entry.parsed(unit_text, lambda text: unit(text, units))
        measured, doubtful = found or measured, found is None
    elif entry.has("unit") and not words:
        doubtful = True
    low = high = None
    if range_text := entry.text("between", required=False):
        if words:
            entry.fault(range_text.place, "a word has no range: take the line out")
        elif ends := entry.parsed(range_text, lambda text: between(text, units)):
            if not doubtful and entry.checked(range_text, lambda: _fit(ends, measured, id.value)):
                low, high = si(ends[0]), si(ends[1])
    doubtful |= entry.has("between") and low is None
    also = entry.words("also", required=False)
    return Quantity(id.value, name, symbol, measured, low, high, words, also, doubtful, id.place)


def _fit(ends: tuple[Amount, Amount], measured: Unit, name: str) -> None:
    for end in ends:
        fits(end, measured, name)
