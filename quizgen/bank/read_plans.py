"""Plans of competence papers: what is asked, what it is worth, what is enough, and who judged that.

Only form is read here. What drawing decides, such as enough sets of numbers for everybody, is proved by
`papers.prove`.
"""

from __future__ import annotations

import collections.abc
import re
from datetime import date
from decimal import Decimal

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, quoted
from quizgen.bank.fields import bad_id
from quizgen.bank.models import Module, Outcome, Plan, PlanQuestion, PlanSection, Question
from quizgen.bank.yaml_reader import Mapping, Text

PLAN = (
    "title", "minutes", "aids", "candidates", "attempts", "wait", "counts", "steps", "paper-only", "pass mark",
    "judges", "judged on", "estimates", "sections",
)  # fmt: skip
SECTION = ("title", "module", "kind", "outcomes", "take", "must", "questions")
KINDS = ("numeric", "look-up", "choice", "order")
FIXED = ("choice", "order", "look-up")
"""Kinds with few or no numbers of their own: in papers they are asked nowhere else."""
MOST_QUESTIONS = 60
MOST_MARKS = 20

Known = collections.abc.Mapping
Found = collections.abc.Iterable[tuple[Text, Mapping]]


def read_plans(
    found: Found, questions: Known[str, Question], modules: Known[str, Module], outcomes: Known[str, Outcome],
    faults: list[Fault],
) -> dict[str, Plan]:  # fmt: skip
    """Every plan that could be read; faults are noted."""
    reader = _Reader(questions, modules, outcomes, faults)
    return {id.value: reader.plan(id, node) for id, node in found}


def check_evidence(found: Found, plans: Known[str, Plan], faults: list[Fault]) -> None:
    """What the policy counts as a paper is one of the plans; a course without plans is not asked."""
    for id, node in found if plans else ():
        named = node.get("paper")
        if isinstance(named, Text) and named.value.strip() not in plans:
            Entry(id.value, node, faults, node.keys()).unknown(named.place, named.value.strip(), "paper", plans)


