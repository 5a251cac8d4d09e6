"""Show a question as a learner meets it: five sets of numbers with keys, slips, tolerance and why.
A formula or table is shown with its forms, what each letter means, and its slips."""

from __future__ import annotations

import argparse
import json
from typing import Any

from quizgen.bank.faults import BankError, near, quoted
from quizgen.bank.models import Bank, all_laws
from quizgen.commands.course import CourseError, open_course
from quizgen.commands.show_law import law_data, law_lines
from quizgen.expression.linear import symbol_text
from quizgen.expression.program import run as run_program
from quizgen.expression.writing import Rounding, quantity, spaced, with_unit
from quizgen.variants.compile import Compiled, compile_cached, shown_answers, shown_givens
from quizgen.variants.solution import fill

NAME, HELP = "show", "show a question's variants with keys, slips and tolerance, or a formula with its letters"
SHOWN = 5


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("question", metavar="NAME", help="the id of a question, a formula or a table")


def run(args: argparse.Namespace) -> tuple[int, str]:
    bank, store = open_course(args.course)
    laws = {law.id: law for law in all_laws(bank)}
    if args.question in laws and args.question not in bank.questions:
        data = law_data(bank, laws[args.question])
        return 0, json.dumps(data, ensure_ascii=False, indent=1) if args.json else "\n".join(law_lines(data))
    if args.question not in bank.questions:
        meant = near(args.question, (*bank.questions, *laws)) or " quizgen find WORD looks names up"
        raise CourseError(f"{quoted(args.question)} is no question, formula or table here.{meant}")
    compiled, faults = compile_cached(bank, bank.questions[args.question], store)
    if faults or compiled is None:
        raise BankError(tuple(faults))
    if args.json:
        return 0, json.dumps(compiled, ensure_ascii=False, indent=1)
    return 0, "\n".join(_question(bank, compiled))


def _question(bank: Bank, compiled: Compiled) -> list[str]:
    module = bank.modules[compiled["module"]]
    lines = [f"{compiled['id']}  ({compiled['kind']}, module {module.code} {module.title})", ""]
    if compiled["kind"] == "choice":
        lines.append(words(compiled["text"], {}))
        for option in compiled["options"]:
            lines += [
                f"  {'right' if option['right'] else 'wrong'}: {option['option']}",
                f"         {option['says']}",
            ]
        return lines
    if compiled["kind"] == "order":
        lines.append(words(compiled["text"], {}))
        lines += [f"  {number}. {step}" for number, step in enumerate(compiled["order"], 1)]
        lines += [f"  {a} and {b} may stand either way round" for a, b in compiled["either_way"]]
        return lines
    variants = compiled["variants"]
    for number, variant in enumerate(variants[:SHOWN], 1):
        lines += [f"Variant {number}: {variant['name']}", *_variant(compiled, variant), ""]
    count = compiled["counts"]
    lines.append(
        f"{len(variants)} variants ship. {count['tried']} draws were tried, "
        f"{count['good']} passed every check, {count['combinations']} combinations exist."
    )
    lines += [f"  thrown away: {n} × {reason}" for reason, n in count["rejected"].items()]
    return lines


def _variant(compiled: Compiled, variant: Compiled) -> list[str]:
    shown = {**shown_givens(compiled, variant), **shown_answers(compiled, variant)}
    lines = ["  " + words(compiled["text"], shown, compiled)]
    for index, (step, answer) in enumerate(zip(compiled["steps"], variant["answers"], strict=True)):
        lines.append("  " + words(step["ask"], shown, compiled))
        lines.append(f"    key        {shown[step['find']]}")
        known = known_values(compiled, variant, index)
        entry = chosen(step["worked"], known)
        if entry.get("filled") and "word" not in answer:
            lines.append(f"    worked     {entry['line']}")
            start = f"{symbol_text(step['symbol'])} = " if "math" in entry else ""
            lines.append(f"               {start}{fill(entry['filled'], shown)}")
        if "word" in answer:
            continue
        lines.append("    " + _why(step, answer))
        lines += [f"    slip       {text}" for text in _slips(step, variant, index, known)]
    return lines


def _why(step: Compiled, answer: Compiled) -> str:
    unit, factor = step["unit"], step["factor"]
    margin = spaced(f"{answer['tolerance'] / factor:.3g}")
    share = answer["tolerance"] / abs(answer["key"]) * 100 if answer["key"] else 0
    asked = step["rounding"]
    what = f"{asked['figures']} figures" if "figures" in asked else f"steps of {asked['step']}"
    shown = f"± {with_unit(margin, unit)} ({share:.2g} %)"
    return f"tolerance  {shown}: half a unit of the last of {what}, and rounding on the way"


def _slips(step: Compiled, variant: Compiled, index: int, known: dict[str, float]) -> list[str]:
    made = []
    for slip in step["slips"]:
        value = slip_value(slip, variant, index, known)
        if value is not None:
            rounding = Rounding(**step["rounding"])
            made.append(f"{quantity(value / step['factor'], rounding, step['unit'])}  {slip['id']}: {slip['says']}")
    return made


def slip_value(slip: Compiled, variant: Compiled, index: int, known: dict[str, float]) -> float | None:
    """The slip's value in SI for a variant, or None where it gives none."""
    kept = variant.get("slips", [{}] * (index + 1))[index]
    if slip["id"] in kept:
        return float(kept[slip["id"]])
    if "when" in slip and not run_program(slip["when"], known):
        return None
    for form in slip.get("forms", ()):
        value = run_program(form, known)
        if value == value and abs(value) != float("inf"):
            return value
    return None


def known_values(compiled: Compiled, variant: Compiled, upto: int) -> dict[str, Any]:
    """SI values (or words) of the givens and of the keys before step `upto`."""
    known: dict[str, Any] = {}
    for given, text in zip(compiled["givens"], variant["given"], strict=True):
        known[given["id"]] = text if given["words"] else float(text) * given["factor"]
    for step, answer in list(zip(compiled["steps"], variant["answers"], strict=True))[:upto]:
        known[step["find"]] = answer.get("key", answer.get("word"))
    return known


def chosen(worked: list[Compiled], known: dict[str, Any]) -> Compiled:
    """The entry of a worked solution that applies: the first whose condition holds."""
    for entry in worked:
        if "when" not in entry or run_program(entry["when"], known):
            return entry
    return {}


def words(tokens: list[Any], shown: dict[str, str], compiled: Compiled | None = None) -> str:
    """A text with its slots filled."""
    symbols = {given["id"]: symbol_text(given["symbol"]) for given in compiled["givens"]} if compiled else {}
    made = ""
    for part in tokens:
        if isinstance(part, str):
            made += part
        else:
            made += f"{symbols[part['given']]} = " if part["named"] else ""
            made += shown[part["given"]]
    return made
