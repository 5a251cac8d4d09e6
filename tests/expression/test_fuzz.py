"""Hostile texts: the parser answers with a tree or an ExpressionError, the reader never raises."""

from random import Random

from quizgen.expression.linear import linear
from quizgen.expression.mathml import mathml
from quizgen.expression.parse import ExpressionError, parse, parse_condition, parse_equation
from quizgen.expression.program import OPERATIONS, program
from quizgen.expression.reading import Typed, Unreadable, read
from quizgen.expression.units import UnitError, read_unit
from tests.expression.grown import conditions, expressions

COUNT = 5000
ODD = "\u00a0\u202f\u2009\u2212\u2013\u2126\u03bc\u00b5²³⁻¹°%Ω√π·×≤′’“€٣\u200b\ufeff\u2028\U0001f50b\ud800\x00\x1b\n\t"
GRAMMAR = [
    *"+-*/^(),.<>= 0123456789eE", " and ", " or ", "sqrt(", "min(", "pi", "<=", ">=", "U", "I_L", " A", " %",
    " °C", " kJ/(kg·K)", "5 V", "9^9", "1e30", "2,5", "**", "--", "((", "))",
]  # fmt: skip
TYPED = [
    *"0123456789.,' -+eE%", "\u2212", "\u202f", "1 000", "1.234", "x10^", "×10⁻³", " kW", " Ω", "µA", "/",
    "1/", "°", "C", "(", ")", "·", "²", "kJ/(kg·K)", "mv", " EUR", "\u200b", "12", "e3",
]  # fmt: skip


def random_texts(random, count):
    alphabet = [chr(c) for c in range(32, 127)] + list(ODD)
    return ["".join(random.choices(alphabet, k=random.randint(0, 40))) for _ in range(count)]


def mutated(random, texts, pieces, count):
    """Each text with up to four pieces put in, taken out or doubled."""
    made = []
    for _ in range(count):
        text = random.choice(texts)
        for _ in range(random.randint(1, 4)):
            at = random.randint(0, len(text))
            cut = random.choice((0, 0, 1, 3))
            text = text[:at] + random.choice([*pieces, random.choice(ODD), text[at : at + 8]]) + text[at + cut :]
        made.append(text)
    return made


def refuses_or_gives(read_text, text):
    """The tree, or None; anything but an ExpressionError with a place inside the text fails."""
    try:
        return read_text(text)
    except ExpressionError as error:
        assert 0 <= error.at <= len(text), text
        assert "\n" not in str(error) and str(error).isprintable(), text
        return None


def test_the_parser_takes_or_refuses_random_texts():
    taken = [refuses_or_gives(parse, text) for text in random_texts(Random(71), COUNT)]
    assert 0 < sum(tree is not None for tree in taken) < COUNT


def test_the_parser_takes_or_refuses_mutated_expressions_and_what_it_takes_can_be_written():
    good = [grown.text for grown in [*expressions(72, 200), *conditions(73, 100)]]
    taken = 0
    for index, text in enumerate(mutated(Random(74), good, GRAMMAR, COUNT)):
        tree = refuses_or_gives(parse, text)
        if tree is not None:
            taken += 1
            assert linear(tree, str) and mathml(tree, {})
            assert all(isinstance(part, float | int) or part in OPERATIONS or part in text for part in program(tree))
        if index < 1000:
            refuses_or_gives(parse_equation, "P = " + text)
            refuses_or_gives(parse_condition, text)
    assert 200 < taken < COUNT - 200


def test_units_are_read_or_refused():
    random = Random(75)
    for text in random_texts(random, COUNT // 2) + mutated(random, ["kW", "Ω/km", "W/(m·K)", "mm²"], TYPED, COUNT // 2):
        try:
            assert len(read_unit(text).dimension) == 6
        except UnitError as error:
            assert 0 <= error.at <= len(text), text


def test_the_reader_never_raises_on_random_texts():
    results = [read(text) for text in random_texts(Random(76), COUNT)]
    assert all(isinstance(result, Typed | Unreadable) for result in results)


def test_the_reader_never_raises_on_mutated_answers():
    good = [
        "12 500,5 kW",
        "-0.75",
        "1.234.567,8",
        "2,5×10⁻³ A",
        "64 %",
        "35 °C",
        "1'000",
        "3.6 kJ/(kg·K)",
        "5",
    ]
    results = [read(text) for text in mutated(Random(77), good, TYPED, COUNT)]
    typed = [result for result in results if isinstance(result, Typed)]
    assert 500 < len(typed) < COUNT - 500
    for result in typed:
        assert abs(result.number) <= 1e71 and result.last > 0
        assert result.digits.replace(".", "", 1).isascii() and result.digits.replace(".", "", 1).isdigit()
