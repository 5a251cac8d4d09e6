"""The built course works from a folder, an address, a shop's network, without storage, script or network.

What a page may ask for is asserted twice: by what it asks for in a real browser, and by what stands in
the built files.
"""

import re
import shutil
from html.parser import HTMLParser

import pytest
from playwright.sync_api import expect

from quizgen.web.bundle import MORE, SCRIPTS
from tests.browser.conftest import ARGUMENTS, FRAGMENTS, program
from tests.browser.workbench import settled

PAGES = ("index.html", "flow.html", "reference/formulas.html")
REFUSED = """Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("no", "SecurityError"); },
});"""
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"


@pytest.fixture(params=["folder", "root", "below a root", "shop"])
def address(request, overview_site, serve):
    """Where the site is opened: a folder, a server's root or below it, or a name in a shop's network."""
    if request.param == "folder":
        return overview_site.as_uri()
    if request.param == "below a root":
        return serve(overview_site.parent) + "/course"
    found = serve(overview_site)
    return found.replace("127.0.0.1", "shop.test") if request.param == "shop" else found


@pytest.fixture
def faults(page):
    """Everything the browser complains about."""
    found = []
    page.on("pageerror", lambda error: found.append(str(error)))
    page.on("console", lambda message: found.append(message.text) if message.type == "error" else None)
    # A request that a next page cuts off has not failed.
    page.on(
        "requestfailed",
        lambda request: found.append(request.url) if request.failure != "net::ERR_ABORTED" else None,
    )
    page.on("response", lambda response: found.append(response.url) if response.status >= 400 else None)
    return found


def try_an_answer(page):
    """A wrong number is judged and counted; what the page says of it is in words."""
    question = page.locator("#q-fill-the-tank")
    question.get_by_role("textbox").fill("0.5")
    question.get_by_role("button", name="Check").click()
    question.locator(".qz-says").filter(has_text=re.compile(r"\w")).first.wait_for()
    question.locator(".qz-done", has_text=re.compile("^begun$")).wait_for()


def test_a_question_is_answered_and_remembered(page, address, faults):
    page.goto(f"{address}/flow.html")
    try_an_answer(page)
    page.goto(f"{address}/index.html")
    assert page.get_by_text("0 done, 1 begun, 1 not begun").is_visible()
    page.get_by_role("link", name="P1 Flow and power, question 1").click()
    page.locator("#q-fill-the-tank").wait_for()
    assert page.url == f"{address}/flow.html#q-fill-the-tank"
    expect(page.locator("#q-fill-the-tank input")).to_have_value("0.5")
    assert faults == []


def test_every_page_opens_without_a_complaint(page, address, faults):
    for name in PAGES:
        page.goto(f"{address}/{name}")
        assert page.locator("h1").first.is_visible()
    assert faults == []


def test_a_folder_may_have_any_name(page, overview_site, tmp_path, faults):
    folder = tmp_path / "Müller's Stick #1 100%"
    shutil.copytree(overview_site, folder)
    page.goto(f"{folder.as_uri()}/flow.html")
    try_an_answer(page)
    page.goto(f"{folder.as_uri()}/index.html")
    page.get_by_role("link", name="P1 Flow and power, question 1").click()
    page.locator("#q-fill-the-tank").wait_for()
    assert faults == []


def test_a_shop_s_plain_address_is_no_secure_place_and_nothing_is_missed(page, overview_site, serve, faults):
    """P20: there the browser has no crypto.subtle, no clipboard and no worker of its own for the site."""
    address = serve(overview_site).replace("127.0.0.1", "shop.test")
    page.goto(f"{address}/flow.html")
    assert page.evaluate("[isSecureContext, typeof (crypto.subtle), typeof navigator.clipboard]") == [
        False,
        "undefined",
        "undefined",
    ]
    try_an_answer(page)
    page.get_by_role("button", name="Whose practice is this?").click()
    settled(page)
    with page.expect_download():
        page.get_by_role("button", name="Save to a file").click()
    assert faults == []


def test_a_shop_s_pages_are_asked_for_from_that_server_only(page, overview_site, serve):
    address = serve(overview_site).replace("127.0.0.1", "shop.test")
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    for name in PAGES:
        page.goto(f"{address}/{name}")
    try_search(page)
    assert len(asked) > 6
    assert [url for url in asked if not url.startswith((f"{address}/", "data:", "blob:"))] == []


def try_search(page):
    page.set_viewport_size({"width": 1280, "height": 800})
    page.get_by_role("textbox", name="Search").press_sequentially("turbine")
    page.locator(".md-search-result__item").first.wait_for()


