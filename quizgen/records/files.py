"""The records as plain files: a store for papers that anybody can look at, not signed.

    papers/issued/BATCH/NUMBER.json    a batch becomes visible at once, by renaming its folder
    papers/returned/NUMBER.json        sheet, raw form and first mark in one file
    papers/voids/NNNN.json             a decision with every new mark, in one file
    papers/refused/NNNN.json           what was offered and why it was not taken

Each operation ends in one rename, so it is kept whole or not at all. A lock file keeps a second writer out.
"""

from __future__ import annotations

import base64
import json
import os
import re
import secrets
import shutil
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from quizgen.papers.plain import (
    PlainError,
    issue_from,
    mark_from,
    sheet_from,
    to_text,
    void_from,
)
from quizgen.papers.types import Issue, Mark, Refusal, Sheet, Standing, Void
from quizgen.records.store import Doubled, StoreError
from quizgen.records.write import write_whole

NUMBER = re.compile(r"[2-9A-HJ-NP-Z]{4}-[2-9A-HJ-NP-Z]{4}")


@contextmanager
def opened(folder: Path) -> Iterator[FileStore]:
    """The store in a records folder, locked for as long as it is open. Raises StoreError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        held = os.open(folder / ".lock", os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise StoreError(f"{folder} cannot be used for records: {error.strerror}") from None
    try:
        if not _lock(held):
            raise StoreError("another quizgen is writing to these records: wait until it is done, then do it again")
        try:
            yield FileStore(folder / "papers")
        except PlainError as error:
            raise StoreError(str(error)) from None
        except OSError as error:
            raise StoreError(f"the records could not be written: {error.strerror}; nothing was kept") from None
    finally:
        os.close(held)  # gives the lock back


def _lock(held: int) -> bool:
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(held, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl

            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


class FileStore:
    """See `records.store.Store`."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._where: dict[str, Path] = {}
        """Number → file of its issue."""
        for path in sorted((folder / "issued").glob("*/*.json")):
            if not path.parent.name.startswith("."):
                self._where[path.stem] = path

    # Operations

    def issue(self, issues: Sequence[Issue]) -> None:
        for one in issues:
            if one.number in self._where:
                raise Doubled(f"paper {one.number} exists already")
            if not NUMBER.fullmatch(one.number):
                raise StoreError(f"{one.number[:20]!r} is no number of a paper")
        place = self.folder / "issued"
        place.mkdir(parents=True, exist_ok=True)
        # Batches are named in the order of issue.
        count = sum(not path.name.startswith(".") for path in place.iterdir())
        final, building = place / f"{count + 1:06d}", place / f".{secrets.token_hex(8)}"
        try:
            for one in issues:
                write_whole(building / f"{one.number}.json", to_text(one).encode())
            os.rename(building, final)
        finally:
            shutil.rmtree(building, ignore_errors=True)
        self._where.update({one.number: final / f"{one.number}.json" for one in issues})

    def return_and_mark(self, sheet: Sheet, raw: bytes, mark: Mark) -> None:
        if sheet.number not in self._where:
            raise StoreError(f"paper {sheet.number[:20]!r} was never issued")
        if self._returned(sheet.number).exists():
            raise Doubled(f"paper {sheet.number} was handed in before")
        data = {
            "sheet": to_text(sheet), "raw": base64.b64encode(raw).decode(), "mark": to_text(mark),
        }  # fmt: skip
        write_whole(self._returned(sheet.number), json.dumps(data).encode())

    def void(self, void: Void) -> None:
        kept = self.voids(void.plan)
        if any(one.question == void.question for one in kept):
            raise Doubled(f"{void.question} is void already in {void.plan}")
        write_whole(self._next("voids"), to_text(void).encode())

    def refuse(self, refusal: Refusal) -> None:
        data = {
            "number": refusal.number, "why": refusal.why, "at": refusal.at, "digest": refusal.digest,
            "offered": base64.b64encode(refusal.offered).decode(),
        }  # fmt: skip
        write_whole(self._next("refused"), json.dumps(data, ensure_ascii=False).encode())

    # Looking

    def issue_of(self, number: str) -> Issue | None:
        path = self._where.get(number)
        return issue_from(path.read_text(encoding="utf-8")) if path else None

    def sheet_of(self, number: str) -> Sheet | None:
        data = self._kept(number)
        return sheet_from(data["sheet"]) if data else None

    def marks_of(self, number: str) -> tuple[Mark, ...]:
        data = self._kept(number)
        if not data:
            return ()
        first = mark_from(data["mark"])
        later = [mark for void in self.voids(first.plan) for mark in void.marks if mark.number == number]
        return (first, *later)

    def papers(self, plan: str = "", code: str = "") -> tuple[Standing, ...]:
        made = []
        for number in self._where:
            issue = self.issue_of(number)
            if issue and (not plan or issue.plan == plan) and (not code or issue.code.casefold() == code.casefold()):
                marks = self.marks_of(number)
                passed = marks[-1].passed if marks else None
                made.append(Standing(number, issue.plan, issue.code, issue.attempt, issue.issued_on,
                                     issue.valid_until, bool(marks), passed))  # fmt: skip
        return tuple(made)

    def voids(self, plan: str) -> tuple[Void, ...]:
        kept = [void_from(path.read_text(encoding="utf-8")) for path in self._all("voids")]
        return tuple(void for void in kept if void.plan == plan)

    def refusals(self) -> tuple[Refusal, ...]:
        made = []
        for path in self._all("refused"):
            data = _loaded(path)
            made.append(Refusal(data["number"], data["why"], data["at"], data["digest"],
                                base64.b64decode(data["offered"])))  # fmt: skip
        return tuple(made)

    def given(self, questions: Collection[str]) -> dict[str, list[tuple[str, ...]]]:
        made: dict[str, list[tuple[str, ...]]] = {id: [] for id in questions}
        for number in self._where:
            issue = self.issue_of(number)
            # Of every plan: numbers that another paper asked are known to somebody as well.
            for one in issue.questions if issue else ():
                if one.id in made and one.variant:
                    made[one.id].append((*one.variant["given"], one.variant["answers"][-1]["shown"]))
        return made

    # Files

    def _returned(self, number: str) -> Path:
        return self.folder / "returned" / f"{number}.json"

    def _kept(self, number: str) -> dict[str, Any] | None:
        if number not in self._where or not self._returned(number).exists():
            return None
        return _loaded(self._returned(number))

    def _all(self, kind: str) -> list[Path]:
        return sorted((self.folder / kind).glob("[0-9]*.json"))

    def _next(self, kind: str) -> Path:
        kept = self._all(kind)
        return self.folder / kind / f"{int(kept[-1].stem) + 1 if kept else 1:06d}.json"


def _loaded(path: Path) -> dict[str, Any]:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except ValueError:
        raise PlainError(f"{path.name} is damaged: take the backup") from None
    if not isinstance(data, dict):
        raise PlainError(f"{path.name} is damaged: take the backup")
    return data
