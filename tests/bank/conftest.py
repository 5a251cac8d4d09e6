"""A bank that is whole, one change that breaks it, and the place at which the fault must be told."""

import shutil
from pathlib import Path

import pytest

WHOLE = Path(__file__).parent / "depot"
HERE = "¶"
"""Stands in a changed text where the fault is expected; it is taken out before the file is written."""


class Course:
    """A copy of the whole course in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.bank = folder / "bank"
        self.places: list[str] = []
        """path:line:col of every mark, in the order of the changes."""

    def change(self, file: str, old: str, new: str) -> None:
        """`old` gives way to `new` in a file; with no `old`, `new` is appended to it."""
        path = self.bank / file
        text = path.read_text(encoding="utf-8") if path.exists() else ""
        assert not old or text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        before, mark, after = (text.replace(old, new) if old else text + new).partition(HERE)
        assert HERE not in after
        if mark:
            line, column = before.count("\n") + 1, len(before.rpartition("\n")[2]) + 1
            self.places.append(f"{self.folder.name}/bank/{file}:{line}:{column}")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(before + after, encoding="utf-8", newline="")


@pytest.fixture
def depot(tmp_path):
    """The whole course, to be changed."""
    shutil.copytree(WHOLE, tmp_path / "depot", ignore=shutil.ignore_patterns(".cache"))
    return Course(tmp_path / "depot")
