"""What a progress slip can name of a course: modules with their questions, cases, and the slips of each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from quizgen.bank.models import Bank
from quizgen.variants.general import GENERAL
from quizgen.variants.short_names import LEAST_QUESTION_BITS, LEAST_SLIP_BITS, Salted, kept_apart

CASE = "case-"
"""Before a case's id, where it stands among questions."""
CASE_SLIPS = {
    "unsafe": "A step that is not safe: bare parts before isolating and proving dead, or a charge attempt or a drive "
    "that a suspect forbids."
}


@dataclass(frozen=True, slots=True)
class SlipNames:
    """Ids by module; cases as `case-ID`; old ids; for each question the slips that can be made in it."""

    modules: Mapping[str, tuple[str, ...]]
    cases: tuple[str, ...]
    was: Mapping[str, str]
    """Old id → the id of today."""
    slips: Mapping[str, Mapping[str, str]]
    """Question → slip → what is said of it. General slips stand for themselves (variants/general.py)."""

    def all(self) -> list[str]:
        """Everything a slip may name but slips: questions and cases, their old ids, modules as `module ID`."""
        questions = [id for ids in self.modules.values() for id in ids]
        return [*questions, *self.cases, *self.was, *(module_name(id) for id in self.modules)]


def module_name(id: str) -> str:
    """A module's name among those of questions, which have no space."""
    return f"module {id}"


def slip_names(modules: Iterable[str], compiled: Iterable[Mapping[str, Any]], cases: Iterable[str] = ()) -> SlipNames:
    """compiled: every question that is practised; cases: the ids of cases."""
    found = list(compiled)
    by_module = {module: tuple(one["id"] for one in found if one["module"] == module) for module in modules}
    ids = {one["id"] for one in found}
    was = {old: one["id"] for one in found for old in one["was"] if old not in ids}
    slips = {
        one["id"]: {slip["id"]: slip["says"] for step in one.get("steps", ()) for slip in step["slips"]}
        for one in found
    }
    named = tuple(f"{CASE}{id}" for id in cases)
    return SlipNames(by_module, named, was, {**slips, **dict.fromkeys(named, CASE_SLIPS)})


def practised(bank: Bank, compiled: Iterable[Mapping[str, Any]]) -> SlipNames:
    """Of a course: what is for papers only is never practised, so no slip has it."""
    cases = (id.value for id, _ in bank.tracing.get("cases", ()))
    return slip_names(bank.modules, (one for one in compiled if one["papers"] != "only"), cases)


@dataclass(frozen=True, slots=True)
class Salts:
    """For questions and all that stands beside them; for written slips, which only a question's others stand beside."""

    questions: Salted
    slips: Salted


def salts(names: SlipNames) -> Salts:
    """Under these nothing that a slip can name is taken for something else."""
    general = {one.id for one in GENERAL}
    return Salts(
        kept_apart([names.all()], LEAST_QUESTION_BITS),
        kept_apart([set(slips) - general for slips in names.slips.values()], LEAST_SLIP_BITS),
    )


def slip_data(bank: Bank, compiled: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """What the page's script needs to write a slip as text."""
    names = practised(bank, compiled)
    kept = salts(names)
    apart = [[one.bits, one.salt] for one in (kept.questions, kept.slips)]
    return {"salts": apart, "modules": {id: list(ids) for id, ids in names.modules.items() if ids}}
