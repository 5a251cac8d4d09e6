"""What the marked papers of one plan say about its questions. One paper a person: the first one they sat.

Below `ENOUGH` persons only what small numbers can carry is worked out: counts, intervals of shares, wrong answers.
"""

from __future__ import annotations

import math
import statistics as plain
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from quizgen.cohort import statistics
from quizgen.cohort.alike import Pair, Sat, suspicious
from quizgen.papers.types import Issue, Issued, Mark, QuestionMark

ENOUGH = 30
"""Persons from which on correlations and reliability are worked out. Common practice."""
LEAST_IN_A_GROUP = 5
"""Answers that a group of variants, or a question of a pool, needs to be compared."""
UNLIKELY = 0.01
HARD, EASY, WEAK, OMITTED, UNUSED = 0.30, 0.95, 0.10, 0.10, 0.05


@dataclass(frozen=True, slots=True)
class Wrong:
    """One class of wrong answers: what was said about it, and how many persons got it."""

    verdict: str
    says: str
    count: int


@dataclass(frozen=True, slots=True)
class Option:
    text: str
    right: bool
    chosen: int
    rest: float | None
    """Mean share of the other marks of those who chose it."""


@dataclass(frozen=True, slots=True)
class Item:
    """One question. Shares are from 0 to 1; None where nothing can be said."""

    id: str
    section: str
    must: bool
    asked: int
    right: int
    """Persons with all its marks."""
    interval: tuple[float, float]
    """Of the share right, at 95 %, by Wilson."""
    facility: float
    """Mean share of its marks."""
    blank: int
    wrong: tuple[Wrong, ...]
    rest: float | None
    """Correlation with the rest of the paper."""
    options: tuple[Option, ...]
    variants: float | None
    """p that its numbers are equally hard."""
    flags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pool:
    """A section of which each paper asks a part: p that its questions are equally hard."""

    section: str
    p: float
    facilities: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Whole:
    """The paper as a measure. In marks, apart from the indices."""

    people: int
    """With papers of one shape."""
    mean: float
    deviation: float
    alpha: float | None
    interval: tuple[float | None, float | None]
    error: float | None
    """Standard error of measurement."""
    squared: float | None
    """Livingston's K² at the pass mark."""
    dependability: float | None
    """Brennan and Kane's Phi at the pass mark."""


@dataclass(frozen=True, slots=True)
class Analysis:
    plan: str
    title: str
    people: int
    passed: int
    pass_mark: int
    of: int
    marks: tuple[int, ...]
    items: tuple[Item, ...]
    whole: Whole | None
    pools: tuple[Pool, ...]
    pairs: tuple[Pair, ...]
    notes: tuple[str, ...]


def analyse(papers: Sequence[tuple[Issue, Mark]]) -> Analysis:
    """The analysis of one plan's marked papers; at least one."""
    sat, notes = _first(papers)
    last = max(sat, key=lambda one: one.issue.issued_on).issue
    large = len(sat) >= ENOUGH
    if len({(one.issue.pass_mark, one.issue.of) for one in sat}) > 1:
        notes.append("The plan was changed between issues: papers have different marks, so totals are not alike.")
    if not large:
        notes.append(
            f"{len(sat)} persons. Below {ENOUGH} only counts, intervals and wrong answers are shown: "
            "correlations and reliability of so few would be chance."
        )
    by_question: dict[str, list[tuple[Sat, Issued, QuestionMark]]] = {}
    for one in sat:
        for issued, made in zip(one.issue.questions, one.mark.questions, strict=True):
            if not made.void:
                by_question.setdefault(issued.id, []).append((one, issued, made))
    void = sorted({made.id for one in sat for made in one.mark.questions if made.void})
    if void:
        notes.append(f"Taken out of the papers and left out here: {', '.join(void)}.")
    items = tuple(_item(id, answers) for id, answers in by_question.items())
    return Analysis(
        last.plan, last.title, len(sat), sum(one.mark.passed for one in sat), last.pass_mark, last.of,
        tuple(sorted(one.mark.marks for one in sat)), items, _whole(sat, notes) if large else None,
        _pools(sat, by_question) if large else (), suspicious(sat) if large else (), tuple(notes),
    )  # fmt: skip


def _first(papers: Sequence[tuple[Issue, Mark]]) -> tuple[list[Sat], list[str]]:
    """The first paper of each person: a second attempt comes from somebody who has seen the first."""
    kept: dict[str, Sat] = {}
    for issue, mark in sorted(papers, key=lambda one: (one[0].attempt, one[0].issued_on, one[0].number)):
        kept.setdefault(issue.code.casefold(), Sat(issue, mark))
    later = len(papers) - len(kept)
    return list(kept.values()), [f"{later} later attempts are left out: one paper a person."] if later else []


