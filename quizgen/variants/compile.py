"""The compiled bank: plain data, everything a page, a paper or a report needs of a question.

A compiled question is a dict that survives JSON unchanged:

    v, id, kind, module, outcome, papers, was
    text, and per step ask        lists of texts and {"given": id, "named": bool}
    givens                        [{id, name, symbol, unit}]
    steps                         [{find, name, symbol, unit, factor, dimension, rounding, ask, law, title,
                                    key (program, cases or null), worked, slips, general, unit_asked, words,
                                    between}]
    variants                      [{name, given: [printed], answers: [{key | word, shown, tolerance}],
                                    slips: [{id: value}] for tables}]
    options                       shown answers of a look-up that gives words; options of a choice
    order, either_way, …          of an order question

Values are in coherent SI, `shown` texts in the unit asked. `counts` says what the draws went through.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from functools import cache as once
from pathlib import Path
from typing import Any

from quizgen.bank.collector import paused_collector
from quizgen.bank.faults import Fault
from quizgen.bank.models import Bank, Given, Question, Slot, Words, quantity_of
from quizgen.bank.read_questions import law_letters
from quizgen.cache import Cache, content_key
from quizgen.expression.carry import Carried, Scale, scale_of
from quizgen.expression.program import program
from quizgen.expression.units import dimension_text
from quizgen.expression.writing import digits, quantity, with_unit
from quizgen.variants import way_back
from quizgen.variants.checks import Examined, Plan, examine, plan
from quizgen.variants.draw import (
    BATCH,
    batches,
    combinations,
    for_papers,
    is_finite,
    printer,
    variant_name,
)
from quizgen.variants.general import may_be_meant
from quizgen.variants.laws import Law, second_route
from quizgen.variants.solution import key_program, shown_number, worked

VERSION = 1
SHIPPED = 24
FEWEST = 12
MOST_FINITE = 96
"""A question over listed values ships all it has, up to so many."""
LEAST_TRIED = 200
"""So many draws at least are looked at before a slip's cost is judged."""

Compiled = dict[str, Any]


def compile_bank(bank: Bank, store: Cache) -> tuple[list[Compiled], list[Fault]]:
    """Every question compiled, in the order of the bank, and the faults that only draws can show."""
    made: list[Compiled] = []
    faults: list[Fault] = []
    with paused_collector():
        for question in bank.questions.values():
            compiled, found = compile_cached(bank, question, store)
            faults += found
            if compiled:
                made.append(compiled)
    return made, faults


def compile_cached(bank: Bank, question: Question, store: Cache) -> tuple[Compiled | None, list[Fault]]:
    """One question from the cache, or compiled and kept. Faults are never kept."""
    key = question_key(bank, question)
    kept = store.get(key)
    if isinstance(kept, dict):
        return kept, []
    compiled, faults = compile_question(bank, question)
    if not faults and compiled:
        store.put(key, compiled)
    return compiled, faults


def question_key(bank: Bank, question: Question) -> str:
    """Hash of all that the compiled question is made from; places in files take no part."""
    return content_key(code_version(), question_content(bank, question))


def question_content(bank: Bank, question: Question) -> str:
    """Hash of what authors wrote for a question: itself, its laws and quantities, whatever the code is."""
    laws = [bank.formulas.get(step.by) or bank.tables[step.by] for step in question.steps]
    used = {given.id for given in question.givens} | {step.find for step in question.steps}
    for step in question.steps:
        used |= set(law_letters(bank.formulas, bank.tables, step.by))
    quantities = [bank.quantities[id] for id in sorted(used) if id in bank.quantities]
    return content_key(bank.course.id, repr(question), repr(laws), repr(quantities))


