"""Every key of an issued paper worked out again, twice, from the record alone.

The first route runs the kept programs on the printed givens in SI; the second reads the kept laws as the
bank writes them and carries units along. Both have to meet the key that was kept at issue.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from quizgen.bank.models import Quantity, Table
from quizgen.expression.carry import Carried, carried, carry, holds
from quizgen.expression.parse import ExpressionError, parse, parse_condition
from quizgen.expression.tree import Expression
from quizgen.expression.units import Unit, UnitError, UnitList, read_unit, unit_list
from quizgen.marking.judge import key_value
from quizgen.papers.types import Issue, Issued
from quizgen.variants.laws import read_table

CLOSE = 1e-9


def key_faults(issue: Issue) -> list[str]:
    """What does not fit in the record's keys, one line each; empty where all is as it was issued."""
    units = unit_list(issue.currency)
    made = []
    for number, one in enumerate(issue.questions, 1):
        if not one.variant:
            continue
        try:
            made += [f"question {number}: {said}" for said in _faults(one, units)]
        except (KeyError, TypeError, IndexError, ExpressionError, UnitError, ValueError, ZeroDivisionError,
                OverflowError):  # fmt: skip
            made.append(f"question {number}: its record cannot be worked out")
    return made


def known_values(one: Issued) -> dict[str, Any]:
    """SI values (or words) of the printed givens."""
    return {
        given["id"]: text if given["words"] else float(text) * given["factor"]
        for given, text in zip(one.question["givens"], one.variant["given"], strict=True)
    }


def _faults(one: Issued, units: UnitList) -> list[str]:
    first: dict[str, Any] = known_values(one)
    second: dict[str, Carried | str] = {
        given["id"]: text if given["words"] else carried(float(text), _unit(given["unit"], units))
        for given, text in zip(one.question["givens"], one.variant["given"], strict=True)
    }
    made = []
    for step, answer, law in zip(one.question["steps"], one.variant["answers"], one.second, strict=True):
        kept = answer["word"] if "word" in answer else answer["key"]
        again = _second(law, second, units)
        routes: list[Any] = [again.counted_in(1) if isinstance(again, Carried) else again]
        if step["key"] is not None:
            routes.append(key_value(step["key"], first))
        if isinstance(again, Carried) and " ".join(map(str, again.dimension)) != step["dimension"]:
            made.append(f"{step['find']} comes out in another kind of unit")
        if not all(_meet(kept, route) for route in routes):
            made.append(f"{step['find']}: the kept key does not follow from the printed numbers")
        first[step["find"]] = kept
        second[step["find"]] = again if again is not None else ""
    return made


def _meet(kept: Any, found: Any) -> bool:
    if isinstance(kept, str) or isinstance(found, str) or found is None:
        return bool(kept == found)
    return bool(abs(kept - found) <= CLOSE * max(abs(kept), abs(found)))


def _second(law: Mapping[str, Any], known: Mapping[str, Carried | str], units: UnitList) -> Carried | str | None:
    numbers = {name: value for name, value in known.items() if isinstance(value, Carried)}
    if "form" in law:
        return carry(_tree(law["form"], units), numbers)
    if "cases" in law:
        for case in law["cases"]:
            if holds(_condition(case["when"], units), numbers):
                return str(case["word"]) if "word" in case else carry(_tree(case["then"], units), numbers)
        return None
    return _table(law, known, units)


# Papers of one plan ask the same laws with other numbers.


@lru_cache(maxsize=1024)
def _tree(text: str, units: UnitList) -> Expression:
    return parse(text, units)


@lru_cache(maxsize=1024)
def _condition(text: str, units: UnitList) -> Expression:
    return parse_condition(text, units)


def _table(law: Mapping[str, Any], known: Mapping[str, Carried | str], units: UnitList) -> Carried | str | None:
    inputs = tuple(Quantity(id, "", "", _unit(unit, units), words=words) for id, unit, words in law["inputs"])
    unit = _unit(law["unit"], units)
    wanted: list[float | str] = []
    for quantity in inputs:
        value = known[quantity.id]
        wanted.append(value if isinstance(value, str) else value.counted_in(1))
    rows = tuple(tuple(row) for row in law["rows"])
    table = Table("", "", tuple(quantity.id for quantity in inputs), "", law["read"], rows)
    output = Quantity("", "", "", unit, words=not any(_is_number(row[-1]) for row in rows))
    found = read_table(table, inputs, tuple(wanted), output)
    return carried(found / float(unit.factor), unit) if isinstance(found, float) else found


def _unit(text: str, units: UnitList) -> Unit:
    """A unit by its text; a pure number shows none."""
    return read_unit(text or "1", units)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
