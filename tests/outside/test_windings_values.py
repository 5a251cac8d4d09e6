"""Windings as inductors, against a textbook and against circuits solved in another way.

Printed values come from a textbook and a public thread; the source stands beside each. What no book prints
is solved here as a set of linear equations or added up over one period.
"""

import numpy as np
import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()

BIRD = "J. O. Bird, Electrical Circuit Theory and Technology, Newnes, "
THREE = BIRD + "Ex. 5.8"


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


def shown(value, unit=""):
    """An amount as text, with as many figures as the bank reads."""
    return f"{value:.15g} {unit}".strip()


@pytest.mark.parametrize(
    ("law", "find", "given", "amperes", "where"),
    [
        ("two-windings-share", "I_U", {"I_S": "25 A", "R_U": "6 Ω", "R_V": "2 Ω"}, 6.25, BIRD + "Ex. 5.11"),
        ("two-windings-share", "I_U", {"I_S": "25 A", "R_U": "2 Ω", "R_V": "6 Ω"}, 18.75, BIRD + "Ex. 5.11"),
        ("three-windings-share", "I_W", {"I_S": "10 A", "R_W": "10 Ω", "R_U": "20 Ω", "R_V": "60 Ω"}, 6, THREE),
        ("three-windings-share", "I_W", {"I_S": "10 A", "R_W": "20 Ω", "R_U": "10 Ω", "R_V": "60 Ω"}, 3, THREE),
        ("three-windings-share", "I_W", {"I_S": "10 A", "R_W": "60 Ω", "R_U": "10 Ω", "R_V": "20 Ω"}, 1, THREE),
    ],
)  # fmt: skip
def test_a_current_shares_as_printed(law, find, given, amperes, where):
    assert found(law, find, **given) == pytest.approx(amperes, rel=1e-12), where


def test_an_imbalance_is_that_of_a_public_thread():
    """Public trade thread on unbalance: 212, 214 and 215 give a mean of 213.67 and 0.78 %."""
    three = {"R_U": "212 mΩ", "R_V": "214 mΩ", "R_W": "215 mΩ"}
    mean = found("mean-of-windings", "R_m", "mΩ", **three)
    assert mean == pytest.approx(213.67, abs=5e-3)
    assert found("winding-imbalance", "b_R", "%", R_m=shown(mean, "mΩ"), **three) == pytest.approx(0.78, abs=5e-3)


@pytest.mark.parametrize("ohms", [(20, 20, 27), (23, 19, 31), (20, 45, 20)])
def test_three_terminal_readings_give_back_the_windings(ohms):
    """Three sums of two, solved as linear equations."""
    pairs = np.array([[1, 1, 0], [0, 1, 1], [1, 0, 1]])
    uv, vw, wu = pairs @ ohms
    solved = np.linalg.solve(pairs, [uv, vw, wu])
    got = found("winding-from-terminals", "R_U", "mΩ", R_UV=shown(uv, "mΩ"), R_VW=shown(vw, "mΩ"), R_WU=shown(wu, "mΩ"))
    assert got == pytest.approx(solved[0]) and got == pytest.approx(ohms[0])


def held_shares(total, ohms, ends):
    """Currents from one star into several ends at given voltages; their sum is held."""
    ohms, ends = np.array(ohms, float), np.array(ends, float)
    star = (total + (ends / ohms).sum()) / (1 / ohms).sum()
    return (star - ends) / ohms


