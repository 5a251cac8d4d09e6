"""A case of fault tracing as HTML: complete without script, with its data in a template for the script."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape
from typing import Any

from quizgen.bank.models import Chain
from quizgen.web.bundle import page_style
from quizgen.web.case_map import VAN, VAN_NAME, case_map
from quizgen.web.case_words import words
from quizgen.web.payload import in_html

Compiled = dict[str, Any]
MODES = {
    "live": "high voltage on, covers on",
    "any": "12 V side, tool or unplugged plug",
    "dead": "bare parts, proved dead only",
}
LEVELS = ("", "easy", "medium", "hard")
STATE = (
    "The van stands in the workshop: switched off, unplugged, all covers on, 12 V connected, not isolated. "
    "Its stored codes have not been read."
)
LOG_LINES = 12


@dataclass(frozen=True, slots=True)
class Places:
    """Where everything stands on the chain's map, and what a healthy chain shows."""

    chain: Chain | None = None
    tests: Mapping[str, str] = field(default_factory=dict)
    """Stage of each test; "" for the whole van."""
    parts: Mapping[str, str] = field(default_factory=dict)
    healthy: Mapping[str, list[str]] = field(default_factory=dict)
    """By test: its readings on a healthy chain; empty where the course has no fault that changes nothing."""

    def stages(self) -> dict[str, str]:
        """Id and name of every stage in the order of the chain, the whole van first."""
        return {VAN: VAN_NAME} | {s.id: s.name for s in (self.chain.stages.values() if self.chain else ())}

    def points(self, case: Compiled) -> dict[str, list[tuple[int, str]]]:
        """By stage: number and id of each test, stages in the order of the chain."""
        made: dict[str, list[tuple[int, str]]] = {stage: [] for stage in self.stages()}
        for number, test in enumerate(case["tests"], 1):
            made[self.tests.get(test["id"]) or VAN].append((number, test["id"]))
        return {stage: tests for stage, tests in made.items() if tests}


def case_html(case: Compiled, places: Places, style: bool) -> str:
    """The case on its page; `style` where it is the first one there, and brings style sheet and words."""
    id = escape(case["id"])
    inner = (
        f'<h2 class="qz-label" id="case-{id}-title"><span>{escape(case["title"])}</span>'
        f'<span class="qz-case-state">{LEVELS[case["difficulty"]]}<span class="qz-done"></span></span></h2>'
        f"{told_html(case)}"
    )
    if case["outside"]:
        inner += (
            '<details class="qz-case-desk"><summary>What would you do?</summary>'
            f"<p><b>Outside the method.</b> {escape(case['outside'])}</p><p>{escape(case['says'])}</p></details>"
        )
    else:
        inner += (
            '<details class="qz-case-desk"><summary>Take this van</summary>'
            f"{state_html(case)}"
            f'<div class="qz-case-board">{map_html(case, places)}<div class="qz-trace"></div></div>'
            f'<div class="qz-case-paper">{suspects_html(case)}{tests_html(case, places)}{log_html()}</div></details>'
            f'{_sealed(case, places)}<template class="qz-case-data" data-of="{id}"></template>'
        )
    css = f"<style>{page_style('map')}{page_style('trace')}</style>" if style else ""
    if style:
        css += f'<template class="qz-case-words">{in_html(words())}</template>'
    # What lies outside the method is never played, so nothing is kept of it.
    kept = "" if case["outside"] else f' data-question="case-{id}"'
    return (
        f'{css}<section class="qz-case" id="case-{id}" data-case="{id}"{kept} aria-labelledby="case-{id}-title">'
        f"{inner}</section>"
    )


def told_html(case: Compiled) -> str:
    """The complaint and what is known from the start."""
    known = "".join(
        f"<li>{escape(one['name'])}: <b>{escape(_told(one['labels'], one['readings']))}</b></li>"
        for one in case["known"]
    )
    return f'<blockquote>{escape(case["complaint"])}</blockquote><ul class="qz-known">{known}</ul>'


def state_html(case: Compiled) -> str:
    boxes = ", ".join(f"{escape(box)} {minutes}" for box, minutes in case["boxes"].items())
    return (
        f"<p>{STATE}</p>"
        f"<p>{len(case['suspects'])} faults in {len(case['parts'])} parts fit what is known. "
        f"Isolating and proving dead takes {case['isolate']} minutes, energising again {case['energise']}. "
        f"Opening, with closing: {boxes} minutes.</p>"
    )


