"""What is known only when all pages are: overviews, maps, lists, ways to tables, and the scripts."""

from __future__ import annotations

from typing import Any

from mkdocs.structure.files import Files

from quizgen.site import chain, overview
from quizgen.site.content import Content
from quizgen.site.pages import link_tables
from quizgen.site.reference import fill_lists
from quizgen.variants.slip_names import slip_data
from quizgen.web import bundle


def finished(files: Files, content: Content, folder: str) -> dict[str, Any]:
    """As plain data: `pages`, the HTML of each page that changed by its address; `assets`, pairs of name and
    content; `script`, the name of the one that each page starts. `folder`: where the reference pages lie.

    Raises OverviewError.
    """
    bank, seen = content.bank, content.seen
    pages = overview.module_pages(files, bank)
    places = overview.by_module(bank, content.compiled, seen, files)
    made = {}
    for file in files.documentation_pages():
        page = file.page
        if page and page.content:
            html = overview.fill_overview(page.content, page, bank, pages, places)
            html = chain.fill_chain(html, page, bank, pages, places)
            html = link_tables(html, page, content, files, f"{folder}/formulas.md")
            html = fill_lists(html, page, bank, seen, files, pages)
            if html != page.content:
                made[file.src_uri] = html
    course = overview.course_data(bank, content.version, content.compiled, seen)
    slip = bundle.slip(slip_data(bank, content.compiled.values()))
    script = bundle.script(bank.units, course, slip.name)
    assets = (script, bundle.more(bank.units, slip.name), bundle.trace(), slip)
    return {"pages": made, "assets": [[one.name, one.content] for one in assets], "script": script.name}
