"""Losses, temperatures and cooling of a leg, against printed examples and sums over one period."""

import numpy as np
import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()

JACOB = "J. M. Jacob, Power Electronics: Principles and Applications, Delmar, "
KHANNA = "P. S. Bimbhra, Power Electronics, Khanna, Ex. 4.19"
KOSOW = "I. Kosow, Electric Machinery and Transformers, Prentice Hall, Ex. 13.1 to 13.3"
BIRD = "J. O. Bird, Electrical Circuit Theory and Technology, Newnes, Ex. 19.11"
BOOK_SWITCH = {"P_h": "90 W", "theta_s": "86 °C", "R_cs": "0.075 K/W"}


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


def shown(value, unit=""):
    """An amount as text, with as many figures as the bank reads."""
    return f"{value:.15g} {unit}".strip()


@pytest.mark.parametrize(
    ("law", "find", "unit", "given", "value", "within", "where"),
    [
        ("conduction-loss-resistive", "P_con", "W", {"R_on": "0.15 Ω", "I_sw": "0.939 A"}, 0.1323, 5e-5,
         JACOB + "Ex. 7.7"),
        ("case-temperature", "theta_case", "", BOOK_SWITCH, 92.75, 5e-3, KHANNA),
        ("temperature-inside", "theta_j", "", BOOK_SWITCH | {"R_jc": "0.15 K/W"}, 106.25, 5e-3, KHANNA),
        ("cooling-plate-needed", "R_sa", "K/W",
         {"theta_j": "125 °C", "theta_a": "40 °C", "P_h": "2.92 W", "R_jc": "2.5 K/W", "R_cs": "2.0 K/W"},
         24.61, 5e-3, JACOB + "Ex. 4.6"),
        ("junction-temperature", "P_h", "W", {"theta_j": "125 °C", "theta_a": "40 °C", "R_th": "8.5 K/W"}, 10.0, 0.05,
         JACOB + "Ex. 4.7"),
        ("insulation-life", "k_life", "", {"theta_cls": "105 °C", "theta": "125 °C"}, 2.5 / 10, 1e-9, KOSOW),
        ("insulation-life", "k_life", "", {"theta_cls": "105 °C", "theta": "75 °C"}, 8, 1e-9, KOSOW),
        ("insulation-life", "k_life", "", {"theta_cls": "130 °C", "theta": "105 °C"}, 28.3 / 5, 0.01, KOSOW),
        ("loss-from-input", "P_h", "kW", {"P_in": "15 kW", "eta": "0.85"}, 15.0 - 12.75, 1e-9, BIRD),
        ("loss-from-output", "P_h", "kW", {"P_out": "12.75 kW", "eta": "0.85"}, 15.0 - 12.75, 1e-9, BIRD),
    ],
)  # fmt: skip
def test_losses_temperatures_and_lives_are_those_in_print(law, find, unit, given, value, within, where):
    assert found(law, find, unit, **given) == pytest.approx(value, abs=within), where


def test_the_maker_s_example_of_a_coolant_holds_for_the_heat_and_for_the_flow():
    """Coolant maker's manual: 2 L of water, 10 K in 15 min carry 93.3 W."""
    fluid = {"rho_f": "1 kg/L", "c_p": "4.2 kJ/(kg·K)"}
    flow = shown(2 / 15, "L/min")
    assert found("coolant-heat", "P_h", "W", V_dot=flow, dtheta="10 K", **fluid) == pytest.approx(93.3, abs=0.05)
    assert found("coolant-heat", "V_dot", "L/min", P_h="93.3333333 W", dtheta="10 K", **fluid) == pytest.approx(2 / 15)


@pytest.mark.parametrize("duty", [0.12, 0.293, 0.5, 0.8])
def test_a_leg_over_one_period_has_these_currents_and_losses(duty):
    """Winding current, threshold and slope added up point by point."""
    current, threshold, slope = 26.0, 0.9, 0.008
    below = (np.arange(100_000) + 0.5) / 100_000 < duty
    low, up = current * below, current * ~below
    winding, share = {"I_w": "26 A", "D": shown(duty)}, {"I_rms": "26 A", "D": shown(duty)}
    mean, square = found("lower-switch-mean", "I_av", **winding), found("lower-switch-current", "I_sw", **share)
    assert mean == pytest.approx(low.mean()) and square == pytest.approx(np.sqrt((low**2).mean()))
    assert found("upper-switch-mean", "I_avu", **winding) == pytest.approx(up.mean())
    assert found("upper-switch-current", "I_swu", **share) == pytest.approx(np.sqrt((up**2).mean()))
    heat = found("conduction-loss-threshold", "P_con", "W", U_T="0.9 V", r_T="8 mΩ", I_av=shown(mean, "A"),
                 I_sw=shown(square, "A"))  # fmt: skip
    assert heat == pytest.approx((below * (threshold + slope * low) * low).mean())
    assert found("conduction-loss-leg", "P_con", "W", U_leg="1 V", I_w="26 A") == pytest.approx((low + up).mean())


def test_a_leg_at_the_point_of_its_sheet_loses_the_energy_of_the_sheet():
    """At the reference point nothing is scaled: 6 mJ ten thousand times a second are 60 W."""
    sheet = {"f_s": "10 kHz", "E_sw": "6 mJ", "U_ref": "400 V", "I_ref": "100 A"}
    assert found("switching-loss", "P_sw", "W", U_B="400 V", I_w="100 A", **sheet) == pytest.approx(60)
    assert found("switching-loss", "P_sw", "W", U_B="400 V", I_w="26 A", **sheet) == pytest.approx(0.26 * 60)


def test_power_walked_through_three_stages_keeps_their_product():
    left = 20.0
    for share in (0.98, 0.97, 0.985):
        left -= left * (1 - share)
    eta = found("stages-in-a-row", "eta", eta_1="0.98", eta_2="0.97", eta_3="0.985")
    assert 20.0 * eta == pytest.approx(left)


def test_metal_heated_second_by_second_takes_that_long():
    warmed, seconds = 0.0, 0
    while warmed < 20.0:
        warmed += 650.0 / 11_000.0
        seconds += 1
    assert found("warm-up-without-coolant", "t", "s", C_heat="11 kJ/K", dtheta="20 K", P_h="650 W") == pytest.approx(
        seconds, abs=1
    )
