"""A plan and a source of chance become papers: own numbers for each candidate, alike in all that counts."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from quizgen import __version__
from quizgen.bank.models import Bank, Plan, PlanQuestion, PlanSection
from quizgen.bank.read_plans import marks_of
from quizgen.cache import Cache
from quizgen.expression.source import source
from quizgen.papers.chance import Bytes, Stream, new_number, seed
from quizgen.papers.page import page_html
from quizgen.papers.prove import expected, judged_of
from quizgen.papers.seal import page_of
from quizgen.papers.types import CODE, VERSION, Issue, Issued
from quizgen.variants.compile import Compiled, compile_cached, question_content
from quizgen.variants.laws import Law
from quizgen.variants.pool import Pool, paper_pool

MOST_SPREAD = 0.02
"""Most by which the expected marks of two papers of a batch may differ, as a share of all marks."""
MOST_EXTRA = 100
TRIES = 400

Used = Mapping[str, Iterable[tuple[str, ...]]]
"""For each question what was issued before: printed givens …, the answer as shown."""


class PaperError(Exception):
    """A paper cannot be made or marked as asked; one line that says what to do."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """Who gets a paper: a code, extra time in per cent, large print, which attempt it is."""

    code: str
    extra: int = 0
    large: bool = False
    attempt: int = 1


@dataclass(frozen=True, slots=True)
class Batch:
    """Papers issued together with their pages, and how alike they are."""

    issues: tuple[Issue, ...]
    pages: tuple[str, ...]
    spread: float
    """Largest difference of expected marks, as a share of all marks."""
    words: tuple[int, int]
    """Shortest and longest paper, in words."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One place of a paper: the section, the question, its numbers, and the order of its options."""

    section: PlanSection
    asked: PlanQuestion
    variant: Mapping[str, Any]
    shuffled: tuple[int, ...]


class Maker:
    """A plan with its questions compiled and their numbers for papers found, ready for any number of papers."""

    def __init__(self, bank: Bank, plan: Plan, store: Cache) -> None:
        self.bank, self.plan = bank, plan
        self.compiled: dict[str, Compiled] = {}
        self.pools: dict[str, Pool] = {}
        for section in plan.sections:
            for one in section.questions:
                question = bank.questions[one.question]
                compiled, faults = compile_cached(bank, question, store)
                if faults or compiled is None:
                    raise PaperError(f"{one.question} has faults: run quizgen check first")
                self.compiled[one.question] = compiled
                if question.steps:
                    self.pools[one.question] = paper_pool(bank, question)

    def batch(
        self, candidates: Sequence[Candidate], used: Used, today: date, valid_until: date,
        random: Bytes = secrets.token_bytes, taken: Iterable[str] = (),
    ) -> Batch:  # fmt: skip
        """One paper for each candidate. Raises PaperError; then nothing is issued.

        used: what is never to be asked again; taken: numbers of papers that exist.
        """
        self._check(candidates, today, valid_until)
        secret = random(32)
        free = {id: self._free(id, used.get(id, ())) for id in self.pools}
        order = {id: Stream(seed(secret, "numbers", id)).mixed(variants) for id, variants in free.items()}
        numbers: set[str] = set(taken)
        issues, pages, sums, lengths = [], [], [], []
        for candidate in candidates:
            number = new_number(random)
            while number in numbers:
                number = new_number(random)
            numbers.add(number)
            choices = self._choices(Stream(seed(secret, "paper", number)), order)
            issue, page = compose(self.bank, self.plan, self.compiled, self.pools, choices, candidate, number,
                                  today, valid_until)  # fmt: skip
            issues.append(issue)
            pages.append(page)
            sums.append(sum(expected(choice.asked) for choice in choices))
            lengths.append(_words(issue))
        spread = (max(sums) - min(sums)) / marks_of(self.plan)
        if spread > MOST_SPREAD:
            raise PaperError(
                f"expected marks of these papers differ by {100 * spread:.1f} % of all marks, 2 % is the limit: "
                "give the sections of the plan questions that the judges find alike"
            )
        return Batch(tuple(issues), tuple(pages), spread, (min(lengths), max(lengths)))

    def _check(self, candidates: Sequence[Candidate], today: date, valid_until: date) -> None:
        if not candidates:
            raise PaperError("nobody to issue a paper for: name each candidate with --for CODE")
        if valid_until < today:
            raise PaperError(f"--valid-until {valid_until} is over already")
        if valid_until > today + timedelta(days=366):
            raise PaperError("a paper is valid for one year at most: choose an earlier day for --valid-until")
        codes = [candidate.code for candidate in candidates]
        for candidate in candidates:
            if not CODE.fullmatch(candidate.code):
                raise PaperError(f"{candidate.code[:30]!r} is no code: letters, digits and -, 20 at most, like A-07")
            if codes.count(candidate.code) > 1:
                raise PaperError(f"{candidate.code} is named twice: each candidate gets one paper at a time")
            if not 0 <= candidate.extra <= MOST_EXTRA:
                raise PaperError(f"extra time is from 0 to {MOST_EXTRA} per cent, not {candidate.extra}")
            if candidate.attempt > self.plan.attempts:
                raise PaperError(
                    f"{candidate.code} has had all {self.plan.attempts} attempts of {self.plan.id}: "
                    "talk about what is missing, and change the plan only for everybody"
                )

    def _free(self, id: str, used: Iterable[tuple[str, ...]]) -> list[Compiled]:
        """The pool without any numbers, and without any answer, that was issued before."""
        givens, answers = set(), set()
        for one in used:
            givens.add(one[:-1])
            answers.add(one[-1])
        if self.compiled[id]["kind"] == "look-up":
            # It has as many readings as its table has rows, so they come again.
            return list(self.pools[id].variants)
        return [
            variant
            for variant in self.pools[id].variants
            if tuple(variant["given"]) not in givens and variant["answers"][-1]["shown"] not in answers
        ]

    def _choices(self, stream: Stream, order: Mapping[str, list[Compiled]]) -> list[Choice]:
        """Questions near the mean in expected marks, each with the next of its mixed variants."""
        middle = sum(
            expected(one) * section.take / len(section.questions)
            for section in self.plan.sections
            for one in section.questions
        )
        for _ in range(TRIES):
            taken = [(s, q) for s in self.plan.sections for q in _some(stream, s)]
            if abs(sum(expected(q) for _, q in taken) - middle) <= MOST_SPREAD / 2 * marks_of(self.plan) + 1e-9:
                break
        return [self._choice(stream, section, one, order) for section, one in taken]

    def _choice(
        self, stream: Stream, section: PlanSection, one: PlanQuestion, order: Mapping[str, list[Compiled]]
    ) -> Choice:
        compiled = self.compiled[one.question]
        if one.question in order:
            left = order[one.question]
            if compiled["kind"] == "look-up":
                return Choice(section, one, left[stream.below(len(left))], ())
            if not left:
                raise PaperError(
                    f"no numbers are left for {one.question} that nobody had before: "
                    "widen its ranges in the bank, then run quizgen check"
                )
            return Choice(section, one, left.pop(), ())
        places = list(range(len(compiled["options"] if compiled["kind"] == "choice" else compiled["order"])))
        mixed = stream.mixed(places)
        while compiled["kind"] == "order" and mixed == places:
            mixed = stream.mixed(places)
        return Choice(section, one, {}, tuple(mixed))


