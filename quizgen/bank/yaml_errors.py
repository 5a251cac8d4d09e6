"""Errors of PyYAML's parser told again: where the slip is that led to one, and how to mend it."""

import re
from typing import Any

import yaml

from quizgen.bank.faults import Fault
from quizgen.bank.yaml_events import Event, Mark, Run, scalars, style_of
from quizgen.bank.yaml_limits import LONGEST_LINE, LONGEST_NAME
from quizgen.bank.yaml_nodes import Source, block_indent, indent_of
from quizgen.bank.yaml_symbols import is_odd_space, odd_space_told
from quizgen.bank.yaml_words import (
    BEGINNINGS,
    BESIDE_SIGN,
    BLANK_IN_BLOCK,
    COLON,
    COMMENT_INSIDE,
    CUT,
    DOUBLE,
    ENTRY_AMONG_FIELDS,
    FIELD_AMONG_ENTRIES,
    FIELD_IN_TEXT,
    LIST_BEHIND,
    LONG_NAME,
    NO_ESCAPE,
    NO_FIELD,
    NO_NAME,
    NOT_CLOSED,
    NOTHING_MORE,
    SECOND,
    TIGHT_COLON,
    TIGHT_DASH,
    UNREADABLE,
)


def explain(source: Source, run: Run, error: yaml.MarkedYAMLError) -> Fault:
    """The fault behind an error of the loader in Python."""
    context = error.context or ""
    problem = error.problem or ""
    at: Any = error.problem_mark
    since: Any = error.context_mark or at
    line = source.row(at.line)
    mark: Any = at
    message = UNREADABLE
    if "quoted" in context and "escape" in problem:
        mark, message = Mark(at.line, line.rfind("\\", 0, at.column)), NO_ESCAPE
    elif "quoted" in context:
        mark, message = since, NOT_CLOSED
    elif "flow" in context:
        mark, message = since, _beginning(source, since)
    elif bracket := _BRACKET.match(line):
        mark = Mark(at.line, bracket.start(1))
        message = _beginning(source, mark)
    elif "block scalar" in context:
        mark, message = since, BESIDE_SIGN
    elif "handle" in problem or "YAML" in problem or re.search("directive|alias|anchor|tag", context):
        mark, message = since, _beginning(source, since)
    elif "<document " in problem and any(row.startswith("...") for row in source.lines[: at.line + 1]):
        message = SECOND
    elif re.search("<block end>|<document start>|content, but found '[?:]'", problem):
        mark, message = _misfit(source, run, line, at)
    elif any(word in problem for word in ("start any token", "node content", "mapping keys")):
        message = _beginning(source, at)
    elif "sequence entries" in problem:
        message = LIST_BEHIND
    elif "mapping values" in problem:
        mark, message = _stray_colon(source, line, at)
    elif "expected ':'" in problem:
        mark, message = _missing_colon(source.row(since.line), since)
    return Fault(source.place(mark.line, mark.column), "", message)


# The value of a line, or its beginning, is a bracket. Nothing in here can be matched in two ways.
_BRACKET = re.compile(r""" *+(?:- ++)*+(?:[^-\[{"'#: ][^"'#:]*+: ++)?([\[{](?!\]))""")


def _beginning(source: Source, mark: Any) -> str:
    """What to say of a text whose first sign has a meaning of its own."""
    return BEGINNINGS.get(source.row(mark.line)[mark.column : mark.column + 1], UNREADABLE)


# An entry whose dash touches the name of its first field.
_TIGHT_DASH = re.compile(r" *(-)[A-Za-z][^:]*:( |$)")


def _stray_colon(source: Source, line: str, at: Any) -> tuple[Any, str]:
    """A colon that could only stand behind the name of a field, where no field can begin."""
    before = line[: at.column]
    if ": " in before or before.lstrip().startswith("- "):
        return at, COLON
    if len(before) > LONGEST_NAME:
        return Mark(at.line, indent_of(before)), LONG_NAME
    above = next((n for n in range(at.line - 1, -1, -1) if source.lines[n].strip()), at.line)
    if above < at.line and indent_of(source.lines[above]) == indent_of(before):
        return _missing_colon(source.lines[above], Mark(above, indent_of(before)))
    if tight := _TIGHT_DASH.match(source.lines[above]):
        return Mark(above, tight.start(1)), TIGHT_DASH
    return Mark(at.line, indent_of(before)), FIELD_IN_TEXT


