"""The page of a learner's plan: what is due, done and next, and what comes back, all without a server."""

import itertools
import json
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from quizgen.bank.load import load_bank
from quizgen.bank.models import Assigned, Done, Group
from quizgen.cohort.assignment import assignments, check_of, file_text, paste_text
from quizgen.cohort.done import module_standing
from tests.browser.conftest import FRAGMENTS, PUMP, built
from tests.browser.workbench import settled

DAY = date(2026, 11, 28)
NOON = "2026-11-28T12:00:00"
NARROW = {"width": 360, "height": 760}
HOME = "# Home\n\n```your-plan\n```\n"
FLOW = "---\nmodule: flow\n---\n\n# Flow\n\n```practice\nfill-the-tank\npower-of-the-pump\n```\n"
ROOM = "quizgen/1/pump-basics/of/"
RULE = Done(4, 5, 2)


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    return built(PUMP, tmp_path_factory.mktemp("plan"), {"index.md": HOME, "flow.md": FLOW})


@pytest.fixture(params=["folder", "shop"])
def address(request, site, serve):
    """From a folder, and by a name in the shop's network, where the browser trusts nothing special."""
    return site.as_uri() if request.param == "folder" else serve(site).replace("127.0.0.1", "shop.test")


@pytest.fixture
def plan(page, site):
    """The page from a folder, at noon of DAY, on a phone."""
    return opened(page, site.as_uri())


def opened(page, address, now=NOON, name="index"):
    page.set_viewport_size(NARROW)
    page.clock.set_fixed_time(now)
    page.goto(f"{address}/{name}.html")
    page.locator(".qz-plan-open").wait_for()
    return page


def handed(code="A-01", due=DAY + timedelta(6), made=DAY, group="autumn", what="flow", done=RULE):
    """One learner's assignment, as the trainer's command makes it."""
    bank = load_bank(PUMP)
    made_for = Group(group, "pump-basics", (code,), done, (Assigned(what, due, (code,)),))
    return assignments(made_for, bank, made)[0]


def paste(page, text):
    opener = page.locator(".qz-plan-open")
    if opener.get_attribute("open") is None:
        opener.locator("summary").click()
    page.get_by_label("Text", exact=True).fill(text)
    page.get_by_role("button", name="Open this text").click()


def press(page, name):
    page.locator(".qz-your-plan").get_by_role("button", name=name, exact=True).click()


def says(page, text):
    expect(page.locator(".qz-plan-says")).to_contain_text(text)


def due(page):
    return page.locator(".qz-due").inner_text().replace("\u00a0", " ")


def again(page):
    return page.locator(".qz-again").inner_text()


def keep(page, id, *lately, name="", **more):
    days = sorted({one[:10] for one in lately if one[-1] == "+"})
    value = json.dumps({"tries": len(lately), "days": days, "lately": lately, **more})
    page.evaluate("([key, value]) => localStorage.setItem(key, value)", [f"{ROOM}{name}/result/{id}", value])


def ago(days, sign="+"):
    return f"{(DAY - timedelta(days)).isoformat()}{sign}"


# Opening


@pytest.mark.parametrize("form", [file_text, paste_text])
def test_a_plan_is_opened_from_its_text_and_is_there_the_next_time(page, address, form):
    opened(page, address)
    assert "Nothing is handed out to this practice yet." in due(page)
    paste(page, form(handed()))
    says(page, "Opened the plan for A-01: the module P1 Flow and power, due on Friday, 4 December 2026.")
    page.reload()
    told = due(page)
    assert "Plan for A-01 of group autumn, handed out on Saturday, 28 November 2026." in told
    assert "Due in 6 days" in told and "Due on Friday, 4 December 2026. Not begun." in told
    assert page.evaluate("() => localStorage.getItem('quizgen/1/pump-basics/of//code')") == '"A-01"'
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_a_plan_is_opened_from_its_file(plan, tmp_path):
    path = tmp_path / "A-01.json"
    path.write_text(file_text(handed()), "utf-8")
    plan.get_by_label("File", exact=True).set_input_files(path)
    says(plan, "Opened the plan for A-01: the module P1 Flow and power, due on")


