"""A question that asks for a table leads to it: on its page, on another, or on the sheet of formulas."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

Build = Callable[..., Path]

ROWS = "".join(f"      {2 * n}  {n * n + 3}\n" for n in range(1, 15))
TABLE = (
    "questions:\n",
    f"tables:\n  pipe:\n    title: Flow & tank\n    from: Q_v\n    to: V_t\n    read: equal row\n    rows: |\n{ROWS}"
    "    source: common practice\nquestions:\n  read-the-pipe:\n    module: flow\n    outcome: pump-time\n"
    "    kind: look-up\n    text: >\n      A pipe passes (Q_v).\n    given:\n      Q_v: any row of pipe\n"
    "    find: V_t\n    by: pipe\n    ask: How large is the tank?\n    answer: whole number\n",
)
ASKS = "# Home\n\n```practice\nread-the-pipe\nfill-the-tank\n```\n"
SHOWS = "# Table\n\n```table\npipe\n```\n"


@pytest.mark.parametrize(
    ("pages", "page", "link"),
    [
        ({"index.md": ASKS}, "index.html", "reference/formulas.html#sheet-table-pipe"),
        ({"index.md": "# Home\n\nText.\n", "b.md": ASKS, "a/t.md": SHOWS}, "b.html", "a/t.html#table-pipe"),
        ({"index.md": ASKS + SHOWS[8:]}, "index.html", "index.html#table-pipe"),
    ],
)
def test_the_question_leads_to_its_table(build: Build, pages: dict[str, str], page: str, link: str) -> None:
    site = build(pages, (TABLE,), use_directory_urls=False)
    html = (site / page).read_text(encoding="utf-8")
    assert re.findall(r'<p class="qz-way">Table: <a href="([^"]*)">Flow &amp; tank</a></p>', html) == [link]
    target, _, anchor = link.partition("#")
    assert ((site / page).parent / target).read_text(encoding="utf-8").count(f'id="{anchor}"') == 1