# -- one question ---------------------------------------------------------------------------------------


def _item(id: str, answers: Sequence[tuple[Sat, Issued, QuestionMark]]) -> Item:
    large = len(answers) >= ENOUGH  # a question of a pool may be asked of fewer than the group has
    first, must = answers[0][1], any(made.must for _, _, made in answers)
    shares = [share_of(made) for _, _, made in answers]
    rests = [_rest(one, made) for one, _, made in answers]
    right = sum(share == 1 for share in shares)
    blank = sum(all(box.verdict == "blank" for box in made.boxes) for _, _, made in answers)
    counted = Counter(
        (box.verdict, box.says)
        for _, _, made in answers
        for box in {(b.verdict, b.says): b for b in made.boxes}.values()
        if box.verdict not in ("right", "followed through", "blank")
    )
    wrong = tuple(Wrong(verdict, says, count) for (verdict, says), count in counted.most_common())
    rest = _number(statistics.correlation(shares, rests)) if large else None
    options = _options(answers, rests) if large and first.question["kind"] == "choice" else ()
    variants = _variants(answers) if large else None
    made = Item(id, first.section, must, len(answers), right, statistics.wilson(right, len(answers)),
                statistics.mean(shares), blank, wrong, rest, options, variants, ())  # fmt: skip
    return replace(made, flags=flags(made, large))


def share_of(made: QuestionMark) -> float:
    return sum(box.marks for box in made.boxes) / sum(box.of for box in made.boxes)


def _rest(one: Sat, made: QuestionMark) -> float:
    """Share of the marks of all other questions that were not taken out."""
    others = [box for other in one.mark.questions if other is not made and not other.void for box in other.boxes]
    of = sum(box.of for box in others)
    return sum(box.marks for box in others) / of if of else 0.0


def _options(answers: Sequence[tuple[Sat, Issued, QuestionMark]], rests: Sequence[float]) -> tuple[Option, ...]:
    """By the words of the option: the course may have put them in another order between two issues."""
    chosen: dict[str, list[float]] = {}
    right: dict[str, bool] = {}
    for (_, issued, made), rest in zip(answers, rests, strict=True):
        for option in issued.question["options"]:
            right[option["option"]] = option["right"]
            chosen.setdefault(option["option"], [])
        for letter in made.boxes[0].read.split(", "):
            place = ord(letter) - ord("a") if len(letter) == 1 else -1
            if 0 <= place < len(issued.shuffled):
                chosen[issued.question["options"][issued.shuffled[place]]["option"]].append(rest)
    return tuple(
        Option(text, right[text], len(found), _number(statistics.mean(found))) for text, found in chosen.items()
    )


def _variants(answers: Sequence[tuple[Sat, Issued, QuestionMark]]) -> float | None:
    """p that all numbers are equally hard: variant by variant if they were given often enough, else the half with
    the smaller answers against the half with the larger ones."""
    seen: dict[str, list[bool]] = {}
    keyed: list[tuple[float, bool]] = []
    for _, issued, made in answers:
        if not issued.variant:
            return None
        right = share_of(made) == 1
        seen.setdefault(issued.variant["name"], []).append(right)
        if "key" in issued.variant["answers"][-1]:
            keyed.append((abs(issued.variant["answers"][-1]["key"]), right))
    often = [found for found in seen.values() if len(found) >= LEAST_IN_A_GROUP]
    if len(often) > 1:
        return statistics.alike([sum(found) for found in often], [len(found) for found in often])[2]
    if not keyed:
        return None
    middle = plain.median(value for value, _ in keyed)
    low, high = ([right for value, right in keyed if (value > middle) == above] for above in (False, True))
    if min(len(low), len(high)) < LEAST_IN_A_GROUP:
        return None
    return statistics.exactly_alike((sum(low), sum(high)), (len(low), len(high)))


def flags(item: Item, large: bool) -> tuple[str, ...]:
    """What a trainer should look at, and what to do. In a small group only what its interval can carry."""
    made = []
    common = next((one for one in item.wrong if one.count > 1 and one.says), None)
    if item.interval[1] < HARD or (large and item.facility < HARD):
        more = f' Most often said: "{common.says}"' if common else ""
        made.append(f"Hard: {item.right} of {item.asked} right. Work it in the lesson, then read its text again.{more}")
    if item.must and item.right < item.asked:
        missing = item.asked - item.right
        made.append(f"Must be right, and {missing} of {item.asked} missed it: teach it before the next paper.")
    if not large:
        return tuple(made)
    if item.facility > EASY and not item.must:
        made.append("Nearly everybody has it right, so it tells little: take a harder one, or keep it as a start.")
    if item.rest is not None and item.rest < WEAK:
        made.append(
            "Who does well elsewhere does no better here: check the key, then whether the text can be read two ways."
        )
    if item.blank > OMITTED * item.asked:
        made.append(f"{item.blank} of {item.asked} left it empty: is it too late in the paper, too long, not taught?")
    return (*made, *_option_flags(item), *_variant_flag(item))


