"""Play a case of fault tracing in the terminal, or print every reading of every fault as a table."""

from __future__ import annotations

import argparse
import json
import re
import sys
from pathlib import Path
from typing import Any

from quizgen.bank.faults import BankError, near, quoted
from quizgen.commands.course import CourseError, open_course
from quizgen.records.write import write_whole
from quizgen.tracing import compile_tracing, read_tracing, readings
from quizgen.tracing.data import Mode, Tracing
from quizgen.tracing.document import FORMS, document
from quizgen.tracing.fresh import another
from quizgen.tracing.modes import in_mode, inseparable, standard
from quizgen.tracing.play import ISOLATE, after, done, minutes, regret, start, unsafe
from quizgen.web.case_html import Places
from quizgen.web.case_paper import paper_html
from quizgen.web.case_places import places_of

NAME, HELP = "trace", "play a case of fault tracing, write it on paper, or print the table of all readings"
MOST_VANS = 999


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", nargs="?", help="the id of the case")
    parser.add_argument("--table", action="store_true", help="print every reading of every fault, test by test")
    parser.add_argument("--mode", help="the table in another mode of the chain, such as one-line-16")
    parser.add_argument("--battery", metavar="VOLTS", help="the table at another battery voltage, such as 320")
    parser.add_argument("--paper", action="store_true", help="write the case for a classroom: sheet, readings, key")
    parser.add_argument("--van", type=int, metavar="N", default=0, help="another van with the same complaint: 1, 2, …")
    parser.add_argument("--out", metavar="FILE", help="where the paper is written; without it case-CASE.html")
    parser.add_argument("--as", dest="form", choices=FORMS, default="text", help="how the table is written")


def run(args: argparse.Namespace) -> tuple[int, str]:
    bank, store = open_course(args.course)
    tracing, faults = read_tracing(bank)
    if faults:
        raise BankError(tuple(faults))
    if tracing is None:
        raise CourseError("this course has no fault tracing: add the files of bank/tracing")
    if args.table:
        return 0, _table(tracing, args)
    if args.mode or args.battery:
        raise CourseError("a case keeps its mode: --mode and --battery go with --table")
    compiled, faults = compile_tracing(tracing, store)
    if faults:
        raise BankError(tuple(faults))
    cases = compiled["cases"]
    if args.case not in cases:
        if args.case is None:
            return 0, "\n".join(f"{id:20} {case['title']}" for id, case in cases.items())
        raise CourseError(f"{quoted(args.case)} is no case here.{near(args.case, cases)}")
    case = cases[args.case]
    if args.van and (case["outside"] or not 0 < args.van <= MOST_VANS):
        raise CourseError(f"--van: a number from 1 to {MOST_VANS} was expected, for a case that the method serves")
    if args.paper:
        return 0, _written(case, places_of(bank.chain, tracing, compiled["healthy"]), args)
    if args.van:
        case = another(case, args.van)
    if args.json:
        return 0, json.dumps(case, ensure_ascii=False, indent=1)
    return 0, _played(case, tracing)


def _written(case: dict[str, Any], places: Places, args: argparse.Namespace) -> str:
    if case["outside"]:
        raise CourseError(f"{case['id']} is outside the method: there are no readings to hand out")
    name = f"case-{case['id']}{f'-van-{args.van}' if args.van else ''}.html"
    path = Path(args.out or name)
    write_whole(path, paper_html(another(case, args.van), places, args.van).encode())
    return f"Written: {path}. First the learner's sheet, then readings to cut out, then your key."


