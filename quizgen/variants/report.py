"""What a bank holds and what its draws went through, as plain counts."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

from quizgen.bank.faults import Fault
from quizgen.bank.models import Bank, all_laws
from quizgen.bank.read_questions import law_ways
from quizgen.variants.compile import Compiled

KINDS_OF_REASON = (
    (r"slip \S+ falls on the key", "a slip falls on the right answer"),
    (r"slips \S+ and \S+ fall together", "two slips fall together"),
    (r"the answer repeats the given \S+", "the answer repeats a given"),
    (r"\S+ leaves its range", "an answer leaves its plausible range"),
    (r"\S+: tolerance above 2 %", "the tolerance is above 2 %"),
    (r"\S+: the answer, rounded as asked, .*", "the answer, rounded as asked, is outside the author's tolerance"),
    (r"\S+ has no value", "an answer has no value"),
    (r"keep(?: \(\d+\))? does not hold", "the author's condition does not hold"),
)
"""Reasons as the checks name them, with ids; and the kind of reason, in words without ids."""


def by_kind(rejected: dict[str, int]) -> dict[str, int]:
    """Draws thrown away, counted by kind of reason, most first."""
    kinds: Counter[str] = Counter()
    for reason, count in rejected.items():
        kind = next((words for pattern, words in KINDS_OF_REASON if re.fullmatch(pattern, reason)), reason)
        kinds[kind] += count
    return dict(kinds.most_common())


def counts(bank: Bank, compiled: list[Compiled], faults: list[Fault], checks: int) -> dict[str, Any]:
    """What the bank holds: counts by name, formulas as a list, draws thrown away by reason, faults as lines."""
    formulas = []
    for formula in bank.formulas.values():
        needs: dict[str, list[str]] = {}
        for left, names in law_ways(bank.formulas, bank.tables, formula.id):
            needs.setdefault(left, list(names))
        formulas.append({"id": formula.id, "title": formula.title, "finds": list(needs), "needs": needs})
    rejected: Counter[str] = Counter()
    for question in compiled:
        rejected.update(question.get("counts", {}).get("rejected", {}))
    slips = sum(len(law.slips) for law in all_laws(bank))
    slips += sum(len(question.slips) for question in bank.questions.values())
    return {
        "course": bank.course.id,
        "formulas": formulas,
        "tables": len(bank.tables),
        "questions": len(bank.questions),
        "kinds": dict(Counter(question.kind for question in bank.questions.values())),
        "steps": sum(len(question.steps) for question in bank.questions.values()),
        "slips": slips,
        "reasons": sum(not o.right for q in bank.questions.values() for o in q.options),
        "outcomes": len(bank.outcomes),
        "modules": len(bank.modules),
        "variants": sum(len(question.get("variants", ())) for question in compiled),
        "rejected": dict(rejected.most_common()),
        "check_values": checks,
        "on_one_form": on_one_form(bank),
        "faults": [str(fault) for fault in sorted(faults)],
    }


def on_one_form(bank: Bank) -> list[str]:
    """Formulas whose truth rests on one form alone, because no other form can contradict it."""
    return [f.id for f in bank.formulas.values() if len(f.forms) == 1 or f.cases]
