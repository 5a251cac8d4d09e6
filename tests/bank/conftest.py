"""The course `depot`, which is whole, in a folder of its own, and changes that break it at a marked place."""

import shutil
from pathlib import Path

import pytest

WHOLE = Path(__file__).parent / "depot"
HERE = "¶"
"""Stands in a changed text where a fault is expected; `settle` takes it out."""


class Course:
    """A copy of the whole course."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.bank = folder / "bank"

    def change(self, file: str, old: str, new: str) -> None:
        """`old` gives way to `new` in a file of the bank; with no `old`, `new` is appended to it."""
        path = self.bank / file
        text = path.read_text(encoding="utf-8") if path.exists() else ""
        assert not old or text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.replace(old, new) if old else text + new, encoding="utf-8", newline="")

    def settle(self) -> list[str]:
        """Take the marks out of all files and tell where they stood, as path:line:column."""
        places = []
        for path in sorted(self.bank.rglob("*.*")):
            *pieces, last = path.read_text(encoding="utf-8").split(HERE)
            before = ""
            for piece in pieces:
                before += piece
                line, column = before.count("\n") + 1, len(before.rpartition("\n")[2]) + 1
                places.append(f"{path.relative_to(self.folder.parent).as_posix()}:{line}:{column}")
            path.write_text(before + last, encoding="utf-8", newline="")
        return places


@pytest.fixture
def depot(tmp_path):
    """The whole course, to be changed."""
    shutil.copytree(WHOLE, tmp_path / "depot", ignore=shutil.ignore_patterns(".cache"))
    return Course(tmp_path / "depot")
