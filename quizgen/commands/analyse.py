"""Analyse marked papers: which questions are hard, which wrong answers come often, how sure a result is."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from quizgen.cohort.analyse import Analysis
    from quizgen.papers.types import Issue, Mark

NAME, HELP = "analyse", "what marked papers say about their questions"

STATES = "Exit codes: 0 all well, 1 nothing could be analysed and why, 2 the command was not understood."


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.epilog = f"Next: talk about the most frequent wrong answers, and mend what is flagged. {STATES}"
    parser.add_argument("plan", nargs="?", default="", metavar="PLAN", help="one plan's papers only (default: all)")
    parser.add_argument("--records", required=True, metavar="FOLDER", help="the folder of the records")
    parser.add_argument("--html", default="", metavar="FILE", help="write a report with drawings")
    parser.add_argument("--csv", default="", metavar="FILE", help="write one line a question for a spreadsheet")


def run(args: argparse.Namespace) -> tuple[int, str]:
    from quizgen.cohort.analysis_html import analysis_html
    from quizgen.cohort.analysis_text import RECORDS, data, lines, table
    from quizgen.commands import paper_issue
    from quizgen.records.write import write_whole

    found = _analyses(Path(args.records), args.plan)
    written = []
    if args.html:
        page = analysis_html(found, paper_issue.today().isoformat())
        write_whole(Path(args.html), page.encode())
        written.append(args.html)
    if args.csv:
        # The mark at its start tells spreadsheets that the text is UTF-8.
        write_whole(Path(args.csv), table(found).encode("utf-8-sig"))
        written.append(args.csv)
    if args.json:
        return 0, json.dumps(data(found), ensure_ascii=False, indent=1)
    said = [line for one in found for line in lines(one)]
    return 0, "\n".join([*said, *(f"Written: {name}." for name in written), RECORDS])


def _analyses(folder: Path, plan: str) -> list[Analysis]:
    from quizgen.bank.faults import near, quoted
    from quizgen.cohort.analyse import analyse
    from quizgen.commands import signing
    from quizgen.commands.course import CourseError
    from quizgen.records.signed import opened
    from quizgen.records.store import StoreError

    try:
        with opened(folder, signing.passphrase, signing.now, writes=False) as store:
            standing = store.papers()
            if plan and plan not in {one.plan for one in standing}:
                known = sorted({one.plan for one in standing})
                raise CourseError(f"{quoted(plan)}: no paper of this plan is in the records.{near(plan, known)}")
            papers: dict[str, list[tuple[Issue, Mark]]] = {}
            for one in standing:
                if one.passed is None or (plan and one.plan != plan):
                    continue
                issue, marks = store.issue_of(one.number), store.marks_of(one.number)
                if issue and marks:
                    papers.setdefault(one.plan, []).append((issue, marks[-1]))
    except StoreError as error:
        raise CourseError(str(error)) from None
    if not papers:
        raise CourseError("no paper is marked yet: quizgen paper mark FILE --records FOLDER, then analyse")
    return [analyse(found) for found in papers.values()]
