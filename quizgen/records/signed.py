"""The store of papers on the register: every operation is one transaction of signed entries.

What is kept of a paper is the text that `papers.plain` makes of it, so numbers come back as they were and
the signed content holds no floating numbers. A pass gives its evidence an end, worked out here and now.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Executable, bindparam, select

from quizgen.bank.models import Evidence
from quizgen.papers.plain import PlainError, issue_from, issue_within, mark_from, sheet_from, to_text, void_from
from quizgen.papers.types import Issue, Mark, Refusal, Sheet, Standing, Void
from quizgen.records import ledger, tables
from quizgen.records.days import after_months
from quizgen.records.keys import PassphraseError, Signer
from quizgen.records.ledger import Pen, Recorded, RegisterError
from quizgen.records.store import Doubled, StoreError


@dataclass(frozen=True, slots=True)
class Held:
    """A paper with where it stands, from one look."""

    issue: Issue
    serves: tuple[str, ...]
    """What a pass of it counts as."""
    person: str
    returned: int | None
    marked: int | None
    """Entries of its return and last mark."""


class SignedStore:
    """See `records.store.Store`. `unlock` gives the passphrase; it is asked for at the first thing to be written."""

    def __init__(self, folder: Path, unlock: Callable[[], str], now: Callable[[], datetime], by: str = "",
                 evidence: Mapping[str, Evidence] | None = None,
                 engines: ledger.Engines | None = None) -> None:  # fmt: skip
        self.folder, self.unlock, self.now, self.by = folder, unlock, now, by
        self.evidence = evidence or {}
        """The policy of the day; only `issue` asks for it."""
        self._engines = engines
        self._signer: Signer | None = None
        self._batch: _Batch | None = None
        """The batch that is running."""

    # Operations

    def issue(self, issues: Sequence[Issue]) -> None:
        if len({one.number for one in issues}) < len(issues):
            raise Doubled("two papers have one number")
        with self._writing() as batch:
            for one in issues:
                if _row(batch.pen.before, one.number):
                    raise Doubled(f"paper {one.number} exists already")
                body = {
                    "number": one.number, "plan": one.plan, "day": one.issued_on, "valid_until": one.valid_until,
                    "attempt": one.attempt, "paper": to_text(one),
                    # What a pass will count as stands with the issue: a later policy changes nothing for it.
                    "serves": [e.id for e in self.evidence.values() if e.kind == "paper" and e.paper == one.plan],
                }  # fmt: skip
                entry = batch.pen.add("issue", batch.pen.person(one.code), body)
                batch.place(_NEW_PAPER, one.number, issued=entry.seq)

    def return_and_mark(self, sheet: Sheet, raw: bytes, mark: Mark) -> None:
        with self._writing() as batch:
            held = batch.held(sheet.number)
            if not held:
                raise StoreError(f"paper {sheet.number[:20]!r} was never issued")
            if held.returned:
                raise Doubled(f"paper {sheet.number} was handed in before")
            body = {"number": sheet.number, "check": sheet.check, "sheet": to_text(sheet),
                    "raw": base64.b64encode(raw).decode()}  # fmt: skip
            returned = batch.pen.add("return", held.person, body)
            marked = batch.pen.add("mark", held.person, _marked(held, mark, date.fromisoformat(mark.marked_on)))
            batch.place(_RETURN, sheet.number, **{"return": returned.seq, "mark": marked.seq})

    def void(self, void: Void) -> None:
        with self._writing() as batch:
            if any(one.question == void.question for one in self.voids(void.plan)):
                raise Doubled(f"{void.question} is void already in {void.plan}")
            body = {"plan": void.plan, "question": void.question, "why": void.why, "day": void.on}
            # The marks stand in entries of their own, with the person they belong to.
            text = to_text(Void(void.plan, void.question, void.why, void.on, ()))
            batch.pen.add("void", "", {**body, "void": text})
            for mark in void.marks:
                held = batch.held(mark.number)
                if not held or not held.marked:
                    raise StoreError(f"paper {mark.number[:20]!r} has no mark yet")
                before = ledger.record(batch.pen.before, held.marked)
                if before is None or before.body is None:
                    raise StoreError(f"entry {held.marked} has no content: verify the register")
                again = _marked(held, mark, date.fromisoformat(before.body["day"]))
                entry = batch.pen.add("remark", held.person, {**again, "why": void.why, "void": void.question})
                batch.place(_REMARK, mark.number, mark=entry.seq)

    def refuse(self, refusal: Refusal) -> None:
        with self._writing() as batch:
            row = _look_up(batch.pen.before, [refusal.number]).get(refusal.number)
            body = {"number": refusal.number, "why": refusal.why, "at": refusal.at, "digest": refusal.digest,
                    "offered": base64.b64encode(refusal.offered).decode()}  # fmt: skip
            # With its person, so that it goes when the person is erased.
            batch.pen.add("refusal", row.person if row is not None else "", body)

    @contextmanager
    def batch(self, numbers: Collection[str] = ()) -> Iterator[None]:
        """One transaction for all that is done and looked at inside: kept at its end, or nothing.

        An operation that raises inside takes only itself back. Another writer waits until the end, so a batch is
        to be short. numbers: papers that will be asked for; they are looked up together.
        """
        if self._signer is None:
            with ledger.reading(self.folder, self._engines, older=True) as connection:
                self._signer = ledger.signer_of(connection, self.unlock(), self.by)
        with ledger.signing(self.folder, self._signer, self.now(), self._engines) as pen:
            self._batch = _Batch(pen, _look_up(pen.before, numbers) if numbers else {})
            try:
                yield
            finally:
                self._batch = None

    @contextmanager
    def _writing(self) -> Iterator[_Batch]:
        """One operation: a batch of its own, or a part of the one that is running."""
        if self._batch is None:
            with self.batch():
                assert self._batch is not None
                yield self._batch
        else:
            with self._batch.pen.whole():
                yield self._batch

    def bring_up_to_date(self) -> None:
        """An older register becomes one of today's version, if it is not yet."""
        with ledger.reading(self.folder, self._engines, older=True) as connection:
            older = tables.version_of(connection) < tables.VERSION
        if older:
            with self.batch():
                pass

    # Looking

    @contextmanager
    def _looking(self) -> Iterator[Connection]:
        if self._batch is not None:
            yield self._batch.pen.connection
        else:
            with ledger.reading(self.folder, self._engines) as connection:
                yield connection

    def _held(self, number: str) -> Held | None:
        """A paper and where it stands. Within a batch the one asked for last is not read again."""
        if self._batch is None:
            with self._looking() as connection:
                found = _look_up(connection, [number])
            return _held_from(found[number]) if found else None
        return self._batch.held(number)

    def issue_of(self, number: str) -> Issue | None:
        held = self._held(number)
        return held.issue if held else None

    def is_returned(self, number: str) -> bool:
        held = self._held(number)
        return bool(held and held.returned)

    def sheet_of(self, number: str) -> Sheet | None:
        found = self._of(number, "return")
        return sheet_from(found[-1]["sheet"]) if found else None

    def marks_of(self, number: str) -> tuple[Mark, ...]:
        return tuple(mark_from(body["mark"]) for body in self._of(number, "mark", "remark"))

    def _of(self, number: str, *kinds: str) -> list[Mapping[str, Any]]:
        """Contents about one paper; only the entries of its person are read."""
        with self._looking() as connection:
            row = _row(connection, number)
            issued = ledger.record(connection, row.issued) if row else None
            if issued is None:
                return []
            found = ledger.recorded(connection, issued.entry.person, kinds)
            return [r.body for r in found if r.body and r.body.get("number") == number]

    def papers(self, plan: str = "", code: str = "") -> tuple[Standing, ...]:
        made: dict[str, Standing] = {}
        with self._looking() as connection:
            codes = {ref: one for ref, (one, _) in ledger.people(connection).items()}
            for record in ledger.recorded(connection, kind=("issue", "mark", "remark")):
                self._follow(made, record, codes)
        return tuple(
            one for one in made.values()
            if (not plan or one.plan == plan) and (not code or one.code.casefold() == code.casefold())
        )  # fmt: skip

    @staticmethod
    def _follow(made: dict[str, Standing], record: Recorded, codes: Mapping[str, str]) -> None:
        """Bring the list of papers on by one entry."""
        body = record.body
        if body is None:
            return
        number = body["number"]
        if record.entry.kind == "issue":
            code = codes.get(record.entry.person, "")
            made[number] = Standing(number, body["plan"], code, body["attempt"], body["day"], body["valid_until"],
                                    False, None)  # fmt: skip
        elif old := made.get(number):
            made[number] = Standing(number, old.plan, old.code, old.attempt, old.issued_on, old.valid_until,
                                    True, mark_from(body["mark"]).passed)  # fmt: skip

    def voids(self, plan: str) -> tuple[Void, ...]:
        return tuple(void_from(body["void"]) for body in self._all("void") if body["plan"] == plan)

    def refusals(self) -> tuple[Refusal, ...]:
        return tuple(
            Refusal(body["number"], body["why"], body["at"], body["digest"], base64.b64decode(body["offered"]))
            for body in self._all("refusal")
        )

    def given(self, questions: Collection[str]) -> dict[str, list[tuple[str, ...]]]:
        made: dict[str, list[tuple[str, ...]]] = {id: [] for id in questions}
        for body in self._all("issue"):
            # Of every plan: numbers that another paper asked are known to somebody as well.
            for one in issue_from(body["paper"]).questions:
                if one.id in made and one.variant:
                    made[one.id].append((*one.variant["given"], one.variant["answers"][-1]["shown"]))
        return made

    def _all(self, kind: str) -> list[Mapping[str, Any]]:
        with self._looking() as connection:
            return [r.body for r in ledger.recorded(connection, kind=kind) if r.body is not None]


