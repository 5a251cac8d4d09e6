"""A candidate sits a paper: one file, no network, nothing lost, nothing handed in by a slip of the hand."""

import dataclasses
import io
import json
import re
from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from pypdf import PdfReader

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.papers.issue import Candidate, Maker
from quizgen.papers.mark import mark_sheet
from quizgen.papers.print import key_html, marksheet_html, signoff_html
from quizgen.papers.sheet import check_code, fits, made_sheet, read_sheet, sheet_bytes
from tests.browser.workbench import HEARD
from tests.papers.answers import right
from tests.papers.conftest import COURSE, DAY, chance

START = "I have read the rules. Start."
CODE = re.compile(r"[2-9A-HJ-NP-Z]{4}-[2-9A-HJ-NP-Z]{4}")
HOSTILE = (
    "é", "12 kΩ", "47 µF", "−16,5 A", "🔧🔌", "</script><script>alert(1)</script>", '"\\', "\u202e12", "٣", "  a  b  ",
)  # fmt: skip


@pytest.fixture(scope="session")
def papers(tmp_path_factory):
    """Plan → two papers (the second in large print), each with the address of its page."""
    folder = tmp_path_factory.mktemp("papers")
    bank, store = load_bank(COURSE), Cache(folder / "kept")
    made = {}
    for plan in ("safety-gate", "whole-chain"):
        people = [Candidate("A-07"), Candidate("A-08", extra=25, large=True)]
        batch = Maker(bank, bank.plans[plan], store).batch(people, {}, DAY, DAY + timedelta(days=30), chance(plan))
        kept = []
        for issue, text in zip(batch.issues, batch.pages, strict=True):
            path = folder / f"{issue.number}.html"
            path.write_text(text, encoding="utf-8")
            kept.append((issue, path.as_uri()))
        made[plan] = kept
    return made


@pytest.fixture
def issue(papers):
    return papers["safety-gate"][0][0]


@pytest.fixture
def opened(chromium):
    """Opens an address cut off from every network; whatever else it asks for fails the test, as any error does."""
    contexts, asked, faults = [], [], []

    def opening(address, clock=False, **more):
        context = chromium.new_context(offline=True, service_workers="block", reduced_motion="reduce", **more)
        contexts.append(context)
        context.add_init_script(HEARD)
        page = context.new_page()
        if clock:
            page.clock.install()
        page.on("request", lambda request: asked.append(request.url) if request.is_navigation_request() else None)
        page.on("request", lambda request: faults.append(request.url)
                if not request.is_navigation_request() and not request.url.startswith("blob:") else None)  # fmt: skip
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
        page.goto(address)
        return page

    yield opening
    for context in contexts:
        context.close()
    assert faults == []
    assert all(one.startswith(("file:", "blob:")) for one in asked)


@pytest.fixture
def sat(opened, papers):
    """The first gate paper, begun."""
    page = opened(papers["safety-gate"][0][1])
    begin(page)
    return page


def begin(page):
    page.get_by_role("button", name=START).click()


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()


def fill(page, answers):
    """Puts answers into the boxes as a candidate does."""
    for number, texts in enumerate(answers, 1):
        for box, text in zip(page.locator(f"#q{number} .box").all(), texts, strict=True):
            kind = box.get_attribute("data-kind")
            if kind == "number":
                box.locator("input").fill(text)
            elif kind == "options":
                for letter in text.replace(",", " ").split():
                    box.locator(f"input[value={letter}]").check()
            else:
                for place, rank in enumerate(text.split()):
                    box.locator("input").nth(place).fill(rank)


def taken(page, press_it):
    """The file that an act saves."""
    with page.expect_download() as caught:
        press_it()
    return caught.value.path().read_bytes()


def saved(page):
    return taken(page, lambda: press(page, "Save what I have"))


def hand_in(page):
    """Reviews and hands in: (file, check code on the screen)."""
    press(page, "Review")
    raw = taken(page, lambda: press(page, "Hand in"))
    return raw, page.locator(".check").inner_text()


def read_back(page, raw):
    page.locator("#back").set_input_files({"name": "x.json", "mimeType": "application/json", "buffer": raw})


def said(page, words):
    expect(page.locator("#said")).to_have_text(words)


