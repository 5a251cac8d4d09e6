"""Worked examples and tables of published works, worked through the course's own formulas and tables.

The numbers are those printed in the source named beside them; a row agrees within the rounding of the
print. Where only a public manual, thread or read-me was seen, it is described without its name; what
rests on memory says so.
"""

# ruff: noqa: E501

import math
import re
import shutil
from pathlib import Path

import pytest

from quizgen.bank.faults import BankError
from quizgen.bank.load import load_bank
from quizgen.variants.work import WorkError, work
from tests.once import shipped_bank

COURSE = Path(__file__).resolve().parents[2] / "course"

BIRD = "J. O. Bird, Electrical Circuit Theory and Technology, Newnes, "
LANGSDORF = "A. S. Langsdorf, Theory of Alternating Current Machinery, McGraw-Hill, ch. 1, Ex. 15, p. 33"
BASIC = "Basic Electrical Engineering, ch. 2, Ex. 2.18, p. 32"
ADAPTER = "public manual of a test adapter, table of duty and current"
RUN_LOG = "run log in the read-me of a public supply-equipment project"
DESIGN = "table of duty and current in the read-me of a public supply-equipment design"
CAR_PART = "public notes on a circuit that plays the car's part on the pilot line"
SIMULATOR = "public notes on pilot and proximity circuits that refer to DIN EN 61851-1"
IEC_60228 = "IEC 60228, Conductors of insulated cables, "
THREAD = "public trade thread on voltage unbalance, 212, 214 and 215 V"
CAPACITOR = "public worked example of a 100 nF capacitor on a 240 V supply"
LEAKAGE = "public trade thread on the leakage of mains filter capacitors, 4.7 nF on 240 V"

NO, DIGITAL = "no charging", "digital communication"


def rows(name, law, find, letter, unit, values, source):
    """Rows of a table in one quantity: {"10": "6.0 A", …}."""
    return [(name, law, find, {letter: f"{value} {unit}"}, wanted, source) for value, wanted in values.items()]


