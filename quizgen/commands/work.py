"""Work a formula or table for any numbers with units and print the solution line by line."""

from __future__ import annotations

import argparse
import json

from quizgen.bank.faults import quoted
from quizgen.commands.course import CourseError, open_course
from quizgen.variants.work import WorkError, work

NAME, HELP = "work", 'work a formula: quizgen work FORMULA --find X a="11 kW" b="400 V"'


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("law", metavar="FORMULA", help="the id of a formula or table")
    parser.add_argument("--find", metavar="X", required=True, help="the quantity to find")
    parser.add_argument("--in", dest="unit", metavar="UNIT", default="", help="the unit of the result")
    parser.add_argument("given", nargs="*", metavar='a="11 kW"', help="what is known, each with its unit")


def run(args: argparse.Namespace) -> tuple[int, str]:
    bank, _ = open_course(args.course)
    given: dict[str, str] = {}
    for pair in args.given:
        name, sign, text = pair.partition("=")
        if not sign or not name.strip() or name.strip() in given:
            raise CourseError(f'{quoted(pair)}: expected each known quantity once, like P="11 kW"')
        given[name.strip()] = text
    try:
        result = work(bank, args.law, args.find, given, args.unit)
    except WorkError as error:
        raise CourseError(str(error)) from None
    if args.json:
        value = result.word if result.value is None else float(f"{result.value:.12g}")
        unit = "" if result.value is None else result.unit.text
        data = {
            "find": args.find, "value": value, "unit": unit,
            "lines": list(result.lines), "notes": list(result.notes),
        }  # fmt: skip
        return 0, json.dumps(data, ensure_ascii=False)
    return 0, "\n".join([*result.lines, *(f"Note: {note}." for note in result.notes)])
