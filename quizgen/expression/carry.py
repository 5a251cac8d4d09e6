"""The second route to a value: a walk of the tree that carries value and unit together.

Where `evaluate` turns everything into coherent SI first, this walk keeps the units as printed:
0.6 A/% times 53 % multiplies 0.6 by 53 and A/% by %. The two meet only at the end, so a wrong
factor in one of them shows. Scalars only; it runs on what is shipped.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

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


@dataclass(frozen=True, slots=True)
class Carried:
    """A number counted in a unit of `factor` times the coherent SI unit of `dimension`."""

    number: float
    factor: Fraction | float = Fraction(1)
    dimension: Dimension = NONE

    def counted_in(self, factor: Fraction | float) -> float:
        return self.number if factor == self.factor else self.number * float(self.factor / factor)


def carried(number: float, unit: Unit) -> Carried:
    return Carried(number, unit.factor, unit.dimension)


def carry(tree: Expression, known: Mapping[str, Carried]) -> Carried:
    """Value and unit of the tree. Raises ValueError, ZeroDivisionError, OverflowError where undefined,
    and TypeError where dimensions clash, which `dimension.sort_of` has ruled out before."""
    match tree:
        case Number(value=value):
            return Carried(value)
        case Measure(value=value, unit=unit):
            return carried(value, unit)
        case Constant():
            return Carried(math.pi)
        case Name(id=id):
            return known[id]
        case Negative(of=of):
            inner = carry(of, known)
            return Carried(-inner.number, inner.factor, inner.dimension)
        case Binary(op=op, left=left, right=right):
            return _binary(op, carry(left, known), carry(right, known))
        case Call(function=function, arguments=arguments):
            return _call(function, [carry(a, known) for a in arguments])
        case _:
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
            held = [compare(sign, a.number, b.counted_in(a.factor)) for sign, a, b in counted]
            return all(held)
        case _:
            raise TypeError("a value is no condition")


def _binary(op: str, a: Carried, b: Carried) -> Carried:
    if op in "+-":
        if a.dimension != b.dimension:
            raise TypeError("dimensions differ")
        other = b.counted_in(a.factor)
        return Carried(finite(a.number + other if op == "+" else a.number - other), a.factor, a.dimension)
    if op == "*":
        dimension = tuple(x + y for x, y in zip(a.dimension, b.dimension, strict=True))
        return Carried(finite(a.number * b.number), a.factor * b.factor, dimension)
    if op == "/":
        dimension = tuple(x - y for x, y in zip(a.dimension, b.dimension, strict=True))
        return Carried(finite(a.number / b.number), a.factor / b.factor, dimension)
    power = b.counted_in(Fraction(1))
    if a.dimension == NONE:
        return Carried(math.pow(a.counted_in(Fraction(1)), power))
    whole = int(power)
    return Carried(math.pow(a.number, whole), a.factor**whole, tuple(whole * d for d in a.dimension))


def _call(function: str, parts: list[Carried]) -> Carried:
    first = parts[0]
    if function in ("min", "max"):
        pick = min if function == "min" else max
        return pick(parts, key=lambda p: p.counted_in(first.factor))
    if function == "abs":
        return Carried(abs(first.number), first.factor, first.dimension)
    if function == "sqrt":
        half = tuple(d // 2 for d in first.dimension)
        return Carried(math.sqrt(first.counted_in(Fraction(1))), Fraction(1), half)
    number = first.counted_in(Fraction(1))
    plain = {
        "exp": math.exp, "ln": math.log, "log10": math.log10,
        "sin": math.sin, "cos": math.cos, "tan": math.tan,
        "asin": math.asin, "acos": math.acos, "atan": math.atan,
        "floor": floor, "ceil": ceil, "round": round_half_up,
    }[function]  # fmt: skip
    return Carried(plain(number))
