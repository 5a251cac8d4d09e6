"""Controlled rectifier and choke against sine waves and coils added up point by point; no book prints an example."""

from pathlib import Path

import numpy as np
import pytest

from quizgen.bank.load import load_bank
from quizgen.variants.work import work

BANK = load_bank(Path(__file__).parents[2] / "course")
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
