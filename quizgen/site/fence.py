"""The `practice` fence: lists question ids, leaves a placeholder, knows nothing else.

The real work is done once the page is known (`pages.py`), because a formatter is called without a
page, also for blocks that are thrown away later, and its ordinary exceptions are swallowed.
"""

from __future__ import annotations

import re
from html import escape
from typing import Any

NAME = "practice"
PLACEHOLDER = re.compile(r'<div class="qz-practice" data-ids="([^"]*)"></div>')


def practice_fence(source: str, *_: Any, **__: Any) -> str:
    """The placeholder for the ids in the fence, one a line; whether they exist is seen later."""
    return f'<div class="qz-practice" data-ids="{escape(" ".join(source.split()))}"></div>'


def fences_in(markdown: str) -> list[tuple[int, list[str]]]:
    """Line number and ids of every live practice fence in a page's Markdown, other fences passed over."""
    found: list[tuple[int, list[str]]] = []
    open_mark, open_at, ids = "", 0, None
    for number, line in enumerate(markdown.splitlines(), 1):
        fence = re.match(r"[ \t>]*(`{3,}|~{3,})[ \t]*(\{?[^`\n]*)$", line)
        if not open_mark and fence:
            open_mark, open_at = fence.group(1), number
            ids = [] if fence.group(2).strip() == NAME else None
        elif open_mark and fence and fence.group(1).startswith(open_mark) and not fence.group(2).strip():
            if ids is not None:
                found.append((open_at, ids))
            open_mark, ids = "", None
        elif ids is not None:
            ids += line.strip(" >\t").split()
    if ids is not None:
        # Never closed: Markdown leaves it as text, and the missing placeholder tells.
        found.append((open_at, ids))
    return found


def custom_fence() -> dict[str, Any]:
    return {"name": NAME, "class": "qz-practice", "format": practice_fence}