def _table(tracing: Tracing, args: argparse.Namespace) -> str:
    """The table of all readings, where wanted in another mode or at another battery voltage."""
    mode = standard(tracing)
    if args.mode is not None:
        if args.mode not in tracing.modes:
            known = ", ".join(tracing.modes) or "this chain has none"
            raise CourseError(f"{quoted(args.mode)} is no mode here: {known}.{near(args.mode, tracing.modes)}")
        mode = tracing.modes[args.mode]
    volts = float(tracing.healthy["U_B"]) if args.battery is None else _volts(args.battery, mode)
    if args.mode or args.battery:
        tracing = in_mode(tracing, mode, volts)
    table = readings(tracing)
    if args.json:
        made = {"mode": mode.id, "battery": volts, "faults": table.faults, "readings": table.exact,
                "inseparable": inseparable(tracing)}  # fmt: skip
        return json.dumps(made, ensure_ascii=False, indent=1)
    return document(tracing, table, args.form, f"{mode}, battery at {volts:g} V")


def _volts(text: str, mode: Mode) -> float:
    """A battery voltage as typed, with or without its unit, within what the mode was worked out for."""
    low, high = mode.volts[0], mode.volts[-1]
    typed = text.strip().removesuffix("V").strip()
    found = float(typed) if re.fullmatch(r"\d{1,4}(\.\d{1,3})?", typed, re.ASCII) else None
    if found is None or not low <= found <= high:
        raise CourseError(f"--battery {quoted(text)}: a voltage from {low:g} V to {high:g} V was expected, such as 360")
    return found


def _played(case: dict[str, Any], tracing: Tracing) -> str:
    say = print
    say(f"{case['title']}\n\n“{case['complaint']}”\n")
    for known in case["known"]:
        told = known["readings"]
        say(f"  {known['name']}: " + (told[0] if len(told) == 1 else _row(known["labels"], told)))
    if case["outside"]:
        return f"\nOutside the method: {case['outside']}\n{case['says']}"
    say("\nTraining aid only. Live readings are the van's own data with all covers on.")
    standing, true, paid, lost = start(case), [s["id"] for s in case["suspects"]].index(case["fault"]), 0.0, 0.0
    while not done(case, standing):
        names = [s["name"] for i, s in enumerate(case["suspects"]) if standing.suspects >> i & 1]
        say(f"\n{len(names)} suspects: {', '.join(names)}.")
        for test in case["tests"]:
            say(f"  {test['id']:20} {minutes(case, standing, test['id']):4d} min  {test['needs']:4}  {test['name']}")
        if not standing.dead:
            say(f"  {ISOLATE:20} {case['isolate']:4d} min        isolate, lock, prove dead")
        word = _asked()
        if word in ("", "end"):
            return "Ended."
        if word not in (ISOLATE, *(t["id"] for t in case["tests"])) or (word == ISOLATE and standing.dead):
            say(f"{quoted(word)} is nothing to do here: type an id of the list, or end")
            continue
        if why := unsafe(case, standing, word):
            return f"Stop. {why} The exercise ends here, whatever was found."
        paid += minutes(case, standing, word)
        lost += regret(case, standing, word)
        standing = next(s for s in after(case, standing, word) if s.suspects >> true & 1)
        if word == ISOLATE:
            if not standing.dead:
                say("Proving dead fails: a voltage to the chassis stays. Stop, treat all as live, leave the zone.")
                break
            say("Isolated, locked, proved dead on every pair, indicator proved before and after.")
        else:
            test = next(t for t in case["tests"] if t["id"] == word)
            say(_row(test["labels"], test["readings"]["outcomes"][test["readings"]["shows"][true]]))
    fault = tracing.faults[case["fault"]]
    if fault.still_live:
        say("\nThe right act now is to stop: the chain may stay live after isolating. Leave the zone and hand over.")
    return (
        f"\nIt is: {tracing.parts[fault.part]} ({fault.name}).\n"
        f"{paid:.0f} minutes; the best order takes {case['minutes']:.0f} on average. "
        f"Your decisions cost {max(lost, 0.0):.0f} minutes more than the best ones.\n{case['says']}"
    )


def _row(labels: list[str], row: list[str]) -> str:
    return ", ".join(f"{label}: {reading}" for label, reading in zip(labels, row, strict=True))


def _asked() -> str:
    print("> ", end="", flush=True)
    return sys.stdin.readline().strip()