def _option_flags(item: Item) -> list[str]:
    made = []
    keys = [option.rest for option in item.options if option.right and option.rest is not None]
    for option in item.options:
        if option.right:
            continue
        if option.chosen < UNUSED * item.asked:
            made.append(
                f'"{option.text}" tempts nobody ({option.chosen} of {item.asked}): write a mistake people make.'
            )
        elif option.chosen >= LEAST_IN_A_GROUP and keys and (option.rest or 0) > max(keys):
            made.append(f'"{option.text}" is chosen by the stronger ones: check whether it is right as well.')
    return made


def _variant_flag(item: Item) -> list[str]:
    if item.variants is None or item.variants >= UNLIKELY:
        return []
    return ["Its numbers are not equally hard: look at numbers that need a change of prefix or end in zeros."]


# -- the whole paper ------------------------------------------------------------------------------------


def _whole(sat: Sequence[Sat], notes: list[str]) -> Whole | None:
    """Reliability over papers of one shape. A pool's questions stand by their place in its section: each paper
    draws its own, so that being given harder ones counts as an error of measurement."""
    shape = Counter(_shape(one) for one in sat).most_common(1)[0][0]
    alike = [one for one in sat if _shape(one) == shape]
    if len(alike) < ENOUGH:
        notes.append("Too few papers are of one shape for reliability.")
        return None
    if len(alike) < len(sat):
        notes.append(f"Reliability is that of the {len(alike)} papers of one shape.")
    rows = [_ordered(one) for one in alike]
    kept = [at for at in range(len(rows[0])) if not any(row[at].void for row in rows)]
    marks = [[float(sum(box.marks for box in row[at].boxes)) for at in kept] for row in rows]
    shares = [[share_of(row[at]) for at in kept] for row in rows]
    outside = statistics.mean(
        [float(sum(box.of for at, q in enumerate(row) if at not in kept for box in q.boxes)) for row in rows]
    )
    issue = alike[-1].issue
    totals = [math.fsum(row) for row in marks]
    cut, of = issue.pass_mark - outside, issue.of - outside
    alpha = statistics.alpha(marks)
    low, high = statistics.alpha_interval(alpha, len(marks), len(kept))
    deviation = math.sqrt(statistics.variance(totals, 1))
    squared = statistics.livingston(alpha, statistics.variance(totals), statistics.mean(totals), cut)
    phi = statistics.dependability(shares, cut / of) if of else math.nan
    return Whole(
        len(alike), statistics.mean(totals), deviation, _number(alpha), (_number(low), _number(high)),
        _number(statistics.measurement_error(deviation, alpha)), _number(squared), _number(phi),
    )  # fmt: skip


def _shape(one: Sat) -> tuple[tuple[str, int], ...]:
    counted = Counter(issued.section for issued in one.issue.questions)
    return (*sorted(counted.items()), ("marks", one.issue.of), ("to pass", one.issue.pass_mark))


def _ordered(one: Sat) -> list[QuestionMark]:
    """By section, then by question: where all papers ask the same, the same question stands in the same column."""
    pairs = zip(one.issue.questions, one.mark.questions, strict=True)
    return [made for _, made in sorted(pairs, key=lambda pair: (pair[0].section, pair[0].id))]


def _pools(sat: Sequence[Sat], by_question: Mapping[str, Sequence[Any]]) -> tuple[Pool, ...]:
    sections: dict[str, set[str]] = {}
    for one in sat:
        for issued in one.issue.questions:
            sections.setdefault(issued.section, set()).add(issued.id)
    made = []
    for section, ids in sections.items():
        asked = {id: by_question[id] for id in sorted(ids) if len(by_question.get(id, ())) >= LEAST_IN_A_GROUP}
        if len(asked) < 2 or all(len(answers) == len(sat) for answers in asked.values()):
            continue
        rights = [sum(share_of(q) == 1 for _, _, q in answers) for answers in asked.values()]
        p = statistics.alike(rights, [len(answers) for answers in asked.values()])[2]
        shares = {id: right / len(asked[id]) for id, right in zip(asked, rights, strict=True)}
        made.append(Pool(section, p, shares))
    return tuple(made)


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
