"""A progress slip as a value: what a learner's device says about one code. It proves nothing.

What stands here came from outside and was looked at before (`read_slip`, `slip_message`); the same slip may come twice,
from two devices, or again later, so any number of a code's slips join to one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from quizgen.cohort.done import WRONG_FIRST

LATELY = 10
"""Answers of a question, and of a module, that a slip can list one by one."""
MOST_GONE = 20
"""So many ids that the course does not have are remembered of a slip."""
MOST = 1_000_000
"""No count is larger."""


class Counts(NamedTuple):
    """One question. `lately` lists up to ten answers, oldest first: a date and +, h (right with help) or -."""

    tries: int
    right: int
    helped: int
    alone: int
    """Different days with a right answer without help."""
    now: bool = False
    """The last answer was right without help."""
    days: tuple[str, ...] = ()
    """Those days, where the slip names them: a text only counts."""
    lately: tuple[str, ...] = ()
    slips: tuple[tuple[str, int], ...] = ()
    """Slips by name, in the order of their names, and how often each was made."""


@dataclass(frozen=True, slots=True)
class Slip:
    """What was handed in. `results`: question → counts; cases stand there as `case-ID`."""

    code: str
    saved: str
    results: Mapping[str, Counts]
    recent: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """The last answers of each module, for slips that list none by question."""
    days: Mapping[str, int] = field(default_factory=dict)
    """Different days with a right answer without help, by module, for slips that name no days."""
    last: str = ""
    """The day of the last answer, for the same slips, and for answers to questions that the course does not have."""
    left_out: int = 0
    """Older questions that did not fit into a text."""
    unknown: int = 0
    """Questions that the course does not have: it has changed, or the learner practises on another edition."""
    gone: tuple[str, ...] = ()
    """Ids of such questions, where the slip names them: a text cannot."""
    ahead: int = 0
    """Dates that lie after the slip's own: a clock was wrong."""
    joined: int = 1
    """How many slips it was made of."""


def last_day(counts: Counts) -> str:
    """The day of the last answer, as far as it is known; "" where it is not."""
    return max(counts.lately[-1][:10] if counts.lately else "", counts.days[-1] if counts.days else "")


def last_answer(slip: Slip) -> str:
    """The day of the learner's last answer; "" where none is known."""
    return max(slip.last, *(last_day(counts) for counts in slip.results.values()), "")


def recent_of(results: Iterable[Counts], most: int = LATELY) -> tuple[str, ...]:
    """The last answers of several questions together, in the order in which `done` counts them."""
    return tuple(in_order(answer for counts in results for answer in counts.lately)[-most:])


def days_alone(results: Iterable[Counts]) -> set[str]:
    """The days on which any of the questions was right without help, as far as they are named."""
    found = list(results)
    listed = {answer[:10] for counts in found for answer in counts.lately if answer[10] == "+"}
    return listed.union(*(counts.days for counts in found))


def in_order(answers: Iterable[str]) -> list[str]:
    """By day; mistakes of a day first, as `done` counts them."""
    return sorted(answers, key=lambda answer: (answer[:10], WRONG_FIRST.index(answer[10])))


def joined(one: Slip, other: Slip) -> Slip:
    """Two slips of one code. Joining one again changes nothing; of every count the larger holds."""
    old, new = sorted((one, other), key=lambda slip: slip.saved)
    results = dict(old.results)
    for id, counts in new.results.items():
        results[id] = joined_counts(results[id], counts) if id in results else counts
    recent = {**old.recent, **new.recent}
    for what in old.recent.keys() & new.recent.keys():
        recent[what] = joined_answers(old.recent[what], new.recent[what])
    days = {what: max(old.days.get(what, 0), new.days.get(what, 0)) for what in old.days.keys() | new.days.keys()}
    gone = tuple(dict.fromkeys((*new.gone, *old.gone)))[:MOST_GONE]
    return replace(
        new, results=results, recent=recent, days=days, gone=gone, last=max(old.last, new.last),
        left_out=min(old.left_out, new.left_out), unknown=max(old.unknown, new.unknown),
        ahead=max(old.ahead, new.ahead), joined=old.joined + new.joined,
    )  # fmt: skip


def joined_counts(one: Counts, other: Counts) -> Counts:
    """Counting the same answers twice would be wrong, so of every count the larger one holds."""
    days = tuple(sorted({*one.days, *other.days}))
    newer = max(one, other, key=lambda counts: (last_day(counts), counts.tries))
    slips = dict(one.slips)
    for name, times in other.slips:
        slips[name] = max(times, slips.get(name, 0))
    return Counts(
        max(one.tries, other.tries), max(one.right, other.right), max(one.helped, other.helped),
        max(one.alone, other.alone, len(days)), newer.now, days, joined_answers(one.lately, other.lately),
        tuple(sorted(slips.items())),
    )  # fmt: skip


def joined_answers(one: tuple[str, ...], other: tuple[str, ...]) -> tuple[str, ...]:
    """Each answer as often as the one of the two has it that has it more often; the page joins them alike."""
    left = list(one)
    more = []
    for answer in other:
        if answer in left:
            left.remove(answer)
        else:
            more.append(answer)
    if not more:
        return one
    return other if len(one) + len(more) == len(other) else tuple(sorted([*one, *more])[-LATELY:])
