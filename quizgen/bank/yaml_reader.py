"""The one reader of bank files: a small, strict part of YAML in which every scalar is text.

Fields (name: text), lists (- entry), texts (bare, between quotes, under > or |) and comments;
nothing else. What an author writes comes out with its place and is never interpreted here: 0.10 stays
0.10 and No stays a word. PyYAML is used up to its events only, so an alias is refused before anything
could be expanded, and every error it raises is told again in words for somebody who never heard of YAML.
"""

import re
import stat
import unicodedata
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, TypeAlias

import yaml

from quizgen.bank.faults import Fault, Place, quoted

LARGEST_FILE = 1_000_000
"""Bytes."""

LONGEST_LINE = 20_000
"""Characters."""

LONGEST_NAME = 1_000
"""Characters of a field's name; YAML looks no further than 1024 for its colon."""

DEEPEST = 12
"""Fields and lists within each other; the fields of the file itself count as 1."""

LISTED = 20
"""Faults of one kind told one by one; the rest of that kind are counted."""


# -- what comes out ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Source:
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
    _source: _Source | None = field(default=None, repr=False, compare=False)
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


def _plain_runs(
    lines: tuple[str, ...], line: int, column: int, end: tuple[int, int]
) -> Iterator[tuple[int, int, int]]:
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
        yield offset, number, _indent(row)
        offset += len(words)
        blanks = 0


def _quoted_runs(
    lines: tuple[str, ...], line: int, column: int, end: tuple[int, int]
) -> Iterator[tuple[int, int, int]]:
    quote = lines[line][column]
    offset, column = 0, column + 1
    yield offset, line, column
    while (line, column) < (end[0], end[1] - 1):
        row = lines[line]
        folded = line < end[0] and column >= len(row.rstrip(" \t"))
        joined = quote == '"' and row[column:] == "\\" and line < end[0]
        if folded or joined:
            following = next(n for n in range(line + 1, end[0] + 1) if n == end[0] or lines[n].strip(" \t"))
            blanks = following - line - 1
            offset += blanks if joined else blanks or 1
            line, column = following, _indent(lines[following])
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
    indent = _block_indent(lines, body)
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


def _block_indent(lines: tuple[str, ...], body: range) -> int:
    """Spaces that stand before each line of a text under > or |."""
    return next((_indent(lines[number]) for number in body if lines[number].strip(" ")), 0)


def _indent(row: str) -> int:
    return len(row) - len(row.lstrip(" \t"))


# -- reading ----------------------------------------------------------------------------------------


def read_file(path: Path, shown: str) -> tuple[Mapping | None, list[Fault]]:
    """The fields of a bank file and everything that is wrong in it, sorted by place.

    shown: the path for messages. Mapping is None where the shape of the file cannot be trusted;
    beside a mapping there may still be faults, and then a value may not be what its author meant.
    Raises nothing, whatever the file holds; a missing or unreadable file is a fault too.
    """
    top = Place(shown, 1, 1)
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            return None, [Fault(top, "", "this is a folder; a bank file was expected")]
        if not stat.S_ISREG(status.st_mode):  # reading a pipe or a device might never end
            return None, [Fault(top, "", "this is no ordinary file; a bank file was expected")]
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = getattr(error, "strerror", None) or "no such name can exist"
        return None, [Fault(top, "", f"the file cannot be read ({reason}): check its name and rights")]
    if len(data) > LARGEST_FILE:
        return None, [_too_large(top)]
    text, faults = _decode(data, shown)
    return (None, faults) if text is None else read_text(text, shown)


