"""The scripts and the one style sheet of a course's pages, joined, minified and named by content.

Scripts, each a closure: `practice` is what a page needs at once, `more` comes on first use
(script/more.js), the EXTRAS on pages that hold what they are for (script/extras.js), `slip` when somebody
hands in (script/hand_in.js). The first hands over
what the others name of it; the second hands back what the first calls as `more.something`. Nothing of
any is a global.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from quizgen.expression.units import UnitList, entries_for_browser
from quizgen.variants.general import general_for_browser

SCRIPTS = (
    "more", "dom", "shelf", "result", "keep",
    "stack", "write", "variant", "place", "part", "room", "print",
    "progress", "panel", "terms", "extras", "start",
)  # fmt: skip
"""Fragments of the first script, in the order in which they are joined inside its closure."""
MORE = (
    "look", "number", "judge", "echo", "words", "choice", "order", "solution", "practice", "report", "answers",
    "plan_form", "carry", "hand_in", "desk",
)  # fmt: skip
"""Fragments of the second script."""
EXTRAS = {
    "trace": ("section.qz-case template", ("standing", "half", "isolate", "debrief", "trace"), "startCases();"),
    "plan": (".qz-your-plan template", ("plan_form", "assignment", "due", "again", "plan"), "startPlan();"),
}
"""Scripts for some pages only: what the page holds then, the script's fragments, and how it begins."""
SLIP = ("pack", "slip")
"""Fragments of the script that makes progress slips."""
STYLES = ("practice", "panel", "terms", "sheet", "here", "picture", "print")


@dataclass(frozen=True, slots=True)
class Asset:
    """A file for the site: its name carries a hash of its content, so that no browser keeps an old one."""

    name: str
    content: str


def script(units: UnitList, course: dict[str, object], slip_script: str = "") -> Asset:
    """The first script, with the course's data (id, version, modules). slip_script: name of the `slip` asset."""
    first, second = _joined("script", SCRIPTS, ".js"), _joined("script", MORE, ".js")
    data = f"const MORE = {_json(more(units, slip_script).name.rpartition('/')[2])};\nconst COURSE = {_json(course)};\n"
    data += f"const EXTRAS = {_json({EXTRAS[name][0]: extra(name).name.rpartition('/')[2] for name in EXTRAS})};\n"
    later = "".join(_joined("script", names, ".js") for names in (*(names for _, names, _ in EXTRAS.values()), SLIP))
    shared = ", ".join(_shared(first, second + later))
    content = f'(function () {{\n"use strict";\n{data}const shared = () => ({{ {shared} }});\n{first}\n}})();\n'
    return _asset("practice", ".js", _small_script(content))


def more(units: UnitList, slip_script: str = "") -> Asset:
    """The second script, with the course's unit list and what is said of slips that can happen anywhere."""
    first, second = _joined("script", SCRIPTS, ".js"), _joined("script", MORE, ".js")
    data = f"const UNIT_LIST = {_json(entries_for_browser(units))};\nconst GENERAL = {_json(general_for_browser())};\n"
    data += f"const LATER_STYLE = {_json(page_style('later'))};\n"
    data += f"const SLIP = {_json(slip_script.rpartition('/')[2])};\n"
    names = f"const {{ {', '.join(_shared(first, second))} }} = first;\n"
    offered = f"return {{ {', '.join(_offered(first))} }};\n"
    content = (
        f'document.currentScript.handOver(function (first) {{\n"use strict";\n{names}{data}{second}\n{offered}}});\n'
    )
    return _asset("more", ".js", _small_script(content))


def extra(name: str) -> Asset:
    """One of the EXTRAS."""
    _, fragments, begin = EXTRAS[name]
    own = _joined("script", fragments, ".js")
    names = f"const {{ {', '.join(_shared(_joined('script', SCRIPTS, '.js'), own))} }} = first;\n"
    content = f'document.currentScript.handOver(function (first) {{\n"use strict";\n{names}{own}\n{begin}\n}});\n'
    return _asset(name, ".js", _small_script(content))


def slip(names: dict[str, object]) -> Asset:
    """The script that makes progress slips. names: salts, cases, and the questions of each module."""
    own = _joined("script", SLIP, ".js")
    shared = f"const {{ {', '.join(_shared(_joined('script', SCRIPTS, '.js'), own))} }} = first;\n"
    data = f"const SLIP_NAMES = {_json(names)};\n"
    content = (
        f'document.currentScript.handOver(function (first) {{\n"use strict";\n{shared}{data}{own}\n'
        "return { slipFile, slipText, isCode };\n});\n"
    )
    return _asset("slip", ".js", _small_script(content))


def _shared(first: str, second: str) -> list[str]:
    """What the second script names of the first, by its declarations that never change."""
    declared = {"COURSE", *re.findall(r"^(?:async )?(?:function|const) (\w+)", first, re.M)}
    return sorted(declared & set(re.findall(r"\w+", second)))


def _offered(first: str) -> list[str]:
    """What the first script calls of the second."""
    return sorted(set(re.findall(r"\bmore\.(\w+)", first)))


def style() -> Asset:
    import rcssmin

    return _asset("practice", ".css", rcssmin.cssmin(_joined("style", STYLES, ".css")))


@cache
def page_style(name: str) -> str:
    """A style sheet that only pages of one kind need, like "map"; it stands in the page itself, "later" in `more`."""
    import rcssmin

    return str(rcssmin.cssmin(_joined("style", (name,), ".css")))


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
