"""Steps are put in order with buttons; the verdict names the first wrong neighbour in the author's words."""

from tests.browser.workbench import compiled, heard, press, question, result, says

ID = "order-of-work"
OFF, PULL, COOL, SPARE, LID = (
    "Switch off",
    "Pull the plug",
    "Let it cool",
    "Fetch the spare heater",
    "Unscrew the lid",
)


def shown(page):
    return question(page, ID).locator(".qz-move").all_inner_texts()


def button(page, way, step):
    return question(page, ID).get_by_role("button", name=f"{way}: {step}", exact=True)


def arrange(page, wanted):
    """Brings the steps into an order, each to its place from the top."""
    for place, step in enumerate(wanted):
        while shown(page).index(step) > place:
            button(page, "up", step).click()


def test_both_ways_round_are_accepted(bench):
    arrange(bench, [OFF, PULL, SPARE, COOL, LID])
    press(bench, ID, "Check")
    assert says(bench, ID).startswith("Right. Yes. First dead and cold, then open.")
    arrange(bench, [OFF, PULL, COOL, SPARE, LID])
    press(bench, ID, "Check")
    assert says(bench, ID).startswith("Right.")
    assert len(result(bench, ID)["days"]) == 1


def test_the_first_wrong_neighbour_is_named_with_the_authors_words(bench):
    arrange(bench, [PULL, OFF, COOL, SPARE, LID])
    press(bench, ID, "Check")
    assert says(bench, ID) == (
        "Not yet. Pull the plug stands before Switch off. It should not. A plug is not pulled under load. "
        "Move one of them and check again."
    )


def test_the_authors_words_are_found_for_a_step_further_on(bench):
    """5 before 4 has no words of its own, 5 before 3 has, and the lid stands before both."""
    arrange(bench, [OFF, PULL, LID, SPARE, COOL])
    press(bench, ID, "Check")
    assert "Unscrew the lid stands before Let it cool. It should not. Under the lid it is still hot." in says(bench, ID)


def test_a_wrong_neighbour_without_words_is_named_all_the_same(bench):
    arrange(bench, [OFF, COOL, PULL, SPARE, LID])
    press(bench, ID, "Check")
    assert says(bench, ID) == (
        "Not yet. Let it cool stands before Pull the plug. It should not. Move one of them and check again."
    )


def test_nothing_moved_costs_nothing(bench):
    press(bench, ID, "Check")
    assert says(bench, ID) == "Nothing moved yet. Use the arrows, then check. This costs nothing."
    assert result(bench, ID) is None


def test_the_keyboard_moves_a_step_and_keeps_hold_of_it(bench):
    step = shown(bench)[2]
    button(bench, "up", step).focus()
    for place in (2, 1):
        bench.keyboard.press("Enter")
        assert heard(bench) == [f"{step}: now in place {place} of 5."]
        assert shown(bench)[place - 1] == step
        assert button(bench, "up", step).evaluate("button => button === document.activeElement")
    bench.keyboard.press("Space")
    assert heard(bench) == [f"{step}: already in place 1 of 5."]
    bench.keyboard.press("Tab")
    assert button(bench, "down", step).evaluate("button => button === document.activeElement")


def test_a_check_is_said_once(bench):
    arrange(bench, [PULL, OFF, COOL, SPARE, LID])
    press(bench, ID, "Check")
    words = says(bench, ID)
    verdicts = [text for text in heard(bench) if "now in place" not in text]
    assert verdicts == [words]


def test_hints_give_one_place_after_the_other(bench):
    for place, step in enumerate(compiled(ID)["order"], 1):
        press(bench, ID, "Show a step")
        assert question(bench, ID).locator(".qz-shown").last.inner_text() == f"{place}. {step}"


def test_start_again_brings_back_the_order_found(bench):
    found = shown(bench)
    arrange(bench, [OFF, PULL])
    press(bench, ID, "Start again")
    assert shown(bench) == found