def test_a_text_is_read_with_words_around_it_and_lines_run_together(plan):
    text = " ".join(paste_text(handed()).split()).replace("assignment", "Assignment").replace(" ", "\u00a0", 3)
    paste(plan, f"[28.11., 07:12] Trainer: {text} See you tomorrow!")
    says(plan, "Opened the plan for A-01: the module P1 Flow and power, due on")


def file(**more):
    return json.dumps({**json.loads(file_text(handed())), **more})


def resealed(old, new):
    lines = paste_text(handed()).replace(old, new).splitlines()[:-1]
    return "\n".join([*lines, f"check {check_of(' '.join(' '.join(lines).split()))}"])


ITEM = {"what": "flow", "due": "2026-12-04"}
HOSTILE = {
    "empty": (" \n", "This is empty"),
    "words": ("hello there", "no plan, or a part of it is missing"),
    "a page": ("<!doctype html><script>alert(1)</script>", "no plan"),
    "a list": ("[1]", "no plan"),
    "another program's": ('{"a": 1}', "no plan"),
    "cut off": (file()[:-30], "a part of it is missing"),
    "a text cut off": (paste_text(handed())[:-30], "a part of it is missing"),
    "a text changed on the way": (paste_text(handed()).replace("12-04", "12-05"), "a part of it is missing"),
    "a text of a newer edition": (resealed("assignment 1", "assignment 2"), "newer edition"),
    "a newer edition": (file(version=2), "newer edition"),
    "no version": (file(version="1"), "no plan"),
    "saved practice": (file(file="practice"), "saved practice"),
    "another course": (file(course="baking", title="<b>Bread"), "belongs to another course, “<b>Bread”."),
    "another course as text": (resealed("pump-basics", "baking"), "belongs to another course, “baking”."),
    "a course that is no text": (file(course=["pump-basics"], title=None), "belongs to another course."),
    "a code with a path": (file(code="../A"), "damaged"),
    "a name": (file(code="Ann Archer"), "damaged"),
    "no items": (file(items=[]), "damaged"),
    "an item twice": (file(items=[ITEM, ITEM]), "damaged"),
    "too many items": (file(items=[{**ITEM, "what": f"m-{at}"} for at in range(101)]), "damaged"),
    "an item with markup": (file(items=[{**ITEM, "what": "<img src=x>"}]), "damaged"),
    "a day that is none": (file(items=[{**ITEM, "due": "2026-02-30"}]), "damaged"),
    "a month that is none": (file(items=[{**ITEM, "due": "2026-19-01"}]), "damaged"),
    "the year nought": (file(made="0000-01-01"), "damaged"),
    "more right than there are": (file(done={"right": 9, "of last": 5, "on days": 1}), "damaged"),
    "half an answer": (file(done={"right": 1.5, "of last": 5, "on days": 1}), "damaged"),
    "a flood of answers": (file(done={"right": 1, "of last": 1e6, "on days": 1}), "damaged"),
    "a nest": ('{"file":' + "[" * 9000, "a part of it is missing"),
    "too large": (file(title="x" * 20000), "too large"),
    "huge": ("x" * 3_000_000, "too large"),
    "a name for every object": ('{"__proto__": {"file": "assignment"}, "items": []}', "no plan"),
}  # fmt: skip


def test_what_was_opened_is_told_in_words(plan):
    items = [
        {"what": "flow", "due": "2026-12-04"},
        {"what": "case-dry", "due": "2026-12-02"},
        {"what": "case-b", "due": "2026-12-09"},
    ]
    paste(plan, file(items=items))
    says(
        plan,
        "Opened the plan for A-01: 1 module and 2 cases. First due: “case-dry”, which is not in your copy",
    )
    paste(plan, file(items=items[2:]))
    says(
        plan,
        "Opened the plan for A-01: “case-b”, which is not in your copy of the course, due on Wednesday, 9 December",
    )


