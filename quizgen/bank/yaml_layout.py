"""What stands between the texts of a bank file: tabs, and comments that may be the rest of a text."""

import re
from bisect import bisect_right

from quizgen.bank.faults import Fault
from quizgen.bank.yaml_events import Run, line_end, scalars, style_of, told_until
from quizgen.bank.yaml_limits import few
from quizgen.bank.yaml_nodes import Source, indent_of
from quizgen.bank.yaml_words import CUT, GLUED


def without_tabs(text: str, run: Run) -> str:
    """The text with every tab that is known to stand outside a quoted text turned into a space."""
    pieces = []
    done = 0
    for event in scalars(run):
        start, end = event.start_mark.index, event.end_mark.index
        if style_of(event) == "quoted" and "\t" in text[start:end]:
            pieces += [text[done:start].replace("\t", " "), text[start:end]]
            done = end
    until = max(done, told_until(run, text))
    return "".join([*pieces, text[done:until].replace("\t", " "), text[until:]])


def tab_faults(source: Source, text: str, kept: str) -> tuple[list[Fault], bool]:
    """The first refused tab of each line, and whether one of them stands before the line's first word."""
    faults = []
    indented = False
    for number, (line, row) in enumerate(zip(text.split("\n"), kept.split("\n"), strict=True)):
        if line != row:
            column = next(column for column, symbol in enumerate(line) if symbol != row[column])
            faults.append(Fault(source.place(number, column), "", "a tab stands here: use spaces instead"))
            indented |= column < indent_of(line) < len(line)
    return few(faults), indented


def comment_faults(source: Source, text: str, run: Run) -> list[Fault]:
    """Comments that may be the rest of a text: what YAML takes for a comment is silently gone."""
    if "#" not in text:
        return []
    gaps = []
    done = 0
    for event in scalars(run):
        gaps.append((done, event.start_mark.index))
        if style_of(event) in {"folded", "literal"}:  # behind > or | there may be a comment
            gaps.append((event.start_mark.index, line_end(text, event.start_mark)))
        done = event.end_mark.index
    gaps.append((done, told_until(run, text)))
    starts = [0, *(match.end() for match in re.finditer("\n", text))]
    faults = []
    for start, end in gaps:
        while (start := text.find("#", start, end)) >= 0:
            line = bisect_right(starts, start) - 1
            before = text[starts[line] : start]
            # behind a tab it is told as a tab; behind a letter it is no comment
            if before.strip() and not before.endswith("  ") and source.lines[line][len(before) - 1] in " \"']":
                message = CUT if before.endswith(" ") else GLUED
                faults.append(Fault(source.place(line, len(before)), "", message))
            start = starts[line + 1]
    return faults


def follows_a_cut(source: Source, comments: list[Fault], run: Run) -> bool:
    """Whether an error stands where the rest of a text would be that was cut at #."""
    written = scalars(run)
    if not comments or not written:
        return False
    end = written[-1].end_mark
    return source.place(end.line, end.column) <= comments[-1].place