def read_text(text: str, shown: str) -> tuple[Mapping | None, list[Fault]]:
    """As read_file, for the text of a file."""
    if len(text) > LARGEST_FILE or len(text.encode("utf-8", "surrogatepass")) > LARGEST_FILE:
        return None, [_too_large(Place(shown, 1, 1))]
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    source = _Source(shown, tuple(text.split("\n")))
    long = [number for number, line in enumerate(source.lines) if len(line) > LONGEST_LINE]
    if long:
        message = f"the line is longer than {LONGEST_LINE} characters: break it, under > if it is a text"
        return None, _few([Fault(source.place(number, LONGEST_LINE), "", message) for number in long])
    damaged, hidden = _symbol_faults(source, text)
    if damaged:
        return None, sorted(damaged + hidden)
    # The loader in Python is the reference; the one in C, far faster, serves where it finds no fault.
    mapping, faults = _read(source, text, _FAST) if _FAST is not None else (None, [])
    if mapping is None or faults:
        mapping, faults = _read(source, text, yaml.SafeLoader)
    return mapping, sorted(hidden + faults)


def _too_large(place: Place) -> Fault:
    return Fault(place, "", f"the file is larger than {LARGEST_FILE // 1_000_000} MB: split it into several")


_BYTE_MARKS = {
    b"\xff\xfe\0\0": "UTF-32",  # before UTF-16, whose mark it begins with
    b"\0\0\xfe\xff": "UTF-32",
    b"\xff\xfe": "UTF-16",
    b"\xfe\xff": "UTF-16",
}


def _decode(data: bytes, shown: str) -> tuple[str | None, list[Fault]]:
    for mark, name in _BYTE_MARKS.items():
        if data.startswith(mark):
            message = f"the file is saved as {name}: save it as UTF-8"
            return None, [Fault(Place(shown, 1, 1), "", message)]
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8").removeprefix("\ufeff")
        place = Place(shown, before.count("\n") + 1, len(before.rpartition("\n")[2]) + 1)
        message = f"byte 0x{data[error.start]:02X} is no UTF-8: save the file as UTF-8"
        return None, [Fault(place, "", message)]


def _few(faults: list[Fault]) -> list[Fault]:
    """The first of many faults of one kind, and how many more there are."""
    if len(faults) <= LISTED + 1:
        return faults
    following = faults[LISTED]
    count = len(faults) - LISTED
    message = f"{following.message} ({count - 1} more like this, the last in line {faults[-1].place.line})"
    return [*faults[:LISTED], Fault(following.place, "", message)]


# -- symbols that no bank file holds ----------------------------------------------------------------

# what YAML cannot carry, and line ends that editors do not show as such
_DAMAGE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufdd0-\ufdef"
    + "".join(f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0, 0x110000, 0x10000))
    + "]"
)
# What makes a text other than it looks. U+200C and U+200D stay: whole scripts are spelt with them.
_HIDDEN = re.compile(
    "[\u061c\u180e\u200b\u200e\u200f\u202a-\u202e\u2060-\u2064\u2066-\u206f\ufeff\ufff9-\ufffb"
    "\U000e0000-\U000e007f]"
)
_NAMES = {
    0x200B: "zero-width space",
    0x200E: "left-to-right mark",
    0x200F: "right-to-left mark",
    0x2028: "line separator",
    0x2029: "paragraph separator",
    0xFEFF: "byte order mark",
} | dict.fromkeys((0x61C, *range(0x202A, 0x202F), *range(0x2066, 0x206A)), "text direction control")


def _symbol_faults(source: _Source, text: str) -> tuple[list[Fault], list[Fault]]:
    """Damage, after which the file is read no further, and hidden symbols; one fault for each line."""
    found = []
    for pattern in (_DAMAGE, _HIDDEN):
        faults = []
        if pattern.search(text):
            for number, line in enumerate(source.lines):
                if match := pattern.search(line):
                    faults.append(Fault(source.place(number, match.start()), "", _unwanted(match[0])))
        found.append(_few(faults))
    return found[0], found[1]


def _unwanted(symbol: str) -> str:
    point = ord(symbol)
    if symbol == "\0":
        return "NUL (U+0000) stands here: save the file as UTF-8 text"
    if symbol == "\r":
        return "a carriage return (U+000D) without line feed stands here: save with line ends LF or CRLF"
    if unicodedata.category(symbol) in {"Cs", "Cn"}:
        return f"U+{point:04X} is no character: delete it"
    name = _NAMES.get(point, "control character" if point < 0xA0 else "invisible character")
    return f"U+{point:04X} ({name}) stands here and cannot be seen: delete it"


