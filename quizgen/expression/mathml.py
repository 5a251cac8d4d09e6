"""A tree as MathML Core: only elements that browsers lay out without a script.

Every formula also carries its linear text as `alttext`, and the page shows it in words beside it.
Source: W3C MathML Core, elements math, mrow, mi, mn, mo, mtext, mfrac, msqrt, msub, msup.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from quizgen.expression.linear import equation_line, linear, power_text, symbol_parts, symbol_text
from quizgen.expression.tree import (
    Binary,
    Call,
    Chain,
    Constant,
    Equation,
    Expression,
    Logic,
    Measure,
    Name,
    Negative,
    Number,
)
from quizgen.expression.writing import NO_BREAK, spaced

_SIGN = {"<=": "≤", ">=": "≥", "<": "&lt;", ">": "&gt;", "=": "=", "+": "+", "-": "\u2212"}
_LEVEL = {"+": 1, "-": 1, "*": 2, "^": 4}


def equation_mathml(equation: Equation, symbols: Mapping[str, str], display: bool = False) -> str:
    """`<math>` of a whole equation in symbols."""
    body = f"{_name(equation.left, symbols)}<mo>=</mo>{_row(equation.right, symbols)}"
    return _math(body, equation_line(equation, symbols), display)


def mathml(tree: Expression, symbols: Mapping[str, str]) -> str:
    """`<math>` of one expression or condition."""
    return _math(_row(tree, symbols), linear(tree, lambda id: symbol_text(symbols.get(id, id))), False)


def symbol_mathml(symbol: str) -> str:
    """`<math>` of one symbol."""
    return _math(_symbol(symbol), symbol_text(symbol), False)


def _math(body: str, text: str, display: bool) -> str:
    block = ' display="block"' if display else ""
    return f'<math{block} alttext="{escape(text)}">{body}</math>'


def _symbol(symbol: str) -> str:
    base, sub = symbol_parts(symbol)
    first = f"<mi>{escape(base)}</mi>"
    if not sub:
        return first
    tag = "mn" if sub.isdigit() else "mi" if sub.isalnum() else "mtext"
    upright = ' mathvariant="normal"' if tag == "mi" and len(sub) == 1 else ""
    return f"<msub>{first}<{tag}{upright}>{escape(sub)}</{tag}></msub>"


def _name(id: str, symbols: Mapping[str, str]) -> str:
    return _symbol(symbols.get(id, id))


def _row(tree: Expression, symbols: Mapping[str, str]) -> str:
    match tree:
        case Number(text=text):
            return _number(text)
        case Measure(text=text, unit=unit):
            gap = "" if unit.text == "°" else NO_BREAK
            return f"<mrow>{_number(text)}<mtext>{gap}{escape(unit.text)}</mtext></mrow>"
        case Constant():
            return '<mi mathvariant="normal">π</mi>'
        case Name(id=id):
            return _name(id, symbols)
        case Negative(of=of):
            return f"<mrow><mo>\u2212</mo>{_bracketed(of, symbols, 2)}</mrow>"
        case Binary(op="/", left=left, right=right):
            return f"<mfrac><mrow>{_row(left, symbols)}</mrow><mrow>{_row(right, symbols)}</mrow></mfrac>"
        case Binary(op="^", left=left, right=right):
            return f"<msup>{_bracketed(left, symbols, 5)}<mrow>{_raised(right, symbols)}</mrow></msup>"
        case Binary(op="*", left=left, right=right):
            a, b = _bracketed(left, symbols, 2), _bracketed(right, symbols, 2)
            return f"<mrow>{a}<mo>⋅</mo>{b}</mrow>"
        case Binary(op=op, left=left, right=right):
            second = _bracketed(right, symbols, 2 if op == "-" else 1)
            return f"<mrow>{_row(left, symbols)}<mo>{_SIGN[op]}</mo>{second}</mrow>"
        case Call(function="sqrt", arguments=(only,)):
            return f"<msqrt>{_row(only, symbols)}</msqrt>"
        case Call(function="exp", arguments=(only,)):
            return f'<msup><mi mathvariant="normal">e</mi><mrow>{_raised(only, symbols)}</mrow></msup>'
        case Call(function="abs", arguments=(only,)):
            return f"<mrow><mo>|</mo>{_row(only, symbols)}<mo>|</mo></mrow>"
        case Call(function=function, arguments=arguments):
            inner = "<mo>,</mo>".join(_row(a, symbols) for a in arguments)
            return f"<mrow><mi>{function}</mi><mo>\u2061</mo><mo>(</mo>{inner}<mo>)</mo></mrow>"
        case Chain(terms=terms, signs=signs):
            made = _row(terms[0], symbols)
            for sign, term in zip(signs, terms[1:], strict=True):
                made += f"<mo>{_SIGN[sign]}</mo>{_row(term, symbols)}"
            return f"<mrow>{made}</mrow>"
        case Logic(op=op, parts=parts):
            joint = f"<mtext>{NO_BREAK}{op}{NO_BREAK}</mtext>"
            return f"<mrow>{joint.join(_bracketed(p, symbols, 1) for p in parts)}</mrow>"
        case _:
            raise TypeError(tree)


def _raised(tree: Expression, symbols: Mapping[str, str]) -> str:
    """An exponent. A fraction stands on one line there: one above the other would be too small to read."""
    match tree:
        case Negative(of=Binary(op="/") as of):
            return f"<mo>\u2212</mo>{_raised(of, symbols)}"
        case Binary(op="/", left=left, right=right):
            # A sign at the very front needs no brackets.
            over = _row(left, symbols) if isinstance(left, Negative) else _bracketed(left, symbols, 2)
            return f"{over}<mo>/</mo>{_bracketed(right, symbols, 3)}"
        case _:
            return _row(tree, symbols)


def _bracketed(tree: Expression, symbols: Mapping[str, str], level: int) -> str:
    row = _row(tree, symbols)
    return row if _level(tree, level) >= level else f"<mrow><mo>(</mo>{row}<mo>)</mo></mrow>"


def _level(tree: Expression, wanted: int) -> int:
    """How tightly the tree binds as drawn; 5 needs no brackets anywhere."""
    match tree:
        case Negative() | Logic():
            return 0
        case Binary(op="/"):
            # A drawn fraction holds itself together, except under a power.
            return 5 if wanted <= 2 else 3
        case Binary(op=op):
            return _LEVEL[op]
        case Measure() | Call(function="exp" | "sin" | "cos" | "tan" | "ln" | "log10"):
            return 4
        case Number(text=text) if "e" in text.lower():
            return 2
        case _:
            return 5


def _number(text: str) -> str:
    mantissa, _, power = text.lower().partition("e")
    number = f"<mn>{spaced(mantissa if mantissa[0] != '.' else '0' + mantissa)}</mn>"
    if not power:
        return number
    sign = "<mo>\u2212</mo>" if int(power) < 0 else ""
    exponent = f"<mrow>{sign}<mn>{power_text(power).lstrip(chr(0x2212))}</mn></mrow>"
    return f"<mrow>{number}<mo>⋅</mo><msup><mn>10</mn>{exponent}</msup></mrow>"
