"""The candidate's page: one file that asks for nothing outside itself, complete without a script.

Everything on it comes from a `Page`. Without a script it is a paper to print and write on.
"""

from __future__ import annotations

import json
from functools import cache, lru_cache
from html import escape
from importlib.resources import files

from quizgen.expression.linear import symbol_parts
from quizgen.expression.units import entries_for_browser, unit_list
from quizgen.papers.sheets import Placed, sheets_of
from quizgen.papers.types import Box, Page, PageQuestion, Text
from quizgen.web.document import document as shell

LETTERS = "abcdefghijklmnopqrstuvwxyz"
NO_PERMISSION = (
    "This paper is evidence of what you could answer. It gives no permission to open, touch or test anything: "
    "the law, the maker's procedure and your employer's appointment do."
)


def page_html(page: Page) -> str:
    """The whole document."""
    sheets = sheets_of(page)
    before = 2 if page.large else 1
    of = before + len(sheets) + 1
    inside = [_sheet(page, at, of, one, "rules") for at, one in enumerate(_rules(page, of, before), 1)]
    inside += [_sheet(page, at, of, "".join(map(_question, one))) for at, one in enumerate(sheets, before + 1)]
    inside.append(_sheet(page, of, of, _end(page), "end"))
    head = (
        f'<header class="top"><h1>{escape(page.title)}</h1><p>Paper <b>{page.number}</b> '
        f"for {escape(page.code)}</p></header>"
    )
    data = _json({"number": page.number, "code": page.code, "minutes": page.minutes})
    units = _json(entries_for_browser(unit_list(page.currency)))
    script = f'(function () {{\n"use strict";\nconst PAPER = {data};\nconst UNIT_LIST = {units};\n{_script()}\n}})();'
    return document(
        f"{page.number}: {page.title}",
        f'{head}<main class="paper{" large" if page.large else ""}">{"".join(inside)}</main>'
        '<footer class="low"><p id="said" role="status" aria-atomic="true"></p><div class="bar"></div></footer>'
        f"<script>{script}</script>",
        "script-src 'unsafe-inline'; ",
    )


def document(title: str, body: str, more: str = "") -> str:
    """A page in the look of papers. title: plain text; body: HTML; more: what else the page may load."""
    return shell(title, body, _style(), more)


@cache
def _style() -> str:
    import rcssmin

    text = files("quizgen.papers").joinpath("style", "paper.css").read_text(encoding="utf-8")
    return str(rcssmin.cssmin(text))


@cache
def _script() -> str:
    import rjsmin

    parts = [files("quizgen.web").joinpath("script", name) for name in ("number.js", "write.js")]
    parts += [files("quizgen.papers").joinpath("script", name) for name in ("digest.js", "form.js", "sit.js")]
    text = "\n".join(part.read_text(encoding="utf-8") for part in parts)
    return str(rjsmin.jsmin(text)).replace("</", "<\\/")


