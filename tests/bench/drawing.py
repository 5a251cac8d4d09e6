"""Draw and check 200 draws of one question, against the bare NumPy evaluation of the same expressions."""

from __future__ import annotations

import statistics
from pathlib import Path

import numpy as np

from quizgen.bank.load import load_bank
from quizgen.bank.models import Question
from quizgen.expression.tree import Expression, names
from quizgen.variants.checks import examine, plan
from quizgen.variants.draw import batches, si_values
from quizgen.variants.tolerance import routes_for
from tests.bench.bare import bare
from tests.bench.row import Row, alternating

COURSE = Path(__file__).parents[2] / "course"
REPEATS = 20


def rows() -> list[Row]:
    bank = load_bank(COURSE)
    ratios = [_ratio(bank, question) for question in _calculating(bank.questions.values())]
    detail = f"median of {len(ratios)} questions, worst {max(ratios):.1f}"
    return [Row("draw and check of 200 draws ÷ bare NumPy evaluation", statistics.median(ratios), 8, detail)]


def _calculating(questions):  # type: ignore[no-untyped-def]
    """Questions whose numbers are drawn from ranges."""
    return [q for q in questions if q.kind == "numeric" and any(g.is_range for g in q.givens)]


def _ratio(bank, question: Question) -> float:  # type: ignore[no-untyped-def]
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


def _expressions(prepared) -> list[tuple[Expression, bool]]:  # type: ignore[no-untyped-def]
    """Every expression the checks must evaluate: keys, each rounding route, slips, keep, ways back."""
    made: list[tuple[Expression, bool]] = []
    question = prepared.question
    ids = {g.id for g in question.givens} | {s.find for s in question.steps}
    for law in prepared.laws:
        trees = [law.form.right] if law.form else []
        for case in law.cases:
            trees += [case.when] + ([case.then.right] if not isinstance(case.then, str) else [])
        made += [(tree, False) for tree in trees]
        made += [(tree, route.rough) for route in routes_for(prepared.laws) for tree in trees]
        made += [
            (form.right, False)
            for slip in law.slips
            for form in slip.forms
            if form.left == law.step.find and set(names(form.right)) <= ids
        ]
        made += [(form.right, False) for form in law.others]
    made += [(condition, False) for condition in question.keep]
    return made or [(prepared.laws[0].cases[0].when, False)]
