"""How numbers are written: one rule of rounding, spacing, units, consoles.

Sources: ISO 80000-1:2009, annex B, rule B (half up); BIPM, SI brochure, 9th edition, 5.4.3 and 5.4.4.
"""

import math
from decimal import ROUND_HALF_UP, Decimal
from random import Random

import pytest

from quizgen.expression.writing import (
    Rounding,
    digits,
    for_console,
    last_place,
    quantity,
    rounded,
    spaced,
    with_unit,
)

FIVES = [f"{n // 100}.{n % 100:02d}5" for n in range(300)]
"""0.005 to 2.995: every number with a five at the third place, where binary arithmetic goes wrong."""


@pytest.mark.parametrize("sign", ["", "-"])
def test_a_five_is_rounded_up_whatever_its_binary_form(sign):
    for text in FIVES:
        expected = str(Decimal(text).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))
        assert digits(float(sign + text), Rounding(step="0.01")) == sign + expected


def test_the_two_ready_made_roundings_would_not_do():
    wrong = [t for t in FIVES if str(round(float(t), 2)) != f"{Decimal(t).quantize(Decimal('0.01'), ROUND_HALF_UP):g}"]
    assert len(wrong) > 100
    assert f"{0.165:.2f}" == "0.17" and f"{1.005:.2f}" == "1.00"
    assert digits(1.005, Rounding(step="0.01")) == "1.01"


@pytest.mark.parametrize(
    ("value", "figures", "written", "last"),
    [
        (9.996, 3, "10.0", 0.01),
        (9.994, 3, "9.99", 0.01),
        (99.96, 3, "100", 0.1),
        (999.6, 3, "1000", 1),
        (0.9996, 3, "1.00", 0.001),
        (0.96, 1, "1", 0.1),
        (9.6, 1, "10", 1),
        (22222, 3, "22200", 100),
        (22250, 3, "22300", 100),
        (-22250, 3, "-22300", 100),
        (0.05, 2, "0.050", 0.001),
        (0.000012345, 3, "0.0000123", 1e-7),
        (12.345, 4, "12.35", 0.01),
        (12.344999999999999, 4, "12.35", 0.01),
        (12.34499, 4, "12.34", 0.01),
        (2.675, 3, "2.68", 0.01),
        (0.1 + 0.2, 2, "0.30", 0.01),
        (0, 3, "0.00", 0.01),
        (-0.0, 1, "0", 1),
        (1e30, 2, "1" + "0" * 30, 1e29),
        (1e-30, 2, "0." + "0" * 29 + "10", 1e-31),
        (1.7976931348623157e308, 3, "180" + "0" * 306, 1e306),
    ],
)
def test_significant_figures(value, figures, written, last):
    assert digits(value, Rounding(figures)) == written
    assert last_place(value, Rounding(figures)) == last


@pytest.mark.parametrize(
    ("value", "step", "written"),
    [
        (3.14159, "0.1", "3.1"),
        (3.15, "0.1", "3.2"),
        (-3.15, "0.1", "-3.2"),
        (-0.04, "0.1", "0.0"),
        (0.05, "0.1", "0.1"),
        (0.15, "0.1", "0.2"),
        (31.8, "1", "32"),
        (31.5, "1", "32"),
        (31.4999999999999, "1", "32"),
        (31.499999, "1", "31"),
        (12345, "10", "12350"),
        (12345, "500", "12500"),
        (12.34, "0.5", "12.5"),
        (12.25, "0.5", "12.5"),
        (12.2, "0.25", "12.25"),
        (12.374, "0.25", "12.25"),
        (12.375, "0.25", "12.50"),
        (1e30, "0.1", "1" + "0" * 30 + ".0"),
        (1e-30, "0.001", "0.000"),
        (0, "0.01", "0.00"),
        (4, "3", "3"),
        (4.5, "3", "6"),
    ],
)
def test_steps(value, step, written):
    assert digits(value, Rounding(step=step)) == written
    assert last_place(value, Rounding(step=step)) == float(step)


def test_rounding_agrees_with_exact_arithmetic_on_decimal_numbers():
    random = Random(61)
    for _ in range(3000):
        figures, places = random.randint(1, 6), random.randint(0, 8)
        exact = Decimal(random.randint(-(10**7), 10**7)).scaleb(-places)
        step = Decimal(1).scaleb(exact.adjusted() - figures + 1) if exact else Decimal(1).scaleb(1 - figures)
        expected = (exact / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step
        assert rounded(float(exact), Rounding(figures)) == expected
        assert float(digits(float(exact), Rounding(figures))) == float(expected)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_written(value):
    for write in (digits, last_place):
        with pytest.raises(ValueError, match="finite"):
            write(value, Rounding(3))


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("1234", "1234"),
        ("12345", "12_345"),
        ("1234567", "1_234_567"),
        ("-12345.67891", "\u221212_345.67891"),
        ("0.00012345", "0.00012345"),
        ("-3.2", "\u22123.2"),
        ("\u22123.2", "\u22123.2"),
        ("0", "0"),
    ],
)
def test_digits_stand_in_threes_from_five_on(text, written):
    assert spaced(text) == written.replace("_", "\u202f")


@pytest.mark.parametrize(
    ("unit", "written"), [("A", "5\u00a0A"), ("%", "5\u00a0%"), ("°C", "5\u00a0°C"), ("°", "5°"), ("", "5")]
)
def test_a_unit_stands_after_a_space_and_a_degree_close(unit, written):
    assert with_unit("5", unit) == written


def test_a_quantity_is_rounded_spaced_and_has_its_unit():
    assert quantity(-22250.0, Rounding(3), "W") == "\u221222\u202f300\u00a0W"


@pytest.mark.parametrize(
    ("text", "encoding", "shown"),
    [
        ("60°, 5\u00a0Ω", "utf-8", "60°, 5\u00a0Ω"),
        ("√3 · 5\u00a0mΩ ≤ \u22121", "ascii", "sqrt3 * 5 mohm <= -1"),
        ("5\u00a0Ω", "cp1252", "5 ohm"),
        ("5 °C", "cp1252", "5 °C"),
        ("5\u00a0Ω 漢", "ascii", "5 ohm ?"),
        ("5\u00a0Ω", "no-such-encoding", "5 ohm"),
    ],
)
def test_a_console_gets_what_it_can_show(text, encoding, shown):
    assert for_console(text, encoding) == shown
