"""The best order of tests against the worked problems of two papers on test sequencing."""

from fractions import Fraction as F

import pytest

from quizgen.tracing.order import Order
from tests.tracing.small import decimals, root, workshop

STATES = ["00000", "01001", "00110", "10011", "11000", "11110"]
"""K. R. Pattipati, M. G. Alexandridis, IEEE Trans. Systems, Man and Cybernetics 20(4), 1990, 872–887: what six states
of a system show in five tests. Matrix and value from memory; priors beside it."""
PRIORS = decimals("0.70 0.01 0.02 0.10 0.05 0.12")


@pytest.mark.parametrize(
    ("costs", "best", "firsts"),
    [
        ([1, 1, 1, 1, 1], "2.18", "2.86 2.18 2.82 2.18 2.89"),
        ([1, 2, 3, 1, 2], "3.18", "3.86 3.18 5.57 3.18 3.89"),  # own costs on the published matrix
    ],
)
def test_published_test_sequencing_problem(costs, best, firsts):
    order = Order(workshop(PRIORS, list(zip(*STATES, strict=True)), costs))
    start = root(order.workshop)
    assert order.minutes(start) == F(best)
    assert [order.with_first(start, f"t{i}") for i in range(1, 6)] == decimals(firsts)


def test_both_of_its_best_first_tests_cost_nothing_and_a_worse_one_its_difference():
    order = Order(workshop(PRIORS, list(zip(*STATES, strict=True))))
    start = root(order.workshop)
    assert order.regret(start, "t4") == order.regret(start, "t2") == 0
    assert order.regret(start, "t1") == F("0.68")


def test_five_faults_and_four_tests():
    """A. Balakrishnan, T. Semmelbauer 1999, doi 10.1016/s0167-9236(99)00015-9: a staircase of readings. Their fault 3
    takes three tests from the first on and two from the second on; value with equal weights worked out apart."""
    rows = list(zip(*["0000", "0001", "0011", "0111", "1111"], strict=True))
    order = Order(workshop([F(1, 5)] * 5, rows))
    start = root(order.workshop)
    assert order.minutes(start) == F(12, 5)
    assert order.regret(start, "t2") == 0
    assert [needed_to_find(order, start, 2, first) for first in ("t1", "t2")] == [3, 2]


def needed_to_find(order, state, true, first):
    """How many tests until only this fault is left, in the order 1, 2, 3, 4 from `first` on."""
    names = [f"t{i}" for i in range(1, 5)]
    names.insert(0, names.pop(names.index(first)))
    made = 0
    for name in names:
        if order.finished(state.suspects):
            break
        if name in order.actions(state):
            made += 1
            state = next(later for later in order.after(state, name) if later.suspects >> true & 1)
    return made
