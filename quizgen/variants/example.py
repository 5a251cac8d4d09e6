"""Worked examples of the bank: fixed numbers, solved once, shown in prose and step by step.

Solved by the route that carries units, so a build that only reads its cache needs no NumPy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from quizgen.bank.faults import Fault
from quizgen.bank.fields import fits
from quizgen.bank.fields import unit as read_unit_text
from quizgen.bank.models import Bank, Question, quantity_of
from quizgen.expression.carry import Carried, carried
from quizgen.expression.linear import symbol_text
from quizgen.expression.parse import ExpressionError
from quizgen.expression.program import run
from quizgen.expression.units import Unit, UnitList
from quizgen.expression.writing import Rounding, quantity, with_unit
from quizgen.variants.laws import laws_of, second_route
from quizgen.variants.solution import fill, shown_number, worked


@dataclass(frozen=True, slots=True)
class Shown:
    """A number of an example: SI value (None for a word), the unit and rounding it is shown with, and the text."""

    value: float | None
    unit: Unit
    rounding: Rounding | None
    text: str


@dataclass(frozen=True, slots=True)
class WorkedStep:
    title: str
    name: str
    math: str
    line: str
    filled: str
    result: str


@dataclass(frozen=True, slots=True)
class Example:
    id: str
    values: Mapping[str, Shown]
    steps: tuple[WorkedStep, ...]


def examples_of(bank: Bank) -> tuple[dict[str, Example], list[Fault]]:
    """Every example solved, and the faults of those that have no value."""
    made: dict[str, Example] = {}
    faults: list[Fault] = []
    for id, question in bank.examples.items():
        try:
            made[id] = solved(bank, question)
        except (ValueError, ZeroDivisionError, OverflowError) as error:
            faults.append(Fault(question.place, id, f"the example has no value: {error}: change its numbers"))
    return made, faults


def solved(bank: Bank, question: Question) -> Example:
    """The example's numbers. Raises ValueError, ZeroDivisionError or OverflowError where it has none."""
    values: dict[str, Shown] = {}
    known: dict[str, Carried | str] = {}
    for given in question.givens:
        text = given.choices[0] if given.choices else str(given.start)
        words = quantity_of(bank, question, given.id).words
        known[given.id] = text if words else carried(float(text), given.unit)
        number = None if words else float(text) * float(given.unit.factor)
        values[given.id] = Shown(number, given.unit, None, with_unit(shown_number(text), given.unit.text))
    units = {name: shown.unit.text for name, shown in values.items()}
    units |= {step.find: step.unit.text for step in question.steps}
    steps = []
    for law in laws_of(bank, question):
        result = second_route(law, known)
        if result is None:
            raise ValueError(f"{law.step.by} gives no {law.step.find} for them")
        known[law.step.find] = result
        own = law.step
        if isinstance(result, str):
            values[own.find] = Shown(None, own.unit, None, result)
        else:
            value = result.counted_in(1)
            if law.quantity.low is not None and not law.quantity.low <= value <= (law.quantity.high or value):
                raise ValueError(f"{own.find} leaves its range")
            text = quantity(result.counted_in(own.unit.factor), own.rounding, own.unit.text)
            values[own.find] = Shown(value, own.unit, own.rounding, text)
        steps.append(_step(law, known, values, units))
    return Example(question.id, values, tuple(steps))


def _step(law, known, values, units) -> WorkedStep:  # type: ignore[no-untyped-def]
    numbers = {name: v.counted_in(1) for name, v in known.items() if isinstance(v, Carried)}
    entry = next(e for e in worked(law, units) if "when" not in e or run(e["when"], numbers))
    texts = {name: shown.text for name, shown in values.items()}
    return WorkedStep(
        law.title, law.quantity.name, entry.get("math", ""), entry["line"],
        fill(entry["filled"], texts), f"{symbol_text(law.quantity.symbol)} = {values[law.step.find].text}",
    )  # fmt: skip


def shown(example: Example, name: str, unit: str, units: UnitList) -> str:
    """A number of the example as text, in another unit if one is named. Raises ExpressionError."""
    one = example.values[name]
    if not unit:
        return one.text
    if one.value is None:
        raise ExpressionError(f"{name} is a word and has no unit", 0)
    other = read_unit_text(unit, units)
    fits(("1", other), one.unit, name)
    value = one.value / float(other.factor)
    figures = one.rounding.figures if one.rounding and one.rounding.figures else 6
    if one.rounding and one.rounding.figures:
        return quantity(value, Rounding(figures=figures), other.text)
    plain = f"{value:.6g}"
    return (
        with_unit(shown_number(plain), other.text)
        if "e" not in plain
        else quantity(value, Rounding(figures=6), other.text)
    )