def map_html(case: Compiled, places: Places) -> str:
    return case_map(case["id"], places.chain, places.points(case)) if places.chain else ""


def suspects_html(case: Compiled) -> str:
    """What could be to blame, part by part, to mark on paper."""
    items = "".join(
        f"<li><b>{escape(name)}</b>: {escape('; '.join(faults_of(case, part)))}"
        '<span class="qz-marks">suspect <i></i> cleared <i></i></span></li>'
        for part, name in case["parts"].items()
    )
    return f'<p><b>What fits</b></p><ul class="qz-suspects">{items}</ul>'


def faults_of(case: Compiled, part: str) -> list[str]:
    return [suspect["name"] for suspect in case["suspects"] if suspect["part"] == part]


def tests_html(case: Compiled, places: Places) -> str:
    """All tests by stage, each stage where the map leads to."""
    rows = ""
    for stage, tests in places.points(case).items():
        name = escape(places.stages()[stage])
        rows += f'<tbody id="case-{escape(case["id"])}--{stage}"><tr><th colspan="4" scope="rowgroup">{name}</th></tr>'
        for number, id in tests:
            test = next(one for one in case["tests"] if one["id"] == id)
            needs = MODES[test["needs"]] + (f", {test['box']} open" if test["box"] else "")
            rows += (
                f"<tr><td>{number}</td><td>{escape(test['name'].strip())}</td>"
                f"<td>{test['minutes']}</td><td>{escape(needs)}</td></tr>"
            )
        rows += "</tbody>"
    heads = "".join(f'<th scope="col">{head}</th>' for head in ("No.", "Test", "Min", "Needs"))
    return f'<p><b>All tests</b></p><table class="qz-tests"><thead><tr>{heads}</tr></thead>{rows}</table>'


def log_html() -> str:
    """An empty log, for paper."""
    heads = "".join(f'<th scope="col">{head}</th>' for head in ("Test No.", "Minutes", "Clock", "Reading", "It clears"))
    row = "<tr><td></td><td></td><td></td><td></td><td></td></tr>"
    return (
        '<div class="qz-log-paper"><p><b>Your log</b></p>'
        f"<table><thead><tr>{heads}</tr></thead><tbody>{row * LOG_LINES}</tbody></table>"
        '<p class="qz-line-paper">It is the part</p><p class="qz-line-paper">Proved by the readings</p></div>'
    )


def _sealed(case: Compiled, places: Places) -> str:
    """Readings by number, folded: the trainer opens them, prints and cuts them."""
    return (
        '<details class="qz-sealed"><summary>For a trainer: readings by number, to print and cut</summary>'
        f"<ol>{''.join(f'<li>{escape(reading)}</li>' for reading in readings_of(case, places))}</ol></details>"
    )


def readings_of(case: Compiled, places: Places) -> list[str]:
    """What each test shows on this van, in the order of the tests; where it differs, with what a healthy one shows."""
    true = [suspect["id"] for suspect in case["suspects"]].index(case["fault"])
    made = []
    for test in case["tests"]:
        row = test["readings"]["outcomes"][test["readings"]["shows"][true]]
        whole = places.healthy.get(test["id"]) or row
        said = [a if a == b else f"{a} (healthy: {b})" for a, b in zip(row, whole, strict=True)]
        made.append(_row(test["labels"], said))
    return made


def _told(labels: list[str], row: list[str]) -> str:
    return row[0] if len(row) == 1 else _row(labels, row)


def _row(labels: list[str], row: list[str]) -> str:
    return ", ".join(f"{label}: {reading}" for label, reading in zip(labels, row, strict=True))


def case_data(case: Compiled, places: Places) -> str:
    """What the script gets."""
    left_out = ("version", "complaint", "difficulty", "known", "path", "outside")
    kept = {name: value for name, value in case.items() if name not in left_out}
    kept["stages"] = places.stages()
    kept["tests"] = [
        {name: value for name, value in test.items() if name != "place"}
        | {"name": test["name"].strip(), "stage": places.tests.get(test["id"]) or VAN}
        for test in case["tests"]
    ]
    kept["stands"] = {part: places.parts.get(part) or VAN for part in case["parts"]}
    kept["healthy"] = {test["id"]: places.healthy.get(test["id"], []) for test in case["tests"]}
    return in_html(kept)
