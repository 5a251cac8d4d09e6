"""The hand-in form: reading it without trust, and its check code.

The check code shows a slip or a change after the fact to whoever compares it with the signed sheet. It is
no signature: whoever can write a form can work out its code.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from typing import Any

from quizgen.papers.chance import letters
from quizgen.papers.types import Issue, Sheet

FORM = "hand-in of a competence paper"
LARGEST = 1_000_000
"""Bytes of a form; the longest honest one has a few thousand."""
LONGEST = 200
FIELDS = {"form", "v", "paper", "code", "answers", "check"}


class SheetError(Exception):
    """The form is not taken; one line that says why."""


def check_code(number: str, code: str, answers: Sequence[Sequence[str]]) -> str:
    """40 bits of SHA-256 over length-prefixed texts, as in 7KQ2-M9XD. The page works out the same."""
    parts = [number, code]
    for texts in answers:
        parts += [str(len(texts)), *texts]
    lengthed = b"".join(b"%d:%s" % (len(part.encode()), part.encode()) for part in parts)
    signs = letters(hashlib.sha256(lengthed).digest())
    return f"{signs[:4]}-{signs[4:]}"


def read_sheet(raw: bytes) -> Sheet:
    """A form from a file. Raises SheetError for anything that is not exactly one."""
    if len(raw) > LARGEST:
        raise SheetError("the file is larger than 1 MB: no hand-in form is")
    try:
        data = json.loads(raw.decode("utf-8-sig"), parse_constant=_no_constant, object_pairs_hook=_no_doubles)
    except (ValueError, RecursionError):
        raise SheetError("the file is no hand-in form: ask for the one that the page saved") from None
    if not isinstance(data, dict) or data.get("form") != FORM:
        raise SheetError("the file is no hand-in form: ask for the one that the page saved")
    if data.get("v") != 1 or isinstance(data.get("v"), bool) or set(data) != FIELDS:
        raise SheetError("the form is of another version or was altered: its fields are not those the page writes")
    number, code, check = (_text(data, name) for name in ("paper", "code", "check"))
    answers = data["answers"]
    if not isinstance(answers, list) or not all(isinstance(one, list) for one in answers):
        raise SheetError("the form was altered: its answers are not in their places")
    for one in answers:
        if not all(isinstance(text, str) and len(text) <= LONGEST and _clean(text) for text in one):
            raise SheetError("the form was altered: an answer is no line of text as the page writes it")
    sheet = Sheet(number, code, tuple(tuple(one) for one in answers), check)
    if check != check_code(number, code, sheet.answers):
        raise SheetError(f"the form was altered after it was saved: its check code {_short(check)} does not fit")
    return sheet


def fits(sheet: Sheet, issue: Issue) -> str:
    """Why the sheet is not one of this paper, or ""."""
    if sheet.code != issue.code:
        return f"the form names candidate {_short(sheet.code)}, the paper was issued to {issue.code}"
    boxes = [len(one.marks) for one in issue.questions]
    if [len(texts) for texts in sheet.answers] != boxes:
        return "the form does not have the questions of this paper: it was altered"
    return ""


def made_sheet(issue: Issue, answers: Sequence[Sequence[str]]) -> Sheet:
    """A sheet from answers typed in by a trainer."""
    kept = tuple(tuple(texts) for texts in answers)
    return Sheet(issue.number, issue.code, kept, check_code(issue.number, issue.code, kept))


def sheet_bytes(sheet: Sheet) -> bytes:
    """The form as a file, as the page writes it."""
    data = {"form": FORM, "v": 1, "paper": sheet.number, "code": sheet.code,
            "answers": [list(texts) for texts in sheet.answers], "check": sheet.check}  # fmt: skip
    return json.dumps(data, ensure_ascii=False, indent=1).encode()


def _text(data: dict[str, Any], name: str) -> str:
    value = data[name]
    if not isinstance(value, str) or len(value) > LONGEST or not _clean(value):
        raise SheetError(f"the form was altered: {name} is no short text")
    return value


def _clean(text: str) -> bool:
    """Whether a text is what the page writes: no control signs and no halves of characters."""
    return not any(ord(sign) < 32 or 127 <= ord(sign) < 160 or 0xD800 <= ord(sign) < 0xE000 for sign in text)


def _short(text: str) -> str:
    return repr(text[:30])


def _no_constant(name: str) -> Any:
    raise ValueError(name)


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        raise ValueError("a field stands twice")
    return made
