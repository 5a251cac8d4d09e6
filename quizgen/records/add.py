"""What is entered about a person by hand: observations, appointments, suspensions, renewals; and erasing."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from quizgen.bank.models import Bank, Evidence
from quizgen.papers.types import CODE
from quizgen.records import tables
from quizgen.records.days import day_of
from quizgen.records.ledger import Pen, RegisterError, people, person_of, recorded
from quizgen.records.seal import Entry
from quizgen.records.standing import ALL_TIERS, awarded, history_of

KINDS = ("observation", "appointment", "suspension", "renewal")
LONGEST = 400
"""Characters of a note."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What somebody asks to enter, as typed. Empty texts were not given."""

    kind: str
    code: str
    by: str
    role: str
    on: str = ""
    """The day it happened, as 2026-11-25; today where it is empty."""
    of: str = ""
    """The piece of evidence, by its id in the policy."""
    saw: str = ""
    tier: str = ""
    why: str = ""
    until: str = ""
    lifts: str = ""
    note: str = ""
    name: str = ""
    new: bool = False
    """The person may be one that is not in the register yet."""


def person_code(code: str) -> str:
    """The code of a person, checked. Raises RegisterError."""
    if not CODE.fullmatch(code):
        raise RegisterError(f"{code[:30]!r} is no code: letters, digits and -, 20 at most, like A-07; no names here")
    return code


def add(pen: Pen, bank: Bank, wanted: Wanted) -> Entry:
    """Enter one thing. Raises RegisterError with what to do."""
    for what, text in (("--by", wanted.by), ("--role", wanted.role)):
        if not text.strip():
            raise RegisterError(f"say who it was with {what}: a register without names proves nothing")
    for text in (wanted.by, wanted.role, wanted.saw, wanted.why, wanted.note, wanted.name):
        if len(text) > LONGEST or not all(ch.isprintable() for ch in text):
            raise RegisterError(f"a text has at most {LONGEST} characters, in one line, all of them visible")
    today = day_of(pen.now)
    day = _day(wanted.on, "--on") if wanted.on else today
    if day > today:
        raise RegisterError(f"--on {day} lies in the future: enter it when it has happened")
    person = _person(pen, wanted)
    body: dict[str, Any] = {"day": day.isoformat(), "by": wanted.by.strip(), "role": wanted.role.strip()}
    body |= {"note": wanted.note.strip()} if wanted.note.strip() else {}
    made = {"observation": _given, "appointment": _given, "suspension": _suspended, "renewal": _renewed}
    body |= made[wanted.kind](pen, bank, wanted, person, day)
    # A command that was stopped after its entry was kept, and is given again, must not enter it twice.
    for record in recorded(pen.connection, person, wanted.kind):
        if record.body == body:
            raise RegisterError(
                f"entry {record.entry.seq} says exactly this already: nothing was added; a second one needs a --note"
            )
    return pen.add(wanted.kind, person, body)


