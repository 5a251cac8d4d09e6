"""Draw and check 200 draws of one question, against the bare NumPy evaluation of the same expressions."""

from __future__ import annotations

import statistics
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from quizgen.bank.load import load_bank
from quizgen.bank.models import Bank, Question
from quizgen.expression.tree import Expression, names
from quizgen.variants.checks import Plan, examine, plan
from quizgen.variants.draw import batches, si_values
from tests.bench.bare import bare
from tests.bench.row import Row, alternating

COURSE = Path(__file__).parents[2] / "course"
REPEATS = 20


def rows() -> list[Row]:
    bank = load_bank(COURSE)
    ratios = [_ratio(bank, question) for question in _calculating(bank.questions.values())]
    detail = f"median of {len(ratios)} questions, worst {max(ratios):.1f}"
    return [Row("draw and check of 200 draws ÷ bare NumPy evaluation", statistics.median(ratios), 8, detail)]


def _calculating(questions: Iterable[Question]) -> list[Question]:
    """Questions whose numbers are drawn from ranges."""
    return [q for q in questions if q.kind == "numeric" and any(g.is_range for g in q.givens)]


def _ratio(bank: Bank, question: Question) -> float:
    prepared = plan(bank, question)
    drawn = next(iter(batches(bank.course.id, question)))
    trees = _expressions(prepared)
    known = {g.id: si_values(g, drawn.indexes[g.id]) for g in question.givens}
    known |= {step.find: np.full(drawn.size, 1.0) for step in question.steps}

    def checked() -> None:
        for _ in range(REPEATS):
            examine(prepared, next(iter(batches(bank.course.id, question))))

    evaluate = bare(trees)

    def evaluated() -> None:
        with np.errstate(all="ignore"):
            for _ in range(REPEATS):
                evaluate(known)

    ours, theirs = alternating(checked, evaluated)
    return ours / theirs


def _expressions(prepared: Plan) -> list[tuple[Expression, bool, int]]:
    """Every expression the checks need: keys, each rounding route, slips, ways back, keep and cases.

    (tree, whether constants are rough, figures that sub-results are rounded to or 0)
    """
    made: list[tuple[Expression, bool, int]] = []
    ids = {g.id for g in prepared.question.givens} | {s.find for s in prepared.question.steps}
    for law in prepared.laws:
        trees = [law.form.right] if law.form else []
        for case in law.cases:
            made.append((case.when, False, 0))
            trees += [case.then.right] if not isinstance(case.then, str) else []
        figures = law.step.rounding.figures or 3
        made += [(tree, False, 0) for tree in trees]
        for route in prepared.routes.routes:
            made += [(tree, route.rough, figures if route.inside else 0) for tree in trees]
        made += [
            (form.right, False, 0)
            for slip in law.slips
            for form in slip.forms
            if form.left == law.step.find and set(names(form.right)) <= ids
        ]
        made += [(form.right, False, 0) for form in law.others]
    return made + [(condition, False, 0) for condition in prepared.question.keep]
