"""How well each outcome is covered by questions, and the plan of study: order, needs and times of the modules."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from quizgen.bank.models import Bank, Module
from quizgen.web.drawn_text import text_svg

LEAST = 3
"""Questions that every outcome of a finished module has at least, those on papers only included."""
KINDS = {"numeric": "calculate", "look-up": "look up", "choice": "choose", "order": "put in order"}
WIDE, BOX, TALL, ROW = 328.0, 46.0, 26.0, 54.0


def counts_of(bank: Bank) -> dict[str, dict[str, int]]:
    """For each outcome how many questions there are of each kind, and under "papers" how many stand on papers."""
    made = {outcome: dict.fromkeys((*KINDS, "papers"), 0) for outcome in bank.outcomes}
    for question in bank.questions.values():
        made[question.outcome][question.kind] += 1
        made[question.outcome]["papers"] += question.papers != "none"
    return made


def coverage_html(bank: Bank) -> str:
    """A table for each module: outcomes against kinds of questions, with sums; what is short of the bound says so."""
    counts = counts_of(bank)
    heads = "".join(f"<th>{word}</th>" for word in ("Outcome", *KINDS.values(), "together", "of these on papers"))
    made = ""
    for module in bank.modules.values():
        rows = "".join(_row(bank.outcomes[id].says, counts[id]) for id in module.outcomes)
        made += f'<h2 id="coverage-{escape(module.id)}">{escape(module.code)} {escape(module.title)}</h2>'
        table = f'<table class="qz-coverage"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'
        made += f'<div class="qz-scroll">{table}</div>'
    return made


def _row(says: str, counts: dict[str, int]) -> str:
    together = sum(counts[kind] for kind in KINDS)
    short = f" (of {LEAST} at least)" if together < LEAST else ""
    cells = "".join(f"<td>{counts[kind] or '–'}</td>" for kind in KINDS)
    return f"<tr><td>{escape(says)}</td>{cells}<td>{together}{short}</td><td>{counts['papers'] or '–'}</td></tr>"


def plan_html(bank: Bank, link: Callable[[str], str]) -> str:
    """Modules in order with what they need, their minutes and the sum so far; `link` gives a module's page or ""."""
    rows, total = "", 0
    for module in bank.modules.values():
        total += module.minutes
        name = escape(f"{module.code} {module.title}")
        name = f'<a href="{escape(link(module.id))}">{name}</a>' if link(module.id) else name
        needs = escape(", ".join(bank.modules[need].code for need in module.needs)) or "nothing"
        rows += f"<tr><td>{name}</td><td>{needs}</td><td>{module.minutes}</td><td>{hours(total)}</td></tr>"
    heads = "<th>Module</th><th>Needs</th><th>Minutes</th><th>Sum</th>"
    table = f'<div class="qz-scroll"><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'
    several = "module" if len(bank.modules) == 1 else "modules"
    said = f"<p>{len(bank.modules)} {several}, {hours(total)} in all, reading and practice together.</p>"
    return said + table + _graph(bank)


def hours(minutes: int) -> str:
    """`1 h 30 min`."""
    whole, rest = divmod(minutes, 60)
    return " ".join(part for part in (f"{whole}\u00a0h" if whole else "", f"{rest}\u00a0min" if rest else "") if part)


def levels(bank: Bank) -> list[list[Module]]:
    """The modules in rows: each stands below everything it needs, as high as that allows."""
    depth: dict[str, int] = {}
    waiting = list(bank.modules.values())
    while waiting:
        module = waiting.pop(0)
        if all(need in depth for need in module.needs):
            depth[module.id] = 1 + max((depth[need] for need in module.needs), default=-1)
        else:
            waiting.append(module)
    rows: list[list[Module]] = [[] for _ in range(1 + max(depth.values(), default=-1))]
    for module in bank.modules.values():
        rows[depth[module.id]].append(module)
    return rows


def direct_needs(bank: Bank, module: Module) -> tuple[str, ...]:
    """What a module needs without what is needed for it anyway."""
    return tuple(need for need in module.needs if not any(need in _all(bank, other) for other in module.needs))


def _all(bank: Bank, id: str) -> set[str]:
    """Every module that stands somewhere before this one."""
    found: set[str] = set()
    waiting = list(bank.modules[id].needs)
    while waiting:
        need = waiting.pop()
        if need not in found:
            found.add(need)
            waiting += bank.modules[need].needs
    return found


def _graph(bank: Bank) -> str:
    """Boxes with the modules' codes, a line from each to what it needs directly."""
    rows = levels(bank)
    at: dict[str, tuple[float, float]] = {}
    for down, row in enumerate(rows):
        for across, module in enumerate(row):
            at[module.id] = (WIDE * (across + 0.5) / len(row), 2 + down * ROW)
    lines, boxes, words = "", "", []
    for module in (module for row in rows for module in row):
        x, y = at[module.id]
        boxes += f'<rect class="qz-hollow" x="{x - BOX / 2:.1f}" y="{y:.1f}" width="{BOX:g}" height="{TALL:g}"/>'
        boxes += text_svg(x, y + 18, module.code, "middle")
        needs = direct_needs(bank, module)
        for need in needs:
            lines += f"M{at[need][0]:.1f} {at[need][1] + TALL:.1f}L{x:.1f} {y:.1f}"
        after = ", ".join(bank.modules[need].code for need in needs)
        words.append(f"{module.code} after {after}" if after else f"{module.code} first")
    tall = len(rows) * ROW - ROW + TALL + 4
    title = "What comes before what"
    return (
        '<figure class="qz-picture"><svg data-search-exclude="" role="img" aria-labelledby="plan-title" '
        'aria-describedby="plan-says" '
        f'viewBox="0 0 {WIDE:g} {tall:g}" width="{WIDE:g}" height="{tall:g}"><title id="plan-title">{title}</title>'
        f'<desc id="plan-says">{escape("; ".join(words))}.</desc><path d="{lines}"/>{boxes}</svg>'
        "<figcaption>From top to bottom. A line leads from each module up to what it needs directly.</figcaption>"
        "</figure>"
    )
