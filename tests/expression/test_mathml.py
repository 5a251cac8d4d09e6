"""Drawn formulas: well-formed, MathML Core only, and saying what the linear text says.

Source of the element list: W3C, MathML Core, section 1.3 and chapter 3.
"""

import re
from xml.etree import ElementTree

import pytest

from quizgen.expression.evaluate import scalar
from quizgen.expression.linear import linear, symbol_text
from quizgen.expression.mathml import equation_mathml, mathml, symbol_mathml
from quizgen.expression.parse import parse, parse_equation
from tests.expression.grown import conditions, expressions

CHILDREN = {
    "math": None, "mrow": None, "msqrt": None, "mfrac": 2, "msup": 2, "msub": 2,
    "mi": 0, "mn": 0, "mo": 0, "mtext": 0,
}  # fmt: skip
"""Elements of MathML Core in use, with the number of children each must have; None for any."""

TRADE = [
    "P = sqrt(3) * U_LL * I_L * eta",
    "P = I_L^2 * R_c / (1 - d / 100 %)",
    "theta_2 = theta_1 + P * R_th",
    "I = 0.6 A/% * d",
    "R = R_20 * (1 + 0.00393 1/K * (theta - 20 °C))",
    "u = U * (1 - exp(-t / (R * C_X)))",
    "x = -(a + b)^2 / -c",
    "y = (a / b)^2 * (a - b) - (a - b)",
    "z = abs(a - b) + max(a, b, 2.5e-3) - 12500 W",
    "w = (-a)^2 * sin(60 °)^2 * exp(a)^2 * ln(a)^2 * (5 A)^2 * (2e3)^2",
    "f_0 = 1 / (2 * pi * sqrt(L_1 * C_X))",
]


def read(source):
    """The `math` element; fails unless it is well-formed MathML Core."""
    root = ElementTree.fromstring(source)
    assert root.tag == "math"
    for element in root.iter():
        assert element.tag in CHILDREN
        if (count := CHILDREN[element.tag]) is not None:
            assert len(element) == count
        if count == 0:
            assert element.text
        else:
            assert element.text is None
        assert element.tail is None
        allowed = {"math": {"display", "alttext"}, "mi": {"mathvariant"}}.get(element.tag, set())
        assert element.attrib.keys() <= allowed
        assert element.get("mathvariant", "normal") == "normal"
        assert element.get("display", "block") == "block"
    return root


def typed(element):
    """What is drawn, as an author would type it: brackets that are drawn, {} for those a fraction implies."""
    parts = [typed(child) for child in element]
    match element.tag:
        case "mn":
            return element.text.replace("\u202f", "")
        case "mi":
            return element.text.replace("π", "pi")
        case "mo":
            signs = {"\u2212": "-", "⋅": " * ", "≤": "<=", "≥": ">=", "\u2061": "", ",": ", "}
            return signs.get(element.text, element.text)
        case "mtext":
            return element.text.replace("\u00a0", " ").replace("°C", "degC").replace("°", " °")
        case "mfrac":
            return "{(" + parts[0] + ") / (" + parts[1] + ")}"
        case "msqrt":
            return f"sqrt({''.join(parts)})"
        case "msub":
            return f"{parts[0]}_{parts[1]}"
        case "msup" if parts[0] == "e":
            return f"exp({parts[1]})"
        case "msup":
            assert not parts[0].startswith("{"), "a fraction under a power needs its brackets drawn"
            return f"{parts[0]}^({parts[1]})"
    text = "".join(parts)
    return f"abs({text[1:-1]})" if text.startswith("|") else text


def same_value(source, tree, values, drawn_values):
    drawn = typed(read(source)).replace("{", "(").replace("}", ")")
    assert scalar(parse(drawn), drawn_values) == pytest.approx(scalar(tree, values), rel=1e-11), drawn


def squeezed(text):
    """Only what both forms have in common: letters, digits and operators in their order."""
    text = text.replace("exp", "e").replace("abs", "").replace("⋅", "·")
    return re.sub("[\\s()√^_/|\u2061,]", "", text)