def _missing_colon(line: str, since: Any) -> tuple[Any, str]:
    """A line among fields that is none."""
    if line[since.column : since.column + 1] in {"'", '"'}:
        return since, NO_NAME
    if cut := re.compile("(?<=[^ ]) #").search(line, since.column):
        return Mark(since.line, cut.start() + 1), CUT
    if colon := re.compile(":([^ ])").search(line, since.column):
        if is_odd_space(colon[1]):
            return Mark(since.line, colon.start(1)), odd_space_told(colon[1])
        return Mark(since.line, colon.start()), TIGHT_COLON
    return since, NO_FIELD


def _misfit(source: Source, run: Run, line: str, at: Any) -> tuple[Any, str]:
    """Something complete in itself that belongs to nothing above it."""
    written = [event for event in scalars(run) if event.value or event.style]
    last: Event = written[-1] if written else None
    style = style_of(last) if written else ""
    if line.startswith(":", at.column):
        return at, NO_NAME
    if line.startswith(("&", "*", "!"), at.column):
        return at, _beginning(source, at)
    if line[: at.column].strip():
        if style == "quoted" and last.end_mark.line == at.line:
            return at, f"the quote opened in line {last.start_mark.line + 1} is closed before this: {DOUBLE}"
        return at, NOTHING_MORE
    if style == "plain" and last.start_mark.column == at.column == indent_of(source.lines[last.start_mark.line]):
        return _missing_colon(source.lines[last.start_mark.line], last.start_mark)
    for number in range(last.end_mark.line if written else 0, at.line):
        if source.lines[number].startswith("%"):
            return Mark(number, 0), BEGINNINGS["%"]
        if source.lines[number].lstrip().startswith("#") and not _begins_something(line):
            return at, COMMENT_INSIDE
    return at, _wrong_column(source, written, line, at)


def _wrong_column(source: Source, written: list[Event], line: str, at: Any) -> str:
    """Why a line cannot begin in the column where it does; written: the texts above."""
    columns = _columns_above(source, written, at.line)
    if at.column in columns:
        if line.startswith("-", at.column):
            return ENTRY_AMONG_FIELDS
        return FIELD_AMONG_ENTRIES if _begins_something(line) else NO_FIELD
    begins = f"this line begins with {at.column} space{'s' * (at.column != 1)}"
    fitting = _either(sorted(columns))
    if written and style_of(written[-1]) in {"folded", "literal"}:
        body = range(written[-1].start_mark.line + 1, written[-1].end_mark.line)
        if indent := block_indent(source.lines, body):
            return f"{begins}: {indent} would continue the text above, {fitting} would begin something new"
        return BLANK_IN_BLOCK
    return f"{begins} and fits nothing above it: {fitting} would"


def _begins_something(line: str) -> bool:
    """Whether a line looks like a field or an entry rather than like more of a text."""
    return line.lstrip().startswith("- ") or re.search(":( |$)", line) is not None


def _columns_above(source: Source, written: list[Event], line: int) -> set[int]:
    """Columns in which the fields and lists begin that are still open above a line."""
    inside = {
        number
        for event in written
        for number in range(event.start_mark.line + 1, event.end_mark.line + (event.end_mark.column > 0))
    }
    columns: set[int] = set()
    bound = LONGEST_LINE
    for number in range(line - 1, -1, -1):
        row = source.lines[number]
        if number in inside or not row.strip() or row.lstrip().startswith("#"):
            continue
        opened = [indent_of(row)]
        while dash := re.compile("- +").match(row, opened[-1]):
            opened.append(dash.end())
        columns.update(column for column in opened if column < bound)
        bound = min(bound, opened[0])
        if not bound:
            break
    return columns


def _either(numbers: list[int]) -> str:
    *others, last = map(str, numbers or [0])
    return f"{', '.join(others)} or {last}" if others else last
