"""A formula in one line: what is drawn, and that it reads back as the same formula."""

import re

import pytest

from quizgen.expression.evaluate import scalar
from quizgen.expression.linear import equation_line, linear, symbol_parts, symbol_text
from quizgen.expression.parse import parse, parse_equation
from tests.expression.grown import conditions, expressions


def line(text, **options):
    return linear(parse(text), lambda id: id, **options).replace("\u00a0", "~").replace("\u202f", "_")


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("sqrt(3) * U * I", "√3~· U~· I"),
        ("sqrt(U)", "√U"),
        ("sqrt(U + I)", "√(U~+ I)"),
        ("sqrt(2)^2", "(√2)^2"),
        ("P / (3 * U)", "P~/ (3~· U)"),
        ("P / U * I", "(P~/ U)~· I"),
        ("P / U / I", "(P~/ U)~/ I"),
        ("P * U / I", "P~· U~/ I"),
        ("P * (U / I)", "P~· U~/ I"),
        ("a - (b + c)", "a~− (b~+ c)"),
        ("a - (b - c)", "a~− (b~− c)"),
        ("a + (b - c)", "a~+ b~− c"),
        ("a * (b + c)", "a~· (b~+ c)"),
        ("a - -b", "a~− (−b)"),
        ("a * -b", "a~· (−b)"),
        ("-a * b", "−a~· b"),
        ("-(a + b)", "−(a~+ b)"),
        ("-a^2", "−a^2"),
        ("(-a)^2", "(−a)^2"),
        ("a^-1", "a^(−1)"),
        ("a^(b + 1)", "a^(b~+ 1)"),
        ("(a^2)^3", "(a^2)^3"),
        ("(a * b)^2", "(a~· b)^2"),
        ("sin(60 °)^2", "(sin(60°))^2"),
        ("max(a, b + 1)", "max(a, b~+ 1)"),
        ("exp(-t / T_1)", "exp(−t~/ T_1)"),
        ("2 * pi * f", "2~· π~· f"),
        ("0.6 A/% * d", "0.6~A/%~· d"),
        ("(5 A)^2", "(5~A)^2"),
        ("22200 W", "22_200~W"),
        (".5 * a", "0.5~· a"),
        ("2e-3 * a", "2·10^−3~· a"),
        ("a / 2e3", "a~/ (2·10^3)"),
        ("12500e3 W", "12_500·10^3~W"),
        ("10 % <= d < 85 %", "10~% ≤ d < 85~%"),
        ("(a < b or b < c) and c >= a", "(a < b or b < c) and c ≥ a"),
        ("a = b and b = c or c > a", "a = b and b = c or c > a"),
    ],
)
def test_a_line_is_drawn_as_a_person_writes_it(text, drawn):
    assert line(text) == drawn


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("U^2 / R", "(U)^2~/ R"),
        ("sqrt(U) + sqrt(n)", "√(U)~+ √n"),
        ("2 * U - n^2", "2~· U~− n^2"),
        ("I / k * U", "(I~/ (k))~· U"),
        ("k * d", "k~· d"),
    ],
)
def test_a_name_that_stands_for_number_and_unit_gets_the_brackets_a_measure_needs(text, drawn):
    units = {"U": "V", "R": "Ω", "I": "A", "k": "A/%", "d": "%", "n": ""}
    assert line(text, unit=units.__getitem__) == drawn


def test_symbols_with_greek_letters_and_subscripts():
    assert symbol_parts("theta_1") == ("θ", "1")
    assert symbol_parts("U_LL") == ("U", "LL")
    assert symbol_parts("R_theta_2") == ("R", "θ 2")
    assert symbol_text("lambda") == "λ"
    assert symbol_text("ΔU") == "ΔU"
    assert symbol_text("Delta_1_") == "Δ_1"


def test_an_equation_in_the_question_s_own_symbols():
    equation = parse_equation("P = sqrt(3) * U_LL * I_L * pf")
    drawn = equation_line(equation, {"pf": "lambda"})
    assert drawn.replace("\u00a0", " ") == "P = √3 · U_LL · I_L · λ"


def back(text):
    """The line as an author would type it."""
    text = re.sub("·10\\^(\u2212?)(\\d+)", lambda found: f"e{found[1] and '-'}{found[2]}", text)
    text = text.replace("\u00a0· ", " * ").replace("\u00a0/ ", " / ").replace("\u2212", "-")
    text = re.sub(r"√([\w.]+)", r"sqrt(\1)", text).replace("√(", "sqrt(").replace("°C", "degC").replace("°", " °")
    return text.replace("\u00a0", " ").replace("\u202f", "").replace("π", "pi").replace("≤", "<=").replace("≥", ">=")


def test_a_line_reads_back_as_the_same_formula():
    for grown in [*expressions(41, 400), *conditions(42, 200)]:
        again = parse(back(linear(grown.tree, lambda id: id)))
        assert scalar(again, grown.si) == pytest.approx(scalar(grown.tree, grown.si), rel=1e-11), grown.text


@pytest.mark.parametrize("text", ["2e-3 * a / 4e3", "(2e3)^2 - a", "sqrt(1e4) * a", "-a - -a * -2", "a / -2", "2^-a"])
def test_awkward_lines_read_back_as_the_same_formula(text):
    again = parse(back(linear(parse(text), lambda id: id)))
    assert scalar(again, {"a": 3.0}) == pytest.approx(scalar(parse(text), {"a": 3.0}), rel=1e-12)
