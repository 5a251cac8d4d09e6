"""The list of units: every spelling, and unit texts read, refused and suggested."""

from fractions import Fraction

import pytest

from quizgen.expression.units import (
    BASES,
    ENTRIES,
    PREFIXES,
    STANDARD,
    UnitError,
    dimension_text,
    entries_for_browser,
    near_unit,
    printable,
    read_unit,
    same_characters,
    table_for_browser,
    unit_list,
)


def dimension(**powers):
    return tuple(powers.get(base, 0) for base in BASES)


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.symbol)
def test_every_entry_reads_in_every_spelling_and_prefix(entry):
    for spelling in (entry.symbol, *entry.aliases):
        unit = read_unit(spelling)
        assert (unit.text or "1", unit.factor, unit.dimension) == (
            entry.symbol,
            entry.factor,
            entry.dimension,
        )
        for prefix, factor in PREFIXES.items():
            if prefix in entry.prefixes:
                unit = read_unit(prefix + spelling)
                assert (unit.text, unit.factor) == (prefix + entry.symbol, factor * entry.factor)
                assert unit.dimension == entry.dimension


def test_no_spelling_means_two_things():
    told = [
        (prefix + spelling, prefix + entry.symbol)
        for entry in ENTRIES
        for spelling in (entry.symbol, *entry.aliases)
        for prefix in ("", *entry.prefixes)
    ]
    assert len({spelling for spelling, _ in told}) == len(told)
    assert {spelling: shown for spelling, (shown, _, _) in STANDARD.spellings.items() if spelling[0] != "u"} == dict(
        told
    )


def test_micro_is_read_from_its_stand_in_and_shown_in_one_form():
    for spelling in ("\u00b5V", "\u03bcV", "uV"):
        assert read_unit(spelling).text == "\u00b5V"


@pytest.mark.parametrize(
    ("text", "shown", "factor", "powers"),
    [
        ("Ω/km", "Ω/km", Fraction(1, 1000), {"m": 1, "kg": 1, "s": -3, "A": -2}),
        ("A/%", "A/%", Fraction(100), {"A": 1}),
        ("kJ/(kg·K)", "kJ/(kg·K)", Fraction(1000), {"m": 2, "s": -2, "K": -1}),
        ("kJ/(kg*K)", "kJ/(kg·K)", Fraction(1000), {"m": 2, "s": -2, "K": -1}),
        ("W/(m·K)", "W/(m·K)", Fraction(1), {"kg": 1, "m": 1, "s": -3, "K": -1}),
        ("W/m²", "W/m²", Fraction(1), {"kg": 1, "s": -3}),
        ("mm²", "mm²", Fraction(1, 10**6), {"m": 2}),
        ("mm2", "mm²", Fraction(1, 10**6), {"m": 2}),
        ("mm^2", "mm²", Fraction(1, 10**6), {"m": 2}),
        ("cm³", "cm³", Fraction(1, 10**6), {"m": 3}),
        ("1/K", "1/K", Fraction(1), {"K": -1}),
        ("1/(m·K)", "1/(m·K)", Fraction(1), {"m": -1, "K": -1}),
        ("s^-1", "s⁻¹", Fraction(1), {"s": -1}),
        ("s⁻¹", "s⁻¹", Fraction(1), {"s": -1}),
        ("s-1", "s⁻¹", Fraction(1), {"s": -1}),
        ("m1", "m", Fraction(1), {"m": 1}),
        ("A·h", "A·h", Fraction(3600), {"s": 1, "A": 1}),
        ("A\u22c5h", "A·h", Fraction(3600), {"s": 1, "A": 1}),
        ("A.h", "A·h", Fraction(3600), {"s": 1, "A": 1}),
        ("N·m", "N·m", Fraction(1), {"kg": 1, "m": 2, "s": -2}),
        ("L/min", "L/min", Fraction(1, 60000), {"m": 3, "s": -1}),
        ("r/min", "r/min", Fraction(1, 60), {"s": -1}),
        ("1/min", "1/min", Fraction(1, 60), {"s": -1}),
        ("km/h", "km/h", Fraction(1000, 3600), {"m": 1, "s": -1}),
        ("K/W", "K/W", Fraction(1), {"kg": -1, "m": -2, "s": 3, "K": 1}),
        ("°C/W", "°C/W", Fraction(1), {"kg": -1, "m": -2, "s": 3, "K": 1}),
        ("V·s/A", "V·s/A", Fraction(1), {"kg": 1, "m": 2, "s": -2, "A": -2}),
    ],
)
def test_compound_units(text, shown, factor, powers):
    unit = read_unit(text)
    assert (unit.text, unit.factor, unit.dimension) == (shown, factor, dimension(**powers))


@pytest.mark.parametrize(
    ("text", "kind"), [("%", "%"), ("°", "°"), ("degC", "°C"), ("A/%", ""), ("°C/W", ""), ("1", "")]
)
def test_kinds_that_need_care_are_marked_only_where_they_stand_alone(text, kind):
    assert read_unit(text).kind == kind


def test_a_pure_number_shows_no_unit():
    assert read_unit("1").text == ""