@pytest.mark.parametrize("ohms", [(0.020, 0.020, 0.027), (0.021, 0.025, 0.030)])
def test_shares_heat_and_star_voltage_fit_together(ohms):
    currents = held_shares(78.0, ohms, [0, 0, 0])
    u, v, w = (shown(1000 * r, "mΩ") for r in ohms)
    assert found("three-windings-share", "I_W", I_S="78 A", R_U=u, R_V=v, R_W=w) == pytest.approx(currents[2])
    assert found("three-windings-share", "I_W", I_S="78 A", R_U=w, R_V=v, R_W=u) == pytest.approx(currents[0])
    named = dict(zip(("I_U", "I_V", "I_W"), (shown(i, "A") for i in currents), strict=True))
    heat = found("windings-loss", "P_h", "W", R_U=u, R_V=v, R_W=w, **named)
    volts = currents[0] * ohms[0]
    assert heat == pytest.approx(78.0 * volts)


@pytest.mark.parametrize("windings", [2, 3, 6])
def test_a_longer_on_time_pulls_its_winding_up_and_the_others_down(windings):
    volts, ohms = 0.2, 0.020
    ends = [-volts] + [0.0] * (windings - 1)
    currents = held_shares(78.0, [ohms] * windings, ends)
    assert found("missing-mean-voltage", "U_bias", "V", dD="0.0005", U_B="400 V") == pytest.approx(volts)
    above = found("unequal-duty-current", "I_dev", N_w=str(windings), U_bias="0.2 V", R_m="20 mΩ")
    assert above == pytest.approx(currents[0] - 78.0 / windings)
    assert currents.sum() == pytest.approx(78.0)


@pytest.mark.parametrize("duty", [0.05, 0.10, 0.2925, 0.45, 0.50, 0.75])
@pytest.mark.parametrize(("choke", "winding"), [(1.0, 1.0), (0.6, 1.4), (1.5, 0.8)])
def test_choke_and_windings_over_one_period_leave_that_ripple(duty, choke, winding):
    """Switch-level sum: the star floats, choke and three windings share every step of voltage."""
    points, battery, frequency = 60_000, 400.0, 10e3
    at = (np.arange(points) + 0.5) / points
    ends = np.array([np.where((at - leg / 3) % 1 < duty, 0.0, battery) for leg in range(3)])
    source = (1 - duty) * battery
    # One choke and three windings meet at the star: L_c·di/dt = source − star, L_w·di_k/dt = star − end_k.
    star = (source / choke + ends.sum(axis=0) / winding) / (1 / choke + 3 / winding)
    slope = (source - star) / (choke * 1e-3)
    current = np.concatenate([[0.0], np.cumsum(slope) / points / frequency])
    assert current[-1] == pytest.approx(0, abs=1e-6)
    coil = {"L_w": shown(winding, "mH")}
    one = found("winding-ripple-from-battery", "dI_w", U_B="400 V", D=shown(duty), f_s="10 kHz", **coil)
    share = found("three-leg-ripple-share", "K_r", D=shown(duty))
    rest = found("sum-ripple", "dI_S", K_r=shown(share), dI_w=shown(one, "A"))
    got = found("ripple-behind-choke", "dI_c", dI_S=shown(rest, "A"), L_c=shown(choke, "mH"), N_w="3", **coil)
    assert got == pytest.approx(np.ptp(current), abs=2e-4)


def test_two_of_three_legs_leave_one_ripple_at_a_third():
    """The page says so: at a duty of 1/3 three shifted triangles add up to nothing, so two leave the third's."""
    at = np.arange(6000) / 6000
    legs = [np.where((x := (at - k / 3) % 1) < 1 / 3, 3 * x, 1.5 * (1 - x)) for k in range(3)]
    assert np.ptp(sum(legs)) == pytest.approx(0, abs=1e-9)
    assert np.ptp(legs[0] + legs[1]) == pytest.approx(1, abs=1e-9)


def test_the_sensor_story_adds_up():
    """True currents 27, 27 and 24 A make 78 A; a sensor that adds 3 A shows three times 27 A."""
    assert found("moved-zero", "I_off", N_w="3", I_sh="27 A", I_S="78 A") == pytest.approx(81 - 78)
    assert found("true-behind-moved-zero", "I_true", I_sh="27 A", I_off="3 A") == pytest.approx(24)
