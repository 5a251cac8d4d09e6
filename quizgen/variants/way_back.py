"""The way back: an answer put into another solved form must give the given back.

It runs on what is shipped, by the walk that carries units, so the two forms meet with the numbers
as they are printed. The gap is counted against the largest term, because a difference of two large
terms loses as many figures as they have in common.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from quizgen.expression.carry import Carried, carry
from quizgen.expression.tree import Binary, Equation, Expression

MOST = 1e-9


def gap(form: Equation, known: Mapping[str, Carried]) -> float:
    """How far the form misses the known value of its left side, as a share of the largest term; inf if undefined."""
    wanted = known[form.left]
    try:
        again = carry(form.right, known).counted_in(wanted.factor)
        largest = max(abs(wanted.number), _largest_term(form.right, known) / float(wanted.factor))
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.inf
    if not math.isfinite(again):
        return math.inf
    return abs(again - wanted.number) / largest if largest else 0.0


def _largest_term(tree: Expression, known: Mapping[str, Carried]) -> float:
    """The largest absolute value in SI among the outermost sums of a tree, the tree itself included."""
    here = abs(carry(tree, known).counted_in(1))
    if isinstance(tree, Binary) and tree.op in "+-":
        return max(here, _largest_term(tree.left, known), _largest_term(tree.right, known))
    return here
