"""The register on paper: the board, and one person's sheet, as self-contained HTML that asks for nothing."""

from __future__ import annotations

from html import escape
from typing import Any

from quizgen.records.report import Data
from quizgen.records.standing import CURRENT, DUE, EXPIRED, SUSPENDED
from quizgen.web.document import document

SHAPES = {CURRENT: "\u25a0", DUE: "\u25e9", EXPIRED: "\u25a1", SUSPENDED: "\u2715"}
"""A shape beside each state's word, so that a glance is enough on a grey print; none for what is not complete."""

STYLE = """
:root { color-scheme: light dark; font: 16px/1.45 system-ui, sans-serif; }
body { margin: 1.5rem auto; max-width: 60rem; padding: 0 1rem; }
h1 { font-size: 1.5rem; } h2 { font-size: 1.15rem; margin-top: 2rem; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; inline-size: 100%; }
th, td { border: 1px solid; padding: .4rem .5rem; text-align: start; vertical-align: top; overflow-wrap: anywhere; }
td b { white-space: nowrap; } td small { display: block; }
.note { border: 2px solid; padding: .6rem .8rem; }
code { overflow-wrap: anywhere; }
@page { size: A4 landscape; margin: 12mm; }
@media print { body { margin: 0; max-width: none; } tr { break-inside: avoid; } thead { display: table-header-group; } }
"""


def board_html(data: Data, title: str) -> str:
    """People down, tiers across: state in words and shape, the last day, and why not."""
    tiers = data["people"][0]["tiers"] if data["people"] else []
    heads = "".join(f'<th scope="col">{escape(t["code"])} {escape(t["title"])}</th>' for t in tiers)
    rows = "".join(
        f'<tr><th scope="row">{_who(one)}</th>{"".join(_cell(tier) for tier in one["tiers"])}</tr>'
        for one in data["people"]
    )
    empty = "" if rows else "<p>Nobody is in the register yet.</p>"
    table = (
        f'<div class="scroll"><table><thead><tr><th scope="col">Person</th>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>"
    )
    return document(title, f"<h1>{escape(title)}</h1>{_note(data)}{table}{empty}{_foot(data)}", STYLE)


def _who(one: Data) -> str:
    name = f"<small>{escape(one['name'])}</small>" if one["name"] else ""
    return f"{escape(one['code'])}{name}"


def _cell(tier: Data) -> str:
    shape = f"{SHAPES[tier['state']]} " if tier["state"] in SHAPES else ""
    until = f"<small>until {escape(tier['until'])}</small>" if tier["until"] else ""
    why = "".join(f"<small>{escape(reason)}</small>" for reason in tier["why"] if not tier["until"])
    return f"<td><b>{shape}{escape(tier['state'])}</b>{until}{why}</td>"


def _note(data: Data) -> str:
    return f'<p class="note"><strong>{escape(data["note"])}</strong></p>'


def _foot(data: Data) -> str:
    return (
        f"<p>Checked on {escape(data['checked_on'])}. Entries: {data['entries']}. Head of the register:<br>"
        f"<code>{escape(data['head'])}</code></p>"
        "<p>This print is a copy. The register itself is what counts. A second person keeps this print or its head: "
        "with it, <code>quizgen register verify --head</code> finds a register that was set back or replaced.</p>"
    )


def person_html(data: Data) -> str:
    """One person's tiers and every entry in readable form."""
    title = f"Register: {data['code']}"
    tiers = "".join(f'<tr><th scope="row">{escape(t["code"])} {escape(t["title"])}</th>{_cell(t)}</tr>'
                    for t in data["tiers"])  # fmt: skip
    records = "".join(_record(one) for one in data["records"])
    return document(
        title,
        f"<h1>{escape(title)}</h1><p>{escape(data['name'])}</p>{_note(data)}"
        f'<div class="scroll"><table><tbody>{tiers}</tbody></table></div>'
        f"<h2>What is recorded</h2>{records or '<p>Nothing.</p>'}{_foot(data)}",
        STYLE,
    )


def _record(one: Data) -> str:
    head = f"<h3>Entry {one['entry']}: {escape(one['kind'])}, {escape(one['at'])}</h3>"
    if one["content"] is None:
        return head + "<p>The content was erased.</p>"
    return head + f'<div class="scroll">{_fields(one["content"])}</div>'


def _fields(value: Any) -> str:
    """Plain data as nested tables; every text is escaped."""
    if isinstance(value, dict):
        rows = "".join(f'<tr><th scope="row">{escape(str(k))}</th><td>{_fields(v)}</td></tr>' for k, v in value.items())
        return f"<table><tbody>{rows}</tbody></table>"
    if isinstance(value, list):
        return "<br>".join(_fields(item) for item in value)
    return "" if value is None else escape(str(value))
