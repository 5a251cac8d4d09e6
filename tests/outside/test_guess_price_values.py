"""The dearest path is least: guess a number where the guess is the price, told higher or lower."""

import pytest

from quizgen.tracing.order import Order
from tests.tracing.small import root, workshop


@pytest.mark.parametrize(("n", "worst"), [(2, 1), (10, 16), (12, 21)])
def test_dearest_path_is_least_when_asking_k_costs_k(n, worst):
    """A well-known programming exercise and its published answers."""
    rows = [[(s > k) - (s < k) for s in range(n)] for k in range(n)]
    order = Order(workshop([1] * n, rows, list(range(1, n + 1))), worst=True)
    assert order.minutes(root(order.workshop)) == worst == by_intervals(0, n - 1)


def by_intervals(low, high):
    """The same over intervals of numbers that are still possible."""
    if low >= high:
        return 0
    return min(k + 1 + max(by_intervals(low, k - 1), by_intervals(k + 1, high)) for k in range(low, high + 1))
