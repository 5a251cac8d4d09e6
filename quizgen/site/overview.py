"""The `overview` fence: the course's modules with links, and where the script shows how far one is.

The fence leaves a placeholder. It is filled when all pages are known, since only then is it known
which page a module has and which questions stand on a page. Complete without a script.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from quizgen.bank.faults import near, quoted
from quizgen.bank.models import Bank, Module
from quizgen.site.errors import OverviewError
from quizgen.site.pages import PANEL
from quizgen.variants.compile import Compiled
from quizgen.web.page_blocks import blocks_in

_PLACEHOLDER = '<div class="qz-overview"></div>'


def check_overview(markdown: str, page: Page) -> None:
    """Every overview fence of the source must be empty, and a page has one at most. Raises OverviewError."""
    blocks = [block for block in blocks_in(markdown) if block.name == "overview"]
    for block in blocks:
        if block.ids:
            place = f"{page.file.src_uri}:{block.line + 1}"
            raise OverviewError(f"{place}: an overview block stays empty: it lists all modules")
    if len(blocks) > 1:
        raise OverviewError(f"{page.file.src_uri}:{blocks[1].line}: a second overview block: one is enough for a page")


def module_pages(files: Files, bank: Bank) -> dict[str, File]:
    """The page of each module, by `module:` in its front matter. Raises OverviewError."""
    found: dict[str, File] = {}
    for file in files.documentation_pages():
        named = file.page.meta.get("module") if file.page else None
        if named is None:
            continue
        id, place = str(named), f"{file.src_uri}:{_line(file)}: module"
        if id not in bank.modules:
            raise OverviewError(f"{place}: {quoted(id)} is no module in the bank.{near(id, bank.modules)}")
        if id in found:
            raise OverviewError(f"{place}: {quoted(id)} has its page already: {found[id].src_uri}")
        found[id] = file
    return found


def _line(file: File) -> int:
    lines = file.content_string.splitlines()
    return next((at for at, line in enumerate(lines, 1) if line.startswith("module:")), 1)


def fill_overview(
    html: str, page: Page, bank: Bank, pages: Mapping[str, File], places: Mapping[str, Mapping[str, File]], last: str
) -> str:
    """The page's HTML with its overview. `places`: the page of each question, by module; `last`: one more row."""
    if _PLACEHOLDER not in html:
        return html
    rows = "".join(_row(module, page, pages.get(module.id), places[module.id]) for module in bank.modules.values())
    first = next((module for module in bank.modules.values() if module.id in pages), None)
    start = f"Start with {_link(first, page, pages[first.id])}." if first else "The first module is on its way."
    filled = (
        f'<div class="qz-overview">{PANEL}<p class="qz-where"><span class="qz-first">{start}</span></p>'
        f'<ul class="qz-modules">{rows}{last}</ul></div>'
    )
    # One panel is enough: here it stands for the whole course.
    return html.replace(PANEL, "").replace(_PLACEHOLDER, filled)


def _row(module: Module, page: Page, file: File | None, places: Mapping[str, File]) -> str:
    count = len(places)
    name = _link(module, page, file) if file else _name(module)
    said = f"{count} question{'' if count == 1 else 's'}" if count else "no questions on a page yet"
    # A cell for each question, which also tells the script what there is and where it stands.
    marks = "".join(
        f'<i data-question="{escape(id)}" data-page="{escape(place.url_relative_to(page.file))}"></i>'
        for id, place in places.items()
    )
    cells = f'<span class="qz-strip" aria-hidden="true">{marks}</span>' if count else ""
    return (
        f'<li data-module="{escape(module.id)}">{name}, {module.minutes} minutes{cells}'
        f'<span class="qz-tally">{said}</span></li>'
    )


def _link(module: Module, page: Page, file: File) -> str:
    return f'<a href="{escape(file.url_relative_to(page.file))}">{_name(module)}</a>'


def _name(module: Module) -> str:
    return escape(f"{module.code} {module.title}")


def course_data(bank: Bank, version: str, compiled: Mapping[str, Compiled], seen: Mapping[str, str]) -> dict[str, Any]:
    """What the script knows of the course on every page. `seen`: question id → the page it stands on.

    was: old question id → the id of today. Which questions there are stands in the overview, so that the
    script does not grow with the bank.
    """
    return {
        "id": bank.course.id,
        "title": bank.course.title,
        "version": version,
        "modules": [{"id": module.id, "code": module.code, "title": module.title} for module in bank.modules.values()],
        "was": {old: id for id in seen for old in compiled[id]["was"]},
    }


def by_module(
    bank: Bank, compiled: Mapping[str, Compiled], seen: Mapping[str, str], files: Files
) -> dict[str, dict[str, File]]:
    """The questions that stand on pages, each with its page, by their module, in the order of the pages."""
    return {
        module: {id: files.src_uris[uri] for id, uri in seen.items() if compiled[id]["module"] == module}
        for module in bank.modules
    }