def test_a_second_device_gets_the_plan_with_the_saved_practice(plan, site, chromium, tmp_path):
    paste(plan, file_text(handed()))
    keep(plan, "fill-the-tank", ago(1))
    plan.reload()
    panel = plan.get_by_role("region", name="Your practice")
    panel.get_by_role("button", name="Whose practice is this?").click()
    with plan.expect_download() as download:
        panel.get_by_role("button", name="Save to a file").click()
    expect(panel.get_by_role("group", name="Your decision")).to_contain_text("Your plan for A-01 is in it.")
    download.value.save_as(tmp_path / "mine.json")
    context = chromium.new_context()
    second = opened(context.new_page(), site.as_uri())
    assert "Nothing is handed out to this practice yet." in due(second)
    panel = second.get_by_role("region", name="Your practice")
    panel.get_by_role("button", name="Whose practice is this?").click()
    panel.get_by_role("button", name="Load a file").click()
    panel.get_by_label("File", exact=True).set_input_files(tmp_path / "mine.json")
    expect(panel.get_by_role("group", name="Your decision")).to_contain_text("with the plan for A-01.")
    panel.get_by_role("button", name="Join the two").click()
    second.locator(".qz-plan-whose").wait_for()
    assert "Plan for A-01 of group autumn" in due(second) and "1 of your last 1 answer right" in due(second)
    context.close()


def test_what_is_no_plan_is_refused_in_one_sentence_and_nothing_changes(plan):
    paste(plan, file_text(handed()))
    says(plan, "Opened")
    before = plan.evaluate("() => ({...localStorage})")
    for name, (text, why) in HOSTILE.items():
        plan.locator(".qz-plan-open").evaluate("(el) => { el.open = true; }")
        plan.locator("#qz-plan-text").evaluate("(el, text) => { el.value = text; }", text)
        press(plan, "Open this text")
        says(plan, why)
        told = plan.locator(".qz-plan-says").inner_text()
        assert told.endswith("Nothing was opened.") or "Ask your trainer" in told or "Copy the whole" in told, name
        assert len(told) < 250, name
        assert plan.evaluate("() => ({...localStorage})") == before, name
        assert plan.locator(".qz-your-plan img, .qz-your-plan b b").count() == 0


def test_a_huge_file_and_one_that_is_no_text_are_refused(plan, tmp_path):
    for body in (b"{" * 30_000_000, bytes(range(256)) * 40):
        path = tmp_path / "A-01.json"
        path.write_bytes(body)
        plan.get_by_label("File", exact=True).set_input_files(path)
        says(plan, "Nothing was opened." if len(body) > 1e6 else "no plan")
        plan.locator(".qz-plan-says").evaluate("(el) => el.replaceChildren()")
    assert plan.evaluate("Object.keys(localStorage).length") == 0


def test_a_damaged_plan_on_the_device_is_put_aside(plan):
    plan.evaluate("key => localStorage.setItem(key, '{\"course\": 1')", f"{ROOM}/assignment")
    plan.reload()
    assert "Nothing is handed out" in due(plan)
    paste(plan, file_text(handed()))
    says(plan, "Opened")


def test_where_nothing_can_be_kept_the_page_says_so(page, site):
    page.add_init_script("Storage.prototype.setItem = () => { throw new Error('full'); };")
    opened(page, site.as_uri())
    paste(page, file_text(handed()))
    says(page, "this browser does not keep it")
    assert "Plan for A-01" in due(page)


# Several people


def test_a_plan_for_somebody_else_is_asked_about_and_can_begin_their_practice(plan):
    paste(plan, file_text(handed()))
    says(plan, "Opened")
    paste(plan, file_text(handed("A-02")))
    expect(plan.locator(".qz-plan-asked p").first).to_be_focused()
    assert "This plan is for the code A-02. The practice here has the plan for A-01." in due(plan)
    press(plan, "Leave it")
    assert "Plan for A-01" in due(plan)
    paste(plan, file_text(handed("A-02")))
    press(plan, "Begin a practice of its own for A-02")
    assert "Plan for A-02" in due(plan)
    assert plan.locator(".qz-panel-says").inner_text() == "Practice of A-02."
    plan.get_by_role("button", name="Whose practice is this?").click()
    settled(plan)
    plan.get_by_role("button", name="somebody without a name", exact=True).click()
    assert "Plan for A-01" in due(plan)
    paste(plan, file_text(handed("A-02", due=DAY)))
    press(plan, "Go on as A-02")
    assert "Plan for A-02" in due(plan) and "Due today" in due(plan)


def test_results_of_another_learner_do_not_count(plan):
    keep(plan, "fill-the-tank", ago(2), ago(2), ago(1), ago(1), name="Bea")
    paste(plan, file_text(handed()))
    assert "Not begun." in due(plan)


