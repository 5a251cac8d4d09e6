"""What a person types: one table of cases, the same in the page (tests/browser/test_number.py)."""

import json
from pathlib import Path

import pytest

from quizgen.expression.reading import Typed, Unreadable, read
from quizgen.expression.units import read_unit, unit_list

CASES = json.loads((Path(__file__).parent / "reading_cases.json").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: ascii(case["typed"]))
def test_the_table(case):
    result = read(case["typed"])
    if "why" in case:
        assert isinstance(result, Unreadable)
        assert result.why == case["why"]
        assert result.says.endswith((".", "?"))
    else:
        assert isinstance(result, Typed)
        assert result.number == case["number"]
        assert (result.unit.text if result.unit else None) == case["unit"]
        assert result.last == case["last"]


@pytest.mark.parametrize(
    ("text", "si"),
    [
        ("1,5 kΩ", 1500),
        ("3 mV", 0.003),
        ("3 MV", 3e6),
        ("10 µA", 1e-5),
        ("7,4 kWh", 26.64e6),
        ("64 %", 0.64),
        ("35 °C", 35),
        ("1500 /min", 25),
        ("120 A h", 432000),
    ],
)
def test_a_unit_typed_is_converted(text, si):
    assert read(text).si(read_unit("V")) == pytest.approx(si, rel=1e-15)


def test_without_a_unit_the_number_counts_in_the_one_asked_for():
    assert read("1,5").si(read_unit("kΩ")) == 1500


@pytest.mark.parametrize(
    ("text", "digits"),
    [
        ("12 500,50", "12500.50"),
        ("-0.050", "0.050"),
        (".5", "0.5"),
        ("5.", "5"),
        ("2.50e-3", "2.50"),
        ("007", "007"),
    ],
)
def test_the_digits_written_are_kept(text, digits):
    assert read(text).digits == digits


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Nothing is typed yet."),
        ("abc", "This does not read as a number. Type digits with a point or a comma, like 16.5 or 16,5."),
        ("12 5", "Spaces, points and commas only fit between groups of three digits, like 12 500."),
        ("1/2", "Type a decimal number, not a fraction: 0.5, not 1/2."),
        ("1e31", "The exponent is too big."),
        ("1" * 41, "This is too long to read: 40 characters at most."),
        ("1.234", "1.234 can be read two ways. Type 1234 for the large number or 1.2340 for the small one."),
        (
            "-1,234 V",
            "−1,234 can be read two ways. Type −1234 for the large number or −1.2340 for the small one.",
        ),
        ("5 mv", "“mv” is no unit known here. Did you mean mV? Capital and small letters differ."),
        ("5 Ohms", "“Ohms” is no unit known here. Did you mean Ohm?"),
        ("5 W/m K", "“W/m K” is no unit known here. Did you mean W/(m·K)?"),
        ("5 furlong", "“furlong” is no unit known here."),
    ],
)
def test_what_cannot_be_read_says_what_to_do(text, says):
    assert read(text).says == says


@pytest.mark.parametrize("text", ["1.234", "-1,234 V", "12.345 kW", "999,999"])
def test_both_ways_out_of_a_doubt_can_be_read(text):
    words = read(text).says.split()
    large, small = (read(words[words.index("Type") + 1]), read(words[words.index("or") + 1]))
    assert large.number == pytest.approx(1000 * small.number)


def test_a_doubt_comes_after_a_unit_that_cannot_be_read():
    assert read("1.234 kw").why == "unit"


def test_the_course_s_currency_can_be_typed():
    assert read("12.50 EUR/h", unit_list("EUR")).unit.text == "EUR/h"
    assert read("12.50 €", unit_list("€")).unit.text == "€"
    assert read("12.50 EUR").why == "unit"