def box_of(page, kind):
    return page.locator(f".question .box[data-kind={kind}]").first


def warned(page):
    """Whether leaving asks first."""
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.reload()
    return asked == ["beforeunload"]


# -- rules, questions, review ----------------------------------------------------------------------------


def test_the_rules_come_first_and_the_questions_after_the_start(opened, papers):
    page = opened(papers["safety-gate"][0][1])
    assert page.get_by_role("heading", name="Rules").is_visible()
    assert not any(one.is_visible() for one in page.locator(".question").all())
    assert not page.locator(".bar").is_visible()
    begin(page)
    assert all(one.is_visible() for one in page.locator(".question").all())
    assert not page.get_by_role("heading", name="Rules").is_visible()
    assert page.evaluate("document.activeElement === document.querySelector('.box input')")


@pytest.mark.parametrize("plan", ["safety-gate", "whole-chain"])
def test_every_box_has_a_name_of_its_own(opened, papers, plan):
    page = opened(papers[plan][0][1])
    begin(page)
    unnamed = page.locator("input:not(#back)").evaluate_all(
        "all => all.filter((one) => ![...one.labels].some((label) => label.textContent.trim())).map((one) => one.id)"
    )
    groups = page.locator("fieldset").evaluate_all("all => all.filter((one) => !one.querySelector('legend')).length")
    assert unnamed == [] and groups == 0
    assert page.locator("input:not(#back)").count() > 20


def test_what_was_read_stands_beside_the_box(sat):
    box = box_of(sat, "number")
    unit = box.get_attribute("data-unit")
    for typed, shown in (("16,50", f"= 16.50 {unit}"), ("1.6e1", f"= 16 {unit}"), ("x", "no number yet"), ("", "")):
        box.locator("input").fill(typed)
        assert box.locator(".read").inner_text().replace("\u00a0", " ") == shown.strip()


def test_enter_never_hands_in(sat):
    for kind in ("number", "places"):
        box_of(sat, kind).locator("input").first.press("Enter")
        assert sat.evaluate("document.body.dataset.part") == "questions"
    press(sat, "Review")
    sat.get_by_role("button", name="Hand in").focus()
    sat.keyboard.press("Enter")
    assert sat.evaluate("document.body.dataset.part") == "review"
    with sat.expect_download():
        sat.keyboard.press("Space")
    assert sat.evaluate("document.body.dataset.part") == "over"


def test_the_review_shows_how_each_entry_was_read_and_names_what_is_blank(sat, issue):
    numbered = issue_place(issue, "numeric")
    sat.locator(f"#q{numbered} .box input").first.fill("7,5 kV")
    press(sat, "Review")
    boxes = sum(len(one.marks) for one in issue.questions)
    rows = sat.locator(".review tbody tr")
    assert rows.count() == boxes
    row = rows.filter(has_text="7,5 kV").first
    assert "7.5 kV" in row.inner_text().replace("\u00a0", " ")
    blank = sat.locator(".blank").inner_text()
    assert blank.count(",") == boxes - 2 and "1, 2" in blank
    assert rows.filter(has_text="nothing here yet").count() == boxes - 1
    row.get_by_role("button").click()
    assert sat.evaluate("document.activeElement.id") == f"q{numbered}-0"


def issue_place(issue, kind):
    """Number of the first question of a kind that has one answer."""
    return next(at for at, one in enumerate(issue.questions, 1) if one.question["kind"] == kind and len(one.marks) == 1)


def test_a_whole_paper_is_said_to_be_read_whole(sat, issue):
    fill(sat, right(issue))
    press(sat, "Review")
    assert "Every answer could be read." in sat.locator(".review").inner_text()
    assert sat.locator(".blank").count() == 0


# -- the clock -------------------------------------------------------------------------------------------


def heard(page):
    page.clock.run_for(100)
    return page.evaluate("window.heard.splice(0)")


def test_the_clock_speaks_at_ten_five_and_one_minute_and_at_no_other_time(opened, papers):
    page = opened(papers["safety-gate"][0][1], clock=True)
    begin(page)
    minutes = papers["safety-gate"][0][0].minutes
    spoken = {}
    for gone in range(1, minutes + 3):
        page.clock.run_for(60_000)
        if words := heard(page):
            spoken[minutes - gone] = words
    assert spoken == {
        10: ["About 10 minutes left."], 5: ["About 5 minutes left."], 1: ["About 1 minute left."],
    }  # fmt: skip
    assert "Nothing is locked" in page.locator("#clock").inner_text()
    assert page.locator(".box input").first.is_editable()