@once
def code_version() -> str:
    """Hash of the sources that make compiled questions, so that a change of code empties the cache."""
    here = Path(__file__).parent.parent
    digest = hashlib.sha256()
    for folder in ("expression", "bank", "variants"):
        for path in sorted((here / folder).glob("*.py")):
            digest.update(path.name.encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def compile_question(bank: Bank, question: Question) -> tuple[Compiled | None, list[Fault]]:
    """Compile one question; the list holds its faults."""
    common: Compiled = {
        "v": VERSION, "id": question.id, "kind": question.kind, "module": question.module,
        "outcome": question.outcome, "papers": question.papers, "was": list(question.was),
        "text": tokens(question.text),
    }  # fmt: skip
    if question.kind == "choice":
        options = [{"option": o.option, "says": o.says, "right": o.right} for o in question.options]
        return {**common, "options": options, "several": sum(o.right for o in question.options) > 1}, []
    if question.kind == "order":
        return {
            **common, "order": list(question.order),
            "either_way": [list(pair) for pair in question.either_way],
            "order_says": [list(said) for said in question.order_says], "right_says": question.right_says,
        }, []  # fmt: skip
    return Compilation(bank, question).run(common)


def tokens(words: Words) -> list[Any]:
    return [{"given": p.id, "named": p.named} if isinstance(p, Slot) else p for p in words]


class Compilation:
    """The run of one calculating question from draws to shipped variants."""

    def __init__(self, bank: Bank, question: Question) -> None:
        self.bank, self.question = bank, question
        self.faults: list[Fault] = []
        self.plan: Plan = plan(bank, question)
        self.scales = [(given.id, self._scale(given)) for given in question.givens]
        self.printers = [(given.id, printer(given)) for given in question.givens]
        self.rejected: dict[str, int] = {}
        self.costs: dict[str, tuple[int, int]] = {}
        self.tried = self.good = self.papers = 0
        self.variants: list[Compiled] = []

    def _scale(self, given: Given) -> Scale | None:
        """The unit that a given's printed number is counted in; None for words."""
        words = quantity_of(self.bank, self.question, given.id).words
        return None if words else scale_of(given.unit.factor, given.unit.dimension)

    def fault(self, message: str) -> None:
        self.faults.append(Fault(self.question.place, self.question.id, message))

    def run(self, common: Compiled) -> tuple[Compiled | None, list[Fault]]:
        self._draw()
        self._judge_slips()
        self._judge_count()
        self._judge_options()
        if self.faults:
            return None, self.faults
        question = self.question
        givens = []
        for given in question.givens:
            own = quantity_of(self.bank, question, given.id)
            # A given of 100 % is printed in its own unit, which may differ from the quantity's.
            unit = {"unit": given.unit.text, "factor": float(given.unit.factor), "words": own.words}
            givens.append({"id": given.id, "name": own.name, "symbol": own.symbol, **unit})
        compiled = {
            **common,
            "givens": givens,
            "steps": [self._step(law) for law in self.plan.laws],
            "variants": self.variants,
            "counts": {
                "combinations": combinations(question), "finite": is_finite(question), "tried": self.tried,
                "good": self.good, "for papers": self.papers, "rejected": dict(sorted(self.rejected.items())),
            },
        }  # fmt: skip
        if options := self._options():
            compiled["options"] = options
        return compiled, self.faults

    # Drawing

    def _draw(self) -> None:
        wanted = MOST_FINITE if is_finite(self.question) else SHIPPED
        shown: set[tuple[str, ...]] = set()
        for drawn in batches(self.bank.course.id, self.question, BATCH):
            result = examine(self.plan, drawn)
            self._count(result, drawn.size)
            columns = [(text, drawn.indexes[id].tolist()) for id, text in self.printers]
            for at in result.good.nonzero()[0].tolist():
                if len(self.variants) >= wanted:
                    break
                self._take(result, tuple(text(indexes[at]) for text, indexes in columns), at, shown)
            if self.faults or (len(self.variants) >= wanted and self.tried >= LEAST_TRIED):
                break

    def _count(self, result: Examined, size: int) -> None:
        self.tried += size
        self.good += int(result.good.sum())
        for reason, count in result.rejected.items():
            self.rejected[reason] = self.rejected.get(reason, 0) + count
        for slip, (hit, of) in result.slip_costs.items():
            before = self.costs.get(slip, (0, 0))
            self.costs[slip] = (before[0] + hit, before[1] + of)

    def _take(self, result: Examined, texts: tuple[str, ...], at: int, shown: set[tuple[str, ...]]) -> None:
        """Ship the draw at `at` if it is for practice, differs as shown, and the second route agrees."""
        question = self.question
        paper_side = question.papers == "only" or (question.papers == "half" and for_papers(question.id, texts))
        if paper_side:
            self.papers += 1
            # A question for papers only still ships variants, for show and papers, never for the site.
            if question.papers == "half":
                return
        answers = [self.answer(law, result, index, at) for index, law in enumerate(self.plan.laws)]
        seen = tuple(answer["shown"] for answer in answers[-1:]) if not is_finite(question) else texts
        if seen in shown:
            self.rejected["same answer as shown"] = self.rejected.get("same answer as shown", 0) + 1
            return
        shown.add(seen)
        self.check_second_route(texts, answers)
        variant: Compiled = {"name": variant_name(texts), "given": list(texts), "answers": answers}
        slips = self.table_slips(result, at)
        if any(slips):
            variant["slips"] = slips
        self.variants.append(variant)

    def answer(self, law: Law, result: Examined, index: int, at: int) -> Compiled:
        word = result.words[index][at] if result.words[index] is not None else ""
        if word:
            return {"word": word, "shown": word}
        key = float(result.keys[index][at])
        tolerance = float(result.tolerances[index][at])
        counted = key / law.factor
        shown = digits(counted, law.step.rounding)
        # Rounded up, so that the shorter number never refuses what the checks accepted.
        return {"key": key, "shown": shown, "tolerance": _rounded_up(tolerance)}

    def table_slips(self, result: Examined, at: int) -> list[dict[str, float]]:
        return [
            {id: float(values[at]) for id, values in found.items() if math.isfinite(values[at])}
            if law.table is not None
            else {}
            for law, found in zip(self.plan.laws, result.slips, strict=True)
        ]

    def check_second_route(self, texts: tuple[str, ...], answers: list[Compiled]) -> None:
        """Walk the steps again with units carried along; both routes must meet within 1e-9."""
        known: dict[str, Carried | str] = {
            id: text if scale is None else Carried(float(text), scale)
            for (id, scale), text in zip(self.scales, texts, strict=True)
        }
        for law, answer in zip(self.plan.laws, answers, strict=True):
            try:
                again = second_route(law, known)
            except (ValueError, ZeroDivisionError, OverflowError):
                again = None
            if isinstance(again, Carried):
                key = answer.get("key", math.nan)
                value = again.in_si()
                if again.dimension != law.quantity.unit.dimension:
                    wanted, got = law.quantity.unit.dimension, again.dimension
                    self.fault(f"{law.step.find}: carries {dimension_text(got)}, not {dimension_text(wanted)}")
                elif not abs(value - key) <= 1e-9 * max(abs(value), abs(key)):
                    self.fault(f"{law.step.find}: two routes differ at {', '.join(texts)}: {key!r} and {value!r}")
                known[law.step.find] = again
                self._way_back(law, known)
            elif again is None or again != answer.get("word"):
                self.fault(f"{law.step.find}: the second route finds no value at {', '.join(texts)}")
                return
            else:
                known[law.step.find] = again

    def _way_back(self, law: Law, known: Mapping[str, Carried | str]) -> None:
        numbers = {name: value for name, value in known.items() if isinstance(value, Carried)}
        for form in law.others:
            missed = way_back.gap(form, numbers)
            if missed > way_back.MOST and not self.faults:
                # The first variant that shows it is enough.
                self.fault(f'the solved form "{form.text}" does not give its given back (relative gap {missed:.2g})')

    # Judging the draws

    def _judge_slips(self) -> None:
        for id, (hit, of) in self.costs.items():
            if of and hit == of:
                self.fault(
                    f"slip {id} equals the right answer in all {of} draws: mend its wrong:, "
                    f"or drop it here with without: {id}"
                )
            elif of and hit * 2 > of:
                self.fault(
                    f"slip {id} lies too near the right answer in {hit} of {of} draws: "
                    f"narrow the givens, give the slip a when:, or drop it with without: {id}"
                )

    def _judge_count(self) -> None:
        if self.faults:
            return
        have, finite = len(self.variants), is_finite(self.question)
        if have >= (1 if finite else FEWEST):
            return
        reasons = sorted(self.rejected.items(), key=lambda item: -item[1])
        told = [f"{reason} ({count})" for reason, count in reasons[:3]]
        if combinations(self.question) < FEWEST and not finite:
            told.insert(0, f"the givens have only {combinations(self.question)} combinations")
        if self.question.papers == "half" and self.papers:
            told.append(f"kept for papers ({self.papers})")
        why = ", ".join(told)
        need = "at least one is needed" if finite else f"at least {FEWEST} are needed"
        cure = "widen the ranges, take finer steps or set within:"
        if reasons and reasons[0][0].endswith("fall together"):
            cure = "give both slips the same words, or leave one of them out"
        self.fault(f"only {have} variants pass of {self.tried} draws, {need}. Why: {why}: {cure}")

    def _judge_options(self) -> None:
        answers = {v["answers"][-1]["shown"] for v in self.variants}
        if not self.faults and len(answers) == 1 and self._options():
            self.fault(f"every variant has the same answer, {answers.pop()}: give values that are read differently")

    # Describing the steps

    def _step(self, law: Law) -> Compiled:
        step, own = law.step, law.quantity
        slips = []
        for slip in law.slips:
            entry: Compiled = {"id": slip.id, "says": slip.says}
            if slip.forms:
                entry["forms"] = [program(form.right) for form in slip.forms]
            if slip.when is not None:
                entry["when"] = program(slip.when)
            slips.append(entry)
        rounding = step.rounding
        return {
            "find": step.find, "name": own.name, "symbol": own.symbol, "unit": step.unit.text,
            "factor": float(step.unit.factor), "dimension": " ".join(map(str, step.unit.dimension)),
            "rounding": {"figures": rounding.figures} if rounding.figures else {"step": rounding.step},
            "ask": tokens(step.ask), "law": step.by, "title": law.title, "key": key_program(law),
            "worked": worked(law, self._units()), "slips": slips, "general": self._general(law),
            "unit_asked": step.unit_asked, "words": own.words,
            "between": None if own.low is None or own.high is None else [own.low, own.high],
        }  # fmt: skip

    def _units(self) -> dict[str, str]:
        """The unit in which each given and each answer is shown."""
        given = {given.id: given.unit.text for given in self.question.givens}
        return given | {step.find: step.unit.text for step in self.question.steps}

    def _general(self, law: Law) -> list[str]:
        units = [given.unit for given in self.question.givens] + [step.unit for step in self.question.steps]
        meant = may_be_meant(law.step.unit, units, law.table is not None)
        return [name for name in meant if name not in self.question.without]

    def _options(self) -> list[str]:
        """All answers that occur, if one of them is a word: numbers first by size, then words."""
        last = self.plan.laws[-1]
        if not any("word" in v["answers"][-1] for v in self.variants):
            return []
        numbers = {v["answers"][-1]["key"] for v in self.variants if "key" in v["answers"][-1]}
        words = {v["answers"][-1]["word"]: None for v in self.variants if "word" in v["answers"][-1]}
        factor, rounding, unit = last.factor, last.step.rounding, last.step.unit.text
        shown = [quantity(number / factor, rounding, unit) for number in sorted(numbers)]
        return [*dict.fromkeys(shown), *sorted(words)]


def _rounded_up(value: float) -> float:
    """To four significant figures, never smaller."""
    if value <= 0 or not math.isfinite(value):
        return value
    scale = 10.0 ** (3 - math.floor(math.log10(value)))
    return math.ceil(value * scale - 1e-9) / scale


def shown_givens(compiled: Compiled, variant: Compiled) -> dict[str, str]:
    """Each given of a variant as it is printed, with its unit."""
    return {
        given["id"]: shown_given(text, given["unit"])
        for given, text in zip(compiled["givens"], variant["given"], strict=True)
    }


def shown_given(text: str, unit: str) -> str:
    return with_unit(shown_number(text), unit)


def shown_answers(compiled: Compiled, variant: Compiled) -> dict[str, str]:
    """Each answer of a variant as shown, with its unit (words as they are)."""
    made = {}
    for step, answer in zip(compiled["steps"], variant["answers"], strict=True):
        unit = "" if "word" in answer else step["unit"]
        made[step["find"]] = with_unit(shown_number(answer["shown"]), unit)
    return made
