"""Waves: every point is what the bank's formulas give, and what is said of a wave are its own numbers."""

import re
from functools import cache
from math import exp, pi, sin, sqrt
from pathlib import Path

import pytest

from quizgen.variants.wave import values_at, wave_of, waves_of
from tests.once import shipped_bank

COURSE = Path(__file__).parents[2] / "course"


@cache
def bank():
    return shipped_bank()


def at(name, x):
    """Every curve of a picture at x, in SI."""
    return values_at(bank(), bank().pictures[name], x)


@cache
def wave(name):
    return wave_of(bank(), bank().pictures[name])


def swing(name, curve):
    """Lowest and highest value of a drawn curve."""
    (drawn,) = [one for plot in wave(name).plots for one in plot.curves if one.name == curve]
    values = [y for piece in drawn.points for _, y in piece]
    return min(values), max(values)


def test_every_wave_of_the_course_has_its_values():
    made, faults = waves_of(bank())
    assert faults == [] and len(made) >= 8


def test_one_line_of_230_volts_has_its_crest_at_325_3_volts():
    """Sine: the crest is √2 times the effective value; it stands a quarter of a period in, at 5 ms."""
    assert at("wave-one-phase", 0.005)["u_bridge"] == pytest.approx(325.3, abs=0.05)
    assert at("wave-one-phase", 0.015)["u_line"] == pytest.approx(-325.3, abs=0.05)
    assert at("wave-one-phase", 0.010)["u_bridge"] == pytest.approx(0, abs=1e-9)
    assert swing("wave-one-phase", "behind the bridge") == pytest.approx((0, 325.27), abs=0.01)


def test_three_lines_never_fall_below_the_crossing_of_two_sines():
    """Two sines a third of a period apart cross at √3/2 of their crest."""
    for t in (0, 0.02 / 6, 0.02 / 3):
        assert at("wave-three-phase", t)["u_bridge"] == pytest.approx(sqrt(3) / 2 * sqrt(2) * 400, rel=1e-9)
    assert at("wave-three-phase", 0.005 / 3)["u_bridge"] == pytest.approx(565.7, abs=0.05)
    assert at("wave-three-phase", 0)["u_mean"] == pytest.approx(3 * sqrt(2) / pi * 400, rel=1e-9)


def test_the_mean_of_what_is_drawn_is_the_mean_that_is_said():
    for name, curve, mean in (("wave-one-phase", "u_bridge", 207.07), ("wave-three-phase", "u_bridge", 540.19)):
        count = 600
        values = [at(name, 0.02 * (k + 0.5) / count)[curve] for k in range(count)]
        assert sum(values) / count == pytest.approx(mean, rel=1e-4)


@pytest.mark.parametrize(
    ("duty", "share"), [(0.25, 1 / 3), (1 / 3, 0), (0.5, 1 / 3), (2 / 3, 0), (0.75, 1 / 3), (0.1, 7 / 9), (0.9, 7 / 9)]
)
def test_three_legs_leave_nothing_at_a_third_and_at_two_thirds(duty, share):
    assert at("wave-ripple-share", duty)["K_r"] == pytest.approx(share, abs=1e-9)


def test_the_drawn_sum_of_three_windings_swings_by_the_ripple_of_the_formula():
    """Added up point by point, it meets what the formulas for ripple and share give for 283 V to 400 V."""
    low, high = swing("wave-interleave", "into the star point")
    duty = 1 - 283 / 400
    ripple = 283 * duty / (1e-3 * 10e3)
    assert high - low == pytest.approx(ripple * (1 - 3 * duty) / (1 - duty), rel=0.03)
    assert (high + low) / 2 == pytest.approx(78.0, abs=0.03)
    low, high = swing("wave-interleave", "winding 2")
    assert high - low == pytest.approx(ripple, rel=0.02)


def test_windings_follow_each_other_by_a_third_of_a_period():
    period = 100e-6
    for t in (3e-6, 40e-6, 77e-6):
        first = at("wave-interleave", t)["i_1"]
        assert at("wave-interleave", t + period / 3)["i_2"] == pytest.approx(first, rel=1e-9)
        assert at("wave-interleave", t + 2 * period / 3)["i_3"] == pytest.approx(first, rel=1e-9)


def test_the_choke_current_climbs_as_fast_as_its_voltage_over_its_inductance():
    """u = L · di/dt while the rectifier drives: 565.7 V less 283 V over 1.333 mH."""
    here, there = at("wave-choke-ripple", 5e-6), at("wave-choke-ripple", 15e-6)
    slope = (there["i_d"] - here["i_d"]) / 10e-6
    assert slope == pytest.approx((565.7 - 283) / 1.333e-3, rel=1e-3)
    assert here["u_on"] == pytest.approx(565.7) and at("wave-choke-ripple", 40e-6)["u_on"] == 0


def test_the_pilot_stands_at_nine_and_six_volts_and_keeps_its_lower_level():
    assert at("wave-pilot", 3.1e-3)["u_B"] == pytest.approx(8.98, abs=0.01)
    assert at("wave-pilot", 6.1e-3)["u_C"] == pytest.approx(6.00, abs=0.01)
    assert at("wave-pilot", 3.7e-3)["u_B"] == at("wave-pilot", 6.7e-3)["u_C"] == pytest.approx(-12)
    assert at("wave-pilot", 3.53e-3)["p_on"] == 1 and at("wave-pilot", 3.54e-3)["p_on"] == 0


def test_pre_charge_and_discharge_follow_the_exponential():
    tau = 47 * 600e-6
    assert at("wave-precharge", tau)["u_t"] == pytest.approx(400 * (1 - exp(-1)), rel=1e-9)
    assert at("wave-precharge", 0)["i_pre"] == pytest.approx(400 / 47, rel=1e-9)
    assert at("wave-discharge", 60)["u_t"] == pytest.approx(400 * exp(-2), rel=1e-9)


def test_what_is_said_are_the_numbers_of_the_formulas():
    assert re.findall(r"[\d.]+\s[VA]", wave("wave-three-phase").caption) == ["565.7\xa0V", "490\xa0V", "540\xa0V"]
    assert "8.28\xa0A" in wave("wave-interleave").says and "1.43\xa0A" in wave("wave-interleave").says
    assert "84.5\xa0ms" in wave("wave-precharge").caption and "8.51\xa0A" in wave("wave-precharge").caption
    assert "56.9\xa0s" in wave("wave-discharge").caption


def test_a_curve_without_value_somewhere_is_broken_there():
    drawn = wave("wave-pilot").plots[0].curves
    spans = [(piece[0][0], piece[-1][0]) for curve in drawn for piece in curve.points]
    assert spans == [(0, 3), (3, 6), (6, 9)]


def test_a_state_of_the_pilot_ends_on_its_lower_level_and_not_on_the_top_of_the_next_period():
    """A period begins at 6 ms and at 9 ms: what stands there belongs to the state that follows."""
    for curve in wave("wave-pilot").plots[0].curves[1:]:
        end = curve.points[-1][-1][0]
        assert {round(y, 9) for piece in curve.points for x, y in piece if x > end - 0.4} == {-12}


def test_a_sine_is_drawn_as_the_library_draws_it():
    for x, y in wave("wave-one-phase").plots[0].curves[0].points[0][::40]:
        assert y == pytest.approx(sqrt(2) * 230 * sin(2 * pi * 50 * x / 1000), abs=1e-6)
