"""The panel and the overview: whose practice it is, how far they are, and how they take it with them."""

import json
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.workbench import settled

FIXTURES = Path(__file__).parent / "fixtures"
ROOM = "quizgen/1/pump-basics/"
WIDE = {"width": 1280, "height": 900}
NARROW = {"width": 320, "height": 720}


@pytest.fixture
def site(overview_site, serve):
    return serve(overview_site)


@pytest.fixture
def flow(page, site):
    page.set_viewport_size(WIDE)
    page.goto(f"{site}/flow.html")
    return page


def panel(page):
    return page.get_by_role("region", name="Your practice")


def line(page):
    return panel(page).locator(".qz-panel-says").inner_text()


def press(page, name):
    panel(page).get_by_role("button", name=name, exact=True).click()


def open_panel(page):
    press(page, "Whose practice is this?")
    settled(page)


def begin(page, name):
    panel(page).get_by_label("New name").fill(name)
    press(page, "Begin")


def says(page, text):
    panel(page).get_by_role("status").filter(has_text=text).wait_for()


def keep_result(page, id, days=(), tries=1, name=""):
    """Stored as if it had been practised, before the page is opened again."""
    value = json.dumps({"tries": tries, "right": len(days), "days": list(days)})
    page.evaluate("([key, value]) => localStorage.setItem(key, value)", [f"{ROOM}of/{name}/result/{id}", value])


def state(page, id):
    return page.locator(f"#q-{id} .qz-done").inner_text()


# How far one is


def test_each_question_says_its_state_in_words_and_shape(flow):
    shapes = "el => getComputedStyle(el, '::before').borderWidth"
    mark = flow.locator("#q-fill-the-tank .qz-done")
    seen = []
    one, two = ("2026-03-02",), ("2026-03-02", "2026-03-03")
    for days, tries, words in [((), 0, "not begun"), ((), 2, "begun"), (one, 3, "right on 1 of 2 days"),
                               (two, 4, "done")]:  # fmt: skip
        keep_result(flow, "fill-the-tank", days, tries)
        flow.reload()
        assert state(flow, "fill-the-tank") == words
        seen.append(mark.evaluate(shapes))
    assert seen[1] == seen[2]
    assert len(set(seen)) == 3
    assert line(flow) == "Your practice: 1 of 2 done."


def test_the_overview_counts_each_module_in_words_and_shapes(flow, site):
    keep_result(flow, "fill-the-tank", ("2026-03-02", "2026-03-03"))
    keep_result(flow, "power-of-the-pump")
    flow.goto(f"{site}/index.html")
    module = flow.get_by_role("listitem").filter(has_text="P1 Flow and power")
    assert "1 done, 1 begun, 0 not begun" in module.inner_text()
    assert [cell.get_attribute("data-state") for cell in module.locator(".qz-strip i").all()] == [
        "done",
        "begun",
    ]
    assert "no questions on a page yet" in flow.get_by_role("listitem").filter(has_text="P0 Pressure").inner_text()
    assert line(flow) == "Your practice: 1 of 2 done."


def test_an_answer_changes_the_state_beside_its_question_and_in_the_other_tab(flow, site):
    home = flow.context.new_page()
    home.goto(f"{site}/index.html")
    field = flow.locator("#q-fill-the-tank input")
    field.fill("0.5")
    field.press("Enter")
    flow.locator("#q-fill-the-tank .qz-done", has_text="begun").filter(has_not_text="not").wait_for()
    home.get_by_text("0 done, 1 begun, 1 not begun").wait_for()


def test_the_shapes_are_there_in_forced_colours_and_on_paper(flow):
    keep_result(flow, "fill-the-tank")
    flow.reload()
    widths = """el => ["top", "bottom"].map((side) => (
      parseFloat(getComputedStyle(el, "::before").getPropertyValue(`border-${side}-width`))))"""
    for media in ({"forced_colors": "active"}, {"forced_colors": "none", "media": "print"}):
        flow.emulate_media(**media)
        top, bottom = flow.locator("#q-fill-the-tank .qz-done").evaluate(widths)
        assert bottom > 2 * top > 0


