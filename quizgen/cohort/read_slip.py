"""Reading one progress slip, file or text, from anybody: looked through whole before a word of it is taken."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta
from functools import lru_cache
from typing import Any, NoReturn

from quizgen.bank.fields import CODE
from quizgen.cohort.pack import Packed
from quizgen.cohort.progress_slip import LATELY, MOST, MOST_GONE, Counts, Slip, joined_counts, last_day
from quizgen.cohort.slip_message import MARK, named, read_data, texts_in
from quizgen.cohort.slip_message import VERSION as TEXT_VERSION
from quizgen.variants.short_names import long_name
from quizgen.variants.slip_names import SlipNames

VERSION = 1
LONGEST = 1_000_000
"""Bytes of a file; a whole course takes about a tenth."""
MOST_QUESTIONS, MOST_DAYS, MOST_SLIPS, LONGEST_NAME = 5000, 400, 100, 100
QUESTION = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
ANSWER = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[+h-]")
FIRST = "2000-01-01"
AGAIN = "have it handed in again: practice panel, Hand in a progress slip"
OTHERS = {
    "practice": "this is saved practice, with a name and typed answers in it: delete it and ask for a progress slip",
    "assignment": "this is an assignment, which goes the other way: ask for a progress slip",
}


class Refused(Exception):
    """No slip that can be taken; the text says why and what to do."""


def read_slips(text: str, course: str, names: SlipNames, today: date) -> Iterator[Slip | Refused]:
    """Every slip in the text of a file or message: one if it is a slip's file, else all texts in it."""
    if text.lstrip("\ufeff \t\r\n").startswith("{"):
        yield _tried(read_file, text, course, names, today)
        return
    found = texts_in(text)
    if not found:
        yield Refused(f"no progress slip is in it: a text has {MARK}{TEXT_VERSION} in it, a file is as it was saved")
    for version, data, whole in found:
        yield _tried(read_text, version, data, whole, course, names, today)


def _tried(read: Callable[..., Slip], *about: Any) -> Slip | Refused:
    try:
        return read(*about)
    except Refused as refused:
        return refused


def read_text(version: int, data: str, whole: bool, course: str, names: SlipNames, today: date) -> Slip:
    """The slip in the data of a text. Raises Refused."""
    if version > TEXT_VERSION:
        raise Refused("it was written by a newer edition of the course: use that edition's quizgen")
    if not whole:
        raise Refused(f"the end of the text is missing, the point with it: copy all of it, or {AGAIN}")
    try:
        short = read_data(data, version)
    except (Packed, ValueError, OverflowError) as error:
        said = str(error) if isinstance(error, Packed) else "it holds what no slip holds"
        raise Refused(f"the text is damaged ({said}): copy all of it, or {AGAIN}") from None
    if short.course != long_name(course):
        _other_course("")
    if not CODE.fullmatch(short.code):
        _damaged("code")
    _look_at_saved(short.saved, short.code, today)
    return named(short, names)


def read_file(text: str, course: str, names: SlipNames, today: date) -> Slip:
    """The slip in the text of a file. Raises Refused."""
    if len(text) > LONGEST:
        raise Refused(f"it is too large for a progress slip: {AGAIN}")
    try:
        file = json.loads(text.lstrip("\ufeff"), parse_constant=_no_number, parse_float=_no_number)
    except (ValueError, RecursionError):
        raise Refused(f"it is no progress slip, or a part of it is missing: {AGAIN}") from None
    kind = file.get("file") if isinstance(file, dict) else None
    if not isinstance(file, dict) or kind != "progress":
        raise Refused(OTHERS.get(str(kind), f"it is no progress slip: {AGAIN}"))
    version = file.get("version")
    if type(version) is not int or version < 1:
        _damaged("version")
    if version > VERSION:
        raise Refused("it was saved by a newer edition of the course: use that edition's quizgen")
    if file.get("course") != course:
        _other_course(file.get("course"))
    code, saved = file.get("code"), file.get("saved")
    if not isinstance(code, str) or not CODE.fullmatch(code):
        _damaged("code")
    if not isinstance(saved, str) or not _is_day(saved):
        _damaged("saved")
    _look_at_saved(saved, code, today)
    results = file.get("results")
    if not isinstance(results, dict) or len(results) > MOST_QUESTIONS:
        _damaged("results")
    return _slip(code, saved, results, names)


