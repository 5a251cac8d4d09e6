"""A real Chromium without a network, and a page that holds the course's JavaScript.

A missing browser is an error, never a skip: what runs in the page is proved nowhere else.
"""

import importlib.util
import os
import re
import shutil
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, sync_playwright

import quizgen.web
from tests.once import KEPT, kept, once

ROOT = Path(__file__).parents[2]
PUMP = ROOT / "tests" / "courses" / "pump"
FRAGMENTS = Path(quizgen.web.__file__).parent / "script"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
    "--host-resolver-rules=MAP shop.test 127.0.0.1",  # a name in a shop's network, by plain http
)
OWN = re.compile(r"(?:file|data|about|blob):|https?://(?:127\.0\.0\.1|localhost|shop\.test|\[::1\])(?:[:/]|$)")
EXPOSED = {
    "number.js": ("readNumber", "unitTable"),
    "write.js": ("writeNumber", "lastPlace", "spaced", "withUnit"),
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
        f"The tests of the pages need Chromium, and {looked}. Install one, or name its program in QUIZGEN_CHROMIUM.",
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
    return f'(function () {{ "use strict";\nconst UNIT_LIST = [];\n{source}\nwindow.room = {{ {names} }};\n}})()'


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


def built(
    course: Path, folder: Path, pages: dict[str, str] | None = None, more: str = "", store: Path | None = None
) -> Path:
    """The course's site under folder/www/course, so that www serves it below a root.

    pages: name → Markdown, written over a copy; more: lines for the end of its bank/course.yml; store: a cache
    to use. As on a stick: the theme without fonts from the network, addresses that end in .html.
    """
    from mkdocs.commands.build import build
    from mkdocs.config import load_config

    copy, site = folder / "made", folder / "www" / "course"
    # The look keeps its drawings in .icons, so not every hidden folder stays behind.
    hidden = (".git", ".venv", ".cache", ".ci", ".*_cache", ".hypothesis")
    shutil.copytree(course, copy, ignore=shutil.ignore_patterns(*hidden, "site", "tests", "quizgen"))
    for name, text in (pages or {}).items():
        next(copy.rglob("index.md")).with_name(name).write_text(text, encoding="utf-8")
    if more:
        with (copy / "bank" / "course.yml").open("a", encoding="utf-8") as file:
            file.write(more)
    if store:
        (copy / ".cache").mkdir()
        os.symlink(store, copy / ".cache" / "quizgen")
    config = load_config(str(copy / "mkdocs.yml"), strict=True, site_dir=str(site), use_directory_urls=False,
                         site_url="", plugins=["search", "quizgen"])  # fmt: skip
    config.theme["font"] = False
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    return site


@pytest.fixture(scope="session")
def pump_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small pump course, built: both questions on index.html."""
    return built(PUMP, tmp_path_factory.mktemp("pump"))


@pytest.fixture(scope="session")
def overview_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pump course with an overview at home, its questions on flow.html, and an empty second module."""
    home = "# A small pump\n\nFill a tank.\n\n```overview\n```\n\nThe word turbine stands here.\n"
    both = "```practice\nfill-the-tank\npower-of-the-pump\n```\n"
    flow = f"---\nmodule: flow\n---\n\n# Flow and power\n\n{both}"
    old = (PUMP / "bank" / "course.yml").read_text(encoding="utf-8")
    assert "was:" not in old
    folder = tmp_path_factory.mktemp("overview")
    course = folder / "source"
    shutil.copytree(PUMP, course, ignore=shutil.ignore_patterns(".*"))
    changed = old.replace("modules:\n", MORE_MODULES)
    changed = changed.replace("  fill-the-tank:\n", "  fill-the-tank:\n    was: fill-it\n")
    (course / "bank" / "course.yml").write_text(changed, encoding="utf-8")
    return built(course, folder, {"index.md": home, "flow.md": flow})


MORE_MODULES = """modules:
  pressure:
    code: P0
    title: Pressure
    minutes: 10
    outcomes:
      pressure-read: You can read a gauge.
"""


@pytest.fixture(scope="session")
def course_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """This repository's course, built: once for all workers, so no test may change it."""
    kept(tmp_path_factory)
    folder = once(tmp_path_factory, "course", lambda folder: built(ROOT, folder, store=KEPT))
    return folder / "www" / "course"


@pytest.fixture
def serve() -> Iterator[Callable[[Path], str]]:
    """Serve a folder as `start.py lend` does; gives its address by this machine's number."""
    spec = importlib.util.spec_from_file_location("start", ROOT / "start.py")
    start = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(start)
    servers = []

    def serving(folder: Path) -> str:
        servers.append(start.open_lender(folder, "127.0.0.1", [0]))
        threading.Thread(target=servers[-1].serve_forever, args=[0.01], daemon=True).start()
        return f"http://127.0.0.1:{servers[-1].server_port}"

    yield serving
    for server in servers:
        server.shutdown()
        server.server_close()


def in_our_look(name: str, folder: Path) -> Path:
    """A small course built with this repository's mkdocs.yml and look."""
    source = folder / "source"
    without = shutil.ignore_patterns(".*", "mkdocs.yml")
    shutil.copytree(PUMP.with_name(name), source / "course", ignore=without)
    shutil.copytree(ROOT / "overrides", source / "overrides")
    # Without its list of pages, which are those of the real course.
    settings = re.sub(r"^nav:\n(?:[ \t-].*\n|\n)*", "", (ROOT / "mkdocs.yml").read_text("utf-8"), flags=re.M)
    (source / "mkdocs.yml").write_text(settings, "utf-8")
    return built(source, folder)


@pytest.fixture(scope="session")
def workbench_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every kind of question, once, all on index.html."""
    return in_our_look("workbench", tmp_path_factory.mktemp("workbench"))


@pytest.fixture(scope="session")
def hostile_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Questions in which every text wants to be markup, all on index.html."""
    return in_our_look("hostile", tmp_path_factory.mktemp("hostile"))


@pytest.fixture
def bench(chromium: Browser, workbench_site: Path) -> Iterator[Page]:
    """The workbench course open from a folder, nothing done yet; `window.heard` collects what is said.

    Cut off from every network, which is quicker than a look at each request.
    """
    from tests.browser.workbench import HEARD

    context = chromium.new_context(offline=True, service_workers="block")
    context.add_init_script(HEARD)
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: None if OWN.match(request.url) else asked.append(request.url))
    page.goto(f"{workbench_site.as_uri()}/index.html")
    yield page
    context.close()
    assert asked == []
