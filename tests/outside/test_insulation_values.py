"""Insulation, bond and interlock: printed examples, circuits solved by nodes, a walk along the cells.

Printed values stand with their source. Limits quoted from regulations are those of public reprints and
drafts; the current edition decides.
"""

# ruff: noqa: E501

import numpy as np
import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()
SHINGHAL = "K. Shinghal, Electrical Measurements and Measuring Instruments, "
SURYANARAYANA = "N. V. Suryanarayana, Electrical Measurements and Measuring Instruments, Ex. 4.1"
REGULATION = "UN Regulation No. 100, 5.1.3.1 and 5.1.3.2, in a public reprint"
NOTES = "public notes of a software project, 120 kΩ at 400 V"
THREAD = "public thread on a battery store, 3.3 MΩ, 1.2 MΩ and 20 kΩ in three states; the branches follow"


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


def to_chassis(plus, minus, volts=400.0):
    """Voltages (V) from HV+ to the chassis and from the chassis to HV−, two resistances (kΩ) between them."""
    conductance = np.array([[1 / plus + 1 / minus]])
    chassis = np.linalg.solve(conductance, np.array([volts / plus]))[0]
    return volts - chassis, chassis


@pytest.mark.parametrize(
    ("law", "find", "unit", "given", "value", "within", "where"),
    [
        ("insulation-per-volt", "R_iso", "kΩ", {"k_iso": "100 Ω/V", "U_w": "400 V"}, 40, 1e-9, REGULATION),
        ("insulation-per-volt", "R_iso", "kΩ", {"k_iso": "500 Ω/V", "U_w": "400 V"}, 200, 1e-9, REGULATION),
        ("insulation-per-volt", "R_iso", "kΩ", {"k_iso": "100 Ω/V", "U_w": "800 V"}, 80, 1e-9, REGULATION),
        ("insulation-per-volt", "R_iso", "kΩ", {"k_iso": "500 Ω/V", "U_w": "800 V"}, 400, 1e-9, REGULATION),
        ("insulation-per-volt", "k_iso", "Ω/V", {"R_iso": "120 kΩ", "U_w": "400 V"}, 300, 1e-9, NOTES),
        ("added-branch", "R_br", "kΩ", {"R_st1": "3300 kΩ", "R_st2": "1200 kΩ"}, 1890, 5, THREAD),
        ("added-branch", "R_br", "kΩ", {"R_st1": "1200 kΩ", "R_st2": "20 kΩ"}, 20.3, 0.05, THREAD),
        ("loss-of-charge", "R_high_1", "GΩ", {"C_cab": "800 pF", "t": "20 s", "U_0": "200 V", "u_t": "150 V"}, 86.9, 0.05, SURYANARAYANA),
    ],
)  # fmt: skip
def test_limits_branches_and_lost_charge_are_those_in_print(law, find, unit, given, value, within, where):
    assert found(law, find, unit, **given) == pytest.approx(value, abs=within), where


def test_two_readings_give_both_insulations_as_printed():
    readings = {"U_w": "500 V", "U_pc": "50 V", "U_nc": "150 V", "R_met": "50 kΩ"}
    assert found("insulation-of-plus", "R_pos", "MΩ", **readings) == pytest.approx(0.10), SHINGHAL + "Ex. 3.47"
    assert found("insulation-of-minus", "R_neg", "MΩ", **readings) == pytest.approx(0.30), SHINGHAL + "Ex. 3.47"


@pytest.mark.parametrize(("plus", "minus", "volts"), [("1 MΩ", "2 MΩ", 11.63), ("2 MΩ", "1 MΩ", 23.26)])
def test_a_meter_of_fifty_kilohms_shows_what_is_printed(plus, minus, volts):
    law = "reading-of-a-loading-meter"
    shown = found(law, "U_pc", "V", U_w="500 V", R_pos=plus, R_neg=minus, R_met="50 kΩ")
    assert shown == pytest.approx(volts, abs=5e-3), SHINGHAL + "Ex. 3.49"


