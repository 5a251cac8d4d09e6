"""The page's stack machine gives the values of Python's."""

import json

import pytest

from quizgen.expression.evaluate import scalar
from quizgen.expression.parse import parse
from quizgen.expression.program import OPERATIONS, program
from tests.expression.grown import conditions, expressions, wild

RUN = """(text) => JSON.stringify(
  JSON.parse(text).map(([list, values]) => room.runProgram(list, values)),
  (key, value) => (Number.isNaN(value) ? "nan" : value))"""


def results(page, jobs):
    """What the page makes of each list with its values; "nan" where it gives NaN."""
    return json.loads(page.evaluate(RUN, json.dumps(jobs)))


def results_of(page, grown):
    return results(page, [[program(one.tree), one.si] for one in grown])


@pytest.mark.parametrize("kind", ["script_page", "minified_page"])
def test_expressions_have_their_value(kind, request):
    grown = expressions(101, 800)
    used = {part for one in grown for part in program(one.tree) if isinstance(part, str)} & OPERATIONS
    assert used >= OPERATIONS - set("< <= > >= = and or".split()) - {"acos", "atan", "ceil"}
    for one, value in zip(grown, results_of(request.getfixturevalue(kind), grown), strict=True):
        assert value == pytest.approx(scalar(one.tree, one.si), rel=1e-12), one.text


@pytest.mark.parametrize("kind", ["script_page", "minified_page"])
def test_conditions_hold_or_not(kind, request):
    grown = conditions(102, 400)
    held = results_of(request.getfixturevalue(kind), grown)
    assert held == [scalar(one.tree, one.si) for one in grown]
    assert 100 < sum(held) < 300


def test_what_has_no_value_is_nan(script_page):
    grown = wild(103, 400)
    undefined = 0
    for one, value in zip(grown, results_of(script_page, grown), strict=True):
        try:
            expected = scalar(one.tree, one.si)
        except (ValueError, ArithmeticError):
            undefined += 1
            assert value == "nan", one.text
        else:
            assert value == pytest.approx(expected, rel=1e-12), one.text
    assert 100 < undefined < 350


EDGES = [
    -1e25,
    -2.5,
    -1.5,
    -1 + 1e-13,
    -0.5,
    -1e-17,
    0.0,
    1e-17,
    0.1 + 0.2,
    0.3,
    0.49999999999999994,
    0.5,
    1 - 1e-13,
]
EDGES += [
    1 - 1e-11,
    1.0,
    1 + 5e-13,
    1 + 1e-11,
    1.4999999999999998,
    1.5,
    0.3 / 0.1,
    2.5,
    3.0,
    123456.5,
    1e12 + 0.5,
    1e25,
]


@pytest.mark.parametrize("function", ["round", "floor", "ceil", "abs", "acos", "atan", "sqrt", "ln"])
def test_edges_of_functions(script_page, function):
    tree = parse(f"{function}(x)")
    for x, value in zip(EDGES, results(script_page, [[program(tree), {"x": x}] for x in EDGES]), strict=True):
        try:
            expected = scalar(tree, {"x": x})
        except ValueError:
            expected = "nan"
        assert value == expected or value == pytest.approx(expected, rel=1e-12), x


@pytest.mark.parametrize("sign", ["<", "<=", "=", ">=", ">"])
def test_edges_of_comparisons(script_page, sign):
    tree = parse(f"x {sign} y")
    pairs = [{"x": x, "y": y} for x in EDGES for y in EDGES]
    assert results(script_page, [[program(tree), pair] for pair in pairs]) == [scalar(tree, pair) for pair in pairs]


@pytest.mark.parametrize(
    ("made", "values", "result"),
    [
        (["x", 2, "*"], {"x": 21}, 42),
        (["constructor", 2, "*"], {"constructor": 21}, 42),
        (["missing", 2, "*"], {}, "nan"),
        (["constructor", 2, "*"], {}, "nan"),
        (["missing", 0, ">"], {}, False),
        ([1, "x", "/", 0, ">", "x", 1, "<", "or"], {"x": 0}, False),
        ([5], {}, 5),
        ([3, "~"], {}, -3),
        ([1, 2, "<", 2, 3, "<", "and"], {}, True),
        ([1, 2, "min", 3, "max"], {}, 3),
    ],
)
def test_lists_run_one_by_one(script_page, made, values, result):
    assert results(script_page, [[made, values]]) == [result]
