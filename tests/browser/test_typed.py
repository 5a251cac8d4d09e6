"""Every text of the reading table typed into the real field; and what a printed page must hold."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest

from quizgen.expression.reading import Typed, read
from quizgen.expression.writing import spaced
from tests.browser.workbench import settled

CASES = json.loads((Path(__file__).parents[1] / "expression" / "reading_cases.json").read_text(encoding="utf-8"))
DOUBTS = {"blank": "", "number": "no number yet", "two ways": "reads two ways", "unit": "no known unit yet"}


@pytest.fixture
def box(page, pump_site):
    page.goto((pump_site / "index.html").as_uri())
    return page.locator("#q-fill-the-tank .qz-entry input")


def test_the_field_takes_text_so_that_a_comma_and_a_minus_are_never_lost(box):
    """Fields for numbers give an empty value for "4,7" and change on the wheel: trap of number inputs."""
    assert box.get_attribute("type") == "text"
    for typed in ("4,7", "4.7", "\u22125", "", "  "):
        box.fill(typed)
        assert box.input_value() == typed


def test_each_text_of_the_reading_table_is_read_in_the_field_as_python_reads_it(page, box):
    read_beside = page.locator("#q-fill-the-tank .qz-read")
    box.fill("5")
    settled(page)  # what reads comes with the first box that is entered
    wrong = []
    for case in CASES:
        typed = case["typed"]
        if "\n" in typed:
            continue
        box.fill("")
        page.keyboard.insert_text(typed) if typed else None
        said, got = read_beside.text_content() or "", read(typed)
        if isinstance(got, Typed):
            plain = float(got.digits) == abs(got.number) and got.unit is None
            sign = "-" if got.number < 0 else ""
            fits = said.startswith(f"= {spaced(sign + got.digits)}" if plain and got.digits[0] != "." else "= ")
        else:
            fits = said == DOUBTS[got.why]
        if not fits:
            wrong.append((typed, said))
    assert wrong == []


def test_figures_are_never_loaded_late_and_reach_the_paper(page, course_site):
    """Pictures that load late are blank in print: trap of lazy images."""
    from pypdf import PdfReader

    for file in course_site.rglob("*.html"):
        assert 'loading="lazy"' not in file.read_text(encoding="utf-8"), file.name
    page.goto((course_site / "supply.html").as_uri())
    figures = page.locator("article svg:has(title)")
    assert figures.count() >= 1
    labels = {text.strip() for text in figures.locator("text").all_text_contents() if re.search(r"\w{2}", text)}
    printed = "".join(part.extract_text() for part in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages)
    squeezed = re.sub(r"\s", "", printed)
    assert labels and [label for label in labels if re.sub(r"\s", "", label) not in squeezed] == []
