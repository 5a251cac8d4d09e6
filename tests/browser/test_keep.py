"""What is remembered on the device: whose it is, what survives, and what a hostile file cannot do."""

import itertools
import json
import re
from pathlib import Path

import pytest

from quizgen.web.bundle import MORE, SCRIPTS
from tests.browser.conftest import FRAGMENTS

FIXTURES = Path(__file__).parent / "fixtures"
PARTS = ("shelf", "result", "keep", "plan_form", "carry")
PREFIX = "quizgen/1/pump/"
NUMBERS = itertools.count(1)


def script(course="pump", was=None):
    data = {
        "id": course,
        "title": "A small pump",
        "version": "0123456789",
        "was": was or {},
        "modules": [],
    }
    parts = "\n".join((FRAGMENTS / f"{name}.js").read_text("utf-8") for name in (*SCRIPTS, *MORE) if name in PARTS)
    both = "const more = { practiceText, readPractice, ownTaken };\nconst HERE = document.currentScript.src;"
    source = f"const COURSE = {json.dumps(data)};\n{both}\n{parts}\nwindow.keep = openKeep();"
    return f'(function () {{ "use strict";\n{source}\n}})();'


class Place:
    """An address of its own where pages with nothing but the keep can be opened."""

    def __init__(self, context, address):
        self.context, self.address = context, address
        self.script = self.before = ""
        self.pages = list(context.pages)
        context.route(f"{address}/**", self.answer)

    def answer(self, route):
        if route.request.url.endswith(".js"):
            route.fulfill(body=self.script, content_type="text/javascript")
        else:
            route.fulfill(
                body=f"<!doctype html><meta charset=utf-8><title>x</title><script>{self.before}</script>"
                '<script src="/assets/quizgen/practice.js"></script>',
                content_type="text/html",
            )

    def open(self, course="pump", was=None, before=""):
        self.script, self.before = script(course, was), before
        page = self.pages.pop() if self.pages else self.context.new_page()
        page.goto(f"{self.address}/flow.html")
        return page


@pytest.fixture(scope="module")
def browser_room(chromium):
    """One context for all: every test has an address of its own, and so a storage of its own."""
    context = chromium.new_context()
    yield context
    context.close()


@pytest.fixture
def place(browser_room):
    made = Place(browser_room, f"http://case-{next(NUMBERS)}.localhost")
    yield made
    for page in browser_room.pages[1:]:
        page.close()


def at(page, time):
    """From now on it is that time in the page."""
    page.evaluate(
        """time => {
          const Real = window.RealDate = window.RealDate || Date;
          window.Date = class extends Real {
            constructor(...parts) { super(...(parts.length ? parts : [time])); }
          };
        }""",
        time,
    )


def right(page, id="fill-the-tank", **more):
    page.evaluate(
        "([id, answer]) => keep.note(id, answer)",
        [id, {"kind": "right", "slip": "", "helped": False, **more}],
    )


def wrong(page, id="fill-the-tank", slip="upside-down"):
    page.evaluate("([id, slip]) => keep.note(id, {kind: 'slip', slip, helped: false})", [id, slip])


def result(page, id="fill-the-tank"):
    return page.evaluate("id => keep.result(id)", id)


def stored(page):
    return page.evaluate("() => ({...localStorage})")


NOTHING = {"tries": 0, "right": 0, "helped": 0, "days": [], "last": "", "lately": [], "slips": {}}


def test_nothing_is_known_at_the_start(place):
    page = place.open()
    assert page.evaluate("[keep.works, keep.perFile, keep.damaged, keep.learner, keep.learners()]") == [
        True,
        False,
        0,
        "",
        [""],
    ]
    assert result(page) == NOTHING
    assert page.evaluate("[keep.typed('x'), keep.where(), keep.isDone('x')]") == [None, None, False]
    assert stored(page) == {}, "looking writes nothing"


def test_judged_answers_are_counted_with_their_slips(place):
    page = place.open()
    wrong(page)
    wrong(page)
    right(page, helped=True)
    found = result(page)
    assert (found["tries"], found["right"], found["helped"], found["last"]) == (3, 1, 1, "right")
    assert found["slips"] == {"upside-down": 2}
    assert found["days"] == []


