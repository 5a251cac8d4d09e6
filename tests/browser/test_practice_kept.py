"""Nothing typed, chosen, moved or shown is lost by a reload, a link or Back; nothing stored breaks a page."""

import json

from tests.browser.workbench import (
    answers,
    boxes,
    compiled,
    givens,
    number,
    press,
    question,
    says,
    settled,
    type_in,
)

ONE, TWO, CHOICE, ORDER = "heater-current", "heater-and-hours", "what-warms-up", "order-of-work"


def at_work(page):
    """Something in every kind of question."""
    press(page, ONE, "New numbers")
    type_in(page, ONE, "12,5 A", enter=False)
    type_in(page, TWO, number(answers(TWO)[0]))
    type_in(page, TWO, "77", step=1)
    press(page, TWO, "Show a step")
    question(page, CHOICE).get_by_label("The length of the cord").check()
    press(page, CHOICE, "Check")
    question(page, ORDER).locator(".qz-down").first.click()
    for id in (TWO, CHOICE):
        says(page, id)


def seen(page):
    """What a learner sees of their work."""
    return {
        "typed": [box.input_value() for box in page.locator(".qz-entry input").all()],
        "read": page.locator(".qz-read").all_inner_texts(),
        "says": page.locator(".qz-says").all_inner_texts(),
        "numbers": page.locator(".qz-given").all_inner_texts(),
        "sets": page.locator(".qz-set").all_inner_texts(),
        "lines": page.locator(".qz-lines").all_inner_texts(),
        "chosen": page.locator("input:checked").count(),
        "order": page.locator(".qz-move").all_inner_texts(),
        "invalid": page.locator("[aria-invalid=true]").count(),
    }


def test_every_live_region_is_there_and_empty_at_first(bench):
    regions = bench.locator(".qz [role=status], .qz [role=log]")
    assert regions.count() >= 10
    assert set(regions.evaluate_all("all => all.map((one) => one.textContent)")) == {""}
    assert set(bench.locator(".qz-says").evaluate_all("all => all.map((one) => one.getAttribute('aria-live'))")) == {
        "polite"
    }


def test_reload_brings_everything_back_and_says_nothing(bench):
    at_work(bench)
    before = seen(bench)
    assert before["chosen"] == 1 and before["invalid"] == 1 and "77" in before["typed"]
    bench.reload()
    settled(bench)
    assert seen(bench) == before
    assert bench.evaluate("window.heard") == []


def test_a_link_within_the_page_leaves_everything_where_it_is(bench):
    at_work(bench)
    before = seen(bench)
    bench.get_by_role("link", name="To the last question").click()
    assert bench.url.endswith("#q-order-of-work")
    assert seen(bench) == before


def test_back_from_another_page_brings_everything_back(bench):
    at_work(bench)
    before = seen(bench)
    bench.goto(bench.url.replace("index.html", "reference/formulas.html"))
    bench.go_back()
    bench.locator(".qz-check").first.wait_for()
    settled(bench)
    assert seen(bench) == before


def test_an_error_made_before_a_reload_still_counts(bench):
    type_in(bench, ONE, "1")
    says(bench, ONE)
    bench.reload()
    type_in(bench, ONE, "2")
    assert "The whole solution is there for you below." in says(bench, ONE)


def test_each_learner_finds_their_own_work(bench):
    type_in(bench, ONE, "12", enter=False)
    bench.get_by_role("button", name="Whose practice is this?").click()
    bench.get_by_label("New name").fill("Somebody else")
    bench.get_by_role("button", name="Begin").click()
    assert boxes(bench, ONE).input_value() == ""
    press(bench, ONE, "New numbers")
    bench.get_by_role("button", name="somebody without a name", exact=True).click()
    assert boxes(bench, ONE).input_value() == "12"
    assert question(bench, ONE).locator(".qz-given span").all_inner_texts() == givens(ONE)


def test_clearing_the_results_clears_the_boxes(bench):
    type_in(bench, ONE, "12", enter=False)
    bench.get_by_role("button", name="Whose practice is this?").click()
    bench.locator(".qz-panel").get_by_role("button", name="Clear", exact=True).click()
    bench.get_by_role("button", name="Clear them").click()
    assert boxes(bench, ONE).input_value() == ""


def stored(page, id, value):
    page.evaluate(
        "([id, text]) => localStorage.setItem(`quizgen/1/workbench/of//typed/${id}`, text)",
        [id, json.dumps(value)],
    )


def typed(id, **more):
    return {
        "variant": (compiled(id).get("variants") or [{"name": ""}])[0]["name"],
        "entries": {}, "choice": [], "order": [], "hints": 0, "checked": None,
    } | more  # fmt: skip


DAMAGED = (
    17,
    [],
    {},
    {"day": "2030-01-01"},
    {"day": "2030-01-01", "judged": [1], "kinds": [None], "errors": ["x"], "lines": [-1]},
    {"day": "2030-01-01", "judged": ["1"] * 9, "kinds": ["right"] * 9, "errors": [0] * 9, "lines": [0] * 9},
    {"day": "<b>", "judged": ["12"], "kinds": ["wrong"], "errors": [0], "lines": [10**6], "done": "yes"},
)


def test_a_stored_account_that_is_not_what_it_should_be_is_left_out(bench):
    for checked in DAMAGED:
        stored(bench, ONE, typed(ONE, entries={"0": "12"}, checked=checked))
        bench.reload()
        assert boxes(bench, ONE).input_value() == "12"
        assert question(bench, ONE).locator(".qz-says").inner_text() == ""
        type_in(bench, ONE, number(answers(ONE)[0]))
        assert says(bench, ONE).startswith("Right.")


def test_texts_of_a_set_that_is_no_more_are_not_shown_with_other_numbers(bench):
    stored(bench, ONE, typed(ONE, variant="00000000", entries={"0": "12"}))
    bench.reload()
    assert boxes(bench, ONE).input_value() == ""
    assert question(bench, ONE).locator(".qz-set").inner_text().startswith("Set 1 ")


def test_a_stored_order_that_is_none_is_left_out(bench):
    found = question(bench, ORDER).locator(".qz-move").all_inner_texts()
    for order in ([0, 0, 1, 2, 3], [0, 1], [9, 8, 7, 6, 5]):
        stored(bench, ORDER, typed(ORDER, order=order))
        bench.reload()
        assert question(bench, ORDER).locator(".qz-move").all_inner_texts() == found
