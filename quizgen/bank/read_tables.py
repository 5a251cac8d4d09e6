"""Tables: rows of values read from an equal row, from the next row up, or between rows."""

from __future__ import annotations

import collections.abc
import csv
import io
import os
from pathlib import Path

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, near, quoted
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
        inputs = tuple(name for line in entry.lines("from") if (name := self._quantity(entry, line)))
        to = entry.text("to")
        output = (self._quantity(entry, to) if to else None) or ""
        way = entry.one_of("read", WAYS, "equal row")
        if way != "equal row" and len(inputs) != 1:
            entry.fault(entry.place("read"), f"{way} needs exactly one quantity under from:")
        columns = (*inputs, output)
        if entry.has("rows") == entry.has("file"):
            entry.fault(id.place, "a table has either rows: or file:")
        rows = self._rows(entry, columns) if entry.has("rows") else self._file(entry, columns, beside)
        if rows and all(columns):
            self._sound(entry, way, inputs, output, rows)
        slips = SlipReader(id.value, self.units, {}, self.faults, ())
        return Table(
            id.value, entry.words("title"), inputs, output, way, tuple(row for row, _ in rows),
            slips.read(entry.mapping("slips", required=False), table=True),
            read_citations(entry, self.sources, required=True), read_checks(entry), id.place,
        )  # fmt: skip

    def _quantity(self, entry: Entry, text: Text) -> str | None:
        name = text.value.strip()
        if name not in self.quantities:
            entry.fault(text.place, f"{quoted(name)} is no quantity here.{near(name, self.quantities)}")
            return None
        return name

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
            if path.stat().st_size > 1_000_000:
                raise ValueError("it is larger than 1 MB")
            content = path.read_text(encoding="utf-8-sig")
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            entry.fault(named.place, f"{quoted(named.value)} cannot be read: {reason}")
            return []
        lines = [[cell.strip() for cell in line] for line in csv.reader(io.StringIO(content)) if any(line)]
        if not lines or tuple(lines[0]) != columns:
            entry.fault(named.place, f"the first line of the file must be {','.join(columns)}")
            return []
        for number, cells in enumerate(lines[1:], 2):
            if len(cells) != len(columns):
                entry.fault(named.place, f"line {number} of the file has {len(cells)} values, not {len(columns)}")
        return [(tuple(cells), 0) for cells in lines[1:] if len(cells) == len(columns)]

    def _sound(
        self, entry: Entry, way: str, inputs: tuple[str, ...], output: str, rows: list[tuple[tuple[str, ...], int]]
    ) -> None:
        text = entry.node.get("rows") or entry.node.get("file")
        assert isinstance(text, Text)
        if len(rows) > MAX_ROWS:
            entry.fault(text.place, f"a table has at most {MAX_ROWS} rows")
        seen: dict[tuple[str, ...], int] = {}
        before: float | None = None
        for cells, at in rows:
            for name, cell in zip((*inputs, output), cells, strict=True):
                if not self.quantities[name].words and not is_number(cell) and (name != output or way == "between rows"):
                    entry.fault(text.at(at), f"{quoted(cell)} is no number for {name}")
                    return
            if cells[:-1] in seen:
                entry.fault(text.at(at), f"the row {' '.join(cells[:-1])} stands twice")
            seen[cells[:-1]] = at
            if way != "equal row":
                here = float(cells[0])
                if before is not None and here <= before:
                    entry.fault(text.at(at), f"{way} needs rising values in the first column")
                before = here


def is_number(text: str) -> bool:
    import re

    return bool(re.fullmatch(r"-?(\d+(\.\d+)?|\.\d+)([eE][+-]?\d{1,2})?", text, re.ASCII))
