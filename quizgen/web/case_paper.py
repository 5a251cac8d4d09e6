"""A case of fault tracing for a classroom: the learner's sheet, readings to cut out, and the trainer's key."""

from __future__ import annotations

import math
from html import escape

from quizgen.tracing.play import ISOLATE, Standing, after, allowed, must_stop, regret, start, unsafe
from quizgen.web.bundle import page_style
from quizgen.web.case_html import (
    LEVELS,
    Compiled,
    Places,
    log_html,
    map_html,
    readings_of,
    state_html,
    suspects_html,
    tests_html,
    told_html,
)
from quizgen.web.case_words import DEAD_READING, DEAD_STEPS, LIVE_READING, RIGHT_WAY, STOP, VERIFY
from quizgen.web.document import document

NOTE = (
    "An exercise, no permission. The chain is invented, its readings are computed. Readings, limits and procedure of a "
    "real van come from its maker. Live readings are the van's own data, read with all covers on."
)


def paper_html(case: Compiled, places: Places, van: int = 0) -> str:
    """The whole file. van: its number where it is not the one the case was written about."""
    name = case["title"] + (f", van {van}" if van else "")
    body = _sheet(case, places, name) + _strips(case, places, name) + _key(case, name)
    return document(f"Fault tracing: {name}", body, page_style("map") + page_style("trace") + page_style("case_paper"))


def _head(name: str, what: str) -> str:
    return f'<header><p>{escape(what)}</p><h1>{escape(name)}</h1><p class="note">{NOTE}</p></header>'


def _sheet(case: Compiled, places: Places, name: str) -> str:
    return (
        f'<section class="qz-sheet-paper">{_head(name, "Fault tracing, " + LEVELS[case["difficulty"]])}'
        '<p class="blank">Code</p>'
        f"{told_html(case)}{state_html(case)}"
        "<p>Choose a test and tell its number: you get the reading, and its minutes go on the clock. Before the first "
        "test on bare parts, say every step of isolating in its order. One before that ends the case. So does a charge "
        "attempt or a drive that a suspect forbids.</p>"
        f"{map_html(case, places)}{suspects_html(case)}{tests_html(case, places)}{log_html()}</section>"
    )


def _strips(case: Compiled, places: Places, name: str) -> str:
    rows = "".join(
        f"<li><b>No. {number}</b> {escape(test['name'].strip())}<span>{escape(reading)}</span></li>"
        for number, (test, reading) in enumerate(zip(case["tests"], readings_of(case, places), strict=True), 1)
    )
    return (
        f'<section class="qz-sheet-paper">{_head(name, "For the trainer: readings to cut out")}'
        "<p>Cut along the lines, or cover them. Hand out a strip when its number is called and the test may be made."
        "</p>"
        f'<ul class="strips">{rows}</ul></section>'
    )


def _key(case: Compiled, name: str) -> str:
    truth = next(suspect for suspect in case["suspects"] if suspect["id"] == case["fault"])
    counts = (
        f"The case counts when the right part is proved and the choices lost no more than {_minutes(allowed(case))} "
        "against the best ones."
    )
    if must_stop(case, _last(case)):
        counts = f"The right end is to stop. {STOP}"
    steps = "".join(f"<li>{escape(step)}</li>" for step, _ in DEAD_STEPS)
    dead = LIVE_READING if truth["still_live"] else DEAD_READING
    return (
        f'<section class="qz-sheet-paper">{_head(name, "For the trainer: keep this sheet")}'
        f"<p>It is: <b>{escape(case['parts'][truth['part']])}</b> ({escape(truth['name'])}). {escape(case['says'])}</p>"
        f"<p>{counts} The best order takes {_minutes(case['minutes'])} on average for this complaint, and "
        f"{_minutes(sum(cost for _, cost in case['path']))} for this van.</p>"
        f"<h2>The best order for this van</h2>{_order(case)}"
        f"<h2>Isolating, step by step</h2><ol>{steps}</ol><p>Then they read: {escape(dead)}.</p>"
        f"<p>After an unsafe act: stop the case, say what could have happened. {RIGHT_WAY} Then begin again.</p>"
        f"<h2>Each test as the first choice</h2>{_first(case)}"
        "<h2>Look back together</h2><ul><li>Which reading proves the part? What was left without it?</li>"
        "<li>Which tests told nothing? What else could be done for their minutes?</li>"
        "<li>Which part was cleared before a reading spoke for it?</li>"
        f"<li>{VERIFY}</li></ul></section>"
    )


def _order(case: Compiled) -> str:
    rows, standing = "", start(case)
    for action, cost in case["path"]:
        standing = _next(case, standing, action)
        rows += (
            f"<tr><td>{escape(_name(case, action))}</td><td>{_minutes(cost)}</td>"
            f"<td>{escape(_left(case, standing))}</td></tr>"
        )
    return _table(("Step", "Minutes", "Suspects left"), rows)


def _first(case: Compiled) -> str:
    """What each action costs above the best one where it comes first, and what it leaves."""
    begin = start(case)
    actions = [(str(number), test["id"]) for number, test in enumerate(case["tests"], 1)] + [("", ISOLATE)]
    rows = ""
    for number, action in actions:
        lost = regret(case, begin, action)
        said = "as good as any" if lost < 1e-4 else f"{_minutes(lost)} more"
        left = "" if math.isinf(lost) else _left(case, _next(case, begin, action))
        if unsafe(case, begin, action):
            said = "not safe"
        rows += (
            f"<tr><td>{number}</td><td>{escape(_name(case, action))}</td><td>{said}</td><td>{escape(left)}</td></tr>"
        )
    return _table(("No.", "Test", "As first choice", "Suspects left after it"), rows)


def _table(heads: tuple[str, ...], rows: str) -> str:
    head = "".join(f'<th scope="col">{one}</th>' for one in heads)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _next(case: Compiled, standing: Standing, action: str) -> Standing:
    true = [suspect["id"] for suspect in case["suspects"]].index(case["fault"])
    return next(one for one in after(case, standing, action) if one.suspects >> true & 1)


def _last(case: Compiled) -> Standing:
    standing = start(case)
    for action, _ in case["path"]:
        standing = _next(case, standing, action)
    return standing


def _name(case: Compiled, action: str) -> str:
    if action == ISOLATE:
        return "Isolate, lock, prove dead"
    return str(next(test["name"] for test in case["tests"] if test["id"] == action)).strip()


def _left(case: Compiled, standing: Standing) -> str:
    """Suspects that are left, by part where they are many."""
    left = [suspect for at, suspect in enumerate(case["suspects"]) if standing.suspects >> at & 1]
    if len(left) == len(case["suspects"]):
        return f"all {len(left)}"
    if len(left) > 4:
        return f"{len(left)} in " + ", ".join(dict.fromkeys(case["parts"][suspect["part"]] for suspect in left))
    return "; ".join(suspect["name"] for suspect in left)


def _minutes(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0") + "\u00a0min"
