"""Reference pages made from the bank, as Markdown with placeholders that `pages.filled` and `fill_lists` replace."""

from __future__ import annotations

from collections.abc import Mapping

from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from quizgen.bank.models import Bank
from quizgen.web.coverage import LEAST, coverage_html, plan_html
from quizgen.web.lists import questions_html

_QUESTIONS = '<div data-quizgen="questions:"></div>'
_COVERAGE = '<div data-quizgen="coverage:"></div>'
_PLAN = '<div data-quizgen="plan:"></div>'
SYMBOLS = (
    "Every quantity of the course. The alphabet is shorter than this list, so some letters stand for more than one "
    "quantity. The page or question where you meet a letter says which one is meant."
)


def reference_pages(bank: Bank, folder: str) -> dict[str, str]:
    """Markdown of each generated page by its address among the pages."""
    pages = {
        "formulas": _formulas(bank),
        "symbols": _page("Symbols", SYMBOLS, "symbols"),
        "plan": _page("Plan of study", "The modules in their order, what each needs, and how long it takes.", "plan"),
        "coverage": _page(
            "Outcomes and questions", f"Each outcome of a finished module has {LEAST} questions at least.", "coverage"
        ),
        "questions": _page("Questions by module", "What you can practise, and where it stands.", "questions"),
        "sources": _page("Sources", "Where each formula and limit comes from.", "sources"),
        "checks": _page("How these answers are checked", "What every number has passed before you see it.", "checks"),
    }
    if bank.terms:
        pages["glossary"] = _page("Glossary", "Words of the trade.", "glossary")
    return {f"{folder}/{name}.md": text for name, text in pages.items()}


def fill_lists(
    html: str, page: Page, bank: Bank, seen: Mapping[str, str], files: Files, pages: Mapping[str, File]
) -> str:
    """Lists that are known only when all pages are; `pages`: the page of each module."""
    if _PLAN in html:
        html = html.replace(
            _PLAN, plan_html(bank, lambda id: pages[id].url_relative_to(page.file) if id in pages else "")
        )
    if _COVERAGE in html:
        html = html.replace(_COVERAGE, coverage_html(bank))
    if _QUESTIONS not in html:
        return html

    def link(id: str) -> str:
        return f"{files.src_uris[seen[id]].url_relative_to(page.file)}#q-{id}" if id in seen else ""

    return html.replace(_QUESTIONS, questions_html(bank, link))


def _page(title: str, lead: str, part: str) -> str:
    return f'# {title}\n\n{lead}\n\n<div data-quizgen="{part}:"></div>\n'


def _formulas(bank: Bank) -> str:
    """All formulas and tables, grouped by the module whose questions use them first."""
    home: dict[str, str] = {}
    for question in bank.questions.values():
        for step in question.steps:
            home.setdefault(step.by, question.module)
    lines = ["# Formula sheet", "", '<div data-quizgen="sheet:"></div>', ""]
    lines += [
        "Every formula and table of the course, with what its letters mean. Printed, each stage starts a sheet.",
        "",
    ]
    laws = [*(("formula", f.id, f.title) for f in bank.formulas.values()),
            *(("table", t.id, t.title) for t in bank.tables.values())]  # fmt: skip
    for module in (*bank.modules.values(), None):
        mine = [law for law in laws if home.get(law[1], "") == (module.id if module else "")]
        if not mine:
            continue
        lines += [f"## {_plain(f'{module.code} {module.title}' if module else 'More formulas')}", ""]
        for kind, id, title in mine:
            lines += [f"### {_plain(title)} {{#{kind}-{id}}}", "", f'<div data-quizgen="{kind}:{id}"></div>', ""]
    return "\n".join(lines)


def _plain(text: str) -> str:
    """Bank text that Markdown must leave alone."""
    return "".join(f"&#{ord(c)};" if c in "\\`*_{}[]<>#&|~^:" else c for c in text)
