"""The slip that a trainer prints and hands over: what is due, what counts as done, and the text to paste."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from quizgen.cohort.assignment import Assignment, done_in_words, in_words, paste_text
from quizgen.web.document import document

STYLE = """
:root { color-scheme: light dark; font: 100%/1.5 system-ui, sans-serif; }
body { margin: 0; background: Canvas; color: CanvasText; }
main { max-inline-size: 44rem; margin-inline: auto; padding: 1rem; box-sizing: border-box; }
h1 { font-size: 1.5em; line-height: 1.2; margin-block: .5rem; }
h2 { font-size: 1.1em; margin-block: 1.2rem .3rem; }
p, ol { margin-block: .4rem; }
.code { padding-inline: .3em; border: 2px solid; white-space: nowrap; }
table { border-collapse: collapse; inline-size: 100%; }
th, td { padding: .3rem .5rem; border-block-end: 1px solid; text-align: start; vertical-align: top; overflow-wrap: anywhere; }
pre { margin: 0; padding: .6rem; border: 1px solid; font: .9em/1.4 ui-monospace, monospace; white-space: pre-wrap; overflow-wrap: anywhere; user-select: all; }
main + main { border-block-start: 2px dashed; }
@media print {
  @page { margin: 15mm; }
  main { padding: 0; max-inline-size: none; break-inside: avoid; }
  main + main { break-before: page; border: 0; }
}
"""  # noqa: E501


def mark_of(course: str, group: str) -> str:
    """Stands in every slip, so that a later run knows its own files from others."""
    return f'data-course="{escape(course)}" data-group="{escape(group)}"'


def slip_html(one: Assignment) -> str:
    """One learner's slip as a file that stands alone."""
    return document(f"Assignment for {one.code}", _slip(one), STYLE)


def slips_html(all_: Iterable[Assignment], group: str) -> str:
    """Every slip of the group, each on a sheet of its own."""
    return document(f"Assignments of {group}", "\n".join(map(_slip, all_)), STYLE)


def _slip(one: Assignment) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(item.title)}</th><td>{in_words(item.due)}</td></tr>' for item in one.items
    )
    modules = any(not item.what.startswith("case-") for item in one.items)
    cases = any(item.what.startswith("case-") for item in one.items)
    done = f"<li>A module: {escape(done_in_words(one.done))}.</li>" if modules else ""
    done += (
        "<li>A case: right the last time you played it, with its proof and little time lost. Once is enough.</li>"
        if cases
        else ""
    )
    return (
        f'<main {mark_of(one.course, one.group)}><h1>Assignment for <span class="code">{escape(one.code)}</span></h1>'
        f"<p>Course: {escape(one.title)}. Group: {escape(one.group)}. Handed out on {in_words(one.made)}.</p>"
        '<table><thead><tr><th scope="col">What</th><th scope="col">Due</th></tr></thead>'
        f"<tbody>{rows}</tbody></table>"
        f"<h2>What counts as done</h2><ul>{done}</ul>"
        "<h2>What you do with it</h2><ol>"
        "<li>Open the course on the phone or computer you practise on, and there the page <b>Your plan</b>.</li>"
        f"<li>Choose the file <b>{escape(one.code)}.json</b>, or paste the text below.</li>"
        "<li>From then on the page tells you what to do next. It stays on your device; nothing is sent.</li></ol>"
        f"<h2>The text</h2><pre>{escape(paste_text(one).strip())}</pre></main>"
    )
