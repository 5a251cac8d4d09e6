"""Number and unit are never parted at the end of a line. SI brochure, 9th edition, 5.4.3 and 5.4.4."""

import pytest

from quizgen.web.unbroken import unbroken


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("<p>at 12 V.</p>", "<p>at 12\u00a0V.</p>"),
        ("from 5 mA to 10 mA", "from 5\u00a0mA to 10\u00a0mA"),
        ("6 mm² and 0.7 A²·s, 100 Ω/V", "6\u00a0mm² and 0.7\u00a0A²·s, 100\u00a0Ω/V"),
        ("about 20 % or 70 °C", "about 20\u00a0% or 70\u00a0°C"),
        ("a source of 60\nV", "a source of 60\u00a0V"),
        ("200 000 Ω, 0.000 001", "200\u202f000\u00a0Ω, 0.000\u202f001"),
    ],
)
def test_a_number_keeps_its_unit_and_its_groups(typed, shown):
    assert unbroken(typed) == shown


@pytest.mark.parametrize(
    "text",
    [
        "5 of 6 vans, 3 Years, 2 A's, line 1 has 400",
        '<a title="12 V">x</a>',
        "<code>5 V</code>",
        "<pre>show 3 A</pre>",
        "<svg><text>230 V</text></svg>",
        "<!-- 5 V -->",
        "<math><mn>5 A</mn></math>",
    ],
)
def test_words_attributes_code_and_drawings_stay_as_they_are(text):
    assert unbroken(text) == text
