"""Bare NumPy for a tree: one plain Python expression over arrays, as a person would write it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from quizgen.expression.evaluate import ROUGH
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

_FUNCTIONS = {"ln": "log", "asin": "arcsin", "acos": "arccos", "atan": "arctan", "min": "minimum", "max": "maximum"}
Work = Callable[[Mapping[str, Any]], None]


def bare(trees: list[tuple[Expression, bool, int]]) -> Work:
    """A function that evaluates all trees on a mapping of arrays.

    The flag takes 3.14 for π and so on; a number of figures rounds every sub-result to them.
    """
    lines = ["def work(v):"]
    lines += [f"    {_source(tree, ROUGH if rough else {}, figures)}" for tree, rough, figures in trees]
    made: dict[str, Any] = {"np": np, "r": _rounded}
    # The sources come from trees our own parser made; nothing of an author's text is in them but names.
    exec("\n".join(lines), made)
    return made["work"]  # type: ignore[no-any-return]


def _rounded(value: Any, figures: int) -> Any:
    scale = 10.0 ** (figures - 1 - np.floor(np.log10(np.abs(value))))
    return np.floor(value * scale + 0.5) / scale


def _source(tree: Expression, rough: Mapping[str, float], figures: int) -> str:
    made = _operation(tree, rough, figures)
    return f"r({made}, {figures})" if figures and isinstance(tree, Binary | Call) else made


def _operation(tree: Expression, rough: Mapping[str, float], figures: int) -> str:
    match tree:
        case Number(value=value):
            return repr(value)
        case Measure():
            return repr(tree.si)
        case Constant():
            return repr(rough.get("pi", np.pi))
        case Name(id=id):
            return f"v[{id!r}]"
        case Negative(of=of):
            return f"(-{_source(of, rough, figures)})"
        case Binary(op=op, left=left, right=right):
            sign = "**" if op == "^" else op
            return f"({_source(left, rough, figures)} {sign} {_source(right, rough, figures)})"
        case Call(function="sqrt", arguments=(Number(text=text),)) if f"sqrt {text}" in rough:
            return repr(rough[f"sqrt {text}"])
        case Call(function=function, arguments=arguments):
            name = f"np.{_FUNCTIONS.get(function, function)}"
            made = _source(arguments[0], rough, figures)
            if len(arguments) == 1:
                return f"{name}({made})"
            for argument in arguments[1:]:
                made = f"{name}({made}, {_source(argument, rough, figures)})"
            return made
        case Chain(terms=terms, signs=signs):
            pairs = zip(signs, terms, terms[1:], strict=False)
            parts = (
                f"({_source(a, rough, figures)} {'==' if s == '=' else s} {_source(b, rough, figures)})"
                for s, a, b in pairs
            )
            return "(" + " & ".join(parts) + ")"
        case Logic(op=op, parts=parts):
            return "(" + (" & " if op == "and" else " | ").join(_source(p, rough, figures) for p in parts) + ")"
        case _:
            raise TypeError(tree)
