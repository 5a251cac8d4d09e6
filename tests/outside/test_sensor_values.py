"""Sensors, bus and fuses against printed values and against sums over time; the source stands beside each."""

import numpy as np
import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


@pytest.mark.parametrize(("celsius", "printed", "within"), [(50, 4.160, 0.015), (85, 1.451, 0.001), (0, 27.28, 0.055)])
def test_an_ntc_comes_close_to_its_printed_table(celsius, printed, within):
    """Public table of a 10 kΩ sensor, B 3435 stated from 25 °C to 85 °C; outside them the law drifts by 5 %."""
    given = {"R_ref": "10 kΩ", "theta_ref": "25 °C", "B_n": "3435 K", "theta": f"{celsius} °C"}
    assert found("ntc-resistance", "R_ntc", "kΩ", **given) == pytest.approx(printed, rel=within)


def test_a_textbook_sensor_has_its_printed_temperature():
    """E. O. Doebelin and D. N. Manik, Measurement Systems, McGraw-Hill, ch. 8, Ex. 4: 271.85 K."""
    given = {"R_ref": "1000 Ω", "theta_ref": "19.85 °C", "B_n": "3450 K", "R_ntc": "2500 Ω"}
    assert found("ntc-resistance", "theta", "°C", **given) + 273.15 == pytest.approx(271.85, abs=0.01)


@pytest.mark.parametrize(("volts", "count"), [("2.5 V", 512), ("3.5 V", 716), ("0.5 V", 102)])
def test_ten_bits_count_a_sensor_as_recomputed(volts, count):
    """Counts of a 40 mV/A sensor at 0, 25 and -50 A, recomputed; one count either way."""
    assert found("converter-count", "n_c", u_sen=volts, n_bit="10", U_sup="5 V") == pytest.approx(count, abs=1)


def test_a_half_sine_lets_through_what_the_book_prints():
    """P. S. Bimbhra, Power Electronics, Khanna, Ex. 4.11: 3000 A at 50 Hz, 45 000 A²s; a sum over time agrees."""
    assert found("pulse-of-half-sine", "i2t", "A²·s", I_top="3000 A", t_w="10 ms") == pytest.approx(45_000)
    time = (np.arange(100_000) + 0.5) / 100_000 * 0.01
    assert np.mean((3000 * np.sin(np.pi * time / 0.01)) ** 2) * 0.01 == pytest.approx(45_000, rel=1e-8)


def test_a_decay_lets_through_the_sum_of_its_squares():
    time = (np.arange(200_000) + 0.5) / 200_000 * 0.6
    summed = np.mean((8.51 * np.exp(-time / 0.0282)) ** 2) * 0.6
    assert found("pulse-of-decay", "i2t", "A²·s", I_top="8.51 A", tau="28.2 ms") == pytest.approx(summed, rel=1e-5)


@pytest.mark.parametrize(("celsius", "ohms"), [(-40, 84.27), (50, 119.40), (100, 138.51), (150, 157.33)])
def test_a_platinum_sensor_keeps_to_the_standard_curve_within_a_kelvin_and_a_half(celsius, ohms):
    """IEC 60751, 100 Ω sensor, values of the curve R(t) = 100 Ω (1 + 3.9083e-3 t - 5.775e-7 t²), from memory."""
    assert 100 * (1 + 3.9083e-3 * celsius - 5.775e-7 * celsius**2) == pytest.approx(ohms, abs=0.011)
    given = {"R_pt0": "100 Ω", "alpha": "0.00385 1/K", "R_pt": f"{ohms} Ω"}
    assert found("platinum-resistance", "theta", "°C", **given) == pytest.approx(celsius, abs=1.5)
