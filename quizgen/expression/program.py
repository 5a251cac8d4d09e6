"""A tree as a short list for the browser's stack machine.

Numbers push themselves (in coherent SI), names push a value, every other text is an operation on
what lies on top. The machine in `web/script/stack.js` knows exactly these operations.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Mapping

from quizgen.expression.evaluate import MATHS, finite
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

Program = list[float | str]
OPERATIONS = frozenset(
    "+ - * / ^ ~ sqrt exp ln log10 sin cos tan asin acos atan abs round floor ceil min max < <= > >= = and or".split()
)
"""`~` changes the sign. No quantity can bear one of these names: each is a sign or a word of the language."""


def program(tree: Expression) -> Program:
    """Postfix list of numbers, names and operations."""
    match tree:
        case Number(value=value):
            return [_short(value)]
        case Measure():
            return [_short(tree.si)]
        case Constant():
            # The value travels as a number, so that the machine needs no constants.
            return [3.141592653589793]
        case Name(id=id):
            return [id]
        case Negative(of=of):
            return [*program(of), "~"]
        case Binary(op=op, left=left, right=right):
            return [*program(left), *program(right), op]
        case Call(function=function, arguments=arguments) if function in ("min", "max"):
            made = program(arguments[0])
            for argument in arguments[1:]:
                made += [*program(argument), function]
            return made
        case Call(function=function, arguments=arguments):
            return [*program(arguments[0]), function]
        case Chain(terms=terms, signs=signs):
            made = []
            for index, sign in enumerate(signs):
                made += [*program(terms[index]), *program(terms[index + 1]), sign]
                made += ["and"] if index else []
            return made
        case Logic(op=op, parts=parts):
            made = program(parts[0])
            for part in parts[1:]:
                made += [*program(part), op]
            return made
        case _:
            raise TypeError(tree)


def _short(value: float) -> float:
    return int(value) if value == int(value) and abs(value) < 1e15 else value


_CONDITIONS = frozenset("< <= > >= = and or".split())
_ONE_VALUE = frozenset("~ sqrt exp ln log10 sin cos tan asin acos atan abs round floor ceil".split())


def run(made: Program, values: Mapping[str, float]) -> float:
    """Run a program as the page does: a stack of floats; nan where the value is undefined.

    A condition gives 1.0 or 0.0, and 0.0 where it rests on an undefined value. The edges are those
    of `evaluate`.
    """
    stack: list[float] = []
    try:
        for item in made:
            if not isinstance(item, str):
                stack.append(float(item))
            elif item not in OPERATIONS:
                stack.append(finite(values[item]))
            elif item in _ONE_VALUE:
                stack.append(finite(_WITH_SIGN[item](stack.pop())))
            elif item in ("and", "or"):
                b, a = stack.pop(), stack.pop()
                stack.append(float(bool(a and b if item == "and" else a or b)))
            else:
                b, a = stack.pop(), stack.pop()
                stack.append(finite(float(MATHS[item](a, b))))
    except (ValueError, ZeroDivisionError, OverflowError):
        return 0.0 if made[-1] in _CONDITIONS else math.nan
    return stack[-1]


_WITH_SIGN = {**MATHS, "~": operator.neg}
