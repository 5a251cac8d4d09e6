"""Kept values as text and back: JSON with sorted names, read without trust."""

from __future__ import annotations

import json
from collections.abc import Mapping
from operator import attrgetter
from typing import Any

from quizgen.papers.shared import PLAIN, WITHIN, Shared, apart
from quizgen.papers.types import VERSION, BoxMark, Issue, Issued, Mark, QuestionMark, Sheet, Void


class PlainError(Exception):
    """A kept record cannot be read; it is damaged or of another version."""


def to_text(value: Issue | Mark | Void | Sheet) -> str:
    """One line of JSON. Floats are written so that they come back as the same number."""
    return _WRITER.encode({"v": VERSION, "kind": type(value).__name__.lower(), **_fields(value)})


_FIELDS = {
    kind: (names := tuple(sorted(kind.__dataclass_fields__)), attrgetter(*names))
    for kind in (Issue, Issued, Sheet, Mark, QuestionMark, BoxMark, Void)
}
"""Of each of our values the names of its fields, in the order they are written in, and what takes all of them."""


def _fields(value: Any) -> dict[str, Any]:
    """The fields of one of our values as they are; what lies in them is met when it is written."""
    names, all_of = _FIELDS[type(value)]
    return dict(zip(names, all_of(value), strict=True))


_WRITER = json.JSONEncoder(
    ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False, check_circular=False, default=_fields
)


def issue_from(text: str) -> Issue:
    return _issue(*apart(text, PLAIN))


def issue_within(body: str) -> tuple[dict[str, Any], Issue | None]:
    """A JSON object, and the issue whose text is its field "paper"; None where it has none."""
    rest, kept = apart(body, WITHIN)
    data: dict[str, Any] = json.loads(rest)
    return data, _issue(data["paper"], kept) if "paper" in data else None


def _issue(text: str, kept: list[Shared]) -> Issue:
    """kept: what was cut out of the text, for each question; empty if it is whole."""
    data = _read(text, "issue")
    with _Wrapped("issue"):
        found = data.pop("questions")
        if kept:
            for one, shared in zip(found, kept, strict=True):
                _put_back(one, shared)
        for one in found:
            for name in ("marks", "shuffled", "second"):
                one[name] = tuple(one[name])
        questions = tuple(Issued(**one) for one in found)
        return Issue(**{**data, "aids": tuple(data["aids"])}, questions=questions)


def _put_back(one: dict[str, Any], shared: Shared) -> None:
    if one["question"] is not None or "second" in one:
        raise ValueError("nothing was cut out here")
    one["question"], one["second"] = shared.question, shared.second


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
