"""A formula or table as an author needs to see it: what it says, what each letter is, and its slips."""

from __future__ import annotations

from typing import Any

from quizgen.bank.models import Bank, Formula, Table
from quizgen.bank.read_questions import law_letters
from quizgen.commands.find import described
from quizgen.expression.tree import Equation
from quizgen.web.sheet import citation_text

Law = dict[str, Any]


def law_data(bank: Bank, law: Formula | Table) -> Law:
    """Plain data: id, title, kind, lines, letters, holds_for, slips, sources."""
    if isinstance(law, Table):
        kind, lines = "table", [f"{', '.join(law.inputs)} give {law.output}, read: {law.read}, {len(law.rows)} rows"]
        holds = ""
    else:
        kind, holds = "formula", law.holds_for
        # With the names that authors write, not the symbols that learners see.
        lines = [form.text for form in law.forms]
        lines += [f"when {case.when_text}: {_then(case.then)}" for case in law.cases]
    letters = law_letters(bank.formulas, bank.tables, law.id)
    return {
        "id": law.id, "title": law.title, "kind": kind, "lines": lines,
        "letters": {id: described(bank.quantities[id]) for id in letters},
        "holds_for": holds,
        "slips": {slip.id: {"says": slip.says, "wrong": [form.text for form in slip.forms]} for slip in law.slips},
        "sources": [citation_text(bank, one) for one in law.citations],
    }  # fmt: skip


def law_lines(data: Law) -> list[str]:
    """The same in words."""
    width = max(map(len, data["letters"]))
    lines = [f"{data['id']}  ({data['kind']}: {data['title']})", "", *(f"  {line}" for line in data["lines"]), ""]
    lines += [f"  {id:{width}}  {says}" for id, says in data["letters"].items()]
    if data["holds_for"]:
        lines.append(f"  holds for: {data['holds_for']}")
    for id, slip in data["slips"].items():
        lines += [f"  slip {id}: {slip['says']}", *(f"       {wrong}" for wrong in slip["wrong"])]
    return [*lines, *(f"  source: {source}" for source in data["sources"])]


def _then(then: Equation | str) -> str:
    return then if isinstance(then, str) else then.text
