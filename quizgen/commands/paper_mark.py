"""paper mark, key, enter and void: what happens with a paper after it was sat."""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import sys
from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from quizgen.bank.collector import paused_collector
from quizgen.bank.faults import BankError, quoted
from quizgen.bank.load import load_bank
from quizgen.cache import content_key, folder_content
from quizgen.commands import paper_issue, signing
from quizgen.commands.course import CourseError, cache_for, course_folder
from quizgen.commands.mark_sheets import Behind, write_sheets
from quizgen.papers.issue import PaperError
from quizgen.papers.mark import mark_sheet
from quizgen.papers.page import page_html
from quizgen.papers.plain import PlainError
from quizgen.papers.print import key_html
from quizgen.papers.seal import page_of, page_question
from quizgen.papers.second import key_faults
from quizgen.papers.sheet import LARGEST, SheetError, fits, made_sheet, read_sheet, sheet_bytes
from quizgen.papers.sheets import plain
from quizgen.papers.today import Today, differences, today_data, today_from, today_of
from quizgen.papers.types import Issue, Mark, Refusal, Sheet, Void
from quizgen.records.keys import PassphraseError
from quizgen.records.ledger import RegisterError
from quizgen.records.signed import SignedStore, opened
from quizgen.records.store import StoreError
from quizgen.records.write import write_whole
from quizgen.variants.compile import code_version

LONGEST_REASON = 300
AT_ONCE = 100
"""Forms in one transaction. Others who write wait so long: well below `ledger.PATIENCE`, on a slow machine too."""
TROUBLE = (StoreError, RegisterError, PassphraseError, PlainError)


class Refused(Exception):
    """A sheet is not taken; the text says why and what to do."""


# -- mark -----------------------------------------------------------------------------------------------


def mark(args: argparse.Namespace) -> tuple[int, str]:
    """Forms are marked in batches, each of them one transaction: whatever happens, whole sheets are kept, in order."""
    _reason(args.late, "--late")
    run, behind = _Run(args, _todays(args)), Behind()
    stopped = ""
    with opened(args.records, signing.passphrase, signing.now, args.signer) as store:
        try:
            try:
                with paused_collector():
                    for at in range(0, len(args.files), AT_ONCE):
                        _mark_batch(store, run, args.files[at : at + AT_ONCE], behind)
                        _progress(len(run.told), len(args.files))
            finally:
                behind.settle()
        except (*TROUBLE, OSError, KeyboardInterrupt) as error:
            if not run.told:
                raise
            stopped = str(error) or "stopped by hand"
        finally:
            _progress(len(args.files), len(args.files))
    return _told_of_all(args, run.told, stopped)