def test_a_newer_plan_takes_the_place_of_the_old_one_and_an_older_one_asks(plan):
    paste(plan, file_text(handed(made=DAY - timedelta(3))))
    paste(plan, file_text(handed(due=DAY)))
    assert "Due today" in due(plan)
    paste(plan, file_text(handed(made=DAY - timedelta(3))))
    assert "The one here is newer: Saturday, 28 November 2026." in due(plan)
    press(plan, "Keep the newer one")
    assert "Due today" in due(plan)


def test_a_plan_of_another_group_asks_first(plan):
    paste(plan, file_text(handed()))
    paste(plan, file_text(handed(group="winter", due=DAY)))
    press(plan, "Use the new one")
    assert "of group winter" in due(plan)


def test_a_plan_can_be_taken_away_and_the_results_stay(plan):
    keep(plan, "fill-the-tank", ago(1))
    paste(plan, file_text(handed()))
    plan.locator(".qz-plan-open summary").click()
    press(plan, "Take this plan away")
    press(plan, "Take it away")
    says(plan, "The plan is taken away.")
    kept = plan.evaluate("Object.keys(localStorage).filter((key) => key.includes('/of/'))")
    assert kept == [f"{ROOM}/result/fill-the-tank"]


# What is due


@pytest.mark.parametrize(
    ("days", "words", "state"),
    [(-1, "Overdue by 1 day", "overdue"), (-30, "Overdue by 30 days", "overdue"), (0, "Due today", "today"),
     (1, "Due in 1 day", "later"), (6, "Due in 6 days", "later")],
)  # fmt: skip
def test_each_state_is_a_word_and_a_frame_of_its_own(plan, days, words, state):
    paste(plan, file_text(handed(due=DAY + timedelta(days))))
    item = plan.locator(".qz-plan-items > li")
    assert item.get_attribute("data-state") == state
    assert item.locator(".qz-plan-state").inner_text() == words
    style = item.locator(".qz-plan-state").evaluate("(el) => getComputedStyle(el).borderTopStyle")
    assert style == {"overdue": "double", "today": "solid", "later": "dotted"}[state]


def test_days_are_counted_by_the_calendar_also_where_the_clocks_change(chromium, site):
    """Of the two days between, one has 25 hours: 25 October 2026 in Berlin."""
    context = chromium.new_context(timezone_id="Europe/Berlin")
    page = opened(context.new_page(), site.as_uri(), "2026-10-24T22:30:00Z")
    paste(page, file_text(handed(due=date(2026, 10, 26), made=date(2026, 10, 20))))
    assert "Due in 1 day" in due(page)
    page.clock.set_fixed_time("2026-10-25T23:10:00Z")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert "Due today" in due(page)
    context.close()


def test_a_module_is_done_by_the_rule_and_the_page_says_how_far_one_is(plan):
    keep(plan, "fill-the-tank", ago(3, "-"), ago(2), ago(2), ago(2))
    keep(plan, "power-of-the-pump", ago(2))
    paste(plan, file_text(handed()))
    told = due(plan)
    assert "4 of your last 5 answers right without help. You had some right on 1 day so far." in told
    assert "That is enough for one day: come back on another." in told
    assert "4 of your last 5 answers to its questions are right without help, and you had some right on 2" in told
    keep(plan, "power-of-the-pump", ago(2), ago(0))
    plan.reload()
    assert plan.locator(".qz-plan-items > li").get_attribute("data-state") == "done"
    assert "All of it is done." in due(plan)


def test_a_long_sitting_does_not_undo_an_earlier_day(plan):
    """A question keeps its last ten answers, so the earlier one is in no list any more: its day is kept apart."""
    paste(plan, file_text(handed()))
    days = [ago(9, ""), ago(1, "")]
    keep(plan, "fill-the-tank", *[ago(1)] * 10, days=days)
    plan.reload()
    assert plan.locator(".qz-plan-items > li").get_attribute("data-state") == "done"
    assert "5 of your last 5 answers right without help. You had some right on 2 days so far." in due(plan)
    keep(plan, "fill-the-tank", *[ago(1)] * 8, *[ago(0, "-")] * 2, days=days)
    plan.reload()
    assert plan.locator(".qz-plan-items > li").get_attribute("data-state") == "later"
    assert "3 of your last 5 answers right without help. You had some right on 2 days so far." in due(plan)


