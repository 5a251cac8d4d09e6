"""Terms in prose: each is explained once, where it stands as a term of its own."""

import re

from quizgen.bank.models import Term
from quizgen.web.glossary import mark_terms

TERMS = {
    "relay": Term("relay", "relay", ("relays",), "A switch moved by a coil."),
    "phase-relay": Term("phase-relay", "phase relay", (), "Connects a line to the rectifier."),
    "line": Term("line", "line", (), "A live conductor."),
    "line-voltage": Term("line-voltage", "line voltage", (), "Between two lines."),
}


def marked(html):
    """Ids of the terms that are explained, with the words that carry the meaning."""
    made = mark_terms(html, TERMS)
    return re.findall(r'aria-describedby="term-([a-z-]+)">(.*?)<span', made, re.DOTALL)


def test_a_term_is_explained_at_its_first_appearance_only():
    assert marked("<p>A line. Another line.</p><p>The Line.</p>") == [("line", "line")]


def test_a_short_term_within_a_long_one_stays_unmarked_even_when_the_long_one_was_explained():
    text = "<p>The phase relay closes. A phase relay opens.</p><p>Again the phase relay.</p>"
    assert marked(text) == [("phase-relay", "phase relay")]


def test_a_long_term_broken_over_two_lines_is_the_long_term():
    assert marked("<p>The line\nvoltage is high. The line\n  voltage again.</p>") == [("line-voltage", "line\nvoltage")]


def test_a_long_term_in_the_plural_hides_the_short_one_too():
    assert marked("<p>Both phase relays closed. The phase\nrelays opened.</p>") == [("phase-relay", "phase relays")]


def test_a_no_break_space_counts_as_a_space():
    assert marked("<p>The line\u00a0voltage.</p>") == [("line-voltage", "line\u00a0voltage")]


def test_the_short_term_is_explained_where_it_stands_alone():
    assert marked("<p>A phase relay is a relay on a line.</p>") == [
        ("phase-relay", "phase relay"),
        ("relay", "relay"),
        ("line", "line"),
    ]


def test_part_of_a_word_is_no_term():
    assert marked("<p>Pipelines and line-to-neutral and outline.</p>") == []


def test_headings_links_figures_questions_and_code_are_left_alone():
    html = (
        '<h2>line</h2><a href="#">line</a><code>line</code><svg><text>line</text></svg>'
        '<section class="qz"><p>line</p></section><pre><span>line</span></pre><!-- line --><p title="line">x</p>'
    )
    assert mark_terms(html, TERMS) == html


def test_what_follows_a_question_is_prose_again():
    assert marked("<section><p>line</p></section><p>line</p><section>line</section>") == [("line", "line")]


def test_without_terms_the_page_stays_as_it_is():
    assert mark_terms("<p>line</p>", {}) == "<p>line</p>"