@pytest.mark.parametrize("slip", ["__proto__", "constructor", "toString"])
def test_a_slip_may_have_any_name(place, slip):
    page = place.open()
    wrong(page, slip=slip)
    wrong(page, slip=slip)
    assert page.evaluate("slip => Object.entries(keep.result('fill-the-tank').slips)", slip) == [[slip, 2]]
    page.reload()
    assert page.evaluate("slip => Object.entries(keep.result('fill-the-tank').slips)", slip) == [[slip, 2]]


def test_a_result_given_out_is_a_copy(place):
    page = place.open()
    right(page)
    page.evaluate("const one = keep.result('fill-the-tank'); one.days.push('2020-01-01'); one.slips.x = one.tries = 9")
    assert result(page)["tries"] == 1 and len(result(page)["days"]) == 1 and result(page)["slips"] == {}


def test_done_is_right_without_help_on_two_different_days(place):
    page = place.open()
    at(page, "2026-03-02T10:00:00")
    right(page)
    right(page)
    assert page.evaluate("keep.isDone('fill-the-tank')") is False
    at(page, "2026-03-03T10:00:00")
    right(page, helped=True)
    assert page.evaluate("keep.isDone('fill-the-tank')") is False
    at(page, "2026-03-09T10:00:00")
    right(page)
    assert page.evaluate("keep.isDone('fill-the-tank')") is True
    assert result(page)["days"] == ["2026-03-02", "2026-03-09"]


def test_the_last_ten_answers_are_kept_with_day_and_sign(place):
    page = place.open()
    at(page, "2026-03-02T10:00:00")
    wrong(page)
    right(page, helped=True)
    right(page)
    page.evaluate("keep.note('fill-the-tank', {kind: 'followed through', helped: false})")
    assert result(page)["lately"] == ["2026-03-02-", "2026-03-02h", "2026-03-02+"], "what only follows is no answer"
    at(page, "2026-03-03T10:00:00")
    for _ in range(9):
        right(page)
    assert result(page)["lately"] == ["2026-03-02+", *["2026-03-03+"] * 9]


def test_a_result_from_before_answers_were_kept_goes_on_from_none(place):
    page = place.open()
    old = '{"tries": 3, "right": 1, "helped": 0, "days": ["2026-03-02"], "last": "right", "slips": {}}'
    page.evaluate("([key, text]) => localStorage.setItem(key, text)", [f"{PREFIX}of//result/fill-the-tank", old])
    assert (result(page)["tries"], result(page)["lately"]) == (3, [])
    at(page, "2026-03-05T10:00:00")
    right(page)
    assert (result(page)["tries"], result(page)["lately"]) == (4, ["2026-03-05+"])


def answers(day, signs):
    return [f"2026-03-{day:02d}{sign}" for sign in signs]


JOINED = {
    # mine, the file's, both
    "nothing here": ([], answers(2, "+-"), answers(2, "+-")),
    "nothing there": (answers(2, "-+"), [], answers(2, "-+")),
    "more here": (answers(2, "-+") + answers(3, "+"), answers(2, "-"), answers(2, "-+") + answers(3, "+")),
    "more there": (answers(2, "-"), answers(2, "-+") + answers(3, "h"), answers(2, "-+") + answers(3, "h")),
    "each has some": (answers(2, "+") + answers(4, "-"), answers(2, "++") + answers(3, "-"),
                      answers(2, "++") + answers(3, "-") + answers(4, "-")),
    "too many": (answers(2, "+" * 5) + answers(3, "+" * 5), answers(2, "-" * 4) + answers(4, "+++"),
                 answers(2, "--") + answers(3, "+" * 5) + answers(4, "+++")),
}  # fmt: skip


@pytest.mark.parametrize("name", JOINED)
def test_answers_of_two_devices_are_joined_and_a_second_time_changes_nothing(place, name):
    mine, other, both = JOINED[name]
    page = place.open()
    key = f"{PREFIX}of//result/fill-the-tank"
    page.evaluate("([key, value]) => localStorage.setItem(key, value)", [key, json.dumps({"lately": mine})])
    text = changed(results={"fill-the-tank": {"tries": 1, "lately": other}})
    for _ in range(3):
        assert take(page, text)["ok"]
        assert result(page)["lately"] == both


