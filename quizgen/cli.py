"""The command line: reads the words, finds the course, hands over to one command, prints and exits.

Exit codes: 0 all well; 1 the course or the numbers have a fault, which is printed; 2 the command was
not understood.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import sys
from collections.abc import Sequence
from typing import TextIO

from quizgen import __version__
from quizgen.bank.faults import BankError
from quizgen.commands import analyse, assign, check, find, paper, progress, register, show, trace, work
from quizgen.commands.course import CourseError
from quizgen.expression.writing import for_console

COMMANDS = (check, find, show, work, trace, assign, paper, progress, analyse, register)


def parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(
        prog="quizgen",
        description="Check questions, hand out work and read what comes back, give papers, keep a register.",
        epilog="Exit codes: 0 all well, 1 a fault was found and printed, 2 the command was not understood.",
    )
    top.add_argument("--version", action="version", version=f"quizgen {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for command in COMMANDS:
        own = commands.add_parser(command.NAME, help=command.HELP, description=command.__doc__)
        own.add_argument("--course", metavar="FOLDER", help="the course's folder (default: the one at or above here)")
        own.add_argument("--json", action="store_true", help="print data for a program instead of words")
        command.arguments(own)
        own.set_defaults(run=command.run)
    return top


def main(words: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    _use_utf8()
    top = parser()
    args, rest = top.parse_known_args(words)
    # `work FORMULA --find X a="11 kW"`: what stands after an option belongs to the list before it.
    strange = [word for word in rest if word.startswith("-") or not hasattr(args, "given")]
    if strange:
        top.error(f"not understood: {' '.join(strange)}")
    if rest:
        args.given = [*args.given, *rest]
    try:
        code, text = args.run(args)
    except BankError as error:
        return _refused([str(fault) for fault in error.faults], args.json)
    except (CourseError, OSError) as error:
        return _refused([str(error)], args.json)
    _print(text, sys.stderr if code and not args.json else sys.stdout)
    return int(code)


def _refused(lines: Sequence[str], as_json: bool) -> int:
    if as_json:
        _print(json.dumps({"faults": list(lines)}, ensure_ascii=False), sys.stdout)
    else:
        _print("\n".join(lines), sys.stderr)
    return 1


def _print(text: str, stream: TextIO) -> None:
    try:
        print(for_console(text, getattr(stream, "encoding", None) or "utf-8"), file=stream)
        stream.flush()
    except BrokenPipeError:
        # The reader of a pipe has seen enough; nothing is left to be flushed at exit either.
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _use_utf8() -> None:
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and (stream.encoding or "").lower().startswith("utf"):
            stream.reconfigure(errors="replace")
