"""Filling a page: placeholders become questions, worked examples and reference parts; payloads go in at the end."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape, unescape

from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from quizgen.bank.faults import near, quoted
from quizgen.bank.models import Bank
from quizgen.site.cases import Cases
from quizgen.site.fence import EMPTY, PLACEHOLDER, blocks_in
from quizgen.variants.compile import Compiled
from quizgen.variants.example import Example
from quizgen.web.bundle import page_style
from quizgen.web.case_html import case_html
from quizgen.web.example_html import example_html
from quizgen.web.glossary import glossary_html, mark_terms
from quizgen.web.lists import checks_html, sources_html
from quizgen.web.payload import template_html
from quizgen.web.question_html import question_html
from quizgen.web.sheet import formula_html, symbols_html, table_html

PANEL = '<div class="qz-panel"></div>'
PAPER = '<div class="qz-paper"></div>'
"""Kept free for the switch that prints with answers."""
"""Where the script puts whose practice this is; its height is reserved."""
_PART = re.compile(r'<div data-quizgen="(formula|table|symbols|sources|checks|glossary|sheet):([a-z0-9-]*)"></div>')
_TABLE = re.compile(r'<a data-table="([a-z0-9-]+)">')
_CASE = re.compile(r'(data-case="([a-z0-9-]+)".*?<template class="qz-case-data">)(</template>)', re.DOTALL)
_DATA = re.compile(r'(data-question="([a-z0-9-]+)".*?<template class="qz-data">)(</template>)', re.DOTALL)


_HOLDS = {
    "practice": "a question id",
    "worked": "an example's id",
    "table": "a table's id",
    "picture": "a picture's name",
    "case": "a case's id",
}


class PageError(Exception):
    """A page that cannot be filled: one line with page and line number."""


@dataclass(slots=True)
class Content:
    """What pages are filled from, and which page each question stands on in this build."""

    bank: Bank
    compiled: dict[str, Compiled]
    examples: dict[str, Example]
    report: Mapping[str, object]
    pictures: Mapping[str, str] = field(default_factory=dict)
    """The figure of each picture."""
    cases: Cases = field(default_factory=Cases)
    tables: dict[str, str] = field(default_factory=dict)
    """The page each table stands on first."""
    seen: dict[str, str] = field(default_factory=dict)


def markdown_of(page: Page) -> str:
    """The page's Markdown with its front matter, so that line numbers are the author's."""
    return page.file.content_string if page.file.generated_by is None else ""


def fill_page(html: str, page: Page, content: Content) -> str:
    """The page's HTML with its blocks and reference parts in place. Raises PageError."""
    _conserved(html, page)
    counted = [0]
    shown: set[str] = set()

    def block(found: re.Match[str]) -> str:
        name, ids = found.group(1), unescape(found.group(2)).split()
        if name == "practice":
            return _practice(ids, page, content, counted)
        if name == "worked":
            return "".join(_worked(id, page, content) for id in ids)
        if name == "table":
            return "".join(_table(id, page, content) for id in ids)
        if name == "picture":
            return "".join(_picture(id, page, content, shown) for id in ids)
        if name == "case":
            return "".join(_case(id, page, content, shown) for id in ids)
        return f'<div class="qz-{name}"></div>'

    html = PLACEHOLDER.sub(block, html)
    if counted[0]:
        html = html.replace('<div class="qz-practice">', PANEL + PAPER + '<div class="qz-practice">', 1)
    html = _PART.sub(lambda found: _part(content, found.group(1), found.group(2)), html)
    if page.file.generated_by is None:
        html = mark_terms(html, content.bank.terms)
    # Ids in raw HTML are unknown to mkdocs' own check of links within the site.
    page.present_anchor_ids = {*(page.present_anchor_ids or ()), *re.findall(r' id="(q-[a-z0-9-]+)"', html)}
    return html


def _practice(ids: list[str], page: Page, content: Content, counted: list[int]) -> str:
    uri = page.file.src_uri
    made = ""
    for id in ids:
        if id not in content.compiled:
            raise PageError(_unknown(page, id, content))
        if id in content.seen:
            raise PageError(f"{_where(page, id)}: question {quoted(id)} stands twice: on {content.seen[id]} too")
        content.seen[id] = uri
        counted[0] += 1
        made += _with_table(question_html(content.compiled[id], counted[0]), id, content.bank)
    return f'<div class="qz-practice">{made}</div>'


def _worked(id: str, page: Page, content: Content) -> str:
    if id not in content.examples:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no example in the bank.{near(id, content.examples)}")
    return example_html(content.examples[id])


