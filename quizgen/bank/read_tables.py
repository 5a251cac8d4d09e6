"""Tables: rows of values read from an equal row, from the next row up, or between rows."""

from __future__ import annotations

import collections.abc
import csv
import io
import os
import re
import stat
from pathlib import Path

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, quoted
from quizgen.bank.fields import bad_id
from quizgen.bank.models import Quantity, Source, Table
from quizgen.bank.read_formulas import read_checks, read_citations
from quizgen.bank.read_slips import SlipReader
from quizgen.bank.yaml_reader import Mapping, Text
from quizgen.expression.units import UnitList

_FIELDS = ("title", "from", "to", "read", "rows", "file", "slips", "source", "check")
WAYS = ("equal row", "next row up", "between rows")
MAX_ROWS = 2000


class TableReader:
    """Reads tables that may use the bank's quantities and sources; CSV files lie beside `folder`'s files."""

    def __init__(
        self, units: UnitList, quantities: collections.abc.Mapping[str, Quantity],
        sources: collections.abc.Mapping[str, Source], faults: list[Fault], folder: Path,
    ) -> None:  # fmt: skip
        self.units, self.quantities, self.sources = units, quantities, sources
        self.faults, self.folder = faults, folder

    def read(self, id: Text, node: Mapping, beside: Path) -> Table:
        entry = Entry(id.value, node, self.faults, _FIELDS)
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        before = len(self.faults)
        inputs, output = self._columns(entry)
        way = entry.one_of("read", WAYS, "equal row")
        columns = (*inputs, output)
        known = all(name in self.quantities for name in columns) and len(self.faults) == before
        if known and way != "equal row":
            words = [name for name in columns if self.quantities[name].words]
            if len(inputs) != 1:
                entry.fault(entry.place("read"), f"{way} needs exactly one quantity under from:")
            elif inputs[0] in words or (words and way == "between rows"):
                entry.fault(entry.place("read"), f"{way} needs numbers, but {words[0]} is a word: use equal row")
        if entry.has("rows") == entry.has("file"):
            entry.fault(id.place, "a table has either rows: or file:")
        rows: list[tuple[tuple[str, ...], int]] = []
        if len(self.faults) == before and known:
            rows = self._rows(entry, columns) if entry.has("rows") else self._file(entry, columns, beside)
            if len(self.faults) == before:
                self._sound(entry, way, inputs, output, rows)
        slips = SlipReader(id.value, self.units, {}, self.faults, ()).read(
            entry.mapping("slips", required=False), table=True
        )
        if slips and way == "between rows":
            entry.fault(slips[0].place, "between rows there is no row before or after: take the slips out")
        return Table(
            id.value, entry.words("title"), inputs, output, way, tuple(row for row, _ in rows), slips,
            read_citations(entry, self.sources, required=True), read_checks(entry), id.place,
        )  # fmt: skip

    def _columns(self, entry: Entry) -> tuple[tuple[str, ...], str]:
        """The names under from: and to:, even those that are no quantities: columns are counted by them."""
        lines = entry.lines("from")
        to = entry.text("to")
        seen: set[str] = set()
        for line in (*lines, to):
            name = line.value.strip() if line else ""
            if line and name not in self.quantities:
                entry.unknown(line.place, name, "quantity", self.quantities)
            elif line and name in seen:
                entry.fault(line.place, f"{name} stands twice: a table has each quantity once")
            seen.add(name)
        return tuple(line.value.strip() for line in lines), to.value.strip() if to else ""

    def _rows(self, entry: Entry, columns: tuple[str, ...]) -> list[tuple[tuple[str, ...], int]]:
        """Rows with the offset of each in the text."""
        text = entry.text("rows")
        made: list[tuple[tuple[str, ...], int]] = []
        at = 0
        for line in text.value.splitlines(keepends=True) if text else ():
            cells = self._split(line, columns)
            if cells and len(cells) != len(columns):
                entry.fault(text.at(at), f"a row has {len(columns)} values, this one has {len(cells)}")  # type: ignore[union-attr]
            elif cells:
                made.append((tuple(cells), at))
            at += len(line)
        return made

    def _split(self, line: str, columns: tuple[str, ...]) -> list[str]:
        """Cells of one line; a last column of words takes the rest of the line."""
        last = self.quantities.get(columns[-1])
        if last and last.words:
            return [cell.strip() for cell in line.split(maxsplit=len(columns) - 1)]
        return line.split()

    def _file(self, entry: Entry, columns: tuple[str, ...], beside: Path) -> list[tuple[tuple[str, ...], int]]:
        named = entry.text("file")
        if not named:
            return []
        path = Path(os.path.realpath(beside.parent / named.value.strip()))
        if not path.is_relative_to(Path(os.path.realpath(self.folder))):
            entry.fault(named.place, "the file must lie inside the bank's folder")
            return []
        try:
            status = path.stat()
            if not stat.S_ISREG(status.st_mode):
                raise ValueError("it is no ordinary file")
            if status.st_size > 1_000_000:
                raise ValueError("it is larger than 1 MB")
            content = path.read_text(encoding="utf-8-sig")
            lines = [[" ".join(c.split()) for c in line] for line in csv.reader(io.StringIO(content), strict=True)]
            if odd := next((c for line in lines for c in line if not c.isprintable()), ""):
                raise ValueError(f"{quoted(odd)} holds a character that cannot be seen")
        except UnicodeDecodeError:
            entry.fault(named.place, f"{quoted(named.value)} cannot be read: save it as UTF-8")
            return []
        except (OSError, ValueError, csv.Error) as error:
            reason = getattr(error, "strerror", None) or str(error)
            entry.fault(named.place, f"{quoted(named.value)} cannot be read: {reason}")
            return []
        lines = [line for line in lines if any(line)]
        if not lines or tuple(lines[0]) != columns:
            entry.fault(named.place, f"the first line of the file must be {','.join(columns)}")
            return []
        for number, cells in enumerate(lines[1:], 2):
            if len(cells) != len(columns):
                entry.fault(named.place, f"line {number} of the file has {len(cells)} values, not {len(columns)}")
        return [(tuple(cells), 0) for cells in lines[1:] if len(cells) == len(columns)]

    def _sound(
        self,
        entry: Entry,
        way: str,
        inputs: tuple[str, ...],
        output: str,
        rows: list[tuple[tuple[str, ...], int]],
    ) -> None:
        text = entry.node.get("rows") or entry.node.get("file")
        if not isinstance(text, Text) or not text.value.strip():
            return
        if not rows:
            entry.fault(text.place, "the table has no rows")
            return
        if len(rows) > MAX_ROWS:
            entry.fault(text.place, f"a table has at most {MAX_ROWS} rows, this one has {len(rows)}")
            return
        seen: set[tuple[str, ...]] = set()
        before: float | None = None
        for cells, at in rows:
            wrong = [
                f"{quoted(cell)} is no number for {name}"
                for name, cell in zip((*inputs, output), cells, strict=True)
                if not self._fits(name, cell, name == output and way != "between rows")
            ]
            if wrong:
                entry.fault(text.at(at), f"{wrong[0]}: write it with a point and without a unit")
                continue
            row = tuple(_same_number(cell) for cell in cells[:-1])
            if row in seen:
                entry.fault(text.at(at), f"the row {' '.join(cells[:-1])} stands twice")
            seen.add(row)
            if way != "equal row" and is_number(cells[0]):
                here = float(cells[0])
                if before is not None and here <= before:
                    entry.fault(text.at(at), f"{way} needs rising values in the first column")
                before = here

    def _fits(self, name: str, cell: str, may_be_word: bool) -> bool:
        if self.quantities[name].words or is_number(cell):
            return True
        # A table may give a word instead of a number, but 13,3 is no word.
        return may_be_word and cell[:1].isalpha()


def is_number(text: str) -> bool:
    return bool(re.fullmatch(r"-?([0-9]{1,15}(\.[0-9]{1,15})?|\.[0-9]{1,15})([eE][+-]?[0-9]{1,2})?", text))


def _same_number(text: str) -> str:
    return repr(float(text)) if is_number(text) else text