def test_what_else_is_kept_of_a_learner_is_theirs_alone(place):
    page = place.open()
    page.evaluate("keep.setOwn('code', 'A-01')")
    assert page.evaluate("keep.own('code', (raw) => raw)") == "A-01"
    page.evaluate("keep.switchTo('Ann')")
    assert page.evaluate("[keep.own('code', (raw) => raw), keep.own('code', (raw) => raw, '')]") == [None, "A-01"]
    page.evaluate("keep.setOwn('code', 'A-02')")
    page.evaluate("keep.clear()")
    assert page.evaluate("keep.own('code', (raw) => raw)") == "A-02", "clearing results leaves the code"
    page.evaluate("keep.rename('Anna')")
    assert page.evaluate("keep.own('code', (raw) => raw)") == "A-02"
    page.evaluate("keep.setOwn('code', null)")
    assert page.evaluate("keep.own('code', (raw) => raw)") is None


def test_days_are_those_of_the_learner_s_clock(chromium):
    """Ten in the evening in Auckland, and ten minutes later the next day is not there yet in Greenwich."""
    context = chromium.new_context(timezone_id="Pacific/Auckland")
    page = Place(context, "http://auckland.localhost").open()
    for time in ("2026-06-10T11:55:00Z", "2026-06-10T12:05:00Z"):
        at(page, time)
        right(page)
    assert result(page)["days"] == ["2026-06-10", "2026-06-11"]
    context.close()


def test_two_courses_at_one_address_never_mix(place):
    one = place.open("pump")
    right(one)
    one.evaluate("keep.switchTo('Ann')")
    other = place.open("pump-basics")
    assert result(other) == NOTHING
    assert other.evaluate("keep.learners()") == [""]
    wrong(other)
    other.evaluate("keep.clear()")
    again = place.open("pump")
    assert again.evaluate("keep.learner") == "Ann"
    assert again.evaluate("keep.switchTo('') + keep.result('fill-the-tank').tries") == "1"


def test_editing_a_question_keeps_its_results_and_unknown_questions_stay(place):
    page = place.open()
    right(page, "not-in-this-course-any-more")
    page = place.open()
    assert result(page, "not-in-this-course-any-more")["right"] == 1


def test_results_follow_a_renamed_question(place):
    page = place.open()
    right(page, "fill-it")
    page.evaluate("keep.saveTyped('fill-it', {variant: 'a1', entries: {0: '12'}})")
    page.evaluate("keep.switchTo('Ann')")
    wrong(page, "fill-it")
    page = place.open(was={"fill-it": "fill-the-tank"})
    assert page.evaluate("keep.learner") == "Ann"
    assert result(page)["slips"] == {"upside-down": 1}
    page.evaluate("keep.switchTo('')")
    assert result(page)["right"] == 1
    assert page.evaluate("keep.typed('fill-the-tank').entries[0]") == "12"
    right(page)
    assert result(page)["right"] == 2
    assert not [key for key in stored(page) if key.endswith("/fill-it")]


def test_old_names_can_be_given_with_the_question_too(place):
    page = place.open()
    right(page, "fill-it")
    assert page.evaluate("keep.result('fill-the-tank', ['fill-up', 'fill-it']).right") == 1
    assert page.evaluate("keep.isDone('fill-the-tank', ['fill-it'])") is False


def test_a_rename_joins_what_stands_under_both_names(place):
    page = place.open()
    at(page, "2026-03-02T10:00:00")
    right(page, "fill-it")
    at(page, "2026-03-03T10:00:00")
    right(page, "fill-the-tank")
    page = place.open(was={"fill-it": "fill-the-tank"})
    assert page.evaluate("keep.isDone('fill-the-tank')") is True


