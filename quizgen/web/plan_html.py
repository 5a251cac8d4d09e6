"""The block of a page where a learner opens what was assigned; its script is `script/plan.js`."""

from __future__ import annotations

from quizgen.bank.models import Question
from quizgen.web.bundle import page_style

TEMPLATE = '<template class="qz-plan-data">'
PARTS = {"what-is-due": "What is due", "once-more": "Practise once more"}
"""Headings by their anchors."""
SHOWN = 80
"""So many characters of a question tell a learner which one it is."""


def plan_html() -> str:
    """Headings and a sentence for each part; the script fills the rest in."""
    return (
        f'<style>{page_style("plan")}</style><div class="qz-your-plan">'
        f"<section>{_heading('what-is-due')}"
        '<div class="qz-due"><p>What your trainer gave you is shown here, by a script of this page. Without it your '
        "slip tells you what is due.</p></div></section>"
        f"<section>{_heading('once-more')}"
        '<div class="qz-again"><p>A few questions that you have practised before are proposed here each day, by a '
        "script of this page. Without it, go back to a module of last week.</p></div></section>"
        f"{TEMPLATE}</template></div>"
    )


def _heading(id: str) -> str:
    return f'<h2 id="{id}">{PARTS[id]}</h2>'


def question_name(question: Question) -> str:
    """The first words of a question, with … for its numbers."""
    text = "".join(part if isinstance(part, str) else "…" for part in question.text)
    return text if len(text) <= SHOWN else text[:SHOWN].rpartition(" ")[0] + " …"
