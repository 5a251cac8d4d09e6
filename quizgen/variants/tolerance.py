"""How far an honest answer may lie from the key, found from the routes learners really take.

Four routes round on the way: every sub-result to the figures asked, with exact constants and with
3.14, 1.41, 1.73; and only the answers of earlier steps, with both kinds of constants. The tolerance
is half a unit of the last figure asked plus the largest gap of those routes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from quizgen.expression.evaluate import ROUGH
from quizgen.expression.tree import Call, Constant, Number, walk
from quizgen.expression.writing import Rounding
from quizgen.variants.laws import Law, values

MOST = 0.02
"""A tolerance is at most this share of the key."""


def round_figures(value: Any, figures: Any) -> Any:
    """Round half up to significant figures; zero, nan and inf stay. Arrays of one shape."""
    import numpy as np

    size = np.abs(value)
    decade = np.floor(np.log10(np.where((size > 0) & np.isfinite(size), size, 1.0)))
    scale = 10.0 ** (figures - 1 - decade)
    # 1e-9 keeps a binary 16.249999999 that means 16.25 on the upper side.
    return np.where(np.isfinite(size), np.floor(size * scale + 0.5 + 1e-9) / scale * np.sign(value), value)


def round_asked(value: Any, law: Law) -> Any:
    """Round SI values as the step asks, in the unit asked for."""
    import numpy as np

    factor, rounding = float(law.step.unit.factor), law.step.rounding
    if rounding.figures:
        return round_figures(value / factor, rounding.figures) * factor
    step = float(rounding.step)
    counted = value / factor
    return np.floor(np.abs(counted) / step + 0.5 + 1e-9) * step * np.sign(counted) * factor


def half_place(value: Any, law: Law) -> Any:
    """Half a unit of the last figure asked, in SI."""
    import numpy as np

    factor, rounding = float(law.step.unit.factor), law.step.rounding
    if rounding.step:
        return np.full(np.shape(value), 0.5 * float(rounding.step) * factor)
    size = np.abs(value / factor)
    decade = np.floor(np.log10(np.where((size > 0) & np.isfinite(size), size, 1.0)) + 1e-12)
    return 0.5 * 10.0 ** (decade - rounding.figures + 1) * factor


def figures_shown(value: Any, rounding: Rounding, factor: float) -> Any:
    """How many figures an answer has: those asked, or those a step leaves, three at least."""
    import numpy as np

    if rounding.figures:
        return rounding.figures
    counted = np.abs(value / factor) / float(rounding.step)
    safe = np.where((counted >= 1) & np.isfinite(counted), counted, 1.0)
    return np.clip(np.floor(np.log10(safe)) + 1, 3, 9)


def rough_matters(law: Law) -> bool:
    """Whether the step holds a constant that learners round."""
    trees = [law.form.right] if law.form else [c.then.right for c in law.cases if not isinstance(c.then, str)]
    return any(
        isinstance(node, Constant)
        or (isinstance(node, Call) and node.function == "sqrt" and isinstance(node.arguments[0], Number))
        for tree in trees
        for node in walk(tree)
    )


@dataclass(frozen=True, slots=True)
class Route:
    """One way of rounding while working: `inside` rounds sub-results, `rough` takes 3.14 for π."""

    inside: bool
    rough: bool


def routes_for(laws: Sequence[Law]) -> tuple[Route, ...]:
    rough = any(rough_matters(law) for law in laws)
    made = [Route(True, False)]
    if len(laws) > 1:
        made.append(Route(False, False))
    if rough:
        made += [Route(True, True), Route(False, True)]
    return tuple(made)


def tolerances(laws: Sequence[Law], givens: Mapping[str, Any], keys: Sequence[Any], size: int) -> list[Any]:
    """For each step an array of tolerances in SI."""
    import numpy as np

    gaps = [np.zeros(size) for _ in laws]
    for route in routes_for(laws):
        known = dict(givens)
        for index, law in enumerate(laws):
            figures = figures_shown(keys[index], law.step.rounding, float(law.step.unit.factor))

            def each(value: Any, figures: Any = figures) -> Any:
                return round_figures(value, figures)

            raw, _ = values(law, known, size, each if route.inside else None, ROUGH if route.rough else None)
            gaps[index] = np.fmax(gaps[index], np.abs(raw - keys[index]))
            # A table's or a word's answer is read, not rounded: it goes on as it is.
            known[law.step.find] = round_asked(raw, law) if law.table is None else raw
    return [
        np.full(size, law.step.within) if law.step.within is not None else half_place(key, law) + gap
        for law, key, gap in zip(laws, keys, gaps, strict=True)
    ]
