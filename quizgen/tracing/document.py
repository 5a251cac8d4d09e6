"""The whole table of readings as a document that a technician can check line by line."""

from __future__ import annotations

import html

from quizgen.tracing.compile import Readings
from quizgen.tracing.data import Tracing
from quizgen.tracing.readings import READINGS

FORMS = ("text", "markdown", "html")
NOTE = "Computed for one invented chain. Training aid only: no reading of a real van."


def document(tracing: Tracing, table: Readings, form: str, mode: str = "") -> str:
    """Test by test: every fault with every reading; faults that read as the healthy chain are left to one row."""
    sections = []
    for test in tracing.tests.values():
        head = ["fault", *(READINGS[name].label for name in test.reads)]
        rows: dict[tuple[str, ...], list[str]] = {}
        for id, row in zip(table.faults, table.exact[test.id], strict=True):
            rows.setdefault(row, []).append(tracing.faults[id].name)
        largest = max(rows.values(), key=len)
        lines = []
        for row, names in rows.items():
            if names is largest and len(names) > 5:
                lines.append([f"all {len(names)} others", *row])
            else:
                lines += [[name, *row] for name in names]
        what = f"{test.name} ({test.minutes} min, {test.needs}, {test.place})"
        sections.append((what, head, lines))
    note = NOTE + (f" {mode[0].upper()}{mode[1:]}." if mode else "")
    return {"text": _text, "markdown": _markdown, "html": _html}[form](note, sections)


Sections = list[tuple[str, list[str], list[list[str]]]]


def _text(note: str, sections: Sections) -> str:
    made = [note]
    for what, head, lines in sections:
        made += ["", what]
        widths = [max(len(row[i]) for row in (head, *lines)) for i in range(len(head))]
        made += [
            "  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in (head, *lines)
        ]
    return "\n".join(made)


def _markdown(note: str, sections: Sections) -> str:
    made = [note]
    for what, head, lines in sections:
        made += ["", f"## {what}", "", _bar(head), _bar(["---"] * len(head)), *map(_bar, lines)]
    return "\n".join(made)


def _bar(row: list[str]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |"


def _html(note: str, sections: Sections) -> str:
    made = ["<!doctype html>", '<html lang="en"><meta charset="utf-8"><title>Readings under every fault</title>',
            f"<h1>Readings under every fault</h1><p>{html.escape(note)}</p>"]  # fmt: skip
    for what, head, lines in sections:
        made.append(f"<h2>{html.escape(what)}</h2><table><tr>{_cells('th', head)}</tr>")
        made += [f"<tr>{_cells('td', line)}</tr>" for line in lines]
        made.append("</table>")
    return "\n".join([*made, "</html>"])


def _cells(tag: str, row: list[str]) -> str:
    return "".join(f"<{tag}>{html.escape(cell)}</{tag}>" for cell in row)