def test_a_clock_that_is_switched_off_shows_and_says_nothing(opened, papers):
    page = opened(papers["safety-gate"][0][1], clock=True)
    begin(page)
    assert "min left" in page.locator("#clock").inner_text()
    page.get_by_label("Clock").uncheck()
    for _ in range(papers["safety-gate"][0][0].minutes + 2):
        page.clock.run_for(60_000)
    assert page.locator("#clock").inner_text() == "" and heard(page) == []


def test_a_computer_that_slept_says_once_what_is_left(opened, papers):
    page = opened(papers["safety-gate"][0][1], clock=True)
    begin(page)
    page.clock.fast_forward((papers["safety-gate"][0][0].minutes - 3) * 60_000)
    assert heard(page) == ["About 3 minutes left."]


def test_extra_time_stands_on_the_clock(opened, papers):
    first, second = (one[0].minutes for one in papers["safety-gate"])
    page = opened(papers["safety-gate"][1][1])
    begin(page)
    assert second >= 1.25 * first and f"{second} min left" in page.locator("#clock").inner_text()


# -- leaving, saving, reading back ------------------------------------------------------------------------


def test_leaving_is_warned_after_typing(sat):
    box_of(sat, "number").locator("input").fill("12")
    assert warned(sat)


def test_leaving_is_not_warned_with_nothing_typed(sat):
    assert not warned(sat)


def test_leaving_is_not_warned_after_saving(sat):
    box_of(sat, "number").locator("input").fill("12")
    saved(sat)
    assert not warned(sat)


def test_leaving_is_not_warned_after_handing_in(sat):
    box_of(sat, "number").locator("input").fill("12")
    hand_in(sat)
    assert not warned(sat)


def test_what_was_saved_comes_back_in_the_same_paper_with_its_reading(opened, papers, issue):
    first, second = (opened(papers["safety-gate"][0][1]) for _ in range(2))
    begin(first)
    fill(first, right(issue))
    raw = saved(first)
    read_back(second, raw)
    said(second, "Your answers are back.")
    begin(second)
    assert saved(second) == raw
    assert all(one.inner_text().startswith("= ") for one in second.locator(".read").all())


def test_another_paper_refuses_the_form_in_words_and_keeps_what_stands_in_it(sat, papers):
    other = papers["safety-gate"][1][0]
    fill(sat, right(papers["safety-gate"][0][0]))
    before = saved(sat)
    read_back(sat, sheet_bytes(made_sheet(other, right(other))))
    said(sat, "This form belongs to another paper.")
    assert saved(sat) == before


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "This file is no hand-in form."),
        (b"null", "This file is no hand-in form of this version."),
        (b"[" * 100_000, "This file is no hand-in form."),
        (b'{"form": 1}', "This file is no hand-in form of this version."),
        (b" " * 1_000_001, "This file is too large for a hand-in form."),
    ],
    ids=["empty", "nothing", "deep", "no form", "large"],
)
def test_a_file_that_is_no_form_is_refused_in_words(sat, raw, words):
    read_back(sat, raw)
    said(sat, words)


@pytest.mark.parametrize(
    "change",
    [lambda a: a.pop(), lambda a: a[0].append("1"), lambda a: a[0].__setitem__(0, 5),
     lambda a: a[0].__setitem__(0, "1" * 201), lambda a: a.__setitem__(0, "ab")],
    ids=["one less", "one more", "a number", "long", "text"],
)  # fmt: skip
def test_a_damaged_form_changes_nothing(sat, issue, change):
    before = saved(sat)
    form = json.loads(sheet_bytes(made_sheet(issue, right(issue))))
    change(form["answers"])
    read_back(sat, json.dumps(form).encode())
    said(sat, "This form does not fit this paper: it is damaged.")
    assert saved(sat) == before


