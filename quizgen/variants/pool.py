"""The sets of numbers of a question that are kept for papers, each with an answer of its own."""

from __future__ import annotations

from dataclasses import dataclass

from quizgen.bank.models import Bank, Question
from quizgen.cache import Cache, content_key
from quizgen.variants.checks import examine
from quizgen.variants.compile import Compilation, Compiled, question_key
from quizgen.variants.draw import BATCH, batches, for_papers, variant_name


@dataclass(frozen=True, slots=True)
class Pool:
    """Variants that differ in the last answer as shown; none of them is ever shipped for practice.

    Each has passed the checks of a batch. The second route is walked for those that are issued.
    """

    question: str
    variants: tuple[Compiled, ...]
    run: Compilation

    def prove(self, variant: Compiled) -> list[str]:
        """What the second route finds against a variant; empty where both routes meet."""
        before = len(self.run.faults)
        self.run.check_second_route(tuple(variant["given"]), variant["answers"])
        found = self.run.faults[before:]
        del self.run.faults[before:]
        return [fault.message for fault in found]


def paper_pool(bank: Bank, question: Question) -> Pool:
    """All of the question's variants for papers, in the fixed order in which numbers are tried."""
    run = Compilation(bank, question)
    made: list[Compiled] = []
    seen: set[str] = set()
    for drawn in batches(bank.course.id, question, BATCH):
        result = examine(run.plan, drawn)
        for at in result.good.nonzero()[0].tolist():
            texts = tuple(text(int(drawn.indexes[id][at])) for id, text in run.printers)
            if question.papers == "half" and not for_papers(question.id, texts):
                continue
            answers = [run.answer(law, result, index, at) for index, law in enumerate(run.plan.laws)]
            shown = answers[-1]["shown"]
            # A look-up has few answers: its readings may share one, its printed numbers may not.
            same = shown if question.kind == "numeric" else "\x1f".join(texts)
            if same in seen:
                continue
            seen.add(same)
            variant: Compiled = {"name": variant_name(texts), "given": list(texts), "answers": answers}
            slips = run.table_slips(result, at)
            if any(slips):
                variant["slips"] = slips
            made.append(variant)
    return Pool(question.id, tuple(made), run)


@dataclass(frozen=True, slots=True)
class Counted:
    """How many variants a pool has, and how wide the easiest answer's window is (see `guess_window`)."""

    variants: int
    guess: float


def counted_pool(bank: Bank, question: Question, store: Cache) -> Counted:
    """The pool's counts, kept by the content that it is made from."""
    key = content_key("paper pool", question_key(bank, question))
    kept = store.get(key)
    if isinstance(kept, list) and len(kept) == 2:
        return Counted(int(kept[0]), float(kept[1]))
    pool = paper_pool(bank, question)
    answers = [variant["answers"][-1] for variant in pool.variants]
    words = len({answer["shown"] for answer in answers if "word" in answer})
    factor = float(question.steps[-1].unit.factor)
    numbers = [guess_window(one["key"] / factor, one["tolerance"] / factor) for one in answers if "key" in one]
    made = Counted(len(pool.variants), max([*numbers, 1 / words if words else 0.0], default=1.0))
    store.put(key, [made.variants, made.guess])
    return made


def guess_window(key: float, tolerance: float) -> float:
    """Chance that a number named at random in the right decade is accepted: the window over the decade.

    key 3.4, tolerance 0.05: 0.1 of the 9 from 1 to 10, so 0.011. A key of 0 counts as guessed.
    """
    if not key:
        return 1.0
    from math import floor, log10

    return min(1.0, 2 * tolerance / (9 * 10.0 ** floor(log10(abs(key)))))
