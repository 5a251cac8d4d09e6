"""Values in coherent SI: for one draw and for arrays, with one set of rules on the edges."""

import math
import subprocess
import sys

import numpy as np
import pytest

from quizgen.expression.evaluate import ROUGH, arrays, ceil, compare, floor, round_half_up, scalar
from quizgen.expression.parse import parse, parse_condition
from tests.expression.grown import UNITS, conditions, expressions, wild


def value(text, **values):
    return scalar(parse(text), values)


@pytest.mark.parametrize(
    ("text", "si"),
    [
        ("22 kW", 22000),
        ("0.6 A/% * 53 %", 31.8),
        ("400 V * 32 A", 12800),
        ("60 °", math.pi / 3),
        ("25 °C", 25),
        ("35 °C - 25 °C", 10),
        ("25 °C + 273.15 K", 298.15),
        ("7.98 Ω/km * 15 m", 0.1197),
        ("1 kWh", 3.6e6),
        ("1500 r/min", 25),
        ("8 L/min", 8 / 60000),
        ("3.6 kJ/(kg·K)", 3600),
    ],
)
def test_measures_count_in_coherent_si(text, si):
    assert value(text) == pytest.approx(si, rel=1e-15)


# -- one draw and arrays ---------------------------------------------------------------------------


def test_scalars_and_arrays_agree_on_grown_expressions():
    for seed in range(4):
        grown = expressions(100 + seed, 100)
        draws = {name: np.array([g.si[name] for g in grown]) for name in UNITS}
        for index, one in enumerate(grown):
            many = np.broadcast_to(arrays(one.tree, draws), (100,))
            assert many[index] == pytest.approx(scalar(one.tree, one.si), rel=1e-12), one.text


def test_scalars_and_arrays_agree_on_what_is_undefined():
    grown = wild(200, 300)
    draws = {name: np.array([g.si[name] for g in grown]) for name in UNITS}
    undefined = 0
    for index, one in enumerate(grown):
        many = np.broadcast_to(arrays(one.tree, draws), (300,))
        try:
            single = scalar(one.tree, one.si)
        except (ValueError, ArithmeticError):
            undefined += 1
            assert math.isnan(many[index]), one.text
        else:
            assert many[index] == pytest.approx(single, rel=1e-12), one.text
    assert 100 < undefined < 250


def test_scalars_and_arrays_agree_on_grown_conditions():
    grown = conditions(300, 300)
    draws = {name: np.array([g.si[name] for g in grown]) for name in UNITS}
    held = 0
    for index, one in enumerate(grown):
        single = scalar(one.tree, one.si)
        held += single
        many = arrays(one.tree, draws)
        assert many.dtype == bool
        assert np.broadcast_to(many, (300,))[index] == single, one.text
    assert 80 < held < 220


def test_arrays_keep_their_shape_and_lone_numbers_stay_alone():
    x = np.linspace(1, 2, 6).reshape(2, 3)
    assert arrays(parse("x * y + 1"), {"x": x, "y": 2.0}).shape == (2, 3)
    assert arrays(parse("2 + 3"), {}) == 5
    assert not ~arrays(parse_condition("1 < 2"), {})


# -- undefined -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "1 / x", "sqrt(x - 1)", "ln(x)", "log10(x - 1)", "asin(2 + x)", "acos(2 + x)", "(x - 8)^(1 / 3)",
        "x^-1", "x^-0.5", "exp(1000 + x)", "(x + 1e30)^12", "1e30 * (x + 1e30)^10", "1 / exp(1000 + x)",
        "(x + 1e30)^10 + (x + 1e30)^11 * 1e30", "min(1 / x, 5)", "max(x, ln(x))", "abs((x - 8)^0.5)",
        "0 * (1 / x)", "tan(x) / x",
    ],
)  # fmt: skip
def test_a_value_is_undefined_as_soon_as_any_part_of_it_is(text):
    with pytest.raises((ValueError, ZeroDivisionError, OverflowError)):
        value(text, x=0.0)
    many = arrays(parse(text), {"x": np.array([0.0, 0.0])})
    assert np.isnan(many).all()


def test_only_the_undefined_draws_are_nan():
    many = arrays(parse("ln(x) + 1"), {"x": np.array([1.0, 0.0, -1.0, math.e])})
    assert many[[0, 3]] == pytest.approx([1, 2])
    assert np.isnan(many[[1, 2]]).all()


@pytest.mark.parametrize("text", ["1 / x > 0", "x > 1 or 1 / x > 0", "x < 1 or 1 / x > 0", "ln(x) = ln(x)"])
def test_a_condition_on_an_undefined_value_does_not_hold(text):
    condition = parse_condition(text)
    with pytest.raises((ValueError, ZeroDivisionError)):
        scalar(condition, {"x": 0.0})
    assert not arrays(condition, {"x": np.array([0.0])})[0]


