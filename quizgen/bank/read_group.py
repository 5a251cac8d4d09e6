"""A trainer's group: codes, what they were assigned and until when, and what counts as done.

The file lies in a folder of the trainer's own. Nothing of a site reads it, and one that lies inside a course
is refused, since whatever lies there can end up on the site.
"""

from __future__ import annotations

import collections.abc
import os
import re
from datetime import date
from pathlib import Path

from quizgen.bank.entry import Entry
from quizgen.bank.faults import BankError, Fault, Place, near, quoted
from quizgen.bank.fields import bad_code, bad_id
from quizgen.bank.models import Assigned, Bank, Done, Group
from quizgen.bank.yaml_reader import Mapping, Text, read_file

GROUP = ("group", "course", "learners", "done", "assigned")
DONE = ("right", "of last", "on days")
CASE = "case-"
"""Stands before the id of a case where a module's id could stand too."""
MOST_LEARNERS = 200
MOST_ASSIGNED = 100
MOST_ANSWERS = 50
MOST_DAYS = 10
KEPT = 10
"""So many of a question's last answers are kept on a learner's device."""


def read_group(path: Path, bank: Bank, course: Path) -> Group:
    """The group in a file. Raises BankError with every fault; course: the folder of the course it works through."""
    shown = path.as_posix()
    if Path(os.path.realpath(path)).is_relative_to(os.path.realpath(course)):
        said = "a group lies in a folder of your own, never inside the course, which is published: move the file"
        raise BankError((Fault(Place(shown, 1, 1), "", said),))
    node, faults = read_file(path, shown)
    if node is None:
        raise BankError(faults)
    group = _group(node, bank, faults)
    if faults or group is None:
        raise BankError(set(faults))
    return group


def _group(node: Mapping, bank: Bank, faults: list[Fault]) -> Group | None:
    entry = Entry("", node, faults, GROUP)
    id, course = entry.text("group"), entry.text("course")
    name = id.value.strip() if id else ""
    if id and (why := bad_id(name)):
        entry.fault(id.place, f"group: {why}")
    if course and course.value.strip() != bank.course.id:
        said = f"this group works through the course {quoted(course.value.strip())}, but here is {bank.course.id}"
        entry.fault(course.place, f"{said}: name the folder of its own course with --course")
        return None  # modules of another course would only be faults that follow from this one
    before = len(faults)
    codes = _codes(entry, entry.lines("learners"))
    if len(codes) > MOST_LEARNERS:
        entry.fault(entry.place("learners"), f"more than {MOST_LEARNERS} learners: make several groups of them")
    done = _done(entry, faults)
    named = entry.mapping("assigned")
    # Where a code could not be read, nobody is told that it is missing below.
    known = codes if len(faults) == before else None
    assigned = _assigned(entry, named, codes, known, bank, done) if named else ()
    return Group(name, bank.course.id, codes, done, assigned, node.place)


def _codes(entry: Entry, lines: list[Text], known: tuple[str, ...] | None = None) -> tuple[str, ...]:
    """Codes in the order of the file, each once. known: the codes of the group where it must be one of them."""
    made: dict[str, str] = {}
    for line in lines:
        code = line.value.strip()
        if why := bad_code(code):
            entry.fault(line.place, why)
        elif known is not None and code not in known:
            entry.fault(line.place, f"for: {quoted(code)} is no learner of this group.{near(code, known)}")
        elif code.casefold() in made:
            entry.fault(line.place, f"the code {quoted(code)} stands twice: capitals make no other code")
        else:
            made[code.casefold()] = code
    return tuple(made.values())


def _done(entry: Entry, faults: list[Fault]) -> Done:
    node = entry.mapping("done", required=False)
    if node is None:
        return Done()
    own, usual = Entry("done", node, faults, DONE), Done()
    before = len(faults)
    done = Done(
        _whole(own, "right", usual.right, MOST_ANSWERS),
        _whole(own, "of last", usual.of_last, MOST_ANSWERS),
        _whole(own, "on days", usual.on_days, MOST_DAYS),
    )
    if len(faults) > before:
        return done
    if done.right > done.of_last:
        said = f"right: {done.right} of the last {done.of_last} can never be: lower right or raise of last"
        own.fault(own.place("right"), said)
    elif done.on_days > done.right:
        own.fault(own.place("on days"), f"{done.right} right answers never fall on {done.on_days} days: lower on days")
    return done


def _whole(entry: Entry, key: str, usual: int, most: int) -> int:
    text = entry.text(key, required=False)
    if text is None:
        return usual
    value = text.value.strip()
    if re.fullmatch(r"[1-9]\d?", value, re.ASCII) and int(value) <= most:
        return int(value)
    entry.fault(text.place, f"{quoted(value)} is no whole number from 1 to {most}: write {key}: {usual}")
    return usual


def _assigned(
    entry: Entry, named: Mapping, codes: tuple[str, ...], known: tuple[str, ...] | None, bank: Bank, done: Done
) -> tuple[Assigned, ...]:
    cases = {CASE + id.value: node for id, node in bank.tracing.get("cases", ())}
    if not named.pairs:
        entry.fault(named.place, "assigned: is empty: write a module's id with due: below it")
    if len(named.pairs) > MOST_ASSIGNED:
        entry.fault(named.place, f"assigned: more than {MOST_ASSIGNED} entries: take out what is long done")
    made = []
    for key, value in named.pairs[:MOST_ASSIGNED]:
        what = key.value.strip()
        _known(entry, key, what, bank, cases, done)
        if not isinstance(value, Mapping):
            entry.fault(value.place, f"{what}: holds due: on a line of its own, and for: where it is not for everybody")
            continue
        own = Entry(what, value, entry.faults, ("due", "for"))
        due = _day(own)
        wanted = own.lines("for") if own.has("for") else []
        chosen = _codes(own, wanted, known) if own.has("for") else codes
        if due:
            made.append(Assigned(what, due, chosen, key.place))
    return tuple(made)


def _known(
    entry: Entry, key: Text, what: str, bank: Bank, cases: collections.abc.Mapping[str, Mapping], done: Done
) -> None:
    """What is assigned must be there, and it must be possible to have it done."""
    if what in cases and what not in bank.modules:
        if cases[what].get("outside") is not None:
            entry.fault(key.place, f"{quoted(what)} is a case to read only, with no result: assign another one")
        return
    if what not in bank.modules:
        hint = near(what, (*bank.modules, *cases)) or (f" Did you mean {CASE}{what}?" if CASE + what in cases else "")
        kind = "case" if what.startswith(CASE) else "module"
        entry.fault(key.place, f"{quoted(what)} is no {kind} of this course.{hint}")
        return
    asked = sum(one.module == what and one.papers != "only" for one in bank.questions.values())
    if asked * KEPT < done.right:
        held = f"has {asked} questions to practise" if asked else "has no questions to practise yet"
        said = f"{what} {held}, too few for {done.right} right answers: lower done, or take the module out"
        entry.fault(key.place, said)


def _day(entry: Entry) -> date | None:
    text = entry.text("due")
    if text is None:
        return None
    value = text.value.strip()
    try:
        # Other forms, such as a week's number, are read by Python and by nobody else.
        if re.fullmatch(r"2\d{3}-\d\d-\d\d", value, re.ASCII):
            return date.fromisoformat(value)
    except ValueError:
        pass
    entry.fault(text.place, f"due: {quoted(value)} is no day: write it as 2026-12-04")
    return None
