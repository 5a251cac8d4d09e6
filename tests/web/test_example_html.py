"""A worked example on a page."""

from pathlib import Path

from quizgen.variants.example import examples_of
from quizgen.web.example_html import example_html
from tests.once import shipped_bank

COURSE = Path(__file__).resolve().parents[2] / "course"


def test_symbols_in_the_lines_of_an_example_have_their_index_lowered_as_in_the_questions():
    examples, faults = examples_of(shipped_bank())
    assert not faults
    lines = [line for one in examples.values() for line in example_html(one).split("<p class=")[1:]]
    shown = [line.partition("</p>")[0] for line in lines]
    assert any("<i>I</i><sub>B</sub> = " in line for line in shown)
    assert not [line for line in shown if "_" in line]
