"""A group's progress as one HTML file that asks for nothing: to read on any screen, to print, to keep."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape

from quizgen.bank.models import Bank
from quizgen.cohort.analysis_text import span
from quizgen.cohort.called import Called, place_in_words
from quizgen.cohort.collect import Skipped
from quizgen.cohort.progress import NO_PROOF, Asked, Item, Learner, Made, Progress, stuck, troubled
from quizgen.cohort.progress_text import FIRST_PLACES, counted, people, quoted_words, unknown
from quizgen.web.document import document

MOST_SLIPS, MOST_QUESTIONS = 20, 20
Namer = Callable[[str], str]
"""HTML that tells a question or case by its id."""
STYLE = """
:root { color-scheme: light dark; --line: light-dark(#767676, #8f8f8f); --soft: light-dark(#f1f1ec, #262626);
  font: 100%/1.5 system-ui, sans-serif; }
body { margin: 0; background: light-dark(#fff, #161616); color: light-dark(#1a1a1a, #ececec); }
main { max-inline-size: 60rem; margin-inline: auto; padding: .5rem 1rem 3rem; box-sizing: border-box; }
h1 { font-size: 1.6em; line-height: 1.2; margin-block: 1rem .3rem; }
h2 { font-size: 1.25em; margin-block: 2rem .5rem; padding-block-end: .2rem; border-block-end: 1px solid var(--line); }
p { margin-block: .4rem; max-inline-size: 46em; }
p, li { overflow-wrap: anywhere; }
.proof { padding: .5rem .8rem; border: 1px solid var(--line); }
.slips { margin: 0; padding: 0; list-style: none; }
.slips > li { padding-block: .5rem; border-block-end: 1px solid var(--line); break-inside: avoid; }
.slips > li:first-child { padding: .6rem .8rem; border: 2px solid; }
.says { font-size: 1.05em; }
.small { font-size: .875em; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; inline-size: 100%; }
th, td { padding: .3rem .5rem; border-block-end: 1px solid var(--line); text-align: start; vertical-align: top; }
thead th { border-block-end-width: 2px; vertical-align: bottom; }
th[scope="row"] { font-weight: 700; }
th.id { font-weight: 400; }
td.number, th.number { text-align: end; font-variant-numeric: tabular-nums; white-space: nowrap; }
.id { overflow-wrap: anywhere; }
.day { white-space: nowrap; }
.bar { vertical-align: middle; margin-inline-end: .4rem; }
.share { margin: 0; white-space: nowrap; }
.at { display: block; font-weight: 400; }
.id { min-inline-size: 14rem; }
a { color: LinkText; }
code { font: .95em ui-monospace, monospace; overflow-wrap: anywhere; }
ul.plain { margin: 0; padding-inline-start: 1.1rem; }
@media (max-width: 40rem) {
  .cards thead { position: absolute; clip-path: inset(50%); inline-size: 1px; block-size: 1px; overflow: hidden; }
  .cards :is(table, tbody, tr, th, td) { display: block; }
  .cards tr { padding-block: .5rem; border-block-end: 1px solid var(--line); }
  .cards :is(th, td) { border: 0; padding: .05rem 0; text-align: start; white-space: normal; }
  .cards td[data-head]::before { content: attr(data-head) ": "; }
  .cards td:empty { display: none; }
}
@media print {
  @page { margin: 14mm; }
  :root { color-scheme: only light; font-size: 10pt; }
  main { max-inline-size: none; padding: 0; }
  h2 { break-after: avoid; }
  tr { break-inside: avoid; }
  .wide { overflow: visible; }
}
"""


def progress_html(
    found: Progress, bank: Bank, skipped: Sequence[Skipped] = (), notes: Sequence[str] = (), site: str = ""
) -> str:
    """The whole report. skipped, notes: what was not taken, and what to know of the rest.

    site: the address of the course's pages, ending in "/", so that questions lead there; "" for no links.
    """
    name = _namer(found.called, site)
    title = f"Progress of {found.group}" if found.group else "Progress"
    came = sum(bool(one.saved) for one in found.learners)
    return document(
        title,
        f"<main><h1>{escape(title)}</h1>"
        f"<p>{escape(bank.course.title)}, {found.day}. {counted(came, 'learner')} with a slip"
        f"{_of_group(found, came)}.</p>"
        f'<p class="proof">{escape(NO_PROOF)}</p>'
        f"<h2>What to teach tomorrow</h2>{_slips(found, came, name)}"
        + "".join(f"<h2>{escape(head)}</h2>{_list(said)}" for head, said in people(found))
        + f"<h2>Questions that go wrong</h2>{_questions(found.questions, name)}"
        + (f"<h2>Cases</h2>{_questions(found.cases, name)}" if found.cases else "")
        + f"<h2>Learners</h2>{_learners(found)}"
        + _not_taken(found, skipped, notes)
        + "</main>",
        STYLE,
    )


def _of_group(found: Progress, came: int) -> str:
    return f", of {len(found.learners)} in the group" if found.group else ""


def _list(said: Iterable[str]) -> str:
    return f'<ul class="plain">{"".join(f"<li>{escape(line)}</li>" for line in said)}</ul>'


def _slips(found: Progress, came: int, name: Namer) -> str:
    shown = stuck(found)[:MOST_SLIPS]
    if not shown:
        return "<p>No mistake that has a name was made.</p>"
    once = ""
    if all(one.people == 1 for one in shown) and came > 1:
        once = "<p>No mistake was made by two learners; these were made by one each.</p>"
    left = len(stuck(found)) - len(shown)
    more = f"<p>And {left} more that fewer made.</p>" if left else ""
    return f'{once}<ol class="slips">{"".join(_slip(one, name) for one in shown)}</ol>{more}'


def _namer(names: Mapping[str, Called], site: str) -> Namer:
    def name(id: str) -> str:
        """Its first words, as a link where the site is known; then where it stands, and last its id."""
        one = names[id]
        words = escape(quoted_words(one))
        if site and one.address:
            words = f'<a href="{escape(site + one.address)}">{words}</a>'
        # A module's page mostly has the module's name: saying it twice tells nothing.
        page = "" if one.module.endswith(one.page) and one.module else f"the page {one.page}"
        return f'{words}<span class="small at">{escape(place_in_words(one, page))} <code>{escape(id)}</code></span>'

    return name


def _slip(one: Made, name: Namer) -> str:
    who = ", ".join(f'<span class="day">{escape(code)}</span>' for code in one.codes[:12])
    who += " …" if len(one.codes) > 12 else ""
    return (
        f'<li><p class="says">{escape(one.says)}</p>'
        f"<p><b>{one.people} of {counted(one.of, 'learner')}</b> who tried, "
        f"{counted(one.times, 'time')}: {who}</p>{_share(one.people, one.of, one.interval)}"
        f'<p class="small">Made in</p>{_where(one, name)}</li>'
    )


def _where(one: Made, name: Namer) -> str:
    said = [
        f"<li>{name(id)}{f'<span class=small>made by {people} there</span>' if people > 1 else ''}</li>"
        for id, people in one.questions[:FIRST_PLACES]
    ]
    left = len(one.questions) - len(said)
    return f'<ul class="plain where">{"".join(said)}{f"<li>and in {left} more</li>" if left else ""}</ul>'


def _share(part: int, of: int, interval: tuple[float, float]) -> str:
    """A line from 0 to 1 with the interval as a bar and the share as a dot; the words say the same."""
    low, high = interval
    at = 5 + 150 * part / of if of else 5.0
    return (
        '<p class="share"><svg class="bar" viewBox="0 0 160 20" width="160" height="20" aria-hidden="true">'
        '<path d="M5 10H155M5 5V15M80 7V13M155 5V15" fill="none" stroke="currentColor" stroke-width="1"/>'
        f'<path d="M{5 + 150 * low:.1f} 10H{5 + 150 * high:.1f}" stroke="currentColor" stroke-width="5"/>'
        f'<circle cx="{at:.1f}" cy="10" r="5" fill="Canvas" stroke="currentColor" stroke-width="2"/></svg>'
        f'<span class="small">{span(interval)}</span></p>'
    )


def _questions(asked: Sequence[Asked], name: Namer) -> str:
    open_ = troubled(asked)
    if not open_:
        return f"<p>{'Whoever tried one had it right without help.' if asked else 'None was tried.'}</p>"
    heads = (("Which", ""), ("Right without help, of those who tried, with its range at 95 %", ""),
             ("Answers right", "number"), ("With help", "number"), ("Facility", "number"))  # fmt: skip
    rows = "".join(
        f'<tr><th scope="row" class="id">{name(one.id)}</th>'
        f"<td>{one.alone} of {one.tried} right without help{_share(one.alone, one.tried, one.interval)}</td>"
        f'<td class="number" data-head="Answers right">{one.right} of {one.answers}</td>'
        f'<td class="number" data-head="With help">{one.helped}</td>'
        f'<td class="number" data-head="Facility">{one.facility:.2f}</td></tr>'
        for one in open_[:MOST_QUESTIONS]
    )
    left = len(open_) - MOST_QUESTIONS
    more = f"<p>And {left} more that go better.</p>" if left > 0 else ""
    return (
        "<p>The surest trouble first. A few people prove little: look at the range. Facility is the mean share of "
        f"right answers, each learner counted once.</p>{_table(heads, rows)}{more}"
    )


def _learners(found: Progress) -> str:
    heads = (("Code", ""), ("Slip of", ""), ("Last answer", ""), ("Questions", "number"), ("Answers right", "number"),
             ("With help", "number"), ("What is to be done", ""))  # fmt: skip
    return _table(heads, "".join(map(_learner, found.learners)))


def _learner(one: Learner) -> str:
    if not one.saved:
        return (
            f'<tr><th scope="row">{escape(one.code)}</th><td colspan="5">No slip yet.</td><td>{_items(one)}</td></tr>'
        )
    joined = f'<div class="small">joined from {one.slips}</div>' if one.slips > 1 else ""
    left = f'<div class="small">{one.left_out} older left out</div>' if one.left_out else ""
    return (
        f'<tr><th scope="row">{escape(one.code)}</th>'
        f'<td class="day" data-head="Slip of">{one.saved}{joined}</td>'
        f'<td class="day" data-head="Last answer">{one.last or "not known"}</td>'
        f'<td class="number" data-head="Questions">{one.questions}{left}</td>'
        f'<td class="number" data-head="Answers right">{one.right} of {one.answers}</td>'
        f'<td class="number" data-head="With help">{one.helped}</td><td>{_items(one)}</td></tr>'
    )


def _items(one: Learner) -> str:
    """Every state is a word."""
    said = [
        *(f"<li>{escape(item.title)}: {_item(item)}</li>" for item in one.items),
        *(["<li><b>has stopped</b></li>"] if one.stopped else []),
        *(["<li><b>ready for a paper</b></li>"] if one.ready else []),
    ]
    return f'<ul class="plain">{"".join(said)}</ul>' if said else ""


def _item(item: Item) -> str:
    due = f", due {item.due}" if item.due else ""
    if item.done:
        return f"done{due}"
    how = f", {item.right} of the last {item.of} right without help" if item.of else ""
    return f"{'<b>late</b>' if item.late else 'open'}{due}{how}"


def _not_taken(found: Progress, skipped: Sequence[Skipped], notes: Sequence[str]) -> str:
    said = [f"{one.where}: {one.why}." for one in skipped]
    rest = [*notes, *unknown(found)]
    return (f"<h2>Skipped</h2>{_list(said)}" if said else "") + (f"<h2>Notes</h2>{_list(rest)}" if rest else "")


def _table(heads: Iterable[tuple[str, str]], rows: str) -> str:
    head = "".join(f'<th scope="col"{f" class={kind}" if kind else ""}>{escape(text)}</th>' for text, kind in heads)
    return f'<div class="wide cards"><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>'
