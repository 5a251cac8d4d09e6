"""Choosing one or several options, and choosing what a table or a law says, by keyboard and by touch."""

import pytest

from tests.browser.workbench import compiled, givens, heard, press, question, result, says

ONE, SEVERAL, LAMP = "what-warms-up", "what-carries-current", "which-lamp"
RIGHT, WRONG, OTHER = "A loose contact", "The voltage of the socket", "The length of the cord"


def choose(page, id, name):
    question(page, id).get_by_label(name, exact=True).check()


def test_the_chosen_reason_comes_first_and_the_others_on_request(bench):
    choose(bench, ONE, RIGHT)
    press(bench, ONE, "Check")
    assert says(bench, ONE).startswith("Right. Yes. Its resistance turns current into heat.")
    assert len(heard(bench)) == 1
    others = question(bench, ONE).locator(".qz-others")
    assert not others.is_visible()
    press(bench, ONE, "Why not the others?")
    assert others.locator("li").all_inner_texts() == [
        f"{name} is not right. {option['says']}"
        for name in question(bench, ONE).locator(".qz-option").all_inner_texts()
        for option in compiled(ONE)["options"]
        if option["option"] == name != RIGHT
    ]
    assert result(bench, ONE)["days"] != [], "looking at the others after a right answer is no help"
    press(bench, ONE, "Why not the others?")
    assert not others.is_visible()


def test_the_first_error_tells_its_own_reason_and_not_the_key(bench):
    choose(bench, ONE, WRONG)
    press(bench, ONE, "Check")
    assert says(bench, ONE) == (
        "Not yet. Voltage alone makes no heat. A current has to flow through a resistance. Choose again."
    )
    why = question(bench, ONE).get_by_role("button", name="Why not the others?")
    assert not why.is_visible()
    choose(bench, ONE, OTHER)
    press(bench, ONE, "Check")
    assert "The reasons of all options are there for you below." in says(bench, ONE)
    why.click()
    assert f"{RIGHT} is right." in question(bench, ONE).locator(".qz-others").inner_text()
    choose(bench, ONE, RIGHT)
    press(bench, ONE, "Check")
    assert "It took more than one try, so it does not count towards done." in says(bench, ONE)
    assert result(bench, ONE)["days"] == []


def test_starting_again_today_does_not_wash_off_a_wrong_choice(bench):
    choose(bench, ONE, WRONG)
    press(bench, ONE, "Check")
    press(bench, ONE, "Start again")
    assert question(bench, ONE).locator("input:checked").count() == 0
    assert says(bench, ONE) == "From the start."
    choose(bench, ONE, RIGHT)
    press(bench, ONE, "Check")
    assert "does not count towards done" in says(bench, ONE)


def test_nothing_chosen_costs_nothing(bench):
    press(bench, ONE, "Check")
    assert says(bench, ONE) == "Nothing there yet. Choose one, then check. This costs nothing."
    assert result(bench, ONE) is None


def test_a_choice_is_made_checked_and_changed_by_keyboard_alone(bench):
    question(bench, ONE).locator("input").first.focus()
    bench.keyboard.press("Space")
    names = question(bench, ONE).locator(".qz-option").all_inner_texts()
    for name in names:
        assert question(bench, ONE).locator(".qz-option:has(:checked)").inner_text() == name
        bench.keyboard.press("Enter")
        bench.wait_for_function("id => document.querySelector(`#${id} .qz-lead`)", arg=f"q-{ONE}")
        assert says(bench, ONE).startswith("Right." if name == RIGHT else "Not yet.")
        bench.keyboard.press("ArrowDown")
        assert question(bench, ONE).locator("input:focus").count() == 1


def test_letters_on_an_option_do_not_leave_the_page(bench):
    """The theme takes single letters for search and for the next page."""
    address = bench.url
    question(bench, ONE).locator("input").first.focus()
    for key in "sfnp/.,":
        bench.keyboard.press(key)
    assert question(bench, ONE).locator("input:focus").count() == 1
    assert bench.url == address


def test_of_several_right_ones_a_missing_one_is_not_told(bench):
    choose(bench, SEVERAL, "Line")
    press(bench, SEVERAL, "Check")
    assert says(bench, SEVERAL) == (
        "Not yet. All that you chose is right, but something is missing. Read the others again."
    )
    choose(bench, SEVERAL, "Protective earth")
    press(bench, SEVERAL, "Check")
    assert "Protective earth: Nothing flows there while nothing is broken." in says(bench, SEVERAL)
    assert "The current comes in" not in says(bench, SEVERAL)


def test_all_right_ones_together_are_right(bench):
    choose(bench, SEVERAL, "Line")
    choose(bench, SEVERAL, "Neutral")
    press(bench, SEVERAL, "Check")
    words = says(bench, SEVERAL)
    assert words.startswith("Right.")
    assert "Line: Yes. The current comes in through the line." in words
    assert "Neutral: Yes. The current goes back through the neutral." in words


def test_a_word_or_a_number_is_looked_up_among_the_options(bench):
    answer = compiled(LAMP)["variants"][0]["answers"][0]
    shown = answer["shown"] + ("" if "word" in answer else "\u00a0A")
    choose(bench, LAMP, shown)
    press(bench, LAMP, "Check")
    assert says(bench, LAMP).startswith("Right.")
    press(bench, LAMP, "New numbers")
    assert question(bench, LAMP).locator(".qz-given span").inner_text() == givens(LAMP, 1)[0]
    assert question(bench, LAMP).locator("input:checked").count() == 0
    assert question(bench, LAMP).locator("input:focus").count() == 1


def test_hints_of_a_choice_rule_out_one_wrong_option_after_the_other(bench):
    press(bench, ONE, "Show a step")
    first = question(bench, ONE).locator(".qz-shown").inner_text()
    assert "is wrong." in first
    assert RIGHT not in first


@pytest.fixture
def phone(chromium, workbench_site, refused):
    """A phone that is touched, 320 px wide."""
    context = chromium.new_context(viewport={"width": 320, "height": 640}, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.goto(f"{workbench_site.as_uri()}/index.html")
    yield page
    context.close()


def test_a_phone_is_enough(phone):
    question(phone, ONE).locator(".qz-option", has_text=RIGHT).tap()
    question(phone, ONE).get_by_role("button", name="Check").tap()
    assert says(phone, ONE).startswith("Right.")
    order = question(phone, "order-of-work")
    before = order.locator(".qz-move").all_inner_texts()
    order.locator(".qz-down").first.tap()
    assert order.locator(".qz-move").all_inner_texts() == [before[1], before[0], *before[2:]]
    assert phone.evaluate("document.documentElement.scrollWidth") == 320