def test_home_leads_back_to_the_last_question(flow, site):
    flow.goto(f"{site}/index.html")
    assert flow.get_by_text("Start with").is_visible()
    flow.goto(f"{site}/flow.html")
    flow.locator("#q-power-of-the-pump input").focus()
    flow.goto(f"{site}/index.html")
    assert not flow.get_by_text("Start with").is_visible()
    flow.get_by_role("link", name="P1 Flow and power, question 2").click()
    flow.wait_for_url(f"{site}/flow.html#q-power-of-the-pump")
    assert flow.locator("#q-power-of-the-pump .qz-label").bounding_box()["y"] < WIDE["height"]


def test_the_way_back_follows_a_question_that_moved_or_was_renamed(flow, site):
    where = json.dumps({"page": "gone.html", "question": "fill-it", "title": "P1, question 9"})
    flow.evaluate("([key, where]) => localStorage.setItem(key, where)", [f"{ROOM}of//where", where])
    flow.goto(f"{site}/index.html")
    link = flow.get_by_role("link", name="P1, question 9")
    assert link.evaluate("link => link.href") == f"{site}/flow.html#q-fill-the-tank"


# Whose it is


def test_two_learners_share_one_computer(flow):
    open_panel(flow)
    begin(flow, "Ann")
    says(flow, "This is the practice of Ann now.")
    field = flow.locator("#q-fill-the-tank input")
    field.fill("0.5")
    field.press("Enter")
    flow.locator("#q-fill-the-tank .qz-done", has_text="begun").filter(has_not_text="not").wait_for()
    begin(flow, "Ben")
    assert line(flow) == "Practice of Ben: 0 of 2 done."
    assert state(flow, "fill-the-tank") == "not begun"
    assert field.input_value() == "", "Ben does not see what Ann typed"
    press(flow, "Ann")
    says(flow, "This is the practice of Ann now.")
    assert state(flow, "fill-the-tank") == "begun" and field.input_value() == "0.5"
    assert panel(flow).get_by_role("button", pressed=True).inner_text() == "Ann"
    press(flow, "Remove Ben")
    assert "They cannot be brought back" in panel(flow).get_by_role("group").inner_text()
    press(flow, "Leave as it is")
    assert panel(flow).get_by_role("button", name="Ben", exact=True).is_visible()
    press(flow, "Remove Ben")
    press(flow, "Remove")
    says(flow, "Ben is removed.")
    assert not panel(flow).get_by_role("button", name="Ben", exact=True).is_visible()
    flow.reload()
    assert line(flow) == "Practice of Ann: 0 of 2 done." and state(flow, "fill-the-tank") == "begun"


def test_who_began_without_a_name_keeps_the_practice(flow):
    keep_result(flow, "fill-the-tank")
    flow.reload()
    open_panel(flow)
    panel(flow).get_by_label("New name").fill("Ann")
    press(flow, "Put this name on the practice above")
    assert line(flow).startswith("Practice of Ann") and state(flow, "fill-the-tank") == "begun"
    assert not panel(flow).get_by_role("button", name="Put this name on the practice above").is_visible()


def test_a_name_is_asked_for_before_anything_begins(flow):
    open_panel(flow)
    begin(flow, "   ")
    says(flow, "Type a name first.")
    assert panel(flow).get_by_label("New name").evaluate("field => field === document.activeElement")


@pytest.mark.parametrize("name", ["<img src=x onerror=alert(1)>", "W" * 40, "Zoë 😀"])
def test_any_name_is_shown_as_text_and_fits_the_smallest_screen(flow, name):
    flow.set_viewport_size(NARROW)
    open_panel(flow)
    begin(flow, name)
    assert name in line(flow)
    assert flow.locator(".qz-panel img").count() == 0
    assert flow.evaluate("document.documentElement.scrollWidth") == NARROW["width"]


# Taking it along


