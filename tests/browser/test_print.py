"""On paper: questions with room to work and no answer, unless the switch asks for answers."""

import io

import pytest
from pypdf import PdfReader

from tests.browser.workbench import answers, compiled, number, press, question, says, settled, type_in

SIZES = {"A4": (595, 842), "Letter": (612, 792)}


def printed(page, format="A4"):
    reader = PdfReader(io.BytesIO(page.pdf(format=format, prefer_css_page_size=False)))
    width, height = SIZES[format]
    for sheet in reader.pages:
        assert (round(sheet.mediabox.width), round(sheet.mediabox.height)) == pytest.approx((width, height), abs=1)
    text = " ".join(sheet.extract_text() for sheet in reader.pages)
    return " ".join(text.replace("\u00a0", " ").replace("\u202f", " ").split())


def tried_out(page):
    """Right and wrong answers, hints, reasons: all that must not reach the paper."""
    type_in(page, "heater-current", number(answers("heater-current")[0]))
    type_in(page, "heater-and-hours", "12.3456")
    for _ in range(8):
        press(page, "heater-and-hours", "Show a step")
    question(page, "what-warms-up").get_by_label("A loose contact").check()
    press(page, "what-warms-up", "Check")
    press(page, "what-warms-up", "Why not the others?")
    press(page, "order-of-work", "Show a step")
    says(page, "what-warms-up")


def keys():
    return {id: number(text) for id in ("heater-current", "heater-and-hours") for text in answers(id)}


@pytest.mark.parametrize("format", SIZES)
def test_without_the_switch_no_answer_and_no_feedback_is_printed(bench, format):
    tried_out(bench)
    text = printed(bench, format)
    for count in range(1, 9):
        assert f"Question {count}" in text
    assert "A heater takes P = " in text
    for key in keys().values():
        assert f" {key} " not in text.replace("=", " ")
    hints = ("Right.", "Not yet", "12.3456", "turns current into heat", "Wanted:", "Answer")
    for words in (*hints, "Check", "New numbers", "Print with", "Whose practice"):
        assert words not in text, words


def test_with_the_switch_each_question_ends_with_its_worked_answer_for_the_numbers_in_use(bench):
    press(bench, "heater-current", "New numbers")
    bench.get_by_label("Print with answers").check()
    settled(bench)
    press(bench, "heater-current", "New numbers")
    text = printed(bench)
    assert f"= {answers('heater-current', 2)[0]}".replace("\u00a0", " ") in text
    for shown in answers("heater-and-hours"):
        assert shown.replace("\u00a0", " ") in text
    assert "A loose contact is right. Yes. Its resistance turns current into heat." in text
    assert all(f"{place}. {step}" in text for place, step in enumerate(compiled("order-of-work")["order"], 1))
    assert text.count("Answer ") == 8
    assert bench.locator(".qz-answer").first.is_hidden(), "on the screen nothing is told"


def test_the_switch_is_off_again_after_a_reload_and_takes_the_answers_away(bench):
    switch = bench.get_by_label("Print with answers")
    switch.check()
    settled(bench)
    assert bench.locator(".qz-answer").count() == 8
    switch.uncheck()
    assert bench.locator(".qz-answer").count() == 0
    switch.check()
    bench.reload()
    assert not switch.is_checked()
    assert bench.locator(".qz-answer").count() == 0


def test_the_page_as_it_is_served_holds_no_answer_outside_the_data(workbench_site):
    import re

    html = (workbench_site / "index.html").read_text(encoding="utf-8")
    visible = re.sub(r"<template.*?</template>", "", html, flags=re.S)
    assert "qz-answer" not in visible
    for key in keys().values():
        assert not re.search(rf"(?<![\d.]){re.escape(key)}\s*(?:A|kWh)", visible)


def test_a_dark_screen_prints_on_white(chromium, workbench_site):
    context = chromium.new_context(color_scheme="dark", offline=True)
    page = context.new_page()
    page.goto(f"{workbench_site.as_uri()}/index.html")
    colour = """() => getComputedStyle(document.querySelector(".qz-text")).color
      .match(/[\\d.]+/g).slice(0, 3).map(Number)"""
    assert min(page.evaluate(colour)) > 150, "light letters on the screen"
    page.emulate_media(media="print")
    assert max(page.evaluate(colour)) < 80, "dark letters on paper"
    context.close()