@pytest.mark.parametrize("before", [REFUSED, FULL], ids=["refused", "full"])
def test_without_storage_practice_works_and_the_page_says_what_that_means(page, overview_site, before):
    """The theme's own script does without storage, too; what it says about that is no fault of ours."""
    page.add_init_script(before)
    page.goto(f"{overview_site.as_uri()}/flow.html")
    assert "Nothing is kept on this device. Save a file before you go." in page.locator(".qz-panel").inner_text()
    try_an_answer(page)
    page.get_by_role("button", name="Whose practice is this?").click()
    settled(page)
    assert page.get_by_text("Your results last until you close the page.").is_visible()
    with page.expect_download():
        page.get_by_role("button", name="Save to a file").click()


def test_a_browser_with_one_store_for_each_file_is_told_from_the_others(page, overview_site, serve):
    """Firefox is played here: the feature it is known by is made to answer as it does there."""
    page.add_init_script("CSS.supports = (name, value) => name === '-moz-appearance';")
    page.goto(f"{overview_site.as_uri()}/flow.html")
    assert "This browser keeps results for each page apart. Save a file" in page.locator(".qz-panel").inner_text()
    page.get_by_role("button", name="Whose practice is this?").click()
    settled(page)
    assert page.get_by_text("keeps a store of its own for every file").is_visible()
    page.goto(f"{serve(overview_site)}/flow.html")
    assert "Your practice: 0 of 2 done." in page.locator(".qz-panel").inner_text()


@pytest.mark.parametrize("name", ["flow.html", "index.html"])
def test_without_a_script_the_page_reads_and_shows_no_dead_button(chromium, overview_site, name):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{overview_site.as_uri()}/{name}")
    content = page.locator(".md-content")
    assert content.get_by_role("button").count() == 0
    assert not page.locator(".qz-panel").first.is_visible()
    if name == "flow.html":
        assert page.get_by_role("textbox", name="How long does it take to fill?").is_visible()
        assert "A pump moves" in content.inner_text()
        assert not page.locator(".qz-done").first.is_visible()
    else:
        assert page.get_by_role("link", name="P1 Flow and power").first.is_visible()
        assert "2 questions" in content.inner_text()
    context.close()


def until_on_disk(page, profile, *words):
    """Until what the page kept lies in the profile: the browser writes it some seconds later, not when it is ended."""
    for _ in range(600):
        kept = b"".join(path.read_bytes() for path in (profile / "Default" / "Local Storage" / "leveldb").glob("*.log"))
        if all(word in kept for word in words):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"after a minute the browser has not kept {words}")


def test_the_browser_is_closed_and_opened_again_at_the_same_place(chromium, overview_site, tmp_path):
    """A real profile on disk, closed in between."""
    address = overview_site.as_uri()
    for is_first in (True, False):
        browser = chromium.browser_type.launch_persistent_context(
            tmp_path / "profile", executable_path=program(), args=ARGUMENTS, headless=True
        )
        page = browser.pages[0]
        if is_first:
            page.goto(f"{address}/flow.html")
            page.get_by_role("button", name="Whose practice is this?").click()
            settled(page)
            page.get_by_label("New name").fill("Ann")
            page.get_by_role("button", name="Begin").click()
            try_an_answer(page)
            until_on_disk(page, tmp_path / "profile", b"Ann", b"fill-the-tank")
        else:
            page.goto(f"{address}/index.html")
            assert "Practice of Ann" in page.locator(".qz-panel").inner_text()
            page.get_by_role("link", name="P1 Flow and power, question 1").click()
            page.locator("#q-fill-the-tank").wait_for()
            expect(page.locator("#q-fill-the-tank input")).to_have_value("0.5")
            expect(page.locator("#q-fill-the-tank .qz-done")).to_have_text("begun")
        browser.close()


def test_back_and_forward_bring_the_answers_back(page, overview_site, faults):
    address = overview_site.as_uri()
    page.goto(f"{address}/flow.html")
    try_an_answer(page)
    page.goto(f"{address}/index.html")
    page.go_back()
    expect(page.locator("#q-fill-the-tank input")).to_have_value("0.5")
    expect(page.locator("#q-fill-the-tank .qz-done")).to_have_text("begun")
    assert faults == []


def test_a_page_that_the_theme_swaps_in_is_started_once(page, overview_site, faults):
    """The theme announces a page on document$; ours must be ready for it, and start nothing twice."""
    page.add_init_script("window.document$ = { subscribe(hear) { window.swap = hear; hear(); } };")
    script = next((overview_site / "assets" / "quizgen").glob("practice.*.js")).read_text(encoding="utf-8")
    page.route("**/bundle.*.js", lambda route: route.fulfill(body="", content_type="text/javascript"))
    page.goto(f"{overview_site.as_uri()}/flow.html")
    assert "document$" in script
    page.evaluate("swap(); swap();")
    assert page.locator("#q-fill-the-tank").get_by_role("button", name="Check").count() == 1
    assert page.get_by_role("button", name="Whose practice is this?").count() == 1
    assert faults == []


