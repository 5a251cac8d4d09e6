"""Our fences: `practice` lists question ids, `worked` names an example, `table` a table of the
bank, `overview` shows the modules, `map` the chain, `picture` a drawing, `case` a case of fault tracing,
`cases` the list of them, `your-plan` what a learner was assigned.

A fence leaves a placeholder and knows nothing else. The real work is done once the page is known
(`pages.py`), because a formatter is called without a page, also for blocks that are thrown away
later, and its ordinary exceptions are swallowed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from html import escape
from typing import Any

from mkdocs.structure.pages import Page

NAMES = ("practice", "worked", "table", "overview", "map", "picture", "case", "cases", "your-plan")
EMPTY = ("overview", "map", "cases", "your-plan")
"""Fences that may hold nothing."""
_FENCE = re.compile(r"[ \t>]*(`{3,}|~{3,})[ \t]*([^`\n]*)$")
PLACEHOLDER = re.compile(r'<div class="qz-block" data-block="([a-z-]+)" data-ids="([^"]*)"></div>')


@dataclass(frozen=True, slots=True)
class Block:
    """A live fence in a page's Markdown: its line, name and ids, all as the author sees them."""

    line: int
    name: str
    ids: tuple[str, ...]


def placeholder(name: str, source: str, *_: Any, **__: Any) -> str:
    """What the fence leaves in the page; whether the ids exist is seen later."""
    return f'<div class="qz-block" data-block="{name}" data-ids="{escape(" ".join(source.split()))}"></div>'


def custom_fences() -> list[dict[str, Any]]:
    return [{"name": name, "class": f"qz-{name}", "format": partial(placeholder, name)} for name in NAMES]


def markdown_of(page: Page) -> str:
    """The page's Markdown with its front matter, so that line numbers are the author's."""
    return page.file.content_string if page.file.generated_by is None else ""


def plain_lines(markdown: str) -> Iterator[tuple[int, str, str | None]]:
    """(line number, line, info of the fence it lies in); the info is None outside of fences and on their marks."""
    mark, info = "", ""
    for number, line in enumerate(markdown.splitlines(), 1):
        fence = _FENCE.match(line)
        if not mark and fence:
            mark, info = fence.group(1), fence.group(2).strip()
            yield number, line, None
        elif mark and fence and fence.group(1).startswith(mark) and not fence.group(2).strip():
            mark = ""
            yield number, line, None
        else:
            yield number, line, info if mark else None


def blocks_in(markdown: str) -> list[Block]:
    """Every fence of ours in a page's Markdown, also one that is never closed; other fences are passed over."""
    found: list[Block] = []
    mark = ""
    for number, line in enumerate(markdown.splitlines(), 1):
        fence = _FENCE.match(line)
        if not mark and fence:
            mark, name = fence.group(1), fence.group(2).strip()
            ours = name in NAMES
            if ours:
                found.append(Block(number, name, ()))
        elif mark and fence and fence.group(1).startswith(mark) and not fence.group(2).strip():
            mark = ""
        elif mark and ours:
            last = found[-1]
            found[-1] = Block(last.line, last.name, (*last.ids, *line.strip(" >\t").split()))
    return found
