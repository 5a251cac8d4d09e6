"""What may be added, compared and multiplied: dimensions, percent, angles and Celsius temperatures."""

import pytest

from quizgen.expression.dimension import (
    BARE,
    MAX_POWER,
    Sort,
    check_condition,
    check_gives,
    sort_of,
    sort_of_unit,
)
from quizgen.expression.evaluate import scalar
from quizgen.expression.parse import ExpressionError, parse, parse_condition
from quizgen.expression.units import NONE, read_unit
from tests.expression.grown import conditions, expressions, sorts

UNITS = {
    "U": "V", "I": "A", "R": "Ω", "P": "kW", "t": "min", "d": "%", "d_2": "%", "eta": "1", "phi": "°",
    "theta": "°C", "theta_2": "°C", "dtheta": "K", "f": "Hz", "n": "r/min",
}  # fmt: skip
KNOWN = {name: sort_of_unit(read_unit(unit)) for name, unit in UNITS.items()}


def sort(text):
    return sort_of(parse(text), KNOWN)


def of(unit):
    return Sort(read_unit(unit).dimension, "")


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("U * I", "W"),
        ("U / R", "A"),
        ("I^2 * R", "W"),
        ("sqrt(P * R)", "V"),
        ("sqrt(U^2 + (R * I)^2)", "V"),
        ("P * t", "J"),
        ("-U + 3 mV", "V"),
        ("abs(U)", "V"),
        ("max(U, 3 kV, R * I)", "V"),
        ("1 / (2 * pi * f)", "s"),
        ("U^-1 * U^2", "V"),
        ("0.6 A/% * d", "A"),
        ("2 * U", "V"),
        ("n * t", "r"),
        ("U^0", "1"),
    ],
)
def test_dimensions_follow_the_operations(text, unit):
    assert sort(text) == of(unit)


@pytest.mark.parametrize(
    ("text", "at", "says"),
    [
        ("U + I", 2, "A is added to V"),
        ("U - I", 2, "A is subtracted from V"),
        ("P + U * 2 + I", 2, "V is added to W"),
        ("x * U", 0, '"x" is not known here'),
        ("2 + U", 2, "a bare number is added to a quantity in V: give it its unit"),
        ("U - 2", 2, "a bare number is subtracted from a quantity in V"),
        ("max(U, 2)", 0, "a bare number is compared with a quantity in V"),
        ("min(U, I)", 0, "A is compared with V"),
        ("2^U", 1, "an exponent is a pure number"),
        ("U^0.5", 1, "whole number as exponent"),
        ("U^eta", 1, "whole number as exponent"),
        ("U^(1 + 1)", 1, "whole number as exponent"),
        ("sqrt(U)", 0, "no root can be taken of V"),
        ("exp(U)", 0, "exp( ) takes a pure number, but this is V"),
        ("sin(U)", 0, "takes a pure number"),
        ("round(U)", 0, "takes a pure number"),
        ("U * (I < 2 A)", 5, "not a comparison"),
    ],
)
def test_dimensions_that_clash_are_told_at_the_operator(text, at, says):
    with pytest.raises(ExpressionError) as caught:
        sort(text)
    assert caught.value.at == at
    assert says in str(caught.value)


@pytest.mark.parametrize(
    "text", ["U^12 * U^12", "((U^12)^12)^12", "(U^12)^2", "1 / U^12 / U", "((((R^9)^9)^9)^9)^9 * eta"]
)
def test_dimensions_are_bounded_so_that_no_text_makes_giant_factors(text):
    with pytest.raises(ExpressionError, match=f"a power above {MAX_POWER}"):
        sort(text)


# -- percent and angles ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "d - 64",
        "64 + d",
        "d + 1",
        "1 - d",
        "max(d, 64)",
        "d * 2 - 1",
        "-d + 1",
        "abs(d) - 1",
        "phi + 60",
        "90 - phi",
    ],
)
def test_a_bare_number_never_stands_beside_percent_or_degrees(text):
    with pytest.raises(ExpressionError, match="give it its unit"):
        sort(text)


@pytest.mark.parametrize("text", ["d > 64", "10 <= d", "10 % <= d <= 85", "phi < 90", "theta > 60", "60 < theta"])
def test_a_bare_number_is_never_compared_with_percent_degrees_or_celsius(text):
    with pytest.raises(ExpressionError, match="give it its unit"):
        check_condition(parse_condition(text), KNOWN)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("d - 64 %", "%"),
        ("100 % - d", "%"),
        ("d * 2", "%"),
        ("2 * d", "%"),
        ("d + d_2", "%"),
        ("d / 2", "%"),
        ("-d", "%"),
        ("d * d_2", ""),
        ("d / d_2", ""),
        ("1 - d / d_2", ""),
        ("1 - eta", ""),
        ("d - eta", ""),
        ("d^2", ""),
        ("d / 1 %", ""),
        ("round(d / 1 %)", ""),
        ("phi + 30 °", "°"),
        ("asin(eta)", "°"),
        ("90 ° - acos(0.5)", "°"),
        ("sin(phi)", ""),
        ("2 + 3 * pi", BARE),
        ("sqrt(2)", BARE),
        ("2^0.5", BARE),
    ],
)
def test_what_stays_percent_or_degrees(text, kind):
    assert sort(text) == Sort(NONE, kind)