def test_two_learners_on_one_device_are_kept_apart(place):
    page = place.open()
    page.evaluate("keep.switchTo('Ann')")
    right(page)
    page.evaluate("keep.saveTyped('fill-the-tank', {variant: 'a', entries: {0: '7'}})")
    page.evaluate("keep.switchTo('Ben')")
    assert result(page) == NOTHING and page.evaluate("keep.typed('fill-the-tank')") is None
    wrong(page)
    page.reload()
    assert page.evaluate("[keep.learner, keep.learners()]") == ["Ben", ["Ann", "Ben"]]
    page.evaluate("keep.switchTo('Ann')")
    assert (result(page)["right"], page.evaluate("keep.typed('fill-the-tank').entries[0]")) == (1, "7")
    page.evaluate("keep.remove('Ben')")
    assert page.evaluate("[keep.learner, keep.learners()]") == ["Ann", ["Ann"]]
    page.evaluate("keep.remove('Ann')")
    assert page.evaluate("[keep.learner, keep.learners()]") == ["", [""]]
    assert set(stored(page)) <= {f"{PREFIX}now"}


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("  Ann \n Marie  ", "Ann Marie"),
        ("Zoë/../x", "Zoë/../x"),
        ("a" * 100, "a" * 40),
        ("\u202eevil\u200b", "evil"),
        ("😀" * 50, "😀" * 40),
        ("\ud800broken", "broken"),
        ("<b>%41</b>", "<b>%41</b>"),
    ],
)
def test_any_name_can_be_typed(place, typed, kept):
    page = place.open()
    assert page.evaluate(f"keep.switchTo({json.dumps(typed)})") == kept
    right(page)
    page.reload()
    assert page.evaluate("keep.learner") == kept
    assert page.evaluate("keep.learners()") == [kept]
    assert result(page)["right"] == 1


def test_a_name_in_other_capitals_is_the_same_person(place):
    page = place.open()
    page.evaluate("keep.switchTo('Ann')")
    right(page)
    page.evaluate("keep.switchTo('Ben')")
    assert page.evaluate("keep.switchTo('ANN')") == "Ann"
    assert result(page)["right"] == 1


def test_practice_begun_without_a_name_can_be_given_one(place):
    page = place.open()
    right(page)
    page.evaluate("keep.rename('Ann')")
    assert page.evaluate("[keep.learner, keep.learners()]") == ["Ann", ["Ann"]]
    assert result(page)["right"] == 1
    page.evaluate("keep.switchTo('Ben')")
    page.evaluate("keep.rename('ann')")
    assert page.evaluate("keep.learner") == "Ben", "a name that is taken is not taken over"


def test_what_was_typed_is_kept_by_question_and_limited_in_size(place):
    page = place.open()
    entries = {"0": "6,5 A", "1": "x" * 5000}
    typed = {"variant": "a1", "entries": entries, "choice": [1], "order": [2, 0], "hints": 2,
             "checked": {"0": "right"}}  # fmt: skip
    page.evaluate("typed => keep.saveTyped('fill-the-tank', typed)", typed)
    page.reload()
    found = page.evaluate("keep.typed('fill-the-tank')")
    assert found == {**typed, "entries": {"0": "6,5 A", "1": "x" * 200}}
    page.evaluate("keep.saveTyped('power-of-the-pump', {variant: 'a', checked: 'x'.repeat(100000)})")
    assert page.evaluate("keep.typed('power-of-the-pump')") is None
    page.evaluate("keep.saveTyped('fill-the-tank', null)")
    assert page.evaluate("keep.typed('fill-the-tank')") is None
    assert stored(page) == {}


def test_a_circle_in_what_was_typed_stops_nothing(place):
    page = place.open()
    page.evaluate("const ring = {}; ring.ring = ring; keep.saveTyped('a', {variant: 'x', checked: ring})")
    assert page.evaluate("keep.typed('a')") is None


@pytest.mark.parametrize(
    ("where", "is_kept"),
    [
        ({"page": "flow.html", "question": "a-b", "title": "P1"}, True),
        ({"page": "", "question": "a-b", "title": "P1"}, True),
        ({"page": "javascript:alert(1)", "question": "a-b", "title": "P1"}, False),
        ({"page": "https://example.org/", "question": "a-b", "title": "P1"}, False),
        ({"page": "//example.org/", "question": "a-b", "title": "P1"}, False),
        ({"page": "flow.html", "question": "a b", "title": "P1"}, False),
        ({"page": "flow.html", "question": "a-b", "title": 7}, False),
    ],
)
def test_where_one_was_never_leads_out_of_the_site(place, where, is_kept):
    page = place.open()
    page.evaluate("where => keep.setWhere(where)", where)
    assert page.evaluate("keep.where()") == (where if is_kept else None)


# Storage that does not do what it should

REFUSED = """Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("no", "SecurityError"); },
});"""
MISSING = "Object.defineProperty(window, 'localStorage', {value: null});"
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
FORGETS = "Storage.prototype.setItem = () => {};"


