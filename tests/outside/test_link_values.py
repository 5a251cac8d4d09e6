"""DC link: printed charges and discharges, circuits solved step by step, one period added up.

Printed values stand with their source. What no book prints is solved here by another way than the bank's.
"""

# ruff: noqa: E501

import numpy as np
import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()
BIRD = "J. O. Bird, Electrical Circuit Theory and Technology, Newnes, "
NOTES = "public notes on the discharge of capacitors, 470 µF and 100 kΩ; the time follows from the law"
VAN = {"U_B": "400 V", "R_pre": "47 Ω", "C_b": "600 µF"}


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


@pytest.mark.parametrize(
    ("law", "find", "unit", "given", "value", "within", "where"),
    [
        ("voltage-while-charging", "u_t", "V", {"U_B": "120 V", "t": "0.705 s", "R_d": "47 kΩ", "C_b": "15 µF"}, 75.85, 5e-3, BIRD + "Ex. 17.1"),
        ("time-to-a-share", "t_pre", "s", {"R_pre": "47 kΩ", "C_b": "15 µF", "p_u": "50 %"}, 0.489, 5e-4, BIRD + "Ex. 17.1"),
        ("time-constant", "C_b", "µF", {"tau": "0.8 s", "R_d": "50 kΩ"}, 16, 1e-9, BIRD + "Ex. 17.5"),
        ("discharge-time", "t", "s", {"R_d": "50 kΩ", "C_b": "16 µF", "U_0": "100 V", "U_end": "20 V"}, 1.29, 5e-3, BIRD + "Ex. 17.5"),
        ("voltage-left", "u_t", "V", {"R_d": "50 kΩ", "C_b": "16 µF", "U_0": "100 V", "t": "1 s"}, 28.7, 0.05, BIRD + "Ex. 17.5"),
        ("pre-charge-current", "I_pre", "mA", {"U_B": "100 V", "R_pre": "50 kΩ", "C_b": "16 µF", "t_pre": "0.5 s"}, 1.07, 5e-3, BIRD + "Ex. 17.5"),
        ("pre-charge-current", "I_pre", "A", {"U_B": "200 V", "R_pre": "4 kΩ", "C_b": "0.1 µF", "t_pre": "0 s"}, 0.05, 1e-9, BIRD + "Ex. 17.6"),
        ("time-constant", "tau", "ms", {"R_d": "4 kΩ", "C_b": "0.1 µF"}, 0.4, 1e-9, BIRD + "Ex. 17.6"),
        # the book rounds 1.84 ms up to 2 ms
        ("discharge-time", "t", "ms", {"R_d": "4 kΩ", "C_b": "0.1 µF", "U_0": "200 V", "U_end": "2 V"}, 1.9, 0.1, BIRD + "Ex. 17.6"),
        ("pre-charge-current", "I_pre", "mA", {"U_B": "20 V", "R_pre": "50 kΩ", "C_b": "20 µF", "t_pre": "0 s"}, 0.4, 1e-9, BIRD + "Ex. 17.3"),
        ("pre-charge-current", "I_pre", "mA", {"U_B": "20 V", "R_pre": "50 kΩ", "C_b": "20 µF", "t_pre": "1 s"}, 0.147, 5e-4, BIRD + "Ex. 17.3"),
        ("voltage-while-charging", "u_t", "V", {"U_B": "20 V", "R_d": "50 kΩ", "C_b": "20 µF", "t": "2 s"}, 17.3, 0.05, BIRD + "Ex. 17.3"),
        ("capacitor-energy", "W_c", "J", {"C_b": "3 µF", "U": "400 V"}, 0.24, 1e-9, BIRD + "Ex. 6.15"),
        ("mean-power-of-pre-charge", "P_pre", "kW", {"C_b": "3 µF", "U_B": "400 V", "t_rep": "10 µs"}, 24, 1e-9, BIRD + "Ex. 6.15"),
        ("capacitor-energy", "U", "V", {"C_b": "12 µF", "W_c": "4 J"}, 816.5, 0.05, BIRD + "Ex. 6.16"),
        ("capacitor-energy", "W_c", "J", {"C_b": "470 µF", "U": "400 V"}, 37.6, 0.05, NOTES),
        ("discharge-time", "t", "s", {"R_d": "100 kΩ", "C_b": "470 µF", "U_0": "400 V", "U_end": "50 V"}, 97.7, 0.05, NOTES),
    ],
)  # fmt: skip
def test_charge_and_discharge_are_those_in_print(law, find, unit, given, value, within, where):
    assert found(law, find, unit, **given) == pytest.approx(value, abs=within), where


