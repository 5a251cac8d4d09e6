"""What comes out of a bank file: texts, lists and fields, each with its place.

Text.at() leads from a character of a value back to the character of the file it was read from.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

from quizgen.bank.faults import Place


@dataclass(frozen=True, slots=True)
class Source:
    """The lines of one file, without their ends."""

    shown: str
    lines: tuple[str, ...]

    def row(self, line: int) -> str:
        """A line counted from 0; empty outside the file, where the marks of its end are."""
        return self.lines[line] if line < len(self.lines) else ""

    def place(self, line: int, column: int) -> Place:
        """From a line and column counted from 0; what lies outside the file is moved to its edge."""
        line = min(max(line, 0), len(self.lines) - 1)
        return Place(self.shown, line + 1, min(max(column, 0), len(self.lines[line])) + 1)


@dataclass(frozen=True, slots=True)
class Text:
    """A scalar: what the author wrote, as text. A missing value is the empty text."""

    value: str
    place: Place
    """First character of a bare text; the opening quote; the > or | above a block."""
    style: str
    """"plain", "quoted", "folded" (under >) or "literal" (under |)."""
    _source: Source | None = field(default=None, repr=False, compare=False)
    _end: tuple[int, int] = field(default=(0, 0), repr=False, compare=False)

    def at(self, offset: int) -> Place:
        """Place of the character that value[offset] was read from; never raises.

        For an escape it is the backslash; for a space or line break made by folding, the end of the
        line it was made from. Offsets outside the value give the nearest place inside.
        """
        if self._source is None:
            return self.place
        offset = min(max(offset, 0), len(self.value))
        runs = tuple(_runs(self, self._source.lines))
        start, line, column = runs[max(bisect_right(runs, offset, key=lambda run: run[0]) - 1, 0)]
        return self._source.place(line, column + offset - start)


@dataclass(frozen=True, slots=True)
class Listing:
    """A list, one entry after each "- "."""

    items: tuple["Node", ...]
    place: Place
    """Its first dash."""


@dataclass(frozen=True, slots=True)
class Mapping:
    """Fields in the order of the file; no name stands twice."""

    pairs: tuple[tuple[Text, "Node"], ...]
    place: Place
    """Its first field."""

    def get(self, key: str) -> "Node | None":
        return next((node for name, node in self.pairs if name.value == key), None)

    def keys(self) -> tuple[str, ...]:
        return tuple(name.value for name, _ in self.pairs)


Node: TypeAlias = Text | Listing | Mapping


# -- from an offset in a value to its place -----------------------------------------------------------


def _runs(text: Text, lines: tuple[str, ...]) -> Iterator[tuple[int, int, int]]:
    """Stretches of a value that stand in one piece in the file: offset, line and column from 0."""
    line, column = text.place.line - 1, text.place.column - 1
    if text.style == "plain":
        return _plain_runs(lines, line, column, text._end)
    if text.style == "quoted":
        return _quoted_runs(lines, line, column, text._end)
    body = range(line + 1, text._end[0] + (text._end[1] > 0))
    return _block_runs(lines, body, text)


def _plain_runs(lines: tuple[str, ...], line: int, column: int, end: tuple[int, int]) -> Iterator[tuple[int, int, int]]:
    yield 0, line, column
    offset = len(lines[line][column:].rstrip(" \t"))
    blanks = 0
    for number in range(line + 1, end[0] + 1):
        row = lines[number] if number < end[0] else lines[number][: end[1]]
        words = row.strip(" \t")
        if not words:
            blanks += 1
            continue
        offset += blanks or 1  # one line break is a space, the others are kept
        yield offset, number, indent_of(row)
        offset += len(words)
        blanks = 0


def _quoted_runs(
    lines: tuple[str, ...], line: int, column: int, end: tuple[int, int]
) -> Iterator[tuple[int, int, int]]:
    quote = lines[line][column]
    offset, column = 0, column + 1
    yield offset, line, column
    row = lines[line]
    words = len(row.rstrip(" \t"))  # once a line: a line may be long, and this passes by each character
    while (line, column) < (end[0], end[1] - 1):
        folded = line < end[0] and column >= words
        joined = quote == '"' and column == len(row) - 1 and row[column] == "\\" and line < end[0]
        if folded or joined:
            following = next(n for n in range(line + 1, end[0] + 1) if n == end[0] or lines[n].strip(" \t"))
            blanks = following - line - 1
            offset += blanks if joined else blanks or 1
            row = lines[following]
            line, column, words = following, indent_of(row), len(row.rstrip(" \t"))
        else:
            width = 1
            if quote == '"' and row[column] == "\\":
                width = 2 + {"x": 2, "u": 4, "U": 8}.get(row[column + 1 : column + 2], 0)
            elif row.startswith("''", column) and quote == "'":
                width = 2
            offset, column = offset + 1, column + width
            if width == 1:
                continue
        yield offset, line, column


def _block_runs(lines: tuple[str, ...], body: range, text: Text) -> Iterator[tuple[int, int, int]]:
    yield 0, text.place.line - 1, text.place.column - 1
    indent = block_indent(lines, body)
    offset = 0
    for number in body:
        words = lines[number][indent:]
        if text.style == "literal":
            yield offset, number, indent
            offset += len(words) + 1
        elif words:
            # a fold is either one space or all the line breaks that are left of it
            breaks = re.compile("\n+| ?" if offset else "\n*").match(text.value, offset)
            offset = breaks.end() if breaks else offset
            yield offset, number, indent
            offset += len(words)


def block_indent(lines: tuple[str, ...], body: range) -> int:
    """Spaces that stand before each line of a text under > or |."""
    return next((indent_of(lines[number]) for number in body if lines[number].strip(" ")), 0)


def indent_of(row: str) -> int:
    return len(row) - len(row.lstrip(" \t"))
