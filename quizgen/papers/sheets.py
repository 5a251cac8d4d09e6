"""Laying questions out on sheets of paper before anything is printed.

Each sheet carries the paper's number and "sheet x of y" in the document itself, so a loose sheet can be
put back whatever the printer does. Heights are estimates on the safe side, in mm, for A4 and Letter alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from quizgen.papers.types import Page, PageQuestion, Shown, Text

ROOM = 205.0
"""Height for questions on one sheet: Letter (279 mm) without margins, head, foot and a reserve."""
WORKING = 26.0
"""Ruled space to work in, below each calculated answer."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A question on its sheet; `title` where a section starts with it."""

    number: int
    title: str
    question: PageQuestion


def sheets_of(page: Page) -> list[list[Placed]]:
    """Questions in their order, cut into sheets. A question stays in one piece."""
    line, signs = (8.0, 56) if page.large else (5.6, 82)
    made: list[list[Placed]] = []
    left, number = 0.0, 0
    for section in page.sections:
        for first, question in enumerate(section.questions):
            number += 1
            height = _height(question, line, signs) + (0 if first else 2.5 * line)
            if height > left:
                made.append([])
                left = ROOM
            made[-1].append(Placed(number, "" if first else section.title, question))
            left -= height
    return made


def length(text: Text) -> int:
    return sum(len(part) if isinstance(part, str) else len(part.text) + len(part.symbol) + 3 for part in text)


def plain(text: Text) -> str:
    """The text in one line of words."""
    return "".join(_shown(part) if isinstance(part, Shown) else part for part in text)


def _shown(part: Shown) -> str:
    return f"{part.symbol} = {part.text}" if part.symbol else part.text


def _height(question: PageQuestion, line: float, signs: int) -> float:
    def lines(count: int) -> float:
        return math.ceil(count / signs) * line

    made = 2 * line + lines(length(question.text))
    for at, box in enumerate(question.boxes):
        made += lines(length(box.ask) + len(box.how) + 12) + 5
        chosen = at == len(question.boxes) - 1 and (question.options or question.places)
        made += 0 if chosen else 14 + WORKING
    made += _listed(question.options, lines) + _listed(question.places, lines)
    return made + 6


def _listed(texts: Sequence[str], lines: Callable[[int], float]) -> float:
    return sum(max(9.0, lines(len(text) + 8) + 3) for text in texts)
