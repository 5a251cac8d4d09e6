"""The overview of the modules: complete in the HTML, right about pages and questions, strict with faults."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from mkdocs.exceptions import Abort, PluginError

Build = Callable[..., Path]

HOME = "# Home\n\n```overview\n```\n"
FLOW = "---\nmodule: flow\n---\n\n# Flow\n\n```practice\npower-of-the-pump\nfill-the-tank\n```\n"
SECOND = (
    "modules:\n",
    "modules:\n  gauge:\n    code: P0\n    title: Reading a gauge\n    minutes: 5\n    outcomes:\n"
    "      gauge-read: You can read a gauge.\n",
)


def course(site: Path) -> dict:
    """What the built script knows of the course."""
    text = next((site / "assets" / "quizgen").glob("practice.*.js")).read_text(encoding="utf-8")
    found, _ = json.JSONDecoder().raw_decode(text, text.index("const COURSE=") + len("const COURSE="))
    return found


@pytest.mark.parametrize(("directories", "link"), [(True, "deep/flow/"), (False, "deep/flow.html")])
def test_each_module_is_listed_with_its_page_and_its_questions(build: Build, directories: bool, link: str) -> None:
    pages = {"index.md": HOME, "deep/flow.md": FLOW}
    site = build(pages, (SECOND,), use_directory_urls=directories)
    html = (site / "index.html").read_text(encoding="utf-8")
    rows = re.findall(r'<li data-module="(.*?)">(.*?)</li>', html)
    assert [module for module, _ in rows] == ["gauge", "flow"]
    assert "P0 Reading a gauge, 5 minutes" in rows[0][1] and "no questions on a page yet" in rows[0][1]
    assert f'<a href="{link}">P1 Flow and power</a>' in rows[1][1] and "2 questions" in rows[1][1]
    assert rows[1][1].count("<i ") == 2
    assert f'Start with <a href="{link}">' in html


def test_the_script_knows_which_question_stands_where(build: Build) -> None:
    was = ("  fill-the-tank:\n", "  fill-the-tank:\n    was: fill-it\n")
    site = build({"index.md": HOME, "deep/flow.md": FLOW}, (SECOND, was), use_directory_urls=False)
    known, home = course(site), (site / "index.html").read_text(encoding="utf-8")
    assert known["id"] == "pump-basics"
    assert re.findall(r'<i data-question="(.*?)" data-page="(.*?)"></i>', home) == [
        ("power-of-the-pump", "deep/flow.html"),
        ("fill-the-tank", "deep/flow.html"),
    ]
    assert [one["id"] for one in known["modules"]] == ["gauge", "flow"]
    assert 'data-question="fill-the-tank" data-kind="numeric" data-module="flow"' in (
        site / "deep" / "flow.html"
    ).read_text(encoding="utf-8")
    assert known["was"] == {"fill-it": "fill-the-tank"}


def test_one_panel_stands_on_each_page_that_has_questions_or_the_overview(build: Build) -> None:
    both = HOME + "\n" + FLOW.split("---\n")[2].replace("power-of-the-pump\n", "")
    other = "# Other\n\n```practice\npower-of-the-pump\n```\n\nText.\n"
    site = build({"index.md": both, "other.md": other, "none.md": "# None\n"}, use_directory_urls=False)
    counts = {
        name: (site / name).read_text("utf-8").count('class="qz-panel"')
        for name in ("index.html", "other.html", "none.html")
    }
    assert counts == {"index.html": 1, "other.html": 1, "none.html": 0}
    home = (site / "index.html").read_text(encoding="utf-8")
    assert home.index("qz-overview") < home.index("qz-panel") < home.index("qz-modules")


def test_an_overview_works_inside_a_box_and_is_text_inside_another_block(build: Build) -> None:
    page = "# A\n\n!!! note\n\n    ```overview\n    ```\n\n````text\n```overview\n```\n````\n"
    site = build({"index.md": page}, markdown_extensions=["admonition", "pymdownx.superfences"])
    html = (site / "index.html").read_text(encoding="utf-8")
    assert html.count('<ul class="qz-modules">') == 1
    assert html.index("admonition") < html.index("qz-modules") < html.index("<code>```overview")


def test_without_any_module_page_the_overview_says_so(build: Build) -> None:
    html = (build({"index.md": HOME}) / "index.html").read_text(encoding="utf-8")
    assert "The first module is on its way." in html


@pytest.mark.parametrize(
    ("pages", "said"),
    [
        ({"index.md": "# A\n\n```overview\nflow\n```\n"}, r"index\.md:4: an overview block stays empty"),
        ({"index.md": HOME + "\n" + HOME}, r"index\.md:8: a second overview block"),
        ({"index.md": "# A\n\n```overview\n"}, r"index\.md:3: .*(does not reach the page|never closed)"),
        ({"index.md": FLOW.replace(": flow", ": flwo")}, r'md:2: module: "flwo" is no .*Did you mean flow\?'),
        ({"index.md": FLOW, "b.md": "---\nmodule: flow\n---\n\n# B\n"}, r'md:\d: module: "flow" has its'),
        ({"index.md": "---\nmodule:\n  - flow\n---\n\n# A\n"}, r"index\.md:2: module: .*is no module"),
    ],
)  # fmt: skip
def test_a_fault_stops_the_build_with_page_and_line(build: Build, pages: dict[str, str], said: str) -> None:
    with pytest.raises((PluginError, Abort), match=said):
        build(pages)
