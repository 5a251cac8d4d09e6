"""Kept values as text and back: JSON with sorted names, read without trust."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from quizgen.papers.types import VERSION, BoxMark, Issue, Issued, Mark, QuestionMark, Sheet, Void


class PlainError(Exception):
    """A kept record cannot be read; it is damaged or of another version."""


def to_text(value: Issue | Mark | Void | Sheet) -> str:
    """One line of JSON. Floats are written so that they come back as the same number."""
    return _WRITER.encode({"v": VERSION, "kind": type(value).__name__.lower(), **_fields(value)})


def _fields(value: Any) -> dict[str, Any]:
    """The fields of one of our values as they are; what lies in them is met when it is written."""
    return {name: getattr(value, name) for name in value.__dataclass_fields__}


_WRITER = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False, default=_fields)


def issue_from(text: str) -> Issue:
    rest, kept = _apart(text)
    data = _read(rest, "issue")
    with _Wrapped("issue"):
        questions = tuple(
            Issued(**{**one, "marks": tuple(one["marks"]), "shuffled": tuple(one["shuffled"]),
                      "second": tuple(one["second"]), **({"question": kept[at]} if kept else {})})
            for at, one in enumerate(data.pop("questions"))
        )  # fmt: skip
        return Issue(**{**data, "aids": tuple(data["aids"])}, questions=questions)


# Papers of one plan ask the same questions, each of them a text of some kilobytes that is alike in all of them.
# Reading one takes longer than all that marking does with it, so what was read is kept.
_BEGIN, _END = '"question":{', '},"second":['
_HELD = 512
"""Questions that are kept, about 20 KB each."""


def _apart(text: str) -> tuple[str, list[Mapping[str, Any]]]:
    """The text of an issue with null in place of each question, and the questions; or as it is, and none.

    A quotation mark inside a JSON text has a backslash before it, so `_BEGIN` and `_END` are names of fields. What
    stands between them is the whole value exactly if it can be read as one; and no other field is called so.
    """
    pieces, kept, at = [], [], 0
    while (begin := text.find(_BEGIN, at)) >= 0:
        begin += len(_BEGIN) - 1
        end = text.find(_END, begin) + 1
        question = _question(text[begin:end]) if end else None
        if question is None:
            return text, []
        kept.append(question)
        pieces.append(text[at:begin])
        at = end
    if text.count('"question"') != len(kept):
        return text, []
    return "null".join([*pieces, text[at:]]), kept


@lru_cache(maxsize=_HELD)
def _question(text: str) -> Mapping[str, Any] | None:
    """A question of a record; nobody changes it. None if the text is none."""
    try:
        made = json.loads(text)
    except (ValueError, RecursionError):
        return None
    return made if isinstance(made, dict) else None


def sheet_from(text: str) -> Sheet:
    data = _read(text, "sheet")
    with _Wrapped("sheet"):
        return Sheet(**{**data, "answers": tuple(tuple(one) for one in data["answers"])})


def mark_from(text: str) -> Mark:
    data = _read(text, "mark")
    with _Wrapped("mark"):
        return _mark(data)


def void_from(text: str) -> Void:
    data = _read(text, "void")
    with _Wrapped("void"):
        return Void(**{**data, "marks": tuple(_mark(one) for one in data["marks"])})


def _mark(data: Mapping[str, Any]) -> Mark:
    questions = tuple(
        QuestionMark(**{**one, "boxes": tuple(BoxMark(**box) for box in one["boxes"]),
                        "remarks": tuple(one["remarks"])})
        for one in data["questions"]
    )  # fmt: skip
    return Mark(**{**data, "missed": tuple(data["missed"]), "notes": tuple(data["notes"]), "questions": questions})


def _read(text: str, kind: str) -> dict[str, Any]:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise PlainError(f"a kept {kind} is damaged: take the backup") from None
    if not isinstance(data, dict) or data.pop("kind", None) != kind:
        raise PlainError(f"a kept {kind} is damaged: take the backup")
    if data.pop("v", None) != VERSION:
        raise PlainError(f"a kept {kind} is of another version than this program reads")
    return data


class _Wrapped:
    """Turns what is missing or wrong in kept data into one error."""

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: object) -> None:
        if isinstance(error, TypeError | KeyError | ValueError | AttributeError):
            raise PlainError(f"a kept {self.kind} is damaged: take the backup") from None
