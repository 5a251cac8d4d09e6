"""Tests with three outcomes (before, here, after) against the optimal search trees of a textbook."""

from fractions import Fraction as F

import pytest

from quizgen.tracing.order import Order
from tests.tracing.small import decimals, root, workshop


@pytest.mark.parametrize(
    ("p", "q", "value", "first"),
    [
        ("0.15 0.10 0.05 0.10 0.20", "0.05 0.10 0.05 0.05 0.05 0.10", "2.75", "t2"),
        ("0.04 0.06 0.08 0.02 0.10 0.12 0.14", "0.06 0.06 0.06 0.06 0.05 0.05 0.05 0.05", "3.12", "t5"),
        ("34 8 50", "0 0 0 0", "142", "t3"),
    ],
)
def test_optimal_search_trees_of_a_textbook(p, q, value, first):
    """T. H. Cormen, C. E. Leiserson, R. L. Rivest, C. Stein: Introduction to Algorithms, optimal binary search trees:
    worked example and exercise with seven keys; its value counts a leaf as one more. Third: a public exercise."""
    p, q = decimals(p), decimals(q)
    weights = [w for pair in zip(q, [*p, 0], strict=True) for w in pair][:-1]
    rows = [[(k > 2 * i + 1) - (k < 2 * i + 1) for k in range(2 * len(p) + 1)] for i in range(len(p))]
    order = Order(workshop(weights, rows))
    start = root(order.workshop)
    assert order.minutes(start) * (sum(p) + sum(q)) + sum(q) == F(value)
    assert order.regret(start, first) == 0


def test_tests_alone_of_the_worked_example():
    """The same without the leaves: 2.75 less the weight of the leaves, 0.40."""
    p, q = decimals("0.15 0.10 0.05 0.10 0.20"), decimals("0.05 0.10 0.05 0.05 0.05 0.10")
    weights = [w for pair in zip(q, [*p, 0], strict=True) for w in pair][:-1]
    rows = [[(k > 2 * i + 1) - (k < 2 * i + 1) for k in range(11)] for i in range(5)]
    assert Order(workshop(weights, rows)).minutes(root(workshop(weights, rows))) == F("2.35")
