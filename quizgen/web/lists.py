"""Reference lists: questions by module and outcome, sources, and how the answers were checked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import escape
from typing import Any

from quizgen.bank.models import Bank, Citation, Question, all_laws
from quizgen.variants.report import by_kind
from quizgen.web.coverage import KINDS
from quizgen.web.sheet import citation_text

SHOWN = 180
"""So many characters of a question's text tell it apart from its neighbours."""


def questions_html(bank: Bank, link: Callable[[str], str]) -> str:
    """Each module with its outcomes and the questions that practise them; `link` gives a question's address or ""."""
    made = ""
    for module in bank.modules.values():
        made += f'<h2 id="questions-{escape(module.id)}">{escape(module.code)} {escape(module.title)}</h2>'
        for outcome in module.outcomes:
            mine = [q for q in bank.questions.values() if q.outcome == outcome and q.papers != "only"]
            rows = "".join(f"<li>{_question(question, link(question.id))}</li>" for question in mine)
            rows = rows or "<li>no question yet</li>"
            made += f"<h3>{escape(bank.outcomes[outcome].says)}</h3><ul>{rows}</ul>"
    return made


def _question(question: Question, address: str) -> str:
    text = "".join(part if isinstance(part, str) else "…" for part in question.text)
    shown = escape(text if len(text) <= SHOWN else text[:SHOWN].rpartition(" ")[0] + " …")
    name = f'<a href="{escape(address)}">{shown}</a>' if address else shown
    return f"{name} <small>({KINDS[question.kind]})</small>"


def sources_html(bank: Bank) -> str:
    """Every source with what rests on it; what rests on practice or memory is listed plainly."""
    used: dict[str, list[str]] = {}
    for law in all_laws(bank):
        for citation in law.citations:
            used.setdefault(_group(citation), []).append(_use(law.title, citation))
    for question in bank.questions.values():
        for citation in question.citations:
            used.setdefault(_group(citation), []).append(_use(f"question {question.id}", citation))
    made = "<h2>Published</h2>"
    for source in bank.sources.values():
        if source.id in used:
            made += f"<h3>{escape(citation_text(bank, Citation('published', source.id)))}</h3>{_list(used[source.id])}"
    made += "<h2>Common practice</h2><p>What the trade does every day; no single text is its source.</p>"
    made += _list(used.get("common practice", []))
    made += (
        "<h2>From memory</h2><p>Written from memory of the text named. Read the current edition before you rely "
        "on it.</p>"
    )
    return made + _list(used.get("from memory", []))


def _group(citation: Citation) -> str:
    return citation.source or citation.kind


def _use(title: str, citation: Citation) -> str:
    return f"{title} ({citation.where})" if citation.where else title


def _list(items: list[str]) -> str:
    rows = "".join(f"<li>{escape(item)}</li>" for item in items)
    return f"<ul>{rows}</ul>" if rows else "<p>Nothing yet.</p>"


def checks_html(bank: Bank, report: Mapping[str, Any]) -> str:
    """What every number has passed, with this course's real counts."""
    rejected = sum(report["rejected"].values())
    alone = report["on_one_form"]
    backed = sum(bool(bank.formulas[id].checks) for id in alone)
    rows = "".join(
        f"<tr><td>{escape(reason)}</td><td>{count}</td></tr>" for reason, count in by_kind(report["rejected"]).items()
    )
    return (
        "<ul>"
        f"<li>{report['variants']} sets of numbers ship in {report['questions']} questions. "
        "Each key was found by two routes of different make: once in SI units all at once, once step by step "
        "from the printed numbers with the units carried along. Both agree to nine figures.</li>"
        f"<li>{len(report['formulas'])} formulas were used. Where a second form exists, each answer was put back "
        "into it and gave the given number back.</li>"
        f"<li>{len(alone)} formulas rest on one form alone. {backed} of them have a published value beside them.</li>"
        f"<li>{report['check_values']} published values were worked through the course's own formulas and agree.</li>"
        "<li>The tolerance of each answer was found from the ways people round while working. "
        "It is at most two hundredths of the answer, unless the author set another.</li>"
        f"<li>{report['slips']} slips have words of their own. No slip lies near the right answer.</li>"
        f"<li>{rejected} draws were thrown away, for the reasons below.</li>"
        f"</ul><table><thead><tr><th>Thrown away because</th><th>Draws</th></tr></thead><tbody>{rows}</tbody></table>"
    )
