"""A number is typed, checked and judged in words that say what to do next."""

import re

from tests.browser.workbench import (
    answers,
    boxes,
    compiled,
    givens,
    heard,
    number,
    press,
    question,
    result,
    says,
    type_in,
)

ONE, TWO, UNIT = "heater-current", "heater-and-hours", "name-the-unit"


def wrong_by(shown, factor):
    """The answer times a factor, as text that reads one way only."""
    return f"{float(number(shown)) * factor:.4f}"


ECHOES = (
    ("16.2", "= 16.2 A"),
    ("16,20", "= 16.20 A"),
    ("16200 mA", "= 16.2 A"),
    ("0.0162kA", "= 16.2 A"),
    ("1.62e1", "= 16.2 A"),
    ("\u22125", "= −5 A"),
    ("5 V", "= 5 V, another kind of unit"),
    ("12500", "= 12 500 A"),
    ("1e12", "= 1·10^12 A"),
    ("1.234", "reads two ways"),
    ("5 furl", "no known unit yet"),
    ("-", "no number yet"),
    ("", ""),
)


def test_the_echo_beside_the_box_says_what_was_read(bench):
    read = question(bench, ONE).locator(".qz-read")
    for typed, echo in ECHOES:
        type_in(bench, ONE, typed, enter=False)
        assert read.inner_text().replace("\u00a0", " ").replace("\u202f", " ").strip() == echo
        assert boxes(bench, ONE).get_attribute("aria-invalid") is None
    assert question(bench, ONE).locator(".qz-says").inner_text() == ""


def test_where_the_unit_is_asked_the_echo_does_not_tell_it(bench):
    type_in(bench, UNIT, "500", enter=False)
    assert question(bench, UNIT).locator(".qz-read").inner_text() == "= 500, no unit yet"
    type_in(bench, UNIT, "0.5 kV", enter=False)
    assert "W" not in question(bench, UNIT).locator(".qz-read").inner_text()


def test_a_right_answer_is_praised_with_its_value_and_says_what_next(bench):
    shown = answers(ONE)[0]
    type_in(bench, ONE, number(shown))
    words = says(bench, ONE)
    assert words.startswith(f"Right. Ih = {shown}.".replace("\u00a0", " "))
    assert "Come back another day: a question is done when it is right without help on two different days." in words
    assert "Or again with new numbers." in words
    link = question(bench, ONE).get_by_role("link", name="Question 2")
    assert link.get_attribute("href") == f"#q-{TWO}"
    assert boxes(bench, ONE).evaluate("box => box === document.activeElement")
    assert result(bench, ONE)["days"] != []


def test_enter_checks_its_own_step_and_stays_there(bench):
    type_in(bench, TWO, number(answers(TWO)[0]))
    assert says(bench, TWO).startswith("Step 1. Right.")
    assert question(bench, TWO).locator(".qz-says").nth(1).inner_text() == ""
    assert boxes(bench, TWO).nth(0).evaluate("box => box === document.activeElement")
    assert "Next:" not in says(bench, TWO)
    assert result(bench, TWO) is None


def test_the_button_checks_all_that_is_typed_and_says_one_thing(bench):
    first, second = map(number, answers(TWO))
    type_in(bench, TWO, first, enter=False)
    type_in(bench, TWO, second, step=1, enter=False)
    press(bench, TWO, "Check")
    assert says(bench, TWO, 0).startswith("Step 1. Right.")
    assert "Next: Question 3" in says(bench, TWO, 1)
    assert len(heard(bench)) == 1


def test_each_check_is_said_once_and_the_same_words_are_said_again(bench):
    type_in(bench, ONE, "abc")
    first = heard(bench)
    bench.keyboard.press("Enter")
    assert heard(bench) == first
    assert len(first) == 1


FREE = (
    ("", "Nothing there yet."),
    ("abc", "Not read. This does not read as a number."),
    ("1/2", "Not read. Type a decimal number, not a fraction"),
    ("1,234", "Reads two ways. 1,234 can be read two ways. Type 1234 for the large number"),
    ("16 kg", "Another unit. kg measures something else. Here A is wanted, or a unit that turns into it."),
    ("16 furlong", "Not read. “furlong” is no unit known here."),
)


def test_what_cannot_be_judged_costs_nothing_and_says_so(bench):
    box = boxes(bench, ONE)
    for typed, words in FREE:
        type_in(bench, ONE, typed)
        bench.get_by_text(words).wait_for()
        assert says(bench, ONE).endswith("This costs nothing.")
        assert result(bench, ONE) is None
        assert box.get_attribute("aria-invalid") == "true"
        described = box.get_attribute("aria-describedby").split()[0]
        assert bench.locator(f"#{described}").inner_text().startswith(words.split(".")[0])
        bench.keyboard.type("7")
        assert box.get_attribute("aria-invalid") is None


