"""Headings that a block brings along, put into the page's table of contents at their place."""

from __future__ import annotations

from collections.abc import Iterable

from mkdocs.structure.pages import Page
from mkdocs.structure.toc import AnchorLink


def put_headings(page: Page, at: int, entries: Iterable[tuple[str, str]]) -> None:
    """Pairs of anchor and title become entries of the second level, after the first `at` that are there."""
    found = page.toc.items
    if len(found) == 1 and found[0].level == 1:
        found = found[0].children
    found[at:at] = [AnchorLink(title, id, 2) for id, title in entries]