def _odd_space(symbol: str) -> bool:
    return symbol.isspace() and symbol not in " \t\n"


def _odd_space_told(symbol: str) -> str:
    return f"U+{ord(symbol):04X} stands here and looks like a space: use an ordinary one"


# -- events -----------------------------------------------------------------------------------------

Event: TypeAlias = Any  # PyYAML's, and its marks too: the type stubs leave them open

_FAST: Any = getattr(yaml, "CSafeLoader", None)


@dataclass(frozen=True, slots=True)
class _Run:
    """What the parser told of a text, up to its end, its first error or the first thing refused."""

    events: list[Event]
    error: yaml.MarkedYAMLError | None


@dataclass(frozen=True, slots=True)
class _Mark:
    """Line and column counted from 0, as PyYAML's marks have them."""

    line: int
    column: int


def _run(text: str, loader_class: Any) -> _Run:
    """The events of a text, as far as they are of use."""
    events: list[Event] = []
    depth = documents = 0
    loader = loader_class(text)
    try:
        # what lies too deep or in a second document is refused, so nothing of it is parsed
        while depth <= DEEPEST and documents < 2 and loader.check_event():
            event = loader.get_event()
            events.append(event)
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            documents += isinstance(event, yaml.DocumentStartEvent)
    except yaml.MarkedYAMLError as error:
        return _Run(events, error)
    except (ValueError, OverflowError):  # the loader in Python on an escape like "\UFFFFFFFF"
        mark = loader.get_mark()
        return _Run(events, yaml.MarkedYAMLError("while scanning a quoted scalar", mark, "escape", mark))
    finally:
        loader.dispose()
    return _Run(events, None)


def _scalars(run: _Run) -> list[Event]:
    return [event for event in run.events if isinstance(event, yaml.ScalarEvent)]


_STYLES = {"'": "quoted", '"': "quoted", ">": "folded", "|": "literal"}


def _style(event: Event) -> str:
    return _STYLES.get(event.style, "plain")


def _told_until(run: _Run, text: str) -> int:
    """Index up to which it is known what is text, what is quoted and what is a comment."""
    if run.error is None:
        last = run.events[-1]
        return len(text) if isinstance(last, yaml.StreamEndEvent) else int(last.end_mark.index)
    mark: Any = run.error.context_mark if "quoted" in (run.error.context or "") else None
    return int(mark.index) if mark else _line_end(text, run.error.problem_mark)


def _line_end(text: str, mark: Any) -> int:
    end = text.find("\n", mark.index)
    return len(text) if end < 0 else end


# -- the whole file ---------------------------------------------------------------------------------


def _read(source: _Source, text: str, loader_class: Any) -> tuple[Mapping | None, list[Fault]]:
    # The loaders differ on a last line without end, and on the column behind U+FEFF (which is refused).
    text = text.replace("\ufeff", "\ufffd") + "\n"
    # a tab is refused, but read as a space it does not hide what is behind it
    run = _run(text.replace("\t", " "), loader_class)
    if run.error is not None and loader_class is _FAST:
        return None, []  # its errors have other words and places
    tabs: list[Fault] = []
    indented = False
    if "\t" in text:
        kept = _without_tabs(text, run)
        tabs, indented = _tab_faults(source, text, kept)
        if run.error is None and "\t" in kept:
            run = _run(kept, loader_class)
        text = kept
    comments = _comment_faults(source, text, run)
    reading = _Reading(source, iter(run.events))
    try:
        mapping = _document(reading)
    except _Torn:
        mapping = None
    faults = tabs + _few(comments) + reading.faults
    consequence = indented or reading.in_brackets or _follows_a_cut(source, comments, run)
    if run.error is not None and not consequence:
        fault = _explain(source, run, run.error)
        if all(fault.place != other.place for other in faults):
            faults.append(fault)
    return mapping if reading.whole and not indented else None, faults


