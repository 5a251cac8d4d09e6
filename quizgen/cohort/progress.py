"""What a group's slips say: who is where, which mistake to talk about, which questions go wrong.

Shares are of people, each counted once, with Wilson's interval: answers of one person hang together. A slip proves
nothing; small numbers stay counts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from quizgen.bank.models import Bank, Done, Group, Plan
from quizgen.cohort.assignment import title_of
from quizgen.cohort.called import Called, called
from quizgen.cohort.done import case_done, module_standing
from quizgen.cohort.progress_slip import Slip, days_alone, last_answer
from quizgen.cohort.statistics import wilson
from quizgen.variants.slip_names import CASE, SlipNames
from quizgen.web.on_pages import OnPages

NO_PROOF = (
    "A slip says what a learner's device kept. It shows what to talk about. It is no proof of what somebody can do: "
    "answers can be copied, and a file can be changed. Codes are shown, never names."
)
STOPPED_AFTER = 7
"""Days without an answer."""
GENERAL_WORDS = {
    "power-of-ten": "The figures are right, but not the power of ten: kilo, milli or the point.",
    "sign": "The size is right, but not the sign.",
    "factor-2": "Twice too large or half: a 2 left out, or on the wrong side.",
    "root-2": "√2 too large or too small: crest and effective value mixed up.",
    "root-3": "√3 too large or too small: line and phase mixed up.",
    "factor-60": "60 times too large or too small: minutes and seconds, or hours and minutes.",
    "factor-3600": "3600 times too large or too small: hours and seconds.",
    "reciprocal": "One divided by the answer: the wrong value on top.",
    "one-minus": "The other part: with the answer it makes one whole.",
}


@dataclass(frozen=True, slots=True)
class Item:
    """Something a learner has to do, and how far they are."""

    what: str
    title: str
    due: str
    """"" where nothing was assigned."""
    done: bool
    late: bool
    right: int
    """Right without help among the last `of` answers; 0 of 0 for a case."""
    of: int
    days: int


@dataclass(frozen=True, slots=True)
class Learner:
    """One code. `saved` is "" where no slip came."""

    code: str
    saved: str
    last: str
    """Day of the last answer."""
    questions: int
    answers: int
    right: int
    helped: int
    items: tuple[Item, ...]
    stopped: bool
    """No answer for days, while something is to be done."""
    ready: bool
    """Everything is done that was assigned, or that the plan's modules ask."""
    left_out: int
    slips: int
    """How many slips were joined."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One question, or case, over the group."""

    id: str
    where: str
    """Code and title of its module; the title of a case."""
    tried: int
    alone: int
    """People who had it right without help at least once."""
    interval: tuple[float, float]
    """Of that share, at 95 %, by Wilson."""
    facility: float
    """Mean share of right answers, each person counted once."""
    answers: int
    right: int
    helped: int


@dataclass(frozen=True, slots=True)
class Made:
    """One slip over the group, in the words that the learners read."""

    slip: str
    says: str
    people: int
    of: int
    """People who worked on a question in which it can be made."""
    interval: tuple[float, float]
    times: int
    codes: tuple[str, ...]
    questions: tuple[tuple[str, int], ...]
    """Question → how many people made it there, most first."""


@dataclass(frozen=True, slots=True)
class Progress:
    course: str
    group: str
    """"" for slips without a group."""
    plan: str
    day: str
    stopped_after: int
    rule: Done
    learners: tuple[Learner, ...]
    slips: tuple[Made, ...]
    questions: tuple[Asked, ...]
    cases: tuple[Asked, ...]
    called: Mapping[str, Called]
    """What each question and case of this report is called, by its id."""
    unknown_slips: int
    """Slips made whose name is not in the course any more."""
    unknown_questions: int
    """Results of questions that cannot be practised in this course any more, or not yet."""
    gone: tuple[tuple[str, int], ...]
    """Those that are known by their ids: in how many learners' slips, most first."""


@dataclass(slots=True)
class _Question:
    tried: int = 0
    alone: int = 0
    share: float = 0.0
    answers: int = 0
    right: int = 0
    helped: int = 0


