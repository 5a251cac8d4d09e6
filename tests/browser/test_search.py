"""The theme's search finds words from a folder and from an address, and asks the network for nothing."""

import json
import re

import pytest


def find(page, word):
    page.get_by_role("textbox", name="Search").press_sequentially(word)  # the theme looks at keys
    return page.locator(".md-search-result__item")


@pytest.fixture(params=["folder", "root", "below a root", "shop"])
def address(request, overview_site, serve):
    if request.param == "folder":
        return overview_site.as_uri()
    if request.param == "below a root":
        return serve(overview_site.parent) + "/course"
    found = serve(overview_site)
    return found.replace("127.0.0.1", "shop.test") if request.param == "shop" else found


def test_search_finds_a_word_and_leads_to_its_page(page, address):
    page.set_viewport_size({"width": 1280, "height": 800})
    page.goto(f"{address}/flow.html")
    found = find(page, "turbine")
    found.first.wait_for()
    assert "A small pump" in found.first.inner_text()
    found.first.get_by_role("link").first.click()
    page.wait_for_url(re.compile(r"index\.html"))
    assert page.get_by_text("The word turbine stands here.").is_visible()


def test_search_says_when_it_finds_nothing_in_a_folder(page, overview_site):
    page.goto(f"{overview_site.as_uri()}/index.html")
    found = find(page, "hovercraft")
    page.locator(".md-search-result__meta", has_text="No matching documents").wait_for()
    assert found.count() == 0


def test_questions_asked_before_the_index_is_there_are_answered_later(page, overview_site):
    """The first letters are typed while the frame still loads."""
    page.goto(f"{overview_site.as_uri()}/index.html")
    page.get_by_role("textbox", name="Search").press_sequentially("hydraulic", delay=0)
    page.locator(".md-search-result__item").first.wait_for()


def test_the_worker_is_only_replaced_in_a_folder(page, overview_site, serve):
    page.goto(f"{overview_site.as_uri()}/index.html")
    assert page.evaluate("window.Worker === window.IFrameWorker")
    page.goto(f"{serve(overview_site)}/index.html")
    assert page.evaluate("typeof window.IFrameWorker") == "undefined"
    assert "native code" in page.evaluate("String(window.Worker)")


WORKER = """addEventListener("message", async ({data}) => {
  await importScripts("more.js");
  postMessage(data + more);
})"""


def test_a_frame_worker_keeps_the_order_of_messages_and_reads_further_scripts(page, overview_site, tmp_path):
    script = next((overview_site / "assets" / "quizgen").glob("iframe-worker.*.js"))
    (tmp_path / "page.html").write_text(f"<!doctype html><title>x</title><script>{script.read_text()}</script>")
    (tmp_path / "work.js").write_text(WORKER)
    (tmp_path / "more.js").write_text("self.more = (self.more || 0) + 1")
    page.goto((tmp_path / "page.html").as_uri())
    said = page.evaluate(
        """() => new Promise((done) => {
          const said = [], worker = new Worker("work.js");
          worker.addEventListener("message", ({data}) => {
            said.push(data);
            if (said.length === 3) done(said);
          });
          for (const text of ["a", "b", "c"]) worker.postMessage(text);
        })"""
    )
    assert sorted(text[0] for text in said) == ["a", "b", "c"]
    page.evaluate("new Worker('work.js').terminate()")
    assert page.locator("iframe").count() == 1, "the ended worker's frame is gone"


def test_the_index_in_the_script_is_the_index(overview_site):
    index = json.loads((overview_site / "search" / "search_index.json").read_text(encoding="utf-8"))
    script = (overview_site / "search" / "search_index.js").read_text(encoding="utf-8")
    assert json.loads(script.removeprefix("var __index = ")) == index
    assert any("turbine" in entry["text"] for entry in index["docs"])


def test_an_author_who_lists_the_theme_s_offline_plugin_still_gets_no_script_from_the_network(tmp_path):
    from mkdocs.commands.build import build
    from mkdocs.config import load_config

    from tests.browser.conftest import PUMP

    for at, plugins in enumerate((["offline", "search", "quizgen"], ["quizgen", "search", "offline"])):
        site = tmp_path / str(at)
        config = load_config(str(PUMP / "mkdocs.yml"), site_dir=str(site), plugins=plugins)
        config.plugins.on_startup(command="build", dirty=False)
        build(config)
        scripts = re.findall(r'<script src="([^"]+)"', (site / "index.html").read_text(encoding="utf-8"))
        assert any("iframe-worker" in one for one in scripts)
        assert [one for one in scripts if "//" in one] == []
        assert (site / "search" / "search_index.js").is_file()
