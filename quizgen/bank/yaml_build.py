"""From the parser's events to nodes; what has no place in a bank file is refused on the way."""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

import yaml

from quizgen.bank.faults import Fault, Place, quoted
from quizgen.bank.yaml_events import Event, Mark, style_of
from quizgen.bank.yaml_limits import DEEPEST, LISTED
from quizgen.bank.yaml_nodes import Listing, Mapping, Node, Source, Text, indent_of
from quizgen.bank.yaml_symbols import DAMAGE, HIDDEN, is_odd_space, odd_space_told
from quizgen.bank.yaml_words import (
    BEGINNINGS,
    BESIDE_SIGN,
    DASH_INSIDE,
    EMPTY,
    NO_FIELDS,
    NO_NAME,
    SECOND,
    TOO_DEEP,
)


class Torn(Exception):
    """The events end before the file does."""


@dataclass(slots=True)
class Reading:
    """One file while it is built from its events."""

    source: Source
    events: Iterator[Event]
    faults: list[Fault] = field(default_factory=list)
    whole: bool = True
    """Nothing was left out, so what is built has the shape of what was written."""
    in_brackets: bool = False

    def take(self) -> Event:
        for event in self.events:
            return event
        self.whole = False
        raise Torn

    def place(self, mark: Any) -> Place:
        """Where an event begins, which is always inside the file."""
        return Place(self.source.shown, mark.line + 1, mark.column + 1)

    def fault(self, mark: Any, message: str) -> None:
        self.faults.append(Fault(self.source.place(mark.line, mark.column), "", message))

    def refuse(self, mark: Any, message: str) -> None:
        """A fault that leaves a hole."""
        self.fault(mark, message)
        self.whole = False


def document(reading: Reading) -> Mapping | None:
    reading.take()
    opening = reading.take()
    if isinstance(opening, yaml.StreamEndEvent):
        reading.refuse(Mark(0, 0), EMPTY)
        return None
    for number in range(opening.end_mark.line if opening.explicit else 0):
        if reading.source.lines[number].startswith("%"):
            reading.refuse(Mark(number, 0), "a line that begins with % has no meaning here: delete it")
    first = reading.take()
    node = _node(reading, first, 1)
    reading.take()
    closing = reading.take()
    if not isinstance(node, Mapping) and reading.whole:
        reading.refuse(first.start_mark, NO_FIELDS)
    if isinstance(closing, yaml.DocumentStartEvent):
        reading.refuse(closing.start_mark, SECOND)
    return node if isinstance(node, Mapping) else None


def _node(reading: Reading, event: Event, depth: int) -> Node:
    """The node that an event begins; depth: of the listing or mapping it would be."""
    if isinstance(event, yaml.AliasEvent):
        reading.refuse(event.start_mark, BEGINNINGS["*"])
        return Text("", reading.place(event.start_mark), "plain")
    _refuse_marks(reading, event)
    if isinstance(event, yaml.ScalarEvent):
        return _scalar(reading, event)
    if depth > DEEPEST:
        reading.refuse(event.start_mark, TOO_DEEP)
        raise Torn
    if event.flow_style:
        return _brackets(reading, event)
    if isinstance(event, yaml.SequenceStartEvent):
        return _listing(reading, event, depth)
    return _mapping(reading, event, depth)


def _refuse_marks(reading: Reading, event: Event) -> None:
    if event.anchor is not None or event.tag is not None:
        reading.fault(event.start_mark, BEGINNINGS["!" if event.anchor is None else "&"])


def _text(reading: Reading, event: Event, value: str) -> Text:
    end = (event.end_mark.line, event.end_mark.column)
    return Text(value, reading.place(event.start_mark), style_of(event), reading.source, end)


def _scalar(reading: Reading, event: Event) -> Text:
    text = _text(reading, event, event.value)
    if text.style == "plain":
        _check_bare(reading, event)
    elif text.style == "quoted":
        _check_escapes(reading, text)
    elif not _SIGN.match(reading.source.row(event.start_mark.line), event.start_mark.column):
        reading.refuse(event.start_mark, BESIDE_SIGN)
    return text


