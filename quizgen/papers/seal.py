"""From a record to what its candidate may see: the one place where the two meet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from quizgen.expression.linear import symbol_text
from quizgen.papers.once import once_for_each
from quizgen.papers.types import Box, Issue, Issued, Page, PageQuestion, PageSection, Shown, Text
from quizgen.variants.compile import shown_given
from quizgen.web.question_html import asked_for

CHOOSE_ONE, CHOOSE_ALL = "Choose one.", "Choose all that are right."
PUT_IN_ORDER = "Number them in the right order, 1 for the first."


def page_of(issue: Issue) -> Page:
    """Words, givens and the number of a paper; nothing else of the record passes here."""
    sections: list[PageSection] = []
    for one in issue.questions:
        made = page_question(one)
        if sections and sections[-1].title == one.section:
            sections[-1] = PageSection(one.section, (*sections[-1].questions, made))
        else:
            sections.append(PageSection(one.section, (made,)))
    return Page(
        issue.number, issue.code, issue.course, issue.title, issue.minutes, issue.large, issue.aids,
        issue.valid_until, issue.pass_mark, issue.of, issue.currency, tuple(sections),
    )  # fmt: skip


def page_question(one: Issued) -> PageQuestion:
    question = one.question
    if question["kind"] == "choice":
        options = tuple(question["options"][at]["option"] for at in one.shuffled)
        several = bool(question["several"])
        box = _words_box(CHOOSE_ALL if several else CHOOSE_ONE, one.marks[0])
        return PageQuestion(_text(one, question["text"]), one.must, (box,), options, several)
    if question["kind"] == "order":
        places = tuple(question["order"][at] for at in one.shuffled)
        return PageQuestion(_text(one, question["text"]), one.must, (_words_box(PUT_IN_ORDER, one.marks[0]),),
                            places=places)  # fmt: skip
    steps = steps_asked(one)
    boxes = tuple(_box(one, step, marks) for step, marks in zip(steps, one.marks, strict=True))
    return PageQuestion(_text(one, question["text"]), one.must, boxes, tuple(question.get("options", ())))


def asked_text(one: Issued) -> Text:
    """The words of a question, without its boxes."""
    return _text(one, one.question["text"])


def steps_asked(one: Issued) -> list[Any]:
    """The steps that have a box: all, or the last one only."""
    return list(one.question["steps"][-len(one.marks) :])


def _words_box(ask: str, marks: int) -> Box:
    return Box((ask,), "", "", "", 0, False, marks)


def _box(one: Issued, step: Any, marks: int) -> Box:
    if "options" in one.question and step is one.question["steps"][-1]:
        return Box((*_text(one, step["ask"]), " " + CHOOSE_ONE), "", "", "", 0, False, marks)
    unit = "" if step["unit_asked"] else step["unit"]
    figures = int(step["rounding"].get("figures", 0))
    how = asked_for(step).strip("()")
    return Box(_text(one, step["ask"]), how, symbol_text(step["symbol"]), unit, figures, step["unit_asked"], marks)


def _text(one: Issued, tokens: list[Any]) -> Text:
    if not one.variant:
        return tuple(part for part in tokens if isinstance(part, str))
    places = _places(one.question)
    made: list[str | Shown] = []
    for part in tokens:
        if isinstance(part, str):
            made.append(part)
        else:
            at, symbol, unit = places[part["given"]]
            shown = shown_given(one.variant["given"][at], unit)
            made.append(Shown(symbol if part["named"] else "", shown))
    return tuple(made)


@once_for_each
def _places(question: Mapping[str, Any]) -> dict[str, tuple[int, str, str]]:
    """Of each given: its place among them, its symbol and its unit."""
    return {
        given["id"]: (at, symbol_text(given["symbol"]), given["unit"]) for at, given in enumerate(question["givens"])
    }
