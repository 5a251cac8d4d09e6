"""Marking a sheet against its record: every answer judged, every verdict with its reason.

Follow-through has guards. It never holds in a must-pass question, for a blank or impossible earlier answer,
where the carried value makes the step trivial, or where it leads to the key itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from quizgen.expression.linear import symbol_text
from quizgen.expression.reading import Typed, read
from quizgen.expression.units import UnitList, unit_list
from quizgen.expression.writing import Rounding, at_most, quantity, with_unit
from quizgen.marking.judge import EDGE, Verdict, judge, key_value
from quizgen.papers.second import known_values
from quizgen.papers.types import BoxMark, Issue, Issued, Mark, QuestionMark, Sheet

LETTERS = "abcdefghijklmnopqrstuvwxyz"
AS_READ = 6
"""With how many figures at most a sheet says what was read."""

SAID = {
    "right": "Right.",
    "blank": "Nothing was written here.",
    "unreadable": "This could not be read as an answer.",
    "two ways": "This can be read two ways, so it was not taken for either.",
    "unit": "This is another kind of unit than the one asked for.",
    "unit missing": "The answer was asked for with its unit.",
    "rounded too far": "Rounded too far: fewer figures than asked, and the value is lost.",
    "followed through": "Not the value of this paper, but right with your own earlier value: it earns its mark.",
    "wrong": "Not the value asked for.",
}


def mark_sheet(
    issue: Issue, sheet: Sheet, today: str, voids: Mapping[str, str] | None = None, notes: Iterable[str] = ()
) -> Mark:
    """The mark of a sheet that fits its issue. voids: question → why it counts as right."""
    units = unit_list(issue.currency)
    questions = []
    for one, typed in zip(issue.questions, sheet.answers, strict=True):
        why = (voids or {}).get(one.id, "")
        made = _question(one, typed, units)
        if why:
            made = replace(made, void=why, boxes=tuple(replace(box, marks=box.of) for box in made.boxes))
        questions.append(made)
    marks = sum(box.marks for question in questions for box in question.boxes)
    missed = tuple(q.id for q in questions if q.must and any(box.marks < box.of for box in q.boxes))
    return Mark(issue.number, issue.plan, issue.code, today, marks, issue.of, issue.pass_mark, missed,
                marks >= issue.pass_mark and not missed, tuple(questions), tuple(notes))  # fmt: skip


def _question(one: Issued, typed: tuple[str, ...], units: UnitList) -> QuestionMark:
    kind = one.question["kind"]
    if kind == "choice":
        return QuestionMark(one.id, one.must, "", (_choice(one, typed[0]),))
    if kind == "order":
        return QuestionMark(one.id, one.must, "", (_order(one, typed[0]),))
    return _steps(one, typed, units)


def _box(typed: str, read: str, verdict: str, of: int, says: str = "") -> BoxMark:
    earned = of if verdict in ("right", "followed through") else 0
    return BoxMark(typed, read, verdict, says or SAID.get(verdict, ""), earned, of)


# -- to choose and to order -----------------------------------------------------------------------------


def _letters(typed: str, count: int) -> list[int] | None:
    """Places of the letters typed, like "a c" or "A, C"; None where that is not what stands there."""
    signs = typed.replace(",", " ").split()
    places = [LETTERS.find(sign.lower()) if len(sign) == 1 else -1 for sign in signs]
    return places if all(0 <= place < count for place in places) and len(set(places)) == len(places) else None


def _choice(one: Issued, typed: str) -> BoxMark:
    of = one.marks[0]
    if not typed.strip():
        return _box(typed, "", "blank", of)
    places = _letters(typed, len(one.shuffled))
    if places is None or (len(places) > 1 and not one.question["several"]):
        return _box(typed, "", "unreadable", of)
    shown = ", ".join(LETTERS[place] for place in sorted(places))
    right = {at for at, option in enumerate(one.question["options"]) if option["right"]}
    verdict = "right" if {one.shuffled[place] for place in places} == right else "wrong"
    says = "" if verdict == "right" else f"Not what was asked for. Look again at: {one.question['says']}"
    return _box(typed, shown, verdict, of, says)


def right_letters(one: Issued) -> str:
    return ", ".join(LETTERS[p] for p, at in enumerate(one.shuffled) if one.question["options"][at]["right"])


def _order(one: Issued, typed: str) -> BoxMark:
    of, count = one.marks[0], len(one.shuffled)
    if not typed.strip():
        return _box(typed, "", "blank", of)
    ranks = typed.replace(",", " ").split()
    if len(ranks) != count or not all(rank.isascii() and rank.isdigit() for rank in ranks):
        return _box(typed, "", "unreadable", of)
    numbers = [int(rank) for rank in ranks]
    if sorted(numbers) != list(range(1, count + 1)):
        return _box(typed, " ".join(ranks), "unreadable", of, "Each number from 1 on has to stand once.")
    # The step at each place of the page got a rank; in rank order these are the steps as meant.
    meant = [step for _, step in sorted(zip(numbers, one.shuffled, strict=True))]
    free = {frozenset(pair) for pair in one.question["either_way"]}
    wrong = any(a > b and frozenset((a + 1, b + 1)) not in free for at, a in enumerate(meant) for b in meant[at + 1 :])
    says = f"Not the order that was asked for. Look again at: {one.question['says']}" if wrong else ""
    return _box(typed, " ".join(map(str, numbers)), "wrong" if wrong else "right", of, says)


def right_ranks(one: Issued) -> str:
    return " ".join(str(step + 1) for step in one.shuffled)


# -- to calculate and to look up ------------------------------------------------------------------------


def _steps(one: Issued, typed: tuple[str, ...], units: UnitList) -> QuestionMark:
    keys = known_values(one)
    own = dict(keys)
    halves: dict[str, float] = {}
    """For each earlier answer that is wrong: half a unit of its last typed figure, in SI."""
    steps, answers = one.question["steps"], one.variant["answers"]
    slips = one.variant.get("slips", [{}] * len(steps))
    skipped = len(steps) - len(one.marks)
    by_letter = one.question["steps"][-1] if "options" in one.question else None
    boxes, remarks = [], []
    broken = False
    for at, (step, answer) in enumerate(zip(steps, answers, strict=True)):
        if at >= skipped:
            text, of = typed[at - skipped], one.marks[at - skipped]
            if step is by_letter:
                boxes.append(_option(one, answer, text, of))
            else:
                verdict = judge(step, answer, slips[at], text, keys, keys, units)
                boxes.append(_number(one, step, answer, text, of, verdict, keys, own, halves, broken))
                if verdict.kind == "right" and halves and _apart(step, answer, own):
                    remarks.append(
                        f"{symbol_text(step['symbol'])} is right, but does not follow from the earlier answer"
                    )
                if verdict.value is not None and verdict.kind != "right" and "key" in answer:
                    own[step["find"]] = verdict.value
                    got = read(text, units)
                    factor = float(got.unit.factor) if isinstance(got, Typed) and got.unit else step["factor"]
                    halves[step["find"]] = got.last * factor / 2 if isinstance(got, Typed) else 0.0
                    broken = broken or not _possible(step, answer, verdict.value)
                else:
                    own[step["find"]] = answer.get("key", answer.get("word"))
        else:
            own[step["find"]] = answer.get("key", answer.get("word"))
        keys[step["find"]] = answer.get("key", answer.get("word"))
    return QuestionMark(one.id, one.must, "", tuple(boxes), tuple(remarks))


def _option(one: Issued, answer: Mapping[str, Any], typed: str, of: int) -> BoxMark:
    if not typed.strip():
        return _box(typed, "", "blank", of)
    options = one.question["options"]
    places = _letters(typed, len(options))
    if places is None or len(places) > 1:
        return _box(typed, "", "unreadable", of)
    right = options[places[0]] == wanted(one, one.question["steps"][-1], answer)
    says = "" if right else f"Not what was asked for. Look again at: {one.question['says']}"
    return _box(typed, options[places[0]], "right" if right else "wrong", of, says)


def wanted(one: Issued, step: Mapping[str, Any], answer: Mapping[str, Any]) -> str:
    """The answer as it is wanted, with its unit."""
    if "word" in answer:
        return str(answer["word"])
    return quantity(answer["key"] / step["factor"], Rounding(**step["rounding"]), step["unit"])


def _number(
    one: Issued, step: Mapping[str, Any], answer: Mapping[str, Any], typed: str, of: int, verdict: Verdict,
    keys: Mapping[str, Any], own: Mapping[str, Any], halves: Mapping[str, float], broken: bool,
) -> BoxMark:  # fmt: skip
    shown = "" if verdict.value is None else _shown(step, verdict.value)
    kind = verdict.kind
    carries = kind in ("slip", "general", "wrong", "rounded too far") and not one.must and not broken
    if carries and verdict.value is not None:
        if followed(step, answer, verdict.value, keys, own, halves):
            return _box(typed, shown, "followed through", of)
    says = verdict.says if kind in ("slip", "general", "unreadable", "two ways") else ""
    return _box(typed, shown, kind, of, says)


def _shown(step: Mapping[str, Any], value: float) -> str:
    return with_unit(at_most(AS_READ, value / step["factor"]), step["unit"])


def followed(
    step: Mapping[str, Any], answer: Mapping[str, Any], value: float, keys: Mapping[str, Any],
    own: Mapping[str, Any], halves: Mapping[str, float],
) -> bool:  # fmt: skip
    """Whether a value is right for the candidate's own earlier, wrong answers. All values in SI."""
    if step["key"] is None or not halves or "key" not in answer:
        return False
    mine = key_value(step["key"], own)
    if not isinstance(mine, float) or not math.isfinite(mine) or not _possible(step, answer, mine):
        return False
    key, tolerance = answer["key"], answer["tolerance"]
    margin = tolerance * max(1.0, abs(mine) / abs(key) if key else 1.0)
    for name, half in halves.items():
        # They may have gone on with more figures than they wrote down.
        ends = [key_value(step["key"], {**own, name: own[name] + sign * half}) for sign in (-1, 1)]
        margin += max((abs(end - mine) for end in ends if isinstance(end, float) and math.isfinite(end)), default=0.0)
    if abs(mine - key) <= margin + tolerance:
        return False
    if any(abs(mine - own[name]) <= tolerance for name in halves):
        return False  # the carried value made the step trivial
    return bool(abs(value - mine) <= margin * EDGE)


def _possible(step: Mapping[str, Any], answer: Mapping[str, Any], value: float) -> bool:
    """Whether a wrong value could be true of the thing: in its plausible range, with the key's sign, not zero."""
    between = step["between"]
    inside = between is None or between[0] <= value <= between[1]
    return bool(inside and value * answer["key"] > 0)


def _apart(step: Mapping[str, Any], answer: Mapping[str, Any], own: Mapping[str, Any]) -> bool:
    """Whether a right answer does not follow from the candidate's own earlier ones."""
    if step["key"] is None:
        return False
    mine = key_value(step["key"], own)
    return isinstance(mine, float) and abs(mine - answer["key"]) > 2 * float(answer["tolerance"])