# Statements are made once: for each sheet to make them anew takes longer than to run them.
_OF = tables.papers.c.number == bindparam("of")
_PAPER = select(tables.papers).where(_OF)
_PAPERS = (
    select(
        tables.papers.c.number,
        tables.papers.c.returned,
        tables.papers.c.marked,
        tables.entries.c.person,
        tables.contents.c.body,
    )
    .join(tables.entries, tables.entries.c.seq == tables.papers.c.issued)
    .join(tables.contents, tables.contents.c.seq == tables.papers.c.issued, isouter=True)
    .where(tables.papers.c.number.in_(bindparam("of", expanding=True)))
)
_NEW_PAPER = tables.papers.insert()
_RETURN = tables.papers.update().where(_OF).values(returned=bindparam("return"), marked=bindparam("mark"))
_REMARK = tables.papers.update().where(_OF).values(marked=bindparam("mark"))


def _row(connection: Connection, number: str) -> Any:
    return connection.execute(_PAPER, {"of": number}).first()


def _look_up(connection: Connection, numbers: Collection[str]) -> dict[str, Any]:
    """The rows of `_PAPERS` by number; papers that are not here are left out."""
    return {row.number: row for row in connection.execute(_PAPERS, {"of": list(numbers)})}


def _held_from(row: Any) -> Held:
    body, issue = ({}, None) if row.body is None else issue_within(row.body)
    if issue is None:
        raise StoreError(f"the record of paper {row.number} is missing: verify the register")
    if issue.number != row.number:
        raise StoreError(f"the list of papers leads from {row.number} to another paper: verify the register")
    return Held(issue, tuple(body.get("serves", ())), row.person, row.returned, row.marked)


