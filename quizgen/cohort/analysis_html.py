"""An analysis as one HTML file that asks for nothing, with its drawings as plain SVG."""

from __future__ import annotations

from collections import Counter
from html import escape

from quizgen.cohort.analyse import Analysis, Item
from quizgen.cohort.analysis_text import RECORDS, rest_text, span, whole_lines
from quizgen.papers.page import document

WIDE, TALL, FOOT = 480, 150, 24


def analysis_html(all_: list[Analysis], day: str) -> str:
    body = "".join(_plan(one) for one in all_)
    return document(
        "Analysis of papers",
        f'<main class="paper report"><h1>Analysis of papers</h1><p>Made on {escape(day)}.</p>'
        f'<p class="note">{RECORDS}</p>{body}</main>',
    )


def _plan(one: Analysis) -> str:
    facts = "".join(f"<li>{escape(line)}</li>" for line in (*one.notes, *whole_lines(one)))
    rows = "".join(_row(item) for item in sorted(one.items, key=lambda item: item.facility))
    heads = "".join(f'<th scope="col">{head}</th>' for head in
                    ("Question", "Right, with its interval", "Wrong answers, and what to do"))  # fmt: skip
    return (
        f"<h2>{escape(one.title)}</h2><p>{one.people} persons, {one.passed} passed; {one.pass_mark} of {one.of} "
        f"marks are needed.</p>{_marks(one)}<ul>{facts}</ul>"
        f'<div class="wide"><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'
    )


def _row(item: Item) -> str:
    wrong = "".join(f"<li>{one.count} × {escape(one.says)}</li>" for one in item.wrong)
    options = "".join(
        f"<li>{'right' if option.right else 'wrong'}, {option.chosen} × {escape(option.text)}</li>"
        for option in item.options
    )
    flags = "".join(f"<p><strong>{escape(flag)}</strong></p>" for flag in item.flags)
    rest = "" if item.rest is None else f"<br>with the rest {rest_text(item.rest)}"
    must = ' <span class="must">must be right</span>' if item.must else ""
    lists = "".join(f"<ul>{part}</ul>" for part in (wrong, options) if part)
    return (
        f'<tr><th scope="row">{escape(item.id)}{must}</th><td>{item.right} of {item.asked}{rest}</td>'
        f"<td>{_share(item)}</td><td>{flags}{lists}</td></tr>"
    )


def _share(item: Item) -> str:
    """A line from 0 to 1 with the interval as a bar and the share as a dot; the words say the same."""
    low, high = item.interval
    at = 5 + 150 * item.right / item.asked
    return (
        '<svg viewBox="0 0 160 20" width="160" height="20" aria-hidden="true">'
        '<path d="M5 10H155M5 5V15M80 7V13M155 5V15" fill="none" stroke="currentColor" stroke-width="1"/>'
        f'<path d="M{5 + 150 * low:.1f} 10H{5 + 150 * high:.1f}" stroke="currentColor" stroke-width="5"/>'
        f'<circle cx="{at:.1f}" cy="10" r="5" fill="Canvas" stroke="currentColor" stroke-width="2"/></svg>'
        f"<br>{span(item.interval)}"
    )


def _marks(one: Analysis) -> str:
    """How many persons got how many marks, with the pass mark as a line."""
    counted = Counter(one.marks)
    most = max(counted.values())
    step = (WIDE - 20) / (one.of + 1)
    bars = "".join(
        f'<rect x="{10 + mark * step:.1f}" y="{TALL - (TALL - 20) * count / most:.1f}" width="{step * 0.8:.1f}" '
        f'height="{(TALL - 20) * count / most:.1f}" fill="currentColor"/>'
        for mark, count in sorted(counted.items())
    )
    cut = 10 + one.pass_mark * step - step * 0.1
    ends = "".join(
        f'<text x="{10 + (mark + 0.4) * step:.1f}" y="{TALL + 16}" text-anchor="middle" font-size="12" '
        f'fill="currentColor">{mark}</text>'
        for mark in sorted({0, one.pass_mark, one.of})
    )
    said = f"Marks of {one.people} persons, from {min(one.marks)} to {max(one.marks)}; pass mark {one.pass_mark}."
    return (
        f'<svg viewBox="0 0 {WIDE} {TALL + FOOT}" width="100%" role="img" aria-label="{escape(said)}">{bars}'
        f'<path d="M{cut:.1f} 4V{TALL}" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 3"/>'
        f'<path d="M10 {TALL}H{WIDE - 10}" stroke="currentColor"/>{ends}</svg><p>{escape(said)}</p>'
    )
