"""The value of a tree in coherent SI, for one draw or for arrays of draws.

One walk serves both; only the table of functions differs: `math` for one draw (`scalar`), NumPy for
arrays of draws (`arrays`). NumPy is imported only when arrays are asked for, so that a warm build
never loads it.

Three rules keep every route (here, `carry`, and the page's `stack.js`) together on the edges:

* A value is undefined as soon as any operation in it has no real, finite result, even where a later
  operation would hide it, as 1 / exp(1000) would. For arrays and programs an undefined value is nan,
  and a condition that rests on one does not hold.
* Comparisons take two values for equal that differ by at most 1e-12 of the larger one.
* round, floor and ceil take a value for whole (or for half) that is nearer to it than 1e-12 of
  itself, or than 1e-12: 0.3 / 0.1 is 3.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Mapping, Sequence
from typing import Any

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

NOISE = 1e-12
"""What two ways of computing one value may differ by, as a part of the value."""

ROUGH = {"pi": 3.14, "sqrt 2": 1.41, "sqrt 3": 1.73}
"""Constants as learners often take them."""


def scalar(tree: Expression, values: Mapping[str, float]) -> float:
    """Value of the tree for one set of SI values; True or False for a condition.

    Raises ValueError, ZeroDivisionError or OverflowError where the value is undefined.
    """
    result: float = _value(tree, values, MATHS, finite, {})
    return result


def arrays(
    tree: Expression,
    values: Mapping[str, Any],
    each: Callable[[Any], Any] | None = None,
    rough: Mapping[str, float] | None = None,
    last: bool = True,
) -> Any:
    """Values of the tree for arrays of SI values, all of one shape or scalar.

    each: applied to the result of every operation (a rounding, say), of the outermost one only if `last`;
    rough: values for constants (`ROUGH`).
    """
    import numpy as np

    maths = _numpy_functions()
    try:
        with np.errstate(all="raise", under="ignore"):
            return _value(tree, values, maths, each, rough or {}, last)
    except FloatingPointError:
        # At least one draw is undefined somewhere: walk again and remember which.
        defined: Any = np.True_

        def watched(result: Any) -> Any:
            nonlocal defined
            result = each(result) if each else result
            defined = defined & np.isfinite(result)
            return result

        with np.errstate(all="ignore"):
            result = _value(tree, values, maths, watched, rough or {}, last)
            defined = defined & np.isfinite(result)
        return result & defined if isinstance(tree, Chain | Logic) else np.where(defined, result, np.nan)


def arrays_of(trees: Sequence[Expression], values: Mapping[str, Any]) -> list[Any]:
    """`arrays` of several trees over the same values, with the cost of setting NumPy's error state paid once."""
    import numpy as np

    maths = _numpy_functions()
    try:
        with np.errstate(all="raise", under="ignore"):
            return [_value(tree, values, maths, None, {}) for tree in trees]
    except FloatingPointError:
        return [arrays(tree, values) for tree in trees]


Worker = Callable[[Mapping[str, Any], Mapping[str, Any], Any, Mapping[str, float]], Any]
"""(values, maths, each, rough) → the value of the tree it was made for."""

_WORKERS: dict[tuple[int, bool], tuple[Expression, Worker]] = {}
_MOST_WORKERS = 4096


def _value(
    tree: Expression,
    values: Mapping[str, Any],
    maths: Mapping[str, Any],
    each: Any,
    rough: Mapping[str, float],
    last: bool = True,
) -> Any:
    """Work the tree. Its worker is kept by identity (the tree is kept too, so no other can take its place)."""
    key = (id(tree), last)
    kept = _WORKERS.get(key)
    if kept is None or kept[0] is not tree:
        if len(_WORKERS) >= _MOST_WORKERS:
            _WORKERS.clear()
        kept = _WORKERS[key] = (tree, _worker(tree, last))
    return kept[1](values, maths, each, rough)


def _worker(tree: Expression, last: bool = True) -> Worker:
    """A function that does what the tree says: walking nested functions is several times faster than a tree.

    Where `each` is asked for, it is applied to the outermost operation only if `last`.
    """
    match tree:
        case Binary(op=op, left=left, right=right):
            return _operation(op, (_worker(left), _worker(right)), rounds=last)
        case Name(id=id):
            return lambda values, maths, each, rough: values[id]
        case Number(value=value):
            return lambda values, maths, each, rough: value
        case Measure():
            si = tree.si
            return lambda values, maths, each, rough: si
        case Constant():
            return lambda values, maths, each, rough: rough.get("pi", math.pi)
        case Negative(of=of):
            inner = _worker(of)
            return lambda values, maths, each, rough: -inner(values, maths, each, rough)
        case Call(function="sqrt", arguments=(Number(text=text) as only,)):
            root, key = _operation("sqrt", (_worker(only),), rounds=last), f"sqrt {text}"
            return lambda values, maths, each, rough: rough[key] if key in rough else root(values, maths, each, rough)
        case Call(function=function, arguments=arguments):
            rounds = last and function not in ("min", "max", "abs")
            return _operation(function, tuple(map(_worker, arguments)), rounds)
        case Chain(terms=terms, signs=signs):
            return _chain(signs, tuple(map(_worker, terms)))
        case Logic(op=op, parts=parts):
            workers = tuple(map(_worker, parts))
            return lambda values, maths, each, rough: maths[op]([w(values, maths, each, rough) for w in workers])
        case _:
            raise TypeError(tree)


