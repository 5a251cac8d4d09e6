"""A group's progress for the console, as rows for a spreadsheet, and as data."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from quizgen.cohort.analysis_text import cell, span
from quizgen.cohort.called import Called, place_in_words
from quizgen.cohort.progress import NO_PROOF, Asked, Item, Learner, Made, Progress, stuck, troubled
from quizgen.cohort.progress_slip import Slip

FIRST_SLIPS, FIRST_QUESTIONS, FIRST_LEARNERS, FIRST_PLACES, FIRST_GONE = 8, 8, 60, 3, 6
HEADS = ("code", "saved", "question", "module", "answers", "right", "helped", "days right alone", "last answer right",
         "mistakes", "its first words", "where it stands")  # fmt: skip


def lines(found: Progress) -> list[str]:
    came = [one for one in found.learners if one.saved]
    whose = f"Group {found.group}: " if found.group else ""
    made = [f"{whose}{counted(len(came), 'learner')} with a slip, {found.day}.", "", *learner_table(found)]
    made += ["", "Talk about this first:", *(slip_lines(found) or ["  No mistake with a name was made."])]
    made += ["", "Questions that go wrong:", *question_lines(found.questions, found.called)]
    if found.cases:
        made += ["", "Cases:", *question_lines(found.cases, found.called)]
    for head, said in people(found):
        made += ["", f"{head}:", *(f"  {line}" for line in said)]
    rest = unknown(found)
    return [*made, "", *rest, ""] if rest else [*made, ""]


def unknown(found: Progress) -> list[str]:
    """What the slips tell of questions and mistakes that this course does not have."""
    said = []
    if found.unknown_questions:
        which = ", ".join(f"{id} ({counted(people, 'learner')})" for id, people in found.gone[:FIRST_GONE])
        left = len(found.gone) - FIRST_GONE
        which += f" and {left} more" if left > 0 else ""
        said.append(f"{counted(found.unknown_questions, 'result')} of questions that nobody can practise in this course"
                    f"{': ' if which else ''}{which}. Did you rename one? Put its old id under was: of the new one. "
                    "Did you take one out? It counts no more. Else the learners have an older or a newer "
                    "edition.")  # fmt: skip
    if found.unknown_slips:
        said.append(f"{counted(found.unknown_slips, 'mistake')} whose words this course does not have.")
    return said


def learner_table(found: Progress) -> list[str]:
    """Columns of even width; the state is words."""
    heads = ("code", "saved", "last answer", "questions", "answers", "right", "helped", "done", "state")
    shown = found.learners[:FIRST_LEARNERS]
    rows = [heads, *(_row(one) for one in shown)]
    wide = [max(len(row[at]) for row in rows) for at in range(len(heads))]
    right = range(3, 7)
    made = [
        "  ".join(
            text.rjust(size) if at in right else text.ljust(size)
            for at, (text, size) in enumerate(zip(row, wide, strict=True))
        ).rstrip()
        for row in rows
    ]
    left = len(found.learners) - len(shown)
    return [*made, f"and {left} more: --csv or --html has them all"] if left else made


def _row(one: Learner) -> tuple[str, ...]:
    if not one.saved:
        return (one.code, "no slip", "", "", "", "", "", "", state(one))
    numbers = (one.questions, one.answers, one.right, one.helped)
    return (one.code, one.saved, one.last or "not known", *map(str, numbers), done_of(one), state(one))


def done_of(one: Learner) -> str:
    return f"{sum(item.done for item in one.items)} of {len(one.items)}" if one.items else ""


def state(one: Learner) -> str:
    late = [item.title for item in one.items if item.late]
    said = [f"late: {', '.join(late)}"] if late else []
    said += ["has stopped"] if one.stopped else []
    said += ["ready for a paper"] if one.ready else []
    return "; ".join(said)


def slip_lines(found: Progress) -> list[str]:
    made = []
    for one in stuck(found)[:FIRST_SLIPS]:
        made += [f"  {one.says}", f"      {made_by(one)}; mistake {one.slip}", *where_made(one, found.called)]
    return made


def made_by(one: Made) -> str:
    who = f" ({', '.join(one.codes)})" if one.people <= 6 else ""
    often = counted(one.times, "time")
    return f"{one.people} of {counted(one.of, 'learner')} who tried{who}, {often}, at 95 %: {span(one.interval)}"


def where_made(one: Made, names: Mapping[str, Called]) -> list[str]:
    made = []
    for id, people in one.questions[:FIRST_PLACES]:
        by = f", made by {people} there" if people > 1 else ""
        made.append(f"      in {quoted_words(names[id])}: {place_in_words(names[id])} ({id}){by}")
    left = len(one.questions) - len(made)
    return [*made, f"      and in {left} more"] if left else made


def quoted_words(one: Called) -> str:
    """In quotation marks; those of its own become single ones."""
    return f"“{one.words.replace('“', '‘').replace('”', '’')}”"


def question_lines(asked: Sequence[Asked], names: Mapping[str, Called]) -> list[str]:
    open_ = troubled(asked)[:FIRST_QUESTIONS]
    if not open_:
        return ["  Whoever tried one had it right without help."] if asked else ["  None was tried."]
    made = []
    for one in open_:
        name = names[one.id]
        made += [
            f"  {quoted_words(name)}",
            f"      {place_in_words(name)} ({one.id})",
            f"      {alone_text(one)}",
        ]
    return made


def alone_text(one: Asked) -> str:
    return (
        f"{one.alone} of {one.tried} had it right without help (at 95 %: {span(one.interval)}); "
        f"{one.right} of {counted(one.answers, 'answer')} right, facility {one.facility:.2f}"
    )


def people(found: Progress) -> list[tuple[str, list[str]]]:
    """Who is late, has stopped, is ready, handed in nothing; only what there is."""
    late = [f"{one.code}: {late_items(one)}" for one in found.learners if late_items(one)]
    stopped = [
        f"{one.code}: last answer {one.last or 'never'}, slip of {one.saved}" for one in found.learners if one.stopped
    ]
    ready = [f"{one.code}: {done_of(one)} done" for one in found.learners if one.ready]
    if found.plan and not ready:
        ready = ["nobody yet"]
    missing = [one.code for one in found.learners if not one.saved]
    rule = found.rule
    asked = f"the modules of {found.plan}" if found.plan else "all that was assigned"
    parts = [
        ("Late, as far as the slips say", late),
        (f"No answer for more than {found.stopped_after} days, while something is to be done", stopped),
        (f"Ready for a paper ({asked}: {rule.right} of the last {rule.of_last} right without help, "
         f"some right on {counted(rule.on_days, 'day')})", ready),
        ("No slip came from", [", ".join(missing)] if missing else []),
    ]  # fmt: skip
    return [(head, said) for head, said in parts if said]


def late_items(one: Learner) -> str:
    return ", ".join(f"{item.title}, due {item.due}, {item_state(one, item)}" for item in one.items if item.late)


def item_state(one: Learner, item: Item) -> str:
    if not one.saved:
        return "no slip"
    return f"{item.right} of the last {item.of} right without help" if item.of else "not begun or not right yet"


def counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def table(slips: Iterable[Slip], modules: Mapping[str, str], names: Mapping[str, Called]) -> str:
    """CSV, one line for each code and question. names: of every question and case in the slips."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    for slip in slips:
        for id, counts in slip.results.items():
            made = " ".join(f"{name} x{times}" for name, times in counts.slips)
            row = (slip.code, slip.saved, id, modules.get(id, ""), counts.tries, counts.right, counts.helped,
                   counts.alone, "yes" if counts.now else "no", made, names[id].words,
                   place_in_words(names[id]))  # fmt: skip
            writer.writerow([cell(value) for value in row])
    return out.getvalue()


def data(found: Progress, skipped: Iterable[Any], notes: Iterable[str]) -> dict[str, Any]:
    return {
        "v": 1, "kind": "progress", **asdict(found), "skipped": [asdict(one) for one in skipped],
        "notes": list(notes), "note": NO_PROOF,
    }  # fmt: skip
