"""What a tree measures: its dimension, and whether a bare number may stand beside it.

Two rules beyond plain dimensions keep learners' and authors' slips out:

* A bare number is never added to, subtracted from or compared with something in %, ° or °C.
* A Celsius temperature counts kelvins above 0 °C. It may be shifted by kelvins and two of them
  may be subtracted; it is never multiplied, divided, negated or added to another one.

Dimensions stay within `MAX_POWER` of each base unit, so that no formula of an author can make
factors of a thousand digits.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from quizgen.expression.parse import ExpressionError
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
from quizgen.expression.units import NONE, Dimension, Unit, dimension_text

BARE = "bare"
MAX_POWER = 12


@dataclass(frozen=True, slots=True)
class Sort:
    """Dimension plus kind: "bare" (only numbers), "%", "°", "°C", or "" for everything else."""

    dimension: Dimension
    kind: str


def sort_of_unit(unit: Unit) -> Sort:
    return Sort(unit.dimension, unit.kind)


def sort_of(tree: Expression, known: Mapping[str, Sort]) -> Sort:
    """The sort of a value. `known` gives each name's sort. Raises ExpressionError with the place."""
    match tree:
        case Number() | Constant():
            return Sort(NONE, BARE)
        case Measure(unit=unit):
            return sort_of_unit(unit)
        case Name(id=id, at=at):
            if id not in known:
                raise ExpressionError(f'"{id}" is not known here', at)
            return known[id]
        case Negative(of=of, at=at):
            inner = sort_of(of, known)
            _no_celsius(inner, at)
            return inner
        case Binary(op="+" | "-" as op, left=left, right=right, at=at):
            return _shifted(op, sort_of(left, known), sort_of(right, known), at)
        case Binary(op="*" | "/" as op, left=left, right=right, at=at):
            return _scaled(op, sort_of(left, known), sort_of(right, known), at)
        case Binary(op="^", left=left, right=right, at=at):
            return _raised(sort_of(left, known), right, sort_of(right, known), at)
        case Call(function=function, arguments=arguments, at=at):
            return _called(function, tuple(sort_of(a, known) for a in arguments), at)
        case _:
            raise ExpressionError("a value is expected here, not a comparison", tree.at)


def check_condition(tree: Expression, known: Mapping[str, Sort]) -> None:
    """Raise ExpressionError unless every comparison compares like with like."""
    match tree:
        case Logic(parts=parts):
            for part in parts:
                check_condition(part, known)
        case Chain(terms=terms):
            first = sort_of(terms[0], known)
            for term in terms[1:]:
                second = sort_of(term, known)
                _same(first, second, "compared with", term.at)
                if "°C" in (first.kind, second.kind) and first.kind != second.kind:
                    message = "a Celsius temperature is compared with another one: write both in °C"
                    raise ExpressionError(message, term.at)
                first = second if first.kind == BARE else first
        case _:
            raise ExpressionError("a comparison is expected here", tree.at)


def check_gives(tree: Expression, known: Mapping[str, Sort], wanted: Sort, name: str) -> None:
    """Raise ExpressionError unless the tree measures what `name` is declared to measure."""
    got = sort_of(tree, known)
    if got.dimension != wanted.dimension:
        raise ExpressionError(
            f"the right side gives {dimension_text(got.dimension)}, "
            f"but {name} is measured in {dimension_text(wanted.dimension)}",
            tree.at,
        )
    if got.kind == BARE and wanted.kind in ("%", "°"):
        raise ExpressionError(
            f"the right side is a bare number, but {name} is in {wanted.kind}: give it its unit", tree.at
        )
    if got.kind == "°C" and wanted.kind != "°C":
        raise ExpressionError(
            f"{name} is in K, but this is a Celsius temperature: add 273.15 K, or subtract another one",
            tree.at,
        )


def _no_celsius(sort: Sort, at: int) -> None:
    if sort.kind == "°C":
        raise ExpressionError(
            "a Celsius temperature is never multiplied, divided or negated: "
            "subtract another temperature first, or add 273.15 K",
            at,
        )


