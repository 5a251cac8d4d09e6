"""Papers of this repository's own plans to sit in the browser, drawn from a fixed stream of chance."""

import hashlib
from datetime import date
from functools import cache
from pathlib import Path

from quizgen.cache import Cache
from quizgen.papers.issue import Candidate, Maker
from quizgen.papers.mark import right_letters, right_ranks, wanted
from quizgen.papers.seal import steps_asked
from tests.once import shipped_bank

ROOT = Path(__file__).parents[2]
TODAY, UNTIL = date(2026, 3, 2), date(2026, 3, 31)


@cache
def bank():
    return shipped_bank()


@cache
def maker(plan="safety-gate"):
    return Maker(bank(), bank().plans[plan], Cache(None))


class Chance:
    """A fixed stream in place of the machine's secrets."""

    def __init__(self, seed="tests"):
        self.seed, self.count = seed, 0

    def __call__(self, size):
        self.count += 1
        return hashlib.shake_256(f"{self.seed}/{self.count}".encode()).digest(size)


@cache
def batch(count=3, plan="safety-gate", seed="tests"):
    candidates = [Candidate(f"A-{at:02d}") for at in range(1, count + 1)]
    return maker(plan).batch(candidates, {}, TODAY, UNTIL, Chance(seed))


def right_answers(issue):
    """What a candidate types who gets everything right."""
    made = []
    for one in issue.questions:
        kind = one.question["kind"]
        if kind == "choice":
            made.append([right_letters(one).replace(",", "")])
        elif kind == "order":
            made.append([right_ranks(one)])
        else:
            answers = one.variant["answers"][-len(one.marks) :]
            shown = [wanted(one, step, answer) for step, answer in zip(steps_asked(one), answers, strict=True)]
            if "options" in one.question:
                shown[-1] = "abcdefgh"[one.question["options"].index(shown[-1])]
            made.append([text.replace("\u202f", "") for text in shown])
    return made
