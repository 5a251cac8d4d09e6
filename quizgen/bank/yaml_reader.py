"""The one reader of bank files: a small, strict part of YAML in which every scalar is text.

Fields (name: text), lists (- entry), texts (bare, between quotes, under > or |) and comments;
nothing else. What an author writes comes out with its place and is never interpreted here: 0.10 stays
0.10 and No stays a word. PyYAML is used up to its events only, so an alias is refused before anything
could be expanded, and every error it raises is told again in words for somebody who never heard of YAML.
"""

import stat
from pathlib import Path
from typing import Any

import yaml

from quizgen.bank.faults import Fault, Place
from quizgen.bank.yaml_build import Reading, Torn, document
from quizgen.bank.yaml_errors import explain
from quizgen.bank.yaml_events import parse as _run
from quizgen.bank.yaml_layout import comment_faults, follows_a_cut, tab_faults, without_tabs
from quizgen.bank.yaml_limits import LARGEST_FILE, LISTED, LONGEST_LINE, few
from quizgen.bank.yaml_nodes import Listing, Mapping, Node, Source, Text
from quizgen.bank.yaml_symbols import symbol_faults

__all__ = ["LARGEST_FILE", "LISTED", "Listing", "Mapping", "Node", "Text", "read_file", "read_text"]

_FAST: Any = getattr(yaml, "CSafeLoader", None)


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
    source = Source(shown, tuple(text.split("\n")))
    long = [number for number, line in enumerate(source.lines) if len(line) > LONGEST_LINE]
    if long:
        message = f"the line is longer than {LONGEST_LINE} characters: break it, under > if it is a text"
        return None, few([Fault(source.place(number, LONGEST_LINE), "", message) for number in long])
    damaged, hidden = symbol_faults(source, text)
    if damaged:
        return None, sorted(damaged + hidden)
    # The loader in Python is the reference; the one in C, far faster, serves where it finds no fault. It
    # also serves where it comes to the end and finds a flood: a second pass, of many seconds on a large
    # file, would only tell an author more of the same.
    mapping, faults = _read(source, text, _FAST) if _FAST is not None else (None, [])
    if (mapping is None or faults) and len(faults) <= LISTED:
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


def _read(source: Source, text: str, loader_class: Any) -> tuple[Mapping | None, list[Fault]]:
    # The loaders differ on a last line without end, and on the column behind U+FEFF (which is refused).
    text = text.replace("\ufeff", "\ufffd") + "\n"
    # a tab is refused, but read as a space it does not hide what is behind it
    run = _run(text.replace("\t", " "), loader_class)
    if run.error is not None and loader_class is _FAST:
        return None, []  # its errors have other words and places
    tabs: list[Fault] = []
    indented = False
    if "\t" in text:
        kept = without_tabs(text, run)
        tabs, indented = tab_faults(source, text, kept)
        if run.error is None and "\t" in kept:
            run = _run(kept, loader_class)
        text = kept
    comments = comment_faults(source, text, run)
    reading = Reading(source, iter(run.events))
    try:
        mapping = document(reading)
    except Torn:
        mapping = None
    faults = tabs + few(comments) + reading.faults
    consequence = indented or reading.in_brackets or follows_a_cut(source, comments, run)
    if run.error is not None and not consequence:
        fault = explain(source, run, run.error)
        if all(fault.place != other.place for other in faults):
            faults.append(fault)
    return mapping if reading.whole and not indented else None, faults