def test_a_round_trip_through_a_file(flow, chromium, site, tmp_path):
    keep_result(flow, "fill-the-tank", ("2026-03-02", "2026-03-03"), name="Ann")
    flow.evaluate("key => localStorage.setItem(key, '\"Ann\"')", f"{ROOM}now")
    flow.reload()
    open_panel(flow)
    with flow.expect_download() as download:
        press(flow, "Save to a file")
    name = download.value.suggested_filename
    assert name.startswith("pump-basics-ann-20") and name.endswith(".json")
    file = tmp_path / name
    download.value.save_as(file)
    assert name in panel(flow).get_by_role("group").inner_text()

    context = chromium.new_context()
    other = context.new_page()
    other.goto(f"{site}/flow.html")
    open_panel(other)
    press(other, "Load a file")
    panel(other).get_by_label("File").set_input_files(file)
    panel(other).get_by_text("This is the practice of Ann. Results of 1 question").wait_for()
    assert state(other, "fill-the-tank") == "not begun", "nothing is taken before the answer"
    press(other, "Leave them, go on as Ann")
    says(other, "Loaded.")
    assert line(other) == "Practice of Ann: 1 of 2 done."
    other.reload()
    assert line(other) == "Practice of Ann: 1 of 2 done."
    context.close()


@pytest.mark.parametrize(("answer", "tank", "power"), [("Join the two", "done", "begun"),
                                                       ("Use only the file's", "done", "not begun"),
                                                       ("Load nothing", "not begun", "begun")])  # fmt: skip
def test_what_happens_to_the_results_here_is_the_learner_s_decision(flow, answer, tank, power):
    keep_result(flow, "power-of-the-pump")
    flow.reload()
    file = json.loads((FIXTURES / "practice-1.json").read_text(encoding="utf-8"))
    open_panel(flow)
    press(flow, "Load a file")
    panel(flow).get_by_label("Text").fill(json.dumps({**file, "course": "pump-basics", "learner": ""}))
    press(flow, "Read the text")
    assert (
        "What shall happen to the results of somebody without a name" in panel(flow).get_by_role("group").inner_text()
    )
    press(flow, answer)
    assert (state(flow, "fill-the-tank"), state(flow, "power-of-the-pump")) == (tank, power)
    assert panel(flow).get_by_role("button", name="Load a file").evaluate("it => it === document.activeElement")


def test_a_bad_file_is_refused_in_place_and_another_can_be_tried(flow, tmp_path):
    open_panel(flow)
    press(flow, "Load a file")
    for name, content, why in [
        ("a.json", b"\x89PNG\r\n\x1a\n\x00", "no saved practice"),
        ("b.json", b"{" * 5_000_000, "too large"),
        ("c.json", b"", "This is empty."),
    ]:
        (tmp_path / name).write_bytes(content)
        panel(flow).get_by_label("File").set_input_files(tmp_path / name)
        panel(flow).get_by_text(why).wait_for()
    panel(flow).get_by_label("Text").fill("hello")
    press(flow, "Read the text")
    panel(flow).get_by_text("This is no saved practice, or a part of it is missing. Nothing was loaded.").wait_for()
    assert panel(flow).get_by_label("Text").input_value() == "hello"


def test_where_no_file_can_be_made_there_is_a_text_to_copy(flow):
    keep_result(flow, "fill-the-tank")
    flow.reload()
    flow.evaluate("() => { URL.createObjectURL = () => { throw new Error('no'); }; }")
    open_panel(flow)
    press(flow, "Save to a file")
    box = panel(flow).get_by_label("Your practice as text")
    text = box.input_value()
    assert json.loads(text)["results"]["fill-the-tank"]["tries"] == 1
    box.focus()
    assert flow.evaluate("document.activeElement.selectionEnd - document.activeElement.selectionStart") == len(text)


def test_clearing_asks_first(flow):
    keep_result(flow, "fill-the-tank")
    flow.reload()
    open_panel(flow)
    press(flow, "Clear")
    press(flow, "Keep them")
    assert state(flow, "fill-the-tank") == "begun"
    press(flow, "Clear")
    press(flow, "Clear them")
    says(flow, "The results are cleared.")
    assert state(flow, "fill-the-tank") == "not begun"
    flow.reload()
    assert state(flow, "fill-the-tank") == "not begun"


def test_stored_damage_is_said_and_thrown_away_only_on_request(flow):
    flow.evaluate("key => localStorage.setItem(key, '{')", f"{ROOM}of//result/fill-the-tank")
    flow.reload()
    open_panel(flow)
    assert panel(flow).get_by_text("could not be read. It was put aside").is_visible()
    press(flow, "Throw it away")
    press(flow, "Leave it there")
    assert panel(flow).get_by_text("It was put aside").is_visible()
    press(flow, "Throw it away")
    panel(flow).get_by_role("group").get_by_role("button", name="Throw it away").click()
    assert not panel(flow).get_by_text("It was put aside").is_visible()


