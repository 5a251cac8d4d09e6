"""The second route to a value: a walk of the tree that carries value and unit together.

Where `evaluate` turns everything into coherent SI first, this walk keeps the units as printed:
0.6 A/% times 53 % multiplies 0.6 by 53 and A/% by %. The two meet only at the end, so a wrong
factor in one of them shows. Scalars only; it runs on what is shipped.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from quizgen.expression.evaluate import ceil, compare, finite, floor, round_half_up
from quizgen.expression.tree import (
    Binary,
    Call,
    Chain,
    Constant,
    Expression,
    Logic,
    Measure,
    Name,
    Negative,
    Number,
)
from quizgen.expression.units import NONE, Dimension, Unit

Factor = Fraction | float


@dataclass(frozen=True, slots=True, eq=False)
class Scale:
    """A unit as a number is carried in: `factor` times the coherent SI unit of `dimension`. There is one
    object for each, so that what two of them give is worked out once, however many numbers meet."""

    factor: Factor
    dimension: Dimension
    to_si: float
    """The factor as a number; 1.0 for a coherent unit."""


_SCALES: dict[tuple[type, Factor, Dimension], Scale] = {}
_MET: dict[tuple[str, Scale, Any], Scale] = {}
"""What two scales give: product and quotient, and a scale to a whole power."""


def scale_of(factor: Factor, dimension: Dimension) -> Scale:
    key = (factor.__class__, factor, dimension)
    found = _SCALES.get(key)
    if found is None:
        found = _SCALES[key] = Scale(factor, dimension, float(factor))
    return found


PURE = scale_of(Fraction(1), NONE)


class Carried(NamedTuple):
    """A number with the unit it is counted in."""

    number: float
    scale: Scale = PURE

    @property
    def factor(self) -> Factor:
        return self.scale.factor

    @property
    def dimension(self) -> Dimension:
        return self.scale.dimension

    def counted_in(self, factor: Factor) -> float:
        own = self.scale.factor
        return self.number if factor == own else self.number * float(own / factor)

    def in_si(self) -> float:
        """The number counted in the coherent SI unit."""
        return self.number if self.scale.to_si == 1 else self.number * self.scale.to_si

    def beside(self, other: Carried) -> float:
        """The number counted in the unit of the other."""
        return self.number if self.scale is other.scale else self.counted_in(other.scale.factor)


def carried(number: float, unit: Unit) -> Carried:
    return Carried(number, scale_of(unit.factor, unit.dimension))


def carry(tree: Expression, known: Mapping[str, Carried]) -> Carried:
    """Value and unit of the tree. Raises ValueError, ZeroDivisionError, OverflowError where undefined,
    and TypeError where dimensions clash, which `dimension.sort_of` has ruled out before."""
    return _WALKS[tree.__class__](tree, known)


def _negative(tree: Negative, known: Mapping[str, Carried]) -> Carried:
    number, scale = carry(tree.of, known)
    return Carried(-number, scale)


def _condition(tree: Expression, known: Mapping[str, Carried]) -> Carried:
    raise TypeError("a condition carries no unit")


def holds(tree: Expression, known: Mapping[str, Carried]) -> bool:
    """Whether a condition holds, each comparison made in the unit of its left side."""
    match tree:
        case Logic(op=op, parts=parts):
            # A list, so that every part is looked at: one that is undefined makes the whole undefined.
            return (all if op == "and" else any)([holds(part, known) for part in parts])
        case Chain(terms=terms, signs=signs):
            values = [carry(term, known) for term in terms]
            counted = zip(signs, values, values[1:], strict=False)
            held = [compare(sign, a.number, b.beside(a)) for sign, a, b in counted]
            return all(held)
        case _:
            raise TypeError("a value is no condition")


def _binary(tree: Binary, known: Mapping[str, Carried]) -> Carried:
    op, a, b = tree.op, carry(tree.left, known), carry(tree.right, known)
    if op == "*":
        return Carried(finite(a.number * b.number), _met(op, a.scale, b.scale))
    if op == "/":
        return Carried(finite(a.number / b.number), _met(op, a.scale, b.scale))
    if op in "+-":
        return added(op, a, b)
    power = b.in_si()
    if a.scale.dimension == NONE:
        return Carried(math.pow(a.in_si(), power))
    return Carried(math.pow(a.number, int(power)), _met("^", a.scale, int(power)))


def added(op: str, a: Carried, b: Carried) -> Carried:
    """Sum or difference, counted in the unit of the first."""
    if a.scale.dimension != b.scale.dimension:
        raise TypeError("dimensions differ")
    other = b.beside(a)
    return Carried(finite(a.number + other if op == "+" else a.number - other), a.scale)


def _met(op: str, a: Scale, b: Scale | int) -> Scale:
    key = (op, a, b)
    found = _MET.get(key)
    if found is None:
        if isinstance(b, int):
            found = scale_of(a.factor**b, tuple(b * d for d in a.dimension))
        elif op == "*":
            both = zip(a.dimension, b.dimension, strict=True)
            found = scale_of(a.factor * b.factor, tuple(x + y for x, y in both))
        else:
            both = zip(a.dimension, b.dimension, strict=True)
            found = scale_of(a.factor / b.factor, tuple(x - y for x, y in both))
        _MET[key] = found
    return found


_PLAIN: dict[str, Callable[[float], float]] = {
    "exp": math.exp, "ln": math.log, "log10": math.log10,
    "sin": math.sin, "cos": math.cos, "tan": math.tan,
    "asin": math.asin, "acos": math.acos, "atan": math.atan,
    "floor": floor, "ceil": ceil, "round": round_half_up,
}  # fmt: skip


def _call(tree: Call, known: Mapping[str, Carried]) -> Carried:
    function, parts = tree.function, [carry(a, known) for a in tree.arguments]
    first = parts[0]
    if function in ("min", "max"):
        pick = min if function == "min" else max
        return pick(parts, key=lambda part: part.beside(first))
    if function == "abs":
        return Carried(abs(first.number), first.scale)
    if function == "sqrt":
        half = tuple(d // 2 for d in first.scale.dimension)
        return Carried(math.sqrt(first.in_si()), scale_of(Fraction(1), half))
    return Carried(_PLAIN[function](first.in_si()))


_WALKS: dict[type, Callable[[Any, Mapping[str, Carried]], Carried]] = {
    Number: lambda tree, known: Carried(tree.value),
    Measure: lambda tree, known: carried(tree.value, tree.unit),
    Constant: lambda tree, known: Carried(math.pi),
    Name: lambda tree, known: known[tree.id],
    Negative: _negative,
    Binary: _binary,
    Call: _call,
    Chain: _condition,
    Logic: _condition,
}
