"""The store of papers on the register: every operation is one transaction of signed entries.

What is kept of a paper is the text that `papers.plain` makes of it, so numbers come back as they were and
the signed content holds no floating numbers. A pass gives its evidence an end, worked out here and now.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import select

from quizgen.bank.models import Evidence
from quizgen.papers.plain import PlainError, issue_from, mark_from, sheet_from, to_text, void_from
from quizgen.papers.types import Issue, Mark, Refusal, Sheet, Standing, Void
from quizgen.records import ledger, tables
from quizgen.records.days import after_months
from quizgen.records.keys import PassphraseError, Signer
from quizgen.records.ledger import Pen, Recorded, RegisterError
from quizgen.records.store import Doubled, StoreError


class SignedStore:
    """See `records.store.Store`. `unlock` gives the passphrase; it is asked for at the first thing to be written."""

    def __init__(self, folder: Path, unlock: Callable[[], str], now: Callable[[], datetime], by: str = "",
                 evidence: Mapping[str, Evidence] | None = None) -> None:  # fmt: skip
        self.folder, self.unlock, self.now, self.by = folder, unlock, now, by
        self.evidence = evidence or {}
        """The policy of the day; only `issue` asks for it."""
        self._signer: Signer | None = None

    # Operations

    def issue(self, issues: Sequence[Issue]) -> None:
        with self._pen() as pen:
            for one in issues:
                if self._row(pen, one.number):
                    raise Doubled(f"paper {one.number} exists already")
                body = {
                    "number": one.number, "plan": one.plan, "day": one.issued_on, "valid_until": one.valid_until,
                    "attempt": one.attempt, "paper": to_text(one),
                    # What a pass will count as stands with the issue: a later policy changes nothing for it.
                    "serves": [e.id for e in self.evidence.values() if e.kind == "paper" and e.paper == one.plan],
                }  # fmt: skip
                entry = pen.add("issue", pen.person(one.code), body)
                pen.connection.execute(tables.papers.insert().values(number=one.number, issued=entry.seq))

    def return_and_mark(self, sheet: Sheet, raw: bytes, mark: Mark) -> None:
        with self._pen() as pen:
            row = self._row(pen, sheet.number)
            if not row:
                raise StoreError(f"paper {sheet.number[:20]!r} was never issued")
            if row.returned:
                raise Doubled(f"paper {sheet.number} was handed in before")
            issued = self._body(pen, row.issued)
            person = pen.person(_issue(issued).code)
            body = {"number": sheet.number, "check": sheet.check, "sheet": to_text(sheet),
                    "raw": base64.b64encode(raw).decode()}  # fmt: skip
            returned = pen.add("return", person, body)
            marked = pen.add("mark", person, _marked(issued, mark, date.fromisoformat(mark.marked_on)))
            changed = {"returned": returned.seq, "marked": marked.seq}
            pen.connection.execute(
                tables.papers.update().where(tables.papers.c.number == sheet.number).values(**changed)
            )

    def void(self, void: Void) -> None:
        if any(one.question == void.question for one in self.voids(void.plan)):
            raise Doubled(f"{void.question} is void already in {void.plan}")
        with self._pen() as pen:
            body = {"plan": void.plan, "question": void.question, "why": void.why, "day": void.on}
            # The marks stand in entries of their own, with the person they belong to.
            pen.add("void", "", {**body, "void": to_text(Void(void.plan, void.question, void.why, void.on, ()))})
            for mark in void.marks:
                row = self._row(pen, mark.number)
                if not row or not row.marked:
                    raise StoreError(f"paper {mark.number[:20]!r} has no mark yet")
                issued = self._body(pen, row.issued)
                first = date.fromisoformat(self._body(pen, row.marked)["day"])
                again = {**_marked(issued, mark, first), "why": void.why, "void": void.question}
                entry = pen.add("remark", pen.person(_issue(issued).code), again)
                pen.connection.execute(
                    tables.papers.update().where(tables.papers.c.number == mark.number).values(marked=entry.seq)
                )

    def refuse(self, refusal: Refusal) -> None:
        with self._pen() as pen:
            row = self._row(pen, refusal.number)
            issued = ledger.record(pen.connection, row.issued) if row else None
            # With its person, so that it goes when the person is erased.
            person = issued.entry.person if issued else ""
            body = {"number": refusal.number, "why": refusal.why, "at": refusal.at, "digest": refusal.digest,
                    "offered": base64.b64encode(refusal.offered).decode()}  # fmt: skip
            pen.add("refusal", person, body)

    @contextmanager
    def _pen(self) -> Iterator[Pen]:
        if self._signer is None:
            with ledger.reading(self.folder) as connection:
                self._signer = ledger.signer_of(connection, self.unlock(), self.by)
        with ledger.signing(self.folder, self._signer, self.now()) as pen:
            yield pen

    @staticmethod
    def _row(pen: Pen, number: str) -> Any:
        return pen.connection.execute(select(tables.papers).where(tables.papers.c.number == number)).first()

    @staticmethod
    def _body(pen: Pen, seq: int) -> Mapping[str, Any]:
        record = ledger.record(pen.connection, seq)
        if record is None or record.body is None:
            raise StoreError(f"entry {seq} has no content: verify the register")
        return record.body

    # Looking

    def issue_of(self, number: str) -> Issue | None:
        found = self._of(number, "issue")
        return _issue(found[-1]) if found else None

    def sheet_of(self, number: str) -> Sheet | None:
        found = self._of(number, "return")
        return sheet_from(found[-1]["sheet"]) if found else None

    def marks_of(self, number: str) -> tuple[Mark, ...]:
        return tuple(mark_from(body["mark"]) for body in self._of(number, "mark", "remark"))

    def _of(self, number: str, *kinds: str) -> list[Mapping[str, Any]]:
        """Contents about one paper; only the entries of its person are read."""
        with ledger.reading(self.folder) as connection:
            row = connection.execute(select(tables.papers).where(tables.papers.c.number == number)).first()
            if not row:
                return []
            issued = ledger.record(connection, row.issued)
            if issued is None:
                return []
            found = ledger.recorded(connection, issued.entry.person)
            return [r.body for r in found if r.body and r.entry.kind in kinds and r.body.get("number") == number]

    def papers(self, plan: str = "", code: str = "") -> tuple[Standing, ...]:
        made: dict[str, Standing] = {}
        with ledger.reading(self.folder) as connection:
            codes = {ref: one for ref, (one, _) in ledger.people(connection).items()}
            for record in ledger.recorded(connection):
                self._follow(made, record, codes)
        return tuple(
            one for one in made.values()
            if (not plan or one.plan == plan) and (not code or one.code.casefold() == code.casefold())
        )  # fmt: skip

    @staticmethod
    def _follow(made: dict[str, Standing], record: Recorded, codes: Mapping[str, str]) -> None:
        """Bring the list of papers on by one entry."""
        body = record.body
        if body is None or record.entry.kind not in ("issue", "mark", "remark"):
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
            for one in _issue(body).questions:
                if one.id in made and one.variant:
                    made[one.id].append((*one.variant["given"], one.variant["answers"][-1]["shown"]))
        return made

    def _all(self, kind: str) -> list[Mapping[str, Any]]:
        with ledger.reading(self.folder) as connection:
            return [r.body for r in ledger.recorded(connection, kind=kind) if r.body is not None]


def _issue(body: Mapping[str, Any]) -> Issue:
    return issue_from(body["paper"])


def _marked(issued: Mapping[str, Any], mark: Mark, passed_on: date) -> dict[str, Any]:
    """What a mark's entry holds. A pass counts from the day the paper was marked first."""
    issue = _issue(issued)
    until = after_months(passed_on, issue.months).isoformat()
    awards = [{"evidence": id, "until": until} for id in issued["serves"] if mark.passed]
    return {
        "number": mark.number, "plan": mark.plan, "day": passed_on.isoformat(), "title": issue.title,
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
) -> Iterator[SignedStore]:
    """The store on the register in a folder. Raises StoreError with what to do."""
    try:
        with ledger.reading(folder):
            pass  # told at once, not after a paper was typed in
        yield SignedStore(folder, unlock, now, by, evidence)
    except (RegisterError, PassphraseError, PlainError) as error:
        raise StoreError(str(error)) from None