def test_next_is_what_was_never_tried_then_what_was_not_right_then_what_is_longest_ago(plan):
    paste(plan, file_text(handed()))
    link = plan.locator(".qz-plan-next a")
    keep(plan, "fill-the-tank", ago(1, "-"))
    plan.reload()
    assert link.inner_text() == "P1 Flow and power, question 2"
    keep(plan, "power-of-the-pump", ago(9))
    plan.reload()
    assert link.inner_text() == "P1 Flow and power, question 1"
    keep(plan, "fill-the-tank", ago(1, "-"), ago(1))
    plan.reload()
    assert link.inner_text() == "P1 Flow and power, question 2"
    link.click()
    plan.wait_for_url("**/flow.html#q-power-of-the-pump")


def test_an_answer_in_another_tab_brings_the_plan_up_to_date(plan, site):
    paste(plan, file_text(handed()))
    other = plan.context.new_page()
    other.clock.set_fixed_time(NOON)
    other.goto(f"{site.as_uri()}/flow.html")
    field = other.locator("#q-fill-the-tank input")
    field.fill("0.5")
    field.press("Enter")
    expect(plan.locator(".qz-plan-items")).to_contain_text("0 of your last 1 answer right without help")


def test_what_this_copy_of_the_course_has_not_is_told(plan):
    text = file(items=[{"what": "turbines", "due": "2026-12-04"}, {"what": "case-leak", "due": "2026-12-05"}])
    paste(plan, text)
    told = due(plan)
    assert told.count("This is not in your copy of the course.") == 2
    assert "What is still open cannot be practised in this copy of the course." in told


def test_a_module_that_lost_its_questions_is_told_by_its_name(page, tmp_path):
    """The trainer took them off the page: what was answered before is kept, and nothing breaks."""
    bare = built(PUMP, tmp_path, {"index.md": HOME, "flow.md": FLOW.split("```")[0]})
    opened(page, bare.as_uri())
    keep(page, "fill-the-tank", ago(2), ago(1))
    paste(page, file_text(handed()))
    says(page, "Opened the plan for A-01: the module P1 Flow and power, due on")
    told = due(page)
    assert "P1 Flow and power" in told and "It has no questions to practise any more. Ask your trainer" in told
    assert "What is still open cannot be practised in this copy of the course." in told
    assert "Nothing is due again yet." in again(page)


def test_a_case_of_the_course_is_done_when_it_was_right_the_last_time(page, course_site):
    opened(page, course_site.as_uri(), name="your-plan")
    one = {**json.loads(file_text(handed())), "course": "charging-chain"}
    paste(page, json.dumps({**one, "items": [{"what": "case-half-wave", "due": "2026-12-04"}]}))
    assert "Not played yet." in due(page) and "Once is enough." in due(page)
    key = "quizgen/1/charging-chain/of//result/case-half-wave"
    for signs, words in (("+-", "Not right the last time"), ("-+", "Right the last time you played it.")):
        kept = json.dumps({"tries": 2, "lately": [ago(1, sign) for sign in signs]})
        page.evaluate("([key, value]) => localStorage.setItem(key, value)", [key, kept])
        page.reload()
        assert words in due(page)
    assert page.locator(".qz-plan-items a").get_attribute("href") == "cases-medium.html#case-half-wave"


# Practise once more


def test_a_question_comes_back_after_the_gap_and_a_mistake_the_next_day(plan):
    assert "Nothing is due again yet." in again(plan)
    keep(plan, "fill-the-tank", ago(6))
    keep(plan, "power-of-the-pump", ago(0, "-"))
    plan.reload()
    assert "Nothing is due again today. The next question comes back on Sunday, 29 November 2026." in again(plan)
    keep(plan, "fill-the-tank", ago(7))
    keep(plan, "power-of-the-pump", ago(1, "-"))
    plan.reload()
    rows = plan.locator(".qz-plan-again > li").all_inner_texts()
    assert ["P1 Flow and power, question 2" in rows[0], "Not right yesterday" in rows[0]] == [True, True]
    assert ["P1 Flow and power, question 1" in rows[1], "Right 7 days ago" in rows[1]] == [True, True]
    assert "0 of 2 answered today." in again(plan)


