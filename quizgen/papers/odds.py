"""The arithmetic of pass marks: judges' marks, chances of passing, chances of guessing.

All chances are exact sums over independent answers; nothing is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

TRUE_SHARES = (0.6, 0.7, 0.8, 0.9, 0.95)
"""Shares of such answers that a person gets right in the long run, for the table."""


@dataclass(frozen=True, slots=True)
class Judged:
    """The mark that judges set, in marks of the paper, and its standard error; nan with one judge."""

    mark: float
    error: float
    by_judge: tuple[float, ...]


def judged_mark(marks: Sequence[float], estimates: Sequence[Sequence[float]]) -> Judged:
    """Mean over judges of the marks a just-good-enough candidate earns; its error is SD/√judges.

    marks: of each question; estimates: for each question one share per judge. The SD has n − 1 below.
    Source: W. H. Angoff, "Scales, norms, and equivalent scores", in R. L. Thorndike (ed.), Educational
    Measurement, 2nd ed., 1971; in the form in which judges give shares.
    """
    count = len(estimates[0])
    sums = tuple(sum(m * of[judge] for m, of in zip(marks, estimates, strict=True)) for judge in range(count))
    mean = math.fsum(sums) / count
    if count < 2:
        return Judged(mean, math.nan, sums)
    spread = math.sqrt(math.fsum((one - mean) ** 2 for one in sums) / (count - 1))
    return Judged(mean, spread / math.sqrt(count), sums)


def chances(worth: Sequence[int], share: float) -> list[float]:
    """Chance of each sum of marks from 0 on, where every answer is right with the same chance.

    With marks of 1 this is the binomial distribution.
    """
    made = [1.0]
    for marks in worth:
        longer = [0.0] * (len(made) + marks)
        for total, chance in enumerate(made):
            longer[total] += chance * (1 - share)
            longer[total + marks] += chance * share
        made = longer
    return made


def pass_chance(worth: Sequence[int], must: Sequence[int], share: float, pass_mark: int) -> float:
    """Chance of reaching the mark with every must-pass answer right. `must`: the marks of those answers."""
    rest = chances(worth, share)
    return math.fsum(rest[max(0, pass_mark - sum(must)) :]) * share ** len(must)


def within(chance: float, attempts: int) -> float:
    """Chance of passing at least once if nothing is learned in between."""
    return 1 - (1 - chance) ** attempts


def answers_without_failure(share: float, confidence: float) -> int:
    """How many answers, all right, show that at least `share` would be right, at a confidence.

    n = ⌈ln(1 − confidence) / ln(share)⌉, from share^n ≤ 1 − confidence.
    """
    return math.ceil(math.log(1 - confidence) / math.log(share) - 1e-12)


def shared_variant(of: int, papers: int) -> float:
    """Chance that two papers share a variant where each draws on its own from `of`: why none is drawn twice."""
    apart = 1.0
    for taken in range(papers):
        apart *= max(0.0, 1 - taken / of)
    return 1 - apart


def orders_accepted(steps: int, either_way: Sequence[Sequence[int]]) -> int:
    """How many orders of `steps` count as right: pairs that may stand either way round, counted from 1.

    Steps joined by such pairs form a run; every order of a run is counted, which never counts too few.
    """
    run = list(range(steps + 1))
    for a, b in either_way:
        old, new = run[a], run[b]
        run = [new if one == old else one for one in run]
    return math.prod(math.factorial(run[1:].count(one)) for one in set(run[1:]))
