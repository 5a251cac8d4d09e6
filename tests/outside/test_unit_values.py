"""Printed examples on direct current and pulses, worked through the course's own formulas."""

import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()


def found(law, find, unit, **given):
    return work(BANK, law, find, given, unit).value


def test_three_resistances_side_by_side_share_a_current_as_printed():
    """J. O. Bird, Electrical Circuit Theory and Technology, Newnes, Ex. 5.8: 6, 3 and 1 A, 10 A in all."""
    volts = found("ohms-law", "U", "V", I="3 A", R="20 Ω")
    branches = [found("ohms-law", "I", "A", U=f"{volts} V", R=f"{ohms} Ω") for ohms in (10, 20, 60)]
    assert branches == pytest.approx([6, 3, 1])
    whole = found("three-in-parallel", "R_par3", "Ω", R_p1="10 Ω", R_p2="20 Ω", R_p3="60 Ω")
    assert found("ohms-law", "I", "A", U=f"{volts} V", R=f"{whole} Ω") == pytest.approx(10)


def test_a_flat_pulse_has_the_printed_effective_value():
    """J. M. Jacob, Power Electronics: Principles and Applications, Delmar, Ex. 7.3: 42 % of 500 mA, 324 mA."""
    assert found("pulse-effective", "I_eff", "mA", I_on="500 mA", k_on="0.42") == pytest.approx(324, abs=0.5)


@pytest.mark.parametrize("share", [0.1, 0.25, 0.42, 0.9])
def test_the_effective_value_of_pulses_is_the_root_of_the_mean_square(share):
    """Definition of the effective value, summed over one period in ten thousand steps."""
    steps = 10_000
    squares = sum(30.0**2 for step in range(steps) if step < share * steps)
    wanted = (squares / steps) ** 0.5
    assert found("pulse-effective", "I_eff", "A", I_on="30 A", k_on=f"{share}") == pytest.approx(wanted, rel=1e-3)
