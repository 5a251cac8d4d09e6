"""What is known only when all pages are: overviews, maps, lists, ways to tables, and the scripts."""

from __future__ import annotations

from typing import Any

from mkdocs.structure.files import Files

from quizgen.site import case_index, chain, overview, your_plan
from quizgen.site.content import Content
from quizgen.site.pages import link_tables
from quizgen.site.reference import fill_lists
from quizgen.variants.slip_names import slip_data
from quizgen.web import bundle
from quizgen.web.plan_html import PARTS


def finished(files: Files, content: Content, folder: str) -> dict[str, Any]:
    """As plain data: `pages`, the HTML of each page that changed by its address; `data`, texts of templates;
    `headings`, (page, after how many others, pairs of anchor and title) for its table of contents; `assets`,
    pairs of name and content; `script`, the name of the one that each page starts. `folder`: where the reference
    pages lie.

    Raises OverviewError.
    """
    bank, seen, cases = content.bank, content.seen, content.cases.compiled
    pages = overview.module_pages(files, bank)
    places = overview.by_module(bank, content.compiled, seen, files)
    listed = case_index.list_page(files)
    made, data, headings = {}, {}, []
    for file in files.documentation_pages():
        page = file.page
        if page and page.content:
            row = case_index.overview_row(page, cases, content.case_pages, files, listed)
            html = overview.fill_overview(page.content, page, bank, pages, places, row)
            html = case_index.fill_cases(html, page, cases, content.case_pages, files)
            html = chain.fill_chain(html, page, bank, pages, places)
            if plan := your_plan.fill_plan(html, page, content, pages, places, files):
                html, data[f"your-plan {file.src_uri}"] = plan.html, plan.data
                headings.append([file.src_uri, plan.at, list(PARTS.items())])
            html = link_tables(html, page, content, files, f"{folder}/formulas.md")
            html = fill_lists(html, page, bank, seen, files, pages)
            if html != page.content:
                made[file.src_uri] = html
    course = overview.course_data(bank, content.version, content.compiled, seen)
    slip = bundle.slip(slip_data(bank, content.compiled.values()))
    script = bundle.script(bank.units, course, slip.name)
    assets = (script, bundle.more(bank.units, slip.name), *map(bundle.extra, bundle.EXTRAS), slip)
    return {
        "pages": made,
        "data": data,
        "headings": headings,
        "assets": [[one.name, one.content] for one in assets],
        "script": script.name,
    }
