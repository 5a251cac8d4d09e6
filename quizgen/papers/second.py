"""Every key of an issued paper worked out again, twice, from the record alone.

The first route runs the kept programs on the printed givens in SI; the second reads the kept laws as the
bank writes them and carries units along. Both have to meet the key that was kept at issue.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from quizgen.bank.models import Quantity, Table
from quizgen.expression.carry import Carried, Scale, carried, carry, holds
from quizgen.expression.parse import ExpressionError, parse, parse_condition
from quizgen.expression.units import Dimension, Unit, UnitError, UnitList, read_unit, unit_list
from quizgen.marking.judge import key_value
from quizgen.papers.once import once_for_each
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
        id: text if factor is None else float(text) * factor
        for (id, factor), text in zip(_factors(one.question), one.variant["given"], strict=True)
    }


def _faults(one: Issued, units: UnitList) -> list[str]:
    first: dict[str, Any] = known_values(one)
    second: dict[str, Carried | str] = {}
    for (id, scale), text in zip(_printed_in(one.question, units), one.variant["given"], strict=True):
        second[id] = text if scale is None else Carried(float(text), scale)
    made = []
    walks = _walks(one.second, units)
    for step, answer, walk in zip(one.question["steps"], one.variant["answers"], walks, strict=True):
        kept = answer["word"] if "word" in answer else answer["key"]
        again = walk(second)
        routes: list[Any] = [again.in_si() if isinstance(again, Carried) else again]
        if step["key"] is not None:
            routes.append(key_value(step["key"], first))
        if isinstance(again, Carried) and _as_text(again.dimension) != step["dimension"]:
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


@lru_cache(maxsize=256)
def _as_text(dimension: Dimension) -> str:
    return " ".join(map(str, dimension))


# Papers of one plan ask the same laws with other numbers: what does not hang on the numbers is made ready once.

Known = Mapping[str, Carried | str]
Walk = Callable[[Known], Carried | str | None]
"""The second route of one step, from all that is known before it; None where the law gives nothing."""


@once_for_each
def _factors(question: Mapping[str, Any]) -> tuple[tuple[str, float | None], ...]:
    """Each given with what its printed number has to be multiplied by for SI; None for words."""
    return tuple((given["id"], None if given["words"] else given["factor"]) for given in question["givens"])


@once_for_each
def _printed_in(question: Mapping[str, Any], units: UnitList) -> tuple[tuple[str, Scale | None], ...]:
    """Each given with the unit it is printed in; None for words."""
    return tuple(
        (given["id"], None if given["words"] else carried(1, _unit(given["unit"], units)).scale)
        for given in question["givens"]
    )


@once_for_each
def _walks(laws: tuple[Mapping[str, Any], ...], units: UnitList) -> tuple[Walk, ...]:
    return tuple(_walk(law, units) for law in laws)


def _walk(law: Mapping[str, Any], units: UnitList) -> Walk:
    if "form" in law:
        tree = parse(law["form"], units)
        # A form names numbers only; whatever words are known as well, it never asks for them.
        return lambda known: carry(tree, known)  # type: ignore[arg-type]
    return _cases(law["cases"], units) if "cases" in law else _table(law, units)


def _numbers(known: Known) -> dict[str, Carried]:
    return {name: value for name, value in known.items() if isinstance(value, Carried)}


def _cases(cases: Sequence[Mapping[str, Any]], units: UnitList) -> Walk:
    ready = [
        (parse_condition(case["when"], units), str(case["word"]) if "word" in case else parse(case["then"], units))
        for case in cases
    ]

    def walk(known: Known) -> Carried | str | None:
        numbers = _numbers(known)
        for when, then in ready:
            if holds(when, numbers):
                return then if isinstance(then, str) else carry(then, numbers)
        return None

    return walk


def _table(law: Mapping[str, Any], units: UnitList) -> Walk:
    inputs = tuple(Quantity(id, "", "", _unit(unit, units), words=words) for id, unit, words in law["inputs"])
    unit = _unit(law["unit"], units)
    rows = tuple(tuple(row) for row in law["rows"])
    table = Table("", "", tuple(quantity.id for quantity in inputs), "", law["read"], rows)
    output = Quantity("", "", "", unit, words=not any(_is_number(row[-1]) for row in rows))

    def walk(known: Known) -> Carried | str | None:
        wanted: list[float | str] = []
        for quantity in inputs:
            value = known[quantity.id]
            wanted.append(value if isinstance(value, str) else value.in_si())
        found = read_table(table, inputs, tuple(wanted), output)
        return carried(found / float(unit.factor), unit) if isinstance(found, float) else found

    return walk


def _unit(text: str, units: UnitList) -> Unit:
    """A unit by its text; a pure number shows none."""
    return read_unit(text or "1", units)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
