"""A paper sat in a real browser, opened from a folder, without a network."""

import hashlib
import io
import json

import pytest
from pypdf import PdfReader

from quizgen.papers.issue import Candidate
from quizgen.papers.sheet import check_code, read_sheet
from tests.browser.sitting import TODAY, UNTIL, Chance, batch, maker, right_answers


def issue():
    return batch(3).issues[0]


@pytest.fixture
def paper(tmp_path, context):
    path = tmp_path / "paper.html"
    path.write_text(batch(3).pages[0], encoding="utf-8")
    page = context.new_page()
    page.set_default_timeout(8000)
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(path.as_uri())
    yield page
    assert errors == []


def button(page, words):
    return page.get_by_role("button", name=words, exact=True)


def fill(page, answers):
    page.evaluate(
        """(answers) => document.querySelectorAll(".question").forEach((question, at) =>
          question.querySelectorAll(".box").forEach((box, i) => {
            const inputs = [...box.querySelectorAll("input")], parts = answers[at][i].split(" ");
            inputs.forEach((input, k) => {
              if (box.dataset.kind === "options") input.checked = parts.includes(input.value);
              else input.value = box.dataset.kind === "number" ? answers[at][i] : parts[k] || "";
              input.dispatchEvent(new Event("input", { bubbles: true }));
            });
          }))""",
        answers,
    )


def saved(page, words):
    with page.expect_download() as waiting:
        button(page, words).click()
    return waiting.value.path().read_bytes()


def test_rules_come_first_then_questions_then_review_then_a_file_with_a_check_code(paper):
    assert paper.locator("#rules").is_visible() and not paper.locator("#q1").is_visible()
    button(paper, "I have read the rules. Start.").click()
    assert paper.locator("#q1").is_visible() and "min left" in paper.locator("#clock").inner_text()
    fill(paper, right_answers(issue()))
    button(paper, "Review").click()
    assert "How your answers were read" in paper.locator(".review").inner_text()
    raw = saved(paper, "Hand in")
    sheet = read_sheet(raw)
    typed = tuple(tuple(text.replace("\u00a0", " ") for text in texts) for texts in right_answers(issue()))
    assert tuple(tuple(t.replace("\u00a0", " ") for t in texts) for texts in sheet.answers) == typed
    assert paper.locator(".check").inner_text() == sheet.check
    assert paper.locator("#q1 input").first.is_disabled()


def test_enter_never_hands_in(paper):
    button(paper, "I have read the rules. Start.").click()
    box = paper.locator(".box[data-kind=number] input").first
    box.fill("12.5")
    box.press("Enter")
    assert paper.evaluate("document.body.dataset.part") == "questions"
    button(paper, "Review").click()
    button(paper, "Hand in").focus()
    paper.keyboard.press("Enter")
    assert paper.evaluate("document.body.dataset.part") == "review"


def test_what_was_saved_is_read_back_by_the_same_paper_only(paper, tmp_path):
    button(paper, "I have read the rules. Start.").click()
    fill(paper, right_answers(issue()))
    raw = saved(paper, "Save what I have")
    fill(paper, [[""] * len(one.marks) for one in issue().questions])
    paper.locator("#back").set_input_files({"name": "a.json", "mimeType": "application/json", "buffer": raw})
    paper.get_by_text("Your answers are back.").wait_for()
    assert json.loads(saved(paper, "Save what I have")) == json.loads(raw)
    other = json.dumps({**json.loads(raw), "paper": "AAAA-AAAA"}).encode()
    paper.locator("#back").set_input_files({"name": "a.json", "mimeType": "application/json", "buffer": other})
    paper.get_by_text("This form belongs to another paper.").wait_for()
    for broken in (b"[" * 100_000, b"{}", b"<script>"):
        paper.locator("#back").set_input_files({"name": "a", "mimeType": "application/json", "buffer": broken})
        paper.get_by_text("This file is no hand-in form", exact=False).wait_for()


def test_the_review_shows_how_entries_were_read_and_runs_no_script_from_them(paper):
    button(paper, "I have read the rules. Start.").click()
    boxes = paper.locator(".box[data-kind=number] input")
    boxes.nth(0).fill("1.234")
    boxes.nth(1).fill("<img src=x onerror=alert(1)>")
    boxes.nth(2).fill("12")
    button(paper, "Review").click()
    text = paper.locator(".review").inner_text()
    assert "can be read two ways" in text and "<img src=x" in text and "figures" in text
    assert paper.locator(".review img").count() == 0


def test_the_clock_can_be_switched_off_and_leaving_warns(paper):
    button(paper, "I have read the rules. Start.").click()
    paper.locator("#clock-on").uncheck()
    assert paper.locator("#clock").inner_text() == ""
    paper.locator(".box[data-kind=number] input").first.fill("7")
    warned = []
    paper.on("dialog", lambda dialog: (warned.append(dialog.type), dialog.accept()))
    paper.close(run_before_unload=True)
    paper.wait_for_event("close") if not paper.is_closed() else None
    assert warned == ["beforeunload"]


@pytest.mark.parametrize("text", ["", "abc", "a" * 55, "a" * 56, "a" * 64, "µΩ °C", "x" * 1000])
def test_the_pages_sha_256_is_that_of_fips_180_4(paper, text):
    from importlib.resources import files

    source = files("quizgen.papers").joinpath("script", "digest.js").read_text(encoding="utf-8")
    both = "[[...sha256(new TextEncoder().encode(text))], checkCode('N', 'C', [[text], ['', 'b']])]"
    script = f"(text) => {{ {source}; return {both}; }}"
    digest, code = paper.evaluate(script, text)
    assert bytes(digest) == hashlib.sha256(text.encode()).digest()
    assert code == check_code("N", "C", [[text], ["", "b"]])


@pytest.mark.parametrize("format", ["A4", "Letter"])
@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("plan", ["safety-gate", "whole-chain"])
def test_every_printed_sheet_says_which_paper_and_which_sheet_it_is(context, tmp_path, format, large, plan):
    made = maker(plan).batch([Candidate("A-01", large=large)], {}, TODAY, UNTIL, Chance("print"))
    path = tmp_path / "paper.html"
    path.write_text(made.pages[0], encoding="utf-8")
    page = context.new_page()
    page.goto(path.as_uri())
    reader = PdfReader(io.BytesIO(page.pdf(format=format)))
    of = len(reader.pages)
    for at, sheet in enumerate(reader.pages, 1):
        text = " ".join(sheet.extract_text().split())
        assert f"Paper {made.issues[0].number} · A-01 · sheet {at} of {of}" in text
    # A sheet cuts off what does not fit on it, so nothing may be taller than its room.
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 703 if format == "A4" else 725, "height": 900})
    over = page.evaluate("""[...document.querySelectorAll(".sheet .inside")].filter((e) =>
      e.scrollHeight > e.clientHeight + 1).map((e) => [e.parentElement.firstChild.textContent, e.scrollHeight])""")
    assert over == []


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_nothing_runs_over_the_edge_and_targets_are_large_enough(paper, width):
    paper.set_viewport_size({"width": width, "height": 800})
    button(paper, "I have read the rules. Start.").click()
    assert paper.evaluate("document.documentElement.scrollWidth") <= width
    small = paper.evaluate(
        """[...document.querySelectorAll("button, .option, .box input[type=text], .switch")].filter((e) =>
          e.offsetParent && e.getBoundingClientRect().height < 44).map((e) => e.outerHTML)"""
    )
    assert small == []
