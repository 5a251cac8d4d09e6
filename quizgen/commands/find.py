"""Find the names that a question is written with: formulas, tables, quantities, outcomes, questions, sources."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Mapping

from quizgen.bank.models import Bank, Quantity, Question, all_laws
from quizgen.commands.course import CourseError, course_folder, open_course, pages_folder
from quizgen.web.on_pages import Stand, on_pages
from quizgen.web.sheet import usual_range

NAME, HELP = "find", "find names by words: quizgen find cable drop"

Row = tuple[str, str]
"""A name as it is written in the bank, and what it stands for."""
HEADS = {
    "laws": "Formulas and tables (by:)",
    "quantities": "Quantities (given:, find:)",
    "outcomes": "Modules and outcomes (module:, outcome:)",
    "questions": "Questions",
    "sources": "Sources (source:)",
}


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Each word must stand in the name or in what it stands for. Next: quizgen show NAME shows a formula, "
        "a table or a question as a whole."
    )
    parser.add_argument("words", metavar="WORD", nargs="+", help="words of a title or a name, in any order")


def run(args: argparse.Namespace) -> tuple[int, str]:
    bank, _ = open_course(args.course)
    pages = pages_folder(course_folder(args.course))
    stands = on_pages(pages).stands if pages else None
    wanted = [word.casefold() for word in args.words]
    found = {kind: [row for row in rows if _fits(row, wanted)] for kind, rows in names_of(bank, stands).items()}
    if args.json:
        return 0, json.dumps({kind: dict(rows) for kind, rows in found.items()}, ensure_ascii=False, indent=1)
    if not any(found.values()):
        raise CourseError(
            f"nothing here has all these words: {' '.join(args.words)}: try fewer words, or parts of them"
        )
    lines: list[str] = []
    for kind, rows in found.items():
        if rows:
            width = max(len(name) for name, _ in rows)
            lines += [HEADS[kind], *(f"  {name:{width}}  {says}" for name, says in rows)]
    return 0, "\n".join(lines)


def names_of(bank: Bank, stands: Mapping[str, Stand] | None = None) -> dict[str, list[Row]]:
    """Every name of the bank under its kind, in the order of the files. stands: where questions are, if known."""
    return {
        "laws": [(law.id, law.title) for law in all_laws(bank)],
        "quantities": [(one.id, described(one)) for one in bank.quantities.values()],
        "outcomes": [(f"{one.module} / {one.id}", one.says) for one in bank.outcomes.values()],
        "questions": [
            (one.id, f"{one.kind}, {one.module} / {one.outcome}, papers: {one.papers}{_where(one, stands)}")
            for one in bank.questions.values()
        ],
        "sources": [(one.id, f"{one.author}, {one.title}".strip(", ")) for one in bank.sources.values()],
    }


def _where(question: Question, stands: Mapping[str, Stand] | None) -> str:
    """`, question 3 on supply.md`."""
    if stands is None or question.papers == "only":
        return ""
    at = stands.get(question.id)
    return f", question {at.number} on {at.file}" if at else ", on no page"


def described(quantity: Quantity) -> str:
    """`line current in A, 0 A to 200 A`."""
    unit = "a word" if quantity.words else f"in {quantity.unit.text}" if quantity.unit.text else "a pure number"
    head = f"{quantity.name}, {unit}" if not unit.startswith("in ") else f"{quantity.name} {unit}"
    range_text = usual_range(quantity)
    return f"{head}, {range_text}" if range_text else head


def _fits(row: Row, wanted: Iterable[str]) -> bool:
    text = " ".join(row).casefold()
    return all(word in text for word in wanted)