@pytest.mark.parametrize("text", ["sin(60)", "cos(pi / 3)", "tan(1)"])
def test_an_angle_needs_its_unit(text):
    with pytest.raises(ExpressionError, match="its unit, like 60 °"):
        sort(text)


@pytest.mark.parametrize("text", ["round(d)", "floor(d + 1 %)", "ceil(phi)", "round(asin(eta))"])
def test_whole_ones_are_not_counted_in_percent_or_degrees(text):
    with pytest.raises(ExpressionError, match="counts whole ones: divide by 1"):
        sort(text)


# -- Celsius temperatures -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "235 K + theta", "theta + 273.15 K", "theta - 20 °C", "theta_2 - theta", "theta + dtheta",
        "theta - dtheta", "theta - 5 K", "min(theta, theta_2) - 5 K", "dtheta",
        "(theta - theta_2) * 2 + dtheta",
    ],
)  # fmt: skip
def test_celsius_is_shifted_by_kelvins_and_two_are_subtracted(text):
    assert sort(text) == of("K")


@pytest.mark.parametrize(
    "text",
    [
        "2 * theta", "theta * 2", "theta / 2", "-theta", "theta * theta", "theta^2", "sqrt(theta)",
        "abs(theta)", "0.004 1/K * theta", "theta + theta_2", "theta + 20 °C", "235 K - theta",
        "dtheta - theta", "max(theta, dtheta)", "theta / (theta_2 - theta)", "exp(theta / 1 K)",
    ],
)  # fmt: skip
def test_celsius_is_never_scaled_added_or_taken_from_kelvins(text):
    with pytest.raises(ExpressionError, match="Celsius"):
        sort(text)


def test_degrees_of_difference_are_kelvins():
    tree = parse("35 °C - 25 °C")
    assert sort_of(tree, {}) == of("K")
    assert scalar(tree, {}) == 10


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("theta < 60 °C", True),
        ("20 °C < theta <= theta_2", True),
        ("theta - theta_2 > 5 K", True),
        ("max(theta, theta_2) < 60 °C", True),
        ("theta < 60 K", False),
        ("theta > dtheta", False),
        ("theta + 5 K < 60 °C", False),
    ],
)
def test_celsius_is_compared_with_celsius(text, right):
    if right:
        check_condition(parse_condition(text), KNOWN)
        assert sort_of(parse_condition(text).terms[0], KNOWN).dimension == read_unit("K").dimension
    else:
        with pytest.raises(ExpressionError, match="Celsius"):
            check_condition(parse_condition(text), KNOWN)


# -- conditions and equations ---------------------------------------------------------------------


def test_a_condition_compares_like_with_like_in_all_its_parts():
    check_condition(parse_condition("I <= 32 A and (10 % <= d <= 85 % or eta > 0.5) and 1 < 2"), KNOWN)
    with pytest.raises(ExpressionError, match="V is compared with A") as caught:
        check_condition(parse_condition("I <= 32 A and 1 A <= I <= U"), KNOWN)
    assert caught.value.at == 26
    with pytest.raises(ExpressionError, match="a comparison is expected"):
        check_condition(parse("U + I"), KNOWN)


@pytest.mark.parametrize(
    ("text", "unit", "says"),
    [
        ("U * I", "kW", ""),
        ("U * I", "A", "the right side gives W, but X is measured in A"),
        ("theta + dtheta", "°C", ""),
        ("theta", "°C", ""),
        ("theta", "K", "X is in K, but this is a Celsius temperature"),
        ("theta + 273.15 K", "K", ""),
        ("64 %", "%", ""),
        ("1 - eta", "%", ""),
        ("0.64", "%", "a bare number, but X is in %"),
        ("1 / 2", "%", "a bare number, but X is in %"),
        ("60", "°", "a bare number, but X is in °"),
        ("acos(eta)", "°", ""),
        ("0.64", "1", ""),
        ("d", "1", ""),
    ],
)
def test_an_equation_gives_what_its_left_side_is_declared_to_be(text, unit, says):
    wanted = sort_of_unit(read_unit(unit))
    if says:
        with pytest.raises(ExpressionError, match="^.*$") as caught:
            check_gives(parse(text), KNOWN, wanted, "X")
        assert says in str(caught.value)
    else:
        check_gives(parse(text), KNOWN, wanted, "X")
        assert sort(text).dimension == wanted.dimension


def test_grown_expressions_obey_the_rules():
    known = sorts()
    for grown in expressions(11, 200):
        assert len(sort_of(grown.tree, known).dimension) == len(NONE)
    for grown in conditions(12, 100):
        check_condition(grown.tree, known)