@pytest.mark.parametrize("agreed", [True, False], ids=["yes", "no"])
def test_reading_back_over_unsaved_answers_asks_first(sat, issue, agreed):
    box = box_of(sat, "number").locator("input")
    box.fill("123")
    asked = []
    sat.on("dialog", lambda one: (asked.append(one.message), one.accept() if agreed else one.dismiss()))
    read_back(sat, sheet_bytes(made_sheet(issue, right(issue))))
    if agreed:
        said(sat, "Your answers are back.")
    sat.wait_for_function("document.querySelector('#back').value === ''")
    assert len(asked) == 1 and "since you last saved" in asked[0]
    assert (box.input_value() == "123") is not agreed


# -- handing in ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("plan", "which"), [("safety-gate", 0), ("whole-chain", 0), ("whole-chain", 1)])
def test_a_paper_answered_rightly_on_the_page_is_marked_in_full(opened, papers, plan, which):
    issue, address = papers[plan][which]
    page = opened(address)
    begin(page)
    fill(page, right(issue))
    raw, code = hand_in(page)
    sheet = read_sheet(raw)
    assert fits(sheet, issue) == "" and sheet.check == code and CODE.fullmatch(code)
    assert code == check_code(issue.number, issue.code, sheet.answers)
    mark = mark_sheet(issue, sheet, DAY.isoformat())
    assert (mark.marks, mark.passed) == (issue.of, True)


def test_the_check_code_is_the_same_for_hostile_texts(opened, papers):
    """SHA-256 over UTF-8 in the page against the reference library's: signs of one to four bytes, long, blank."""
    issue, address = papers["whole-chain"][0]
    page = opened(address)
    begin(page)
    boxes = page.locator(".box[data-kind=number] input")
    texts = [HOSTILE[at % len(HOSTILE)] for at in range(boxes.count())]
    for box, text in zip(boxes.all(), texts, strict=True):
        box.fill(text)
    raw, code = hand_in(page)
    sheet = read_sheet(raw)
    kept = [text for texts in sheet.answers for text in texts]
    assert len(texts) >= len(HOSTILE) and {text.strip() for text in texts} <= set(kept)
    assert code == sheet.check == check_code(issue.number, issue.code, sheet.answers)
    assert mark_sheet(issue, sheet, DAY.isoformat()).marks == 0
    assert page.locator("script").count() == 1


@pytest.mark.parametrize("sign", ["9", "é", "Ω", "−"])
def test_two_hundred_signs_in_every_box_come_through(opened, papers, sign):
    """Longer than a box takes from the keyboard; a form that was read back may hold it. Many blocks of SHA-256."""
    issue, address = papers["whole-chain"][0]
    answers = [["" if "options" in one.question or not one.variant else sign * 200 for _ in one.marks]
               for one in issue.questions]  # fmt: skip
    page = opened(address)
    begin(page)
    read_back(page, sheet_bytes(made_sheet(issue, answers)))
    said(page, "Your answers are back.")
    raw, code = hand_in(page)
    assert code == check_code(issue.number, issue.code, answers) == read_sheet(raw).check


def test_half_a_sign_and_control_signs_do_not_reach_the_form(sat, issue):
    box = box_of(sat, "number").locator("input")
    box.evaluate("box => { box.value = '1\\ud83d2\\u0007\\u2028A\\u0085'; }")
    raw, _ = hand_in(sat)
    assert "12 A" in [text for texts in read_sheet(raw).answers for text in texts]


def test_after_the_hand_in_nothing_can_be_changed_and_the_file_can_be_saved_again(sat):
    raw, _ = hand_in(sat)
    assert all(one.is_disabled() for one in sat.locator(".box input").all())
    assert taken(sat, lambda: press(sat, "Save the file again")) == raw


# -- for everybody ---------------------------------------------------------------------------------------

PARTS = ("rules", "questions", "review", "over")


def at_part(page, part):
    if part != "rules":
        begin(page)
    if part == "review":
        box_of(page, "number").locator("input").fill("7,5 kV")
        press(page, "Review")
    if part == "over":
        hand_in(page)
    return page


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
def test_every_part_holds_the_rules_for_everybody(opened, papers, part, scheme, width):
    page = opened(papers["safety-gate"][0][1], color_scheme=scheme, viewport={"width": width, "height": 800})
    at_part(page, part)
    found = Axe().run(page).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("which", [0, 1], ids=["plain", "large print"])
