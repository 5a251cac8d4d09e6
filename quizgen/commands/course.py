"""Finding the course a command is about, and its cache."""

from __future__ import annotations

import os
import re
from pathlib import Path

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


def refuse_published(folder: Path, course: Path) -> None:
    """Raise CourseError where what is written into `folder` would be published with the course."""
    here = Path(os.path.realpath(folder))
    said = "what lies there is published with the course: choose a folder of your own"
    for above in (here, *here.parents):
        if (above / "assets" / "quizgen").is_dir():
            raise CourseError(f"{folder}: lies in a built site, and {said}")
    if any(here.is_relative_to(os.path.realpath(one)) for one in (course, *_published(course))):
        raise CourseError(f"{folder}: lies inside the course, and {said}")


def _published(course: Path) -> list[Path]:
    """The folders of pages and of the site that the course's mkdocs.yml names, at the course's folder or above."""
    for above in (course, *course.parents):
        settings = above / "mkdocs.yml"
        if settings.is_file():
            text = settings.read_text(encoding="utf-8", errors="replace")
            named = dict(re.findall(r"""^(docs_dir|site_dir):[ ]*["']?([^"'#\n]+?)["']?[ ]*(?:#.*)?$""", text, re.M))
            return [above / named.get("docs_dir", "docs"), above / named.get("site_dir", "site")]
    return []


def pages_folder(course: Path) -> Path | None:
    """Where the course's pages lie: beside its bank, under the name that mkdocs.yml says or as pages/; None without."""
    named = [one for one in _published(course)[:1] if one.parent.resolve() == course.resolve()]
    return next((one for one in (*named, course / "pages") if one.is_dir()), None)


def built_site(course: Path) -> Path | None:
    """The folder that a build of this course filled; None where there is none yet."""
    docs, site = _published(course) or (course, course)
    mine = docs.parent.resolve() == course.resolve() and (site / "index.html").is_file()
    return site.resolve() if mine else None


def cache_for(folder: Path) -> Cache:
    """The cache beside the course's folder."""
    return Cache(folder.parent / ".cache" / "quizgen")


def open_course(named: str | None) -> tuple[Bank, Cache]:
    """The bank and its cache. Raises CourseError or BankError."""
    from quizgen.variants.ready import kept_bank

    folder = course_folder(named)
    cache = cache_for(folder)
    return kept_bank(folder, cache), cache
