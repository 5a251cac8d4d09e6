"""Our parser, evaluation and units against SymPy, which reads the same texts and computes exactly.

Source: SymPy (https://docs.sympy.org), its own parser and arbitrary-precision evaluation.
"""

from random import Random

import pytest
import sympy
from sympy.parsing.sympy_parser import parse_expr

from quizgen.expression.evaluate import scalar
from quizgen.expression.parse import parse
from quizgen.expression.tree import Binary, Call, Constant, Expression, Measure, Name, Negative, Number
from quizgen.expression.units import read_unit
from tests.expression.grown import UNITS, expressions

NAMES = ("a", "b", "c", "x")
THEIR_FUNCTIONS = {
    "sqrt": sympy.sqrt, "exp": sympy.exp, "ln": sympy.log, "log10": lambda x: sympy.log(x, 10),
    "sin": sympy.sin, "cos": sympy.cos, "tan": sympy.tan,
    "asin": sympy.asin, "acos": sympy.acos, "atan": sympy.atan,
    "abs": sympy.Abs, "min": sympy.Min, "max": sympy.Max,
    "floor": sympy.floor, "ceil": sympy.ceiling,
    "round": lambda x: sympy.sign(x) * sympy.floor(sympy.Abs(x) + sympy.Rational(1, 2)),
}  # fmt: skip
DIGITS = 30


def school_text(random: Random, depth: int) -> str:
    """An expression without units, with as few brackets as the grammar allows."""
    if depth == 0:
        return random.choice([*NAMES, f"{random.uniform(0.5, 9):.2f}", str(random.randint(1, 9))])
    inner = school_text(random, depth - 1)
    other = school_text(random, random.randint(0, depth - 1))
    return random.choice(
        [
            f"{inner} + {other}", f"{inner} - {other}", f"{inner} * {other}", f"{inner} / {other}",
            f"{other} - {inner}", f"{other} / {inner}", f"-{inner}", f"({inner})", f"({inner}) * {other}",
            f"({inner})^2", f"-{random.choice(NAMES)}^2 + {other}", f"{random.choice(NAMES)}^-2 * {other}",
            f"2^-{random.choice(NAMES)}", f"{other} * -{random.choice(NAMES)}^3",
            f"{random.choice(NAMES)}^2 / {other}", f"sqrt(abs({inner}))", f"sin(({inner}) * 1 rad)",
            f"exp(-abs({inner}))", f"min({inner}, {other})",
        ]
    )  # fmt: skip


def theirs(text: str) -> sympy.Expr:
    """The text as SymPy's parser reads it; only the sign of a power and the unit of an angle are changed."""
    text = text.replace("^", "**").replace(" * 1 rad", "").replace("abs(", "Abs(").replace("min(", "Min(")
    return parse_expr(text, {name: sympy.Symbol(name) for name in NAMES})


def value(expression: sympy.Expr, values: dict[str, float]) -> float:
    return float(expression.evalf(DIGITS, subs={sympy.Symbol(k): sympy.Rational(v) for k, v in values.items()}))


def test_both_parsers_bind_operators_alike():
    random = Random(81)
    compared = 0
    for _ in range(300):
        text = school_text(random, random.randint(1, 4))
        values = {name: round(random.uniform(0.5, 4), 3) for name in NAMES}
        try:
            ours = scalar(parse(text), values)
        except (ValueError, ArithmeticError):
            continue
        assert ours == pytest.approx(value(theirs(text), values), rel=1e-10, abs=1e-12), text
        compared += 1
    assert compared > 250


def exact(tree: Expression) -> sympy.Expr:
    """The tree in exact numbers, units as exact factors (π/180 for the degree)."""
    match tree:
        case Number(text=text):
            return sympy.Rational(text)
        case Measure(text=text, unit=unit):
            factor = sympy.pi / 180 if unit.text == "°" else sympy.Rational(unit.factor)
            return sympy.Rational(text) * factor
        case Constant():
            return sympy.pi
        case Name(id=id):
            return sympy.Symbol(id)
        case Negative(of=of):
            return -exact(of)
        case Binary(op=op, left=left, right=right):
            a, b = exact(left), exact(right)
            return {"+": a.__add__, "-": a.__sub__, "*": a.__mul__, "/": a.__truediv__, "^": a.__pow__}[op](b)
        case Call(function=function, arguments=arguments):
            return THEIR_FUNCTIONS[function](*map(exact, arguments))
    raise TypeError(tree)


def test_values_in_si_are_the_exact_ones():
    for grown in expressions(82, 150, depth=3):
        si = {
            name: sympy.Rational(str(number))
            * (sympy.pi / 180 if UNITS[name] == "°" else sympy.Rational(read_unit(UNITS[name]).factor))
            for name, number in grown.values.items()
        }
        numbers = {sympy.Symbol(name): value.evalf(DIGITS) for name, value in si.items()}
        expected = float(exact(grown.tree).evalf(DIGITS, subs=numbers))
        assert scalar(grown.tree, grown.si) == pytest.approx(expected, rel=1e-11), grown.text
