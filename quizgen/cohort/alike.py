"""Pairs of papers with wrong answers that are too much alike. A reason to ask, never a proof.

Everybody has other numbers, so the same slip gives another value: an equal wrong value, or one that fits the other
paper's key, came from the other paper. Options are shared: there, equal wrong choices count against chance.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from quizgen.cohort.distributions import binomial_from
from quizgen.papers.types import Issue, Issued, Mark, QuestionMark

LEAST = 2
"""Equal wrong answers that make a pair worth asking about, if they are rare."""
RARE = 0.01
"""Chance, over all pairs of the group, below which a pair is told."""
WRONG = {"wrong", "slip", "general", "rounded too far"}


@dataclass(frozen=True, slots=True)
class Sat:
    """A paper and its mark that counts."""

    issue: Issue
    mark: Mark


@dataclass(frozen=True, slots=True)
class Pair:
    """Two codes, the questions with a value of the other's paper, and those with the same wrong choice."""

    one: str
    other: str
    values: tuple[str, ...]
    choices: tuple[str, ...]
    chance: float
    """That some pair of the group has so many, if all worked alone: an upper bound."""


@dataclass(frozen=True, slots=True)
class _Value:
    """A wrong number with its key and tolerance, in SI, on one box."""

    value: float | None
    key: float
    tolerance: float


def suspicious(sat: Sequence[Sat]) -> tuple[Pair, ...]:
    numbers = [dict(_numbers(one)) for one in sat]
    choices = [dict(_choices(one)) for one in sat]
    pairs = list(itertools.combinations(range(len(sat)), 2))
    values = [_compared(numbers[a], numbers[b]) for a, b in pairs]
    both = [_chosen(choices[a], choices[b]) for a, b in pairs]
    value_chances, choice_chances = _chances(values), _chances(both)
    made = []
    for (a, b), number, choice, *chances in zip(pairs, values, both, value_chances, choice_chances, strict=True):
        # Two ways to be found, among so many pairs.
        chance = min(1.0, 2 * len(pairs) * min(chances))
        if chance < RARE:
            equal = [tuple(sorted({box[0] for box, same in found.items() if same})) for found in (number, choice)]
            made.append(Pair(sat[a].issue.code, sat[b].issue.code, equal[0], equal[1], chance))
    return tuple(made)


Compared = dict[tuple[str, int], bool]
"""For each box of a pair that could show something: whether it does."""


def _compared(one: dict[tuple[str, int], _Value], other: dict[tuple[str, int], _Value]) -> Compared:
    """Boxes where at least one of the two is wrong, and whether the value belongs to the other's paper."""
    made = {}
    for box in one.keys() & other.keys():
        a, b = one[box], other[box]
        # Keys that cannot be told apart say nothing.
        if (a.value is not None or b.value is not None) and abs(a.key - b.key) > a.tolerance + b.tolerance:
            made[box] = _copied(a, b)
    return made


def _chosen(one: dict[str, tuple[int, ...]], other: dict[str, tuple[int, ...]]) -> Compared:
    return {(id, 0): one[id] == other[id] for id in one.keys() & other.keys()}


def _chances(found: Sequence[Compared]) -> list[float]:
    """For each pair the chance of as many matches as it has, if it were a pair like any other.

    How often a box matches is counted over all pairs, so that a slip that many make suspects nobody.
    """
    tried: Counter[tuple[str, int]] = Counter()
    matched: Counter[tuple[str, int]] = Counter()
    for one in found:
        tried.update(one.keys())
        matched.update(box for box, same in one.items() if same)
    made = []
    for one in found:
        count = sum(one.values())
        rate = sum(matched[box] / tried[box] for box in one) / len(one) if one else 1.0
        made.append(binomial_from(count, len(one), rate) if count >= LEAST else 1.0)
    return made


def _numbers(one: Sat) -> Iterator[tuple[tuple[str, int], _Value]]:
    """(question, step) → what stands there, for every number asked."""
    for issued, made in zip(one.issue.questions, one.mark.questions, strict=True):
        if made.void or not issued.variant:
            continue
        answers, steps = issued.variant["answers"], issued.question["steps"]
        for at, box in enumerate(made.boxes, len(answers) - len(made.boxes)):
            if "key" in answers[at]:
                value = _read(box.read, steps[at]["factor"]) if box.verdict in WRONG else None
                yield (issued.id, at), _Value(value, answers[at]["key"], answers[at]["tolerance"])


def _read(shown: str, factor: float) -> float | None:
    """The number of an answer as it is shown on the mark sheet, in SI; None where none stands there."""
    number = shown.partition("\u00a0")[0].replace("\u202f", "").replace("\u2212", "-")
    try:
        return float(number) * factor
    except ValueError:
        return None


def _copied(one: _Value, other: _Value) -> bool:
    if one.value is not None and other.value is not None and abs(one.value - other.value) <= 1e-6 * abs(one.value):
        return True
    return any(a.value is not None and abs(a.value - b.key) <= b.tolerance for a, b in ((one, other), (other, one)))


def _choices(one: Sat) -> Iterator[tuple[str, tuple[int, ...]]]:
    """Question → what was wrongly chosen or ordered, as the author's own numbers."""
    for issued, made in zip(one.issue.questions, one.mark.questions, strict=True):
        if not made.void and issued.shuffled and made.boxes[0].verdict == "wrong":
            yield issued.id, _meant(issued, made)


def _meant(issued: Issued, made: QuestionMark) -> tuple[int, ...]:
    shown = made.boxes[0].read
    if issued.question["kind"] == "choice":
        return tuple(sorted(issued.shuffled[ord(letter) - ord("a")] for letter in shown.split(", ")))
    ranks = [int(rank) for rank in shown.split()]
    return tuple(step for _, step in sorted(zip(ranks, issued.shuffled, strict=True)))
