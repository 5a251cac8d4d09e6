"""The one script and the one style sheet of a course's pages, joined, minified and named by content."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from quizgen.expression.units import UnitList, table_for_browser
from quizgen.variants.general import general_for_browser

SCRIPTS = (
    "number", "stack", "judge", "dom", "shelf", "result", "keep", "carry",
    "variant", "words", "choice", "order", "solution", "report", "part", "practice", "print",
    "progress", "panel", "terms", "start",
)  # fmt: skip
"""Fragments in the order in which they are joined inside one closure."""
STYLES = ("practice", "panel", "terms", "sheet", "print")


@dataclass(frozen=True, slots=True)
class Asset:
    """A file for the site: its name carries a hash of its content, so that no browser keeps an old one."""

    name: str
    content: str


def script(units: UnitList, course: dict[str, object]) -> Asset:
    """The script with the course's unit list and data (id, version, modules with their questions)."""
    data = f"const UNITS = {_json(table_for_browser(units))};\nconst COURSE = {_json(course)};\n"
    data += f"const GENERAL = {_json(general_for_browser())};\n"
    content = '(function () {\n"use strict";\n' + data + _joined("script", SCRIPTS, ".js") + "\n})();\n"
    return _asset("practice", ".js", _small_script(content))


def style() -> Asset:
    import rcssmin

    return _asset("practice", ".css", rcssmin.cssmin(_joined("style", STYLES, ".css")))


@cache
def _small_script(content: str) -> str:
    import rjsmin

    return str(rjsmin.jsmin(content))


def _joined(folder: str, names: tuple[str, ...], ending: str) -> str:
    root = files("quizgen.web").joinpath(folder)
    found = (root.joinpath(name + ending) for name in names)
    return "\n".join(part.read_text(encoding="utf-8") for part in found if part.is_file())


def _asset(name: str, ending: str, content: str) -> Asset:
    digest = hashlib.sha256(content.encode()).hexdigest()[:8]
    return Asset(f"assets/quizgen/{name}.{digest}{ending}", content)


def _json(data: object) -> str:
    # "</script>" can never appear: < is written as its escape.
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
