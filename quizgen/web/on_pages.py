"""Which page each question and each case of a course stands on, read from the pages' fences without a build."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from quizgen.web.page_blocks import blocks_in, plain_lines

CASE = "case-"
"""Before a case's id, where it stands among questions."""
_FRONT = re.compile(r"\A\ufeff?---[ \t]*\n(.*?)^---[ \t]*$", re.DOTALL | re.MULTILINE)
_NAMED = re.compile(r"""^(module|title):[ \t]*(["']?)(.+?)\2[ \t]*(?:[ \t]#.*)?$""", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Stand:
    """Where something stands: the page's file below the folder of pages, its heading, the number on the page."""

    file: str
    heading: str
    number: int
    """Of a question, as its page counts; 0 for a case."""


@dataclass(frozen=True, slots=True)
class OnPages:
    """Questions by id, cases as `case-ID`; the page of each module that has one."""

    stands: Mapping[str, Stand]
    modules: Mapping[str, str]


def on_pages(folder: Path) -> OnPages:
    """Read every page in the folder and below. Only what its author wrote counts, not what a build adds.

    A page that cannot be read is passed over: the build says what is wrong with it.
    """
    stands: dict[str, Stand] = {}
    modules: dict[str, str] = {}
    for path in sorted(folder.rglob("*.md")):
        name = path.relative_to(folder).as_posix()
        if any(part.startswith(".") for part in name.split("/")):
            continue
        try:
            text = path.read_text(encoding="utf-8", errors="replace")
        except OSError:
            continue
        front = _FRONT.match(text)
        named = {key: value for key, _, value in _NAMED.findall(front.group(1))} if front else {}
        if "module" in named:
            modules.setdefault(named["module"], name)
        _note(stands, name, named.get("title") or _heading(text[front.end() :] if front else text) or name, text)
    return OnPages(stands, modules)


def _note(stands: dict[str, Stand], page: str, heading: str, text: str) -> None:
    number = 0
    for block in blocks_in(text):
        for id in block.ids:
            if block.name == "practice":
                number += 1
                stands.setdefault(id, Stand(page, heading, number))
            elif block.name == "case":
                stands.setdefault(CASE + id, Stand(page, heading, 0))


def _heading(text: str) -> str:
    for _, line, info in plain_lines(text):
        if info is None and line.startswith("# "):
            return re.sub(r"[ \t]*\{[^}]*\}$|[`*_]", "", line[2:]).strip()
    return ""


def address_of(page: str, id: str) -> str:
    """Below the site, where every page is a file of its own: "supply.html#q-ID"."""
    start = re.sub(r"(^|/)README$", r"\1index", page.removesuffix(".md"))
    return f"{start}.html#{id if id.startswith(CASE) else f'q-{id}'}"