@pytest.mark.parametrize(("plus", "minus"), [(900, 300), (100, 300), (1500, 1600)])
def test_the_insulations_come_back_from_readings_of_the_solved_circuit(plus, minus):
    meter = 200
    beside = [1 / (1 / side + 1 / meter) for side in (plus, minus)]
    upper, lower = to_chassis(beside[0], minus)[0], to_chassis(plus, beside[1])[1]
    assert found(
        "reading-of-a-loading-meter", "U_pc", "V", U_w="400 V", R_pos=f"{plus} kΩ", R_neg=f"{minus} kΩ", R_met="200 kΩ"
    ) == pytest.approx(upper)
    readings = {"U_w": "400 V", "R_met": "200 kΩ", "U_pc": f"{upper:.12g} V", "U_nc": f"{lower:.12g} V"}
    assert found("insulation-of-plus", "R_pos", "kΩ", **readings) == pytest.approx(plus, rel=1e-8)
    assert found("insulation-of-minus", "R_neg", "kΩ", **readings) == pytest.approx(minus, rel=1e-8)


@pytest.mark.parametrize(("better", "worse"), [(900, 300), (2000, 60), (400, 390)])
def test_a_known_resistor_beside_the_better_side_gives_the_worse_one(better, worse):
    first, second = to_chassis(better, worse)
    third = to_chassis(1 / (1 / better + 1 / 500), worse)[0]
    volts = {"U_i1": f"{first:.12g} V", "U_i2": f"{second:.12g} V", "U_i3": f"{third:.12g} V"}
    assert found("insulation-by-insertion", "R_iso", "kΩ", R_known="500 kΩ", **volts) == pytest.approx(worse, rel=1e-8)


@pytest.mark.parametrize("cell", [1, 36, 95])
def test_a_walk_along_the_cells_finds_the_place_of_the_fault(cell):
    """96 equal cells of 400 V together; the chassis touches behind cell number `cell`, counted from HV+."""
    cells = np.full(96, 400 / 96)
    volts = {"U_pc": f"{cells[:cell].sum():.12g} V", "U_nc": f"{cells[cell:].sum():.12g} V"}
    share = found("place-of-a-fault", "x_f", "", **volts)
    assert found("cell-at-the-fault", "n_f", "", x_f=f"{share:.12g}", n_s="96") == pytest.approx(cell)


def test_the_loop_reads_as_its_divider_says_and_opens_to_the_supply():
    loop = {"U_loop": "5 V", "R_src": "180 Ω"}
    current = 5 / (180 + 62)
    assert found("loop-voltage", "U_read", "V", R_loop="62 Ω", **loop) == pytest.approx(current * 62)
    assert found("loop-voltage", "U_read", "V", R_loop="62 Ω", **loop) == pytest.approx(1.28, abs=5e-3)
    assert found("loop-voltage", "U_read", "V", R_loop="0 Ω", **loop) == 0
    assert found("loop-voltage", "U_read", "V", R_loop="10 MΩ", **loop) == pytest.approx(5, rel=1e-4)


def test_a_rising_voltage_draws_the_charge_that_arrives_divided_by_the_time():
    """1 µF from 0 V to 400 V is 0.4 mC; in one second 0.4 mA, as 1 MΩ would draw at 400 V."""
    assert found("current-of-a-ramp", "I_ramp", "mA", C_cab="1 µF", dU_ramp="400 V", t_ramp="1 s") == pytest.approx(0.4)


def test_a_hundred_ohms_for_each_volt_go_with_ten_milliamperes():
    """ISO 6469-3, from memory: 10 mA direct and 2 mA alternating."""
    assert found("current-to-chassis", "I_leak", "mA", U_w="400 V", R_iso="40 kΩ") == pytest.approx(10)
    assert found("current-to-chassis", "I_leak", "mA", U_w="400 V", R_iso="200 kΩ") == pytest.approx(2)