def test_too_few_figures_cost_nothing(bench):
    at = next(
        n
        for n, v in enumerate(compiled(ONE)["variants"])
        if "." in v["answers"][0]["shown"] and v["answers"][0]["shown"][-1] not in "05"
    )
    for _ in range(at):
        press(bench, ONE, "New numbers")
    type_in(bench, ONE, f"{float(number(answers(ONE, at)[0])):.2g}")
    assert says(bench, ONE) == "Rounded too far. It fits as far as it goes. Give 3 figures. This costs nothing."
    assert result(bench, ONE) is None


def test_a_missing_unit_costs_nothing_and_the_unit_is_part_of_the_right_answer(bench):
    shown = answers(UNIT)[0]
    type_in(bench, UNIT, number(shown))
    assert says(bench, UNIT).startswith("Unit missing.")
    assert says(bench, UNIT).endswith("This costs nothing.")
    type_in(bench, UNIT, f"{float(number(shown)) / 1000} kW")
    assert says(bench, UNIT).startswith("Right.")


def test_a_named_slip_speaks_and_points_at_its_step(bench):
    volts, watts = (float(number(text)) for text in reversed(givens(TWO)[:2]))
    type_in(bench, TWO, f"{watts / volts:.4g}")
    type_in(bench, TWO, f"{volts / watts:.4g}")
    assert says(bench, TWO) == ("Step 1. Not yet. You divided voltage by power. A stronger heater draws more current.")
    assert result(bench, TWO)["slips"] == {"upside-down": 1}


def test_a_general_slip_speaks(bench):
    type_in(bench, ONE, wrong_by(answers(ONE)[0], 1000))
    assert says(bench, ONE).startswith("Not yet. Your figures are right, but the number is 1000 times too large.")


SIZES = (
    (1.03, "is close, but further off than rounding explains"),
    (1.4, "is too large, though its size is about right"),
    (0.7, "is too small, though its size is about right"),
    (3.3, "is too large: more than twice what it should be"),
    (0.3, "is too small: less than half of what it should be"),
    (-1.3, "lies outside anything to be expected here: 0.1 A to 100 A"),
    (300, "lies outside anything to be expected here: 0.1 A to 100 A"),
)


def test_a_wrong_number_is_set_beside_the_size_to_be_expected(bench):
    shown = answers(ONE)[0]
    for factor, words in SIZES:
        type_in(bench, ONE, wrong_by(shown, factor))
        bench.get_by_text(words).wait_for()
        assert number(shown) not in question(bench, ONE).inner_text()


def test_a_wrong_look_up_points_at_the_table_and_not_at_rounding(bench):
    type_in(bench, "which-fuse", wrong_by(answers("which-fuse")[0], 1.2))
    assert "is not what the table gives here. Check its title and your row." in says(bench, "which-fuse")


def test_the_solution_is_offered_after_the_second_counted_error_only(bench):
    shown = answers(ONE)[0]
    whole = question(bench, ONE).get_by_role("button", name="Show the solution")
    type_in(bench, ONE, "abc")
    type_in(bench, ONE, wrong_by(shown, 1.4))
    bench.keyboard.press("Enter")
    assert not whole.is_visible(), "the same text twice is one error"
    type_in(bench, ONE, wrong_by(shown, 3.3))
    assert "The whole solution is there for you below." in says(bench, ONE)
    whole.click()
    lines = question(bench, ONE).locator(".qz-lines").inner_text()
    watts, volts = givens(ONE)
    assert f"Ih\u00a0= {watts}\u00a0/ {volts}" in lines.replace("= ", "= ").replace(" =", "\u00a0=")
    assert shown in lines
    type_in(bench, ONE, number(shown))
    assert "It took help, so it does not count towards done." in says(bench, ONE)
    kept = result(bench, ONE)
    assert [one[-1] for one in kept.pop("lately")] == ["-", "-", "h"]
    assert kept | {"slips": {}} == {
        "tries": 3, "right": 1, "helped": 1, "days": [], "last": "right", "slips": {},
    }  # fmt: skip


def test_an_earlier_wrong_value_is_followed_through_and_named(bench):
    first, second = (float(number(text)) for text in answers(TWO))
    type_in(bench, TWO, f"{first * 1.2:.4f}", enter=False)
    type_in(bench, TWO, f"{second * 1.2:.4f}", step=1, enter=False)
    press(bench, TWO, "Check")
    assert says(bench, TWO, 1) == (
        f"Step 2. Right with what you carried over. Right for the {first * 1.2:.4g} A you carried over "
        "from step 1; step 1 itself is still wrong. Put step 1 right, then this one."
    )
    assert boxes(bench, TWO).nth(1).get_attribute("aria-invalid") is None
    type_in(bench, TWO, number(answers(TWO)[0]))
    assert question(bench, TWO).locator(".qz-says").nth(1).inner_text() == "", "it spoke of a value that is gone"


