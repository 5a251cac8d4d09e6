"""Filling a page: placeholders become questions, worked examples and reference parts; `payload.py` adds data."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import escape, unescape
from typing import Any

from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from quizgen.bank.faults import near, quoted
from quizgen.bank.models import Bank
from quizgen.site.content import Content
from quizgen.site.errors import PageError
from quizgen.site.fence import EMPTY, PLACEHOLDER, markdown_of
from quizgen.web.bundle import page_style
from quizgen.web.case_html import case_html
from quizgen.web.example_html import example_html
from quizgen.web.glossary import glossary_html, mark_terms
from quizgen.web.lists import checks_html, sources_html
from quizgen.web.page_blocks import blocks_in
from quizgen.web.payload import template_html
from quizgen.web.question_html import question_html
from quizgen.web.rows import rows_of_sentences
from quizgen.web.sheet import formula_html, symbols_html, table_html
from quizgen.web.unbroken import unbroken

PANEL = '<div class="qz-panel"></div>'
"""Where the script puts whose practice this is; its height is reserved."""
PAPER = '<div class="qz-paper"></div>'
"""Kept free for the switch that prints with answers."""
_PART = re.compile(r'<div data-quizgen="(formula|table|symbols|sources|checks|glossary|sheet):([a-z0-9-]*)"></div>')
_TABLE = re.compile(r'<a data-table="([a-z0-9-]+)">')

_HOLDS = {
    "practice": "a question id",
    "worked": "an example's id",
    "table": "a table's id",
    "picture": "a picture's name",
    "case": "a case's id",
}


@dataclass(slots=True)
class _Filling:
    """A page on its way: what stands on it so far, by kind of block."""

    page: Page
    content: Content
    questions: list[str] = field(default_factory=list)
    tables: list[str] = field(default_factory=list)
    pictures: list[str] = field(default_factory=list)
    cases: list[str] = field(default_factory=list)


def filled(html: str, page: Page, content: Content) -> dict[str, Any]:
    """The page's HTML with its blocks and reference parts in place, as plain data: `html`; `questions`,
    `tables` and `cases`, the ids that stand on it; `data`, the text of each question's and each case's template.

    Raises PageError.
    """
    _conserved(html, page)
    filling = _Filling(page, content)

    def block(found: re.Match[str]) -> str:
        name, ids = found.group(1), unescape(found.group(2)).split()
        if name == "practice":
            return _practice(ids, filling)
        if name in _BLOCKS:
            return "".join(_BLOCKS[name](id, filling) for id in ids)
        if name == "cases":
            return f'<div class="qz-cases" data-levels="{" ".join(ids)}"></div>'
        return f'<div class="qz-{name}"></div>'

    html = PLACEHOLDER.sub(block, rows_of_sentences(html))
    if filling.questions:
        html = html.replace('<div class="qz-practice">', PANEL + PAPER + '<div class="qz-practice">', 1)
    elif '<section class="qz-case"' in html:
        html = html.replace('<section class="qz-case"', PANEL + '<section class="qz-case"', 1)
    html = _PART.sub(lambda found: _part(content, found.group(1), found.group(2)), html)
    if page.file.generated_by is None:
        html = mark_terms(html, content.bank.terms)
    data = {f"question {id}": template_html(content.compiled[id]) for id in filling.questions}
    data |= {f"case {id}": content.cases.data[id] for id in filling.cases if id in content.cases.data}
    stands = {"questions": filling.questions, "tables": filling.tables, "cases": filling.cases}
    return {"html": unbroken(html), "data": data, **stands}


def _practice(ids: list[str], filling: _Filling) -> str:
    page, content = filling.page, filling.content
    made = ""
    for id in ids:
        if id not in content.compiled:
            raise PageError(_unknown(page, id, content))
        if id in content.seen or id in filling.questions:
            where = content.seen.get(id, page.file.src_uri)
            raise PageError(f"{_where(page, id)}: question {quoted(id)} stands twice: on {where} too")
        filling.questions.append(id)
        made += _with_table(question_html(content.compiled[id], len(filling.questions)), id, content.bank)
    return f'<div class="qz-practice">{made}</div>'


def _worked(id: str, filling: _Filling) -> str:
    page, examples = filling.page, filling.content.examples
    if id not in examples:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no example in the bank.{near(id, examples)}")
    return example_html(examples[id])


def _table(id: str, filling: _Filling) -> str:
    page, bank = filling.page, filling.content.bank
    if id not in bank.tables:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no table in the bank.{near(id, bank.tables)}")
    anchor = "" if id in filling.content.tables or id in filling.tables else f' id="table-{id}"'
    filling.tables.append(id)
    return f"<div{anchor}>{table_html(bank, bank.tables[id])}</div>"


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


def _picture(id: str, filling: _Filling) -> str:
    page, pictures = filling.page, filling.content.pictures
    if id not in pictures:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no picture in the bank.{near(id, pictures)}")
    if id in filling.pictures:
        raise PageError(f"{_where(page, id)}: picture {quoted(id)} stands twice on this page: once is enough")
    filling.pictures.append(id)
    return pictures[id]


def _case(id: str, filling: _Filling) -> str:
    page, known = filling.page, filling.content.cases.compiled
    if id not in known:
        raise PageError(f"{_where(page, id)}: {quoted(id)} is no case of fault tracing.{near(id, known)}")
    pages = filling.content.case_pages
    if id in pages or id in filling.cases:
        raise PageError(
            f"{_where(page, id)}: case {quoted(id)} stands twice: on {pages.get(id, page.file.src_uri)} too"
        )
    filling.cases.append(id)
    return case_html(known[id], filling.content.cases.places, style=len(filling.cases) == 1)


_BLOCKS = {"worked": _worked, "table": _table, "picture": _picture, "case": _case}


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
