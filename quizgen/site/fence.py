"""Our fences: `practice` lists question ids, `worked` names an example, `table` a table of the
bank, `overview` shows the modules, `map` the chain, `picture` a drawing, `case` a case of fault tracing,
`cases` the list of them, `your-plan` what a learner was assigned.

A fence leaves a placeholder and knows nothing else. The real work is done once the page is known
(`pages.py`), because a formatter is called without a page, also for blocks that are thrown away
later, and its ordinary exceptions are swallowed.
"""

from __future__ import annotations

import re
from functools import partial
from html import escape
from typing import Any

from mkdocs.structure.pages import Page

from quizgen.web.page_blocks import NAMES

EMPTY = ("overview", "map", "cases", "your-plan")
"""Fences that may hold nothing."""
PLACEHOLDER = re.compile(r'<div class="qz-block" data-block="([a-z-]+)" data-ids="([^"]*)"></div>')


def placeholder(name: str, source: str, *_: Any, **__: Any) -> str:
    """What the fence leaves in the page; whether the ids exist is seen later."""
    return f'<div class="qz-block" data-block="{name}" data-ids="{escape(" ".join(source.split()))}"></div>'


def custom_fences() -> list[dict[str, Any]]:
    return [{"name": name, "class": f"qz-{name}", "format": partial(placeholder, name)} for name in NAMES]


def markdown_of(page: Page) -> str:
    """The page's Markdown with its front matter, so that line numbers are the author's."""
    return page.file.content_string if page.file.generated_by is None else ""
