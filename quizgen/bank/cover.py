"""Proof that cases cover a quantity's range without gap or overlap.

Where every comparison sets one quantity against constants, all conditions are constant between
two neighbouring constants, so trying the constants, the middles between them and the ends of the
range is a proof. Other conditions are tried on a fixed grid instead.
"""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Mapping, Sequence

from quizgen.bank.models import Case, Quantity
from quizgen.expression.evaluate import scalar
from quizgen.expression.tree import Chain, Expression, Measure, Negative, Number, names, walk

MAX_POINTS = 20_000


def uncovered(
    cases: Sequence[Case], gap: Sequence[Expression], quantities: Mapping[str, Quantity]
) -> tuple[str, int] | None:
    """None if one case, or a named gap, holds everywhere; else what is wrong and the case's index or -1."""
    conditions = [case.when for case in cases]
    used = tuple(dict.fromkeys(n for c in (*conditions, *gap) for n in names(c)))
    for name in used:
        if quantities[name].low is None:
            return f"{name} needs between:, so that the cases can be proved to cover it", 0
    points = [_points(name, (*conditions, *gap), quantities[name]) for name in used]
    size = 1
    for one in points:
        size *= len(one)
    if size > MAX_POINTS:
        return "the cases compare too many things to be proved: use fewer limits", 0
    for values in itertools.product(*points):
        known = dict(zip(used, values, strict=True))
        shown = ", ".join(_shown(name, value, quantities[name]) for name, value in known.items())
        try:
            held = [index for index, condition in enumerate(conditions) if _holds(condition, known)]
            left_out = not held and any(_holds(g, known) for g in gap)
        except (ArithmeticError, ValueError):
            return (
                f"a condition has no value at {shown}: it divides by zero or takes a root or logarithm there",
                -1,
            )
        if len(held) > 1:
            both = f"cases {held[0] + 1} and {held[1] + 1} both hold at {shown}"
            return f"{both}: let one of them end where the other begins", held[1]
        if not held and not left_out:
            return f"no case holds at {shown}: widen a case or name the gap under gap:", -1
    return None


def edges(condition: Expression, name: str) -> set[float]:
    """SI constants that `name` is compared with."""
    made = set()
    for node in walk(condition):
        if isinstance(node, Chain):
            for pair in itertools.pairwise(node.terms):
                for one, other in (pair, pair[::-1]):
                    if name in names(one) and not names(other):
                        with contextlib.suppress(ArithmeticError, ValueError):
                            made.add(scalar(other, {}))
    return made


def _points(name: str, conditions: Sequence[Expression], quantity: Quantity) -> list[float]:
    assert quantity.low is not None and quantity.high is not None
    found: set[float] = {quantity.low, quantity.high}
    for condition in conditions:
        found |= {edge for edge in edges(condition, name) if quantity.low < edge < quantity.high}
    ordered = sorted(found)
    # Where a term is not a plain name against a constant, middles are a grid, not a proof.
    parts = 1 if all(_plain(c) for c in conditions) else 9
    middles = [a + (b - a) * k / (parts + 1) for a, b in itertools.pairwise(ordered) for k in range(1, parts + 1)]
    return sorted({*ordered, *middles})


def _plain(condition: Expression) -> bool:
    return all(
        not names(term) or not isinstance(term, (Number, Measure, Negative)) and len(list(walk(term))) == 1
        for node in walk(condition)
        if isinstance(node, Chain)
        for term in node.terms
    )


def _holds(condition: Expression, known: Mapping[str, float]) -> bool:
    return bool(scalar(condition, known))


def _shown(name: str, value: float, quantity: Quantity) -> str:
    return f"{name} = {value / float(quantity.unit.factor):.6g} {quantity.unit.text}".strip()
