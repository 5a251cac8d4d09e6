"""Which general slips are tried for an answer: those whose words can be true of it."""

from __future__ import annotations

import pytest

from quizgen.expression.units import read_unit, unit_list
from quizgen.variants.general import GENERAL, may_be_meant

MONEY = unit_list("EUR")
ALWAYS = {"power-of-ten", "sign", "factor-2"}
ROOTS, TIMES, PURE = {"root-2", "root-3"}, {"factor-60", "factor-3600"}, {"reciprocal", "one-minus"}


@pytest.mark.parametrize(
    ("asked", "beside", "more"),
    [
        ("V", ["A", "Ω"], ROOTS),
        ("kW", ["V", "A"], ROOTS),
        ("kWh", ["kW", "min"], ROOTS | TIMES),
        ("h", ["kWh", "kW"], TIMES),
        ("mΩ", ["V", "A"], set()),
        ("ms", ["µF", "kΩ"], set()),
        ("r/min", ["Hz"], TIMES),
        ("Ah", ["A", "s"], TIMES),
        ("EUR", ["W"], set()),
        ("EUR", ["kWh", "EUR/kWh"], TIMES),
        ("mH", ["Hz"], set()),
        ("%", ["V"], PURE),
        ("1", ["min"], PURE | TIMES),
    ],
)
def test_roots_are_for_alternating_quantities_and_sixties_where_time_is_counted(asked, beside, more):
    units = [read_unit(text, MONEY) for text in beside]
    assert set(may_be_meant(read_unit(asked, MONEY), units, looked_up=False)) == ALWAYS | more


def test_what_is_looked_up_can_only_lose_a_prefix():
    assert list(may_be_meant(read_unit("A"), [read_unit("h")], looked_up=True)) == ["power-of-ten"]


def test_they_come_in_the_order_of_the_table():
    found = list(may_be_meant(read_unit("1"), [read_unit("h")], looked_up=False))
    assert found == [one.id for one in GENERAL if one.id in found]
