"""Text to tree: precedence, places of faults, and bounds that no text can break."""

import time

import pytest

from quizgen.expression.evaluate import scalar
from quizgen.expression.parse import (
    MAX_DEPTH,
    MAX_LENGTH,
    ExpressionError,
    parse,
    parse_condition,
    parse_equation,
)
from quizgen.expression.tree import WORDS, Measure, Name, names, rename, walk
from quizgen.expression.units import unit_list

# -- what a text means ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("2 + 3 * 4", 14),
        ("(2 + 3) * 4", 20),
        ("8 - 3 - 2", 3),
        ("8 - (3 - 2)", 7),
        ("24 / 4 / 2", 3),
        ("24 / 4 * 2", 12),
        ("24 / (4 * 2)", 3),
        ("2 * 3^2", 18),
        ("-3^2", -9),
        ("(-3)^2", 9),
        ("2^-1", 0.5),
        ("2^-1 * 4", 2),
        ("-2 * -3", 6),
        ("--2", 2),
        ("2 - -3", 5),
        ("(2^3)^2", 64),
        ("2^(1 + 1)", 4),
        ("2^(3^2)", 512),
        (".5 + 1.5", 2),
        ("1e3 + 1.5e-1", 1000.15),
        ("2E+3", 2000),
        ("sqrt(2 + 7) * 2", 6),
        ("min(3, 1, 2) + max(1, 2)", 3),
        ("abs(-2)", 2),
        ("round(2.5) + round(-2.5) + floor(-0.5) + ceil(0.5)", 0),
        ("exp(ln(2)) + log10(100)", 4),
        ("6 * sin(30 °) + cos(60 °) + tan(45 °)", 4.5),
        ("4 * atan(1) / pi", 1),
        ("\n 2\n + 3 ", 5),
    ],
)
def test_operators_bind_as_in_school(text, same):
    assert scalar(parse(text), {}) == pytest.approx(same, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("0.6 A/%", 0.6, "A/%"),
        ("64 %", 64, "%"),
        ("235 K", 235, "K"),
        ("5 kJ/(kg·K)", 5, "kJ/(kg·K)"),
        ("5 kJ/(kg*K)", 5, "kJ/(kg·K)"),
        ("0.004 1/K", 0.004, "1/K"),
        ("5 1/(m·K)", 5, "1/(m·K)"),
        ("2.5 mm²", 2.5, "mm²"),
        ("2.5 mm2", 2.5, "mm²"),
        ("2.5 mm^2", 2.5, "mm²"),
        ("5 s^-1", 5, "s⁻¹"),
        ("5 s⁻¹", 5, "s⁻¹"),
        ("10 \u2126", 10, "Ω"),
        ("10 \u03a9", 10, "Ω"),
        ("10 \u00b5A", 10, "µA"),
        ("10 \u03bcA", 10, "µA"),
        ("10 uA", 10, "µA"),
        ("25 \u2103", 25, "°C"),
        ("25 degC", 25, "°C"),
        ("1500 r/min", 1500, "r/min"),
        ("5 min", 5, "min"),
    ],
)
def test_a_unit_follows_its_number_after_one_space(text, value, unit):
    tree = parse(text)
    assert isinstance(tree, Measure)
    assert (tree.value, tree.unit.text) == (value, unit)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("5 A * R", "A"),
        ("(5 A)", "A"),
        ("5 A-U", "A"),
        ("5 A/h / 2", "A/h"),
        ("5 A^2 * R", "A²"),
        ("max(5 A, I)", "A"),
        ("5 kJ/(kg·K) * (U)", "kJ/(kg·K)"),
    ],
)
def test_a_unit_ends_where_it_must(text, unit):
    assert [node.unit.text for node in walk(parse(text)) if isinstance(node, Measure)] == [unit]


def test_words_after_a_number_are_words():
    tree = parse_condition("d <= 85 and d >= 10 or d = 5")
    assert names(tree) == ("d",)
    assert scalar(tree, {"d": 5})


@pytest.mark.parametrize(
    ("text", "holds"),
    [
        ("1 < 2 and 2 < 1 or 1 < 2", True),
        ("1 < 2 or 1 < 2 and 2 < 1", True),
        ("(1 < 2 or 1 < 2) and 2 < 1", False),
        ("1 < 2 < 3", True),
        ("1 < 3 < 2", False),
        ("3 >= 3 > 2", True),
        ("2 = 2", True),
        ("1 + 1 = 2", True),
    ],
)
def test_conditions_join_and_before_or(text, holds):
    assert scalar(parse_condition(text), {}) is holds