@dataclass(slots=True)
class _Slip:
    people: int = 0
    of: int = 0
    times: int = 0
    codes: list[str] = field(default_factory=list)
    questions: dict[str, int] = field(default_factory=dict)


MOST_CODES = 50
"""A slip lists so many codes at most."""


class Tally:
    """Counts slip after slip, so that only one is in memory at a time."""

    def __init__(
        self, bank: Bank, names: SlipNames, today: date,
        group: Group | None = None, plan: Plan | None = None, stopped_after: int = STOPPED_AFTER,
        pages: OnPages | None = None,
    ) -> None:  # fmt: skip
        self.bank, self.names, self.today = bank, names, today
        self.group, self.plan, self.stopped_after, self.pages = group, plan, stopped_after, pages
        self.rule = group.done if group else Done()
        self.learners: list[Learner] = []
        self.asked: dict[str, _Question] = {}
        self.made: dict[tuple[str, str], _Slip] = {}
        self.unknown_slips = self.unknown_questions = 0
        self.gone: Counter[str] = Counter()
        self.titles = titles(bank)
        self.where = {q: self.titles[module] for module, ids in names.modules.items() for q in ids}
        self.module = {q: module for module, ids in names.modules.items() for q in ids}
        self.keys = {id: {(slip, says) for slip, says in own.items()} for id, own in names.slips.items()}

    def add(self, slip: Slip) -> None:
        answers = right = helped = 0
        could: set[tuple[str, str]] = set()
        did: dict[tuple[str, str], list[tuple[str, int]]] = {}
        for id, counts in slip.results.items():
            if not counts.tries:
                continue
            answers += counts.tries
            right += counts.right
            helped += counts.helped
            one = self.asked.get(id) or self.asked.setdefault(id, _Question())
            one.tried += 1
            one.alone += counts.alone > 0
            one.share += counts.right / counts.tries
            one.answers += counts.tries
            one.right += counts.right
            one.helped += counts.helped
            could |= self.keys.get(id, set())
            for name, times in counts.slips:
                key = self._key(id, name)
                if key:
                    did.setdefault(key, []).append((id, times))
                else:
                    self.unknown_slips += times
        for key in could:
            (self.made.get(key) or self.made.setdefault(key, _Slip())).of += 1
        for key, found in did.items():
            self._count(key, found, slip.code, key in could)
        self.unknown_questions += slip.unknown
        self.gone.update(slip.gone)
        last = last_answer(slip)
        items = self._items(slip)
        open_ = any(not item.done for item in items)
        silent = (self.today - date.fromisoformat(last)).days if last else self.stopped_after + 1
        self.learners.append(
            Learner(
                slip.code, slip.saved, last, len(slip.results), answers, right, helped, items,
                open_ and silent > self.stopped_after, bool(items) and not open_, slip.left_out, slip.joined,
            )
        )  # fmt: skip

    def _key(self, id: str, name: str) -> tuple[str, str] | None:
        says = self.names.slips.get(id, {}).get(name) or GENERAL_WORDS.get(name)
        return (name, says) if says else None

    def _count(self, key: tuple[str, str], found: list[tuple[str, int]], code: str, expected: bool) -> None:
        one = self.made.get(key) or self.made.setdefault(key, _Slip())
        one.people += 1
        one.of += not expected  # a general slip is in no list: who worked on numbers at all is counted later
        one.times += sum(times for _, times in found)
        if len(one.codes) < MOST_CODES:
            one.codes.append(code)
        for id, _ in found:
            one.questions[id] = one.questions.get(id, 0) + 1

    def _items(self, slip: Slip) -> tuple[Item, ...]:
        if self.group:
            code = slip.code
            wanted = [(one.what, one.due.isoformat()) for one in self.group.assigned if code in one.codes]
        elif self.plan:
            wanted = [(module, "") for module in dict.fromkeys(section.module for section in self.plan.sections)]
        else:
            wanted = []
        if self.group and self.plan:
            had = {what for what, _ in wanted}
            wanted += [
                (module, "") for module in dict.fromkeys(s.module for s in self.plan.sections) if module not in had
            ]
        return tuple(self._item(what, due, slip) for what, due in wanted)

    def _item(self, what: str, due: str, slip: Slip) -> Item:
        late = bool(due) and due < self.today.isoformat()
        title = self.titles.get(what, what)
        if what.startswith(CASE):
            counts = slip.results.get(what)
            done = counts is not None and (case_done(counts.lately) if counts.lately else counts.now)
            return Item(what, title, due, done, late and not done, 0, 0, 0)
        own = [slip.results[id] for id in self.names.modules.get(what, ()) if id in slip.results]
        # A text names no days, it counts them.
        days, counted = days_alone(own), max(slip.days.get(what, 0), *(one.alone for one in own), 0)
        # A text lists the module's last answers, a file each question's: of both the one that says more.
        listed = ([one.lately for one in own], [slip.recent.get(what, ())])
        standings = [module_standing(answers, self.rule, days, counted) for answers in listed]
        best = max(standings, key=lambda one: (one.done, one.right, one.of))
        return Item(what, title, due, best.done, late and not best.done, best.right, best.of, best.days)

    def result(self) -> Progress:
        """Everything counted. Codes of the group without a slip come last, with nothing but their code."""
        there = {one.code for one in self.learners}
        missing = [code for code in (self.group.codes if self.group else ()) if code not in there]
        for code in missing:
            empty = self._items(Slip(code, "", {}))
            self.learners.append(Learner(code, "", "", 0, 0, 0, 0, empty, False, False, 0, 0))
        asked = [_asked(id, self.where.get(id) or self.titles.get(id, ""), one) for id, one in self.asked.items()]
        asked.sort(key=lambda one: (one.interval[1], one.facility, one.id))
        slips = self._slips()
        ids = dict.fromkeys([*(one.id for one in asked), *(id for one in slips for id, _ in one.questions)])
        return Progress(
            self.bank.course.id, self.group.id if self.group else "", self.plan.id if self.plan else "",
            self.today.isoformat(), self.stopped_after, self.rule, tuple(self.learners), slips,
            tuple(one for one in asked if not one.id.startswith(CASE)),
            tuple(one for one in asked if one.id.startswith(CASE)), called(ids, self.bank, self.pages),
            self.unknown_slips, self.unknown_questions,
            tuple(sorted(self.gone.items(), key=lambda one: (-one[1], one[0]))),
        )  # fmt: skip

    def _slips(self) -> tuple[Made, ...]:
        worked = sum(one.answers > 0 for one in self.learners)
        made = []
        for (slip, says), one in self.made.items():
            if not one.people:
                continue
            of = worked if says == GENERAL_WORDS.get(slip) else one.of
            questions = tuple(sorted(one.questions.items(), key=lambda found: (-found[1], found[0])))
            made.append(
                Made(slip, says, one.people, of, wilson(one.people, of), one.times, tuple(one.codes), questions)
            )
        return tuple(sorted(made, key=lambda one: (-one.people, -one.times, one.slip, one.says)))


def _asked(id: str, where: str, one: _Question) -> Asked:
    return Asked(id, where, one.tried, one.alone, wilson(one.alone, one.tried), one.share / one.tried, one.answers,
                 one.right, one.helped)  # fmt: skip


def progress(slips: Iterable[Slip], tally: Tally) -> Progress:
    for slip in slips:
        tally.add(slip)
    return tally.result()


def titles(bank: Bank) -> Mapping[str, str]:
    """Modules by id and cases as `case-ID`, each with what a person calls it."""
    cases = [f"{CASE}{id.value}" for id, _ in bank.tracing.get("cases", ())]
    return {what: title_of(what, bank) for what in (*bank.modules, *cases)}


LOW_FACILITY = 0.6
"""Below it a question goes wrong even where everybody got it right in the end."""


def troubled(asked: Sequence[Asked]) -> list[Asked]:
    """What not everybody has had right without help, or what took many answers; the surest trouble first."""
    return [one for one in asked if one.alone < one.tried or one.facility < LOW_FACILITY]


def stuck(found: Progress) -> Sequence[Made]:
    """Slips that several people made; where there is none, those of one."""
    several = [one for one in found.slips if one.people > 1]
    return several or found.slips