def _without_tabs(text: str, run: _Run) -> str:
    """The text with every tab that is known to stand outside a quoted text turned into a space."""
    pieces = []
    done = 0
    for event in _scalars(run):
        start, end = event.start_mark.index, event.end_mark.index
        if _style(event) == "quoted" and "\t" in text[start:end]:
            pieces += [text[done:start].replace("\t", " "), text[start:end]]
            done = end
    until = max(done, _told_until(run, text))
    return "".join([*pieces, text[done:until].replace("\t", " "), text[until:]])


def _tab_faults(source: _Source, text: str, kept: str) -> tuple[list[Fault], bool]:
    """The first refused tab of each line, and whether one of them stands before the line's first word."""
    faults = []
    indented = False
    for number, (line, row) in enumerate(zip(text.split("\n"), kept.split("\n"), strict=True)):
        if line != row:
            column = next(column for column, symbol in enumerate(line) if symbol != row[column])
            faults.append(Fault(source.place(number, column), "", "a tab stands here: use spaces instead"))
            indented |= column < _indent(line) < len(line)
    return _few(faults), indented


def _comment_faults(source: _Source, text: str, run: _Run) -> list[Fault]:
    """Comments that may be the rest of a text: what YAML takes for a comment is silently gone."""
    if "#" not in text:
        return []
    gaps = []
    done = 0
    for event in _scalars(run):
        gaps.append((done, event.start_mark.index))
        if _style(event) in {"folded", "literal"}:  # behind > or | there may be a comment
            gaps.append((event.start_mark.index, _line_end(text, event.start_mark)))
        done = event.end_mark.index
    gaps.append((done, _told_until(run, text)))
    starts = [0, *(match.end() for match in re.finditer("\n", text))]
    faults = []
    for start, end in gaps:
        while (start := text.find("#", start, end)) >= 0:
            line = bisect_right(starts, start) - 1
            before = text[starts[line] : start]
            # behind a tab it is told as a tab; behind a letter it is no comment
            if (
                before.strip()
                and not before.endswith("  ")
                and source.lines[line][len(before) - 1] in " \"']"
            ):
                message = _CUT if before.endswith(" ") else _GLUED
                faults.append(Fault(source.place(line, len(before)), "", message))
            start = starts[line + 1]
    return faults


def _follows_a_cut(source: _Source, comments: list[Fault], run: _Run) -> bool:
    """Whether an error stands where the rest of a text would be that was cut at #."""
    scalars = _scalars(run)
    if not comments or not scalars:
        return False
    end = scalars[-1].end_mark
    return source.place(end.line, end.column) <= comments[-1].place


# -- from events to nodes ---------------------------------------------------------------------------


class _Torn(Exception):
    """The events end before the file does."""


@dataclass(slots=True)
class _Reading:
    """One file while it is built from its events."""

    source: _Source
    events: Iterator[Event]
    faults: list[Fault] = field(default_factory=list)
    whole: bool = True
    """Nothing was left out, so what is built has the shape of what was written."""
    in_brackets: bool = False

    def take(self) -> Event:
        for event in self.events:
            return event
        self.whole = False
        raise _Torn

    def place(self, mark: Any) -> Place:
        """Where an event begins, which is always inside the file."""
        return Place(self.source.shown, mark.line + 1, mark.column + 1)

    def fault(self, mark: Any, message: str) -> None:
        self.faults.append(Fault(self.source.place(mark.line, mark.column), "", message))

    def refuse(self, mark: Any, message: str) -> None:
        """A fault that leaves a hole."""
        self.fault(mark, message)
        self.whole = False


