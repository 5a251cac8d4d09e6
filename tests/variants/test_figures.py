"""Rounding arrays to significant figures, against Python's own decimal arithmetic."""

from decimal import ROUND_HALF_UP, Context, Decimal

import numpy as np
import pytest

from quizgen.variants.tolerance import round_figures, ten_to


def test_powers_of_ten_are_those_of_the_literals():
    decades = np.arange(-307, 309.0)
    assert ten_to(decades) == pytest.approx([float(f"1e{int(n)}") for n in decades], rel=1e-15)


def test_what_is_no_decade_has_no_power():
    with np.errstate(invalid="ignore"):
        assert np.isnan(ten_to(np.array([np.inf, -np.inf, np.nan]))).all()
        assert np.isnan(ten_to(np.float64(np.inf)))


@pytest.mark.parametrize("figures", [1, 2, 3, 5])
def test_figures_are_rounded_half_up_as_on_paper(figures):
    values = np.array([16.25, 0.045, 99.96, 12345.0, 0.00099951, 3.0, 2.5e-12, 7.77e15])
    on_paper = Context(prec=figures, rounding=ROUND_HALF_UP)
    for sign in (1, -1):
        wanted = [float(on_paper.plus(Decimal(repr(sign * value)))) for value in values.tolist()]
        assert round_figures(sign * values, figures) == pytest.approx(wanted, rel=1e-14)


def test_zero_nan_and_infinity_stay():
    with np.errstate(all="ignore"):
        made = round_figures(np.array([0.0, np.nan, np.inf, -np.inf, 1234.0]), 3)
    assert np.array_equal(made, [0.0, np.nan, np.inf, -np.inf, 1230.0], equal_nan=True)
