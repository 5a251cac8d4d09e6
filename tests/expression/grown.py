"""Expressions grown from a seed: each obeys the rules of units, so that every room can compute it.

A grown expression is text, as an author would write it; its names and their units are `UNITS`, and it
comes with a number for each name, counted in that unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from random import Random

from quizgen.expression.carry import Carried, carried
from quizgen.expression.dimension import Sort, sort_of_unit
from quizgen.expression.evaluate import scalar
from quizgen.expression.parse import MAX_LENGTH, parse
from quizgen.expression.tree import Expression
from quizgen.expression.units import read_unit

UNITS = {
    "U": "V", "U_2": "mV", "I": "A", "I_L": "mA", "R": "Ω", "R_per": "Ω/km", "x": "m", "P": "kW",
    "S_1": "kVA", "t": "min", "T_1": "µs", "E": "kWh", "f": "kHz", "d": "%", "eta": "1", "n_1": "1",
    "phi": "°", "theta": "°C", "theta_2": "°C", "dtheta": "K",
}  # fmt: skip
RANGES = {"theta": (-20, 90), "theta_2": (-20, 90), "d": (5, 95), "eta": (0.5, 0.98), "phi": (5, 85)}

# What a thing can be made of: a name of that kind, a number with a unit, or two other things.
KINDS: dict[str, tuple[list[str], list[str], list[tuple[str, str, str]]]] = {
    "volt": (["U", "U_2"], ["V", "mV", "kV"], [("ampere", "*", "ohm"), ("watt", "/", "ampere")]),
    "ampere": (["I", "I_L"], ["A", "mA"], [("volt", "/", "ohm"), ("watt", "/", "volt")]),
    "ohm": (["R"], ["Ω", "mΩ", "kΩ"], [("volt", "/", "ampere"), ("ohm per metre", "*", "metre")]),
    "ohm per metre": (["R_per"], ["Ω/km", "mΩ/m"], [("ohm", "/", "metre")]),
    "metre": (["x"], ["m", "mm"], [("ohm", "/", "ohm per metre")]),
    "watt": (["P", "S_1"], ["W", "kW", "VA"], [("volt", "*", "ampere"), ("joule", "/", "second")]),
    "second": (["t", "T_1"], ["s", "min", "h", "ms"], [("joule", "/", "watt"), ("pure", "/", "hertz")]),
    "joule": (["E"], ["J", "kWh", "Wh"], [("watt", "*", "second")]),
    "hertz": (["f"], ["Hz", "kHz"], [("pure", "/", "second")]),
    "kelvin": (["dtheta"], ["K"], []),
    "pure": (["eta", "n_1"], [], [("volt", "/", "volt"), ("watt", "/", "watt"), ("hertz", "*", "second")]),
}


@dataclass(frozen=True, slots=True)
class Grown:
    text: str
    values: Mapping[str, float]
    """A number for each name of `UNITS`, counted in its unit."""

    @property
    def tree(self) -> Expression:
        return _tree(self.text)

    @property
    def si(self) -> dict[str, float]:
        return {name: number * float(read_unit(UNITS[name]).factor) for name, number in self.values.items()}

    @property
    def carried(self) -> dict[str, Carried]:
        return {name: carried(number, read_unit(UNITS[name])) for name, number in self.values.items()}


@lru_cache(maxsize=5000)
def _tree(text: str) -> Expression:
    return parse(text)


def sorts() -> dict[str, Sort]:
    return {name: sort_of_unit(read_unit(unit)) for name, unit in UNITS.items()}


def expressions(seed: int, count: int, depth: int = 4) -> list[Grown]:
    """Expressions that have a value: where one divides by U - U, another is grown in its place."""
    random = Random(seed)
    made: list[Grown] = []
    while len(made) < count:
        grown = _grown(random, _thing(random, random.choice([*KINDS]), depth))
        if _has_value(grown):
            made.append(grown)
    return made


def _has_value(grown: Grown) -> bool:
    try:
        scalar(grown.tree, grown.si)
    except ArithmeticError:
        return False
    return True


def wild(seed: int, count: int) -> list[Grown]:
    """Expressions of which about half have no value: roots and logarithms of anything, division by zero."""
    random = Random(seed)
    made = []
    for _ in range(count):
        a, b = _thing(random, "pure", 2), _thing(random, "pure", 2)
        form = random.choice(
            [
                "sqrt(A - B)", "ln(A - B)", "log10(B - A)", "(A - B)^0.5", "(A - B)^(0 - 1.5)", "asin(A - B)",
                "acos(A / B)", "1 / (A - A)", "min(1 / (A - A), B)", "max(B, ln(B - A))", "exp(1000 * A)",
                "1 / exp(1000 * A)", "abs((B - A)^1.5)", "(A - B)^3 + sqrt(B)", "A / (B - B)^2",
                "exp(-1000 * A)", "0^(A - B)", "(2 * A)^(300 * B)",
            ]
        )  # fmt: skip
        made.append(_grown(random, form.replace("A", f"({a})").replace("B", f"({b})")))
    return made


def conditions(seed: int, count: int) -> list[Grown]:
    """Comparisons, chains of them, and several joined; a third compare a thing with itself."""
    random = Random(seed)
    made: list[Grown] = []
    while len(made) < count:
        parts = [_comparison(random) for _ in range(random.randint(1, 3))]
        text = parts[0]
        for part in parts[1:]:
            text = f"({text}) {random.choice(['and', 'or'])} {part}"
        if len(text) <= MAX_LENGTH and _has_value(grown := _grown(random, text)):
            made.append(grown)
    return made


def _grown(random: Random, text: str) -> Grown:
    return Grown(text, {name: float(_number(random, *RANGES.get(name, (0.5, 20)))) for name in UNITS})


def _number(random: Random, low: float, high: float) -> str:
    return f"{random.uniform(low, high):.2f}"


def _comparison(random: Random) -> str:
    kind = random.choice([*KINDS])
    a, b = _thing(random, kind, 2), _thing(random, kind, 2)
    form = random.choice(["A < B", "A <= B", "A > B", "A >= B", "A = B", "A <= A", "A < A", "A = A", "A <= B < A + B"])
    return form.replace("A", f"({a})").replace("B", f"({b})")


def _leaf(random: Random, kind: str) -> str:
    names, units, _ = KINDS[kind]
    if units and random.random() < 0.4:
        return f"{_number(random, 0.5, 20)} {random.choice(units)}"
    return random.choice(names)


def _thing(random: Random, kind: str, depth: int) -> str:
    if depth == 0:
        return _leaf(random, kind)

    def another(other: str = kind) -> str:
        return _thing(random, other, depth - 1)

    ways = ["leaf", "sum", "sum", "made", "made", "scaled", "smaller", "root", "sign", "difference", "pure"]
    match random.choice(ways):
        case "sum":
            return f"({another()} {random.choice('+-')} {another()})"
        case "made" if KINDS[kind][2]:
            left, sign, right = random.choice(KINDS[kind][2])
            return f"({another(left)}) {sign} ({another(right)})"
        case "scaled":
            return random.choice(
                [
                    f"{_number(random, 0.5, 5)} * ({another()})",
                    f"({another()}) / {_number(random, 0.5, 5)}",
                    f"({another()}) * (1 + {another('pure')})",
                    f"{another()} - {another()} * {another('pure')}" if depth < 3 else f"-({another()})",
                    f"(100 % - d) * ({another()})",
                    f"({another()}) * d / 2 %",
                ]
            )
        case "smaller":
            return f"{random.choice(['min', 'max'])}({another()}, {another()}, {another()})"
        case "root":
            return f"sqrt(({another()})^2 + ({another()})^2)"
        case "sign":
            return random.choice([f"-({another()})", f"abs({another()})", f"-{_leaf(random, kind)}"])
        case "difference" if kind == "kelvin":
            return random.choice(["(theta - theta_2)", "(theta - 20 °C)", "(235 K + theta)", "(theta_2 + 273.15 K)"])
        case "pure" if kind == "pure":
            return random.choice(
                [
                    "cos(phi)", "sin(phi + 30 °)", "tan(phi / 2)", "sin(2 * pi * f * T_1)",
                    "sin(asin(eta) - 10 °)", f"exp(-abs({another()}))", f"ln(1 + abs({another()}))",
                    f"log10(2 + ({another()})^2)",
                    f"round({another()})", f"floor({another()})", f"ceil({another()})", f"({another()})^3",
                    f"abs({another()})^0.7", f"sqrt(abs({another()}))", f"({another()})^-2", "d / 1 %",
                    f"1 / (1 + ({another()})^2)", "(234.5 K + theta) / (234.5 K + theta_2)", "pi * eta",
                ]
            )  # fmt: skip
        case _:
            return _leaf(random, kind)