@pytest.mark.parametrize("plan", ["safety-gate", "whole-chain"])
def test_nothing_is_wider_than_a_phone_of_320(opened, papers, plan, which, part):
    page = at_part(opened(papers[plan][which][1], viewport={"width": 320, "height": 640}), part)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize("part", PARTS)
def test_everything_to_press_has_44_pixels(opened, papers, part):
    page = at_part(opened(papers["safety-gate"][0][1], viewport={"width": 320, "height": 640}), part)
    seen = page.locator("button, label.option, label.switch, input[type=text]").evaluate_all(
        "all => all.filter((one) => one.checkVisibility()).map((one) => one.getBoundingClientRect())"
        ".map(({ width, height }) => [width, height])"
    )
    assert seen and min(min(one) for one in seen) >= 44


@pytest.mark.parametrize("height", [640, 256])
def test_what_is_said_covers_nothing_to_press(opened, papers, height):
    """256 px is a laptop's window at 400 % zoom."""
    page = opened(papers["safety-gate"][0][1], viewport={"width": 320, "height": height})
    begin(page)
    press(page, "Review")
    saved(page)
    said(page, re.compile("Saved as a file"))
    raw = taken(page, lambda: page.get_by_role("button", name="Hand in").click(timeout=3000))
    assert read_sheet(raw)


def test_the_keyboard_s_place_can_be_seen_in_forced_colours(opened, papers):
    page = opened(papers["safety-gate"][0][1], forced_colors="active")
    begin(page)
    drawn = []
    for _ in range(12):
        drawn.append(
            page.evaluate("""() => { const { outlineStyle, outlineWidth } = getComputedStyle(
          document.activeElement); return outlineStyle !== "none" && parseFloat(outlineWidth) >= 2; }""")
        )
        page.keyboard.press("Tab")
    assert drawn == [True] * 12
    edge = box_of(page, "number").locator("input").evaluate("one => parseFloat(getComputedStyle(one).borderTopWidth)")
    assert edge >= 1