def _table(id: str, page: Page, content: Content) -> str:
    if id not in content.bank.tables:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no table in the bank.{near(id, content.bank.tables)}")
    anchor = "" if id in content.tables else f' id="table-{id}"'
    content.tables.setdefault(id, page.file.src_uri)
    return f"<div{anchor}>{table_html(content.bank, content.bank.tables[id])}</div>"


def _with_table(html: str, id: str, bank: Bank) -> str:
    """A question that asks for a table with the way to it; `link_tables` fills in where it stands."""
    named = dict.fromkeys(step.by for step in bank.questions[id].steps if step.by in bank.tables)
    links = "".join(
        f'<p class="qz-way">Table: <a data-table="{t}">{escape(bank.tables[t].title)}</a></p>' for t in named
    )
    return html.replace('<div class="qz-acts">', f'{links}<div class="qz-acts">', 1) if links else html


def link_tables(html: str, page: Page, content: Content, files: Files, sheet: str) -> str:
    """All pages are known: each way to a table leads to the page it stands on, else to its place in the sheet."""

    def link(found: re.Match[str]) -> str:
        id = found.group(1)
        uri, anchor = (content.tables[id], "table") if id in content.tables else (sheet, "sheet-table")
        return f'<a href="{escape(files.src_uris[uri].url_relative_to(page.file))}#{anchor}-{id}">'

    return _TABLE.sub(link, html) if 'data-table="' in html else html


def _picture(id: str, page: Page, content: Content, shown: set[str]) -> str:
    if id not in content.pictures:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no picture in the bank.{near(id, content.pictures)}")
    if id in shown:
        raise PageError(f"{_where(page, id)}: picture {quoted(id)} stands twice on this page: once is enough")
    shown.add(id)
    return content.pictures[id]


def _case(id: str, page: Page, content: Content, shown: set[str]) -> str:
    known = content.cases.compiled
    if id not in known:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no case of fault tracing.{near(id, known)}")
    mark = f"case {id}"
    if mark in shown:
        raise PageError(f"{_where(page, id)}: case {quoted(id)} stands twice on this page: once is enough")
    first = not any(one.startswith("case ") for one in shown)
    shown.add(mark)
    return case_html(known[id], style=first)


def _part(content: Content, kind: str, id: str) -> str:
    bank = content.bank
    match kind:
        case "formula":
            return formula_html(bank, bank.formulas[id])
        case "table":
            return f'<div id="sheet-table-{id}">{table_html(bank, bank.tables[id])}</div>'
        case "sheet":
            return f'<div class="qz-sheet"><style>{page_style("formula_sheet")}</style></div>'
        case "sources":
            return sources_html(bank)
        case "glossary":
            return glossary_html(bank.terms)
        case "checks":
            return checks_html(bank, content.report)
        case _:
            return symbols_html(bank)


def _conserved(html: str, page: Page) -> None:
    """Every fence of ours in the source must have reached the HTML."""
    reached = [(name, unescape(ids)) for name, ids in PLACEHOLDER.findall(html)]
    for block in blocks_in(markdown_of(page)):
        place = f"{page.file.src_uri}:{block.line}"
        if not block.ids and block.name not in EMPTY:
            what = _HOLDS[block.name]
            raise PageError(f"{place}: an empty {block.name} block: write at least one line with {what}")
        if (block.name, " ".join(block.ids)) not in reached:
            raise PageError(
                f"{place}: this {block.name} block does not reach the page: "
                "check that it is closed, and indented by four spaces inside a list or box"
            )
        reached.remove((block.name, " ".join(block.ids)))


def _where(page: Page, id: str) -> str:
    for block in blocks_in(markdown_of(page)):
        if id in block.ids:
            return f"{page.file.src_uri}:{block.line + 1 + block.ids.index(id)}"
    return page.file.src_uri


def _unknown(page: Page, id: str, content: Content) -> str:
    if id in content.bank.questions:
        return f"{_where(page, id)}: question {quoted(id)} is for papers only and cannot stand on a page"
    return f"{_where(page, id)}: {quoted(id)} is no question in the bank.{near(id, content.compiled)}"


def put_payload(output: str, compiled: dict[str, Compiled], cases: Cases) -> str:
    """The finished page with each question's and each case's data in its template."""
    if "qz-case-data" in output:
        output = _CASE.sub(lambda m: m.group(1) + cases.data[m.group(2)] + m.group(3), output)
    if "qz-data" not in output:
        return output
    return _DATA.sub(lambda m: m.group(1) + template_html(compiled[m.group(2)]) + m.group(3), output)
