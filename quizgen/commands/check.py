"""Read the whole bank, draw and check every question's numbers, and say what is there and what is wrong."""

from __future__ import annotations

import argparse
import json
from typing import Any

from quizgen.bank.faults import BankError, Fault
from quizgen.bank.load import bank_files, load_bank
from quizgen.bank.models import Bank
from quizgen.commands.course import cache_for, course_folder
from quizgen.variants.compile import compile_bank
from quizgen.variants.example import examples_of
from quizgen.variants.report import by_kind, counts
from quizgen.variants.wave import waves_of
from quizgen.variants.work import run_checks

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
    compiled, faults = compile_bank(bank, cache_for(folder))
    checks, wrong = run_checks(bank)
    faults += [*wrong, *examples_of(bank)[1], *waves_of(bank)[1]]
    report = counts(bank, compiled, faults, checks)
    if args.json:
        return int(bool(faults)), json.dumps(report, ensure_ascii=False, indent=1)
    if faults:
        return _faulty(faults, len(bank.files), False)
    return 0, _words(bank, report)


def _faulty(faults: list[Fault], files: int, as_json: bool) -> tuple[int, str]:
    lines = [str(fault) for fault in sorted(faults)]
    if as_json:
        return 1, json.dumps({"faults": lines}, ensure_ascii=False, indent=1)
    broken = len({fault.place.path for fault in faults})
    total = f"{len(lines)} fault{'s' * (len(lines) != 1)} in {broken} of {max(files, broken)} files."
    return 1, "\n".join([*lines, total])


def _words(bank: Bank, report: dict[str, Any]) -> str:
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
    return "\n".join(lines)