class _Batch:
    """What a running transaction knows beside its pen."""

    def __init__(self, pen: Pen, ahead: dict[str, Any]) -> None:
        self.pen = pen
        self._ahead = ahead
        """Rows that were looked up together; each is used once, and gone then."""
        self._last: Held | None = None
        self._changed: set[str] = set()
        """Papers this transaction wrote about: for them the pen hands over first what waits."""

    def held(self, number: str) -> Held | None:
        if self._last is None or self._last.issue.number != number:
            row = self._ahead.pop(number, None)
            if row is None:
                connection = self.pen.connection if number in self._changed else self.pen.before
                row = _look_up(connection, [number]).get(number)
            self._last = _held_from(row) if row is not None else None
        return self._last

    def place(self, statement: Executable, number: str, **at: int) -> None:
        """The list of papers says where a paper's entries stand."""
        self._changed.add(number)
        self._last = None
        self.pen.later(statement, {"of": number, **at} if statement is not _NEW_PAPER else {"number": number, **at})


def _marked(held: Held, mark: Mark, passed_on: date) -> dict[str, Any]:
    """What a mark's entry holds. A pass counts from the day the paper was marked first."""
    until = after_months(passed_on, held.issue.months).isoformat()
    awards = [{"evidence": id, "until": until} for id in held.serves if mark.passed]
    return {
        "number": mark.number, "plan": mark.plan, "day": passed_on.isoformat(), "title": held.issue.title,
        "verdict": f"{'passed' if mark.passed else 'not passed'}, {mark.marks} of {mark.of} marks",
        "awards": awards, "mark": to_text(mark),
    }  # fmt: skip


@contextmanager
def opened(
    folder: Path,
    unlock: Callable[[], str],
    now: Callable[[], datetime],
    by: str = "",
    evidence: Mapping[str, Evidence] | None = None,
    writes: bool = True,
) -> Iterator[SignedStore]:
    """The store on the register in a folder, for one run. Raises StoreError with what to do.

    writes: an older register is brought up to date at once; who only looks is told to write first.
    """
    try:
        with ledger.kept_open() as engines:
            with ledger.reading(folder, engines, older=writes):
                pass  # told at once, not after a paper was typed in
            store = SignedStore(folder, unlock, now, by, evidence, engines)
            if writes:
                store.bring_up_to_date()
            yield store
    except (RegisterError, PassphraseError, PlainError) as error:
        raise StoreError(str(error)) from None
