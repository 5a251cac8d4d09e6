"""Handing in a progress slip: the page writes what quizgen reads, asks for a code, and gives away nothing else."""

import json
import random
import shutil
from datetime import date, datetime
from pathlib import Path

import pytest

from quizgen import cli
from quizgen.cohort.pack import text_of
from quizgen.cohort.read_slip import read_file, read_slips
from quizgen.cohort.slip_message import slip_text
from quizgen.commands import progress
from quizgen.variants.short_names import long_name
from quizgen.variants.slip_names import salts
from tests.browser.conftest import FRAGMENTS
from tests.browser.workbench import FOLDER, answers, givens, number, says, settled, type_in
from tests.cohort.slips import COURSE, SAVED, as_file, as_results, learner, small_names

CASES = json.loads((Path(__file__).parents[1] / "cohort" / "slip_cases.json").read_text(encoding="utf-8"))
TODAY = date.fromisoformat(SAVED)
ONE, TWO = "heater-current", "heater-and-hours"


# The codec, beside the one in Python


def opened(page, names, apart=None):
    """The fragments in a closure, with the names of a small course; `slips` is there afterwards."""
    apart = apart or salts(names)
    data = {
        "salts": [[apart.questions.bits, apart.questions.salt], [apart.slips.bits, apart.slips.salt]],
        "modules": {id: list(ids) for id, ids in names.modules.items()},
    }
    source = "\n".join((FRAGMENTS / name).read_text("utf-8") for name in ("pack.js", "slip.js"))
    page.evaluate(
        f'(function () {{ "use strict"; const today = () => "{SAVED}";\n'
        f"const COURSE = {json.dumps({'id': COURSE, 'version': 'x'})}; const SLIP_NAMES = {json.dumps(data)};\n"
        f"{source}\nwindow.slips = {{ slipFile, slipText, longName, signsOf }};\n}})()"
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_page_writes_the_texts_of_the_table(page, case):
    opened(page, small_names(case["questions"]))
    said = page.evaluate("([code, results]) => slips.slipText(code, results)", [case["code"], case["results"]])
    assert said == case["text"]


def test_page_and_python_agree_on_learners_of_any_kind(page):
    """Also on whole courses that do not fit; the file of each holds the same."""
    for questions, wrongs in ((3, 1), (40, 0.3), (469, 1.5), (700, 4)):
        names = small_names(questions, 5)
        opened(page, names)
        made = [learner(names, seed, wrongs, (seed + 1) / 6) for seed in range(6)]
        said = page.evaluate(
            "(all) => all.map((one) => [slips.slipText('A-07', one), slips.slipFile('A-07', one)])",
            [as_results(one) for one in made],
        )
        for one, (text, file) in zip(made, said, strict=True):
            assert text == slip_text(COURSE, one, names, salts(names))
            assert read_file(file, COURSE, names, TODAY) == one


def test_page_and_python_agree_on_odd_numbers_and_texts(page):
    """Counts of any size, a question that left the course, names in many letters."""
    names = small_names(30)
    opened(page, names)
    chance = random.Random(7)
    every = []
    for _ in range(60):
        results = {}
        for id in chance.sample(["question-1", "question-2", "question-9", "case-1", "gone-for-ever"], 3):
            tries = chance.choice([1, 2, 9, 300, 70_000, 999_999])
            slips = {
                name: chance.choice([1, 3, 500_000]) for name in chance.sample(["sign", "added-up", "Ünbekannt"], 2)
            }
            results[id] = {
                "tries": tries, "right": chance.randrange(tries + 1), "helped": chance.randrange(9), "days": [],
                "last": "", "lately": chance.choice([[], ["2004-02-29-", "2026-11-28h"], ["2026-11-28+"] * 10]),
                "slips": slips,
            }  # fmt: skip
        every.append(results)
    texts = page.evaluate("(all) => all.map((one) => slips.slipText('b', one))", every)
    wide = small_names(30)
    wide = type(wide)(
        {**wide.modules, "gone": ("gone-for-ever",)}, wide.cases, wide.was, {**wide.slips, "gone-for-ever": {}}
    )
    for results, text in zip(every, texts, strict=True):
        raw = {**as_file(learner(names, 1, code="b")), "results": results}
        slip = read_file(json.dumps(raw), COURSE, wide, TODAY)
        (made,) = read_slips(text, COURSE, wide, TODAY)
        assert {id: one[:5] for id, one in made.results.items()} == {id: one[:5] for id, one in slip.results.items()}
        # In Python the question that left the course is in no module, as it is in the page.
        without = type(wide)(names.modules, wide.cases, wide.was, wide.slips)
        assert slip_text(COURSE, slip, without, salts(names)) == text


def test_names_and_signs_are_those_of_python(page):
    opened(page, small_names())
    texts = ["", "a", "foobar", "case-1", "module supply", "Größe Ω"]
    assert page.evaluate("(all) => all.map(slips.longName)", texts) == [long_name(text) for text in texts]
    bodies = [[], [0], [255] * 7, list(range(200))]
    assert page.evaluate("(all) => all.map(slips.signsOf)", bodies) == [text_of(bytes(body)) for body in bodies]


# The panel


@pytest.fixture
def site(workbench_site):
    return workbench_site


def at(context, site, day=SAVED):
    """A page of the workbench course, on a day of ours."""
    page = context.new_page()
    page.clock.set_fixed_time(datetime.fromisoformat(f"{day}T10:00:00"))
    page.goto(f"{site.as_uri()}/index.html")
    return page


def panel(page):
    return page.get_by_role("region", name="Your practice")


def press_in_panel(page, name):
    panel(page).get_by_role("button", name=name, exact=True).click()
    settled(page)


def open_hand_in(page, code=""):
    press_in_panel(page, "Whose practice is this?")
    press_in_panel(page, "Hand in a progress slip")
    if code:
        panel(page).get_by_label("Your code").fill(code)
        press_in_panel(page, "Go on")


def saved_slip(page):
    with page.expect_download() as found:
        press_in_panel(page, "Save the slip as a file")
    return found.value


def upside_down(at=0):
    """What somebody types who divides voltage by power, for a set of the heater's numbers."""
    watts, volts = (float(number(shown)) for shown in givens(ONE, at))
    return f"{volts / (watts * (1000 if 'kW' in givens(ONE, at)[0] else 1)):.3g}"


def test_without_answers_there_is_nothing_to_hand_in(context, site):
    page = at(context, site)
    open_hand_in(page, "A-01")
    assert "nothing to hand in" in panel(page).inner_text()


def test_the_code_is_asked_for_and_a_name_is_not_taken(context, site):
    page = at(context, site)
    type_in(page, ONE, number(answers(ONE)[0]))
    open_hand_in(page, "Jo Smith")
    panel(page).get_by_text("Do not type your name").wait_for()
    panel(page).get_by_label("Your code").fill(" A-01 ")
    press_in_panel(page, "Go on")
    assert "goes by the code A-01 and tells of 1 question" in panel(page).inner_text()


def test_a_code_that_is_kept_is_not_asked_for_again_and_can_be_changed(context, site):
    page = at(context, site)
    type_in(page, ONE, number(answers(ONE)[0]))
    page.evaluate("localStorage.setItem('quizgen/1/workbench/of//code', JSON.stringify('A-05'))")
    open_hand_in(page)
    panel(page).get_by_text("goes by the code A-05").wait_for()
    press_in_panel(page, "Another code")
    assert panel(page).get_by_label("Your code").input_value() == "A-05"
    panel(page).get_by_label("Your code").fill("A-06")
    press_in_panel(page, "Go on")
    page.reload()
    open_hand_in(page)
    panel(page).get_by_text("goes by the code A-06").wait_for()


def test_the_slip_holds_the_code_and_results_and_nothing_else(context, site):
    page = at(context, site)
    press_in_panel(page, "Whose practice is this?")
    panel(page).get_by_label("New name").fill("Robin Sample")
    press_in_panel(page, "Begin")
    press_in_panel(page, "Whose practice is this?")
    type_in(page, ONE, "77.7")
    type_in(page, TWO, "123.4")
    open_hand_in(page, "A-01")
    file = saved_slip(page)
    assert file.suggested_filename == f"progress-workbench-A-01-{SAVED}.json"
    text = Path(file.path()).read_text("utf-8")
    press_in_panel(page, "Close")
    open_text = shown_text(page)
    for given in (text, open_text):
        assert "Robin" not in given and "Sample" not in given and "77.7" not in given and "123.4" not in given
    kept = json.loads(text)
    assert set(kept) == {"file", "version", "course", "course version", "code", "saved", "note", "results"}
    assert set(kept["results"]) == {ONE, TWO}
    assert set(kept["results"][ONE]) == {"tries", "right", "helped", "days", "lately", "slips"}
    assert "proves nothing" in kept["note"]
    assert kept["results"][ONE]["lately"] == [f"{SAVED}-"]


def shown_text(page, code="A-01"):
    press_in_panel(page, "Hand in a progress slip")
    field = panel(page).get_by_label("Your code")
    panel(page).get_by_text("goes by the code").or_(field).first.wait_for()
    if field.is_visible():
        field.fill(code)
        press_in_panel(page, "Go on")
    press_in_panel(page, "Show it as text for a message")
    return panel(page).get_by_label("Your progress slip as text").input_value()


def test_all_of_it_works_with_the_keyboard_and_escape_gives_the_focus_back(context, site):
    page = at(context, site)
    type_in(page, ONE, number(answers(ONE)[0]))
    opener = panel(page).get_by_role("button", name="Whose practice is this?")
    opener.press("Enter")
    settled(page)
    hand = panel(page).get_by_role("button", name="Hand in a progress slip")
    hand.press("Enter")
    panel(page).get_by_label("Your code").focus()
    page.keyboard.type("A-01")
    page.keyboard.press("Enter")
    panel(page).get_by_text("goes by the code A-01").wait_for()
    page.keyboard.press("Escape")
    assert hand.evaluate("el => el === document.activeElement")


def test_a_copy_of_the_course_without_the_script_says_so(context, site):
    page = context.new_page()
    page.route("**/quizgen/slip.*", lambda route: route.abort())
    page.goto(f"{site.as_uri()}/index.html")
    press_in_panel(page, "Whose practice is this?")
    press_in_panel(page, "Hand in a progress slip")
    panel(page).get_by_text("no slip can be made now").wait_for()


@pytest.mark.parametrize("width", [320, 1280])
def test_what_is_asked_fits_any_width(context, site, width):
    page = at(context, site)
    page.set_viewport_size({"width": width, "height": 800})
    type_in(page, ONE, "77")
    open_hand_in(page, "A-0123456789-0123456"[:20])
    press_in_panel(page, "Show it as text for a message")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, context=".qz-panel")
    assert [one["id"] for one in found.response["violations"]] == []


