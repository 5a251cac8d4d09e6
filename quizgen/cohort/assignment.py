"""What a learner is handed: the assignment as a small file, and the same as a text to paste.

Both hold ids, dates and a code; no names. The page that opens them is `web/script/assignment.js`: change both.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date

from quizgen.bank.models import Bank, Done, Group

VERSION = 1
"""Of file and text. A page refuses a version it does not know."""


@dataclass(frozen=True, slots=True)
class Item:
    what: str
    """A module's id, or a case's after "case-"."""
    title: str
    """For people; not part of file or text."""
    due: date


@dataclass(frozen=True, slots=True)
class Assignment:
    course: str
    title: str
    group: str
    code: str
    made: date
    done: Done
    items: tuple[Item, ...]
    """By the day they are due, then in the order of the group's file."""


def assignments(group: Group, bank: Bank, made: date) -> tuple[Assignment, ...]:
    """One for each learner, in the order of the group; also for who has nothing to do."""
    ordered = sorted(group.assigned, key=lambda one: one.due)
    items = [(one, Item(one.what, title_of(one.what, bank), one.due)) for one in ordered]
    return tuple(
        Assignment(
            bank.course.id,
            bank.course.title,
            group.id,
            code,
            made,
            group.done,
            tuple(item for one, item in items if code in one.codes),
        )
        for code in group.codes
    )


def title_of(what: str, bank: Bank) -> str:
    """ "B1 Supply and cable", or "Case: The post does not lock"."""
    if what in bank.modules:
        return f"{bank.modules[what].code} {bank.modules[what].title}"
    for id, node in bank.tracing.get("cases", ()):
        if f"case-{id.value}" == what:
            title = node.get("title")
            return f"Case: {' '.join(str(getattr(title, 'value', id.value)).split())}"
    return what


def file_text(one: Assignment) -> str:
    data = {
        "file": "assignment",
        "version": VERSION,
        "course": one.course,
        "title": one.title,
        "group": one.group,
        "code": one.code,
        "made": one.made.isoformat(),
        "done": {"right": one.done.right, "of last": one.done.of_last, "on days": one.done.on_days},
        "items": [{"what": item.what, "due": item.due.isoformat()} for item in one.items],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def paste_text(one: Assignment) -> str:
    """A few lines that survive a messenger: plain words, no quotes; broken lines and spaces do not matter."""
    lines = [
        f"assignment {VERSION}",
        f"course {one.course}",
        f"group {one.group}",
        f"code {one.code}",
        f"made {one.made.isoformat()}",
        f"done {one.done.right} of {one.done.of_last} on {one.done.on_days}",
        *(f"{item.what} {item.due.isoformat()}" for item in one.items),
    ]
    return "\n".join([*lines, f"check {check_of(' '.join(lines))}"]) + "\n"


def check_of(text: str) -> str:
    """Eight hex digits that tell a text from one with a part missing; no seal. text: single spaces, ASCII."""
    found = 0
    for byte in text.encode("ascii"):
        found = (found * 31 + byte) % 2**32
    return f"{found:08x}"


def in_words(day: date) -> str:
    """ "Friday, 4 December 2026": names of our own, so that no machine's language gets into it."""
    return f"{DAYS[day.weekday()]}, {day.day} {MONTHS[day.month - 1]} {day.year}"


DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def done_in_words(done: Done) -> str:
    days = "one day is enough" if done.on_days == 1 else f"and some right on {done.on_days} different days"
    return f"{done.right} of the last {done.of_last} answers right without help, {days}"