def _document(reading: _Reading) -> Mapping | None:
    reading.take()
    opening = reading.take()
    if isinstance(opening, yaml.StreamEndEvent):
        reading.refuse(_Mark(0, 0), _EMPTY)
        return None
    for number in range(opening.end_mark.line if opening.explicit else 0):
        if reading.source.lines[number].startswith("%"):
            reading.refuse(_Mark(number, 0), "a line that begins with % has no meaning here: delete it")
    first = reading.take()
    node = _node(reading, first, 1)
    reading.take()
    closing = reading.take()
    if not isinstance(node, Mapping) and reading.whole:
        reading.refuse(first.start_mark, _NO_FIELDS)
    if isinstance(closing, yaml.DocumentStartEvent):
        reading.refuse(closing.start_mark, _SECOND)
    return node if isinstance(node, Mapping) else None


def _node(reading: _Reading, event: Event, depth: int) -> Node:
    """The node that an event begins; depth: of the listing or mapping it would be."""
    if isinstance(event, yaml.AliasEvent):
        reading.refuse(event.start_mark, _BEGINNINGS["*"])
        return Text("", reading.place(event.start_mark), "plain")
    _refuse_marks(reading, event)
    if isinstance(event, yaml.ScalarEvent):
        return _scalar(reading, event)
    if depth > DEEPEST:
        reading.refuse(event.start_mark, _TOO_DEEP)
        raise _Torn
    if event.flow_style:
        return _brackets(reading, event)
    if isinstance(event, yaml.SequenceStartEvent):
        return _listing(reading, event, depth)
    return _mapping(reading, event, depth)


def _refuse_marks(reading: _Reading, event: Event) -> None:
    if event.anchor is not None or event.tag is not None:
        reading.fault(event.start_mark, _BEGINNINGS["!" if event.anchor is None else "&"])


def _text(reading: _Reading, event: Event, value: str) -> Text:
    end = (event.end_mark.line, event.end_mark.column)
    return Text(value, reading.place(event.start_mark), _style(event), reading.source, end)


def _scalar(reading: _Reading, event: Event) -> Text:
    text = _text(reading, event, event.value)
    if text.style == "plain":
        _check_bare(reading, event)
    elif text.style == "quoted":
        _check_escapes(reading, text)
    elif not _SIGN.match(reading.source.row(event.start_mark.line), event.start_mark.column):
        reading.refuse(event.start_mark, _BESIDE_SIGN)
    return text


# > or |, how its last line ends, a comment; but no number of spaces, which the first line tells
_SIGN = re.compile("[>|][+-]?[ \t]*(?:$|(?<=[ \t])#)")


def _check_bare(reading: _Reading, event: Event) -> None:
    """A text that may be no text: one that begins with an odd space, or runs on over entries of a list."""
    if _odd_space(event.value[:1]):
        reading.fault(event.start_mark, _odd_space_told(event.value[0]))
    for number in range(event.start_mark.line + 1, event.end_mark.line + 1):
        row = reading.source.row(number)
        if row.lstrip(" \t").startswith("- "):
            reading.fault(_Mark(number, _indent(row)), _DASH_INSIDE)


def _check_escapes(reading: _Reading, text: Text) -> None:
    """Escapes like \\0 or \\u202E make what the file itself must not hold; the first of each text is told."""
    for pattern in (_DAMAGE, _HIDDEN):
        for match in islice(pattern.finditer(text.value), LISTED):
            place = text.at(match.start())
            if reading.source.row(place.line - 1).startswith("\\", place.column - 1):
                message = f"this escape makes U+{ord(match[0]):04X}, which no text may hold: delete it"
                reading.faults.append(Fault(place, "", message))
                break


def _brackets(reading: _Reading, event: Event) -> Listing:
    """[], which is an empty list; all else in brackets is refused and skipped."""
    start = event.start_mark
    listing = isinstance(event, yaml.SequenceStartEvent)
    if not listing or not reading.source.lines[start.line].startswith("[]", start.column):
        reading.refuse(start, _BEGINNINGS["[" if listing else "{"])
    reading.in_brackets = True
    depth = 1
    while depth:
        inner = reading.take()
        depth += isinstance(inner, yaml.CollectionStartEvent) - isinstance(inner, yaml.CollectionEndEvent)
    reading.in_brackets = False
    return Listing((), reading.place(start))


