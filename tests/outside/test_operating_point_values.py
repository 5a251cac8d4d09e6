"""The healthy chain at its twelve operating points, against a calculation and circuit simulations made apart from it.

Invented chain, so no book has its numbers: they were worked out by hand from the published relations (rectifier:
U = 3/2 M û and I_d = √2 I / M, J. W. Kolar, T. Friedli, IEEE Trans. Power Electronics 28, 2013, from memory; boost:
D = 1 − U_S/U_B; ripple: U_B D (1 − D)/(L f)), and the ripple and the shares simulated as circuits, before the course's
code existed.
"""

import pytest

from quizgen.tracing import read_tracing
from quizgen.tracing.charge import attempt, steady
from quizgen.tracing.modes import in_mode
from tests.once import shipped_bank

COLUMNS = "P I_d I_w U_rec U_rec_read U_S D_ideal D I_B_ideal I_B dI_w P_loss eta".split()
POINTS = """
one-line-16    320  3680 25.1  8.4 146.4 141.4 141.0 0.543 0.563 11.5 10.9  8.0 178 0.952
one-line-16    360  3680 25.1  8.4 146.4 141.4 141.0 0.593 0.612 10.2  9.7  9.0 179 0.951
one-line-16    400  3680 25.1  8.4 146.4 141.4 141.0 0.634 0.651  9.2  8.7 10.0 181 0.951
one-line-32    320  7360 50.3 16.8 146.4 141.4 140.6 0.543 0.565 23.0 21.8  8.0 386 0.948
one-line-32    360  7360 50.3 16.8 146.4 141.4 140.6 0.593 0.613 20.4 19.4  9.0 389 0.947
one-line-32    400  7360 50.3 16.8 146.4 141.4 140.6 0.634 0.652 18.4 17.4 10.0 392 0.947
three-lines-16 320 11040 39.0 13.0 283.0 278.0 277.4 0.116 0.137 34.5 33.6  3.3 289 0.974
three-lines-16 360 11040 39.0 13.0 283.0 278.0 277.4 0.214 0.233 30.7 29.9  6.1 291 0.974
three-lines-16 400 11040 39.0 13.0 283.0 278.0 277.4 0.293 0.310 27.6 26.9  8.3 294 0.973
three-lines-32 320 22080 78.0 26.0 283.0 278.0 276.7 0.116 0.140 69.0 67.0  3.3 650 0.971
three-lines-32 360 22080 78.0 26.0 283.0 278.0 276.7 0.214 0.236 61.3 59.5  6.1 654 0.970
three-lines-32 400 22080 78.0 26.0 283.0 278.0 276.7 0.293 0.312 55.2 53.6  8.3 659 0.970
"""
SIMULATED_RIPPLE = [8.0, 8.8, 9.7, 8.0, 8.8, 9.8, 4.3, 7.1, 9.4, 4.4, 7.2, 9.5]
"""Peak to peak of one winding, with the rectifier's own ripple: the formula leaves that out."""
ROWS = [(mode, float(volts), values) for mode, volts, *values in map(str.split, POINTS.strip().splitlines())]


def near(value, printed):
    """Within half a unit of the last figure, and as much again for terms that were rounded before they were added."""
    unit = 10.0 ** -len(printed.partition(".")[2])
    return abs(value - float(printed)) <= 1.05 * unit


@pytest.fixture(scope="module")
def modes():
    tracing, faults = read_tracing(shipped_bank())
    assert faults == []
    return {
        (mode.id, volts): (mode, in_mode(tracing, mode, volts))
        for mode in tracing.modes.values()
        for volts in mode.volts
    }


def test_the_chain_has_these_modes_and_no_others(modes):
    assert sorted(modes) == sorted((mode, volts) for mode, volts, _ in ROWS)


@pytest.mark.parametrize(("mode", "volts", "values"), ROWS, ids=[f"{mode}-{volts:g}" for mode, volts, _ in ROWS])
def test_an_operating_point_has_the_numbers_worked_out_for_it(modes, mode, volts, values):
    kind, chain = modes[mode, volts]
    point = steady(dict(chain.healthy), kind.lines, kind.amps, volts)
    wrong = [
        (name, getattr(point, name), printed)
        for name, printed in zip(COLUMNS, values, strict=True)
        if name != "P_loss" and not near(getattr(point, name), printed)
    ]
    assert wrong == []
    assert point.P_loss == pytest.approx(float(values[COLUMNS.index("P_loss")]), rel=0.01)


@pytest.mark.parametrize(("mode", "volts", "values"), ROWS, ids=[f"{mode}-{volts:g}" for mode, volts, _ in ROWS])
def test_live_data_of_a_charge_in_that_mode_show_them(modes, mode, volts, values):
    kind, chain = modes[mode, volts]
    made, printed = attempt(dict(chain.healthy), kind.lines), dict(zip(COLUMNS, values, strict=True))
    assert made.event == "charges at the full current"
    assert near(made.shown["I_L1"], f"{kind.amps:g}")
    pairs = {"I_d": "I_d", "I_U": "I_w", "I_V": "I_w", "I_W": "I_w", "U_S": "U_S", "I_B": "I_B"}
    assert [name for name, column in pairs.items() if not near(made.shown[name], printed[column])] == []
    assert near(made.shown["D"] / 100, printed["D"])


@pytest.mark.parametrize(("row", "simulated"), list(zip(ROWS, SIMULATED_RIPPLE, strict=True)))
def test_the_ripple_of_a_winding_is_near_the_simulated_one(modes, row, simulated):
    """On one line the star voltage swings slowly and the formula holds; on three the rectifier adds up to 1.2 A."""
    mode, volts, _ = row
    kind, chain = modes[mode, volts]
    found = steady(dict(chain.healthy), kind.lines, kind.amps, volts).dI_w
    assert found == pytest.approx(simulated, rel=0.04) if kind.lines == 1 else 0 < simulated - found < 1.3
