"""The `case` fence: the course's cases of fault tracing, made ready for pages."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from quizgen.bank.faults import BankError
from quizgen.bank.models import Bank
from quizgen.cache import Cache
from quizgen.tracing import compile_tracing, read_tracing, readings
from quizgen.web.case_html import case_data


@dataclass(frozen=True, slots=True)
class Cases:
    compiled: dict[str, dict[str, Any]] = field(default_factory=dict)
    data: dict[str, str] = field(default_factory=dict)
    """The text of each case's template."""


def cases_of(bank: Bank, store: Cache) -> Cases:
    """All cases of the course, none where it has no tracing. Raises BankError with every fault."""
    tracing, faults = read_tracing(bank)
    compiled, unsolved = compile_tracing(tracing, store)
    if faults or unsolved:
        raise BankError((*faults, *unsolved))
    if tracing is None:
        return Cases()
    table = readings(tracing)
    whole = next((at for at, id in enumerate(table.faults) if not tracing.faults[id].change), None)
    healthy = {id: list(rows[whole]) if whole is not None else [] for id, rows in table.classes.items()}
    stages = _stages(bank, tracing)
    cases = compiled["cases"]
    data = {id: case_data(case, stages, healthy) for id, case in cases.items() if not case["outside"]}
    return Cases(cases, data)


def _stages(bank: Bank, tracing: Any) -> dict[str, str]:
    """The stage of the chain that each part stands in, by the first number that its faults change."""
    names = {name.value: stage.value for stage, node in bank.tracing["healthy"] for name, _ in node.pairs}
    made: dict[str, str] = {}
    for fault in tracing.faults.values():
        stage = names.get(next(iter(fault.change), ""))
        if stage and bank.chain and stage in bank.chain.stages:
            made.setdefault(fault.part, bank.chain.stages[stage].name)
    order = [stage.name for stage in bank.chain.stages.values()] if bank.chain else []
    return dict(sorted(made.items(), key=lambda one: order.index(one[1])))