def test_an_equation_has_one_name_on_its_left():
    equation = parse_equation(" P = sqrt(3) * U_LL * I_L ")
    assert (equation.left, names(equation.right), equation.text) == (
        "P",
        ("U_LL", "I_L"),
        "P = sqrt(3) * U_LL * I_L",
    )


def test_names_stand_once_in_order_and_can_be_renamed():
    tree = parse("-U * I + min(U, 2 * R, abs(x)) ^ 2")
    assert names(tree) == ("U", "I", "R", "x")
    assert names(rename(tree, {"U": "I", "I": "U"})) == ("I", "U", "R", "x")
    condition = parse("(a < b or b < c) and c < a")
    assert names(rename(condition, {"a": "z"})) == ("z", "b", "c")


def test_the_course_s_currency_is_a_unit():
    tree = parse("12 EUR/h * t", unit_list("EUR"))
    assert names(tree) == ("t",)
    with pytest.raises(ExpressionError):
        parse("12 EUR/h * t")


def test_names_may_be_those_of_a_program_s_insides():
    for word in ("constructor", "toString", "neg", "if", "lambda", "None"):
        assert parse(word) == Name(word, 0)


# -- faults: where, and what to do ----------------------------------------------------------------

FAULTS = [
    ("", 0, "is missing"),
    ("   ", 3, "is missing"),
    ("U *", 3, "stops too early"),
    ("U ^", 3, "stops too early"),
    ("* U", 0, '"*" is not expected'),
    ("U + * I", 4, '"*" is not expected'),
    ("(U + I", 0, "not closed"),
    ("2 * (U + (I)", 4, "not closed"),
    ("U + I)", 5, "closes nothing"),
    ("()", 1, '")" is not expected'),
    ("U I", 2, 'operator is missing before "I"'),
    ("(U)(I)", 3, 'operator is missing before "("'),
    ("(U) I", 4, 'operator is missing before "I"'),
    ("2(U)", 1, "operator is missing"),
    ("3 4", 2, "operator is missing"),
    ("5  kW", 3, "operator is missing"),
    ("2 U", 2, "between a number and a name stands *"),
    ("2 pi", 2, "between a number and a name stands *"),
    ("2 sqrt(U)", 6, "between a number and a name stands *"),
    ("5 m_1", 3, "between a number and a name stands *"),
    ("2U", 1, "one space before a unit"),
    ("U + 64%", 6, "one space before a unit"),
    ("64  %", 4, "after one space, like 64 %"),
    ("U °", 2, "after one space, like 64 %"),
    ("x²", 1, "after one space, like 64 %"),
    ("2,5 * U", 1, "decimal sign as a point"),
    ("max(2,5, 3)", 5, "a comma between values is followed by a space"),
    ("1.2.3", 3, "one decimal point"),
    ("1. * U", 1, "one decimal point"),
    ("5 kw * t", 2, "Did you mean kW?"),
    ("U + 5 ohms", 6, "Did you mean ohm?"),
    ("5 A*R_1", 5, 'if "A" is the unit, put spaces'),
    ("0.6 A/%*d", 7, 'if "A/%" is the unit, put spaces'),
    ("5 V/R_1 * I", 5, 'if "V" is the unit, put spaces'),
    ("5 mm²/zz", 6, '"zz" is no unit known here'),
    ("5 ℃/zz", 4, '"zz" is no unit known here'),
    ("5 kJ/kg*K", 7, "Did you mean kJ/(kg·K)?"),
    ("5 m5", 3, '"m5" is no unit'),
    ("5 A/", 3, '"A/" is no unit'),
    ("U ** 2", 2, "write ^ for a power"),
    ("U == I", 2, "write = for equal"),
    ("U != I", 2, "two comparisons with or"),
    ("U <> I", 2, "two comparisons with or"),
    ("U => I", 2, "write >="),
    ("U =< I", 2, "write <="),
    ("U − I", 2, "write -"),
    ("U · I", 2, "write *"),
    ("U × I", 2, "write *"),
    ("U ≤ I", 2, "write <="),
    ("√2", 0, "write sqrt( )"),
    ("|U|", 0, "write abs( )"),
    ("2 * π", 4, "write pi"),
    ("U\u00a0+ I", 1, "<U+00A0>"),
    ("U\t+ I", 1, "write an ordinary space"),
    ("U\r\n", 1, "<U+000D>"),
    ("U\x1b[2J", 1, "<U+001B>"),
    ("é", 0, "no meaning"),
    ("٣ + 2", 0, "no meaning"),
    ("_U", 0, "no meaning"),
    ("f(U)", 0, '"f" is no function; functions are sqrt'),
    ("2 * log(U)", 4, '"log" is no function'),
    ("sqrt U", 0, "write sqrt( )"),
    ("sqrt", 0, "write sqrt( )"),
    ("1 + sqrt(U", 4, "the bracket of sqrt( is not closed"),
    ("sqrt(U, I)", 0, "takes one value"),
    ("min(U)", 0, "takes two or more"),
    ("sqrt(U < I)", 0, "takes values"),
    ("pi(2)", 2, "operator is missing"),
    ("U < I > R", 0, "runs one way"),
    ("U = I = R", 0, "runs one way"),
    ("1 < 2 = 3", 0, "runs one way"),
    ("(U < I) < R", 0, "cannot be compared again"),
    ("U and I", 0, '"and" joins comparisons'),
    ("U > 1 or I + 1", 11, '"or" joins comparisons'),
    ("and", 0, '"and" is not expected'),
    ("U > 1 and", 9, "stops too early"),
    ("9^9^9", 1, "brackets around one of the two powers"),
    ("2^-2^2", 1, "brackets around one of the two powers"),
    ("2^13", 1, "at most 12"),
    ("U^-13", 1, "at most 12"),
    ("9^(9^9)", 1, "at most 12"),
    ("9^(6 + 7)", 1, "at most 12"),
    ("2^exp(9)", 1, "at most 12"),
    ("2^(1 / 0)", 1, "at most 12"),
    ("2^1e9", 1, "at most 12"),
    ("1" * 31, 0, "too long"),
    ("U + 1e31", 4, "exponent too big"),
    ("1e-31", 0, "exponent too big"),
]


