"""What a trainer knows a question or case by: its first words, its module, its page. The id comes second."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from quizgen.bank.models import Bank
from quizgen.cohort.assignment import title_of
from quizgen.web.on_pages import CASE, OnPages, address_of
from quizgen.web.plan_html import question_name


@dataclass(frozen=True, slots=True)
class Called:
    id: str
    words: str
    """The first words of a question, with … for its numbers; the title of a case."""
    module: str
    """Code and title of its module; "" for a case."""
    page: str
    """The heading of the page it stands on; "" where it stands on none."""
    file: str | None
    """That page's file below the folder of pages; "" where it stands on none, None where no pages are known."""
    number: int
    """Of the question on its page; 0 for a case."""
    address: str
    """Where it stands, below the site."""


def called(ids: Iterable[str], bank: Bank, pages: OnPages | None) -> dict[str, Called]:
    """Each of the ids, cases as `case-ID`, with what it is called."""
    return {id: _called(id, bank, pages) for id in ids}


def _called(id: str, bank: Bank, pages: OnPages | None) -> Called:
    question = bank.questions.get(id)
    module = title_of(question.module, bank) if question else ""
    words = question_name(question) if question else title_of(id, bank).removeprefix("Case: ")
    at = pages.stands.get(id) if pages else None
    if at is None:
        return Called(id, words, module, "", "" if pages else None, 0, "")
    return Called(id, words, module, at.heading, at.file, at.number, address_of(at.file, id))


def place_in_words(one: Called, page: str | None = None) -> str:
    """ "B3 AC supply, phases and cable, question 4 on supply.md". page: if it is not to be called by its file."""
    what = one.module or ("Case" if one.id.startswith(CASE) else "Question")
    if not one.file:
        return what if one.file is None else f"{what}, on no page of the course"
    at = f", question {one.number}" if one.number else ""
    page = one.file if page is None else page
    return f"{what}{at} on {page}" if page else f"{what}{at}"
