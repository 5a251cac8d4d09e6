"""Read the whole bank, draw and check every question's numbers, and say what is there and what is wrong."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from quizgen.bank.faults import BankError, Fault
from quizgen.bank.load import bank_files, load_bank
from quizgen.bank.models import Bank
from quizgen.cache import Cache
from quizgen.commands.course import cache_for, course_folder, pages_folder
from quizgen.tracing import compile_tracing, read_tracing
from quizgen.tracing.modes import told_apart
from quizgen.tracing.report import counts as tracing_counts
from quizgen.tracing.report import words as tracing_words
from quizgen.tracing.whole import whole_chain
from quizgen.variants.compile import Compiled, compile_bank
from quizgen.variants.example import examples_of
from quizgen.variants.report import by_kind, counts
from quizgen.variants.wave import waves_of
from quizgen.variants.work import run_checks
from quizgen.web.on_pages import CASE, on_pages

if TYPE_CHECKING:
    from quizgen.papers.prove import Proof

NOWHERE = "stands on no page of the course, so nobody can practise it"
MOST_REMARKS = 20
NAME, HELP = "check", "check the bank and every question's numbers"


def arguments(parser: argparse.ArgumentParser) -> None:
    """No arguments of its own."""


def run(args: argparse.Namespace) -> tuple[int, str]:
    folder = course_folder(args.course)
    try:
        bank = load_bank(folder)
    except BankError as error:
        files = len(bank_files(folder / "bank"))
        return _faulty(list(error.faults), files, args.json)
    store = cache_for(folder)
    compiled, faults = compile_bank(bank, store)
    checks, wrong = run_checks(bank)
    faults += [*wrong, *examples_of(bank)[1], *waves_of(bank)[1]]
    proofs, unproved = _papers(bank, {one["id"]: one for one in compiled}, store)
    faults += unproved
    tracing, in_files = read_tracing(bank)
    traced, unsolved = compile_tracing(tracing, store)
    faults += [*in_files, *unsolved]
    report = counts(bank, compiled, faults, checks) | {"papers": [asdict(proof) for proof in proofs]}
    whole, apart = whole_chain(tracing, store), told_apart(tracing, store)
    report["tracing"] = tracing_counts(tracing, traced, unsolved, whole, apart)
    nowhere = on_no_page(bank, pages_folder(folder))
    report["on_no_page"] = [{"place": str(one.place), "id": one.owner} for one in nowhere]
    if args.json:
        return int(bool(faults)), json.dumps(report, ensure_ascii=False, indent=1)
    if faults:
        return _faulty(faults, len(bank.files), False)
    papers = (line for proof in proofs for line in paper_lines(bank, proof))
    return 0, "\n".join([_words(bank, report, traced), *papers, *_remarks(nowhere)])


def _papers(bank: Bank, compiled: dict[str, Compiled], store: Cache) -> tuple[list[Proof], list[Fault]]:
    """What is proved of every plan of a paper; the room of papers is loaded only where there is one."""
    if not bank.plans:
        return [], []
    from quizgen.papers.prove import prove

    found = [prove(bank, plan, compiled, store) for plan in bank.plans.values()]
    return [proof for proof, _ in found if proof], [fault for _, faults in found for fault in faults]


def paper_lines(bank: Bank, proof: Proof) -> list[str]:
    """A plan's proof in words: numbers for everybody, the judges' mark, guessing, and the table of passing."""
    plan = bank.plans[proof.plan]
    error = f", standard error {proof.judged.error:.2f}" if len(plan.judges) > 1 else ""
    lines = [
        f"Paper {proof.plan}: {proof.questions} questions, {proof.of} marks, {plan.pass_mark} to pass",
        f"  judges' mark {proof.judged.mark:.2f}{error}, by {len(plan.judges)} judges on {plan.judged_on}"
        + (" (invented estimates: have your own judges judge)" if plan.invented else ""),
    ]
    if proof.fewest is not None:
        sets = f"at least {proof.fewest} sets of numbers for each calculated question"
        lines.append(f"  {sets}, {proof.needed} are needed")
    if proof.guess is not None:
        chance = f"1 in {1 / proof.guess:,.0f}" if proof.guess else "none at all"
        lines.append(f"  chance of guessing the must-pass questions: {chance}")
    lines.append(f"  expected marks of two papers differ by {100 * proof.spread:.1f} % at most")
    lines.append("  share of such answers right in the long run: chance of the mark, with must-pass, "
                 f"within {plan.attempts} attempts")  # fmt: skip
    for row in proof.table:
        chances = "".join(f" {100 * one:5.1f} %" for one in (row.mark_only, row.once, row.within_attempts))
        lines.append(f"    {100 * row.share:3.0f} %:{chances}")
    return lines


def on_no_page(bank: Bank, pages: Path | None) -> list[Fault]:
    """Questions and cases that nobody can practise, since no page names them; nothing where no pages are known.

    What is for papers only is right to stand on none. None of them is at fault: a page may be still to come.
    """
    if pages is None:
        return []
    found = on_pages(pages)
    made = []
    for one in bank.questions.values():
        if one.papers == "only" or one.id in found.stands:
            continue
        module = bank.modules.get(one.module)
        page = found.modules.get(one.module)
        where = f"{page}, the page of {module.code} {module.title}" if page and module else "a page"
        made.append(Fault(one.place, one.id, f"this question {NOWHERE}: put its id into a practice block of {where}, "
                          "or write papers: only if it is for papers alone"))  # fmt: skip
    for id, _ in bank.tracing.get("cases", ()):
        if CASE + id.value not in found.stands:
            made.append(Fault(id.place, id.value, f"this case {NOWHERE}: put its id into a case block of a page"))
    return made


def _remarks(nowhere: list[Fault]) -> list[str]:
    lines = [f"Remark, no fault: {one}" for one in nowhere[:MOST_REMARKS]]
    left = len(nowhere) - len(lines)
    return [*lines, f"And {left} more that stand on no page: --json has them all."] if left else lines


def _faulty(faults: list[Fault], files: int, as_json: bool) -> tuple[int, str]:
    lines = [str(fault) for fault in sorted(faults)]
    if as_json:
        return 1, json.dumps({"faults": lines}, ensure_ascii=False, indent=1)
    broken = len({fault.place.path for fault in faults})
    total = f"{len(lines)} fault{'s' * (len(lines) != 1)} in {broken} of {max(files, broken)} files."
    return 1, "\n".join([*lines, total])


def _words(bank: Bank, report: dict[str, Any], traced: dict[str, Any]) -> str:
    kinds = ", ".join(f"{count} {kind}" for kind, count in report["kinds"].items())
    lines = [
        f"{bank.course.title}: everything checked, no faults.",
        f"  {report['modules']} modules with {report['outcomes']} outcomes",
        f"  {len(report['formulas'])} formulas and {report['tables']} tables, "
        f"{report['check_values']} published check values hold",
        f"  {report['questions']} questions ({kinds}) with {report['steps']} steps to work",
        f"  {report['slips']} slips with their own words, {report['reasons']} wrong options with reasons",
        f"  {report['variants']} variants shipped, each solved by two routes",
    ]
    if report["rejected"]:
        lines.append("Draws that were thrown away, by reason:")
        lines += [f"  {count:6d}  {reason}" for reason, count in by_kind(report["rejected"]).items()]
    alone = [bank.formulas[id] for id in report["on_one_form"]]
    if alone:
        lines.append("Formulas that rest on one form alone (no second form can contradict them):")
        for formula in alone:
            backed = f"{len(formula.checks)} published values" if formula.checks else "no published value beside it yet"
            lines.append(f"  {formula.id}: {backed}")
    return "\n".join([*lines, *tracing_words(report["tracing"], traced)])