def _json(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _sheet(page: Page, at: int, of: int, inner: str, kind: str = "") -> str:
    """One sheet of paper: its head and foot say what it is, in the document itself."""
    mark = f"Paper {page.number} · {escape(page.code)} · sheet {at} of {of}"
    classes = f"sheet {kind}".strip()
    return (
        f'<section class="{classes}"><p class="mark">{mark}</p><div class="inside">{inner}</div>'
        f'<p class="mark foot">{mark}</p></section>'
    )


def _rules(page: Page, of: int, before: int) -> list[str]:
    """The rules on as many sheets as they need."""
    questions = [question for section in page.sections for question in section.questions]
    must = sum(question.must for question in questions)
    rules = [
        f"{len(questions)} questions, {page.of} marks. Each answer says how many marks it is worth. Nothing is taken "
        "off for a wrong answer.",
        f"You pass with {page.pass_mark} marks or more"
        + (f", and all {must} questions that say “must be right” have to be right." if must else "."),
        f"You have {page.minutes} minutes. The clock on the page only helps you: the invigilator's clock counts. "
        "You can switch it off.",
        "Numbers take a point or a comma: 16.5 or 16,5. Do not group digits with points or commas: 1.234 reads two "
        "ways and earns nothing. On the page, what was read stands beside the box.",
        "Give as many figures as asked. Round at the end, not on the way. A unit beside the box need not be written; "
        "another unit of the same kind is converted.",
        "If an early answer is wrong and you go on rightly with it, the later step still earns its mark. That does "
        "not hold where it says “must be right”.",
        "Aids: " + "; ".join(escape(aid.rstrip(".")) for aid in page.aids) + ".",
        f"This paper is yours alone: its numbers are nobody else's. It is marked until {page.valid_until}.",
    ]
    each = -(-len(rules) // before)
    listed = [
        f'<ol start="{first + 1}">' + "".join(f"<li>{rule}</li>" for rule in rules[first : first + each]) + "</ol>"
        for first in range(0, len(rules), each)
    ]
    listed[0] = (
        f'<p class="title">{escape(page.title)}</p><p class="course">{escape(page.course)}</p>'
        f'<p class="note">{NO_PERMISSION}</p><h2>Rules</h2>'
        f'<p class="on-paper">On paper: {of} sheets. Write in ink, and hand in all of them.</p>{listed[0]}'
    )
    listed[-1] += '<div class="start"></div>'
    return listed


def _question(placed: Placed) -> str:
    question, number = placed.question, placed.number
    title = f"<h2>{escape(placed.title)}</h2>" if placed.title else ""
    must = ' <span class="must">must be right</span>' if question.must else ""
    inner = "".join(_box(number, at, box, question) for at, box in enumerate(question.boxes))
    return (
        f'{title}<section class="question" id="q{number}" aria-labelledby="q{number}-label">'
        f'<h3 id="q{number}-label">Question {number}{must}</h3>'
        f'<p class="text">{text_html(question.text)}</p>{inner}</section>'
    )


def text_html(text: Text) -> str:
    made = ""
    for part in text:
        if isinstance(part, str):
            made += words_html(part)
        else:
            symbol = f"{symbol_html(part.symbol)}&nbsp;=&nbsp;" if part.symbol else ""
            made += f"<b>{symbol}{escape(part.text)}</b>"
    return made


@lru_cache(maxsize=4096)
def words_html(text: str) -> str:
    """Words as HTML, kept: papers of one plan have the same. For what a candidate typed there is `escape`."""
    return escape(text)


@lru_cache(maxsize=1024)
def symbol_html(symbol: str) -> str:
    base, sub = symbol_parts(symbol)
    return f"<i>{escape(base)}</i>" + (f"<sub>{escape(sub)}</sub>" if sub else "")


def _marks(box: Box) -> str:
    return f"{box.marks} mark{'s' * (box.marks != 1)}"


def _box(number: int, at: int, box: Box, question: PageQuestion) -> str:
    last = at == len(question.boxes) - 1
    worth = f'<span class="worth">{_marks(box)}</span>'
    if last and question.options:
        return _options(number, at, box, question, worth)
    if last and question.places:
        return _places(number, at, box, question, worth)
    id = f"q{number}-{at}"
    step = f'<span class="step">{at + 1}</span> ' if len(question.boxes) > 1 else ""
    how = f' <span class="how">({escape(box.how)})</span>' if box.how else ""
    unit = f'<span class="unit" id="{id}-unit">{escape(box.unit)}</span>' if box.unit else ""
    described = f"{id}-read" + (f" {id}-unit" if box.unit else "")
    return (
        f'<div class="box" data-kind="number" data-unit="{escape(box.unit)}" data-figures="{box.figures}" '
        f'data-named="{int(box.unit_asked)}"><label for="{id}">{step}{text_html(box.ask)}{how} {worth}</label>'
        f'<div class="line"><span class="symbol">{symbol_html(box.symbol)}&nbsp;=</span><input id="{id}" type="text" '
        f'maxlength="60" autocomplete="off" autocapitalize="off" spellcheck="false" aria-describedby="{described}">'
        f'{unit}<span class="read" id="{id}-read"></span></div><div class="working"></div></div>'
    )


def _options(number: int, at: int, box: Box, question: PageQuestion, worth: str) -> str:
    kind = "checkbox" if question.several else "radio"
    rows = "".join(
        f'<label class="option"><input type="{kind}" name="q{number}" value="{letter}" autocomplete="off">'
        f'<span class="letter">{letter}</span><span>{escape(option)}</span></label>'
        for letter, option in zip(LETTERS, question.options, strict=False)
    )
    return (
        f'<fieldset class="box" data-kind="options" id="q{number}-{at}" tabindex="-1">'
        f"<legend>{text_html(box.ask)} {worth}</legend>{rows}</fieldset>"
    )


def _places(number: int, at: int, box: Box, question: PageQuestion, worth: str) -> str:
    rows = "".join(
        f'<li><input id="q{number}-{at}-{place}" type="text" inputmode="numeric" maxlength="2" autocomplete="off" '
        f'aria-label="Place of: {escape(text)}"><label for="q{number}-{at}-{place}">{escape(text)}</label></li>'
        for place, text in enumerate(question.places)
    )
    return (
        f'<fieldset class="box" data-kind="places" id="q{number}-{at}" tabindex="-1">'
        f'<legend>{text_html(box.ask)} {worth}</legend><ul class="places">{rows}</ul></fieldset>'
    )


def _end(page: Page) -> str:
    lines = "".join(
        f'<tr><th scope="row">{what}</th><td></td></tr>'
        for what in ("Handed in at (time)", "Check code, if sat on the page", "Candidate", "Invigilator")
    )
    return (
        f"<h2>Hand in</h2><div class='review'></div><table class=\"sign\"><tbody>{lines}</tbody></table>"
        f'<p class="note">{NO_PERMISSION}</p>'
    )