# > or |, how its last line ends, a comment; but no number of spaces, which the first line tells
_SIGN = re.compile("[>|][+-]?[ \t]*(?:$|(?<=[ \t])#)")


def _check_bare(reading: Reading, event: Event) -> None:
    """A text that may be no text: one that begins with an odd space, or runs on over entries of a list."""
    if is_odd_space(event.value[:1]):
        reading.fault(event.start_mark, odd_space_told(event.value[0]))
    for number in range(event.start_mark.line + 1, event.end_mark.line + 1):
        row = reading.source.row(number)
        if row.lstrip(" \t").startswith("- "):
            reading.fault(Mark(number, indent_of(row)), DASH_INSIDE)


def _check_escapes(reading: Reading, text: Text) -> None:
    """Escapes like \\0 or \\u202E make what the file itself must not hold; the first of each text is told."""
    for pattern in (DAMAGE, HIDDEN):
        for match in islice(pattern.finditer(text.value), LISTED):
            place = text.at(match.start())
            if reading.source.row(place.line - 1).startswith("\\", place.column - 1):
                message = f"this escape makes U+{ord(match[0]):04X}, which no text may hold: delete it"
                reading.faults.append(Fault(place, "", message))
                break


def _brackets(reading: Reading, event: Event) -> Listing:
    """[], which is an empty list; all else in brackets is refused and skipped."""
    start = event.start_mark
    listing = isinstance(event, yaml.SequenceStartEvent)
    if not listing or not reading.source.lines[start.line].startswith("[]", start.column):
        reading.refuse(start, BEGINNINGS["[" if listing else "{"])
    reading.in_brackets = True
    depth = 1
    while depth:
        inner = reading.take()
        depth += isinstance(inner, yaml.CollectionStartEvent) - isinstance(inner, yaml.CollectionEndEvent)
    reading.in_brackets = False
    return Listing((), reading.place(start))


def _listing(reading: Reading, event: Event, depth: int) -> Listing:
    items = []
    while not isinstance(item := reading.take(), yaml.SequenceEndEvent):
        items.append(_node(reading, item, depth + 1))
    return Listing(tuple(items), reading.place(event.start_mark))


def _mapping(reading: Reading, event: Event, depth: int) -> Mapping:
    pairs: dict[str, tuple[Text, Node]] = {}
    while not isinstance(name := reading.take(), yaml.MappingEndEvent):
        key = _key(reading, name, depth)
        node = _node(reading, reading.take(), depth + 1)
        if key is None:
            continue
        if key.value in pairs:
            line = pairs[key.value][0].place.line
            reading.fault(name.start_mark, f"{quoted(key.value)} stands in line {line} already: keep one of the two")
        else:
            pairs[key.value] = (key, node)
    return Mapping(tuple(pairs.values()), reading.place(event.start_mark))


def _key(reading: Reading, event: Event, depth: int) -> Text | None:
    """The name of a field; None, with a fault, where nothing could serve as one."""
    if not isinstance(event, yaml.ScalarEvent):
        known = len(reading.faults)
        _node(reading, event, depth + 1)
        reading.whole = False
        if all(fault.place != reading.place(event.start_mark) for fault in reading.faults[known:]):
            reading.fault(event.start_mark, NO_NAME)
        return None
    _refuse_marks(reading, event)
    key = _text(reading, event, event.value)
    start: Any = event.start_mark
    end: Any = event.end_mark
    behind = reading.source.row(end.line)[end.column :].lstrip(" \t")
    if start.line != end.line or not behind.startswith(":") or not key.value:
        reading.refuse(event.start_mark, NO_NAME)
        return None
    if key.style != "plain":
        reading.fault(event.start_mark, "the name of a field stands without quotes: delete them")
    if key.value == "<<":
        reading.refuse(event.start_mark, "<< is no name here: write the fields out")
    for offset, symbol in enumerate(key.value) if not key.value.isascii() else ():
        if is_odd_space(symbol) or (unicodedata.category(symbol) == "Cf" and not HIDDEN.match(symbol)):
            message = f"U+{ord(symbol):04X} cannot be told from a space or from nothing: delete it from the name"
            reading.faults.append(Fault(key.at(offset), "", message))
    return key