def _day(text: str, what: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise RegisterError(f"{what} {text[:20]!r} is no day: write it as 2026-11-25") from None


def _person(pen: Pen, wanted: Wanted) -> str:
    code = person_code(wanted.code)
    if not wanted.new and not person_of(pen.connection, code):
        known = [known for known, _ in people(pen.connection).values()]
        near = difflib.get_close_matches(code, known, n=1)
        guess = f" Did you mean {near[0]}?" if near else ""
        raise RegisterError(f"{code} is not in the register.{guess} Say --new to enter a new person")
    return pen.person(code, wanted.name.strip())


def _evidence(bank: Bank, wanted: Wanted, kinds: tuple[str, ...]) -> Evidence:
    fitting = {id: one for id, one in bank.evidence.items() if one.kind in kinds}
    if wanted.of not in fitting:
        known = ", ".join(fitting) or "there is none"
        raise RegisterError(f"--of {wanted.of[:40]!r} is no {' or '.join(kinds)} of the policy: use {known}")
    evidence = fitting[wanted.of]
    if evidence.by and wanted.role.strip() not in evidence.by:
        raise RegisterError(f"{evidence.id} is given by {' or '.join(evidence.by)}: --role says {wanted.role[:40]!r}")
    return evidence


def _given(pen: Pen, bank: Bank, wanted: Wanted, person: str, day: date) -> dict[str, Any]:
    evidence = _evidence(bank, wanted, (wanted.kind,))
    if wanted.kind == "observation" and not wanted.saw.strip():
        raise RegisterError("say what was seen with --saw: an observation is a fact, not a tick")
    seen = {"saw": wanted.saw.strip()} if wanted.saw.strip() else {}
    return {"title": evidence.title, "for": evidence.sees, **seen, "awards": [awarded(evidence, day)]}


def _suspended(pen: Pen, bank: Bank, wanted: Wanted, person: str, day: date) -> dict[str, Any]:
    tier = wanted.tier or ALL_TIERS
    if tier != ALL_TIERS and tier not in bank.tiers:
        known = ", ".join(bank.tiers)
        raise RegisterError(f"--tier {tier[:40]!r} is no tier of the policy: use {known}, or leave it out for all")
    if not wanted.why.strip():
        raise RegisterError("say why with --why: the person has a right to know")
    until = _day(wanted.until, "--until") if wanted.until else None
    if until and until < day:
        raise RegisterError(f"--until {until} lies before the day it starts, {day}")
    return {"tier": tier, "why": wanted.why.strip(), **({"until": until.isoformat()} if until else {})}


def _renewed(pen: Pen, bank: Bank, wanted: Wanted, person: str, day: date) -> dict[str, Any]:
    """A piece of evidence counts anew from the day; or a suspension ends."""
    history = history_of(recorded(pen.connection, person))
    if wanted.lifts:
        if not wanted.lifts.isascii() or not wanted.lifts.isdigit() or int(wanted.lifts) not in history.suspensions:
            standing = ", ".join(map(str, history.suspensions)) or "there is none"
            raise RegisterError(f"--lifts {wanted.lifts[:20]!r} is no suspension that stands: {standing}")
        return {"lifts": int(wanted.lifts)}
    evidence = _evidence(bank, wanted, ("observation", "appointment"))
    if not any(award.evidence == evidence.id for award in history.awards):
        raise RegisterError(f"{evidence.id} was never given to {wanted.code}: enter it as {evidence.kind} first")
    return {"title": evidence.title, "awards": [awarded(evidence, day)]}


# -- erasing --------------------------------------------------------------------------------------------


def entries_of(connection: Connection, code: str) -> tuple[str, list[tuple[int, str, str]]]:
    """The reference of a person and what is kept of them: (entry, kind, moment). Raises RegisterError."""
    person = person_of(connection, person_code(code))
    if not person:
        raise RegisterError(f"{code} is not in the register")
    held = [(r.entry.seq, r.entry.kind, r.entry.at) for r in recorded(connection, person) if r.body is not None]
    return person, held


def erase(pen: Pen, code: str, why: str) -> Entry:
    """Take out a person's code, name and contents; the chain stays whole and says that it happened and why."""
    if not why.strip() or len(why) > LONGEST or not why.isprintable():
        raise RegisterError("say why with --why, in one line: the entry stays when the contents are gone")
    person, held = entries_of(pen.connection, code)
    numbers = [seq for seq, _, _ in held]
    connection = pen.connection
    own = select(tables.entries.c.seq).where(tables.entries.c.person == person).scalar_subquery()
    connection.execute(tables.papers.delete().where(tables.papers.c.issued.in_(own)))
    connection.execute(tables.contents.delete().where(tables.contents.c.seq.in_(numbers)))
    connection.execute(tables.people.delete().where(tables.people.c.ref == person))
    body = {"entries": numbers, "why": why.strip(), "day": day_of(pen.now).isoformat()}
    return pen.add("erase", "", body)
