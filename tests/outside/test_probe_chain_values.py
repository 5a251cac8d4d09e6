"""Probing a series of modules: the alphabetic tree of a published problem, and an own one, by two methods."""

from fractions import Fraction as F

from quizgen.tracing.order import Order
from tests.tracing.small import chain, decimals, root


def by_intervals(weights, minutes):
    """Least expected minutes times weight by intervals of the chain, with the first probe of the whole.

    V(i, j) = min over k of c_k · w(i..j) + V(i, k) + V(k + 1, j): E. N. Gilbert, E. F. Moore, Bell System Technical
    Journal 38, 1959, there with equal costs.
    """
    n, best = len(weights), {(i, i): (0, None) for i in range(len(weights))}
    for length in range(1, n):
        for i in range(n - length):
            j = i + length
            best[i, j] = min(
                (minutes[k] * sum(weights[i : j + 1]) + best[i, k][0] + best[k + 1, j][0], k + 1) for k in range(i, j)
            )
    return best[0, n - 1]


def test_alphabetic_tree_of_a_contest_problem():
    """Weights and total of a programming contest's problem on alphabetic trees: 1 2 3 4 9 3 give 53."""
    weights = [1, 2, 3, 4, 9, 3]
    order = Order(chain(weights))
    start = root(order.workshop)
    assert order.minutes(start) == F(53, 22)
    assert by_intervals(weights, [1] * 5) == (53, 4)
    assert order.best(start) == "t4"
    below, above = order.after(start, "t4")
    assert (order.best(below), order.best(above)) == ("t3", "t5")


def test_chain_with_unequal_probes():
    """Own problem, worked out with exact fractions."""
    weights, minutes = decimals("0.10 0.20 0.30 0.25 0.15"), [3, 1, 4, 2]
    order = Order(chain(weights, minutes))
    start = root(order.workshop)
    assert order.minutes(start) == F("5.5")
    assert by_intervals(weights, minutes) == (F("5.5"), 2)
    assert [order.with_first(start, f"t{i}") for i in range(1, 5)] == decimals("7.5 5.5 6.3 5.95")
