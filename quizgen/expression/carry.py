"""The second route to a value: a walk of the tree that carries value and unit together.

Where `evaluate` turns everything into coherent SI first, this walk keeps the units as printed:
0.6 A/% times 53 % multiplies 0.6 by 53 and A/% by %. The two meet only at the end, so a wrong
factor in one of them shows. Scalars only; it runs on what is shipped.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
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
        return self.number if self.scale is other.scale else self.number * _ratio(self.scale, other.scale)


@lru_cache(maxsize=4096)
def _ratio(one: Scale, other: Scale) -> float:
    return float(one.factor / other.factor)


def carried(number: float, unit: Unit) -> Carried:
    return Carried(number, scale_of(unit.factor, unit.dimension))


Walk = Callable[[Mapping[str, Carried]], Carried]
"""What gives the value of the tree it was made for, from all that is known."""

_KEPT: dict[int, tuple[Expression, Walk]] = {}
_MOST_KEPT = 8192


def carry(tree: Expression, known: Mapping[str, Carried]) -> Carried:
    """Value and unit of the tree. Raises ValueError, ZeroDivisionError, OverflowError where undefined,
    and TypeError where dimensions clash, which `dimension.sort_of` has ruled out before."""
    # Kept by identity, and the tree with it, so that no other can take its place.
    kept = _KEPT.get(id(tree))
    if kept is None or kept[0] is not tree:
        if len(_KEPT) >= _MOST_KEPT:
            _KEPT.clear()
        kept = _KEPT[id(tree)] = (tree, _walk(tree))
    return kept[1](known)


def _walk(tree: Expression) -> Walk:
    """Nested functions that do what the tree says: several times faster than looking at it each time."""
    match tree:
        case Number(value=value):
            plain = Carried(value)
            return lambda known: plain
        case Measure(value=value, unit=unit):
            measured = carried(value, unit)
            return lambda known: measured
        case Constant():
            constant = Carried(math.pi)
            return lambda known: constant
        case Name(id=id):
            return operator.itemgetter(id)
        case Negative(of=of):
            inner = _walk(of)
            return lambda known: _negative(inner(known))
        case Binary(op="*" | "/" as op, left=left, right=right):
            return _scaled(op, _walk(left), _walk(right))
        case Binary(op="+" | "-" as op, left=left, right=right):
            one, other = _walk(left), _walk(right)
            return lambda known: added(op, one(known), other(known))
        case Binary(left=left, right=right):
            base, power = _walk(left), _walk(right)
            return lambda known: _raised(base(known), power(known))
        case Call(function=function, arguments=arguments):
            parts = [_walk(argument) for argument in arguments]
            return lambda known: _called(function, [part(known) for part in parts])
        case _:
            return _condition


def _negative(of: Carried) -> Carried:
    return Carried(-of.number, of.scale)


def _scaled(op: str, left: Walk, right: Walk) -> Walk:
    """Product or quotient. A place in a formula nearly always meets the same two units: the last ones are kept."""
    combine = operator.mul if op == "*" else operator.truediv
    last: tuple[Scale, Scale, Scale] = (PURE, PURE, PURE)

    def walk(known: Mapping[str, Carried]) -> Carried:
        nonlocal last
        a, one = left(known)
        b, other = right(known)
        if one is not last[0] or other is not last[1]:
            last = (one, other, _met(op, one, other))
        return Carried(finite(combine(a, b)), last[2])

    return walk


def _condition(known: Mapping[str, Carried]) -> Carried:
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


def _raised(a: Carried, b: Carried) -> Carried:
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


def _called(function: str, parts: Sequence[Carried]) -> Carried:
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
