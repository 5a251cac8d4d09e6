"""The second script: asked for when somebody works on the page, never before, and missed calmly."""

import re
import shutil

import pytest
from playwright.sync_api import expect

from tests.browser.workbench import answers, boxes, number, question, says, settled, type_in

MORE = re.compile(r"/assets/quizgen/more\.[0-9a-f]{8}\.js$")
ONE = "heater-current"


@pytest.fixture
def asked(page):
    """Addresses of the second script that the page asked for."""
    found = []
    page.on("request", lambda request: found.append(request.url) if MORE.search(request.url) else None)
    return found


@pytest.fixture(params=["folder", "below a root"])
def address(request, workbench_site, serve):
    if request.param == "folder":
        return workbench_site.as_uri()
    return serve(workbench_site.parent) + "/course"


def drawn(page):
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def test_a_page_that_is_only_read_does_without_it(page, asked, address):
    page.goto(f"{address}/index.html")
    drawn(page)
    assert question(page, ONE).get_by_role("button", name="Check").is_visible()
    question(page, ONE).scroll_into_view_if_needed()
    drawn(page)
    assert asked == []


def test_it_comes_once_with_the_first_box_that_is_entered_and_judges(page, asked, address):
    page.goto(f"{address}/index.html")
    type_in(page, ONE, number(answers(ONE)[0]))
    assert says(page, ONE).startswith("Right.")
    page.get_by_role("button", name="Whose practice is this?").click()
    assert page.get_by_label("New name").is_visible()
    assert len(asked) == 1
    assert asked[0].startswith(f"{address}/assets/")


@pytest.mark.parametrize("name", ["Check", "Show a step", "Something wrong here?"])
def test_each_button_fetches_it_by_itself(page, asked, workbench_site, name):
    page.goto(f"{workbench_site.as_uri()}/index.html")
    button = question(page, ONE).get_by_role("button", name=name)
    button.dispatch_event("click")
    settled(page)
    seen = {"Check": ".qz-says p", "Show a step": ".qz-shown", "Something wrong here?": ".qz-report textarea"}[name]
    expect(question(page, ONE).locator(seen).first).to_be_visible()
    assert len(asked) == 1


def test_what_was_done_before_is_shown_again(page, asked, workbench_site):
    page.goto(f"{workbench_site.as_uri()}/index.html")
    type_in(page, ONE, "12.3456")
    before = says(page, ONE)
    page.reload()
    assert says(page, ONE) == before
    assert len(asked) == 2, "once for each time the page is opened"


def test_nothing_shifts_while_it_comes(page, workbench_site):
    held = []
    page.route(MORE, lambda route: held.append(route))
    page.goto(f"{workbench_site.as_uri()}/index.html")
    measure = "[...document.querySelectorAll('.qz, .qz-panel')].map((one) => one.getBoundingClientRect().height)"
    before = page.evaluate(measure)
    with page.expect_request(MORE):
        boxes(page, ONE).nth(0).fill("1")
        page.keyboard.press("Enter")
    assert page.locator("[aria-busy=true]").count() == 1
    assert page.evaluate(measure) == before
    held[0].continue_()
    settled(page)
    assert says(page, ONE)


def test_no_name_of_ours_is_left_in_the_window(page, workbench_site):
    names = "Object.getOwnPropertyNames(globalThis)"
    page.add_init_script(f"window.before = {names};")
    page.goto(f"{workbench_site.as_uri()}/index.html")
    start = set(page.evaluate(names))
    type_in(page, ONE, "1")
    assert says(page, ONE)
    assert set(page.evaluate(names)) == start
    assert not start & {"more", "withMore", "COURSE", "MORE", "judge", "keep"}
    assert page.locator("script[src*='quizgen/more']").count() == 0


def test_where_it_is_missing_the_page_says_so_and_keeps_what_was_typed(page, workbench_site, tmp_path):
    site = tmp_path / "copy"
    shutil.copytree(workbench_site, site)
    [file] = (site / "assets" / "quizgen").glob("more.*.js")
    away = file.rename(tmp_path / "away.js")
    errors = []
    page.on("pageerror", lambda error: errors.append(error))
    page.goto(f"{site.as_uri()}/index.html")
    type_in(page, ONE, number(answers(ONE)[0]))
    assert "could not be loaded" in says(page, ONE) and "kept" in says(page, ONE)
    page.get_by_role("button", name="Whose practice is this?").click()
    expect(page.locator(".qz-panel").get_by_role("status").first).to_contain_text("could not be loaded")
    away.rename(file)
    question(page, ONE).get_by_role("button", name="Check").click()
    expect(question(page, ONE).locator(".qz-says").first).to_contain_text("Right.")
    assert errors == []