@pytest.mark.parametrize("before", [REFUSED, MISSING, FULL, FORGETS], ids=["refused", "missing", "full", "forgets"])
def test_without_storage_everything_works_until_the_page_is_closed(place, before):
    page = place.open(before=before)
    assert page.evaluate("keep.works") is False
    page.evaluate("keep.switchTo('Ann')")
    right(page)
    page.evaluate("keep.saveTyped('fill-the-tank', {variant: 'a', entries: {0: '7'}})")
    page.evaluate("keep.setWhere({page: 'flow.html', question: 'fill-the-tank', title: 'x'})")
    assert result(page)["right"] == 1
    assert page.evaluate("[keep.learner, keep.learners()]") == ["Ann", ["Ann"]]
    assert page.evaluate("keep.typed('fill-the-tank').entries[0]") == "7"
    saved = page.evaluate("keep.exportText()")
    page.evaluate("keep.clear()")
    assert result(page) == NOTHING
    assert page.evaluate("text => keep.importText(text).ok", saved) is True
    assert result(page)["right"] == 1
    page.evaluate("keep.remove('Ann')")
    assert page.evaluate("keep.learners()") == [""]


def test_storage_that_fills_up_is_said_and_used_again_once_there_is_room(place):
    page = place.open()
    right(page)
    page.evaluate("""() => {
      window.heard = [];
      keep.onChange((why) => heard.push([why, keep.works]));
      let fill = 'x'.repeat(1 << 20);
      while (fill) {
        try {
          localStorage.setItem("fill" + Math.random(), fill);
        } catch {
          fill = fill.slice(fill.length / 2 + 1);
        }
      }
    }""")
    right(page, "power-of-the-pump")
    assert page.evaluate("keep.works") is False
    assert page.evaluate("heard") == [["storage", False], ["results", False]]
    assert result(page)["right"] == 1 and result(page, "power-of-the-pump")["right"] == 1
    page.evaluate("Object.keys(localStorage).forEach(key => key.startsWith('fill') && localStorage.removeItem(key))")
    wrong(page)
    assert page.evaluate("keep.works") is True
    page.reload()
    assert result(page)["tries"] == 2 and result(page, "power-of-the-pump")["right"] == 1


DAMAGED = [
    "{",
    "",
    "null",
    "[]",
    '"text"',
    '{"tries": -1}',
    '{"tries": "3"}',
    '{"tries": 1e99}',
    '{"days": ["yesterday"]}',
    '{"days": "2026-01-01"}',
    '{"slips": [1]}',
    '{"slips": {"x": "y"}}',
    '{"last": {}}',
    '{"lately": "2026-03-02+"}',
    '{"lately": ["2026-03-02"]}',
    '{"lately": ["2026-03-02x"]}',
    '{"lately": ["yesterday..+"]}',
    '{"lately": ["2026-03-02+\\n"]}',
    '{"lately": [7]}',
    json.dumps({"lately": ["2026-03-02+"] * 11}),
]


@pytest.mark.parametrize("text", DAMAGED)
def test_a_damaged_result_is_put_aside_and_practice_goes_on(place, text):
    page = place.open()
    key = f"{PREFIX}of//result/fill-the-tank"
    page.evaluate("([key, text]) => localStorage.setItem(key, text)", [key, text])
    assert result(page) == NOTHING
    right(page)
    page.reload()
    assert result(page)["right"] == 1
    assert page.evaluate("keep.damaged") == 1
    assert stored(page)[f"{PREFIX}aside/of//result/fill-the-tank"] == text
    page.evaluate("keep.dropDamaged()")
    assert page.evaluate("keep.damaged") == 0 and result(page)["right"] == 1


def test_a_second_damage_never_covers_the_first(place):
    page = place.open()
    key = f"{PREFIX}of//result/a"
    for text in ("{one", "{two", "{three"):
        page.evaluate("([key, text]) => localStorage.setItem(key, text)", [key, text])
        assert result(page, "a") == NOTHING
    assert sorted(text for key, text in stored(page).items() if "/aside/" in key) == [
        "{one",
        "{three",
        "{two",
    ]
    assert page.evaluate("keep.damaged") == 3


@pytest.mark.parametrize("name", ["now", "of//typed/a", "of//where", "of/%/result/a"])
def test_damage_elsewhere_never_stops_the_page(place, name):
    page = place.open()
    page.evaluate("key => localStorage.setItem(key, '{')", PREFIX + name)
    page.reload()
    assert page.evaluate("[keep.learner, keep.typed('a'), keep.where(), keep.works]") == [
        "",
        None,
        None,
        True,
    ]
    right(page)
    assert "{" in stored(page).values(), "kept, there or aside"