@pytest.mark.parametrize("text", TRADE)
def test_formulas_of_the_trade_say_what_their_line_says(text):
    source = equation_mathml(parse_equation(text), {"eta": "eta"}, display=True)
    root = read(source)
    assert root.get("display") == "block"
    assert squeezed("".join(root.itertext())) == squeezed(root.get("alttext"))


def test_grown_formulas_say_what_their_line_says():
    for grown in [*expressions(51, 300), *conditions(52, 150)]:
        source = mathml(grown.tree, {})
        root = read(source)
        assert root.get("alttext") == linear(grown.tree, symbol_text)
        assert squeezed("".join(root.itertext())) == squeezed(root.get("alttext")), grown.text


def test_a_drawing_reads_back_as_the_same_formula():
    names = {"theta": "h", "theta_2": "h_2", "eta": "k", "phi": "q"}
    for grown in [*expressions(53, 400), *conditions(54, 200)]:
        values = {names.get(id, id): value for id, value in grown.si.items()}
        same_value(mathml(grown.tree, names), grown.tree, grown.si, values)


@pytest.mark.parametrize("text", ["exp(-a / (b * 2))", "exp(-(a / b))", "2^((a - b) / 10)", "exp(-(a / b / 2))"])
def test_a_fraction_in_an_exponent_stands_on_one_line(text):
    tree, values = parse(text), {"a": 0.7, "b": 3.0}
    source = mathml(tree, {})
    raised = read(source).find(".//msup")[1]
    assert "/" in "".join(raised.itertext())
    same_value(source, tree, values, values)


@pytest.mark.parametrize(
    "text",
    [
        "-a^2", "(-a)^2", "a - -b", "a + -b", "a * -b", "-a * b", "-(a + b)", "-(a * b)", "a - (b + 1)",
        "a - (b - 1)", "(a + b)^2", "(a * b)^2", "(a / b)^2", "(a^2)^2", "sqrt(a)^2", "exp(a)^2",
        "abs(a - b)^2", "sin(a * 1 °)^2", "2^-b", "2^(a / b)", "a / b / 2", "a / (b / 2)", "a * (b / 2)",
        "(a + b) / 2", "2e3 * a", "(2e3)^2", "a / 2e-3", "--a", "-(-(a + 1))", "abs(a) * abs(b)",
        "abs(abs(a) - 3)", "max(a, b) - min(a, b, 1)", "(2 * 1 A)^2", "round(a / b)^2", "log10(a)^2",
    ],
)  # fmt: skip
def test_brackets_are_drawn_where_they_are_needed(text):
    tree = parse(text)
    values = {"a": 3.0, "b": 7.0}
    same_value(mathml(tree, {}), tree, values, values)


@pytest.mark.parametrize(
    "text", ["(a < b or b < a) and a > b", "a < b or b < a and a > b", "a = 3 and (b = 1 or b = 7)"]
)
def test_or_inside_and_keeps_its_brackets(text):
    tree = parse(text)
    values = {"a": 3.0, "b": 7.0}
    same_value(mathml(tree, {}), tree, values, values)


@pytest.mark.parametrize("symbol", ["P", "U_LL", "theta_1", "R_th", "C_X", "ΔU", "U_a_b", "x_<b>&"])
def test_symbols_are_drawn_with_their_subscript_and_escaped(symbol):
    root = read(symbol_mathml(symbol))
    assert "".join(root.itertext()) == symbol_text(symbol).replace("_", "", 1)
    assert root.get("alttext") == symbol_text(symbol)


def test_a_subscript_of_one_letter_is_upright_and_a_digit_is_a_number():
    assert '<mi mathvariant="normal">X</mi></msub>' in symbol_mathml("C_X")
    assert "<mn>1</mn></msub>" in symbol_mathml("L_1")
    assert "<mi>LL</mi></msub>" in symbol_mathml("U_LL")


def test_a_name_from_outside_cannot_leave_its_element():
    source = mathml(parse("a < b"), {"a": '<img src="x">', "b": 'b" onload="x'})
    root = read(source)
    assert [element.text for element in root.iter("mi")] == ['<img src="x">', 'b" onload="x']
