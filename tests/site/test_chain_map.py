"""The map of the chain and the strip on a module's page: complete in the HTML, every way right."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest
from mkdocs.exceptions import PluginError

Build = Callable[..., Path]

CHAIN = (
    "modules:\n",
    "chain:\n  stages:\n    well:\n      name: Well & cover\n      does: Gives water.\n      module: flow\n"
    "      gives: clear water\n    tank:\n      name: Tank\n      does: Keeps water.\n      module: other\n"
    "    gauge:\n      name: Gauge\n      does: Shows the level.\n      module: flow\n      beside: tank\n"
    "modules:\n  other:\n    code: P2\n    title: Tanks\n    minutes: 5\n    outcomes:\n      o: You can.\n",
)
HOME = "# Home\n\n```map\n```\n"
FLOW = "---\nmodule: flow\n---\n\n# Flow\n\n```practice\npower-of-the-pump\nfill-the-tank\n```\n"


def drawings(html: str) -> list[ET.Element]:
    return [ET.fromstring(found) for found in re.findall(r'<svg class="qz-map-[a-z]+".*?</svg>', html, re.DOTALL)]


@pytest.mark.parametrize(("directories", "link"), [(True, "deep/flow/"), (False, "deep/flow.html")])
def test_every_stage_leads_to_the_module_that_teaches_it(build: Build, directories: bool, link: str) -> None:
    site = build({"index.md": HOME, "deep/flow.md": FLOW}, (CHAIN,), use_directory_urls=directories)
    html = (site / "index.html").read_text(encoding="utf-8")
    for drawing in drawings(html):
        ways = [(a.get("href"), a.get("aria-label")) for a in drawing.iter("a")]
        assert ways == [
            (link, "1 Well & cover. Gives water. P1, 2 questions"),
            (link, "Gauge. Shows the level. P1, 2 questions"),
        ]
        assert [g.get("aria-label") for g in drawing.iter("g") if g.get("role")] == [
            "2 Tank. Keeps water. P2, 0 questions"
        ]
    assert len(drawings(html)) == 2
    assert "clear water" in html


def test_a_module_page_says_where_it_stands(build: Build) -> None:
    other = "---\nmodule: other\n---\n\n# Tanks\n\nText.\n"
    site = build({"index.md": HOME, "flow.md": FLOW, "other.md": other}, (CHAIN,), use_directory_urls=False)
    flow, other = ((site / name).read_text(encoding="utf-8") for name in ("flow.html", "other.html"))
    assert (
        "You are here: <strong>Well &amp; cover</strong>, stage 1 of 2; <strong>Gauge</strong>, beside stage 2." in flow
    )
    assert flow.index("<h1") < flow.index('class="qz-here"') < flow.index("data-question")
    assert re.findall(r'aria-label="([^"]*)" aria-current="location"', other) == ["2 Tank"]


def test_a_module_over_the_whole_chain_stands_at_no_single_stage(build: Build) -> None:
    other = "---\nmodule: other\n---\n\n# Tanks\n\nText.\n"
    over = ("chain:\n", "chain:\n  whole: other\n")
    site = build({"index.md": HOME, "other.md": other}, (CHAIN, over), use_directory_urls=False)
    html = (site / "other.html").read_text(encoding="utf-8")
    assert "For the whole chain, from stage 1 to stage 2." in html and 'aria-current="location"' not in html
    map = drawings((site / "index.html").read_text(encoding="utf-8"))[0]
    assert "other.html" in [a.get("href") for a in map.iter("a")]


def test_a_course_without_chain_has_no_strip(build: Build) -> None:
    site = build({"flow.md": FLOW, "index.md": "# Home\n\nText.\n"}, use_directory_urls=False)
    assert "qz-here" not in (site / "flow.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("page", "bank", "says"),
    [
        (HOME, (), "index.md:3: a map needs a chain: section in the bank"),
        ("# Home\n\n```map\nwell\n```\n", (CHAIN,), "index.md:4: a map block stays empty"),
        (HOME + "\n```map\n```\n", (CHAIN,), "index.md:6: a second map block"),
    ],
)
def test_a_map_that_cannot_be_drawn_fails_with_page_and_line(build: Build, page: str, bank: tuple, says: str) -> None:
    with pytest.raises(PluginError, match=re.escape(says)):
        build({"index.md": page}, bank)
