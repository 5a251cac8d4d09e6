"""Whether something assigned is done, from what learners' devices keep: the reference for the page's script.

A device keeps of each question its last answers, oldest first, each a local date and a sign: "2026-11-28+"
right without help, "2026-11-28h" right with help, "2026-11-28-" wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from quizgen.bank.models import Done

WRONG_FIRST = "-h+"
"""Answers of one day carry no hour. Mistakes are taken to come first: one learns during a day."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How far a learner is with a module, counted over its last answers."""

    right: int
    """Right without help."""
    of: int
    """How many answers were looked at, at most as many as the rule asks for."""
    days: int
    """Different days with a right answer without help, also of answers that are no longer among the last."""
    done: bool


def module_standing(
    answers: Iterable[Sequence[str]], rule: Done, days: Iterable[str] = (), at_least: int = 0
) -> Standing:
    """answers: what is kept of each question of the module; days: all those with a right answer without help.

    A long sitting pushes earlier answers out of the last ones, but it does not undo that they were given on another
    day. at_least: so many days, where a slip only counts them.
    """
    every = sorted((one for kept in answers for one in kept), key=lambda one: (one[:10], WRONG_FIRST.index(one[10])))
    last = every[-rule.of_last :]
    alone = [one[:10] for one in last if one[10] == "+"]
    known = {*days, *(one[:10] for one in every if one[10] == "+")}
    count = max(len(known), at_least)
    return Standing(len(alone), len(last), count, len(alone) >= rule.right and count >= rule.on_days)


def case_done(answers: Sequence[str]) -> bool:
    """A case is done while it was named right the last time it was played."""
    return bool(answers) and answers[-1][10] == "+"
