"""Tables of sentences on a narrow screen: each row becomes a block, each cell says which column it stands in.

Columns of numbers stay columns. The table keeps its roles, also where a browser drops them with its layout.
"""

from __future__ import annotations

import re
from html import escape, unescape

from quizgen.web.bundle import page_style

COLUMNS = 3
"""Two columns fit on any screen."""
SENTENCE = 20
"""Characters in the middle of all cells: fewer are numbers and single words."""

_TABLE = re.compile(r"<table>.*?</table>", re.DOTALL)
_HEAD = re.compile(r"<th(?: [^>]*)?>(.*?)</th>", re.DOTALL)
_CELL = re.compile(r"<td((?: [^>]*)?)>(.*?)</td>", re.DOTALL)
_TAG = re.compile(r"<[^>]+>")
_ROLES = {"table": "table", "thead": "rowgroup", "tbody": "rowgroup", "tr": "row"}
"""None for a head: its own stays, and the theme would take it for one that sorts."""


def rows_of_sentences(html: str) -> str:
    """A page's HTML with its tables of sentences made ready for a narrow screen, and the style for them once."""
    made, count = _TABLE.subn(lambda found: _labelled(found.group()), html)
    if count and '<div class="qz-rows">' in made:
        return made.replace('<div class="qz-rows">', f'<style>{page_style("rows")}</style><div class="qz-rows">', 1)
    return made


def _labelled(table: str) -> str:
    heads = [_text(head) for head in _HEAD.findall(table)]
    cells = [_text(cell) for _, cell in _CELL.findall(table)]
    if len(heads) < COLUMNS or not cells or sum(map(len, cells)) < SENTENCE * len(cells):
        return table
    at = iter(range(len(cells)))

    def cell(found: re.Match[str]) -> str:
        head = heads[next(at) % len(heads)]
        return f'<td role="cell" data-head="{escape(head)}"{found.group(1)}>{found.group(2)}</td>'

    for name, role in _ROLES.items():
        table = re.sub(rf"<{name}(?=[ >])", f'<{name} role="{role}"', table)
    return f'<div class="qz-rows">{_CELL.sub(cell, table)}</div>'


def _text(html: str) -> str:
    return unescape(_TAG.sub("", html)).strip()
