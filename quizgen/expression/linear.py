"""A tree as one line of text, and the spelling of symbols.

`linear` writes a formula the way a person types it in a note: √3 · U_LL · I_L. The names are
written by a function of the caller, so that the same tree gives the formula in symbols and the
line with the numbers filled in.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache

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
from quizgen.expression.writing import NO_BREAK, spaced, with_unit

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "eta": "η", "theta": "θ",
    "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "rho": "ρ", "sigma": "σ", "tau": "τ", "phi": "φ",
    "chi": "χ", "psi": "ψ", "omega": "ω", "Delta": "Δ", "Omega": "Ω", "Phi": "Φ", "Psi": "Ψ",
    "hat": "\u0302",
}  # fmt: skip

_LEVEL = {"or": 0, "and": 1, "chain": 2, "+": 3, "-": 3, "*": 4, "/": 4, "neg": 5, "^": 6}
_SHOWN = {"*": "·", "/": "/", "+": "+", "-": "\u2212", "<=": "≤", ">=": "≥", "<": "<", ">": ">", "=": "="}


@lru_cache(maxsize=1024)
def symbol_parts(symbol: str) -> tuple[str, str]:
    """Base and subscript of a symbol: "theta_1" gives ("θ", "1"), "U_LL" gives ("U", "LL")."""
    base, _, sub = symbol.partition("_")
    return GREEK.get(base, base), " ".join(GREEK.get(part, part) for part in sub.split("_") if part)


@lru_cache(maxsize=1024)
def symbol_text(symbol: str) -> str:
    """The symbol in one line: θ_1, U_LL."""
    base, sub = symbol_parts(symbol)
    return f"{base}_{sub}" if sub else base


def linear(tree: Expression, name: Callable[[str], str], unit: Callable[[str], str] | None = None) -> str:
    """One line of text; `name` writes each name.

    Where names stand for number and unit, `unit` gives each one's unit text: a measure needs brackets
    under a power or a root, and one in A/% or L/min also as a divisor.
    """
    return _Line(name, unit).write(tree)[0]


def equation_line(equation: Equation, symbols: Mapping[str, str]) -> str:
    """The whole equation in symbols: `P = √3 · U_LL · I_L · λ`."""

    def name(id: str) -> str:
        return symbol_text(symbols.get(id, id))

    return f"{name(equation.left)} = {linear(equation.right, name)}"


class _Line:
    """Writes one line; `write` gives text and binding level, higher binds tighter."""

    def __init__(self, name: Callable[[str], str], unit: Callable[[str], str] | None) -> None:
        self.name, self.unit = name, unit

    def write(self, tree: Expression) -> tuple[str, int]:
        """Text and binding level: higher binds tighter."""
        match tree:
            case Number(text=text):
                return _number(text)
            case Measure(text=text, unit=unit):
                written, level = _number(text)
                return with_unit(written, unit.text), min(level, _measure_level(unit.text))
            case Constant():
                return "π", 9
            case Name(id=id):
                return self.name(id), _measure_level(self.unit(id)) if self.unit else 9
            case Negative(of=of):
                return "\u2212" + self.inside(of, 5), 5
            case Binary(op=op, left=left, right=right):
                level = _LEVEL[op]
                if op == "^":
                    return f"{self.inside(left, 9)}^{self.inside(right, 8)}", level
                # a - (b + c) and a / (b * c) keep their brackets, a / b * c gets them: it reads two ways.
                divided = level == 4 and isinstance(left, Binary) and left.op == "/"
                a = self.inside(left, 5 if divided else level)
                tight = 6 if isinstance(right, Negative) else level + 1 if op in "-/" else level
                return f"{a}{NO_BREAK}{_SHOWN[op]} {self.inside(right, tight)}", level
            case Call(function="sqrt", arguments=(Number() | Name() as only,)):
                return "√" + self.inside(only, 8), 8
            case Call(function="sqrt", arguments=(only,)):
                return f"√({self.write(only)[0]})", 8
            case Call(function=function, arguments=arguments):
                return f"{function}({', '.join(self.write(a)[0] for a in arguments)})", 8
            case Chain(terms=terms, signs=signs):
                made = self.inside(terms[0], 3)
                for sign, term in zip(signs, terms[1:], strict=True):
                    made += f" {_SHOWN[sign]} {self.inside(term, 3)}"
                return made, 2
            case Logic(op=op, parts=parts):
                return f" {op} ".join(self.inside(p, _LEVEL[op] + 1) for p in parts), _LEVEL[op]
            case _:
                raise TypeError(tree)

    def inside(self, tree: Expression, level: int) -> str:
        text, own = self.write(tree)
        return text if own >= level else f"({text})"


def _measure_level(unit: str) -> int:
    """How tightly number and unit hold together: a unit with a bar binds like a quotient."""
    return 4 if "/" in unit else 7 if unit else 9


def _number(text: str) -> tuple[str, int]:
    """The number and its level: 2e3 is written as the product it is."""
    mantissa, _, power = text.lower().partition("e")
    written = spaced(mantissa if mantissa[0] != "." else "0" + mantissa)
    return (f"{written}·10^{power_text(power)}", 4) if power else (written, 9)


def power_text(power: str) -> str:
    """An exponent of ten with a true minus sign: "-03" gives "−3"."""
    return str(int(power)).replace("-", "\u2212")
