"""Every unit of ours, with its prefixes, against Pint's own definitions.

Source: Pint (https://pint.readthedocs.io), its default registry, which cites CODATA and the SI brochure.
"""

import math

import pint
import pytest

from quizgen.expression.units import BASES, ENTRIES, PREFIXES, STANDARD, read_unit, unit_list

REGISTRY = pint.UnitRegistry()

THEIRS = {
    "1": "dimensionless", "%": "percent", "°": "degree", "rad": "radian", "m": "meter", "g": "gram",
    "s": "second", "min": "minute", "h": "hour", "A": "ampere", "K": "kelvin", "°C": "delta_degree_Celsius",
    "V": "volt", "W": "watt", "VA": "volt * ampere", "var": "volt * ampere", "J": "joule",
    "Wh": "watt * hour", "Ah": "ampere * hour", "C": "coulomb", "Ω": "ohm", "S": "siemens", "F": "farad",
    "H": "henry", "Hz": "hertz", "r": "count", "N": "newton", "Nm": "newton * meter", "Pa": "pascal",
    "bar": "bar", "L": "liter",
}  # fmt: skip
"""Our symbol and Pint's name. Pint knows no var (a reactive volt-ampere), so it is proved through V·A; its
own volt_ampere is left aside. A revolution (r) is a count with us, see below."""

THEIR_PREFIX = {
    "p": "pico",
    "n": "nano",
    "µ": "micro",
    "m": "milli",
    "c": "centi",
    "k": "kilo",
    "M": "mega",
    "G": "giga",
}
THEIR_BASES = ("[length]", "[mass]", "[time]", "[current]", "[temperature]")


def agree(unit, quantity):
    """Factor to coherent SI, and dimension. Pint's Celsius difference is made a kelvin by `to_base_units`."""
    in_base_units = quantity.to_base_units()
    assert float(unit.factor) == pytest.approx(in_base_units.magnitude, rel=1e-12)
    theirs = in_base_units.dimensionality
    assert unit.dimension[: len(THEIR_BASES)] == tuple(int(theirs.get(base, 0)) for base in THEIR_BASES)
    assert unit.dimension[-1] == 0
    assert set(theirs) <= set(THEIR_BASES)


def test_the_table_names_every_entry_and_every_prefix():
    assert list(THEIRS) == [entry.symbol for entry in ENTRIES]
    assert THEIR_PREFIX.keys() == PREFIXES.keys()
    assert BASES == ("m", "kg", "s", "A", "K", "currency")


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.symbol)
def test_every_unit_and_every_prefixed_unit_is_pint_s(entry):
    theirs = THEIRS[entry.symbol]
    agree(read_unit(entry.symbol), REGISTRY.Quantity(1, theirs))
    for prefix in entry.prefixes:
        agree(read_unit(prefix + entry.symbol), REGISTRY.Quantity(1, THEIR_PREFIX[prefix] + theirs))


@pytest.mark.parametrize("spelling", [spelling for spelling in STANDARD.spellings if spelling != "1"])
def test_every_spelling_is_the_unit_it_shows(spelling):
    shown, factor, dimension = STANDARD.spellings[spelling]
    symbol = max((s for s in THEIRS if shown.endswith(s)), key=lambda s: (shown == s, len(s)))
    prefix = shown.removesuffix(symbol)
    unit = read_unit(spelling)
    assert (unit.factor, unit.dimension) == (factor, dimension)
    agree(unit, REGISTRY.Quantity(1, THEIR_PREFIX.get(prefix, "") + THEIRS[symbol]))


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("Ω/km", "ohm / kilometer"),
        ("mΩ/m", "milliohm / meter"),
        ("Ω·mm²/m", "ohm * millimeter ** 2 / meter"),
        ("A/%", "ampere / percent"),
        ("mm²", "millimeter ** 2"),
        ("cm³", "centimeter ** 3"),
        ("A/mm²", "ampere / millimeter ** 2"),
        ("1/K", "1 / kelvin"),
        ("1/min", "1 / minute"),
        ("kJ/(kg·K)", "kilojoule / (kilogram * kelvin)"),
        ("W/(m·K)", "watt / (meter * kelvin)"),
        ("K/W", "kelvin / watt"),
        ("°C/W", "delta_degree_Celsius / watt"),
        ("L/min", "liter / minute"),
        ("kg/m³", "kilogram / meter ** 3"),
        ("kg/L", "kilogram / liter"),
        ("m/s²", "meter / second ** 2"),
        ("km/h", "kilometer / hour"),
        ("kWh/km", "kilowatt * hour / kilometer"),
        ("Wh/kg", "watt * hour / kilogram"),
        ("A·h", "ampere * hour"),
        ("N·m", "newton * meter"),
        ("V·s/A", "henry"),
        ("s/Ω", "farad"),
        ("V/µs", "volt / microsecond"),
        ("kA/ms", "kiloampere / millisecond"),
        ("°/s", "degree / second"),
        ("s⁻¹", "1 / second"),
        ("J/m³", "pascal"),
    ],
)
def test_compound_units_are_pint_s(ours, theirs):
    agree(read_unit(ours), REGISTRY.Quantity(1, theirs))


def test_a_revolution_is_a_count_with_us_and_an_angle_with_pint():
    """ISO 80000-3 gives rotational frequency in s⁻¹, with r for the count of revolutions (r/min)."""
    assert read_unit("r").factor == 1
    assert REGISTRY.Quantity(1, "revolution").to_base_units().magnitude == pytest.approx(2 * math.pi)
    agree(read_unit("r/min"), REGISTRY.Quantity(1, "1 / minute"))


def test_a_celsius_difference_is_a_kelvin_and_only_pint_knows_the_offset():
    assert REGISTRY.Quantity(25, "degree_Celsius").to_base_units().magnitude == pytest.approx(298.15)
    agree(read_unit("°C"), REGISTRY.Quantity(1, "kelvin"))


@pytest.mark.parametrize(("text", "theirs"), [("mh", "millihour"), ("R", "molar_gas_constant"), ("pu", "dalton")])
def test_homographs_that_pint_takes_otherwise_are_refused_here(text, theirs):
    assert REGISTRY.Unit(text).dimensionality == REGISTRY.Unit(theirs).dimensionality
    assert text not in STANDARD.spellings


def test_the_currency_has_no_other_measure():
    euro = read_unit("EUR/kWh", unit_list("EUR"))
    assert euro.dimension[-1] == 1
    with pytest.raises(pint.UndefinedUnitError):
        REGISTRY.Unit("EUR")
