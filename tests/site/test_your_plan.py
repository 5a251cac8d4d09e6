"""The block of a learner's plan in the built page: strict with its fence, whole, and in the table of contents."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from mkdocs.exceptions import Abort, PluginError

Build = Callable[..., Path]

HOME = "# Home\n\n## Before\n\n```your-plan\n```\n\n## After\n\nText.\n"
FLOW = "---\nmodule: flow\n---\n\n# Flow\n\n```practice\npower-of-the-pump\nfill-the-tank\n```\n"


@pytest.fixture
def site(build: Build) -> Path:
    return build({"deep/home.md": HOME, "index.md": "# Start\n", "flow.md": FLOW}, use_directory_urls=False)


def test_the_page_holds_what_can_be_assigned_and_proposed_with_its_places(site: Path) -> None:
    html = (site / "deep" / "home.html").read_text(encoding="utf-8")
    found = re.search(r'<template class="qz-plan-data">(.*?)</template>', html)
    assert found
    data = json.loads(found[1])
    assert (data["again"], data["cases"]) == (7, [])
    [module] = data["modules"]
    assert (module["id"], module["name"], module["page"]) == ("flow", "P1 Flow and power", "../flow.html")
    assert [one[:3] for one in module["questions"]] == [
        ["power-of-the-pump", "../flow.html", 1],
        ["fill-the-tank", "../flow.html", 2],
    ]
    assert all(3 < len(one[3]) <= 82 for one in module["questions"])


def test_its_headings_stand_in_the_contents_at_their_place(site: Path) -> None:
    html = (site / "deep" / "home.html").read_text(encoding="utf-8")
    listed = re.findall(r'href="#([a-z-]+)"', html)
    order = [listed.index(id) for id in ("before", "what-is-due", "once-more", "after")]
    assert order == sorted(order)


def test_there_is_one_panel(site: Path) -> None:
    assert (site / "deep" / "home.html").read_text(encoding="utf-8").count('<div class="qz-panel">') == 1


@pytest.mark.parametrize(
    ("text", "why"),
    [("# H\n\n```your-plan\nflow\n```\n", "index.md:4: a your-plan block stays empty"),
     (HOME + "\n```your-plan\n```\n", "index.md:12: a second your-plan block")],
)  # fmt: skip
def test_a_block_that_is_not_empty_or_not_alone_is_refused(build: Build, text: str, why: str) -> None:
    with pytest.raises((PluginError, Abort), match=why):
        build({"index.md": text, "flow.md": FLOW})