def test_powers_and_roots_at_their_edges():
    assert value("x^0", x=0.0) == 1
    assert value("0^x", x=2.0) == 0
    assert value("(-8)^3") == -512
    assert value("sqrt(x)", x=0.0) == 0
    assert value("exp(-1000)") == 0


# -- noise -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sign", "below", "same", "above"),
    [
        ("<", True, False, False),
        ("<=", True, True, False),
        ("=", False, True, False),
        (">=", False, True, True),
        (">", False, False, True),
    ],
)
def test_values_that_differ_by_noise_are_equal(sign, below, same, above):
    condition = parse_condition(f"x {sign} y")
    for size in (1e-30, 0.3, 1.0, 1e25):
        for scale, holds in [
            (1 - 1e-11, below),
            (1 - 5e-13, same),
            (1, same),
            (1 + 5e-13, same),
            (1 + 1e-11, above),
        ]:
            assert compare(sign, size * scale, size) is holds
            assert scalar(condition, {"x": size * scale, "y": size}) is holds
            assert arrays(condition, {"x": np.array([size * scale]), "y": size})[0] == holds
    for x, holds in [(-1.0, below), (0.0, same), (1.0, above)]:
        assert scalar(condition, {"x": x, "y": 0.0}) is holds
        assert arrays(condition, {"x": np.array([x]), "y": 0.0})[0] == holds


def test_a_limit_counted_in_two_ways_is_one_limit():
    assert scalar(parse_condition("0.1 + 0.2 <= 0.3"), {})
    assert not scalar(parse_condition("0.1 + 0.2 > 0.3"), {})
    assert scalar(parse_condition("3 * 0.1 A = 300 mA"), {})


@pytest.mark.parametrize(
    ("x", "rounded", "below", "above"),
    [
        (2.5, 3, 2, 3),
        (-2.5, -3, -3, -2),
        (0.5, 1, 0, 1),
        (-0.5, -1, -1, 0),
        (0.49999999999999994, 1, 0, 1),
        (1.4999999999999998, 2, 1, 2),
        (2.4999, 2, 2, 3),
        (0.3 / 0.1, 3, 3, 3),
        (3.0000000000000004, 3, 3, 3),
        (-2.9999999999999996, -3, -3, -3),
        (1e-17, 0, 0, 0),
        (-1e-17, 0, 0, 0),
        (1e-9, 0, 0, 1),
        (0.0, 0, 0, 0),
        (4.0, 4, 4, 4),
        (123456.5, 123457, 123456, 123457),
        (1e25, 1e25, 1e25, 1e25),
    ],
)
def test_whole_numbers_half_away_from_zero_and_without_noise(x, rounded, below, above):
    assert (round_half_up(x), floor(x), ceil(x)) == (rounded, below, above)
    for function, expected in [("round", rounded), ("floor", below), ("ceil", above)]:
        assert scalar(parse(f"{function}(x)"), {"x": x}) == expected
        assert arrays(parse(f"{function}(x)"), {"x": np.array([x])})[0] == expected


# -- rounding on the way, rough constants, imports ------------------------------------------------


def test_each_is_applied_to_every_result_but_not_to_choices():
    seen = []

    def each(result):
        seen.append(float(result[0]))
        return result

    arrays(parse("min(x * 2, 10) + abs(-x) - sqrt(x)"), {"x": np.array([4.0])}, each)
    assert seen == [8.0, 12.0, 2.0, 10.0]


def test_each_sees_every_draw_where_one_of_them_is_undefined():
    many = arrays(parse("1 / x + 1"), {"x": np.array([0.0, 3.0])}, lambda result: np.round(result, 1))
    assert np.isnan(many[0]) and many[1] == pytest.approx(1.3)


def test_rough_constants_stand_in_for_exact_ones():
    assert arrays(parse("sqrt(3) * x"), {"x": 2.0}, rough=ROUGH) == pytest.approx(3.46)
    assert arrays(parse("sqrt(2) + pi + sqrt(5)"), {}, rough=ROUGH) == pytest.approx(1.41 + 3.14 + math.sqrt(5))


def test_numpy_is_loaded_only_for_arrays():
    code = (
        "import sys; from quizgen.expression import evaluate, parse, carry, program, reading, mathml\n"
        "evaluate.scalar(parse.parse('2 + 3'), {}); assert 'numpy' not in sys.modules\n"
        "evaluate.arrays(parse.parse('2 + 3'), {}); assert 'numpy' in sys.modules"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
