"""Capacitors of the filter against a simulation and against sums done another way."""

import math

import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()


def found(law, find, unit, **given):
    return work(BANK, law, find, given, unit).value


def test_two_capacitors_in_series_and_their_bleeds_keep_the_time_constant_of_one():
    """Charge and voltage in series: J. O. Bird, Electrical Circuit Theory and Technology, Newnes, ch. 6."""
    both = found("capacitors-in-series", "C_ser", "µF", C_one="4.7 µF", C_two="4.7 µF")
    pair = found("time-constant", "tau", "s", R_d="112 kΩ", C_b=f"{both} µF")
    assert pair == pytest.approx(found("time-constant", "tau", "s", R_d="56 kΩ", C_b="4.7 µF"))


@pytest.mark.parametrize("start", [325.3, 565.7])
def test_discharge_time_is_that_of_a_step_by_step_discharge(start):
    """Current through the resistor taken from the charge in steps of 10 µs, trapezoidal rule."""
    resistance, capacitance, step = 56e3, 4.7e-6, 1e-5
    half = step / (2 * resistance * capacitance)
    steps, volts = 0, start
    while volts > 34:
        volts *= (1 - half) / (1 + half)
        steps += 1
    wanted = steps * step
    got = found("discharge-time", "t", "s", R_d="56 kΩ", C_b="4.7 µF", U_0=f"{start} V", U_end="34 V")
    assert got == pytest.approx(wanted, abs=2 * step)


def test_current_of_both_poles_is_the_effective_value_of_the_slope_of_the_voltage():
    """i = C · du/dt of a sine wave, summed over one period."""
    steps, crest, frequency, farads = 3600, 158 * math.sqrt(2), 150, 9.4e-9
    pace = 2 * math.pi * frequency
    flow = [farads * crest * pace * math.cos(2 * math.pi * step / steps) for step in range(steps)]
    wanted = 1e3 * math.sqrt(sum(one**2 for one in flow) / steps)
    got = found(
        "earth-current-of-two-capacitors", "I_pe", "mA", f_cm="150 Hz", C_pos="4.7 nF", C_neg="4.7 nF", U_cm="158 V"
    )
    assert got == pytest.approx(wanted)