def test_damage_that_cannot_be_put_aside_is_left_where_it_is(place):
    page = place.open()
    key = f"{PREFIX}of//result/a"
    page.evaluate("key => { localStorage.setItem(key, '{'); Storage.prototype.setItem = () => { throw 1; }; }", key)
    right(page, "a")
    assert result(page, "a")["right"] == 1
    assert stored(page)[key] == "{"


# Several tabs


def test_two_tabs_take_nothing_from_each_other(place):
    one, two = place.open(), place.open()
    right(one, "a")
    right(two, "b")
    wrong(one, "a")
    wrong(two, "a")
    assert result(one, "a")["tries"] == 3 and result(two, "b")["right"] == 1
    page = place.open()
    assert (result(page, "a")["tries"], result(page, "b")["right"]) == (3, 1)


def test_a_tab_hears_what_another_one_does(place):
    one, two = place.open(), place.open()
    two.evaluate("window.heard = []; keep.onChange((why) => heard.push(why))")
    right(one)
    two.wait_for_function("heard.includes('results')")
    one.evaluate("keep.switchTo('Ann')")
    two.wait_for_function("heard.includes('learner') && keep.learner === 'Ann'")
    two.evaluate("heard.length = 0")
    one.evaluate("keep.saveTyped('a', {variant: 'x'})")
    right(one)
    two.wait_for_function("heard.length")
    assert two.evaluate("heard") == ["results"], "typing in another tab disturbs nobody"


def test_a_listener_that_breaks_stops_no_other(place):
    page = place.open()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.evaluate("keep.onChange(() => { throw new Error('mine'); }); keep.onChange(() => { window.reached = true; })")
    right(page)
    page.wait_for_function("window.reached")
    page.evaluate("new Promise((done) => setTimeout(done))")
    assert [error for error in errors if "mine" in error]
    assert result(page)["right"] == 1


# Files


def take(page, text, replace=False):
    return page.evaluate("([text, replace]) => keep.importText(text, replace)", [text, replace])


def everything(page):
    return json.loads(page.evaluate("keep.exportText()"))


def test_a_file_carries_practice_to_another_device(place, chromium):
    page = place.open()
    at(page, "2026-03-02T10:00:00")
    page.evaluate("keep.switchTo('Ann')")
    right(page)
    wrong(page, "power-of-the-pump")
    page.evaluate("keep.saveTyped('fill-the-tank', {variant: 'a', entries: {0: '7'}})")
    page.evaluate("keep.setWhere({page: 'flow.html', question: 'fill-the-tank', title: 'P1'})")
    text = page.evaluate("keep.exportText()")
    file = json.loads(text)
    assert (file["file"], file["version"], file["course"], file["saved"]) == (
        "practice",
        1,
        "pump",
        "2026-03-02",
    )
    context = chromium.new_context()
    other = Place(context, "http://other.localhost").open()
    assert take(other, text) == {"ok": True, "says": "Results of 2 questions, saved on 2026-03-02."}
    mine = everything(other)
    assert {name: mine[name] for name in ("results", "typed", "where")} == {
        name: file[name] for name in ("results", "typed", "where")
    }
    context.close()


def test_a_file_of_one_learner_holds_nothing_of_another(place):
    page = place.open()
    page.evaluate("keep.switchTo('Ben')")
    right(page, "of-ben")
    page.evaluate("keep.switchTo('Ann')")
    right(page, "of-ann")
    text = page.evaluate("keep.exportText()")
    assert "of-ann" in text and "Ann" in text
    assert "of-ben" not in text and "Ben" not in text


def test_joining_a_file_twice_changes_nothing_and_loses_nothing(place):
    page = place.open()
    at(page, "2026-03-02T10:00:00")
    right(page)
    wrong(page)
    text = page.evaluate("keep.exportText()")
    at(page, "2026-03-05T10:00:00")
    right(page)
    right(page, "power-of-the-pump")
    before = everything(page)
    assert take(page, text)["ok"] and take(page, text)["ok"]
    assert everything(page)["results"] == before["results"]
    assert result(page)["days"] == ["2026-03-02", "2026-03-05"]


