"""The sheet of formulas on paper: each stage starts a sheet and fills two at most."""

import io

from pypdf import PdfReader


def test_each_stage_has_at_most_two_sheets_of_its_own(page, course_site):
    page.goto((course_site / "reference" / "formulas.html").as_uri())
    heads = page.locator("article h2").evaluate_all("all => all.map(head => head.childNodes[0].textContent)")
    heads = [" ".join(head.split()) for head in heads]  # as the sheets' text below: a no-break space is a space
    stages = [head for head in heads if head != "More formulas"]
    assert len(stages) >= 4
    sheets = [" ".join(sheet.extract_text().split()) for sheet in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages]
    starts = [next(at for at, text in enumerate(sheets) if f"{head} " in f"{text} ") for head in heads]
    assert starts == sorted(set(starts))
    ends = [*starts[1:], len(sheets)]
    used = {head: end - start for head, start, end in zip(heads, starts, ends, strict=True)}
    assert [head for head in stages if used[head] > 2] == []


def test_on_paper_stand_the_formulas_with_their_letters(page, course_site):
    page.goto((course_site / "reference" / "formulas.html").as_uri())
    text = " ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages)
    assert "battery voltage in V" in text and "Boost stage without losses" in text
    assert "Source:" not in text
