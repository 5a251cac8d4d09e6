"""The `your-plan` fence: what a learner was assigned, and what is due again. All of it happens on the device.

The fence leaves a placeholder, filled when all pages are known: the page gets the ids and places of everything
that can be assigned or proposed, and the script does the rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from quizgen.site.content import Content
from quizgen.site.errors import OverviewError
from quizgen.site.pages import PANEL
from quizgen.web.page_blocks import blocks_in
from quizgen.web.payload import in_html
from quizgen.web.plan_html import plan_html, question_name

_PLACEHOLDER = '<div class="qz-your-plan"></div>'


class Filled(NamedTuple):
    html: str
    data: str
    """The text of the block's template."""
    at: int
    """How many headings stand before the block's own."""


def check_plan(markdown: str, page: Page) -> None:
    """A fence stays empty, and a page has one at most. Raises OverviewError."""
    blocks = [block for block in blocks_in(markdown) if block.name == "your-plan"]
    for at, block in enumerate(blocks):
        if block.ids:
            place = f"{page.file.src_uri}:{block.line + 1}"
            raise OverviewError(f"{place}: a your-plan block stays empty: the learner brings what is assigned")
        if at:
            raise OverviewError(f"{page.file.src_uri}:{block.line}: a second your-plan block: one is enough for a page")


def fill_plan(
    html: str,
    page: Page,
    content: Content,
    pages: Mapping[str, File],
    places: Mapping[str, Mapping[str, File]],
    files: Files,
) -> Filled | None:
    """The page with the block; None where it has none. pages: of each module; places: of each question, by module."""
    if _PLACEHOLDER not in html:
        return None
    bank, here = content.bank, page.file
    numbers = _numbers(content.seen)
    modules = [
        {
            "id": module.id,
            "name": f"{module.code} {module.title}",
            "page": pages[module.id].url_relative_to(here) if module.id in pages else "",
            "questions": [
                [id, file.url_relative_to(here), numbers[id], question_name(bank.questions[id])]
                for id, file in places[module.id].items()
            ],
        }
        for module in bank.modules.values()
    ]
    cases = [
        {
            "id": f"case-{id}",
            "name": content.cases.compiled[id]["title"],
            "page": f"{files.src_uris[uri].url_relative_to(here)}#case-{id}",
        }
        for id, uri in content.case_pages.items()
        if id in content.cases.data
    ]
    data = in_html({"again": bank.course.again_days, "modules": modules, "cases": cases})
    panel = "" if PANEL in html else PANEL
    at = html[: html.index(_PLACEHOLDER)].count("<h2")
    return Filled(html.replace(_PLACEHOLDER, panel + plan_html()), data, at)


def _numbers(seen: Mapping[str, str]) -> dict[str, int]:
    """Which number each question has on its page."""
    counted: dict[str, int] = {}
    made = {}
    for id, uri in seen.items():
        made[id] = counted[uri] = counted.get(uri, 0) + 1
    return made