PUBLISHED = [
    *rows("C01", "pilot-duty", "I_p", "d", "%", {10: "6.0 A", 16: "9.6 A", 20: "12.0 A", 25: "15.0 A", 30: "18.0 A"}, ADAPTER),
    *rows("C02", "pilot-duty", "I_p", "d", "%", {40: "24.0 A", 50: "30.0 A", 53: "31.8 A", 60: "36.0 A", 75: "45.0 A", 85: "51.0 A"}, ADAPTER),
    *rows("C03", "pilot-duty", "I_p", "d", "%", {86: "55.0 A", 87: "57.5 A", 90: "65.0 A", 93: "72.5 A", 95: "77.5 A", 96: "80.0 A"}, ADAPTER),
    *rows("C04", "pilot-duty", "I_p", "d", "%", {8: "6.0 A", 97: "80.0 A", 5: DIGITAL, 0: NO, 2: NO, 7.5: NO, 100: NO}, ADAPTER),
    *rows("C05", "pilot-duty", "I_p", "d", "%", {13.1: "7.86 A", 4.8: DIGITAL}, RUN_LOG),
    *rows("C06", "duty-for-current", "d", "I_p", "A", {15: "25 %", 30: "50 %", 65: "90 %", 80: "96 %"}, DESIGN),
    # printed as 66.6, cut off rather than rounded
    ("C06", "duty-for-current", "d", {"I_p": "40 A"}, "66.6 ± 0.1 %", DESIGN),
    *[
        ("C07", "pilot-level", "U_cp", {"U_s": "12 V", "U_D": "0.7 V", "R_s": "1 kΩ", "R_v": ohms}, volts, CAR_PART)
        for ohms, volts in (("2.7 kΩ", "9 V"), ("882 Ω", "6 V"), ("240 Ω", "3 V"))
    ],
    *rows("C08", "pilot-states", "state", "U_cp", "V", {12: "A, ", 9: "B, ", 6: "C, ", 3: "D, ", 0: "E, ", -12: "F, "}, SIMULATOR),
    *rows("C08", "pilot-state", "state", "U_cp", "V", {12: "A, ", 9: "B, ", 6: "C, ", 3: "D, ", 0: "E, ", -12: "F, "}, SIMULATOR),
    *rows("C09", "proximity-coding", "I_pp", "R_pp", "Ω", {1500: "13 A", 680: "20 A", 220: "32 A", 100: "63 A"}, SIMULATOR),
    *rows("C09", "proximity-decoder", "I_pp", "R_pp", "Ω", {1500: "13 A", 680: "20 A", 220: "32 A", 100: "63 A", 70: "error", 2300: "error"}, SIMULATOR),
    *[
        ("C10", "inlet-divider", "U_prox", {"U_c": "5 V", "R_pu": "330 Ω", "R_pd": "2.7 kΩ", "R_x": ohms}, volts,
         "open support article on SAE J1772, 150 Ω latched and 480 Ω with the button pressed; 5 V, 330 Ω and 2.7 kΩ from memory")
        for ohms, volts in (("150 Ω", "1.51 V"), ("480 Ω", "2.76 V"))
    ],
    *rows("C11", "conductor-class-2", "R_per", "A_c", "mm²", {
        1.5: "12.1 Ω/km", 2.5: "7.41 Ω/km", 4: "4.61 Ω/km", 6: "3.08 Ω/km", 10: "1.83 Ω/km", 16: "1.15 Ω/km",
        25: "0.727 Ω/km", 35: "0.524 Ω/km", 50: "0.387 Ω/km", 70: "0.268 Ω/km", 95: "0.193 Ω/km",
    }, IEC_60228 + "table 2, plain copper; three public reprints agree"),
    *rows("C12", "conductor-class-5", "R_per", "A_c", "mm²", {
        1.5: "13.3 Ω/km", 2.5: "7.98 Ω/km", 4: "4.95 Ω/km", 6: "3.30 Ω/km", 10: "1.91 Ω/km", 16: "1.21 Ω/km",
        25: "0.780 Ω/km", 35: "0.554 Ω/km", 50: "0.386 Ω/km", 70: "0.272 Ω/km", 95: "0.206 Ω/km",
    }, IEC_60228 + "table 3, plain copper; three public reprints agree"),
    *rows("C13", "factor-to-twenty-degrees", "k_theta", "theta", "°C", {
        5: "1.064", 30: "0.962", 50: "0.893", 70: "0.833", 90: "0.781", 100: "0.758",
    }, IEC_60228 + "temperature correction factors"),
    ("C14", "resistance-with-alpha", "R_2", {"R_1": "10 Ω", "alpha": "0.004 1/K", "theta_1": "20 °C", "theta_2": "100 °C"}, "13.2 Ω", BIRD + "Ex. 3.11"),
    ("C15", "resistance-with-alpha-at-zero", "R_2", {"R_1": "200 Ω", "alpha": "0.004 1/K", "theta_1": "20 °C", "theta_2": "90 °C"}, "252 Ω", BIRD + "Ex. 3.13"),
    ("C16", "resistance-with-alpha", "theta_2", {"R_1": "200 Ω", "R_2": "240 Ω", "alpha": "0.0039 1/K", "theta_1": "18 °C"}, "69.28 °C", BIRD + "Ex. 3.12"),
    ("C17", "copper-loss", "P_2", {"P_1": "504 W", "theta_1": "20 °C", "theta_2": "75 °C"}, "613 W", LANGSDORF),
    ("C17", "eddy-loss", "P_2", {"P_1": "126 W", "theta_1": "20 °C", "theta_2": "75 °C"}, "104 W", LANGSDORF),
    ("C18", "temperature-rise-alpha-at-zero", "dtheta", {"R_1": "3.42 Ω", "R_2": "4.22 Ω", "theta_1": "20 °C", "alpha": "0.00426 1/K"}, "59.59 K", BASIC),
    ("C18", "temperature-rise-234", "dtheta", {"R_1": "3.42 Ω", "R_2": "4.22 Ω", "theta_1": "20 °C"}, "59.5 K", BASIC + ", input values, worked in the American form"),
    ("C19", "round-wire", "R_w", {"rho": "0.017 Ω·mm²/m", "l_w": "1200 m", "d_w": "12 mm"}, "0.180 Ω", BIRD + "Ex. 3.7"),
    ("C20", "line-and-phase-voltage", "U_ph", {"U_LL": "415 V"}, "239.6 V", BIRD + "Ex. 19.1"),
    ("C20", "ohms-law", "I", {"U": "239.6 V", "R": "30 Ω"}, "7.99 A", BIRD + "Ex. 19.1"),
    ("C21", "neutral-current", "I_N", {"I_1": "100 A", "I_2": "75 A", "I_3": "50 A"}, "43.3 A", BIRD + "Ex. 19.4"),
    ("C22", "star-of-resistors", "P", {"U_LL": "415 V", "R_ph": "12 Ω"}, "14.35 kW", BIRD + "Ex. 19.8"),
    ("C23", "three-phase-power", "pf", {"P": "5 kW", "I_L": "8.6 A", "U_LL": "400 V"}, "0.839", BIRD + "Ex. 19.9"),
    ("C24", "efficiency", "P_in", {"P_out": "12.75 kW", "eta": "0.85"}, "15.0 kW", BIRD + "Ex. 19.11"),
    ("C24", "three-phase-power", "I_L", {"P": "15 kW", "U_LL": "415 V", "pf": "0.77"}, "27.10 A", BIRD + "Ex. 19.11"),
    ("C24", "delta-line-current", "I_ph", {"I_L": "27.10 A"}, "15.65 A", BIRD + "Ex. 19.11"),
    ("C25", "star-of-coils", "P", {"U_LL": "415 V", "R": "10 Ω", "f": "50 Hz", "L_c": "42 mH"}, "6283 W", BIRD + "Ex. 19.10"),
    ("C25", "delta-of-coils", "P", {"U_LL": "415 V", "R": "10 Ω", "f": "50 Hz", "L_c": "42 mH"}, "18850 W", BIRD + "Ex. 19.10"),
    ("C26", "heat-in-resistance", "R", {"P_h": "400 W", "I": "8 A"}, "6.25 Ω", BIRD + "Ex. 15.28"),
    ("C26", "impedance", "Z", {"U": "120 V", "I": "8 A"}, "15 Ω", BIRD + "Ex. 15.28"),
    ("C26", "impedance-triangle", "X", {"Z": "15 Ω", "R": "6.25 Ω"}, "13.64 Ω", BIRD + "Ex. 15.28"),
    ("C26", "single-phase-power", "pf", {"P": "400 W", "U": "120 V", "I_L": "8 A"}, "0.417", BIRD + "Ex. 15.28"),
    ("C26", "phase-angle", "phi", {"pf": "0.41667"}, "65.4 °", BIRD + "Ex. 15.28"),
    ("C27", "power-factor", "P", {"S_a": "200 kVA", "pf": "0.8"}, "160 kW", BIRD + "Ex. 15.27"),
    ("C27", "reactive-power", "Q", {"S_a": "200 kVA", "P": "160 kW"}, "120 kvar", BIRD + "Ex. 15.27"),
    ("C28", "mean-line-voltage", "U_mean", {"U_12": "212 V", "U_23": "214 V", "U_31": "215 V"}, "213.67 V", THREAD),
    ("C28", "voltage-unbalance", "u_unb", {"U_12": "212 V", "U_23": "214 V", "U_31": "215 V", "U_mean": "213.667 V"}, "0.78 %", THREAD),
    ("C29", "resonance", "f_0", {"L_1": "80 mH", "C_X": "0.25 µF"}, "1125.4 Hz", BIRD + "Ex. 15.20"),
    ("C29", "ohms-law", "I", {"U": "100 V", "R": "12.5 Ω"}, "8 A", BIRD + "Ex. 15.20, at resonance"),
    ("C29", "series-quality", "Q_s", {"L_1": "80 mH", "C_X": "0.25 µF", "R_ser": "12.5 Ω"}, "45.25", BIRD + "Ex. 15.20"),
    ("C30", "capacitor-reactance", "X_C", {"f": "50 Hz", "C_X": "100 nF"}, "31.8 kΩ", CAPACITOR),
    ("C30", "x-capacitor-current", "I_C", {"f": "50 Hz", "C_X": "100 nF", "U": "240 V"}, "7.5 mA", CAPACITOR),
    ("C31", "y-capacitor-current", "I_C", {"f": "50 Hz", "C_Y": "4.7 nF", "U_ph": "240 V"}, "0.354 mA", LEAKAGE),
]  # fmt: skip


