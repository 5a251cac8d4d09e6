"""Where every split is a test and all cost the same, the best order of tests is the prefix code of D. A. Huffman,
Proc. IRE 40, 1952."""

import heapq
from fractions import Fraction as F

from quizgen.tracing.order import Order
from tests.tracing.small import decimals, root, workshop


def code_length(weights):
    """Mean length of the code times weight: the two lightest are joined again and again."""
    heap, total = sorted(weights), 0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        total += joined
        heapq.heappush(heap, joined)
    return total


def test_every_split_at_one_cost_gives_the_code_of_a_textbook_example():
    """Textbook example of six signs: 2.24 questions on average."""
    weights = decimals("0.45 0.13 0.12 0.16 0.09 0.05")
    splits = [[k >> s & 1 for s in range(6)] for k in range(1, 32)]
    order = Order(workshop(weights, splits))
    assert order.minutes(root(order.workshop)) == F("2.24") == code_length(weights)