def test_what_is_proposed_stays_all_day_and_is_ticked_off(plan):
    keep(plan, "fill-the-tank", ago(8), ago(0, "h"))
    plan.reload()
    assert "1 of 1 answered today. That is all for today." in again(plan)
    assert "with help today" in again(plan)


def test_it_can_be_stopped_and_started_again_for_each_learner(plan):
    keep(plan, "fill-the-tank", ago(8))
    plan.reload()
    press(plan, "Stop proposing questions")
    expect(plan.locator(".qz-again")).to_contain_text("Stopped")
    assert plan.locator(".qz-plan-again").count() == 0
    plan.reload()
    press(plan, "Propose questions again")
    assert "Right 8 days ago" in again(plan)


def test_the_gap_is_the_courses(page, tmp_path):
    course = tmp_path / "source"
    shutil.copytree(PUMP, course, ignore=shutil.ignore_patterns(".*"))
    file = course / "bank" / "course.yml"
    text = file.read_text("utf-8")
    assert text.count("  id: pump-basics\n") == 1
    file.write_text(text.replace("  id: pump-basics\n", "  id: pump-basics\n  again after: 3 days\n"), "utf-8")
    opened(page, built(course, tmp_path, {"index.md": HOME, "flow.md": FLOW}).as_uri())
    assert "after 3 days if it was right" in again(page)
    keep(page, "fill-the-tank", ago(3))
    page.reload()
    assert "Right 3 days ago" in again(page)


def fragments():
    names = ("result", "plan_form", "assignment", "due", "again")
    parts = "\n".join((FRAGMENTS / f"{name}.js").read_text("utf-8") for name in names)
    names = "{ againToday, moduleStanding, checkOf, readResult, nextQuestion }"
    return f'(function () {{ "use strict"; const COURSE = {{ id: "x" }};\n{parts}\nwindow.room = {names}; }})()'


@pytest.fixture
def sums(page):
    page.evaluate(fragments())
    return page


PROPOSED = """([list, day]) => {
  const questions = list.map(([id, module, lately]) => (
    { id, module, result: room.readResult({ tries: lately.length, lately }) }));
  return room.againToday(questions, day, 7);
}"""


def proposed(page, kept, day="2026-11-28"):
    """kept: for each question its module and its answers."""
    return page.evaluate(PROPOSED, [[[id, module, lately] for id, (module, *lately) in kept.items()], day])


def test_at_most_six_fresh_mistakes_first_older_ones_mixed_in_from_many_modules(sums):
    kept = {f"slip-{at}": ("a", ago(at + 1, "-")) for at in range(8)}
    kept |= {f"old-{at}": ("b", ago(60)) for at in range(5)} | {f"other-{at}": ("c", ago(30)) for at in range(5)}
    kept |= {"never": ("c",), "fresh": ("c", ago(2))}
    found = [one["id"] for one in proposed(sums, kept)["list"]]
    assert found[:4] == ["slip-0", "slip-1", "slip-2", "slip-3"]
    assert len(found) == 6 and all(id.startswith("old-") for id in found[4:])
    kept = {id: one for id, one in kept.items() if not id.startswith("slip")}
    found = [one["id"].split("-")[0] for one in proposed(sums, kept)["list"]]
    assert sorted(found[:4]) == ["old", "old", "other", "other"] and len(found) == 6


def test_the_day_alone_decides_and_another_day_mixes_anew(sums):
    kept = {f"q-{at}": (f"m-{at % 7}", ago(20)) for at in range(40)}
    first = [one["id"] for one in proposed(sums, kept)["list"]]
    assert first == [one["id"] for one in proposed(sums, dict(reversed(kept.items())))["list"]]
    others = [[one["id"] for one in proposed(sums, kept, f"2026-12-{day:02d}")["list"]] for day in range(1, 10)]
    assert all(len(set(one)) == 6 for one in others) and len({tuple(one) for one in others}) == 9


def test_answering_what_was_proposed_brings_up_no_other(sums):
    kept = {f"q-{at}": ("m", ago(20)) for at in range(20)}
    first = [one["id"] for one in proposed(sums, kept)["list"]]
    for id in first[:3]:
        kept[id] = (*kept[id], ago(0))
    found = proposed(sums, kept)["list"]
    assert [one["id"] for one in found] == first and [one["now"] for one in found].count("+") == 3