@pytest.fixture(scope="module")
def bank():
    return shipped_bank()


@pytest.mark.parametrize(
    ("name", "law", "find", "given", "wanted", "source"),
    PUBLISHED,
    ids=lambda part: part if isinstance(part, str) else None,
)
def test_a_published_value_comes_out_within_its_rounding(bank, name, law, find, given, wanted, source):
    found = re.fullmatch(r"(-?[0-9]+(?:\.([0-9]+))?)(?: ± ([0-9.]+))?(?: (\S+))?", wanted)
    got = work(bank, law, find, given, found[4] or "" if found else "")
    assert source
    if found:
        margin = float(found[3]) if found[3] else 0.5 * 10.0 ** -len(found[2] or "")
        assert got.value == pytest.approx(float(found[1]), abs=margin * (1 + 1e-9), rel=0)
    else:
        assert got.word.startswith(wanted)


def test_every_row_from_c01_to_c31_is_here():
    assert list(dict.fromkeys(row[0] for row in PUBLISHED)) == [f"C{n:02d}" for n in range(1, 32)]


def test_copper_and_eddy_losses_add_up_to_the_published_total(bank):
    """A. S. Langsdorf, as above: 717 W at 75 °C."""
    hot = {"theta_1": "20 °C", "theta_2": "75 °C"}
    total = sum(
        work(bank, law, "P_2", {"P_1": watts, **hot}).value
        for law, watts in (("copper-loss", "504 W"), ("eddy-loss", "126 W"))
    )
    assert total == pytest.approx(717, abs=0.5)