def _some(stream: Stream, section: PlanSection) -> list[PlanQuestion]:
    """`take` questions of a section, in a mixed order."""
    return stream.mixed(section.questions)[: section.take]


def compose(
    bank: Bank, plan: Plan, compiled: Mapping[str, Compiled], pools: Mapping[str, Pool], choices: Sequence[Choice],
    candidate: Candidate, number: str, today: date, valid_until: date,
) -> tuple[Issue, str]:  # fmt: skip
    """The record and the page of one paper whose questions and numbers are chosen."""
    questions = []
    for choice in choices:
        question = compiled[choice.asked.question]
        pool = pools.get(question["id"])
        if pool and (found := pool.prove(dict(choice.variant))):
            raise PaperError(f"{question['id']}: {found[0]}: nothing was issued; run quizgen check")
        kept = {name: value for name, value in question.items() if name not in ("variants", "counts", "was")}
        if "steps" in kept:
            # How a step is worked is for practice: nobody who marks reads it.
            kept["steps"] = [
                {name: value for name, value in step.items() if name != "worked"} for step in kept["steps"]
            ]
        kept["content"] = question_content(bank, bank.questions[question["id"]])
        kept["says"] = bank.outcomes[question["outcome"]].says
        second = tuple(_second(law) for law in pool.run.plan.laws) if pool else ()
        questions.append(
            Issued(
                question["id"],
                choice.section.title,
                choice.section.must,
                choice.asked.marks,
                kept,
                dict(choice.variant),
                choice.shuffled,
                second,
            )  # fmt: skip
        )
    issue = Issue(
        number=number, plan=plan.id, code=candidate.code, attempt=candidate.attempt,
        issued_on=today.isoformat(), valid_until=valid_until.isoformat(),
        course=bank.course.title, title=plan.title, minutes=-(-plan.minutes * (100 + candidate.extra) // 100),
        large=candidate.large, aids=plan.aids, pass_mark=plan.pass_mark, of=marks_of(plan), months=plan.months,
        currency=bank.course.currency, note=mark_note(plan),
        versions={"form": str(VERSION), "program": __version__, "course": bank.course.id},
        page_hash="", questions=tuple(questions),
    )  # fmt: skip
    page = page_html(page_of(issue))
    return replace(issue, page_hash=hashlib.sha256(page.encode()).hexdigest()), page


def mark_note(plan: Plan) -> str:
    """How the pass mark came about, for the mark sheet."""
    judged = judged_of(plan)
    error = f" ± {judged.error:.2f} (standard error)" if judged.error == judged.error else ""
    count = f"{len(plan.judges)} judge{'s' * (len(plan.judges) != 1)}"
    made = f"{count} on {plan.judged_on}: {judged.mark:.2f}{error} of {marks_of(plan)} marks, set at {plan.pass_mark}."
    return made + (" The estimates are invented examples: nobody has judged yet." if plan.invented else "")


def _second(law: Law) -> dict[str, Any]:
    """The law of a step in the language of the bank, or the table that is read."""
    if law.form is not None:
        return {"form": source(law.form.right)}
    if law.table is not None:
        inputs = [[quantity.id, quantity.unit.text, quantity.words] for quantity in law.inputs]
        rows = [list(row) for row in law.table.rows]
        return {"read": law.table.read, "inputs": inputs, "rows": rows, "unit": law.quantity.unit.text}
    return {
        "cases": [
            {"when": source(case.when), "word": case.then}
            if isinstance(case.then, str)
            else {"when": source(case.when), "then": source(case.then.right)}
            for case in law.cases
        ]
    }


def _words(issue: Issue) -> int:
    texts = [part for one in issue.questions for part in one.question["text"] if isinstance(part, str)]
    return sum(len(text.split()) for text in texts)