def _operation(name: str, parts: tuple[Worker, ...], rounds: bool) -> Worker:
    if len(parts) == 2:
        first, second = parts

        def two(values: Mapping[str, Any], maths: Mapping[str, Any], each: Any, rough: Mapping[str, float]) -> Any:
            result = maths[name](first(values, maths, each, rough), second(values, maths, each, rough))
            return each(result) if each and rounds else result

        return two

    def work(values: Mapping[str, Any], maths: Mapping[str, Any], each: Any, rough: Mapping[str, float]) -> Any:
        result = maths[name](*[part(values, maths, each, rough) for part in parts])
        return each(result) if each and rounds else result

    return work


def _chain(signs: tuple[str, ...], terms: tuple[Worker, ...]) -> Worker:
    def work(values: Mapping[str, Any], maths: Mapping[str, Any], each: Any, rough: Mapping[str, float]) -> Any:
        made = [term(values, maths, each, rough) for term in terms]
        return maths["and"]([maths[s](a, b) for s, a, b in zip(signs, made, made[1:], strict=False)])

    return work


def finite(value: float) -> float:
    """The value itself. Raises OverflowError where it is too big for a number."""
    if not math.isfinite(value):
        raise OverflowError("the result is too big")
    return value


def equal(a: float, b: float) -> bool:
    """Whether two values are the same but for noise."""
    return abs(a - b) <= NOISE * max(abs(a), abs(b))


def compare(sign: str, a: float, b: float) -> bool:
    """`sign` is one of < <= > >= =; values that are `equal` are neither smaller nor greater."""
    if equal(a, b):
        return sign in ("<=", ">=", "=")
    return a < b if sign in ("<", "<=") else a > b if sign in (">", ">=") else False


def floor(value: float) -> float:
    """The whole number below, unless the value is one but for noise."""
    near = math.floor(value + 0.5)
    return float(near if abs(value - near) <= NOISE * max(1.0, abs(value)) else math.floor(value))


def ceil(value: float) -> float:
    return -floor(-value)


def round_half_up(value: float) -> float:
    """The nearest whole number, half away from zero."""
    return math.copysign(floor(abs(value) + 0.5), value)


MATHS: dict[str, Any] = {
    # math.pow, not **: a negative number to a broken power has no real value, and ** makes it complex.
    "+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv, "^": math.pow,
    "sqrt": math.sqrt, "exp": math.exp, "ln": math.log, "log10": math.log10,
    "sin": math.sin, "cos": math.cos, "tan": math.tan,
    "asin": math.asin, "acos": math.acos, "atan": math.atan,
    "abs": abs, "min": min, "max": max, "round": round_half_up, "floor": floor, "ceil": ceil,
    "and": all, "or": any,
    **{sign: (lambda a, b, sign=sign: compare(sign, a, b)) for sign in ("<", "<=", ">", ">=", "=")},
}  # fmt: skip
"""What every operation means for one draw. Raises ValueError, ZeroDivisionError, OverflowError."""


_NUMPY: dict[str, Any] = {}


def _numpy_functions() -> Mapping[str, Any]:
    """The same table for arrays. Every operation is NumPy's own, so that none escapes its error state."""
    if _NUMPY:
        return _NUMPY
    import functools

    import numpy as np

    def equals(a: Any, b: Any) -> Any:
        return np.abs(np.subtract(a, b)) <= NOISE * np.maximum(np.abs(a), np.abs(b))

    def floors(value: Any) -> Any:
        near = np.floor(np.add(value, 0.5))
        return np.where(np.abs(value - near) <= NOISE * np.maximum(1.0, np.abs(value)), near, np.floor(value))

    _NUMPY.update({
        "+": np.add, "-": np.subtract, "*": np.multiply, "/": np.true_divide,
        "^": lambda a, b: np.power(np.asarray(a, float), b),
        "sqrt": np.sqrt, "exp": np.exp, "ln": np.log, "log10": np.log10,
        "sin": np.sin, "cos": np.cos, "tan": np.tan,
        "asin": np.arcsin, "acos": np.arccos, "atan": np.arctan,
        "abs": np.abs, "floor": floors, "ceil": lambda a: -floors(np.negative(a)),
        "round": lambda a: np.copysign(floors(np.abs(a) + 0.5), a),
        "min": lambda *a: functools.reduce(np.minimum, a),
        "max": lambda *a: functools.reduce(np.maximum, a),
        "and": lambda a: functools.reduce(np.logical_and, a),
        "or": lambda a: functools.reduce(np.logical_or, a),
        "=": equals,
        "<": lambda a, b: np.less(a, b) & ~equals(a, b),
        "<=": lambda a, b: np.less(a, b) | equals(a, b),
        ">": lambda a, b: np.greater(a, b) & ~equals(a, b),
        ">=": lambda a, b: np.greater(a, b) | equals(a, b),
    })  # fmt: skip
    return _NUMPY
