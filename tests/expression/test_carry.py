"""The second route: value and unit carried together agree with the values in SI."""

import pytest

from quizgen.expression.carry import carried, carry, holds
from quizgen.expression.dimension import sort_of
from quizgen.expression.evaluate import scalar
from quizgen.expression.parse import parse, parse_condition
from quizgen.expression.units import read_unit
from tests.expression.grown import Grown, conditions, expressions, sorts

VALUES = {
    "U": 400, "U_2": 850, "I": 32, "I_L": 16.5, "R": 2.5, "R_per": 7.98, "x": 15, "P": 22, "S_1": 24, "t": 45,
    "T_1": 20, "E": 60, "f": 85, "d": 53, "eta": 0.94, "n_1": 96, "phi": 32, "theta": 65, "theta_2": 20,
    "dtheta": 45,
}  # fmt: skip

GOOD = [
    "sqrt(3) * U * I * eta",
    "P / (sqrt(3) * U * eta)",
    "I^2 * R_per * x",
    "0.6 A/% * d",
    "(d - 64 %) * 2.5 A/%",
    "U * (100 % - d)",
    "U / (1 - eta)",
    "R * (235 K + theta) / (235 K + theta_2)",
    "R * (1 + 0.00393 1/K * (theta - 20 °C))",
    "theta + 273.15 K",
    "35 °C - 25 °C",
    "P * t / E",
    "E / P - t",
    "sqrt(S_1^2 - P^2)",
    "S_1 * sin(acos(P / S_1))",
    "U * sqrt(2) * sin(360 ° * f * T_1)",
    "U * (1 - exp(-T_1 / (R * 10 µF)))",
    "-T_1 / (R * ln(0.2))",
    "1 / (2 * pi * sqrt(22 µH * 47 nF))",
    "2 * pi * f * 22 µH",
    "max(I, I_L, 20 A)",
    "min(U, U_2)",
    "round(P / 3.7 kW) + floor(E / 7 kWh) + ceil(d / 1 %)",
    "P / (3.6 kJ/(kg·K) * dtheta * 8 L/min)",
    "12 1/min * t",
    "log10(U / 1 mV) * 20",
    "abs(U_2 - U)",
    "(P / S_1)^2 + (I_L / I)^-1",
    "n_1 * 3.65 V * 120 Ah",
]


def same(grown):
    value, route = scalar(grown.tree, grown.si), carry(grown.tree, grown.carried)
    assert route.number * float(route.factor) == pytest.approx(value, rel=1e-12), grown.text
    assert route.dimension == sort_of(grown.tree, sorts()).dimension


@pytest.mark.parametrize("text", GOOD)
def test_both_routes_agree_on_formulas_of_the_trade(text):
    same(Grown(text, VALUES))


def test_both_routes_agree_on_grown_expressions():
    for grown in expressions(21, 500):
        same(grown)


def test_both_routes_agree_on_grown_conditions():
    for grown in conditions(22, 400):
        assert holds(grown.tree, grown.carried) is scalar(grown.tree, grown.si), grown.text


def test_units_are_kept_as_printed_until_the_end():
    result = carry(parse("0.6 A/% * d"), {"d": carried(53, read_unit("%"))})
    assert (result.number, result.factor, result.counted_in(read_unit("A").factor)) == (
        0.6 * 53,
        1,
        pytest.approx(31.8),
    )
    result = carry(parse("U * I"), {"U": carried(400, read_unit("mV")), "I": carried(2, read_unit("kA"))})
    assert (result.number, result.factor) == (800, 1)
    assert result.counted_in(read_unit("kW").factor) == pytest.approx(0.8)


def test_a_wrong_factor_in_one_route_shows():
    known = {"d": carried(53, read_unit("A"))}
    result = carry(parse("0.6 A/% * d"), known)
    assert result.dimension != read_unit("A").dimension


@pytest.mark.parametrize("text", ["1 / (U - U)", "sqrt(U - 900 V)", "ln(0 * eta)", "(eta - 1)^0.5", "exp(1000 * n_1)"])
def test_undefined_on_one_route_is_undefined_on_the_other(text):
    grown = Grown(text, VALUES)
    for route in (lambda: scalar(grown.tree, grown.si), lambda: carry(grown.tree, grown.carried)):
        with pytest.raises((ValueError, ZeroDivisionError, OverflowError)):
            route()


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("10 % <= d <= 85 %", True),
        ("d = 53 %", True),
        ("I < 32 A", False),
        ("I <= 32000 mA", True),
        ("I > 32 A or (I = 32 A and d < 54 %)", True),
        ("theta > 20 °C and theta_2 > 20 °C", False),
        ("3 * 0.1 A <= 300 mA", True),
        ("3 * 0.1 A > 300 mA", False),
    ],
)
def test_conditions_are_compared_in_the_unit_of_their_left_side(text, right):
    grown = Grown(text, VALUES)
    assert holds(parse_condition(text), grown.carried) is right
    assert scalar(parse_condition(text), grown.si) is right


def test_dimensions_that_clash_are_caught_even_here():
    with pytest.raises(TypeError):
        carry(parse("U + I"), Grown("U", VALUES).carried)
    with pytest.raises(TypeError):
        carry(parse_condition("U < I"), Grown("U", VALUES).carried)
    with pytest.raises(TypeError):
        holds(parse("U + I"), Grown("U", VALUES).carried)
