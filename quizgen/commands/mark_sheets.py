"""Mark sheets as files, made and written by a second process while the next forms are marked.

They follow from what the register keeps, so one that is missing can be written again at any time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from quizgen.ahead import Ahead
from quizgen.papers.print import marksheet_html
from quizgen.papers.types import Issue, Mark
from quizgen.records.write import writing_whole

TOGETHER = 200
"""For so many a process is begun: all that the first one writes to after that, it copies first."""
Sheets = Sequence[tuple[Path, Issue, Mark]]
"""Where each lies, and what it is made from."""


def write_sheets(sheets: Sheets) -> None:
    """All of them are on the disk at the end. Raises OSError."""
    with writing_whole() as write:
        for path, issue, mark in sheets:
            write(path, marksheet_html(issue, mark).encode())


class Behind:
    """Some sheets are on their way while the next forms are marked. `settle` must come at the end."""

    def __init__(self) -> None:
        self._other = Ahead()
        self._job: Callable[[], None] | None = None
        self._waiting: list[tuple[Path, Issue, Mark]] = []

    def take(self, sheets: Sheets) -> None:
        """Begin with them once those before are written, or keep them for a while. Raises OSError, also of others."""
        self._waiting += sheets
        if len(self._waiting) >= TOGETHER:
            self._begin()

    def settle(self) -> None:
        """Until all are written: the last ones here, beside those before them. Raises OSError."""
        last, self._waiting = self._waiting, []
        try:
            write_sheets(last)
        finally:
            self._finish()

    def _begin(self) -> None:
        self._finish()
        job, self._waiting = partial(write_sheets, self._waiting), []
        if self._other.start([job]):
            self._job = job
        else:
            job()

    def _finish(self) -> None:
        """What the second process did not do is done here, and meets its fault here."""
        job, self._job = self._job, None
        if job is None:
            return
        done = self._other.wait(1)
        self._other.finish()
        if not done:
            job()
