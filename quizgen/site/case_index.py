"""The `cases` fence: the course's cases of fault tracing from easy to hard, with links and how far one is.

An empty fence lists all; else it names levels. Filled when all pages are known, like the overview, whose row for
fault tracing comes from here too.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape
from typing import Any

from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from quizgen.bank.faults import near, quoted
from quizgen.site.errors import OverviewError
from quizgen.site.fence import markdown_of
from quizgen.site.pages import PANEL
from quizgen.web.bundle import page_style
from quizgen.web.case_html import LEVELS
from quizgen.web.page_blocks import blocks_in

_PLACEHOLDER = re.compile(r'<div class="qz-cases" data-levels="([a-z ]*)"></div>')
_HEADS = {level: level.capitalize() for level in LEVELS if level}
Cases = Mapping[str, Mapping[str, Any]]


def check_cases(markdown: str, page: Page) -> None:
    """A cases fence names levels or nothing; one is enough for a page. Raises OverviewError."""
    blocks = [block for block in blocks_in(markdown) if block.name == "cases"]
    for at, block in enumerate(blocks):
        for line, level in enumerate(block.ids, block.line + 1):
            if level not in _HEADS:
                known = ", ".join(_HEADS)
                said = f"{quoted(level)} is no level: write {known}, or leave the block empty.{near(level, _HEADS)}"
                raise OverviewError(f"{page.file.src_uri}:{line}: {said}")
        if at:
            raise OverviewError(f"{page.file.src_uri}:{block.line}: a second cases block: one is enough for a page")


def fill_cases(html: str, page: Page, cases: Cases, seen: Mapping[str, str], files: Files) -> str:
    """The page's HTML with its list of cases. `seen`: the page each case stands on."""

    def listed(found: re.Match[str]) -> str:
        levels = found.group(1).split() or list(_HEADS)
        made = ""
        for level in levels:
            of_level = [id for id in seen if LEVELS[cases[id]["difficulty"]] == level]
            rows = "".join(_row(id, cases[id], files.src_uris[seen[id]], page) for id in of_level)
            head = f"<p><b>{_HEADS[level]}</b></p>" if len(levels) > 1 else ""
            made += f'{head}<ul class="qz-modules">{rows}</ul>' if rows else ""
        style = f"<style>{page_style('cases')}</style>"
        return f'<div class="qz-overview qz-cases">{style}{PANEL}{made}</div>'

    return _PLACEHOLDER.sub(listed, html.replace(PANEL, "")) if _PLACEHOLDER.search(html) else html


def _row(id: str, case: Mapping[str, Any], file: File, page: Page) -> str:
    link = f'<a href="{escape(file.url_relative_to(page.file))}#case-{escape(id)}">{escape(case["title"])}</a>'
    if case["outside"]:
        return f'<li>{link}<span class="qz-tally">outside the method: only to read</span></li>'
    return (
        f'<li data-module="case-{escape(id)}">{link}'
        f'<span class="qz-strip" aria-hidden="true">{_cell(id, file, page)}</span>'
        f'<span class="qz-tally">not begun</span></li>'
    )


def _cell(id: str, file: File, page: Page) -> str:
    """Tells the script which case there is and where it stands, as for the overview's questions."""
    return f'<i data-question="case-{escape(id)}" data-page="{escape(file.url_relative_to(page.file))}"></i>'


def overview_row(page: Page, cases: Cases, seen: Mapping[str, str], files: Files, listed: File | None) -> str:
    """The row of fault tracing among the modules; "" where no case stands on a page. `listed`: see `list_page`."""
    played = [id for id in seen if not cases[id]["outside"]]
    if not played:
        return ""
    address = escape((listed or files.src_uris[seen[played[0]]]).url_relative_to(page.file))
    cells = "".join(_cell(id, files.src_uris[seen[id]], page) for id in played)
    count = f"{len(played)} case{'' if len(played) == 1 else 's'}"
    # A name that no module can have.
    return (
        f'<li data-module="cases/all"><a href="{address}">Fault tracing</a>, about 15 minutes a case'
        f'<span class="qz-strip" aria-hidden="true">{cells}</span><span class="qz-tally">{count}</span></li>'
    )


def list_page(files: Files) -> File | None:
    """The page that lists all cases, if there is one."""
    for file in files.documentation_pages():
        if file.page and any(b.name == "cases" and not b.ids for b in blocks_in(markdown_of(file.page))):
            return file
    return None
