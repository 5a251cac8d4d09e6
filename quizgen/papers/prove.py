"""What is proved of a plan before any paper: enough numbers for all, a mark that was judged, no luck by guessing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from quizgen.bank.faults import Fault
from quizgen.bank.models import Bank, Plan, PlanQuestion, PlanSection
from quizgen.bank.read_plans import marks_of
from quizgen.cache import Cache
from quizgen.papers.odds import TRUE_SHARES, Judged, judged_mark, orders_accepted, pass_chance, within
from quizgen.variants.compile import Compiled
from quizgen.variants.pool import counted_pool

FEWEST = 36
"""Sets of numbers that every calculating question of a paper has at least."""
GUESSED = 1 / 1000
"""Most that guessing may give of passing the must-pass block."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: what a person gets right in the long run, and the chances of passing."""

    share: float
    mark_only: float
    once: float
    within_attempts: float


@dataclass(frozen=True, slots=True)
class Proof:
    """What was found of a plan; all of it is printed by `quizgen check`."""

    plan: str
    questions: int
    of: int
    judged: Judged
    needed: int
    """Sets of numbers: candidates × attempts, 36 at least."""
    fewest: int | None
    """Sets of numbers of the question with the fewest; None where no question is calculated."""
    guess: float | None
    """Chance of guessing the whole must-pass block; None without one."""
    spread: float
    """Most by which the judges' expected marks of two papers could differ, as a share of all marks."""
    table: tuple[Row, ...]


def prove(bank: Bank, plan: Plan, compiled: Mapping[str, Compiled], store: Cache) -> tuple[Proof | None, list[Fault]]:
    """The proof, and every fault. A plan whose questions have faults of their own gives neither."""
    asked = [one for section in plan.sections for one in section.questions]
    if not asked or not plan.judges or any(one.question not in compiled for one in asked):
        return None, []
    faults: list[Fault] = []
    needed = max(FEWEST, plan.candidates * plan.attempts)
    counts: dict[str, int] = {}
    guesses: dict[str, float] = {}
    for section in plan.sections:
        for one in section.questions:
            guesses[one.question] = _guess(compiled[one.question])
            if section.kind in ("numeric", "look-up"):
                counted = counted_pool(bank, bank.questions[one.question], store)
                guesses[one.question] = max(guesses[one.question], counted.guess)
                if section.kind == "numeric":
                    counts[one.question] = counted.variants
                if counted.variants < (needed if section.kind == "numeric" else 1):
                    said = (
                        f"{one.question} has {counted.variants} sets of numbers with answers of their own, "
                        f"{needed} are needed for {plan.candidates} candidates × {plan.attempts} attempts: "
                        "widen its ranges, or lower candidates: or attempts:"
                    )
                    faults.append(Fault(one.place, plan.id, said))
    judged = judged_of(plan)
    if judged.mark > plan.pass_mark + 1e-9:
        least = math.ceil(judged.mark - 1e-9)
        said = f"the judges' mark is {judged.mark:.2f} of {marks_of(plan)}: write pass mark: {least} or more"
        faults.append(Fault(plan.place, plan.id, said))
    guess = _block(plan, guesses)
    if guess is not None and guess > GUESSED:
        said = (
            f"guessing passes the must-pass questions in 1 of {1 / guess:.0f} papers, 1 of 1000 at most is allowed: "
            "add questions that are calculated or put in order"
        )
        faults.append(Fault(plan.place, plan.id, said))
    return (
        Proof(
            plan.id,
            sum(section.take for section in plan.sections),
            marks_of(plan),
            judged,
            needed,
            min(counts.values(), default=None),
            guess,
            _spread(plan),
            table_of(plan),
        ),
        faults,
    )


def judged_of(plan: Plan) -> Judged:
    """The judges' mark. A question that stands for others in its section counts with its share of the places."""
    worth, estimates = [], []
    for section in plan.sections:
        for one in section.questions:
            worth.append(sum(one.marks) * section.take / len(section.questions))
            estimates.append([float(share) for share in one.judged])
    return judged_mark(worth, estimates)


def expected(one: PlanQuestion) -> float:
    """Marks that a just-good-enough candidate earns with a question, by the mean of the judges."""
    return sum(one.marks) * float(sum(one.judged)) / len(one.judged)


def table_of(plan: Plan) -> tuple[Row, ...]:
    """Chances of passing for people of known share right: by the mark alone, with must-pass, and in all attempts."""
    taken = [(section, one) for section in plan.sections for one in section.questions[: section.take]]
    worth = [marks for section, one in taken if not section.must for marks in one.marks]
    must = [marks for section, one in taken if section.must for marks in one.marks]
    rows = []
    for share in TRUE_SHARES:
        once = pass_chance(worth, must, share, plan.pass_mark)
        alone = pass_chance([*worth, *must], [], share, plan.pass_mark)
        rows.append(Row(share, alone, once, within(once, plan.attempts)))
    return tuple(rows)


def _guess(question: Compiled) -> float:
    """Chance of guessing a question to choose, to order, or with answers to choose from; 0 for all else."""
    if question["kind"] == "choice":
        options = len(question["options"])
        return 1 / (2**options - 1) if question["several"] else 1 / options
    if question["kind"] == "order":
        steps = len(question["order"])
        return orders_accepted(steps, question["either_way"]) / math.factorial(steps)
    return 1 / len(question["options"]) if "options" in question else 0.0


def _block(plan: Plan, guesses: Mapping[str, float]) -> float | None:
    musts = [section for section in plan.sections if section.must]
    if not musts:
        return None
    easiest = [sorted((guesses[one.question] for one in s.questions), reverse=True)[: s.take] for s in musts]
    return math.prod(guess for section in easiest for guess in section)


def _spread(plan: Plan) -> float:
    return sum(map(_widest, plan.sections)) / marks_of(plan)


def _widest(section: PlanSection) -> float:
    sums = sorted(expected(one) for one in section.questions)
    return sum(sums[-section.take :]) - sum(sums[: section.take])