def test_a_question_that_cannot_start_leaves_the_others_alone(page, overview_site):
    errors = []
    page.on("pageerror", lambda error: errors.append(error))
    html = (overview_site / "flow.html").read_text(encoding="utf-8")
    broken = re.sub(
        r'(data-question="fill-the-tank".*?<template class="qz-data">)\{',
        r"\1{{",
        html,
        count=1,
        flags=re.DOTALL,
    )
    assert broken != html
    file = overview_site / "broken.html"
    file.write_text(broken, encoding="utf-8")
    page.goto(file.as_uri())
    assert page.locator("#q-power-of-the-pump").get_by_role("button", name="Check").is_visible()
    assert page.get_by_role("button", name="Whose practice is this?").is_visible()
    page.evaluate("new Promise((done) => setTimeout(done))")
    assert len(errors) == 1
    file.unlink()


# What stands in the files


class Asked(HTMLParser):
    """Addresses that a browser loads by itself; links that a person follows are none."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        attributes = dict(attrs)
        for name in (
            "src",
            "srcset",
            "poster",
            "data",
            "action",
            "formaction",
            "background",
            "manifest",
            "ping",
        ):
            self.found.append(attributes.get(name) or "")
        if tag in ("link", "image", "use"):
            self.found += [attributes.get("href") or "", attributes.get("xlink:href") or ""]
        if "style" in attributes:
            self.found += re.findall(r"url\(([^)]*)\)", attributes["style"] or "")
        if tag == "meta" and (attributes.get("http-equiv") or "").lower() == "refresh":
            self.found.append((attributes.get("content") or "").split("=")[-1])
        if tag == "script":
            assert attributes.get("type") != "module", "a module does not load from a folder"


NETWORK = re.compile(r"^\s*['\"]?(?:[a-z][a-z0-9+.-]*:)?//", re.IGNORECASE)


def outside(addresses):
    return [one for one in addresses if NETWORK.match(one)]


def test_the_search_for_outside_addresses_finds_them():
    reader = Asked()
    reader.feed('<script src="https://a.example/x.js"></script><img srcset="//b.example/x 2x">'
                "<link href=HTTP://c.example/>"
                "<p style='background:url(https://d.example)'><a href=https://e.example/>x</a>")  # fmt: skip
    assert len(outside(reader.found)) == 4


@pytest.mark.parametrize("which", ["overview_site", "course_site"])
def test_no_built_page_or_style_loads_anything_from_outside(which, request):
    site = request.getfixturevalue(which)
    pages = [*site.rglob("*.html")]
    assert len(pages) >= 4
    for page in pages:
        reader = Asked()
        reader.feed(page.read_text(encoding="utf-8"))
        assert outside(reader.found) == [], page.name
    styles = [*site.rglob("*.css")]
    assert len(styles) >= 2
    for style in styles:
        loaded = re.findall(r"url\(([^)]*)\)|@import\s+([^;]*)", style.read_text(encoding="utf-8"))
        assert outside([one for pair in loaded for one in pair]) == [], style.name


WAYS_OUT = """fetch XMLHttpRequest WebSocket EventSource sendBeacon serviceWorker indexedDB crypto
eval innerHTML outerHTML insertAdjacentHTML""".split()


def test_our_scripts_know_no_address_and_no_way_out(overview_site):
    scripts = [*(overview_site / "assets" / "quizgen").glob("*.js")]
    # The search frame, what a page needs at once, what comes on first use; what tracing, the plan and slips need.
    assert len(scripts) == 6
    for script in scripts:
        text = script.read_text(encoding="utf-8")
        assert re.findall(r"(?:https?|wss?)://(?!www\.w3\.org/)", text) == []
        assert [way for way in WAYS_OUT if re.search(rf"\b{way}\b", text)] == [], script.name


def test_no_name_is_declared_twice_in_the_two_closures():
    """The later one would silently take the place of the earlier."""
    seen = {}
    for name in (*SCRIPTS, *MORE):
        file = FRAGMENTS / f"{name}.js"
        for declared in re.findall(r"^(?:async )?(?:function\*?|const|let|class) (\w+)", file.read_text("utf-8"), re.M):
            seen.setdefault(declared, []).append(name)
    assert len(seen) > 50
    assert {declared: names for declared, names in seen.items() if len(names) > 1} == {}


def test_the_real_course_opens_from_a_folder_without_a_complaint(page, course_site, faults):
    for file in sorted(course_site.rglob("*.html")):
        if file.name == "404.html":
            continue
        page.goto(file.as_uri())
    page.goto((course_site / "supply.html").as_uri())
    assert page.locator("section.qz").count() > 5
    assert page.locator("section.qz .qz-acts button").count() >= page.locator("section.qz").count()
    assert faults == []
