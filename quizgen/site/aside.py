"""Leaving a folder of pages, like the trainer's manual, out of the navigation; the pages stay where they are."""

from __future__ import annotations

from itertools import pairwise

from mkdocs.structure import StructureItem
from mkdocs.structure.nav import Navigation, Section
from mkdocs.structure.pages import Page


def leave_out(nav: Navigation, folder: str) -> Navigation:
    """The navigation without the pages of a folder, and without sections that are empty then."""
    start = f"{folder.strip('/')}/"
    out = [page for page in nav.pages if page.file.src_uri.startswith(start)]
    for page in out:
        page.previous_page = page.next_page = page.parent = None
    kept = [page for page in nav.pages if page not in out]
    for before, after in pairwise(kept):
        before.next_page, after.previous_page = after, before
    if kept:
        kept[0].previous_page = kept[-1].next_page = None
    nav.pages, nav.items = kept, _without(nav.items, out)
    return nav


def _without(items: list[StructureItem], out: list[Page]) -> list[StructureItem]:
    made: list[StructureItem] = []
    for item in items:
        if isinstance(item, Section):
            had = bool(item.children)
            item.children = _without(item.children, out)
            if had and not item.children:
                continue
        elif item in out:
            continue
        made.append(item)
    return made