def test_a_question_tried_today_for_the_first_time_is_not_proposed_today(sums):
    found = proposed(sums, {"new": ("m", ago(0, "-"))})
    assert found == {"list": [], "next": "2026-11-29"}


RULED = [[["2026-11-01+", "2026-11-01+"], ["2026-11-02+", "2026-11-02+"]], [["2026-11-01+"] * 4], [[], []],
         [["2026-11-01+", "2026-11-02+", "2026-11-02-"], ["2026-11-02+", "2026-11-02-", "2026-11-02h", "2026-11-02+"]],
         [["2026-11-03-"], ["2026-11-02h"], ["2026-11-01+"] * 10]]  # fmt: skip


@pytest.mark.parametrize("rule", [(4, 5, 2), (1, 1, 1), (8, 10, 2), (3, 6, 1)])
def test_page_and_trainer_count_alike(sums, rule):
    right, of, days = rule
    for answers, given in itertools.product(RULED, ([], ["2026-10-01"], ["2026-11-01", "2026-11-02"])):
        expected = module_standing(answers, Done(*rule), given)
        found = sums.evaluate(
            "([answers, rule, given]) => room.moduleStanding(answers, rule, given)",
            [answers, {"right": right, "ofLast": of, "onDays": days}, given],
        )
        assert found == {"right": expected.right, "of": expected.of, "days": expected.days, "done": expected.done}


@pytest.mark.parametrize("text", ["", "a", "assignment 1 course x", "z" * 4000, "~!{}"])
def test_page_and_trainer_make_the_same_check(sums, text):
    assert sums.evaluate("text => room.checkOf(text)", text) == check_of(text)


# For every hand and eye


def test_the_keyboard_alone_opens_a_plan(plan):
    field = plan.get_by_label("Text", exact=True)
    field.focus()
    plan.evaluate("text => { document.activeElement.value = text; }", paste_text(handed()))
    plan.keyboard.press("Tab")
    expect(plan.get_by_role("button", name="Open this text")).to_be_focused()
    plan.keyboard.press("Enter")
    expect(plan.locator(".qz-plan-whose")).to_be_focused()
    plan.keyboard.press("Tab")
    expect(plan.locator(".qz-plan-next a")).to_be_focused()
    paste(plan, file_text(handed("A-02")))
    plan.keyboard.press("Escape")
    expect(plan.locator(".qz-plan-open summary")).to_be_focused()
    assert plan.locator(".qz-plan-asked").is_hidden()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 360, 1280])
def test_nothing_is_found_by_the_checker_and_nothing_is_cut_off(page, course_site, scheme, width):
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 800})
    page.clock.set_fixed_time(NOON)
    page.goto(f"{course_site.as_uri()}/your-plan.html")
    one = {**json.loads(file_text(handed())), "course": "charging-chain"}
    items = [{"what": "supply", "due": "2026-11-20"}, {"what": "boost", "due": "2026-11-28"},
             {"what": "case-half-wave", "due": "2026-12-04"}]  # fmt: skip
    paste(page, json.dumps({**one, "items": items}))
    page.locator(".qz-plan-open summary").click()
    for state in ("open", "asked"):
        if state == "asked":
            press(page, "Take this plan away")
        found = Axe().run(page, context=".md-content").response["violations"]
        assert [(rule["id"], rule["nodes"][0]["html"]) for rule in found] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_states_keep_their_frames_in_forced_colours(plan):
    paste(plan, file_text(handed(due=DAY - timedelta(1))))
    plan.emulate_media(forced_colors="active")
    assert plan.locator(".qz-plan-state").evaluate("(el) => getComputedStyle(el).borderTopStyle") == "double"


def test_without_script_the_page_says_what_it_would_do(chromium, site):
    page = chromium.new_context(java_script_enabled=False).new_page()
    page.goto(f"{site.as_uri()}/index.html")
    assert "Without it your slip tells you what is due." in due(page)
    page.context.close()


def test_no_other_page_loads_the_script_of_the_plan(page, site):
    page.goto(f"{site.as_uri()}/flow.html")
    assert page.locator('script[src*="plan."]').count() == 0


def test_the_data_stand_outside_of_what_search_finds(site):
    index = (Path(site) / "search" / "search_index.json").read_text("utf-8")
    assert '\\"again\\"' not in index and "power-of-the-pump" not in index