# From the page to the trainer

GROUP = """group: autumn-depot
course: workbench
learners:
  - A-01
  - A-02
  - A-03
assigned:
  heat:
    due: 2026-12-04
"""


def test_a_slip_that_two_of_three_made_is_what_to_talk_about(chromium, site, tmp_path, monkeypatch, capsys):
    """Three learners on three devices; two hand in a file, one a text for a message."""
    collected = tmp_path / "handed-in"
    collected.mkdir()
    for code, typed in (("A-01", upside_down()), ("A-02", upside_down()), ("A-03", number(answers(ONE)[0]))):
        device = chromium.new_context(offline=True, accept_downloads=True)
        page = at(device, site)
        type_in(page, ONE, typed)
        wanted = "Right." if code == "A-03" else "You divided voltage by power"
        assert wanted in says(page, ONE)
        press_in_panel(page, "Whose practice is this?")
        if code == "A-02":
            (collected / "messages.txt").write_text(f"Good evening,\n{shown_text(page, code)}\n", "utf-8")
        else:
            press_in_panel(page, "Hand in a progress slip")
            panel(page).get_by_label("Your code").fill(code)
            press_in_panel(page, "Go on")
            file = saved_slip(page)
            file.save_as(collected / file.suggested_filename)
        device.close()
    course = tmp_path / "course"
    shutil.copytree(FOLDER, course, ignore=shutil.ignore_patterns(".*"))
    (tmp_path / "group.yml").write_text(GROUP, "utf-8")
    monkeypatch.setattr(progress, "today", lambda: TODAY)
    report = tmp_path / "report.html"
    words = [str(collected), "--group", str(tmp_path / "group.yml"), "--html", str(report), "--course", str(course)]
    assert cli.main(["progress", *words]) == 0
    said = capsys.readouterr().out
    _, first, second, *_ = said.split("Talk about this first:")[1].splitlines()
    assert first == "  You divided voltage by power. A stronger heater draws more current."
    assert second.startswith("      2 of 3 learners who tried (A-01, A-02), 2 times, at 95 %: 21\u00a0% to 94\u00a0%")
    assert "no proof" in said
    page = chromium.new_page()
    page.goto(report.as_uri())
    assert page.locator(".slips > li").first.inner_text().startswith("You divided voltage by power.")
    page.close()


