"""Filling a page: placeholders become questions and reference parts, payloads go in at the end."""

from __future__ import annotations

import re
from html import unescape

from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from quizgen.bank.faults import near, quoted
from quizgen.bank.models import Bank
from quizgen.site.fence import PLACEHOLDER, fences_in
from quizgen.variants.compile import Compiled
from quizgen.web.payload import template_html
from quizgen.web.question_html import question_html
from quizgen.web.sheet import formula_html, symbols_html, table_html

_PART = re.compile(r'<div data-quizgen="(formula|table|symbols):([a-z0-9-]*)"></div>')
_DATA = re.compile(r'(data-question="([a-z0-9-]+)".*?<template class="qz-data">)(</template>)', re.DOTALL)


class PageError(Exception):
    """A page that cannot be filled: one line with page and line number."""


def fill_page(
    html: str, page: Page, bank: Bank, compiled: dict[str, Compiled], seen: dict[str, str], files: Files
) -> str:
    """The page's HTML with its questions and reference parts in place. Raises PageError."""
    uri = page.file.src_uri
    _conserved(html, page)
    number = 0

    def questions(found: re.Match[str]) -> str:
        nonlocal number
        made = ""
        for id in unescape(found.group(1)).split():
            if id not in compiled:
                raise PageError(_unknown(page, id, bank, compiled))
            if seen.get(id, uri) != uri or f'id="q-{id}"' in made:
                raise PageError(f"{_where(page, id)}: question {quoted(id)} stands twice: on {seen.get(id, uri)} too")
            seen[id] = uri
            number += 1
            made += question_html(compiled[id], number)
        return f'<div class="qz-practice">{made}</div>'

    html = PLACEHOLDER.sub(questions, html)
    html = _PART.sub(lambda found: _part(bank, found.group(1), found.group(2)), html)
    # Ids in raw HTML are unknown to mkdocs' own check of links within the site.
    page.present_anchor_ids = {*(page.present_anchor_ids or ()), *re.findall(r' id="(q-[a-z0-9-]+)"', html)}
    return html


def _part(bank: Bank, kind: str, id: str) -> str:
    if kind == "formula":
        return formula_html(bank, bank.formulas[id])
    return table_html(bank, bank.tables[id]) if kind == "table" else symbols_html(bank)


def _markdown(page: Page) -> str:
    """The page's Markdown with its front matter, so that line numbers are the author's."""
    return page.file.content_string if page.file.generated_by is None else ""


def _conserved(html: str, page: Page) -> None:
    """Every practice fence of the source must have reached the HTML."""
    fences = fences_in(_markdown(page))
    reached = [unescape(found) for found in PLACEHOLDER.findall(html)]
    for line, ids in fences:
        if not ids:
            raise PageError(f"{page.file.src_uri}:{line}: an empty practice block: list at least one question id")
        if " ".join(ids) in reached:
            reached.remove(" ".join(ids))
            continue
        raise PageError(
            f"{page.file.src_uri}:{line}: this practice block does not reach the page: "
            "check that it is closed, and indented by four spaces inside a list or box"
        )


def _where(page: Page, id: str) -> str:
    for line, ids in fences_in(_markdown(page)):
        if id in ids:
            return f"{page.file.src_uri}:{line + 1 + ids.index(id)}"
    return page.file.src_uri


def _unknown(page: Page, id: str, bank: Bank, compiled: dict[str, Compiled]) -> str:
    if id in bank.questions:
        return f"{_where(page, id)}: question {quoted(id)} is for papers only and cannot stand on a page"
    return f"{_where(page, id)}: {quoted(id)} is no question in the bank.{near(id, compiled)}"


def put_payload(output: str, compiled: dict[str, Compiled]) -> str:
    """The finished page with each question's data in its template."""
    if "qz-data" not in output:
        return output
    return _DATA.sub(lambda m: m.group(1) + template_html(compiled[m.group(2)]) + m.group(3), output)
