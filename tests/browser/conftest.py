"""A real Chromium without a network, and a page that holds the course's JavaScript.

A missing browser is an error, never a skip: what runs in the page is proved nowhere else.
"""

import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, sync_playwright

import quizgen.web

FRAGMENTS = Path(quizgen.web.__file__).parent / "script"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
)
OWN = re.compile(r"(?:file|data|about|blob):|https?://(?:127\.0\.0\.1|localhost|\[::1\])(?:[:/]|$)")
EXPOSED = {
    "number.js": ("readNumber", "writeNumber", "lastPlace", "spaced", "withUnit"),
    "stack.js": ("runProgram",),
}
"""What the tests may call of each fragment."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent):
            item.add_marker("browser")


def program() -> str:
    """Path of the Chromium that `QUIZGEN_CHROMIUM` names, or else the first on PATH."""
    named = os.environ.get("QUIZGEN_CHROMIUM")
    found = shutil.which(named) if named else next(filter(None, map(shutil.which, NAMES)), None)
    if found:
        return found
    looked = f"QUIZGEN_CHROMIUM names {named}, which is not there" if named else "none was found on PATH"
    pytest.fail(
        f"The tests of the pages need Chromium, and {looked}. "
        "Install one, or name its program in QUIZGEN_CHROMIUM.",
        pytrace=False,
    )


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program(), args=ARGUMENTS, headless=True)
        yield browser
        browser.close()


@pytest.fixture
def refused() -> Iterator[list[str]]:
    """Addresses outside that the page asked for; each was blocked.

    Any that is left here at the end fails the test: one that provokes them clears the list.
    """
    asked: list[str] = []
    yield asked
    assert asked == [], f"the page asked for {asked}"


@pytest.fixture
def context(chromium: Browser, refused: list[str]) -> Iterator[BrowserContext]:
    """A browser without history in which only files, data and this computer can be reached."""
    made = chromium.new_context(service_workers="block")

    def decide(route: Route) -> None:
        if OWN.match(route.request.url):
            route.continue_()
        else:
            refused.append(route.request.url)
            route.abort()

    made.route("**/*", decide)
    made.route_web_socket("**/*", lambda socket: refused.append(socket.url))
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return context.new_page()


def joined(change=lambda text: text) -> str:
    """The fragments in one closure that hands what is exposed to `window.room`."""
    source = "\n".join(change((FRAGMENTS / name).read_text("utf-8")) for name in EXPOSED)
    names = ", ".join(name for names in EXPOSED.values() for name in names)
    return f'(function () {{ "use strict";\n{source}\nwindow.room = {{ {names} }};\n}})()'


@pytest.fixture
def script_page(page: Page) -> Page:
    """An empty page in which `room.readNumber` and the others can be called."""
    page.evaluate(joined())
    return page


@pytest.fixture
def minified_page(page: Page) -> Page:
    """The same with the fragments as they are shipped."""
    import rjsmin

    page.evaluate(joined(rjsmin.jsmin))
    return page


