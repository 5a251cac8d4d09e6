"""The list for the page's stack machine: what it holds, and that it gives the value of its tree."""

import json
import math

import pytest

from quizgen.expression.evaluate import scalar
from quizgen.expression.parse import parse, parse_condition
from quizgen.expression.program import OPERATIONS, program, run
from quizgen.expression.tree import FUNCTIONS, LOGIC, WORDS
from tests.expression.grown import conditions, expressions, wild


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("sqrt(3) * U * I", [3, "sqrt", "U", "*", "I", "*"]),
        ("-x^2", ["x", 2, "^", "~"]),
        ("22 kW / U", [22000, "U", "/"]),
        ("0.5 * pi", [0.5, 3.141592653589793, "*"]),
        ("min(a, b, 3)", ["a", "b", "min", 3, "min"]),
        ("10 % <= d < 85 %", [0.1, "d", "<=", "d", 0.85, "<", "and"]),
        ("a < b < c < x", ["a", "b", "<", "b", "c", "<", "and", "c", "x", "<", "and"]),
        ("a = 1 and b = 2 or c = 3", ["a", 1, "=", "b", 2, "=", "and", "c", 3, "=", "or"]),
    ],
)
def test_a_tree_as_a_short_list(text, made):
    assert program(parse(text)) == made


def test_no_name_can_be_taken_for_an_operation():
    assert {*FUNCTIONS, *LOGIC} < OPERATIONS
    assert {operation for operation in OPERATIONS if operation[0].isalpha()} <= WORDS


@pytest.mark.parametrize("name", ["neg", "constructor", "not", "pow", "e"])
def test_a_name_like_an_inside_word_is_a_value(name):
    assert run(program(parse(f"2 * {name}")), {name: 21.0}) == 42


def test_a_list_gives_the_value_of_its_tree_also_after_a_journey_as_json():
    for grown in expressions(31, 400):
        made = json.loads(json.dumps(program(grown.tree)))
        assert {part for part in made if isinstance(part, str)} <= OPERATIONS | grown.si.keys()
        assert run(made, grown.si) == pytest.approx(scalar(grown.tree, grown.si), rel=1e-12), grown.text


def test_a_list_gives_nan_where_its_tree_has_no_value():
    undefined = 0
    for grown in wild(32, 300):
        try:
            value = scalar(grown.tree, grown.si)
        except (ValueError, ArithmeticError):
            value = math.nan
            undefined += 1
        assert run(program(grown.tree), grown.si) == pytest.approx(value, rel=1e-12, nan_ok=True), grown.text
    assert 100 < undefined < 250


def test_conditions_give_one_or_nought():
    for grown in conditions(33, 300):
        assert run(program(grown.tree), grown.si) == float(scalar(grown.tree, grown.si)), grown.text


@pytest.mark.parametrize("text", ["1 / x > 0", "x < 1 or 1 / x > 0", "0 < ln(x) < 1", "1 / x = 1 / x"])
def test_a_condition_on_an_undefined_value_does_not_hold(text):
    assert run(program(parse_condition(text)), {"x": 0.0}) == 0.0
