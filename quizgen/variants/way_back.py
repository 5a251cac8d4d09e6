"""The way back: an answer put into another solved form must give the given back.

It runs on what is shipped, by the walk that carries units, so the two forms meet with the numbers
as they are printed. The gap is counted against the largest term, because a difference of two large
terms loses as many figures as they have in common.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from quizgen.expression.carry import Carried, added, carry
from quizgen.expression.tree import Binary, Equation, Expression

MOST = 1e-9


def gap(form: Equation, known: Mapping[str, Carried]) -> float:
    """How far the form misses the known value of its left side, as a share of the largest term; inf if undefined."""
    wanted = known[form.left]
    try:
        again, largest = _walked(form.right, known)
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.inf
    missed = abs(again.beside(wanted) - wanted.number)
    if not math.isfinite(missed):
        return math.inf
    largest = max(abs(wanted.number), largest / wanted.scale.to_si)
    return missed / largest if largest else 0.0


def _walked(tree: Expression, known: Mapping[str, Carried]) -> tuple[Carried, float]:
    """The value of a tree, and the largest absolute value in SI among its outermost sums, itself included."""
    if not (isinstance(tree, Binary) and tree.op in "+-"):
        value = carry(tree, known)
        return value, abs(value.in_si())
    left, one = _walked(tree.left, known)
    right, other = _walked(tree.right, known)
    value = added(tree.op, left, right)
    return value, max(abs(value.in_si()), one, other)
