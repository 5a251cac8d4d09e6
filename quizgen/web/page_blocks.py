"""Our fences in a page's Markdown, as its author sees them. No mkdocs: the commands read pages, too."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

NAMES = ("practice", "worked", "table", "overview", "map", "picture", "case", "cases", "your-plan")
_FENCE = re.compile(r"[ \t>]*(`{3,}|~{3,})[ \t]*([^`\n]*)$")


@dataclass(frozen=True, slots=True)
class Block:
    """A live fence in a page's Markdown: its line, name and ids, all as the author sees them."""

    line: int
    name: str
    ids: tuple[str, ...]


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