@dataclass(slots=True)
class _Run:
    """What is the same for all forms of one run, and what was said of each: of a form no more than that stays."""

    args: argparse.Namespace
    course: Today | None
    voids: dict[str, dict[str, str]] = field(default_factory=dict)
    """Of each plan, for one batch: question → why."""
    sheets: list[tuple[Path, Issue, Mark]] = field(default_factory=list)
    """What mark sheets are made from when the batch is kept."""
    told: list[dict[str, Any]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Form:
    """A file that was offered, before the register is asked."""

    name: str
    raw: bytes | None
    sheet: Sheet | None
    refused: str
    """Why it cannot be read, or is no form; "" if it is one."""


def _mark_batch(store: SignedStore, run: _Run, names: Sequence[str], behind: Behind) -> None:
    """Mark some forms in one transaction, then write their mark sheets. What is kept stands in `run.told`."""
    # Read before the register is held: a slow stick must not keep others waiting.
    forms = [_form(name) for name in names]
    numbers = {form.sheet.number for form in forms if form.sheet}
    run.voids.clear()
    run.sheets = []
    told: list[dict[str, Any]] = []
    trouble: Exception | None = None
    with store.batch(numbers) if any(form.raw is not None for form in forms) else nullcontext():
        for form in forms:
            try:
                told.append({"file": form.name, **_offered(store, run, form)})
            except (StoreError, PlainError) as error:
                # The register or this record is damaged. What was marked before it is kept.
                trouble = error
                break
    run.told += told
    behind.take(run.sheets)
    if trouble:
        raise trouble


def _form(name: str) -> _Form:
    path = Path(name)
    try:
        if not path.is_file():
            return _Form(name, None, None, "cannot be read: there is no such file")
        with path.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except OSError as error:
        return _Form(name, None, None, f"cannot be read: {error.strerror}")
    try:
        return _Form(name, raw, read_sheet(raw), "")
    except SheetError as error:
        return _Form(name, raw, None, str(error))


def _offered(store: SignedStore, run: _Run, form: _Form) -> dict[str, Any]:
    """What became of one form."""
    if form.raw is None:
        return {"refused": form.refused}
    try:
        if form.sheet is None:
            raise Refused(form.refused)
        return _take(store, run, form.sheet, form.raw)
    except Refused as refused:
        store.refuse(_refusal(form, form.raw, str(refused)))
        return {"refused": str(refused)}


def _told_of_all(args: argparse.Namespace, told: Sequence[Mapping[str, Any]], stopped: str) -> tuple[int, str]:
    bad = any("refused" in one for one in told)
    code = int(bad or bool(stopped))
    if args.json:
        data = {"papers": told, "stopped": stopped} if stopped else {"papers": told}
        return code, json.dumps(data, ensure_ascii=False, indent=1)
    lines = [f"{os.path.basename(one['file'])}: " + (f"refused: {one['refused']}" if "refused" in one else _told(one))
             for one in told]  # fmt: skip
    if not all("refused" in one for one in told):
        lines.append("Next: compare each check code with the sign-off sheet, then hand out the mark sheets.")
    if bad:
        lines.append("What was refused is kept in the records with its reason; nothing else was changed.")
    if stopped:
        lines.append(stopped)
        lines.append(
            f"The {len(told)} forms above are kept. {len(args.files) - len(told)} were not looked at: give all forms "
            "once more; those that are marked are told, and their mark sheets are written if they are missing."
        )
    return code, "\n".join(lines)


def _progress(done: int, of: int) -> None:
    """One line that is written over, and gone at the end, for whoever waits at a terminal."""
    if of > AT_ONCE and sys.stderr.isatty():
        said = f"{done} of {of} forms are kept"
        print(f"\r{said if done < of else ' ' * len(said)}\r", end="", file=sys.stderr, flush=True)


def _refusal(form: _Form, raw: bytes, why: str) -> Refusal:
    number = form.sheet.number if form.sheet else ""
    at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return Refusal(number[:20], why, at, hashlib.sha256(raw).hexdigest(), raw[:LARGEST])


def _take(store: SignedStore, run: _Run, sheet: Sheet, raw: bytes) -> dict[str, Any]:
    """Mark a sheet and keep it, within a batch, or say why not. Raises Refused."""
    args = run.args
    issue = store.issue_of(sheet.number)
    if issue is None:
        raise Refused(f"paper {quoted(sheet.number)} was not issued from these records: is it another shop's paper?")
    if why := fits(sheet, issue):
        raise Refused(why)
    if store.is_returned(sheet.number):
        marks = store.marks_of(sheet.number)
        same = (
            " It is the same form; its mark sheet was written again." if store.sheet_of(sheet.number) == sheet else ""
        )
        if same:
            _keep_sheet(run, issue, marks[-1])
        raise Refused(f"paper {sheet.number} was handed in before and marked on {marks[0].marked_on}.{same}")
    signed = getattr(args, "signed", [])
    if signed and sheet.check not in {code.strip().upper() for code in signed}:
        raise Refused(f"its check code {sheet.check} is none of those signed: the form is not the one handed in")
    today = paper_issue.today()
    notes = []
    if today > date.fromisoformat(issue.valid_until):
        if not args.late:
            over = f"paper {issue.number} was valid until {issue.valid_until}"
            raise Refused(f"{over}: take it with --late REASON, or issue another")
        notes.append(f"Taken after {issue.valid_until}: {args.late.strip()}")
    if faults := key_faults(issue):
        raise Refused(f"the record of paper {issue.number} does not hold: {faults[0]}: take the backup of the records")
    notes += _since(issue, run.course)
    if issue.plan not in run.voids:
        run.voids[issue.plan] = {void.question: void.why for void in store.voids(issue.plan)}
    made = mark_sheet(issue, sheet, today.isoformat(), run.voids[issue.plan], notes)
    store.return_and_mark(sheet, raw, made)
    return {**_data(made), "check": sheet.check, "mark_sheet": str(_keep_sheet(run, issue, made))}


def _todays(args: argparse.Namespace) -> Today | None:
    """Today's course, read once for all forms; one that cannot be read changes nothing for an issued paper.

    What is compared of it is kept: a course that was not edited is not read again.
    """
    try:
        folder = course_folder(args.course)
        cache = cache_for(folder)
        key = content_key(code_version(), "today", folder_content(folder / "bank"))
        kept = today_from(cache.get(key))
        if kept is None:
            kept = today_of(load_bank(folder))
            cache.put(key, today_data(kept))
        return kept
    except (BankError, CourseError):
        return None


def _since(issue: Issue, course: Today | None) -> list[str]:
    """Differences from today's course."""
    if course is None:
        return ["today's course could not be read; marked from the record"]
    return differences(issue, course)


def _path(args: argparse.Namespace, issue: Issue) -> Path:
    """Where a paper's mark sheet lies."""
    folder = Path(args.out) if args.out else args.records / "mark-sheets"
    return folder / f"{issue.code}-{issue.number}-marks.html"


def _keep_sheet(run: _Run, issue: Issue, made: Mark) -> Path:
    """Where its mark sheet will lie."""
    path = _path(run.args, issue)
    run.sheets.append((path, issue, made))
    return path


def _data(made: Mark) -> dict[str, Any]:
    kept = {name: getattr(made, name) for name in Mark.__dataclass_fields__ if name != "questions"}
    return kept | {"remarks": [f"{one.id}: {text}" for one in made.questions for text in one.remarks]}


def _told(one: Mapping[str, Any]) -> str:
    result = "passed" if one["passed"] else "not passed"
    missed = f"; must be right and is not: {', '.join(one['missed'])}" if one["missed"] else ""
    told = (
        f"{one['code']}, paper {one['number']}: {result}, {one['marks']} of {one['of']} marks, "
        f"{one['pass_mark']} needed{missed}. Check code {one['check']}. Mark sheet: {one['mark_sheet']}"
    )
    return "\n".join([told, *(f"  note: {note}" for note in (*one["notes"], *one["remarks"]))])


def _reason(text: str, option: str) -> None:
    if text and (len(text) > LONGEST_REASON or not text.isprintable() or not text.strip()):
        raise PaperError(f"{option}: give a reason in one line of at most {LONGEST_REASON} characters")


# -- key ------------------------------------------------------------------------------------------------


def key(args: argparse.Namespace) -> tuple[int, str]:
    with opened(args.records, signing.passphrase, signing.now, args.signer, writes=False) as store:
        issue = _issue(store, args.number)
    path = Path(args.out) / f"key-{issue.number}.html"
    write_whole(path, key_html(issue).encode())
    if args.json:
        return 0, json.dumps({"number": issue.number, "file": str(path)}, ensure_ascii=False)
    return 0, f"Key of paper {issue.number} ({issue.code}): {path}. It is secret: print it, then delete the file."


# -- page ------------------------------------------------------------------------------------------------


def page(args: argparse.Namespace) -> tuple[int, str]:
    """The candidate's page once more, from its record: for a file that was lost, or never written."""
    with opened(args.records, signing.passphrase, signing.now, args.signer, writes=False) as store:
        issue = _issue(store, args.number)
        if store.marks_of(issue.number):
            raise PaperError(f"paper {issue.number} was handed in before: its page is not given out again")
    html = page_html(page_of(issue)).encode()
    path = Path(args.out) / f"{issue.code}-{issue.number}.html"
    write_whole(path, html)
    same = hashlib.sha256(html).hexdigest() == issue.page_hash
    if args.json:
        return 0, json.dumps({"number": issue.number, "file": str(path), "as_issued": same}, ensure_ascii=False)
    other = "Another quizgen made the first one: it may look different."
    how = "It is the page of the issue, byte for byte." if same else other
    return 0, f"Page of paper {issue.number} ({issue.code}): {path}. {how}"


def _issue(store: SignedStore, number: str) -> Issue:
    issue = store.issue_of(number.strip().upper())
    if issue is None:
        raise PaperError(f"{quoted(number)} is no paper of these records: its number stands on every sheet")
    return issue


# -- enter ----------------------------------------------------------------------------------------------


def enter(args: argparse.Namespace) -> tuple[int, str]:
    _reason(args.late, "--late")
    with opened(args.records, signing.passphrase, signing.now, args.signer) as store:
        issue = _issue(store, args.number)
        if store.marks_of(issue.number):
            raise PaperError(f"paper {issue.number} was handed in before: nothing was changed")
        sheet = made_sheet(issue, typed_twice(issue))
        run = _Run(args, _todays(args))
        try:
            with store.batch():
                made = _take(store, run, sheet, sheet_bytes(sheet))
        except Refused as refused:
            raise PaperError(str(refused)) from None
        finally:
            write_sheets(run.sheets)
    if args.json:
        return 0, json.dumps(made, ensure_ascii=False, indent=1)
    return 0, f"{_told(made)}\nNext: hand the mark sheet to the candidate, and keep the sheets of paper."


def typed_twice(issue: Issue) -> list[list[str]]:
    """Every answer typed twice; where the two differ it is asked for until two typings agree."""
    prompts = prompts_of(issue)
    _say(f"Paper {issue.number} of {issue.code}. Type each answer as it stands on the sheet; Enter alone for nothing.")
    _say("An option: its letter, like b, or a c for two. An order: the numbers from top to bottom, like 2 1 3.")
    first = [_ask(prompt) for prompt in prompts]
    _say("Now all of them once more, from the paper.")
    second = [_ask(prompt) for prompt in prompts]
    for at, prompt in enumerate(prompts):
        while first[at] != second[at]:
            _say(f"{prompt}: you typed {quoted(first[at])} and {quoted(second[at])}.")
            first[at], second[at] = second[at], _ask(f"{prompt}, once more")
    left = iter(first)
    return [[next(left) for _ in one.marks] for one in issue.questions]


def prompts_of(issue: Issue) -> list[str]:
    made = []
    for number, one in enumerate(issue.questions, 1):
        boxes = page_question(one).boxes
        for at, box in enumerate(boxes):
            step = f".{at + 1}" if len(boxes) > 1 else ""
            what = f"{box.symbol} in {box.unit}" if box.unit else box.symbol or plain(box.ask)
            made.append(f"{number}{step} ({what})")
    return made


def _ask(prompt: str) -> str:
    print(f"{prompt}: ", end="", file=sys.stderr, flush=True)
    try:
        text = input()
    except (EOFError, KeyboardInterrupt):
        raise PaperError("stopped before the end: nothing was kept; start again") from None
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())[:100]


