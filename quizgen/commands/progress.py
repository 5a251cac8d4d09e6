"""Read the progress slips that learners handed in: who is where, and which mistake to talk about tomorrow."""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from quizgen.bank.models import Bank, Plan
    from quizgen.cohort.collect import Collected
    from quizgen.variants.slip_names import SlipNames

NAME, HELP = "progress", "read progress slips: who is stuck on what"

STATES = (
    "Exit codes: 0 a report was made, also where slips were skipped, each named with what to do; 1 no slip could be "
    "taken, or group or course have a fault; 2 the command was not understood."
)
BAR = 30


def today() -> date:
    """The day where the shop is; the tests set another."""
    return date.today()


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.epilog = f"Next: talk about the first mistake in the list, and see who has stopped. {STATES}"
    parser.add_argument("sources", nargs="+", metavar="FILE",
                        help="slips: files, folders, a text in quotation marks, or - for a text pasted into the console")  # fmt: skip  # noqa: E501
    parser.add_argument("--group", default="", metavar="GROUP",
                        help="the group's file: only its codes count, and what was assigned is compared")  # fmt: skip
    parser.add_argument("--plan", default="", metavar="PLAN", help="who is ready for this plan's paper")
    parser.add_argument("--stopped-after", type=_days, default=7, metavar="DAYS",
                        help="days without an answer after which somebody has stopped (default: 7)")  # fmt: skip
    parser.add_argument("--html", default="", metavar="FILE", help="write a report to print or to keep")
    parser.add_argument("--site", default="", metavar="WHERE",
                        help="where questions in the report lead: the address of the published course, https://…, or "
                             "the folder of a built one (default: the course's own, if it is built)")  # fmt: skip
    parser.add_argument("--csv", default="", metavar="FILE", help="write one line a code and question")


def _days(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 3660:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of days from 1 to 3660")
    return int(text)


def run(args: argparse.Namespace) -> tuple[int, str]:
    from quizgen.bank.read_group import read_group
    from quizgen.cohort.called import called
    from quizgen.cohort.collect import collect
    from quizgen.cohort.progress import NO_PROOF, Tally, progress
    from quizgen.cohort.progress_html import progress_html
    from quizgen.cohort.progress_text import data, lines, table
    from quizgen.commands.course import CourseError, course_folder, pages_folder, refuse_published
    from quizgen.records.write import write_whole
    from quizgen.web.on_pages import on_pages

    folder = course_folder(args.course)
    bank, names = _course(folder)
    group = read_group(Path(args.group), bank, folder) if args.group else None
    plan = _plan(bank, args.plan) if args.plan else None
    for name in (args.html, args.csv):
        if name:
            refuse_published(Path(name).parent, folder)
    site = _site(args.site, Path(args.html).parent, folder) if args.html else ""
    at = pages_folder(folder)
    pages = on_pages(at) if at else None
    show = _bar(sys.stderr) if sys.stderr.isatty() else _nothing
    found = collect(args.sources, bank.course.id, names, today(), group.codes if group else None, show)
    if not found.packed:
        raise CourseError("\n".join([*_skipped(found), "no slip could be taken, so there is nothing to report"]))
    made = progress(found.slips(), Tally(bank, names, today(), group, plan, args.stopped_after, pages))
    written = []
    if args.html:
        write_whole(Path(args.html), progress_html(made, bank, found.skipped, found.notes, site).encode())
        written.append(args.html)
    if args.csv:
        modules = {id: module for module, ids in names.modules.items() for id in ids}
        every = called(dict.fromkeys(id for slip in found.slips() for id in slip.results), bank, pages)
        # The mark at its start tells spreadsheets that the text is UTF-8.
        write_whole(Path(args.csv), table(found.slips(), modules, every).encode("utf-8-sig"))
        written.append(args.csv)
    if args.json:
        return 0, json.dumps(data(made, found.skipped, found.notes), ensure_ascii=False, indent=1)
    said = [*lines(made), *_skipped(found), *found.notes, *(f"Written: {name}." for name in written), NO_PROOF]
    return 0, "\n".join(said)


def _site(named: str, report: Path, course: Path) -> str:
    """Where links of a report in the folder `report` begin; "" where no site is known. Raises CourseError."""
    from urllib.parse import quote

    from quizgen.commands.course import CourseError, built_site

    if re.match(r"https?://[^\s/]", named):
        return named.rstrip("/") + "/"
    folder = Path(named).resolve() if named else built_site(course)
    if folder is None:
        return ""
    if not (folder / "index.html").is_file():
        raise CourseError(f"{named}: no built course is there: name the folder with its index.html, or an address "
                          "that begins with https://")  # fmt: skip
    try:
        return quote(Path(os.path.relpath(folder, report.resolve())).as_posix()) + "/"
    except ValueError:  # another drive
        return folder.as_uri() + "/"


def _skipped(found: Collected) -> list[str]:
    return [f"Skipped {one.where}: {one.why}." for one in found.skipped]


def _course(folder: Path) -> tuple[Bank, SlipNames]:
    from quizgen.commands.course import cache_for
    from quizgen.variants.ready import ready_course
    from quizgen.variants.slip_names import practised

    ready = ready_course(folder, cache_for(folder))
    return ready.bank, practised(ready.bank, ready.compiled)


def _plan(bank: Bank, id: str) -> Plan:
    from quizgen.bank.faults import near, quoted
    from quizgen.commands.course import CourseError

    if id not in bank.plans:
        raise CourseError(f"{quoted(id)}: the course has no such plan.{near(id, sorted(bank.plans))}")
    return bank.plans[id]


def _nothing(done: int, of: int) -> None:
    pass


def _bar(stream: object) -> Callable[[int, int], None]:
    """Draws how far the reading is, on a terminal, ten times a second at most."""
    last = 0.0

    def draw(done: int, of: int) -> None:
        nonlocal last
        now = time.monotonic()
        if of < 50 or (done < of and now - last < 0.1):
            return
        last = now
        filled = BAR * done // of
        end = "\r" + " " * (BAR + 40) + "\r" if done == of else ""
        print(f"\r[{'#' * filled}{'.' * (BAR - filled)}] {done} of {of} read{end}", end="", file=stream, flush=True)  # type: ignore[call-overload]

    return draw
