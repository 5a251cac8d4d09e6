"""Finding the course a command is about, and its cache."""

from __future__ import annotations

from pathlib import Path

from quizgen.bank.load import load_bank
from quizgen.bank.models import Bank
from quizgen.cache import Cache


class CourseError(Exception):
    """No course where one was expected; the text says what to do."""


def course_folder(named: str | None) -> Path:
    """The folder that holds bank/: as named, or at or above the current folder. Raises CourseError."""
    if named:
        folder = Path(named)
        if (folder / "bank").is_dir():
            return folder.resolve()
        if (folder / "course" / "bank").is_dir():
            return (folder / "course").resolve()
        raise CourseError(f"{named}: no folder bank/ in there: name the folder that holds the course's bank")
    for here in (Path.cwd(), *Path.cwd().parents):
        for folder in (here, here / "course"):
            if (folder / "bank" / "course.yml").is_file():
                return folder
    raise CourseError("no course at or above this folder: go into one, or name it with --course FOLDER")


def cache_for(folder: Path) -> Cache:
    """The cache beside the course's folder."""
    return Cache(folder.parent / ".cache" / "quizgen")


def open_course(named: str | None) -> tuple[Bank, Cache]:
    """The bank and its cache. Raises CourseError or BankError."""
    folder = course_folder(named)
    return load_bank(folder), cache_for(folder)
