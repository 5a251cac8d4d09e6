"""Hand out work: for each learner of a group a small file to open, and the same as a page to print.

The group is a file of yours, outside the course: codes instead of names, what is due when, what counts as done.
"""

from __future__ import annotations

import argparse
import json
import os
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from quizgen.cohort.assignment import Assignment

NAME, HELP = "assign", "hand out modules and cases to a group of learners"

STATES = "Exit codes: 0 all well, 1 nothing was written and why, 2 the command was not understood."
NEXT = (
    "Next: give each learner the file, by stick or message, or the printed page. "
    "They open it on the course's page Your plan. Keep the list of who has which code in a place of your own."
)
EXAMPLE = """a group file:
  group: autumn-depot
  course: charging-chain
  learners:
    - A-01
    - A-02
  done:              # may be left out: 8 of the last 10, some right on 2 days
    right: 8
    of last: 10
    on days: 2
  assigned:
    supply:          # a module of the course
      due: 2026-12-04
    case-half-wave:  # a case of fault tracing, after case-
      due: 2026-12-11
      for:           # may be left out: everybody
        - A-02
"""
FEW = 5
"""So many files in the way are told by name."""
LARGEST = 200_000
"""Bytes: no file of ours is larger than that, so nothing beyond is read."""


def today() -> date:
    """The day on this machine's clock; tests put another one here."""
    return date.today()


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = f"{EXAMPLE}\n{NEXT}\n{STATES}"
    parser.add_argument("group", metavar="GROUP", help="the group's file, outside the course")
    parser.add_argument(
        "--out", required=True, metavar="FOLDER", help="where the files go; those of an earlier run are replaced"
    )


def run(args: argparse.Namespace) -> tuple[int, str]:
    from quizgen.bank.read_group import read_group
    from quizgen.cohort.assignment import assignments, file_text
    from quizgen.cohort.slip import slip_html, slips_html
    from quizgen.commands.course import course_folder, open_course, refuse_published
    from quizgen.records.write import write_all

    folder, out = course_folder(args.course), Path(args.out)
    bank, _ = open_course(args.course)
    group = read_group(Path(args.group), bank, folder)
    refuse_published(out, folder)
    every = assignments(group, bank, today())
    busy = [one for one in every if one.items]
    sheet = f"group_{group.id}.html"  # no code holds a "_"
    bodies = {f"{one.code}.json": file_text(one) for one in busy}
    bodies |= {f"{one.code}.html": slip_html(one) for one in busy}
    bodies[sheet] = slips_html(busy, group.id)
    _refuse_others(out, list(bodies), group.course, group.id)
    write_all(out, {name: text.encode() for name, text in bodies.items()})
    idle = [one.code for one in every if not one.items]
    left = _left_over(out, set(bodies), group.course, group.id)
    if args.json:
        data = {"group": group.id, "files": sorted(bodies), "sheet": sheet, "without": idle, "left_over": left}
        return 0, json.dumps(data, ensure_ascii=False, indent=1)
    return 0, "\n".join(_lines(args.out, group.id, busy, idle, left, sheet))


def _lines(out: str, group: str, busy: list[Assignment], idle: list[str], left: list[str], sheet: str) -> list[str]:
    lines = [f"Group {group}: {_many(len(busy), 'assignment')} in {out}."]
    for one in busy:
        first = one.items[0]
        lines.append(f"  {one.code}  {len(one.items)} due, first {first.what} on {first.due}: "
                     f"{one.code}.json, {one.code}.html")  # fmt: skip
    lines.append(f"To print all at once: {sheet}, each code on a sheet of its own.")
    if idle:
        lines.append(f"Nothing is assigned to {', '.join(idle)}: no files for them.")
    if left:
        lines.append(f"Left from an earlier run, and out of date: {', '.join(left)}. Delete what you do not need.")
    return [*lines, NEXT]


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _refuse_others(out: Path, names: list[str], course: str, group: str) -> None:
    """Raise CourseError where a file stands in the way that this group has not made."""
    from quizgen.commands.course import CourseError

    if out.exists() and not out.is_dir():
        raise CourseError(f"{out}: this is a file; --out names a folder")
    strange = [name for name in names if os.path.lexists(out / name) and not _ours(out / name, course, group)]
    if strange:
        more = f" and {len(strange) - FEW} more" if len(strange) > FEW else ""
        raise CourseError(
            f"{out}: {', '.join(strange[:FEW])}{more} there already, and not written for group {group}: "
            "nothing was changed; move what is there, or choose another folder"
        )


def _left_over(out: Path, made: set[str], course: str, group: str) -> list[str]:
    """Files of this group that an earlier run wrote and this one did not."""
    found = [path for path in out.iterdir() if path.suffix in (".json", ".html") and path.name not in made]
    return sorted(path.name for path in found if _ours(path, course, group))


def _ours(path: Path, course: str, group: str) -> bool:
    """Whether a run for this group wrote the file."""
    from quizgen.cohort.slip import mark_of

    if path.is_symlink() or not path.is_file():
        return False
    with path.open("rb") as file:
        text = file.read(LARGEST).decode("utf-8", "replace")
    if path.suffix == ".html":
        return f"<main {mark_of(course, group)}>" in text
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return False
    return isinstance(data, dict) and [data.get(name) for name in ("file", "course", "group")] == [
        "assignment", course, group,
    ]  # fmt: skip