def plan(code="A-07", made="2026-03-01", due="2026-03-20"):
    """A plan as it is kept."""
    return {"file": "assignment", "version": 1, "course": "pump", "group": "autumn", "code": code, "made": made,
            "done": {"right": 8, "of last": 10, "on days": 2}, "items": [{"what": "flow", "due": due}]}  # fmt: skip


def hand(page, code, assignment):
    page.evaluate(
        "([code, plan]) => { keep.setOwn('code', code); keep.setOwn('assignment', plan); }", [code, assignment]
    )


def own(page):
    """Code and plan as they are kept."""
    found = page.evaluate("() => ['code', 'assignment'].map((part) => keep.own(part, (raw) => raw))")
    return found[0], found[1] and (found[1]["code"], found[1]["made"])


def test_a_file_carries_code_and_plan_to_another_device(place, chromium):
    page = place.open()
    right(page)
    hand(page, "A-07", plan())
    text = page.evaluate("keep.exportText()")
    assert (json.loads(text)["code"], json.loads(text)["assignment"]) == ("A-07", plan())
    context = chromium.new_context()
    other = Place(context, "http://second.localhost").open()
    assert "with the plan for A-07" in take(other, text)["says"]
    assert own(other) == ("A-07", ("A-07", "2026-03-01"))
    assert everything(other)["assignment"] == plan()
    context.close()


def test_a_file_without_code_and_plan_takes_none_away(place):
    page = place.open()
    right(page)
    text = page.evaluate("keep.exportText()")
    assert "code" not in json.loads(text) and "assignment" not in json.loads(text)
    hand(page, "A-07", plan())
    for replace in (False, True):
        assert take(page, text, replace)["ok"]
        assert own(page) == ("A-07", ("A-07", "2026-03-01"))


@pytest.mark.parametrize(
    ("here", "replace", "left"),
    [
        (("A-07", "2026-02-01"), False, ("A-07", "2026-03-01")),
        (("A-07", "2026-04-01"), False, ("A-07", "2026-04-01")),
        (("A-07", "2026-04-01"), True, ("A-07", "2026-03-01")),
        (("B-01", "2026-02-01"), False, ("B-01", "2026-02-01")),
        (("B-01", "2026-02-01"), True, ("A-07", "2026-03-01")),
    ],
)
def test_the_newer_plan_of_a_code_stays_and_no_other_codes_plan_is_lost_by_joining(place, here, replace, left):
    page = place.open()
    hand(page, "A-07", plan())
    right(page)
    text = page.evaluate("keep.exportText()")
    hand(page, here[0], plan(*here))
    take(page, text, replace)
    assert own(page) == (left[0], left)


def test_a_damaged_plan_here_does_not_spoil_the_file(place):
    page = place.open()
    right(page)
    hand(page, "A-07", {"course": "pump", "items": "many"})
    text = page.evaluate("keep.exportText()")
    assert json.loads(text)["code"] == "A-07" and "assignment" not in json.loads(text)
    assert take(page, text)["ok"]


def test_a_file_can_take_the_place_of_everything(place):
    page = place.open()
    right(page)
    text = page.evaluate("keep.exportText()")
    wrong(page)
    right(page, "power-of-the-pump")
    take(page, text, replace=True)
    assert (result(page)["tries"], result(page, "power-of-the-pump")) == (1, NOTHING)


@pytest.mark.parametrize("path", sorted(FIXTURES.glob("practice-*.json")), ids=lambda path: path.stem)
def test_files_of_every_version_are_read(place, path):
    page = place.open(was={"fill-it": "fill-the-tank"})
    assert take(page, path.read_text(encoding="utf-8"))["ok"]
    found = result(page)
    assert (found["tries"], found["right"], found["helped"], found["last"]) == (5, 3, 1, "right")
    assert found["days"] == ["2026-02-27", "2026-03-02"]
    assert found["slips"] == {"upside-down": 1, "power of ten": 1}
    assert page.evaluate("keep.isDone('fill-the-tank')") is True
    assert result(page, "gone-from-the-course")["tries"] == 2
    assert page.evaluate("keep.typed('power-of-the-pump').entries") == {"0": "1 250 W"}
    assert page.evaluate("keep.where().page") == "flow.html"