def _slip(code: str, saved: str, raw: Mapping[str, Any], names: SlipNames) -> Slip:
    latest = (date.fromisoformat(saved) + timedelta(days=1)).isoformat()
    results: dict[str, Counts] = {}
    unknown = ahead = 0
    last, gone = "", []
    for id, value in raw.items():
        if len(id) > LONGEST_NAME or not QUESTION.fullmatch(id):
            _damaged("results, at a question with a name that no question can have")
        counts, late = _counts(value, latest)
        if counts is None:
            _damaged(f"results, at {id}")
        ahead += late
        now = names.was.get(id, id)
        if now not in names.slips:
            unknown += 1
            gone.append(id)
            last = max(last, last_day(counts))  # who answered it has not stopped
        elif counts.tries:
            results[now] = joined_counts(results[now], counts) if now in results else counts
    return Slip(code, saved, results, last=last, unknown=unknown, gone=tuple(gone[:MOST_GONE]), ahead=ahead)


def _counts(raw: Any, latest: str) -> tuple[Counts | None, int]:
    """What is kept of one question, and how many of its dates lie after `latest`; None where it is damaged."""
    if type(raw) is not dict:
        return None, 0
    tries, right, helped = raw.get("tries", 0), raw.get("right", 0), raw.get("helped", 0)
    if not (_is_count(tries) and _is_count(right) and _is_count(helped)):
        return None, 0
    days, lately, slips = raw.get("days", []), raw.get("lately", []), raw.get("slips", {})
    if type(days) is not list or len(days) > MOST_DAYS or not all(map(_is_day, days)):
        return None, 0
    if type(lately) is not list or len(lately) > LATELY or not all(map(_is_answer, lately)):
        return None, 0
    if type(slips) is not dict or len(slips) > MOST_SLIPS:
        return None, 0
    for name, times in slips.items():
        if len(name) > LONGEST_NAME or not _is_count(times):
            return None, 0
    late = 0
    if days or lately:
        known, listed = len(days), len(lately)
        days = sorted({day for day in days if day <= latest})
        lately = sorted((one for one in lately if one[:10] <= latest), key=_day_of)
        late = max(0, listed - len(lately), known - len(days))
    now = bool(lately) and lately[-1][10] == "+"
    made = tuple(sorted((name, times) for name, times in slips.items() if times)) if slips else ()
    return Counts(tries, min(right, tries), helped, len(days), now, tuple(days), tuple(lately), made), late


def _day_of(answer: str) -> str:
    return answer[:10]


def _is_count(value: Any) -> bool:
    return type(value) is int and 0 <= value <= MOST


def _is_day(value: Any) -> bool:
    return type(value) is str and len(value) == 10 and _real_day(value)


def _is_answer(value: Any) -> bool:
    return type(value) is str and len(value) == 11 and _real_answer(value)


@lru_cache(maxsize=65536)
def _real_day(value: str) -> bool:
    """The calendar has it. Only days of digits and -: the library reads 2026-W48-6 too."""
    try:
        return value.isascii() and value.replace("-", "").isdigit() and date.fromisoformat(value).isoformat() >= FIRST
    except ValueError:
        return False


@lru_cache(maxsize=65536)
def _real_answer(value: str) -> bool:
    return ANSWER.fullmatch(value) is not None and _real_day(value[:10])


def _look_at_saved(saved: str, code: str, today: date) -> None:
    # One day ahead is another time zone.
    if date.fromisoformat(saved) > today + timedelta(days=1):
        raise Refused(f"{code} saved it on {saved}, which is still to come: set that device's clock, then {AGAIN}")


def _other_course(course: Any) -> NoReturn:
    whose = f" ({course})" if isinstance(course, str) and len(course) <= 60 and QUESTION.fullmatch(course) else ""
    raise Refused(f"it belongs to another course{whose}: name that course with --course")


def _damaged(where: str) -> NoReturn:
    raise Refused(f"it is damaged at {where}: {AGAIN}")


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} stands in no slip")
