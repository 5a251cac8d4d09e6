"""The `case` fence: the course's cases of fault tracing, made ready for pages."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from quizgen.bank.faults import BankError, Fault
from quizgen.bank.models import Bank
from quizgen.cache import Cache
from quizgen.tracing import compile_tracing, read_tracing
from quizgen.web.case_html import Places, case_data
from quizgen.web.case_places import places_of


@dataclass(frozen=True, slots=True)
class Cases:
    compiled: dict[str, dict[str, Any]] = field(default_factory=dict)
    data: dict[str, str] = field(default_factory=dict)
    """The text of each case's template."""
    places: Places = field(default_factory=Places)


def cases_of(bank: Bank, store: Cache) -> Cases:
    """All cases of the course, none where it has no tracing. Raises BankError with every fault."""
    tracing, faults = read_tracing(bank)
    compiled, unsolved = compile_tracing(tracing, store)
    if faults or unsolved:
        raise BankError((*faults, *unsolved))
    if tracing is None:
        return Cases()
    taken = [case for id, case in tracing.cases.items() if f"case-{id}" in bank.questions]
    if taken:
        said = "results of a case are kept under case-{}, and a question has that id: rename one of them"
        raise BankError(tuple(Fault(case.at, case.id, said.format(case.id)) for case in taken))
    places, cases = places_of(bank.chain, tracing, compiled["healthy"]), compiled["cases"]
    return Cases(cases, {id: case_data(case, places) for id, case in cases.items() if not case["outside"]}, places)