def _listing(reading: _Reading, event: Event, depth: int) -> Listing:
    items = []
    while not isinstance(item := reading.take(), yaml.SequenceEndEvent):
        items.append(_node(reading, item, depth + 1))
    return Listing(tuple(items), reading.place(event.start_mark))


def _mapping(reading: _Reading, event: Event, depth: int) -> Mapping:
    pairs: dict[str, tuple[Text, Node]] = {}
    while not isinstance(name := reading.take(), yaml.MappingEndEvent):
        key = _key(reading, name, depth)
        node = _node(reading, reading.take(), depth + 1)
        if key is None:
            continue
        if key.value in pairs:
            line = pairs[key.value][0].place.line
            reading.fault(
                name.start_mark, f"{quoted(key.value)} stands in line {line} already: keep one of the two"
            )
        else:
            pairs[key.value] = (key, node)
    return Mapping(tuple(pairs.values()), reading.place(event.start_mark))


def _key(reading: _Reading, event: Event, depth: int) -> Text | None:
    """The name of a field; None, with a fault, where nothing could serve as one."""
    if not isinstance(event, yaml.ScalarEvent):
        known = len(reading.faults)
        _node(reading, event, depth + 1)
        reading.whole = False
        if all(fault.place != reading.place(event.start_mark) for fault in reading.faults[known:]):
            reading.fault(event.start_mark, _NO_NAME)
        return None
    _refuse_marks(reading, event)
    key = _text(reading, event, event.value)
    start: Any = event.start_mark
    end: Any = event.end_mark
    behind = reading.source.row(end.line)[end.column :].lstrip(" \t")
    if start.line != end.line or not behind.startswith(":") or not key.value:
        reading.refuse(event.start_mark, _NO_NAME)
        return None
    if key.style != "plain":
        reading.fault(event.start_mark, "the name of a field stands without quotes: delete them")
    if key.value == "<<":
        reading.refuse(event.start_mark, "<< is no name here: write the fields out")
    for offset, symbol in enumerate(key.value) if not key.value.isascii() else ():
        if _odd_space(symbol) or (unicodedata.category(symbol) == "Cf" and not _HIDDEN.match(symbol)):
            message = (
                f"U+{ord(symbol):04X} cannot be told from a space or from nothing: delete it from the name"
            )
            reading.faults.append(Fault(key.at(offset), "", message))
    return key


# -- the parser's errors in our words ---------------------------------------------------------------


def _explain(source: _Source, run: _Run, error: yaml.MarkedYAMLError) -> Fault:
    """The fault behind an error of the loader in Python."""
    context = error.context or ""
    problem = error.problem or ""
    at: Any = error.problem_mark
    since: Any = error.context_mark or at
    line = source.row(at.line)
    mark: Any = at
    message = _UNREADABLE
    if "quoted" in context and "escape" in problem:
        mark, message = _Mark(at.line, line.rfind("\\", 0, at.column)), _NO_ESCAPE
    elif "quoted" in context:
        mark, message = since, _NOT_CLOSED
    elif "flow" in context:
        mark, message = since, _beginning(source, since)
    elif bracket := _BRACKET.match(line):
        mark = _Mark(at.line, bracket.start(1))
        message = _beginning(source, mark)
    elif "block scalar" in context:
        mark, message = since, _BESIDE_SIGN
    elif "handle" in problem or "YAML" in problem or re.search("directive|alias|anchor|tag", context):
        mark, message = since, _beginning(source, since)
    elif "<document " in problem and any(row.startswith("...") for row in source.lines[: at.line + 1]):
        message = _SECOND
    elif re.search("<block end>|<document start>|content, but found '[?:]'", problem):
        mark, message = _misfit(source, run, line, at)
    elif any(word in problem for word in ("start any token", "node content", "mapping keys")):
        message = _beginning(source, at)
    elif "sequence entries" in problem:
        message = _LIST_BEHIND
    elif "mapping values" in problem:
        mark, message = _stray_colon(source, line, at)
    elif "expected ':'" in problem:
        mark, message = _missing_colon(source.row(since.line), since)
    return Fault(source.place(mark.line, mark.column), "", message)


