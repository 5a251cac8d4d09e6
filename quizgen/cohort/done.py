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
    """Different days with a right answer without help."""
    done: bool


def module_standing(answers: Iterable[Sequence[str]], rule: Done) -> Standing:
    """answers: what is kept of each question of the module."""
    every = sorted((one for kept in answers for one in kept), key=lambda one: (one[:10], WRONG_FIRST.index(one[10])))
    last = every[-rule.of_last :]
    alone = [one[:10] for one in last if one[10] == "+"]
    days = len(set(alone))
    return Standing(len(alone), len(last), days, len(alone) >= rule.right and days >= rule.on_days)


def case_done(answers: Sequence[str]) -> bool:
    """A case is done while it was named right the last time it was played."""
    return bool(answers) and answers[-1][10] == "+"
