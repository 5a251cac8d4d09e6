"""What a trainer prints: the mark sheet for a candidate, the key to mark by hand, the sign-off sheet."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from quizgen.expression.writing import Rounding, quantity
from quizgen.papers.mark import right_letters, right_ranks, wanted
from quizgen.papers.page import NO_PERMISSION, document, text_html, words_html
from quizgen.papers.seal import asked_text, page_question, steps_asked
from quizgen.papers.types import BoxMark, Issue, Issued, Mark, QuestionMark

APPEAL = (
    "If you think that an answer was marked wrongly, tell the trainer which question and why, within 14 days. A second "
    "person then marks it from the record. If the question itself is faulty, it counts as right for everybody."
)


def marksheet_html(issue: Issue, mark: Mark) -> str:
    """The mark sheet: the result, then every answer with its reason. Choices and orders do not give away the key."""
    reached = f"{mark.marks} of {mark.of} marks; {mark.pass_mark} are needed."
    if mark.passed:
        result = f"Passed. {reached}"
    else:
        result = f"Not passed. {reached}"
        if mark.missed:
            count = len(mark.missed)
            plural = "questions that must be right are" if count > 1 else "question that must be right is"
            result += f" {count} {plural} not right."
    rows = "".join(_marked(number, one, made) for number, (one, made) in
                   enumerate(zip(issue.questions, mark.questions, strict=True), 1))  # fmt: skip
    notes = "".join(f"<li>{escape(note)}</li>" for note in mark.notes)
    return document(
        f"Mark sheet {mark.number}",
        f'<main class="paper report"><h1>Mark sheet: {escape(issue.title)}</h1>{_facts(issue, mark.marked_on)}'
        f'<p class="result"><strong>{escape(result)}</strong></p>'
        f'<p class="note">{NO_PERMISSION}</p><h2>Your answers</h2>{rows}'
        + (f"<h2>Notes</h2><ul>{notes}</ul>" if notes else "")
        + f"<h2>How the pass mark was set</h2><p>{escape(issue.note)}</p>"
        f"<h2>If you do not agree</h2><p>{APPEAL}</p>{_signed('Candidate', 'Trainer')}</main>",
    )


def _facts(issue: Issue, marked_on: str = "") -> str:
    facts = [("Paper", issue.number), ("Candidate", issue.code), ("Attempt", str(issue.attempt)),
             ("Issued on", issue.issued_on), ("Marked on", marked_on)]  # fmt: skip
    rows = "".join(f'<tr><th scope="row">{a}</th><td>{escape(b)}</td></tr>' for a, b in facts if b)
    return f'<table class="slim"><tbody>{rows}</tbody></table>'


def _marked(number: int, one: Issued, made: QuestionMark) -> str:
    must = ' <span class="must">must be right</span>' if made.must else ""
    void = f'<p class="note">Taken out, and right for everybody: {escape(made.void)}</p>' if made.void else ""
    rows = "".join(_answer(one, at, box, len(made.boxes)) for at, box in enumerate(made.boxes))
    return (
        f'<section class="question"><h3>Question {number}{must}</h3>'
        f'<p class="text">{text_html(asked_text(one))}</p>{void}'
        '<div class="wide"><table><thead><tr><th scope="col">Your answer</th><th scope="col">As read</th>'
        f'<th scope="col">Why</th><th scope="col">Marks</th></tr></thead><tbody>{rows}</tbody></table></div></section>'
    )


def _answer(one: Issued, at: int, box: BoxMark, of: int) -> str:
    step = f"{at + 1}. " if of > 1 else ""
    why = words_html(box.says)
    if one.variant and box.verdict != "right":
        index = len(one.question["steps"]) - len(one.marks) + at
        asked, answer = one.question["steps"][index], one.variant["answers"][index]
        if "key" in answer and not ("options" in one.question and asked is one.question["steps"][-1]):
            why += f" Wanted: {escape(wanted(one, asked, answer))}."
    return (
        f"<tr><td>{step}{escape(box.typed) or '–'}</td><td>{escape(box.read)}</td><td>{why}</td>"
        f'<td class="number">{box.marks} of {box.of}</td></tr>'
    )


def key_html(issue: Issue) -> str:
    """The key of one paper, for marking by hand. It is as secret as the paper."""
    rows = "".join(_keyed(number, one) for number, one in enumerate(issue.questions, 1))
    must = sum(one.must for one in issue.questions)
    rule = f"Passed with {issue.pass_mark} of {issue.of} marks" + (
        f" and all {must} questions right that must be." if must else "."
    )
    return document(
        f"Key {issue.number}",
        f'<main class="paper report"><h1>Key: {escape(issue.title)}</h1>{_facts(issue)}'
        f'<p class="result"><strong>{rule}</strong></p>'
        '<p class="note">Keep this sheet away from candidates, and destroy it '
        "when the paper is marked.</p>"
        "<p>A later step earns its marks as well where it is worked rightly with the candidate's own, wrong but "
        "possible, earlier value. That never holds in a question that must be right. Fewer figures than asked earn "
        f"the marks only inside the range.</p><h2>Answers</h2>{rows}{_signed('Marked by', 'Marked again by')}</main>",
    )


def _keyed(number: int, one: Issued) -> str:
    question = page_question(one)
    must = ' <span class="must">must be right</span>' if one.must else ""
    if one.question["kind"] == "choice":
        rows = _key_row("", right_letters(one), "", one.marks[0])
    elif one.question["kind"] == "order":
        free = "; ".join(f"{a} and {b} either way round" for a, b in one.question["either_way"])
        rows = _key_row("", right_ranks(one), free, one.marks[0])
    else:
        skipped = len(one.question["steps"]) - len(one.marks)
        rows = ""
        for at, (step, marks) in enumerate(zip(steps_asked(one), one.marks, strict=True)):
            answer = one.variant["answers"][skipped + at]
            shown = wanted(one, step, answer)
            if "options" in one.question and step is one.question["steps"][-1]:
                letter = "abcdefghijklmnopqrstuvwxyz"[one.question["options"].index(shown)]
                rows += _key_row(f"{at + 1}. ", f"{letter}: {shown}", "", marks)
                continue
            low, high = (_edge(step, answer, sign) for sign in (-1, 1))
            rows += _key_row(f"{at + 1}. ", shown, f"from {low} to {high}", marks)
    return (
        f'<section class="question"><h3>Question {number}{must}</h3>'
        f'<p class="text">{text_html(question.text)}</p>'
        '<table><thead><tr><th scope="col">Wanted</th><th scope="col">Accepted</th>'
        '<th scope="col">Marks</th></tr></thead>'
        f"<tbody>{rows}</tbody></table></section>"
    )


def _key_row(step: str, shown: str, accepted: str, marks: int) -> str:
    return f'<tr><td>{step}<b>{escape(shown)}</b></td><td>{escape(accepted)}</td><td class="number">{marks}</td></tr>'


def _edge(step: dict[str, object], answer: dict[str, float], sign: int) -> str:
    """The last accepted value on one side, with two figures more than are asked."""
    value = (answer["key"] + sign * answer["tolerance"]) / float(str(step["factor"]))
    return quantity(value, Rounding(figures=6), str(step["unit"]))


def signoff_html(issues: Iterable[Issue]) -> str:
    """The sheet that lies on the invigilator's desk: who handed in what, with which check code."""
    kept = list(issues)
    rows = "".join(
        f'<tr><td>{escape(one.code)}</td><td>{one.number}</td><td class="number">{one.minutes} min</td>'
        "<td></td><td></td><td></td><td></td></tr>"
        for one in kept
    )
    heads = ("Candidate", "Paper", "Time", "Began", "Handed in", "Check code", "Candidate signs")
    head = "".join(f'<th scope="col">{text}</th>' for text in heads)
    title = kept[0].title if kept else ""
    return document(
        f"Sign-off: {title}",
        f'<main class="paper report"><h1>Sign-off sheet: {escape(title)}</h1>'
        "<p>The invigilator checks each candidate's identity, writes down the times, and copies the check code from "
        "the candidate's screen. The candidate signs beside it. For a paper on paper: count the sheets.</p>"
        '<div class="wide" role="region" aria-label="Candidates" tabindex="0"><table class="signoff">'
        f"<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>"
        f"{_signed('Invigilator', 'Date and place')}</main>",
    )


def _signed(*whats: str) -> str:
    rows = "".join(f'<tr><th scope="row">{what}</th><td></td></tr>' for what in whats)
    return f'<table class="sign"><tbody>{rows}</tbody></table>'
