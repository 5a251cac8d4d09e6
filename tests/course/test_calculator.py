"""Worked lines come out on a calculator: the numbers printed in a line give the result printed behind it.

A learner checks a line by typing what stands in it. So each step of every example, and of the sums beside a
picture, is worked again from its numbers as shown, by the formula that the page prints, and rounded as the
page rounds.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from quizgen.bank.load import load_bank
from quizgen.bank.models import Bank, Question
from quizgen.expression.carry import Carried, carried
from quizgen.expression.writing import NARROW, NO_BREAK, Rounding, quantity
from quizgen.variants.example import Example, Shown, solved
from quizgen.variants.laws import Law, laws_of, second_route

COURSE = Path(__file__).parents[2] / "course"


@cache
def bank() -> Bank:
    return load_bank(COURSE)


@cache
def sums() -> dict[str, Question]:
    """Every example of the bank, and every picture that prints numbers worked out for it."""
    pictures = {id: picture.sums for id, picture in bank().pictures.items() if picture.sums is not None}
    return {**bank().examples, **pictures}


@cache
def worked(id: str) -> tuple[Example, tuple[Law, ...]]:
    return solved(bank(), sums()[id]), laws_of(bank(), sums()[id])


def as_typed(one: Shown) -> Carried | str:
    """What a calculator gets of a number on the page: the digits that stand there, counted in the unit beside them."""
    if one.value is None:
        return one.text
    number = one.text.removesuffix(one.unit.text).rstrip(NO_BREAK) if one.unit.text else one.text
    return carried(float(number.replace(NARROW, "").replace("\u2212", "-")), one.unit)


def again(law: Law, example: Example) -> str:
    """The result of a step worked from the numbers printed in its line, rounded as the page rounds it."""
    typed = {name: as_typed(one) for name, one in example.values.items() if name != law.step.find}
    result = second_route(law, typed)
    assert result is not None
    if isinstance(result, str):
        return result
    return quantity(result.counted_in(law.step.unit.factor), law.step.rounding, law.step.unit.text)


STEPS = [(id, number) for id, question in sums().items() for number in range(len(question.steps))]


@pytest.mark.parametrize(("id", "number"), STEPS)
def test_a_worked_line_comes_out_on_a_calculator(id: str, number: int) -> None:
    example, laws = worked(id)
    name = laws[number].step.find
    assert again(laws[number], example) == example.values[name].text, (
        f"{id}: {name} = {example.steps[number].filled}: give one figure more where it is needed, or take other numbers"
    )


def test_a_rounded_number_on_the_way_is_seen() -> None:
    """By hand: 2.6865 V is shown as 2.69 V; root three times that is 4.66 V, times the unrounded number 4.65 V."""
    question = sums()["depot-point"]
    shown = tuple(
        replace(step, rounding=Rounding(figures=3)) if step.find in ("U", "dU") else step for step in question.steps
    )
    rough = replace(question, steps=shown)
    example = solved(bank(), rough)
    law = next(law for law in laws_of(bank(), rough) if law.step.find == "dU")
    assert (again(law, example), example.values["dU"].text) == (f"4.66{NO_BREAK}V", f"4.65{NO_BREAK}V")