class _Reader:
    def __init__(
        self, questions: Known[str, Question], modules: Known[str, Module], outcomes: Known[str, Outcome],
        faults: list[Fault],
    ) -> None:  # fmt: skip
        self.questions, self.modules, self.outcomes, self.faults = questions, modules, outcomes, faults

    def plan(self, id: Text, node: Mapping) -> Plan:
        entry = Entry(id.value, node, self.faults, PLAN)
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        judges = tuple(" ".join(line.value.split()) for line in entry.lines("judges"))
        if len(set(judges)) < len(judges):
            entry.fault(entry.place("judges"), "judges: a judge stands twice: name each by role once")
        steps_asked = self._word(entry, "steps", ("asked", "last only")) == "asked"
        sections = []
        seen: set[str] = set()
        before = len(self.faults)
        named = entry.mapping("sections")
        for key, value in named.pairs if named else ():
            if not isinstance(value, Mapping):
                entry.fault(value.place, f"{key.value}: a section holds title:, module:, kind: and questions:")
                continue
            sections.append(self._section(id.value, key, value, len(judges), steps_asked, seen))
        whole = len(self.faults) == before
        made = Plan(
            id=id.value,
            title=entry.words("title"),
            sections=tuple(sections),
            minutes=self._whole(entry, "minutes", "", 600),
            aids=tuple(" ".join(line.value.split()) for line in entry.lines("aids")),
            candidates=self._whole(entry, "candidates", "", 2000),
            attempts=self._whole(entry, "attempts", "", 10),
            wait_days=self._whole(entry, "wait", "days", 365, least=0),
            months=self._whole(entry, "counts", "months", 120),
            steps_asked=steps_asked,
            paper_only=self._whole(entry, "paper-only", "", MOST_QUESTIONS, least=0),
            pass_mark=self._whole(entry, "pass mark", "", 1000),
            judges=judges,
            judged_on=self._day(entry, "judged on"),
            invented=self._word(entry, "estimates", ("invented", "recorded")) == "invented",
            place=id.place,
        )
        # A question that a fault took out would be missed in every sum: that is no second fault.
        if whole:
            self._sums(entry, made)
        return made

    def _sums(self, entry: Entry, plan: Plan) -> None:
        """Counts that have to agree with what the sections hold."""
        if not plan.sections or any(not section.questions for section in plan.sections):
            return
        fixed = sum(section.take for section in plan.sections if section.kind in FIXED)
        if fixed != plan.paper_only:
            said = f"paper-only: says {plan.paper_only}, but the sections take {fixed}: write paper-only: {fixed}"
            entry.fault(entry.place("paper-only"), said)
        if sum(section.take for section in plan.sections) > MOST_QUESTIONS:
            entry.fault(entry.place("sections"), f"a paper has at most {MOST_QUESTIONS} questions: take fewer")
        of = marks_of(plan)
        if plan.pass_mark > of:
            entry.fault(entry.place("pass mark"), f"the paper has only {of} marks: lower the pass mark")

    def _section(
        self, owner: str, id: Text, node: Mapping, judges: int, steps_asked: bool, seen: set[str]
    ) -> PlanSection:
        entry = Entry(owner, node, self.faults, SECTION)
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        module, kind = entry.words("module"), self._word(entry, "kind", KINDS)
        if module and module not in self.modules:
            entry.unknown(entry.place("module"), module, "module", self.modules)
        wanted = []
        for line in entry.lines("outcomes", required=False):
            name = line.value.strip()
            if name not in self.outcomes or self.outcomes[name].module != module:
                entry.unknown(line.place, name, f"outcome of {module or 'the module'}", self.outcomes)
            wanted.append(name)
        asked = []
        listed = entry.mapping("questions")
        for key, value in listed.pairs if listed else ():
            if not isinstance(value, Mapping):
                entry.fault(value.place, f"{key.value}: holds marks: and judged:")
                continue
            if key.value in seen:
                entry.fault(key.place, f"{quoted(key.value)} stands in this plan already: ask it once")
            seen.add(key.value)
            one = self._question(owner, key, value, judges)
            if self._fits(entry, key, module, kind, tuple(wanted), one, steps_asked):
                asked.append(one)
        take = self._whole(entry, "take", "", MOST_QUESTIONS) if entry.has("take") else len(asked)
        if asked and take > len(asked):
            entry.fault(entry.place("take"), f"take: {take}, but only {len(asked)} questions are listed here")
        shapes = {one.marks for one in asked}
        if take < len(asked) and len(shapes) > 1:
            said = "candidates get different questions here, so all must have the same steps and marks: sort them out"
            entry.fault(entry.place("questions"), said)
        return PlanSection(
            id.value, entry.words("title"), module, kind, tuple(wanted), take, entry.yes("must"), tuple(asked), id.place
        )

    def _question(self, owner: str, id: Text, node: Mapping, judges: int) -> PlanQuestion:
        entry = Entry(owner, node, self.faults, ("marks", "judged"))
        marks = tuple(self._numbers(entry, "marks", r"[1-9]\d?", f"whole numbers from 1 to {MOST_MARKS}"))
        if any(number > MOST_MARKS for number in marks):
            entry.fault(entry.place("marks"), f"marks: at most {MOST_MARKS} for one answer")
        said = "shares from 0 to 1, one for each judge, like 0.80, 0.75"
        judged = tuple(self._numbers(entry, "judged", r"0(\.\d{1,3})?|1(\.0{1,3})?", said))
        if judged and judges and len(judged) != judges:
            entry.fault(entry.place("judged"), f"judged: {len(judged)} shares for {judges} judges: one for each")
        return PlanQuestion(id.value, tuple(map(int, marks)), judged, id.place)

    def _fits(
        self, entry: Entry, id: Text, module: str, kind: str, wanted: tuple[str, ...], one: PlanQuestion,
        steps_asked: bool,
    ) -> bool:  # fmt: skip
        """Whether the question exists, is for papers, and is what the section says."""
        question = self.questions.get(one.question)
        if question is None:
            entry.unknown(id.place, id.value, "question", self.questions)
            return False
        before = len(self.faults)
        if question.papers == "none":
            entry.fault(id.place, f"{quoted(id.value)} is for practice only: give it papers: half, or papers: only")
        elif question.kind in FIXED and question.papers != "only":
            said = f"{quoted(id.value)} stands in the practice too: a question to choose, order or look up needs"
            entry.fault(id.place, f"{said} papers: only here")
        if module and question.module != module:
            entry.fault(id.place, f"{quoted(id.value)} belongs to module {question.module}, not to {module}")
        if kind and question.kind != kind:
            entry.fault(id.place, f"{quoted(id.value)} is of kind {question.kind}, not {kind}: move it to a section")
        if wanted and question.outcome not in wanted:
            entry.fault(id.place, f"{quoted(id.value)} shows outcome {question.outcome}, which the section leaves out")
        boxes = len(question.steps) if question.steps and steps_asked else 1
        if one.marks and len(one.marks) != boxes:
            entry.fault(id.place, f"marks: {len(one.marks)} numbers for {boxes} answers: one for each")
        return len(self.faults) == before and bool(one.marks) and bool(one.judged)

    # Single fields

    def _word(self, entry: Entry, key: str, known: tuple[str, ...]) -> str:
        if not entry.has(key):
            entry.missing(key)
            return ""
        return entry.one_of(key, known, "")

    def _whole(self, entry: Entry, key: str, unit: str, most: int, least: int = 1) -> int:
        """`60`, or `14 days` where a unit is wanted."""
        text = entry.text(key)
        if text is None:
            return 0
        found = re.fullmatch(rf"(\d{{1,4}}){' +' + unit if unit else ''}", text.value.strip(), re.ASCII)
        if not found or not least <= int(found[1]) <= most:
            unit = f" {unit}" if unit else ""
            said = f"{quoted(text.value.strip())}: expected {least} to {most}{unit}: write {key}: {most // 2}{unit}"
            entry.fault(text.place, said)
            return 0
        return int(found[1])

    def _numbers(self, entry: Entry, key: str, pattern: str, expected: str) -> list[Decimal]:
        text = entry.text(key)
        if text is None:
            return []
        parts = [part.strip() for part in text.value.split(",")]
        if not all(re.fullmatch(pattern, part, re.ASCII) for part in parts):
            entry.fault(text.place, f"{key}: {quoted(text.value.strip())} is not read: expected {expected}")
            return []
        return [Decimal(part) for part in parts]

    def _day(self, entry: Entry, key: str) -> str:
        text = entry.text(key)
        try:
            return date.fromisoformat(text.value.strip()).isoformat() if text else ""
        except ValueError:
            entry.fault(text.place if text else entry.node.place, f"{key}: is no day: write it as 2026-11-02")
            return ""


def marks_of(plan: Plan) -> int:
    """Marks of one paper. Where a section takes some of its questions, all of them are worth the same."""
    return sum(
        sum(marks) for section in plan.sections for marks in [q.marks for q in section.questions][: section.take]
    )
