"""Controlled rectifier and choke against sine waves and coils added up point by point; no book prints an example.

One open-source simulator has the two equations on three lines.
"""

import numpy as np
import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()
TURN = np.arange(36_000) / 36_000 * 2 * np.pi


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


@pytest.mark.parametrize("modulation", [0.30, 0.58, 0.70, 1.0])
def test_three_sine_currents_carry_the_power_of_the_choke(modulation):
    """Each line current is modulation times choke current times its own sine; volts times amperes are added up."""
    voltages = [230 * np.sqrt(2) * np.sin(TURN - 2 * np.pi * line / 3) for line in range(3)]
    currents = [modulation * 50 * np.sin(TURN - 2 * np.pi * line / 3) for line in range(3)]
    power = sum(u * i for u, i in zip(voltages, currents, strict=True))
    assert power.std() < 1e-6 * power.mean()
    m = str(modulation)
    assert found("three-line-rectifier", "U_rec", M=m, U_ph="230 V") == pytest.approx(power.mean() / 50)
    lines = f"{230 * np.sqrt(3):.10f} V"
    assert found("three-line-rectifier-by-lines", "U_rec", M=m, U_LL=lines) == pytest.approx(power.mean() / 50)
    effective = np.sqrt((currents[0] ** 2).mean())
    assert found("choke-current", "I_L", M=m, I_d="50 A") == pytest.approx(effective)


@pytest.mark.parametrize("modulation", [0.90, 0.92, 1.0])
def test_one_line_has_the_mean_and_crest_of_pulses_that_follow_the_sine(modulation):
    output = modulation * np.abs(np.sin(TURN)) * np.abs(230 * np.sqrt(2) * np.sin(TURN))
    assert found("one-line-rectifier", "U_rec", M=str(modulation), U="230 V") == pytest.approx(output.mean())
    assert found("one-line-top", "U_top", M=str(modulation), U="230 V") == pytest.approx(output.max())


def test_the_energy_of_a_choke_is_volts_times_amperes_added_up():
    current = (np.arange(10_000) + 0.5) / 10_000 * 78
    energy = (1e-3 * current * 78 / 10_000).sum()
    assert found("coil-energy", "W_L", L_c="1.0 mH", I_d="78 A") == pytest.approx(energy)


def test_choke_and_windings_side_by_side_slow_the_ripple_like_one_coil():
    """1 V on all drives di/dt: through three windings a third of the current each."""
    slope = 1 / found("ripple-path", "L_p", "H", L_c="1.0 mH", L_w="1.2 mH", N_w="3")
    assert 1e-3 * slope + 1.2e-3 * slope / 3 == pytest.approx(1)


def test_a_spike_is_inductance_times_the_fall_in_each_second():
    assert found("coil-spike", "U_sp", L_s="10 µH", I_d="78 A", t_f="1 µs") == pytest.approx(10e-6 * 78 / 1e-6)


def pairs_of_lines(modulation, phase_peak, periods=1200):
    """On-times and voltages of the two pairs of lines in each switching period of one turn, and the line currents.

    The line with the largest wanted current stays connected. The two others take turns on the other pole, each for
    the size of its wanted current, in shares of the direct current. For the rest the freewheel diode carries it.
    """
    turn = (np.arange(periods) + 0.5) / periods * 2 * np.pi
    wanted = np.array([modulation * np.sin(turn - 2 * np.pi * line / 3) for line in range(3)])
    volts = wanted / modulation * phase_peak
    held = np.abs(wanted).argmax(axis=0)
    others = np.array([[line for line in range(3) if line != h] for h in held]).T
    index = np.arange(periods)
    on = np.abs(wanted[others, index])
    between = np.sign(wanted[held, index]) * (volts[held, index] - volts[others, index])
    return on, between, wanted


@pytest.mark.parametrize("modulation", [0.30, 0.58, 0.70, 1.0])
def test_pulses_between_pairs_of_lines_have_the_mean_of_the_bank(modulation):
    """Built from line-to-line voltages and on-times alone; no power is balanced here."""
    on, between, wanted = pairs_of_lines(modulation, 230 * np.sqrt(2))
    mean = (on * between).sum(axis=0)
    assert mean.std() < 1e-9 * mean.mean()
    assert found("three-line-rectifier", "U_rec", M=str(modulation), U_ph="230 V") == pytest.approx(mean.mean())
    assert found("choke-current", "I_L", M=str(modulation), I_d="50 A") == pytest.approx(50 * wanted[0].std())


def test_no_modulation_above_one_can_be_switched():
    """At 1 the freewheel diode has just no time left at the crest of a line current; above it the times do not fit."""
    longest = {m: pairs_of_lines(m, 325.3)[0].sum(axis=0).max() for m in (0.58, 0.999, 1.001)}
    assert longest[0.58] < longest[0.999] <= 1 < longest[1.001]


def test_space_vectors_give_the_same_laws():
    """motulator, class CurrentSourceConverter: u_dc = 1.5 Re(q u*), line current q times i_dc, at crest values."""
    q, u = 0.58 * np.exp(0.3j), 230 * np.sqrt(2) * np.exp(0.3j)
    volts = 1.5 * (q * np.conj(u)).real
    assert found("three-line-rectifier", "U_rec", M="0.58", U_ph="230 V") == pytest.approx(volts)
    assert found("choke-current", "I_L", M="0.58", I_d="78 A") == pytest.approx(abs(q) * 78 / np.sqrt(2))


def test_the_crest_between_two_lines_is_the_worst_moment_of_the_ripple():
    """Climb and fall in each switching period, both pairs in turn, against the law at the crest between two lines."""
    inductance, frequency = 1e-3 + 1e-3 / 3, 20e3
    on, between, _ = pairs_of_lines(0.58, 230 * np.sqrt(2))
    mean = (on * between).sum(axis=0)
    climbs = (between - mean) * on / (inductance * frequency)
    path = np.array([np.zeros_like(mean), climbs[0], climbs.sum(axis=0)])
    worst = (path.max(axis=0) - path.min(axis=0)).max()
    peak = np.sqrt(6) * 230
    given = {"U_in": f"{peak:.9f} V", "U_out": f"{mean[0]:.9f} V", "f_s": "20 kHz", "L_c": f"{inductance * 1e3:.9f} mH"}
    assert found("step-down-ripple", "dI_c", **given, d_d=f"{mean[0] / peak:.9f}") == pytest.approx(worst, rel=0.01)


def test_the_swing_of_one_line_carries_the_energy_of_the_bank():
    power = 7360 * (1 - np.cos(2 * TURN))
    stored = np.cumsum(power - power.mean()) * (0.02 / TURN.size)
    assert found("swing-energy", "W_s", P="7.36 kW", f="50 Hz") == pytest.approx(np.ptp(stored), rel=1e-4)