def test_there_is_a_file_of_the_version_that_is_written(place):
    version = everything(place.open())["version"]
    assert (FIXTURES / f"practice-{version}.json").is_file()


def test_a_file_s_results_follow_a_rename(place):
    page = place.open()
    right(page, "fill-it")
    text = page.evaluate("keep.exportText()")
    page = place.open(was={"fill-it": "fill-the-tank"})
    page.evaluate("keep.switchTo('Ann')")
    take(page, text)
    assert result(page)["right"] == 1


def test_a_mark_at_the_start_of_a_file_is_read_over(place):
    page = place.open()
    right(page)
    text = page.evaluate("keep.exportText()")
    assert take(page, "\ufeff" + text)["ok"]


def changed(**more):
    file = json.loads((FIXTURES / "practice-1.json").read_text(encoding="utf-8"))
    return json.dumps({**file, **more})


HOSTILE = {
    "empty": (" \n ", "This is empty."),
    "cut off": (changed()[:-40], "a part of it is missing"),
    "a page": ("<!doctype html><p>hello", "no saved practice"),
    "a list": ("[1, 2]", "no saved practice"),
    "nothing": ("null", "no saved practice"),
    "another program's": ('{"version": 1, "results": {}}', "no saved practice"),
    "no version": (changed(version=None), "no saved practice"),
    "version zero": (changed(version=0), "no saved practice"),
    "newer": (changed(version=2), "newer edition"),
    "another course": (changed(course="baking", title="<b>Bread"), "belongs to another course “<b>Bread”"),
    "results as a list": (changed(results=[1]), "damaged"),
    "a learner that is no text": (changed(learner={"x": 1}), "damaged"),
    "an id with a path": (changed(results={"../../now": {"tries": 1}}), "damaged at “../../now”"),
    "an id with markup": (changed(results={"<img src=x onerror=alert(1)>": {}}), "damaged at “<img"),
    "a wrong count": (changed(results={"good": {"tries": 1}, "bad": {"tries": -1}}), "damaged at “bad”"),
    "a wrong day": (changed(results={"bad": {"days": ["2026-13-99x"]}}), "damaged at “bad”"),
    "too many days": (changed(results={"bad": {"days": ["2026-01-01"] * 500}}), "damaged at “bad”"),
    "typed text of the wrong kind": (changed(typed={"bad": {"entries": {"0": 7}}}), "damaged at “bad”"),
    "typed text without end": (changed(typed={"bad": {"checked": "x" * 20000}}), "damaged at “bad”"),
    "a code with a name in it": (changed(code="Ann Other"), "damaged at “code”"),
    "a plan of another course": (changed(assignment={**plan(), "course": "baking"}), "damaged at “assignment”"),
    "a plan with markup": (changed(assignment={**plan(), "group": "<b>"}), "damaged at “assignment”"),
    "a plan without end": (changed(assignment={**plan(), "items": plan()["items"] * 999}), "damaged at “assignment”"),
    "a way out": (changed(where={"page": "javascript:alert(1)", "question": "a"}), "damaged at “where”"),
    "a deep nest": ('{"file": "practice", "version": 1, "x": ' + "[" * 50000 + "]" * 50000 + "}", "another"),
    "too large": (changed(title="x" * 1_100_000), "too large"),
    "a name for every object": (
        changed().replace('"results": {', '"results": {"__proto__": {}, ', 1), "damaged at “__proto__”"),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_with_a_sentence_and_nothing_is_taken(place, name):
    text, why = HOSTILE[name]
    page = place.open()
    right(page)
    before = stored(page)
    answer = take(page, text, replace=True)
    assert answer["ok"] is False
    assert why in answer["says"] and answer["says"].endswith("Nothing was loaded.")
    assert stored(page) == before
    assert page.evaluate("({}).tries") is None


def test_a_refusal_is_short_whatever_stands_in_the_file(place):
    page = place.open()
    says = take(page, changed(results={"x" * 5000 + "\u202e\n": {}}))["says"]
    assert len(says) < 200 and not re.search("[\u202e\n]", says)


def test_no_secure_context_is_needed(place):
    """P20: on plain http in a shop there is no crypto; nothing of this asks for any."""
    page = place.open(
        before="Object.defineProperty(window, 'crypto', {get() { throw new Error('asked for crypto'); }});"
    )
    right(page)
    assert take(page, page.evaluate("keep.exportText()"))["ok"]
