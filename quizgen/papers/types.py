"""What this room takes and gives. Everything that is kept is one of `Issue`, `Sheet`, `Mark`, `Void`, `Refusal`.

The candidate's page is made from `Page` alone, which has no field for keys, slips, tolerances, formulas
or seeds: what is not there cannot get out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from quizgen.bank.fields import CODE as CODE

VERSION = 1
"""Of the kept forms. A kept form says its version; an unknown one is refused."""

# -- what is kept ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Issued:
    """One question of an issued paper with all that marking it will ever need."""

    id: str
    section: str
    """Title of its section."""
    must: bool
    """Must be right, whatever the rest is worth."""
    marks: tuple[int, ...]
    """For each step; one number for a question to choose or to order."""
    question: Mapping[str, Any]
    """The compiled question (`variants.compile`) without its variants."""
    variant: Mapping[str, Any]
    """Printed givens, keys, tolerances; empty for a question to choose or to order."""
    shuffled: tuple[int, ...] = ()
    """Which option or step of the question stands at each place of the page."""
    second: tuple[Mapping[str, Any], ...] = ()
    """For each step its law once more, in the language of the bank, for the second route to the key."""


@dataclass(frozen=True, slots=True)
class Issue:
    """One paper for one candidate: the whole record, so that editing the course changes nothing."""

    number: str
    plan: str
    code: str
    """The candidate; never a name."""
    attempt: int
    issued_on: str
    valid_until: str
    """Last day on which it is marked without a reason, as 2026-11-25."""
    course: str
    title: str
    minutes: int
    """With the extra time of this candidate in it."""
    large: bool
    aids: tuple[str, ...]
    pass_mark: int
    of: int
    months: int
    """For how long a pass counts."""
    currency: str
    """The course's own unit of money, for reading amounts; "" if none."""
    note: str
    """How the pass mark was set, in one line for the mark sheet."""
    versions: Mapping[str, str]
    """Of program, compiled form and bank, to tell today's course from that of the issue."""
    page_hash: str
    """SHA-256 of the candidate's page as it was written."""
    questions: tuple[Issued, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a candidate handed in: texts as typed, by question and box."""

    number: str
    code: str
    answers: tuple[tuple[str, ...], ...]
    check: str
    """The short check code over number, code and answers."""


@dataclass(frozen=True, slots=True)
class BoxMark:
    """One answer: as typed, as read, the verdict and what it earned."""

    typed: str
    read: str
    verdict: str
    says: str
    marks: int
    of: int


@dataclass(frozen=True, slots=True)
class QuestionMark:
    id: str
    must: bool
    void: str
    """Why the question was taken out and counts as right; "" if it was not."""
    boxes: tuple[BoxMark, ...]
    remarks: tuple[str, ...] = ()
    """For the trainer's eye: an answer that does not follow from the one before."""


@dataclass(frozen=True, slots=True)
class Mark:
    """The result of one paper."""

    number: str
    plan: str
    code: str
    marked_on: str
    marks: int
    of: int
    pass_mark: int
    missed: tuple[str, ...]
    """Must-pass questions that are not right."""
    passed: bool
    questions: tuple[QuestionMark, ...]
    notes: tuple[str, ...] = ()
    """Reasons for exceptions, and differences from today's bank."""


@dataclass(frozen=True, slots=True)
class Void:
    """A faulty question of a plan, right for all from now on, with every paper it was marked again for."""

    plan: str
    question: str
    why: str
    on: str
    marks: tuple[Mark, ...]
    """New marks of the papers that had been marked before."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A sheet that was not taken, kept as it came, with the reason."""

    number: str
    why: str
    at: str
    digest: str
    """SHA-256 of what was offered."""
    offered: bytes
    """What was offered; cut at the largest size that is read."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a paper stands, without its questions."""

    number: str
    plan: str
    code: str
    attempt: int
    issued_on: str
    valid_until: str
    returned: bool
    passed: bool | None
    """None until it is marked."""


# -- what the candidate gets ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Shown:
    """A given as it stands in a text: "230 V", with its symbol in front if it is named."""

    symbol: str
    text: str


Text = tuple[str | Shown, ...]


@dataclass(frozen=True, slots=True)
class Box:
    """One place for an answer. `unit` stands beside it; it is "" where the candidate has to name one."""

    ask: Text
    how: str
    symbol: str
    unit: str
    figures: int
    """How many figures are asked for, 0 where the answer is asked in steps."""
    unit_asked: bool
    marks: int


@dataclass(frozen=True, slots=True)
class PageQuestion:
    """A question as the candidate meets it. `options` have letters, `places` get numbers."""

    text: Text
    must: bool
    boxes: tuple[Box, ...]
    options: tuple[str, ...] = ()
    several: bool = False
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PageSection:
    title: str
    questions: tuple[PageQuestion, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """Everything that gets into a candidate's page: an id, words and givens."""

    number: str
    code: str
    course: str
    title: str
    minutes: int
    large: bool
    aids: tuple[str, ...]
    valid_until: str
    pass_mark: int
    of: int
    currency: str
    sections: tuple[PageSection, ...]
