"""Reference pages made from the bank: formula sheet and symbols."""

from __future__ import annotations

from quizgen.bank.models import Bank
from quizgen.variants.compile import Compiled


def reference_pages(bank: Bank, compiled: dict[str, Compiled], folder: str) -> dict[str, str]:
    """Markdown of each generated page by its address among the pages."""
    return {f"{folder}/formulas.md": _formulas(bank), f"{folder}/symbols.md": _symbols(bank)}


def _formulas(bank: Bank) -> str:
    """All formulas and tables, grouped by the module whose questions use them first."""
    home: dict[str, str] = {}
    for question in bank.questions.values():
        for step in question.steps:
            home.setdefault(step.by, question.module)
    lines = ["# Formula sheet", "", "Every formula and table of the course, with what its letters mean.", ""]
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


def _symbols(bank: Bank) -> str:
    return '# Symbols\n\nEvery quantity of the course.\n\n<div data-quizgen="symbols:"></div>\n'


def _plain(text: str) -> str:
    """Bank text that Markdown must leave alone."""
    return "".join(f"&#{ord(c)};" if c in "\\`*_{}[]<>#&|~^:" else c for c in text)
