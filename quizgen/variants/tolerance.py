"""How far an honest answer may lie from the key, found from the routes learners really take.

Four routes round on the way: every sub-result to the figures asked, with exact constants and with
3.14, 1.41, 1.73; and only the answers of earlier steps, with both kinds of constants. Where minutes
meet hours or seconds, turning one into the other is a sub-result too: 38 min is 0.633 h to three
figures. The tolerance is half a unit of the last figure asked plus the largest gap of those routes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache as once
from typing import Any

from quizgen.expression.evaluate import ROUGH, arrays
from quizgen.expression.tree import (
    Binary,
    Call,
    Constant,
    Expression,
    Measure,
    Name,
    Negative,
    Number,
    names,
    walk,
)
from quizgen.expression.units import Unit
from quizgen.expression.writing import Rounding
from quizgen.variants.laws import Law, operation, values

MOST = 0.02
"""A tolerance is at most this share of the key."""


_MOST_DECADES = 340
"""No float has so many decades."""


@once
def _powers() -> Any:
    import numpy as np

    with np.errstate(all="ignore"):
        powers = 10.0 ** np.arange(-_MOST_DECADES, _MOST_DECADES + 1.0)
    powers[0] = powers[-1] = np.nan  # where what is no decade, an infinity or nan, is looked up
    return powers


def ten_to(decades: Any) -> Any:
    """Ten to whole numbers of decades: looked up, which takes half the time of working it out."""
    import numpy as np

    return _powers().take(np.asarray(decades + _MOST_DECADES).astype(np.intp), mode="clip")


def round_figures(value: Any, figures: Any) -> Any:
    """Round half up to significant figures; zero, nan and inf stay. Arrays of one shape."""
    import numpy as np

    size = np.abs(value)
    scale = ten_to(figures - 1 - np.floor(np.log10(size)))
    # 1e-9 keeps a binary 16.249999999 that means 16.25 on the upper side.
    rounded = np.copysign(np.floor(size * scale + (0.5 + 1e-9)) / scale, value)
    finite = np.isfinite(rounded)
    # Zero has no decade and infinity no figures: both came out as nan.
    return rounded if np.count_nonzero(finite) == finite.size else np.where(finite, rounded, value)


def round_asked(value: Any, law: Law) -> Any:
    """Round SI values as the step asks, in the unit asked for."""
    import numpy as np

    factor, rounding = law.factor, law.step.rounding
    if rounding.figures:
        return round_figures(value / factor, rounding.figures) * factor
    step = float(rounding.step)
    counted = value / factor
    return np.floor(np.abs(counted) / step + 0.5 + 1e-9) * step * np.sign(counted) * factor


def half_place(value: Any, law: Law) -> Any:
    """Half a unit of the last figure asked, in SI."""
    import numpy as np

    factor, rounding = law.factor, law.step.rounding
    if rounding.step:
        return np.full(np.shape(value), 0.5 * float(rounding.step) * factor)
    size = np.abs(value / factor)
    decade = np.floor(np.log10(np.where((size > 0) & np.isfinite(size), size, 1.0)) + 1e-12)
    return 0.5 * ten_to(decade - rounding.figures + 1) * factor


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


def sixties(factor: Fraction | float) -> int | None:
    """The power of 60 in a unit's factor, apart from powers of ten: 1 for min, 2 for h and kWh, -1 for L/min.

    0 for kW; None for a unit that holds another number, such as °.
    """
    for power in (0, 1, -1, 2, -2):
        rest = Fraction(factor) / Fraction(60) ** power
        if {str(rest.numerator).strip("0"), str(rest.denominator).strip("0")} == {"1"}:
            return power
    return None


def factor_as_printed(tree: Expression, factors: Mapping[str, Fraction | float]) -> Fraction | float:
    """What the result counts in where the numbers are taken as printed: kW times min gives 60 000 J."""
    match tree:
        case Name(id=id):
            return factors.get(id, Fraction(1))
        case Measure(unit=unit):
            return unit.factor
        case Negative(of=of):
            return factor_as_printed(of, factors)
        case Binary(op="*", left=left, right=right):
            return factor_as_printed(left, factors) * factor_as_printed(right, factors)
        case Binary(op="/", left=left, right=right):
            return factor_as_printed(left, factors) / factor_as_printed(right, factors)
        case Binary(op="+" | "-", left=left):
            return factor_as_printed(left, factors)
        case _:
            # Powers and functions are worked in SI.
            return Fraction(1)


def turns(law: Law, factors: Mapping[str, Fraction | float]) -> tuple[int, str, int] | None:
    """Whether minutes meet hours or seconds in a step: (power of 60 that comes out, a quantity that would
    have to be turned, the power it would be turned to); None where what comes out is what is asked."""
    asked = sixties(law.step.unit.factor)
    if law.form is None or asked is None:
        return None
    tree = law.form.right
    comes = sixties(factor_as_printed(tree, factors))
    if comes in (None, asked):
        return None
    for name in names(tree):
        has = sixties(factors.get(name, Fraction(1)))
        if has:
            more = sixties(factor_as_printed(tree, {**factors, name: factors[name] * 60}))
            if more is not None and abs(more - comes) == 1:
                return comes, name, has + (asked - comes) * (more - comes)
    return comes, "", 0


@dataclass(frozen=True, slots=True)
class Route:
    """One way of rounding while working.

    `inside` rounds sub-results; `rough` takes 3.14 for π. `clock` is for minutes that meet hours or
    seconds: "before" turns a given and rounds it, "after" works with the numbers as printed and turns
    the result.
    """

    inside: bool
    rough: bool
    clock: str = ""


def routes_for(laws: Sequence[Law], clock: bool = False) -> tuple[Route, ...]:
    """The routes of a question; `clock`: minutes meet hours or seconds in it."""
    rough = any(rough_matters(law) for law in laws)
    made = [Route(True, False)]
    if len(laws) > 1:
        made.append(Route(False, False))
    if rough:
        made += [Route(True, True), Route(False, True)]
    if clock:
        made += [Route(inside, False, when) for inside in (False, True) for when in ("before", "after")]
    return tuple(made)


@dataclass(frozen=True, slots=True)
class Routes:
    """The routes of a question with what can be known of them before any number is drawn."""

    routes: tuple[Route, ...]
    factors: Mapping[str, Fraction | float]
    """The unit each quantity is printed or asked in, as a factor to SI."""
    turned: tuple[tuple[int, str, int] | None, ...]
    """For each step what `turns` says."""


def routes_of(laws: Sequence[Law], units: Mapping[str, Unit]) -> Routes:
    """`units`: the printed unit of each given."""
    factors: dict[str, Fraction | float] = {name: unit.factor for name, unit in units.items()}
    factors |= {law.step.find: law.step.unit.factor for law in laws}
    turned = tuple(turns(law, factors) for law in laws)
    return Routes(routes_for(laws, any(turned)), factors, turned)


def tolerances(
    laws: Sequence[Law], routes: Routes, givens: Mapping[str, Any], keys: Sequence[Any], size: int
) -> list[Any]:
    """For each step an array of tolerances in SI."""
    import numpy as np

    gaps = [np.zeros(size) for _ in laws]
    for route in routes.routes:
        known = dict(givens)
        for index, law in enumerate(laws):
            raw = _worked(law, route, routes, index, known, keys[index], size)
            gaps[index] = np.fmax(gaps[index], np.abs(raw - keys[index]))
            # A table's or a word's answer is read, not rounded: it goes on as it is.
            if index + 1 < len(laws):
                known[law.step.find] = round_asked(raw, law) if law.table is None else raw
    return [
        np.full(size, law.step.within) if law.step.within is not None else half_place(key, law) + gap
        for law, key, gap in zip(laws, keys, gaps, strict=True)
    ]


def _worked(
    law: Law,
    route: Route,
    routes: Routes,
    index: int,
    known: Mapping[str, Any],
    key: Any,
    size: int,
) -> Any:
    """What a learner gets for one step on a route, in SI."""
    figures = figures_shown(key, law.step.rounding, law.factor)

    def each(value: Any) -> Any:
        return round_figures(value, figures)

    turned = routes.turned[index] if route.clock else None
    if turned and route.clock == "after" and law.form is not None:
        return _as_printed(law.form.right, known, routes.factors, each, route.inside)
    if turned and turned[1]:
        _, name, power = turned
        known = {**known, name: each(known[name] / 60.0**power) * 60.0**power}
    return values(law, known, size, each if route.inside else None, ROUGH if route.rough else None)[0]


def _as_printed(
    tree: Expression,
    known: Mapping[str, Any],
    factors: Mapping[str, Fraction | float],
    each: Any,
    inside: bool,
) -> Any:
    """The value in SI, worked with the numbers as printed; the result is rounded before it is turned."""

    def work(node: Expression) -> tuple[Any, Fraction | float]:
        factor = factor_as_printed(node, factors)
        match node:
            case Name(id=id):
                return known[id] / float(factor), factor
            case Measure(value=value):
                return value, factor
            case Negative(of=of):
                return -work(of)[0], factor
            case Binary(op="+" | "-" | "*" | "/" as op, left=left, right=right):
                (a, a_factor), (b, b_factor) = work(left), work(right)
                b = b * float(b_factor / a_factor) if op in "+-" else b
                number = arrays(operation(op), {"a": a, "b": b})
                return each(number) if inside else number, factor
            case _:
                return arrays(node, known, each if inside else None), factor

    number, factor = work(tree)
    return each(number) * float(factor)