def _same(a: Sort, b: Sort, doing: str, at: int) -> None:
    for one, other in ((a, b), (b, a)):
        if one.kind == BARE and (other.kind in ("%", "°", "°C") or other.dimension != NONE):
            unit = other.kind if other.kind not in ("", BARE) else dimension_text(other.dimension)
            unit = "K" if unit == "°C" and doing != "compared with" else unit
            raise ExpressionError(f"a bare number is {doing} a quantity in {unit}: give it its unit", at)
    if a.dimension != b.dimension:
        what = f"{dimension_text(b.dimension)} is {doing} {dimension_text(a.dimension)}"
        raise ExpressionError(f"{what}: both must measure the same: look at * and / beside them", at)


def _shifted(op: str, a: Sort, b: Sort, at: int) -> Sort:
    _same(a, b, "added to" if op == "+" else "subtracted from", at)
    if "°C" in (a.kind, b.kind):
        if op == "+" and a.kind == b.kind:
            raise ExpressionError("two Celsius temperatures are never added: a difference is in K", at)
        if op == "-" and a.kind != "°C":
            raise ExpressionError("a Celsius temperature is only subtracted from another one", at)
        return Sort(a.dimension, "")
    kinds = {a.kind, b.kind} - {BARE}
    return Sort(a.dimension, BARE if not kinds else kinds.pop() if len(kinds) == 1 else "")


def _scaled(op: str, a: Sort, b: Sort, at: int) -> Sort:
    _no_celsius(a, at)
    _no_celsius(b, at)
    sign = -1 if op == "/" else 1
    dimension = _bounded(tuple(x + sign * y for x, y in zip(a.dimension, b.dimension, strict=True)), at)
    kind = ""
    if b.kind == BARE:
        kind = a.kind
    elif a.kind == BARE and op == "*":
        kind = b.kind
    return Sort(dimension, kind)


def _raised(base: Sort, exponent: Expression, exponent_sort: Sort, at: int) -> Sort:
    _no_celsius(base, at)
    if exponent_sort.dimension != NONE:
        raise ExpressionError("an exponent is a pure number", at)
    if base.dimension == NONE:
        return Sort(NONE, BARE if base.kind == BARE and exponent_sort.kind == BARE else "")
    power = exponent.value if isinstance(exponent, Number) else None
    if isinstance(exponent, Negative) and isinstance(exponent.of, Number):
        power = -exponent.of.value
    if power is None or power != int(power):
        raise ExpressionError("a quantity with a unit takes a whole number as exponent", at)
    return Sort(_bounded(tuple(int(power) * d for d in base.dimension), at), "")


def _bounded(dimension: Dimension, at: int) -> Dimension:
    if any(abs(power) > MAX_POWER for power in dimension):
        raise ExpressionError(f"this makes a unit to a power above {MAX_POWER}", at)
    return dimension


def _called(function: str, arguments: tuple[Sort, ...], at: int) -> Sort:
    first = arguments[0]
    if function in ("min", "max"):
        for other in arguments[1:]:
            _same(first, other, "compared with", at)
            if "°C" in (first.kind, other.kind) and first.kind != other.kind:
                raise ExpressionError("a Celsius temperature is only compared with another one", at)
        return first if all(a.kind == first.kind for a in arguments) else Sort(first.dimension, "")
    _no_celsius(first, at)
    if function == "abs":
        return first
    if function == "sqrt":
        if any(d % 2 for d in first.dimension):
            raise ExpressionError(f"no root can be taken of {dimension_text(first.dimension)}", at)
        return Sort(tuple(d // 2 for d in first.dimension), BARE if first.kind == BARE else "")
    if first.dimension != NONE:
        raise ExpressionError(f"{function}( ) takes a pure number, but this is {dimension_text(first.dimension)}", at)
    if function in ("sin", "cos", "tan"):
        if first.kind == BARE:
            raise ExpressionError(f"give the angle in {function}( ) its unit, like 60 °", at)
        return Sort(NONE, "")
    if function in ("asin", "acos", "atan"):
        return Sort(NONE, "°")
    if function in ("round", "floor", "ceil") and first.kind in ("%", "°"):
        # In coherent SI 53 % is 0.53, which rounds to 1.
        raise ExpressionError(f"{function}( ) counts whole ones: divide by 1 {first.kind} first", at)
    return Sort(NONE, BARE if first.kind == BARE else "")
