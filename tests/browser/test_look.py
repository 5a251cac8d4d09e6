"""Pages and questions in every state: readable by all, at every width, in every scheme, without a jump."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.workbench import answers, number, press, question, says, type_in

SCHEMES = ("light", "dark")
PAGES = (
    "supply.html",
    "reference/formulas.html",
    "index.html",
    "reference/symbols.html",
    "reference/questions.html",
    "reference/glossary.html",
    "reference/sources.html",
    "reference/checks.html",
)  # fmt: skip


@pytest.fixture
def look(chromium):
    """Opens an address in a scheme and width, cut off from every network."""
    contexts = []

    def opening(address, scheme="light", width=1280, **more):
        size = {"width": width, "height": 900}
        context = chromium.new_context(
            offline=True, color_scheme=scheme, viewport=size, reduced_motion="reduce", **more
        )
        contexts.append(context)
        page = contexts[-1].new_page()
        page.goto(address)
        return page

    yield opening
    for context in contexts:
        context.close()


def violations(page):
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    return [f"{one['id']}: {node['html'][:160]}" for one in found for node in one["nodes"]]


def every_state(page):
    """A verdict of each kind, opened solutions, reasons, the report and the panel."""
    first = answers("heater-current")[0]
    type_in(page, "heater-current", number(first))
    says(page, "heater-current")
    type_in(page, "heater-and-hours", "1.234")
    type_in(page, "heater-and-hours", "12", step=1)
    press(page, "heater-and-hours", "Show a step")
    press(page, "heater-and-hours", "Show a step")
    type_in(page, "name-the-unit", "500")
    question(page, "what-warms-up").get_by_label("A loose contact").check()
    press(page, "what-warms-up", "Check")
    press(page, "what-warms-up", "Why not the others?")
    question(page, "what-carries-current").get_by_label("Protective earth").check()
    press(page, "what-carries-current", "Check")
    question(page, "order-of-work").locator(".qz-down").first.click()
    press(page, "order-of-work", "Check")
    press(page, "order-of-work", "Something wrong here?")
    says(page, "order-of-work")


@pytest.mark.parametrize("scheme", SCHEMES)
def test_no_page_has_a_fault_that_can_be_found_by_rule(look, course_site, scheme):
    """Of formulas and questions the first of each page, since all others are built alike."""
    page = look("about:blank", scheme)
    for name in PAGES if scheme == "light" else PAGES[:2]:
        page.goto(f"{course_site.as_uri()}/{name}")
        page.evaluate("""() => [".qz-formula", "section.qz", ".qz-table tr"].forEach((many) => (
          [...document.querySelectorAll(many)].slice(6).forEach((one) => one.remove())))""")
        assert violations(page) == [], name


@pytest.mark.parametrize(("scheme", "width"), [("light", 320), ("light", 1280), ("dark", 1280)])
def test_no_state_of_a_question_has_a_fault_that_can_be_found_by_rule(look, workbench_site, scheme, width):
    page = look(f"{workbench_site.as_uri()}/index.html", scheme, width)
    every_state(page)
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == width


def test_nothing_is_cut_off_at_320_pixels(look, course_site):
    """That is also 400 % at 1280 pixels. Tables and formulas scroll by themselves, the page does not."""
    page = look("about:blank", width=320)
    for name in PAGES:
        page.goto(f"{course_site.as_uri()}/{name}")
        assert page.evaluate("document.documentElement.scrollWidth") == 320, name
        wide = page.evaluate("""() => [...document.querySelectorAll(
            ".md-content :is(p, li, button, input, label, h1, h2, h3, figure)")]
          .filter((one) => one.getBoundingClientRect().right > 320.5 && one.getClientRects().length
            && !one.closest(".md-typeset__scrollwrap, .qz-scroll, .qz-stated, .qz-solved, math, pre"))
          .map((one) => one.outerHTML.slice(0, 120))""")
        assert wide == [], name


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_nothing_moves_when_the_script_starts(look, workbench_site, width):
    """Every question stands where it stands without the script."""
    address = f"{workbench_site.as_uri()}/index.html"
    measure = """() => [...document.querySelectorAll(
        "section.qz, .qz-says, .qz-acts, .qz-option, .qz-place, footer")]
      .map((one) => [one.className, one.getBoundingClientRect().top, one.offsetHeight])
      .map(([name, ...numbers]) => [name, ...numbers.map(Math.round)])"""
    with_script = look(address, width=width)
    with_script.locator(".qz-check").first.wait_for()
    without = look("about:blank", width=width)
    without.route("**/assets/quizgen/*.js", lambda route: route.abort())
    without.goto(address)
    assert without.locator(".qz-check").count() == 0
    assert without.evaluate(measure) == with_script.evaluate(measure)


def test_the_browser_counts_no_shift_of_layout(look, course_site):
    page = look(f"{course_site.as_uri()}/supply.html", width=360)
    page.locator(".qz-check").first.wait_for()
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert (
        page.evaluate("""() => new Promise((done) => new PerformanceObserver((list) => (
      done(list.getEntries().length))).observe({ type: "paint", buffered: true }))""")
        > 0
    )
    shifts = page.evaluate("""() => { const seen = new PerformanceObserver(() => {});
      seen.observe({ type: "layout-shift", buffered: true });
      return seen.takeRecords().map(({ value }) => value); }""")
    assert sum(shifts) == 0


@pytest.mark.parametrize("width", [320, 1280])
def test_whatever_is_pressed_is_44_pixels_high(look, workbench_site, width):
    page = look(f"{workbench_site.as_uri()}/index.html", width=width)
    every_state(page)
    small = page.evaluate("""() => [...document.querySelectorAll(
        ".qz button, .qz-entry input, .qz-option, .qz-paper button, .qz-switch")]
      .filter((one) => one.getClientRects().length)
      .filter((one) => one.offsetHeight < 44 || (one.matches("button") && one.offsetWidth < 44))
      .map((one) => `${one.textContent} ${one.offsetWidth} × ${one.offsetHeight}`)""")
    assert small == []


def test_the_tab_key_goes_through_a_question_in_reading_order(bench):
    boxes = question(bench, "heater-and-hours").locator("input")
    boxes.first.focus()
    names = []
    for _ in range(6):
        bench.keyboard.press("Tab")
        names.append(bench.evaluate("document.activeElement.textContent || document.activeElement.id"))
    assert names == [
        "q-heater-and-hours-1", "Check", "Show a step", "New numbers",
        "Something wrong here?", "q-name-the-unit-0",
    ]  # fmt: skip


@pytest.mark.parametrize("more", [{}, {"forced_colors": "active"}], ids=["plain", "forced colours"])
def test_focus_and_boxes_can_be_seen(look, workbench_site, more):
    page = look(f"{workbench_site.as_uri()}/index.html", **more)
    box = question(page, "heater-current").locator("input")
    assert float(box.evaluate("box => parseFloat(getComputedStyle(box).borderTopWidth)")) >= 1
    page.get_by_role("link", name="To the last question").focus()
    for _ in range(14):
        page.keyboard.press("Tab")
        seen = page.evaluate("""() => { let one = document.activeElement;
          if (one.matches(".qz-option input")) one = one.closest("label");
          const { outlineStyle, outlineWidth } = getComputedStyle(one);
          const drawn = outlineStyle !== "none" && parseFloat(outlineWidth) >= 2;
          return [one.textContent.slice(0, 30), drawn]; }""")
        assert seen[1], seen


def test_a_wrong_and_a_right_verdict_differ_without_colour(bench):
    type_in(bench, "heater-current", number(answers("heater-current")[0]))
    type_in(bench, "heater-and-hours", "99")
    type_in(bench, "name-the-unit", "500")
    kinds = []
    for id in ("heater-current", "heater-and-hours", "name-the-unit"):
        words = says(bench, id)
        line = (
            question(bench, id)
            .locator(".qz-says")
            .first.evaluate("one => getComputedStyle(one).borderInlineStartStyle")
        )
        kinds.append((words.removeprefix("Step 1. ").split(".")[0], line))
    assert kinds == [("Right", "double"), ("Not yet", "solid"), ("Unit missing", "dotted")]