@pytest.mark.parametrize(
    ("text", "at", "near"),
    [
        ("", 0, ""),
        ("kw", 0, "kW"),
        ("KWH", 0, "kWh"),
        ("khz", 0, "kHz"),
        ("ohms", 0, "ohm"),
        ("kOhms", 0, "kOhm"),
        ("kWhh", 0, "kWh"),
        ("volt", 0, ""),
        ("rpm", 0, ""),
        ("rms", 0, ""),
        ("kW/kw", 3, "kW"),
        ("mm²/kw", 4, "kW"),
        ("℃/kw", 2, "kW"),
        ("W/m·K", 3, "W/(m·K)"),
        ("W/m/K", 3, "W/(m·K)"),
        ("1/m·K", 3, "1/(m·K)"),
        ("W/zz·K", 4, ""),
        ("W/", 1, ""),
        ("/W", 0, ""),
        ("(W)", 0, ""),
        ("W/(m", 1, ""),
        ("W/(m·K)·s", 7, ""),
        ("A..h", 1, ""),
        ("kWh/100", 3, ""),
        ("m5", 1, ""),
        ("m0", 1, ""),
        ("m12", 2, ""),
        ("²", 0, ""),
        ("2", 0, ""),
        ("A h", 1, ""),
        ("constructor", 0, ""),
        ("m" * 51, 0, ""),
    ],
)
def test_what_is_no_unit_is_refused_with_its_place_and_a_suggestion(text, at, near):
    with pytest.raises(UnitError) as caught:
        read_unit(text)
    assert (caught.value.at, caught.value.near) == (at, near)


@pytest.mark.parametrize("text", ["mh", "R", "pu", "kK", "Mm", "kN·mm2x", "g/l/h", "KVA", "mvar", "µs/°x"])
def test_homographs_of_other_lists_are_refused(text):
    """In other unit lists mh is a millihour, R the gas constant and pu a mass."""
    with pytest.raises(UnitError):
        read_unit(text)


def test_homographs_that_are_read_mean_what_the_trade_means():
    assert read_unit("C").dimension == read_unit("A·s").dimension
    assert read_unit("Nm") != read_unit("N") and read_unit("Nm").dimension == read_unit("J").dimension
    assert read_unit("H").dimension == read_unit("V·s/A").dimension
    assert read_unit("h").dimension == read_unit("s").dimension
    assert read_unit("min").factor == 60
    assert read_unit("mV").factor * 10**9 == read_unit("MV").factor
    assert read_unit("kvar").dimension == read_unit("kVA").dimension == read_unit("kW").dimension


def test_a_suggestion_is_the_same_letters_in_other_case_or_one_letter_away():
    assert near_unit("mv") == "mV"
    assert near_unit("MAH") == "mAh"
    assert near_unit("kOh") == ""
    assert near_unit("kOhhm") == "kOhm"
    assert near_unit("kOhn") == "kOhm"
    assert near_unit("xkOhm") == "kOhm"
    assert near_unit("Ohmxx") == ""


def test_several_characters_for_one_sign_are_made_one():
    assert same_characters("\u2126 \u03bc \u2103 \u00ba \u22c5 m\u00b2 s\u207b\u00b9") == "Ω µ °C ° · m2 s-1"


def test_what_cannot_be_printed_is_named():
    assert printable("A\x1b\n\u200bΩ") == '"A<U+001B><U+000A><U+200B>Ω"'


# -- the course's currency ------------------------------------------------------------------------


@pytest.mark.parametrize("currency", ["EUR", "GBP", "€", "£", "$", "kr"])
def test_the_currency_is_a_dimension_of_its_own(currency):
    units = unit_list(currency)
    unit = read_unit(f"{currency}/h", units)
    assert (unit.text, unit.factor, unit.dimension) == (
        f"{currency}/h",
        Fraction(1, 3600),
        dimension(currency=1, s=-1),
    )
    with pytest.raises(UnitError):
        read_unit(currency)


@pytest.mark.parametrize("currency", ["V", "kg", "mm", "E R", "EUR2", "€€", "K\u010d", "\x1b"])
def test_a_currency_that_could_be_misread_is_refused(currency):
    with pytest.raises(UnitError, match="cannot be the currency"):
        unit_list(currency)


def test_without_a_currency_the_list_is_the_standard_one():
    assert unit_list("").spellings == STANDARD.spellings


def test_lists_with_the_same_currency_are_the_same_key():
    assert unit_list("EUR") == unit_list("EUR") != STANDARD
    assert hash(unit_list("EUR")) == hash(unit_list("EUR"))


# -- names of dimensions, and the page's table ----------------------------------------------------


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("1", "a pure number"),
        ("%", "a pure number"),
        ("mV", "V"),
        ("kVA", "W"),
        ("Nm", "J"),
        ("g", "kg"),
        ("min", "s"),
        ("°C", "K"),
        ("C", "Ah"),
        ("L", "m³"),
        ("1/min", "Hz"),
        ("bar", "Pa"),
        ("m/s²", "m·s^-2"),
        ("A/m", "m^-1·A"),
    ],
)
def test_a_dimension_is_told_in_a_unit_a_trainer_knows(text, told):
    assert dimension_text(read_unit(text).dimension) == told


def test_the_page_s_table_is_the_same_list():
    table = table_for_browser(unit_list("EUR"))
    assert table.keys() == unit_list("EUR").spellings.keys()
    assert table["kOhm"] == ["kΩ", 1000.0, "2 1 -3 -2 0 0"]
    assert table["EUR"] == ["EUR", 1.0, "0 0 0 0 0 1"]
    assert all(isinstance(factor, float) for _, factor, _ in table.values())


def test_the_page_is_sent_each_unit_once_without_its_spellings():
    entries = entries_for_browser(unit_list("EUR"))
    assert ["Ω", 1, "2 1 -3 -2 0 0", "µmkMG", ["ohm", "Ohm"]] in entries
    assert entries[-1] == ["EUR", 1, "0 0 0 0 0 1", "", []]
    assert len(entries) == len(entries_for_browser()) + 1 == len(ENTRIES) + 1