def test_ninety_per_cent_allow_sixty_five_amperes(bank):
    """Public manual of a test adapter, table of duty and current. With a bare 64 it would be far off."""
    assert work(bank, "pilot-duty", "I_p", {"d": "90 %"}).value == pytest.approx(65, abs=1e-9)
    assert work(bank, "pilot-duty", "I_p", {"d": "90 %"}, "mA").value == pytest.approx(65_000, abs=1e-6)


def test_a_bank_that_takes_a_bare_64_from_a_percentage_is_refused(tmp_path):
    shutil.copytree(COURSE / "bank", tmp_path / "course" / "bank")
    path = tmp_path / "course" / "bank" / "formulas" / "signalling.yml"
    text = path.read_text(encoding="utf-8")
    assert text.count("then: I_p = 2.5 A/% * (d - 64 %)") == 1
    path.write_text(text.replace("(d - 64 %)", "(d - 64)", 1), encoding="utf-8")
    with pytest.raises(BankError) as caught:
        load_bank(tmp_path / "course")
    (fault,) = caught.value.faults
    assert "a bare number is subtracted from a quantity in %: give it its unit" in fault.message


def test_a_conductor_from_twenty_to_seventy_degrees_has_the_known_factor(bank):
    """Copper, 0.00393 1/K at 20 °C (IEC 60028, from memory): 1 + 0.00393 · 50 = 1.1965."""
    given = {"R_1": "1 Ω", "alpha": "0.00393 1/K", "theta_1": "20 °C", "theta_2": "70 °C"}
    assert work(bank, "resistance-with-alpha", "R_2", given).value == pytest.approx(1.1965, abs=1e-9)
    by_235 = work(bank, "copper-resistance", "R_2", {"R_1": "1 Ω", "theta_1": "20 °C", "theta_2": "70 °C"})
    assert by_235.value == pytest.approx(1.196, abs=5e-4)
    cable = {"R_per": "1 Ω/km", "l_c": "1 km", "alpha": "0.00393 1/K", "theta": "70 °C"}
    assert work(bank, "cable-resistance-at-temperature", "R_w", cable).value == pytest.approx(1.1965, abs=1e-9)