# The value of a line, or its beginning, is a bracket. Nothing in here can be matched in two ways.
_BRACKET = re.compile(r""" *+(?:- ++)*+(?:[^-\[{"'#: ][^"'#:]*+: ++)?([\[{](?!\]))""")


def _beginning(source: _Source, mark: Any) -> str:
    """What to say of a text whose first sign has a meaning of its own."""
    return _BEGINNINGS.get(source.row(mark.line)[mark.column : mark.column + 1], _UNREADABLE)


def _stray_colon(source: _Source, line: str, at: Any) -> tuple[Any, str]:
    """A colon that could only stand behind the name of a field, where no field can begin."""
    before = line[: at.column]
    if ": " in before or before.lstrip().startswith("- "):
        return at, _COLON
    if len(before) > LONGEST_NAME:
        return _Mark(at.line, _indent(before)), _LONG_NAME
    above = next((n for n in range(at.line - 1, -1, -1) if source.lines[n].strip()), at.line)
    if above < at.line and _indent(source.lines[above]) == _indent(before):
        return _missing_colon(source.lines[above], _Mark(above, _indent(before)))
    return _Mark(at.line, _indent(before)), _FIELD_IN_TEXT


def _missing_colon(line: str, since: Any) -> tuple[Any, str]:
    """A line among fields that is none."""
    if line[since.column : since.column + 1] in {"'", '"'}:
        return since, _NO_NAME
    if cut := re.compile("(?<=[^ ]) #").search(line, since.column):
        return _Mark(since.line, cut.start() + 1), _CUT
    if colon := re.compile(":([^ ])").search(line, since.column):
        if _odd_space(colon[1]):
            return _Mark(since.line, colon.start(1)), _odd_space_told(colon[1])
        return _Mark(since.line, colon.start()), _TIGHT_COLON
    return since, _NO_FIELD


def _misfit(source: _Source, run: _Run, line: str, at: Any) -> tuple[Any, str]:
    """Something complete in itself that belongs to nothing above it."""
    written = [event for event in _scalars(run) if event.value or event.style]
    last: Event = written[-1] if written else None
    style = _style(last) if written else ""
    if line.startswith(":", at.column):
        return at, _NO_NAME
    if line.startswith(("&", "*", "!"), at.column):
        return at, _beginning(source, at)
    if line[: at.column].strip():
        if style == "quoted" and last.end_mark.line == at.line:
            return at, f"the quote opened in line {last.start_mark.line + 1} is closed before this: {_DOUBLE}"
        return at, _NOTHING_MORE
    if style == "plain" and last.start_mark.column == at.column == _indent(
        source.lines[last.start_mark.line]
    ):
        return _missing_colon(source.lines[last.start_mark.line], last.start_mark)
    for number in range(last.end_mark.line if written else 0, at.line):
        if source.lines[number].startswith("%"):
            return _Mark(number, 0), _BEGINNINGS["%"]
        if source.lines[number].lstrip().startswith("#") and not _begins_something(line):
            return at, _COMMENT_INSIDE
    return at, _wrong_column(source, written, line, at)


def _wrong_column(source: _Source, written: list[Event], line: str, at: Any) -> str:
    """Why a line cannot begin in the column where it does; written: the texts above."""
    columns = _columns_above(source, written, at.line)
    if at.column in columns:
        if line.startswith("-", at.column):
            return _ENTRY_AMONG_FIELDS
        return _FIELD_AMONG_ENTRIES if _begins_something(line) else _NO_FIELD
    begins = f"this line begins with {at.column} space{'s' * (at.column != 1)}"
    fitting = _either(sorted(columns))
    if written and _style(written[-1]) in {"folded", "literal"}:
        body = range(written[-1].start_mark.line + 1, written[-1].end_mark.line)
        if indent := _block_indent(source.lines, body):
            return f"{begins}: {indent} would continue the text above, {fitting} would begin something new"
        return _BLANK_IN_BLOCK
    return f"{begins} and fits nothing above it: {fitting} would"