# For every hand and eye


def test_everything_works_from_the_keyboard(flow):
    opener = panel(flow).get_by_role("button", name="Whose practice is this?")
    opener.focus()
    flow.keyboard.press("Enter")
    settled(flow)
    assert opener.get_attribute("aria-expanded") == "true"
    panel(flow).get_by_label("New name").focus()
    flow.keyboard.type("Ann")
    flow.keyboard.press("Enter")
    says(flow, "This is the practice of Ann now.")
    order = []
    opener.focus()
    for _ in range(8):
        flow.keyboard.press("Tab")
        order.append(
            flow.evaluate("(it => it.getAttribute('aria-label') || it.textContent || it.id)(document.activeElement)")
        )
    acts = ["Hand in a progress slip", "Save to a file", "Load a file", "Clear"]
    assert order == ["Ann", "Remove Ann", "qz-new-name", "Begin", *acts]
    flow.keyboard.press("Enter")
    assert flow.evaluate("document.activeElement.textContent").startswith("Clear all results of Ann")
    flow.keyboard.press("Escape")
    assert flow.evaluate("document.activeElement.textContent") == "Clear"
    flow.keyboard.press("Escape")
    assert opener.get_attribute("aria-expanded") == "false"
    assert flow.evaluate("document.activeElement.textContent") == "Whose practice is this?"


def test_the_theme_s_letters_do_not_leave_the_panel(flow):
    opener = panel(flow).get_by_role("button", name="Whose practice is this?")
    opener.focus()
    for key in ",.npsf/":
        flow.keyboard.press(key)
    assert flow.url.endswith("/flow.html")
    assert opener.evaluate("it => it === document.activeElement")


@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["320 px", "1280 px"])
@pytest.mark.parametrize("name", ["index.html", "flow.html"])
def test_nothing_moves_while_the_page_starts_and_nothing_overflows(page, site, size, name):
    page.set_viewport_size(size)
    page.add_init_script("""
      window.shifts = 0;
      new PerformanceObserver((list) => { for (const one of list.getEntries()) shifts += one.value; })
        .observe({ type: "layout-shift", buffered: true });
    """)
    page.goto(f"{site}/{name}")
    before = page.locator(".qz-panel").bounding_box()["height"]
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert page.evaluate("shifts") == 0
    assert page.evaluate("document.documentElement.scrollWidth") == size["width"]
    page.add_style_tag(content=".qz-panel > * { display: none !important }")
    assert page.locator(".qz-panel").bounding_box()["height"] == before, "the reserved height is the height"


def test_what_is_pressed_is_large_enough_for_a_finger(flow):
    flow.set_viewport_size(NARROW)
    open_panel(flow)
    press(flow, "Load a file")
    sizes = [it.bounding_box() for it in panel(flow).locator("button:visible, input:visible").all()]
    assert len(sizes) >= 8
    assert min(box["height"] for box in sizes) >= 32 and min(box["width"] for box in sizes) >= 44


@pytest.mark.parametrize("scheme", ["default", "slate"])
@pytest.mark.parametrize(
    ("name", "button"), [("index.html", None), ("flow.html", "Load a file"), ("flow.html", "Clear")]
)
def test_a_checker_finds_nothing_on_home_and_panel(page, site, scheme, name, button):
    page.goto(f"{site}/{name}")
    page.evaluate("scheme => document.body.setAttribute('data-md-color-scheme', scheme)", scheme)
    open_panel(page)
    if button:
        press(page, button)
    for part in (".qz-panel", ".qz-overview", ".qz-label"):
        if page.locator(part).count():
            found = Axe().run(page, context=part, options={"resultTypes": ["violations"]})
            assert [
                (rule["id"], node["html"][:80]) for rule in found.response["violations"] for node in rule["nodes"]
            ] == []


def test_the_panel_is_not_printed_and_the_overview_is(flow, site):
    flow.emulate_media(media="print")
    assert not flow.locator(".qz-panel").is_visible()
    flow.goto(f"{site}/index.html")
    assert flow.get_by_text("0 done, 0 begun, 2 not begun").is_visible()
    assert not flow.locator(".qz-panel").is_visible()