@pytest.mark.parametrize(
    ("law", "find", "given", "unit", "wanted"),
    [
        # Bird, Ex. 2.16: 3.12 kW for 30 h are 93.6 kWh
        ("energy-of-a-charge", "E_ch", {"P": "3.12 kW", "t_ch": "1800 min"}, "kWh", 93.6),
        ("energy-of-a-charge", "E_ch", {"P": "3120 W", "t_ch": "30 h"}, "MJ", 336.96),
        ("energy-of-a-charge", "t_ch", {"E_ch": "93.6 kWh", "P": "3.12 kW"}, "min", 1800),
        ("energy-of-a-charge", "t_ch", {"E_ch": "93.6 kWh", "P": "3.12 kW"}, "h", 30),
        # definitions: 1 Ah is 3600 C, 1 L/min is 1/60 000 m³/s
        ("state-of-charge", "SoC_2", {"SoC_1": "20 %", "I_B": "30 A", "t_ch": "60 min", "Q_b": "100 Ah"}, "%", 50),
        ("state-of-charge", "t_ch", {"SoC_1": "20 %", "SoC_2": "50 %", "I_B": "30 A", "Q_b": "360000 C"}, "min", 60),
        ("coolant-heat", "P_h", {"rho_f": "1 kg/L", "V_dot": "6 L/min", "c_p": "4.2 kJ/(kg·K)", "dtheta": "10 K"}, "W", 4200),
        ("coolant-heat", "V_dot", {"rho_f": "1 kg/L", "P_h": "4.2 kW", "c_p": "4.2 kJ/(kg·K)", "dtheta": "10 K"}, "L/min", 6),
        # BS 7671: 18 mV/(A·m) for two conductors of 2.5 mm², 18 m, 16 A
        ("drop-one-phase", "dU", {"l_c": "18 m", "I_L": "16 A", "R_per": "9 Ω/km"}, "V", 5.184),
        ("drop-one-phase", "dU", {"l_c": "0.018 km", "I_L": "16 A", "R_per": "9 mΩ/m"}, "mV", 5184),
    ],
)  # fmt: skip
def test_units_of_the_trade_go_through_a_formula(bank, law, find, given, unit, wanted):
    assert work(bank, law, find, given, unit).value == pytest.approx(wanted, rel=1e-12)


def test_values_outside_the_published_tables_are_refused_in_words(bank):
    with pytest.raises(WorkError, match="conductor-class-2 has no row"):
        work(bank, "conductor-class-2", "R_per", {"A_c": "3 mm²"})
    with pytest.raises(WorkError, match="proximity-coding has no row"):
        work(bank, "proximity-coding", "I_pp", {"R_pp": "70 Ω"})
    with pytest.raises(WorkError, match="duty-for-current says nothing for I_p = 52 A"):
        work(bank, "duty-for-current", "d", {"I_p": "52 A"})


def test_fifty_square_millimetres_of_class_five_lie_below_class_two(bank):
    """IEC 60228, tables 2 and 3: 0.386 and 0.387 Ω/km, which looks like a misprint and is none."""
    resistances = [
        work(bank, table, "R_per", {"A_c": "50 mm²"}).value for table in ("conductor-class-5", "conductor-class-2")
    ]
    assert resistances == pytest.approx([0.386, 0.387], rel=1e-12)
    assert math.isclose(resistances[1] - resistances[0], 0.001, rel_tol=1e-6)