def charged(load=None, seconds=0.3, step=1e-6):
    """Link voltage and energy of the resistor, by small steps in time; a load in ohms may hang on the link."""
    volts = joules = 0.0
    for _ in range(round(seconds / step)):
        current = (400 - volts) / 47
        joules += current**2 * 47 * step
        volts += (current - (volts / load if load else 0.0)) * step / 600e-6
    return volts, joules


def test_the_resistor_turns_as_much_into_heat_as_the_link_keeps():
    _, joules = charged()
    assert found("capacitor-energy", "W_c", "J", C_b="600 µF", U="400 V") == pytest.approx(joules, rel=1e-3)


def test_a_link_with_a_load_stops_where_the_steps_in_time_stop():
    volts, _ = charged(load=188)
    assert found("link-with-a-load", "U_stop", "V", U_B="400 V", R_hang="188 Ω", R_pre="47 Ω") == pytest.approx(
        volts, rel=1e-5
    )
    assert found("link-with-a-load", "R_hang", "Ω", U_B="400 V", U_stop="320 V", R_pre="47 Ω") == pytest.approx(188)


@pytest.mark.parametrize("millis", [10, 28.2, 75, 141])
def test_the_gap_at_the_contactor_is_what_the_steps_in_time_leave(millis):
    volts, _ = charged(seconds=millis / 1000)
    assert found("gap-at-the-contactor", "dU_k", "V", t_pre=f"{millis} ms", **VAN) == pytest.approx(
        400 - volts, rel=2e-4
    )


def test_ninety_five_per_cent_come_after_three_time_constants():
    """e³ is 20.1, so a twentieth is missing after 2.996 time constants."""
    share = found("time-to-a-share", "t_pre", "ms", R_pre="47 Ω", C_b="600 µF", p_u="95 %")
    assert share == pytest.approx(28.2 * np.log(20), rel=1e-9)
    assert share == pytest.approx(3 * 28.2, rel=2e-3)


def test_a_resistor_left_in_lifts_the_link_in_a_charge_and_lowers_it_under_load():
    way = {"U_B": "400 V", "I_link": "2 A", "R_pre": "47 Ω"}
    assert found("link-above-the-battery", "U_bus", "V", **way) == pytest.approx(400 + 94)
    assert found("link-below-the-battery", "U_bus", "V", **way) == pytest.approx(400 - 94)


@pytest.mark.parametrize("duty", [0.2, 0.293, 0.5, 0.6])
def test_the_capacitor_behind_one_leg_carries_what_one_period_adds_up_to(duty):
    """On-time: the capacitor alone feeds the load. Off-time: the coil brings I/(1 − D), the load takes I."""
    time = (np.arange(200_000) + 0.5) / 200_000
    current = np.where(time < duty, -5.0, 5.0 / (1 - duty) - 5.0)
    assert current.mean() == pytest.approx(0, abs=1e-4)
    assert found("one-leg-capacitor-current", "I_rip", "A", I_B="5 A", D=str(duty)) == pytest.approx(
        np.sqrt((current**2).mean()), rel=1e-4
    )
    volts = np.cumsum(current) / 200_000 / 10e3 / 100e-6
    assert found(
        "one-leg-link-ripple", "dU_link", "V", I_B="5 A", D=str(duty), C_b="100 µF", f_s="10 kHz"
    ) == pytest.approx(np.ptp(volts), rel=1e-3)