@pytest.mark.parametrize(("text", "at", "says"), FAULTS)
def test_a_fault_is_told_at_its_place_in_one_line(text, at, says):
    with pytest.raises(ExpressionError) as caught:
        parse(text)
    assert caught.value.at == at
    assert says in str(caught.value)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("text", "at", "says"),
    [
        ("U * I", 0, "starts with one name"),
        ("2 * P = U", 0, "starts with one name"),
        ("P == U", 0, "starts with one name"),
        ("P <= U", 0, "starts with one name"),
        ("  pi = 3", 2, "word of the language"),
        ("min = 3", 0, "word of the language"),
        ("P = ", 4, "is missing"),
        ("P = U *", 7, "stops too early"),
        ("  P = U + 5 kw", 12, "Did you mean kW?"),
        ("P = U < I", 3, "not a comparison"),
    ],
)
def test_a_fault_in_an_equation_is_told_at_its_place(text, at, says):
    with pytest.raises(ExpressionError) as caught:
        parse_equation(text)
    assert caught.value.at == at
    assert says in str(caught.value)


def test_a_condition_compares():
    with pytest.raises(ExpressionError, match="a comparison such as"):
        parse_condition("I_L + 32 A")


@pytest.mark.parametrize("word", sorted(WORDS))
def test_no_word_of_the_language_is_a_name(word):
    try:
        found = names(parse(f"2 * {word}"))
    except ExpressionError:
        found = ()
    assert found == ()


# -- bounds ---------------------------------------------------------------------------------------


def test_length_depth_and_digits_are_bounded():
    fits = "U + " * ((MAX_LENGTH - 1) // 4) + "U"
    assert names(parse(fits)) == ("U",)
    nested = "(" * MAX_DEPTH + "U" + ")" * MAX_DEPTH
    assert parse(nested) == Name("U", MAX_DEPTH)
    for text, at, says in [
        ("U" * (MAX_LENGTH + 1), MAX_LENGTH, "longer than"),
        (f"({nested})", MAX_DEPTH + 1, "nest"),
        ("-" * (MAX_DEPTH + 1) + "U", MAX_DEPTH, "nest"),
        ("abs(" * (MAX_DEPTH + 1) + "U" + ")" * (MAX_DEPTH + 1), 4 * (MAX_DEPTH + 1) - 1, "nest"),
        ("2^(" * 21 + "U" + ")" * 21, 62, "nest"),
    ]:
        with pytest.raises(ExpressionError, match=says) as caught:
            parse(text)
        assert caught.value.at == at


@pytest.mark.parametrize(
    "text",
    [
        "9^9^9",
        "9^(9^9)",
        "9^9^9 V",
        "5 V^9^9",
        "9^(9^(9^9))",
        "2^(2^(2^(2^(2^(2^12)))))",
        "(" * 400,
        "-" * 400,
    ],
)
def test_hostile_powers_and_nests_are_refused_at_once(text):
    start = time.process_time()
    with pytest.raises(ExpressionError):
        parse(text)
    assert time.process_time() - start < 0.1


def test_long_flat_sums_can_be_walked():
    tree = parse("+".join("U" * 200))
    assert scalar(tree, {"U": 1.0}) == 200
