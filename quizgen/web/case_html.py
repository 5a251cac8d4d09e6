"""A case of fault tracing as HTML: complete without script, with its data in a template for the script."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

from quizgen.web.bundle import page_style
from quizgen.web.payload import in_html

Compiled = dict[str, Any]
MODES = {
    "live": "High voltage on, covers on",
    "any": "12 V side, tool or unplugged plug",
    "dead": "Bare parts, proved dead only",
}
LEVELS = ("", "easy", "medium", "hard")


def case_html(case: Compiled, style: bool) -> str:
    """The case on its page; `style` where it is the first one there, and brings the style sheet."""
    known = "".join(
        f"<li>{escape(one['name'])}: <b>{escape(_told(one['labels'], one['readings']))}</b></li>"
        for one in case["known"]
    )
    head = (
        f'<p class="qz-label"><span>Case: {escape(case["title"])}</span>'
        f'<span>{LEVELS[case["difficulty"]]}</span></p>'
        f'<blockquote>{escape(case["complaint"])}</blockquote><ul class="qz-known">{known}</ul>'
    )
    if case["outside"]:
        head += (
            f"<details><summary>What would you do?</summary><p>{escape(case['outside'])} {escape(case['says'])}</p>"
            "</details>"
        )
        inner = head
    else:
        inner = head + _state(case) + _tests(case) + _sealed(case) + '<template class="qz-case-data"></template>'
    css = f"<style>{page_style('trace')}</style>" if style else ""
    return f'{css}<section class="qz-case" id="case-{case["id"]}" data-case="{case["id"]}">{inner}</section>'


def _state(case: Compiled) -> str:
    return (
        "<p>The van stands in the workshop, switched off, unplugged, all covers on, 12 V connected, not isolated. "
        "Its stored codes have not been read.</p>"
        f"<p>{len(case['suspects'])} faults in {len(case['parts'])} parts fit what is known. "
        f"Isolating and proving dead takes {case['isolate']} minutes, energising again {case['energise']}. "
        + "Opening, with closing: "
        + ", ".join(f"{escape(box)} {minutes}" for box, minutes in case["boxes"].items())
        + " minutes.</p>"
    )


def _tests(case: Compiled) -> str:
    rows = "".join(
        f"<tr><td>{at}</td><td>{escape(t['name'].strip())}</td><td>{t['minutes']}</td>"
        f"<td>{escape(MODES[t['needs']])}{', ' + escape(t['box']) + ' open' if t['box'] else ''}</td></tr>"
        for at, t in enumerate(case["tests"], 1)
    )
    return (
        '<details class="qz-paper-tests"><summary>All tests as a list</summary><table><thead><tr><th>No.</th>'
        f"<th>Test</th><th>Minutes</th><th>Needs</th></tr></thead><tbody>{rows}</tbody></table></details>"
    )


def _sealed(case: Compiled) -> str:
    """Readings by number, folded: the trainer opens them, prints and cuts them."""
    true = [s["id"] for s in case["suspects"]].index(case["fault"])
    items = "".join(
        f"<li>{escape(_row(t['labels'], t['readings']['outcomes'][t['readings']['shows'][true]]))}</li>"
        for t in case["tests"]
    )
    return (
        '<details class="qz-sealed"><summary>For a trainer: sealed readings by number, to print and cut</summary>'
        f"<ol>{items}</ol></details>"
    )


def _told(labels: list[str], row: list[str]) -> str:
    return row[0] if len(row) == 1 else _row(labels, row)


def _row(labels: list[str], row: list[str]) -> str:
    return ", ".join(f"{label} {reading}" for label, reading in zip(labels, row, strict=True))


def case_data(case: Compiled, stages: Mapping[str, str], healthy: Mapping[str, list[str]]) -> str:
    """What the script gets. `stages`: of each part; `healthy`: the readings of each test on a healthy chain."""
    left_out = ("version", "complaint", "difficulty", "known", "path", "outside")
    kept = {name: value for name, value in case.items() if name not in left_out}
    kept["order"] = [*dict.fromkeys(stages.values()), "Whole van"]
    kept["stages"] = {part: stages.get(part, "Whole van") for part in case["parts"]}
    kept["healthy"] = {t["id"]: healthy[t["id"]] for t in case["tests"]}
    return in_html(kept)
