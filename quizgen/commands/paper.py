"""Competence papers: own numbers for each candidate, marked from the record of the issue.

The way: quizgen check proves the plan; paper issue writes one page for each candidate; they sit it on the page or
on paper; paper mark takes the hand-in forms, paper enter what was written on paper; paper key prints a key to mark
by hand; paper void takes a faulty question out for everybody.
"""

from __future__ import annotations

import argparse
from pathlib import Path

NAME, HELP = "paper", "competence papers: issue, page, mark, key, enter, void"

STATES = "Exit codes: 0 all well, 1 something was refused and said why, 2 the command was not understood."


def arguments(parser: argparse.ArgumentParser) -> None:
    acts = parser.add_subparsers(dest="act", metavar="ACT", required=True)

    own = _act(acts, "issue", "one paper for each candidate, all with numbers of their own",
               "Next: open each page on the candidate's computer, or print it; then quizgen paper mark.")  # fmt: skip
    own.add_argument("plan", metavar="PLAN", help="the id of the plan, as in bank/papers/")
    own.add_argument("--for", dest="codes", action="append", required=True, metavar="CODE",
                     help="a candidate's code, never a name; repeat it for each candidate")  # fmt: skip
    own.add_argument("--out", required=True, metavar="FOLDER", help="where the pages and the sign-off sheet go")
    own.add_argument("--valid-until", default="", metavar="DAY", help="last day for marking (default: in 30 days)")
    own.add_argument("--extra", action="append", default=[], metavar="CODE=PERCENT",
                     help="extra time for one candidate, like A-07=25")  # fmt: skip
    own.add_argument("--large", action="append", default=[], metavar="CODE", help="large print for one candidate")

    own = _act(acts, "mark", "mark hand-in forms and write a mark sheet for each",
               "Next: compare each check code with the sign-off sheet, then hand out the mark sheets.")  # fmt: skip
    own.add_argument("files", nargs="+", metavar="FILE", help="a hand-in form, as the page saved it")
    own.add_argument("--signed", action="append", default=[], metavar="CHECKCODE",
                     help="a check code from the sign-off sheet; with any given, other forms are refused")  # fmt: skip
    _taking(own)

    own = _act(acts, "key", "a key for marking one paper by hand",
               "Next: mark in ink, have a second person mark again, then quizgen paper enter.")  # fmt: skip
    own.add_argument("number", metavar="NUMBER", help="the paper's number")
    own.add_argument("--out", required=True, metavar="FOLDER", help="where the key goes; it is secret")

    own = _act(acts, "page", "a candidate's page once more, from its record, if the file was lost",
               "Next: the candidate opens it; numbers and questions are those of the issue.")  # fmt: skip
    own.add_argument("number", metavar="NUMBER", help="the paper's number")
    own.add_argument("--out", required=True, metavar="FOLDER", help="where the page goes")

    own = _act(acts, "enter", "type in what a candidate wrote on paper, twice, and mark it",
               "Next: hand the mark sheet to the candidate, and keep the paper.")  # fmt: skip
    own.add_argument("number", metavar="NUMBER", help="the paper's number")
    _taking(own)

    own = _act(acts, "void", "take a faulty question out: right for everybody, marked again, every change recorded",
               "Next: mend the question in the bank; hand out the mark sheets that changed.")  # fmt: skip
    own.add_argument("plan", metavar="PLAN")
    own.add_argument("question", metavar="QUESTION", help="the id of the question")
    own.add_argument("--why", required=True, metavar="TEXT", help="what is wrong with it; it stands on the mark sheets")
    own.add_argument("--out", default="", metavar="FOLDER", help="where new mark sheets go (default: in the records)")


def _act(
    acts: argparse._SubParsersAction[argparse.ArgumentParser], name: str, words: str, after: str
) -> argparse.ArgumentParser:
    own = acts.add_parser(name, help=words, description=f"{words}.", epilog=f"{after} {STATES}")
    own.add_argument("--records", required=True, metavar="FOLDER", help="the folder of the records; keep it private")
    own.add_argument("--signer", default="", metavar="NAME", help="who signs the register, where there are several")
    own.add_argument("--course", metavar="FOLDER", default=argparse.SUPPRESS, help="the course's folder")
    own.add_argument("--json", action="store_true", default=argparse.SUPPRESS, help="print data for a program")
    return own


def _taking(own: argparse.ArgumentParser) -> None:
    own.add_argument("--late", default="", metavar="REASON", help="take a paper after its last day, and why")
    own.add_argument("--out", default="", metavar="FOLDER", help="where mark sheets go (default: in the records)")


def run(args: argparse.Namespace) -> tuple[int, str]:
    # Papers and their store are loaded only when they are asked for.
    from quizgen.commands import paper_issue, paper_mark
    from quizgen.commands.course import CourseError
    from quizgen.papers.issue import PaperError
    from quizgen.papers.plain import PlainError
    from quizgen.records.store import StoreError

    args.records = Path(args.records)
    acts = {"issue": paper_issue.issue, **paper_mark.ACTS}
    try:
        return acts[args.act](args)
    except (PaperError, PlainError, StoreError) as error:
        raise CourseError(str(error)) from None