def _begins_something(line: str) -> bool:
    """Whether a line looks like a field or an entry rather than like more of a text."""
    return line.lstrip().startswith("- ") or re.search(":( |$)", line) is not None


def _columns_above(source: _Source, written: list[Event], line: int) -> set[int]:
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
        opened = [_indent(row)]
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


_CURE = "put the text on the next lines under >, or between quotes"
_BEGINNINGS = {mark: f"a text cannot begin with {mark} here: {_CURE}" for mark in "&*!@`%?|>,]}"} | {
    "[": f"square brackets are used for the empty list [] only: write each entry on its own line after a "
    f"dash; if this is a text, {_CURE}",
    "{": f"curly brackets are not used here: write each field on its own line; if this is a text, {_CURE}",
}
_BESIDE_SIGN = (
    "the text under > or | begins on the next line, and nothing stands beside the sign: move it there; "
    "a text that begins with > or | stands between quotes"
)
_COLON = f'a colon before a space or a line end cannot stand in a text without quotes (": "): {_CURE}'
_BLANK_IN_BLOCK = (
    "a blank line above, under > or |, holds more spaces than this line begins with: delete those spaces"
)
_COMMENT_INSIDE = "a comment stands inside a text: move it above or below, or put the text under > without it"
_DASH_INSIDE = (
    "this line only continues the text above: begin an entry in the column of the dash before it, and a "
    "list on the line below its field; if it is text, put all of it on the next lines under >"
)
_CUT = "the text stops at #: put the text on the next lines under >, or leave two spaces before a comment"
_DOUBLE = "put the whole text under >, or write the quote inside it twice ('it''s')"
_EMPTY = "the file is empty: fields (name: text) were expected"
_ENTRY_AMONG_FIELDS = (
    "an entry of a list (- …) stands among fields: give it a field of its own, or delete the dash"
)
_FIELD_AMONG_ENTRIES = (
    "a field (name: …) stands among the entries of a list: begin it with a dash, or give it the spaces of "
    "the field it stands beside"
)
_FIELD_IN_TEXT = (
    "a field begins inside the text above: give this line the spaces of the field it stands beside; if it "
    f"is text (with a colon), {_CURE}"
)
_GLUED = "a comment begins right behind the text: leave two spaces before #"
_LIST_BEHIND = (
    "a list begins on the line below its field: move it there; if this is a text that begins with a dash, "
    f"{_CURE}"
)
_LONG_NAME = f"the name of a field is longer than {LONGEST_NAME} characters: make it shorter"
_NO_ESCAPE = (
    "no escape that is known here: write \\\\ for a backslash between double quotes, or use single quotes"
)
_NO_FIELD = (
    "a field (name: text) was expected: add its colon, or give the line more spaces if it continues the "
    "text above"
)
_NO_FIELDS = "the file must begin with a field (name: text): check the colon and the space behind it"
_NO_NAME = "the name of a field is bare text on one line, with its colon behind it: write name: text"
_NOT_CLOSED = "the quote opened here is never closed: close it, or put the text on the next lines under >"
_NOTHING_MORE = (
    "nothing more was expected on this line: begin a field or an entry on a line of its own; if this is "
    f"text, {_CURE}"
)
_SECOND = "the file ends before this --- or ...: delete that line, or put what follows into a file of its own"
_TIGHT_COLON = "a field needs a space behind its colon: write name: text"
_TOO_DEEP = f"more than {DEEPEST} fields and lists lie within each other: write it flatter"
_UNREADABLE = "this cannot be read: check the spaces at the start of the line, its quotes and its colons"
