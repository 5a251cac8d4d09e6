"""Rectifiers with diodes against printed examples, and what no book prints against waves added up point by point."""

import numpy as np
import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()

JACOB = "J. M. Jacob, Power Electronics: Principles and Applications, Delmar, "
GUPTA = "B. R. Gupta and V. Singhal, Power Electronics, Kataria, "
SEN = "P. C. Sen, Principles of Electric Machines and Power Electronics, Wiley, "
PHI = "V. Jagannathan, Introduction to Power Electronics, PHI, "
KHANNA = "P. S. Bimbhra, Power Electronics, Khanna, "


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


@pytest.mark.parametrize(
    ("law", "find", "given", "value", "within", "where"),
    [
        ("half-wave-mean", "U_dc", {"U": "120 V"}, 54.02, 0.005, JACOB + "Ex. 3.3"),
        ("bridge-mean", "U_dc", {"U": "70.7107 V"}, 63.66, 0.005, GUPTA + "Ex. 3.6"),
        ("ripple-part", "U_ac", {"U_tot": "70.7107 V", "U_dc": "63.6620 V"}, 0.4834 * 63.662, 0.01, GUPTA + "Ex. 3.6"),
        ("ripple-factor", "gamma_r", {"U_ac": "30.776 V", "U_dc": "63.662 V"}, 0.482, 0.002, GUPTA + "Ex. 3.6"),
        ("capacitor-ripple", "dU_r", {"I": "2.231 A", "f_r": "120 Hz", "C_b": "4700 µF"}, 3.96, 0.005, JACOB + "9.1"),
        ("capacitor-mean", "U_C", {"U_pk": "37.6 V", "dU_r": "3.96 V"}, 35.7, 0.1, JACOB + "Ex. 9.1, rounded"),
        ("six-pulse-line-current", "I_L", {"I_d": "200 A"}, 163.3, 0.05, GUPTA + "Ex. 3.31"),
        ("six-pulse-line-current", "I_L", {"I_d": "100 A"}, 81.65, 0.005, SEN + "Ex. 10.10"),
        ("six-pulse-diode-effective", "I_Drms", {"I_d": "200 A"}, 115.5, 0.05, GUPTA + "Ex. 3.31"),
        ("six-pulse-diode-effective", "I_Drms", {"I_d": "150 A"}, 86.6, 0.05, GUPTA + "Ex. 3.29"),
        ("six-pulse-diode-effective", "I_Drms", {"I_d": "100 A"}, 57.74, 0.005, SEN + "Ex. 10.10"),
        ("six-pulse-diode-mean", "I_Dav", {"I_d": "200 A"}, 66.7, 0.05, GUPTA + "Ex. 3.31"),
        ("six-pulse-diode-mean", "I_Dav", {"I_d": "150 A"}, 50, 1e-9, GUPTA + "Ex. 3.29"),
        ("reverse-voltage", "U_rev", {"U_LL": "400 V"}, 565.6, 0.1, GUPTA + "Ex. 3.29"),
    ],
)  # fmt: skip
def test_a_rectifier_gives_what_is_printed(law, find, given, value, within, where):
    assert found(law, find, **given) == pytest.approx(value, abs=within), where


@pytest.mark.parametrize(
    ("mean", "given", "volts", "angle", "where"),
    [
        ("six-pulse-mean", {"U_LL": "480 V"}, 463, 44.4, SEN + "Ex. 10.3"),
        ("six-pulse-mean", {"U_LL": "480 V"}, -287, 116.3, SEN + "Ex. 10.3, energy goes back"),
        ("six-pulse-mean", {"U_LL": "415 V"}, 460, 34.8, GUPTA + "Ex. 3.31"),
        ("six-pulse-mean", {"U_LL": "440 V"}, 360, 52.7, GUPTA + "Ex. 3.28"),
        ("six-pulse-mean", {"U_LL": "360 V"}, 360, 42.2, GUPTA + "Ex. 3.28"),
        ("six-pulse-mean", {"U_LL": "400 V"}, 467.8, 30.0, PHI + "Ex. 3.12"),
        ("six-pulse-mean", {"U_LL": "230 V"}, 200 + 20 * 0.5, 47.46, KHANNA + "Ex. 6.17, 200 V and 20 A through 0.5 Ω"),
        ("bridge-mean", {"U": "230 V"}, 146.4, 45.0, PHI + "Ex. 3.11"),
    ],
)  # fmt: skip
def test_the_firing_angle_is_the_printed_one(mean, given, volts, angle, where):
    full = found(mean, "U_dc", **given)
    got = found("delayed-firing-mean", "alpha_f", "°", U_ctrl=f"{volts} V", U_dc=f"{full:.10f} V")
    assert got == pytest.approx(angle, abs=0.055), where


def humps(open_diode=False, points=60_000):
    """Output of six diodes on three lines of crest 1 to neutral, over one period; one upper diode may be open."""
    turn = np.arange(points) / points * 2 * np.pi
    lines = np.array([np.cos(turn - 2 * np.pi * line / 3) for line in range(3)])
    upper = lines[1:] if open_diode else lines
    # The diodes that work never let the output turn round.
    return np.maximum(upper.max(axis=0) - lines.min(axis=0), 0)


def test_one_open_diode_of_six_leaves_five_sixths():
    wanted = humps(open_diode=True).mean() / humps().mean() * 540
    assert found("one-diode-missing", "U_open", U_dc="540 V") == pytest.approx(wanted, rel=1e-4)


@pytest.mark.parametrize(("open_diode", "strongest"), [(False, 6), (True, 1)])
def test_an_open_diode_brings_the_frequency_of_the_mains(open_diode, strongest):
    """The strongest ripple, as a multiple of the mains: six humps when sound, one dip with a diode open."""
    parts = np.abs(np.fft.rfft(humps(open_diode)))[1:20]
    assert np.argmax(parts) + 1 == strongest


def test_the_ripple_of_six_diodes_is_the_one_told_on_the_page():
    wave = humps()
    total = np.sqrt((wave**2).mean())
    ac = found("ripple-part", "U_ac", U_tot=f"{total:.9f} V", U_dc=f"{wave.mean():.9f} V")
    factor = found("ripple-factor", "gamma_r", U_ac=f"{ac:.9f} V", U_dc=f"{wave.mean():.9f} V")
    assert factor == pytest.approx(0.042, abs=5e-4)
    assert (wave.max() - wave.min()) / wave.mean() == pytest.approx(0.14, abs=5e-4)


def test_currents_of_line_and_diode_follow_from_their_shares_of_the_time():
    """A smooth 90 A: a diode carries it for 120°, a line once each way for 120°."""
    diode = np.where(np.arange(360) < 120, 90.0, 0.0)
    line = diode - np.roll(diode, 180)
    assert found("six-pulse-diode-mean", "I_Dav", I_d="90 A") == pytest.approx(diode.mean())
    assert found("six-pulse-diode-effective", "I_Drms", I_d="90 A") == pytest.approx(np.sqrt((diode**2).mean()))
    assert found("six-pulse-line-current", "I_L", I_d="90 A") == pytest.approx(np.sqrt((line**2).mean()))