def test_large_print_is_really_larger(opened, papers):
    sizes = []
    for _, address in papers["safety-gate"]:
        page = opened(address)
        begin(page)
        both = [page.locator(one).first.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
                for one in (".text", ".box input[type=text]", ".worth")]  # fmt: skip
        page.emulate_media(media="print")
        sizes.append([*both, page.locator(".text").first.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")])
    assert all(large >= 1.35 * plain for plain, large in zip(*sizes, strict=True))
    assert sizes[1][-1] >= 16 * 96 / 72 - 0.01  # 16 point on paper


# -- on paper --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("format", ["A4", "Letter"])
@pytest.mark.parametrize("which", [0, 1], ids=["plain", "large print"])
@pytest.mark.parametrize("plan", ["safety-gate", "whole-chain"])
def test_every_sheet_says_which_it_is_and_none_is_lost(opened, papers, plan, which, format):
    issue, address = papers[plan][which]
    page = opened(address)
    sheets = [one.extract_text() for one in PdfReader(io.BytesIO(page.pdf(format=format))).pages]
    for at, text in enumerate(sheets, 1):
        marks = re.findall(r"Paper (\S+) · (\S+) · sheet (\d+) of (\d+)", text)
        assert marks == [(issue.number, issue.code, str(at), str(len(sheets)))] * 2
    asked = re.findall(r"Question (\d+)", "\n".join(sheets))
    assert asked == [str(number) for number in range(1, len(issue.questions) + 1)]
    assert f"On paper: {len(sheets)} sheets." in " ".join(sheets[0].split())


@pytest.mark.parametrize("format", [(186, 273), (192, 255)], ids=["A4", "Letter"])
@pytest.mark.parametrize("which", [0, 1], ids=["plain", "large print"])
@pytest.mark.parametrize("plan", ["safety-gate", "whole-chain"])
def test_nothing_on_a_sheet_is_cut_off(opened, papers, plan, which, format):
    """The room between margins of 12 mm, at 96 px an inch."""
    size = {"width": int(format[0] / 25.4 * 96), "height": int(format[1] / 25.4 * 96)}
    page = opened(papers[plan][which][1], viewport=size)
    page.emulate_media(media="print")
    over = page.locator(".sheet").evaluate_all("""all => all.flatMap((sheet) => {
      const end = sheet.getBoundingClientRect().bottom + 0.5;
      const foot = sheet.querySelector(".foot").getBoundingClientRect();
      const low = [...sheet.querySelectorAll(".inside *")].map((one) => one.getBoundingClientRect().bottom);
      const wide = sheet.scrollWidth > sheet.clientWidth + 1;
      return foot.bottom > end || Math.max(...low) > foot.top + 0.5 || wide
        ? [`${sheet.querySelector(".mark").textContent}: ${Math.max(...low)} of ${foot.top}`] : []; })""")
    assert over == []


@pytest.mark.parametrize("part", PARTS)
def test_a_paper_prints_whole_and_without_answers_whatever_is_on_the_screen(opened, papers, part):
    issue, address = papers["safety-gate"][0]
    page = at_part(opened(address), part)
    text = " ".join(one.extract_text() for one in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages)
    assert text.count("Question ") >= len(issue.questions) and "Rules" in text
    assert "How your answers were read" not in text and "min left" not in text and "Handed in as a file" not in text


@pytest.mark.parametrize("plan", ["safety-gate", "whole-chain"])
def test_no_key_stands_in_what_is_printed(opened, papers, plan):
    """The shown answers of this paper do not stand beside their units, bar those that are givens as well."""
    issue, address = papers[plan][0]
    pages = PdfReader(io.BytesIO(opened(address).pdf(format="A4"))).pages
    text = re.sub(r"\s+", " ", " ".join(one.extract_text() for one in pages))
    keyed = [answer for one in issue.questions if one.question["kind"] == "numeric"
             for answer in one.variant["answers"] if "shown" in answer]  # fmt: skip
    givens = " ".join(str(given) for one in issue.questions for given in one.variant.get("given", ()))
    known = [re.sub(r"\s+", " ", one["shown"]) for one in keyed]
    found = [one for one in known if re.search(rf"(?<![\d.,]){re.escape(one)}(?!\w)", text) and one not in givens]
    assert len(known) >= 5 and found == []


# -- what the trainer prints ------------------------------------------------------------------------------


@pytest.fixture
def printed(issue, tmp_path):
    """Mark sheet, key and sign-off sheet in which every text from outside wants to be markup."""
    script = "<script>alert(1)</script><img src=x onerror=alert(2)>"
    hostile = dataclasses.replace(issue, code=script, title=f"{issue.title} {script}", note=script)
    answers = [[script for _ in one.marks] for one in issue.questions]
    mark = mark_sheet(hostile, made_sheet(hostile, answers), DAY.isoformat(), {issue.questions[0].id: script}, [script])
    made = {}
    for name, text in (("mark sheet", marksheet_html(hostile, mark)), ("key", key_html(hostile)),
                       ("sign-off", signoff_html([hostile]))):  # fmt: skip
        path = tmp_path / f"{name}.html"
        path.write_text(text, encoding="utf-8")
        made[name] = path.as_uri()
    return made


PRINTS = ("mark sheet", "key", "sign-off")


@pytest.mark.parametrize("name", PRINTS)
def test_script_in_a_name_is_text_on_what_is_printed(opened, printed, name):
    page = opened(printed[name])
    assert page.locator("script, img").count() == 0
    assert "<script>alert(1)</script>" in page.locator("main").inner_text()
    sheets = [one.extract_text() for one in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages]
    assert "<script>alert(1)" in " ".join(" ".join(sheets).split())
    assert all(sheet.strip() for sheet in sheets)


@pytest.mark.parametrize("name", PRINTS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
def test_what_is_printed_reads_on_every_screen(opened, printed, name, scheme, width):
    page = opened(printed[name], color_scheme=scheme, viewport={"width": width, "height": 800})
    found = Axe().run(page).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_mark_sheet_gives_reasons_and_how_to_disagree(opened, printed):
    text = opened(printed["mark sheet"]).locator("main").inner_text()
    for words in ("Not passed.", "This could not be read as an answer.", "If you do not agree", "within 14 days",
                  "How the pass mark was set", "Taken out, and right for everybody"):  # fmt: skip
        assert words in text
