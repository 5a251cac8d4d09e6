"""Checking parts that fail independently until the first failure: the order of rising cost over chance."""

import itertools
from fractions import Fraction as F

import pytest

from quizgen.tracing.order import Order, fixed_order
from tests.tracing.small import decimals, root, workshop

COSTS = dict(zip("XYZ", decimals("51.75 2.00 52.40"), strict=True))
FAILS = dict(zip("XYZ", decimals("0.125 0.075 0.140"), strict=True))
"""Costs and chances of a published example of a series of checks (data seen in public; totals follow from them)."""
TOTALS = {"YZX": 91.6371, "YXZ": 92.28, "ZYX": 95.2871, "XYZ": 95.9112, "ZXY": 98.41, "XZY": 99.105}


@pytest.fixture(scope="module")
def made():
    states = list(itertools.product([0, 1], repeat=3))
    weights = []
    for state in states:
        weight = F(1)
        for failed, p in zip(state, FAILS.values(), strict=True):
            weight *= p if failed else 1 - p
        weights.append(weight)
    parts = tuple(int(any(state)) for state in states)
    return workshop(weights, list(zip(*states, strict=True)), list(COSTS.values()), parts=parts)


def test_the_best_order_checks_by_rising_cost_over_chance(made):
    """Order by c/p: J. B. Kadane, H. A. Simon, Cognitive Psychology 1977 (line of the proof from memory)."""
    start = root(made)
    rising = sorted("XYZ", key=lambda part: COSTS[part] / FAILS[part])
    assert "".join(rising) == "YZX"
    assert float(Order(made).minutes(start)) == pytest.approx(TOTALS["YZX"], abs=5e-5)


@pytest.mark.parametrize("order", TOTALS)
def test_every_fixed_order_has_its_total(made, order):
    found = float(fixed_order(made, [f"t{'XYZ'.index(part) + 1}" for part in order], root(made)))
    assert found == pytest.approx(TOTALS[order], abs=5e-3)
    cost, reached = 0.0, 1.0
    for part in order:
        cost += reached * float(COSTS[part])
        reached *= 1 - float(FAILS[part])
    assert found == pytest.approx(cost)
