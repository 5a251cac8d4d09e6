"""Isolating once for several dead tests: an own problem, worked out with exact fractions and by trying every plan.

Set-up operations in test sequencing: V. Raghavan, M. Shakeri, K. R. Pattipati, IEEE Trans. SMC A 29, 1999.
"""

from fractions import Fraction as F

import pytest

from quizgen.tracing.order import INFINITE, ISOLATE, Order, State, Step, Workshop, masks
from tests.tracing.small import decimals


def setups(live, isolation, places=(1, 2, 3, 4), dead=(1, 2, 3, 4, 5)):
    """Five modules in a row, live probes between them and a dead test of each."""
    probes = [Step(f"L{i}", live, next(masks([[k >= i for k in range(5)]], 5)), "live") for i in places]
    alone = [Step(f"D{i}", 1, next(masks([[k == i - 1 for k in range(5)]], 5)), "dead") for i in dead]
    return Order(Workshop(tuple(decimals("0.30 0.10 0.25 0.15 0.20")), tuple(range(5)), (*probes, *alone), isolation))


@pytest.mark.parametrize(
    ("live", "isolation", "more", "value", "first"),
    [
        (4, 6, {}, "8.4", ISOLATE),
        (4, 3, {}, "5.4", ISOLATE),
        (2, 6, {}, "4.7", "L2"),
        (4, 12, {}, "9.4", "L2"),
        (4, 6, {"dead": ()}, "9.4", "L2"),
        (4, 6, {"places": ()}, "8.4", ISOLATE),
    ],
)
def test_dear_probes_make_isolating_first_worth_while(live, isolation, more, value, first):
    order = setups(live, isolation, **more)
    assert order.minutes(State(31)) == F(value)
    assert order.regret(State(31), first) == 0


@pytest.mark.parametrize(
    ("live", "firsts"),
    [(4, "9.6 9.4 9.4 10.35 8.4 8.85 8.45 8.7 8.55"), (2, "4.8 4.7 4.7 5.2 8.4 8.85 8.45 8.7 8.55")],
)
def test_values_of_every_first_step_with_isolation(live, firsts):
    order = setups(live, 6)
    dead = State(31, True)
    found = [order.with_first(State(31), f"L{i}") for i in range(1, 5)]
    found += [6 + order.with_first(dead, f"D{i}") for i in range(1, 6)]
    assert found == decimals(firsts)


def test_dead_tests_follow_in_the_order_of_the_heaviest_module():
    order, state, made = setups(4, 6), State(31, True), []
    while id := order.best(state):
        made.append(id)
        state = max(order.after(state, id), key=lambda later: later.suspects.bit_count())
    assert made == ["D1", "D3", "D5", "D2"]


def test_a_dead_test_is_never_made_before_isolating():
    order = setups(4, 6)
    assert [order.with_first(State(31), "D1"), order.safe(State(31), "D1")] == [INFINITE, False]