def test_the_report_fits_a_phone_whatever_a_slip_names(chromium, tmp_path, monkeypatch):
    """A long id of another edition, and a question with its words, its place and a link."""
    results = as_results(learner(small_names(3), 1))
    kept = next(iter(results.values()))
    wrong = {**kept, "right": 0, "days": [], "slips": {"upside-down": 2}}
    file = {"file": "progress", "version": 1, "course": "workbench", "code": "A-01234567890123456", "saved": SAVED,
            "results": {"x" * 99: kept, ONE: wrong}}  # fmt: skip
    (tmp_path / "one.json").write_text(json.dumps(file), "utf-8")
    monkeypatch.setattr(progress, "today", lambda: TODAY)
    words = [str(tmp_path / "one.json"), "--html", str(tmp_path / "r.html"), "--site", "https://shop.test/"]
    shutil.copytree(FOLDER, tmp_path / "course", ignore=shutil.ignore_patterns(".*"))
    assert cli.main(["progress", *words, "--course", str(tmp_path / "course")]) == 0
    page = chromium.new_page(viewport={"width": 360, "height": 800})
    page.goto((tmp_path / "r.html").as_uri())
    assert page.get_by_role("link").first.get_attribute("href") == f"https://shop.test/index.html#q-{ONE}"
    assert "x" * 99 in page.locator("main").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.close()