def _say(text: str) -> None:
    print(text, file=sys.stderr)


# -- void -----------------------------------------------------------------------------------------------


def void(args: argparse.Namespace) -> tuple[int, str]:
    _reason(args.why or " ", "--why")
    day = paper_issue.today().isoformat()
    with opened(args.records, signing.passphrase, signing.now, args.signer) as store:
        touched = [issue for one in store.papers(args.plan) if (issue := store.issue_of(one.number))
                   and any(question.id == args.question for question in issue.questions)]  # fmt: skip
        if not touched:
            raise PaperError(f"no paper of plan {quoted(args.plan)} asks question {quoted(args.question)}")
        voids = {one.question: one.why for one in store.voids(args.plan)}
        voids[args.question] = args.why.strip()
        changes: list[tuple[Issue, Mark, Mark]] = []
        for issue in touched:
            marks, sheet = store.marks_of(issue.number), store.sheet_of(issue.number)
            if marks and sheet:
                again = mark_sheet(issue, sheet, day, voids, marks[-1].notes)
                changes.append((issue, marks[-1], replace(again, notes=(*again.notes, _change(marks[-1], again)))))
        store.void(Void(args.plan, args.question, args.why.strip(), day, tuple(new for _, _, new in changes)))
        write_sheets([(_path(args, issue), issue, new) for issue, _, new in changes])
    return 0, _voided(args, touched, changes)


def _change(old: Mark, new: Mark) -> str:
    words = {True: "passed", False: "not passed"}
    return (
        f"Marked again on {new.marked_on}: {old.marks} marks, {words[old.passed]}, became {new.marks} marks, "
        f"{words[new.passed]}"
    )


def _voided(args: argparse.Namespace, touched: Sequence[Issue], changes: Sequence[tuple[Issue, Mark, Mark]]) -> str:
    if args.json:
        told = [{"number": new.number, "code": new.code, "before": old.marks, "after": new.marks,
                 "passed_before": old.passed, "passed": new.passed} for _, old, new in changes]  # fmt: skip
        data = {"plan": args.plan, "question": args.question, "papers": len(touched), "marked_again": told}
        return json.dumps(data, ensure_ascii=False, indent=1)
    lines = [f"{args.question} is right for everybody in {args.plan}: {len(touched)} papers ask it."]
    lines += [f"  {new.code}, paper {new.number}: {_change(old, new)}" for _, old, new in changes]
    lines.append(
        "Papers that come in later are marked so too. Next: mend the question, and hand out the new mark sheets."
    )
    return "\n".join(lines)


ACTS = {"mark": mark, "key": key, "page": page, "enter": enter, "void": void}