def test_one_more_line_of_the_solution_at_a_time(bench):
    lines = question(bench, TWO).locator(".qz-shown")
    texts = []
    for count in range(1, 9):
        press(bench, TWO, "Show a step")
        assert lines.count() == count
        texts.append(" ".join(lines.nth(count - 1).inner_text().split()))
    watts, volts, hours = (text.replace("\u00a0", " ") for text in givens(TWO))
    current, energy = (text.replace("\u00a0", " ") for text in answers(TWO))
    assert texts[0] == "Wanted: heater current Ih, in A. Use: Power of a heater."
    assert texts[1].endswith("I_h = P / U")
    assert texts[2] == f"Ih = {watts} / {volts}"
    assert texts[3].startswith(f"Ih = {current}")
    assert texts[6] == f"E = {volts} · {current} · {hours}"
    assert texts[7].startswith(f"E = {energy}")
    assert lines.nth(1).locator("math mfrac").count() == 1
    hint = question(bench, TWO).get_by_role("button", name="Show a step")
    assert hint.get_attribute("aria-disabled") == "true"
    hint.click(force=True)
    assert lines.count() == 8


def test_a_shown_step_goes_to_the_first_step_that_is_not_right_and_marks_help(bench):
    type_in(bench, TWO, number(answers(TWO)[0]))
    heard(bench)
    press(bench, TWO, "Show a step")
    assert heard(bench) != []
    assert "Step 2" in question(bench, TWO).locator(".qz-lines").inner_text()
    assert "Step 1" not in question(bench, TWO).locator(".qz-lines").inner_text()
    type_in(bench, TWO, number(answers(TWO)[1]), step=1)
    assert "does not count towards done" in says(bench, TWO, 1)
    assert result(bench, TWO)["days"] == []


def test_new_numbers_come_in_a_fixed_order_and_wrap_around(bench):
    count = len(compiled(ONE)["variants"])
    type_in(bench, ONE, "12")
    heard(bench)
    for at in [*range(1, count), 0]:
        press(bench, ONE, "New numbers")
        shown = question(bench, ONE).locator(".qz-given span").all_inner_texts()
        assert shown == givens(ONE, at)
        assert question(bench, ONE).locator(".qz-set").inner_text() == f"Set {at + 1} of {count}"
    assert says(bench, ONE) == f"New numbers: set 1 of {count}."
    assert boxes(bench, ONE).input_value() == ""
    assert boxes(bench, ONE).evaluate("box => box === document.activeElement")


def test_new_numbers_take_back_help_and_hints(bench):
    press(bench, ONE, "Show a step")
    press(bench, ONE, "New numbers")
    assert question(bench, ONE).locator(".qz-shown").count() == 0
    type_in(bench, ONE, number(answers(ONE, 1)[0]))
    assert len(result(bench, ONE)["days"]) == 1


def test_done_on_the_second_day(page, workbench_site):
    page.clock.install(time="2030-03-04T10:00:00")
    page.goto(f"{workbench_site.as_uri()}/index.html")
    type_in(page, ONE, number(answers(ONE)[0]))
    assert "Come back another day" in says(page, ONE)
    page.clock.set_fixed_time("2030-03-05T10:00:00")
    page.reload()
    assert question(page, ONE).locator(".qz-set").inner_text().startswith("Set 2 "), "a new day brings the next numbers"
    assert boxes(page, ONE).input_value() == ""
    type_in(page, ONE, number(answers(ONE, 1)[0]))
    page.clock.run_for(100)
    assert "This question is done: right without help on two different days." in says(page, ONE)
    assert result(page, ONE)["days"] == ["2030-03-04", "2030-03-05"]


def test_the_last_question_says_that_it_is_the_last(bench):
    press(bench, "order-of-work", "Show a step")
    for _ in range(4):
        press(bench, "order-of-work", "Show a step")
    assert question(bench, "order-of-work").locator(".qz-shown").count() == 5


def test_the_report_names_the_place_and_what_was_typed(bench):
    bench.goto(bench.url + "?secret=1")
    type_in(bench, ONE, "12,5", enter=False)
    press(bench, ONE, "Something wrong here?")
    box = question(bench, ONE).get_by_role("textbox", name="Add what looks wrong to you")
    text = box.input_value()
    assert re.search(r"^Course: workbench, version [0-9a-f]{10}$", text, re.M)
    assert "Question: heater-current\n" in text
    assert f"Numbers: {compiled(ONE)['variants'][0]['name']}\n" in text
    assert "12,5" in text
    assert "Page: index.html\n" in text, "neither query nor the folders of this computer"
    assert "secret" not in text
    assert box.evaluate("box => box === document.activeElement")
    press(bench, ONE, "Copy")
    told = question(bench, ONE).locator(".qz-told")
    told.filter(has_text=re.compile("Copied|Selected")).wait_for()
    press(bench, ONE, "Something wrong here?")
    assert not box.is_visible()
