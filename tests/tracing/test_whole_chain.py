"""The bounds of the search leave nothing out: a whole chain has the values of plain dynamic programming."""

import json
from pathlib import Path

import pytest

from quizgen.tracing.order import INFINITE, Order, State, Step, Workshop

KEPT = json.loads((Path(__file__).parent / "fixtures" / "chain.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def order():
    steps = tuple(Step(**{**step, "outcomes": tuple(step["outcomes"])}) for step in KEPT["steps"])
    return Order(
        Workshop(
            tuple(KEPT["weights"]), tuple(KEPT["parts"]), steps, KEPT["isolation"], KEPT["energising"],
            tuple(KEPT["boxes"]), KEPT["still_live"],
        )
    )  # fmt: skip


def test_a_whole_chain_has_the_value_of_plain_dynamic_programming(order):
    """The stored value took 282,380 states; the bounds leave some thousand to look at."""
    assert order.minutes(State(order.everyone)) * sum(KEPT["weights"]) == KEPT["root"]


def test_some_hundred_of_its_states_have_theirs(order):
    assert len(KEPT["values"]) > 500
    wrong = [
        (suspects, dead, opened)
        for suspects, dead, opened, value in KEPT["values"]
        if order.minutes(State(suspects, bool(dead), opened)) * order.weight(suspects)
        != (INFINITE if value is None else value)
    ]
    assert wrong == []
