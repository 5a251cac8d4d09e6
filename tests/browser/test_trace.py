"""Every authored case played in a browser: perfect, wasteful, wrong, unsafe; its figures are the Python model's."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from quizgen.cache import Cache
from quizgen.tracing import compile_tracing, read_tracing, start, unsafe
from quizgen.tracing.play import ISOLATE, allowed, must_stop, regret
from tests.browser.tracing import OPEN, followed, open_vans, play, true_part, words
from tests.once import shipped_bank

ROOT = Path(__file__).parents[2]
PAGES = ("cases-easy", "cases-medium", "cases-hard")


@pytest.fixture(scope="module")
def cases() -> dict[str, dict]:
    tracing, faults = read_tracing(shipped_bank())
    assert not faults
    compiled, unsolved = compile_tracing(tracing, Cache(ROOT / ".cache" / "quizgen"))
    assert not unsolved
    return compiled["cases"]


def on_page(name: str) -> list[str]:
    """The cases of a page that can be played."""
    source = (ROOT / "course" / "pages" / f"{name}.md").read_text(encoding="utf-8")
    (ids,) = re.findall(r"```case\n(.*?)```", source, re.DOTALL)
    return ids.split()


@pytest.fixture
def opened(page, course_site):
    def go(name: str, width: int = 320, id: str = ""):
        page.set_viewport_size({"width": width, "height": 800})
        open_vans(page, (course_site / f"{name}.html").as_uri(), id)
        return page

    return go


@pytest.fixture
def taken(opened):
    """One case with its van taken."""

    def go(id: str, width: int = 320):
        name = next(name for name in PAGES if id in on_page(name))
        return opened(name, width, id).locator(f"#case-{id}")

    return go


def figures_agree(case, shown, lost, paid) -> None:
    told = [regret for regret in shown["regrets"] if regret != "unsafe"]
    assert [float(one) for one in told] == pytest.approx(lost, abs=1e-3), case["id"]
    assert shown["lost"] == pytest.approx(sum(lost), abs=1e-3)
    assert shown["paid"] == paid
    assert f"You spent {words(paid)}" in shown["says"]
    assert f"takes {words(case['minutes'])} on average" in shown["says"]
    assert f"{words(sum(cost for _, cost in case['path']))} for this van" in shown["says"]


def kept(page, id) -> dict:
    found = page.evaluate("Object.entries(localStorage)")
    return next(json.loads(text) for key, text in found if key.endswith(f"/result/case-{id}"))


def test_all_authored_cases_stand_on_pages_from_easy_to_hard(cases) -> None:
    levels = [[cases[id]["difficulty"] for id in on_page(name)] for name in PAGES]
    assert sorted(id for name in PAGES for id in on_page(name)) == sorted(cases)
    assert [set(level) for level in levels] == [{1}, {2}, {3}]


@pytest.mark.parametrize("name", PAGES)
def test_the_best_order_is_proved_counts_and_loses_nothing(opened, cases, name) -> None:
    page = opened(name)
    for id in on_page(name):
        case = cases[id]
        if case["outside"]:
            continue
        acts, lost, paid, standing = followed(case, [])
        if must_stop(case, standing):
            shown = play(page, id, [*acts, "stop"])
            assert "Right: stop." in shown["says"], id
        else:
            shown = play(page, id, acts, true_part(case), str(len(acts) - 1))
            assert "Right part." in shown["says"] and "Proved." in shown["says"], id
        assert sum(lost) == pytest.approx(0, abs=1e-4)
        assert "more than the best choice" not in shown["says"] and "Counts as right." in shown["says"]
        figures_agree(case, shown, lost, paid)
        assert kept(page, id)["right"] == 1


@pytest.mark.parametrize("name", PAGES)
def test_waste_is_told_decision_by_decision(opened, cases, name) -> None:
    page = opened(name)
    for id in on_page(name):
        case = cases[id]
        if case["outside"]:
            continue
        safe = [t["id"] for t in case["tests"] if not unsafe(case, start(case), t["id"])]
        worst = max(safe, key=lambda one, case=case: regret(case, start(case), one))
        acts, lost, paid, standing = followed(case, [worst, worst])
        shown = play(page, id, acts, true_part(case), "0")
        figures_agree(case, shown, lost, paid)
        assert sum(lost) > 1 and "Better:" in shown["says"] and "Told nothing:" in shown["says"], id
        counts = sum(lost) <= allowed(case) and not must_stop(case, standing)
        assert kept(page, id)["right"] == counts, id


@pytest.mark.parametrize("name", PAGES)
def test_a_wrong_part_named_at_once_is_called_a_guess_with_its_cost(opened, cases, name) -> None:
    page = opened(name)
    for id in on_page(name):
        case = cases[id]
        if case["outside"]:
            continue
        wrong = next(part for part in case["parts"] if part != true_part(case))
        shown = play(page, id, [], wrong)
        figures_agree(case, shown, [], 0)
        assert "Wrong part." in shown["says"] and "Changed without proof." in shown["says"]
        assert f"{words(case['minutes'])} on average from there" in shown["says"]
        assert kept(page, id)["right"] == 0


@pytest.mark.parametrize("name", PAGES)
def test_an_unsafe_act_ends_the_case_and_it_can_begin_again(opened, cases, name) -> None:
    page = opened(name)
    for id in on_page(name):
        case = cases[id]
        if case["outside"]:
            continue
        barred = {unsafe(case, start(case), t["id"])[:8]: t["id"] for t in case["tests"]}
        for why, act in barred.items():
            if not why:
                continue
            shown = play(page, id, [act])
            assert "The case ends here" in shown["says"] and "The right sequence." in shown["says"], (id, act)
            assert "It is:" not in shown["says"] and shown["regrets"] == ["unsafe"]
            assert ("This is a charge attempt" in shown["says"]) == (why == "A charge")
            assert ("This is a drive" in shown["says"]) == (why == "A drive ")
            assert play(page, id, ["again"])["log"] == 0
        assert kept(page, id)["slips"]["unsafe"] == kept(page, id)["tries"] > 0


def test_the_case_outside_the_method_shows_as_such(opened, cases) -> None:
    (id,) = (id for id in cases if cases[id]["outside"])
    section = opened("cases-hard").locator(f"#case-{id}")
    section.locator("summary").click()
    assert "Outside the method." in section.inner_text() and section.locator(".qz-trace").count() == 0


def test_a_test_point_shows_the_tests_of_its_stage_by_touch_and_by_key(taken, page) -> None:
    section = taken("half-wave")
    section.get_by_role("link", name="Sensors and bus: 2 tests").click()
    assert section.locator("h3").first.inner_text() == "Tests: Sensors and bus"
    assert section.locator(".qz-trace [data-test]").evaluate_all("all => all.map((one) => one.dataset.test)") == [
        "bus-resistance", "sensor-zero", ISOLATE,
    ]  # fmt: skip
    section.get_by_role("link", name="3 Phase relays: 1 test").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.textContent") == "Tests: Phase relays"
    section.get_by_role("button", name="Back to the map").press("Enter")
    assert page.evaluate("document.activeElement.dataset.stage") == "phase-relays"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.value") == "all"


def test_the_mode_leaves_only_its_tests(taken) -> None:
    section = taken("half-wave")
    section.locator(".qz-trace-all").click()
    section.locator("input[value=dead]").check()
    tests = section.locator(".qz-trace-tests").first.locator("small").all_inner_texts()
    assert len(tests) > 5 and all("only after proving dead" in words for words in tests)


def test_marks_and_made_tests_show_on_the_map_in_words(taken) -> None:
    section = taken("half-wave")
    section.locator('[data-part="relay-board"]').click()
    point = section.locator('[data-stage="phase-relays"]')
    assert point.get_attribute("aria-label") == "3 Phase relays: 1 test; suspect"
    assert point.get_attribute("data-mark") == "suspect"
    section.locator('[data-part="relay-board"]').click()
    assert point.locator(".qz-point-mark").text_content() == "cleared"
    section.locator('[data-test="read-log"]').click()
    assert section.locator('[data-point="read-log"]').get_attribute("data-done") == "true"
    assert section.locator('[data-point="drive-test"]').get_attribute("data-done") == "false"


def test_proving_dead_that_fails_asks_for_a_stop(taken, page, cases) -> None:
    section = taken("must-stop")
    assert "HV− to chassis: a voltage stays" in play(page, "must-stop", [ISOLATE])["says"]
    assert section.locator(f'[data-test="{ISOLATE}"]').count() == 0
    section.locator("[data-act=stop]").click()
    assert "Right: stop." in section.locator(".qz-trace").inner_text()


def test_changing_a_part_that_cannot_be_made_dead_is_not_safe(taken, page, cases) -> None:
    taken("must-stop")
    acts, *_ = followed(cases["must-stop"], [])
    assert "Not safe." in play(page, "must-stop", acts, true_part(cases["must-stop"]), "0")["says"]
    assert kept(page, "must-stop")["right"] == 0


def test_steps_of_isolating_out_of_order_are_refused_and_counted(taken, page, cases) -> None:
    section = taken("star-side-leak")
    section.locator(f'[data-test="{ISOLATE}"]').click()
    section.locator('[data-step="5"]').click()
    expect(section.get_by_role("status")).to_contain_text("Not yet.")
    section.locator("[data-act=back]").click()
    acts, *_ = followed(cases["star-side-leak"], [])
    said = play(page, "star-side-leak", acts, "star-cable", "1")["says"]
    assert "1 step tried out of order" in said and "Proved." in said


def test_a_part_cleared_while_it_is_a_suspect_is_named(taken, page) -> None:
    section = taken("slow-after-lunch")
    mark = section.locator('[data-part="cooling"]')
    mark.click()
    assert "suspect" in mark.inner_text()
    mark.click()
    said = play(page, "slow-after-lunch", [], "cooling")["says"]
    assert "Cleared too early: cooling circuit and its sensors" in said


def test_another_van_is_another_fault_of_the_same_complaint(taken, cases, page) -> None:
    case = cases["half-wave"]
    section = taken("half-wave")
    play(page, "half-wave", [], true_part(case))
    page.evaluate("Math.random = () => 0.999")
    section.locator("[data-act=fresh]").click()
    assert case["suspects"][-1]["name"] in play(page, "half-wave", [], true_part(case))["says"]


def test_a_half_played_case_goes_on_after_a_reload(taken, page, cases) -> None:
    section = taken("half-wave")
    section.locator('[data-part="choke"]').click()
    play(page, "half-wave", ["read-log", "drive-test"])
    page.reload()
    summary = section.locator("summary").first
    expect(summary).to_have_text("Go on with this van: 2 steps done")
    page.evaluate(OPEN, "#case-half-wave")
    expect(section.locator(".qz-trace-log > li")).to_have_count(2)
    assert "18\u00a0min on the clock" in section.locator(".qz-trace-clock").inner_text()
    assert "suspect" in section.locator('[data-part="choke"]').inner_text()
    acts, lost, paid, _ = followed(cases["half-wave"], ["read-log", "drive-test"])
    figures_agree(cases["half-wave"], play(page, "half-wave", acts[2:], true_part(cases["half-wave"])), lost, paid)
    page.reload()
    expect(summary).to_have_text("Take this van")


HALVES = (
    {"variant": "driver-dead-a", "checked": {"done": ["relays"], "marks": {}, "early": [], "slips": 0}},
    {"variant": "driver-dead-a", "checked": {"done": ["isolate", "isolate"], "marks": {}, "early": [], "slips": 0}},
    {"variant": "driver-dead-a", "checked": {"done": ["read-log"] * 101, "marks": {}, "early": [], "slips": 0}},
    {"variant": "driver-dead-a", "checked": {"done": [{"toString": 1}], "marks": {}, "early": [], "slips": 0}},
    {"variant": "no-such-fault", "checked": {"done": ["read-log"], "marks": {}, "early": [], "slips": 0}},
    {"variant": "driver-dead-a", "checked": {"done": "read-log", "marks": [], "early": {}, "slips": -1}},
    {"variant": "driver-dead-a", "checked": None},
    {"variant": 7},
)


def test_a_stored_game_that_nobody_could_have_played_is_left_alone(taken, page) -> None:
    section = taken("half-wave")
    for half in HALVES:
        page.evaluate(STORE, ["half-wave", json.dumps(half)])
        page.reload()
        section.locator("summary").first.click()
        section.locator(".qz-trace [data-test]").first.wait_for()
        assert section.locator(".qz-trace-log > li").count() == 0, half
        assert section.locator("summary").first.inner_text() == "Take this van", half


STORE = """([id, text]) => {
  document.querySelector(`#case-${id} [data-part]`).click();
  const key = Object.keys(localStorage).find((one) => one.endsWith(`/typed/case-${id}`));
  localStorage.setItem(key, text);
}"""


def test_marks_that_are_no_marks_are_left_out(taken, page) -> None:
    section = taken("half-wave")
    half = {"done": [], "marks": {"choke": "<b>", "nowhere": "suspect"}, "early": ["choke", 4], "slips": 0}
    page.evaluate(STORE, ["half-wave", json.dumps({"variant": "driver-dead-a", "checked": half})])
    page.reload()
    section.locator("summary").first.click()
    assert "no mark" in section.locator('[data-part="choke"]').inner_text()


def test_another_learner_finds_no_case_of_the_first(taken, page) -> None:
    section = taken("half-wave")
    play(page, "half-wave", ["read-log"])
    page.get_by_role("button", name="Whose practice is this?").click()
    page.get_by_label("New name").fill("Bea")
    page.get_by_role("button", name="Begin", exact=True).click()
    assert section.locator(".qz-trace-log > li").count() == 0


@pytest.mark.parametrize("width", [320, 1280])
def test_a_case_fits_its_page_at_every_time(taken, page, cases, width) -> None:
    taken("half-wave", width)
    wide = "document.documentElement.scrollWidth"
    assert page.evaluate(wide) <= width
    play(page, "half-wave", ["three-line-charge"])
    assert page.evaluate(wide) <= width
    play(page, "half-wave", ["again", "read-log"], "choke", "0")
    assert page.evaluate(wide) <= width


def test_the_keyboard_alone_does_a_test_and_keeps_its_place(taken, page) -> None:
    section = taken("cable-at-home")
    section.locator('a[data-stage="supply"]').focus()
    page.keyboard.press("Enter")
    section.locator('[data-test="cable-coding"]').focus()
    page.keyboard.press("Enter")
    expect(section.get_by_role("status")).to_contain_text("PP to PE: 680\u00a0Ω (healthy: 220\u00a0Ω).")
    assert section.locator("[role=status]").bounding_box()["y"] < 800
    assert page.evaluate("document.activeElement.dataset.test") == "cable-coding"


def test_progress_counts_cases_at_home_in_the_list_and_beside_the_title(taken, page, course_site, cases) -> None:
    section = taken("cable-at-home")
    acts, *_ = followed(cases["cable-at-home"], [])
    play(page, "cable-at-home", acts, "supply-cable", "0")
    expect(section.locator(".qz-done")).to_have_text("right on 1 of 2 days")
    assert page.locator("[data-module=case-cable-at-home] .qz-tally").inner_text() == "begun"
    played = sum(not case["outside"] for case in cases.values())
    page.goto((course_site / "index.html").as_uri())
    row = page.locator('[data-module="cases/all"]')
    expect(row.locator(".qz-tally")).to_have_text(f"0 done, 1 begun, {played - 1} not begun")
    row.get_by_role("link").click()
    page.get_by_role("link", name="A van that charges slowly").click()
    expect(section.locator(".qz-trace button").first).to_be_visible()


def test_without_script_the_case_is_whole(chromium, course_site) -> None:
    page = chromium.new_context(java_script_enabled=False).new_page()
    page.goto((course_site / "cases-medium.html").as_uri())
    section = page.locator("#case-half-wave")
    section.locator("summary").first.click()
    assert section.locator(".qz-tests tbody tr").count() > 20
    assert section.locator(".qz-suspects li").count() == 5
    section.get_by_role("link", name="3 Phase relays: 1 test").click()
    assert page.url.endswith("#case-half-wave--phase-relays")
    assert section.locator("#case-half-wave--phase-relays").is_visible()
    assert not section.locator(".qz-sealed li").first.is_visible()
    page.context.close()


def test_on_paper_stands_the_open_case_with_its_tests_and_an_empty_log(taken, page, course_site) -> None:
    page.goto((course_site / "cases-medium.html").as_uri())
    section = page.locator("#case-half-wave")
    section.locator("summary").first.click()
    section.locator('[data-test="read-log"]').click()
    page.emulate_media(media="print")
    for shown in (".qz-points", ".qz-tests", ".qz-log-paper", ".qz-suspects", ".qz-point-numbers >> nth=1"):
        assert section.locator(shown).is_visible(), shown
    for hidden in (".qz-trace", "summary >> nth=0", ".qz-sealed", "circle >> nth=0"):
        assert not section.locator(hidden).is_visible(), hidden
    assert not page.locator("#case-no-precharge").is_visible() and not page.locator(".qz-overview").is_visible()


def printed(page) -> str:
    """The text of the page as the browser prints it, when it has told the page so: the theme then opens every fold."""
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    said = page.locator(".md-content__inner").inner_text()
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    page.emulate_media(media="screen")
    return said


def test_print_opens_neither_the_readings_nor_another_van(taken, page, cases) -> None:
    section = taken("half-wave")
    on_paper = printed(page)
    assert cases["half-wave"]["complaint"] in on_paper and "An exercise, no permission" in on_paper
    assert "leg A: no answer" not in on_paper and cases["no-precharge"]["complaint"] not in on_paper
    assert page.locator("#case-no-precharge .qz-trace button").count() == 0
    section.locator(".qz-sealed summary").click()
    expect(section.locator(".qz-sealed")).not_to_have_attribute("data-shut", "")
    assert "leg A: no answer" in printed(page)


def test_with_no_van_taken_print_is_the_list_of_complaints(page, course_site, cases) -> None:
    page.goto((course_site / "cases-medium.html").as_uri())
    page.locator("section.qz-case[data-ready]").first.wait_for()
    on_paper = printed(page)
    assert all(cases[id]["complaint"] in on_paper for id in on_page("cases-medium"))
    assert "All tests" not in on_paper and "leg A no answer" not in on_paper


def test_a_waste_is_told_with_what_comes_after_it(taken, page, cases) -> None:
    taken("half-wave")
    _, lost, *_ = followed(cases["half-wave"], ["drive-test"])
    best = cases["half-wave"]["minutes"]
    says = play(page, "half-wave", ["drive-test"], "choke")["says"]
    assert f"your choice takes {words(best + lost[0])} on average, the better one {words(best)}." in says
    assert says.count("Better: Fault memory and charge log read") == 2, "once for the choice, once for the guess"


def test_an_end_without_a_reading_says_what_was_left_and_what_was_better(taken, page) -> None:
    taken("leg-sensor")
    says = play(page, "leg-sensor", ["stop"])["says"]
    assert "Stopped early." in says and "Suspects left: 9 in " in says and "Better: " in says
    assert "You took no reading." in says and "Your decisions cost" not in says


def test_a_drive_that_is_not_safe_names_the_suspects_that_forbid_it(taken, page) -> None:
    taken("star-side-leak")
    says = play(page, "star-side-leak", ["drive-test"])["says"]
    assert "This is a drive, and a suspect that forbids it is still there." in says
    assert "Still possible, and no drive with it: choke leaks to the chassis; star cable leaks to the chassis." in says
    assert "Not safe." in says and kept(page, "star-side-leak")["slips"]["unsafe"] == 1


def test_a_suspect_that_forbids_a_charge_alone_leaves_the_drive_free(taken, page) -> None:
    taken("wet-morning")
    assert "driving: drives normally" in play(page, "wet-morning", ["drive-test"])["says"]
    says = play(page, "wet-morning", ["one-line-charge"])["says"]
    assert "no charge with it: " in says and "no drive with it" not in says


def test_a_charge_that_is_not_safe_names_the_suspects_that_forbid_it(taken, page) -> None:
    taken("wet-morning")
    says = play(page, "wet-morning", ["three-line-charge"])["says"]
    assert "Still possible, and no charge with it: X capacitor on L1 shorted; " in says


@pytest.mark.parametrize(("width", "height"), [(320, 568), (640, 320)])
def test_nothing_that_stays_in_sight_lies_on_what_has_focus(taken, page, width, height) -> None:
    section = taken("star-side-leak", width)
    page.set_viewport_size({"width": width, "height": height})
    section.locator(".qz-trace-all").click()
    section.locator('[data-test="monitor-states"]').click()
    for key in ("Tab", "Shift+Tab"):
        for _ in range(24):
            page.keyboard.press(key)
            page.wait_for_function(FREE)


FREE = """() => {
  const here = document.activeElement.getBoundingClientRect();
  const lies = (on) => on.width && here.top < on.bottom - 1 && on.top < here.bottom - 1
    && here.left < on.right && on.left < here.right;
  const others = [".md-header", ".md-top", "[open] .qz-trace-told"].map((one) => document.querySelector(one));
  return others.every((one) => !one || one.contains(document.activeElement) || !lies(one.getBoundingClientRect()));
}"""


def test_tests_of_a_point_begin_in_the_upper_third(taken, page) -> None:
    section = taken("half-wave")
    section.get_by_role("link", name="9 Contactors, pre-charge: 2 tests").click()
    assert 0 < section.locator("h3").first.bounding_box()["y"] < 800 / 3


@pytest.mark.parametrize(("width", "height", "stays"), [(1280, 900, True), (1280, 700, False), (360, 900, False)])
def test_the_map_stays_beside_the_list_only_where_there_is_room(taken, page, width, height, stays) -> None:
    section = taken("half-wave", width)
    page.set_viewport_size({"width": width, "height": height})
    section.locator(".qz-trace-all").click()
    section.locator('[data-test="star-cable"]').scroll_into_view_if_needed()
    box = section.locator(".qz-case-map").bounding_box()
    assert (0 < box["y"] and box["y"] + box["height"] < height) == stays


def test_other_pages_load_no_script_of_tracing(page, course_site) -> None:
    for name in ("repair", "tracing"):
        page.goto((course_site / f"{name}.html").as_uri())
        assert page.locator('script[src*="trace."]').count() == 0
