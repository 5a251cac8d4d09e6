"""What a bank holds: frozen values, nothing computed, nothing flowing back.

Every value knows the place it was written at; places take no part in comparison, so two banks
with the same content are equal wherever their lines stand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from quizgen.bank import yaml_nodes as nodes
from quizgen.bank.faults import Place
from quizgen.expression.tree import Equation, Expression
from quizgen.expression.units import Unit, UnitList
from quizgen.expression.writing import Rounding

NOWHERE = Place("", 0, 0)


def _place() -> Place:
    return field(default=NOWHERE, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Course:
    id: str
    title: str
    currency: str = ""
    place: Place = _place()
    again_days: int = 7
    """After so many days without it a question that was answered right is proposed again: always the same gap."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a learner can do after a module: "You can …"."""

    id: str
    module: str
    says: str
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Module:
    id: str
    code: str
    title: str
    needs: tuple[str, ...]
    minutes: int
    outcomes: tuple[str, ...]
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Source:
    """A published work in standard form; it is evidence, not a recommendation."""

    id: str
    title: str
    author: str = ""
    publisher: str = ""
    year: str = ""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Citation:
    """Where a fact comes from. `source` is a source id, or "" with `kind` saying what it rests on."""

    kind: str
    """"published", "common practice" or "from memory"."""
    source: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A measurable thing with one unit; `low` and `high` bound it plausibly, in SI."""

    id: str
    name: str
    symbol: str
    unit: Unit
    low: float | None = None
    high: float | None = None
    words: bool = False
    """True for a quantity whose values are words, such as a pilot state."""
    also: str = ""
    doubtful: bool = False
    """Where unit or range could not be read: while faults are collected, nothing is checked against it."""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Slip:
    """A wrong calculation that learners really make, with what a mentor would say."""

    id: str
    says: str
    forms: tuple[Equation, ...]
    """The wrong equation for each quantity that can be asked for."""
    when: Expression | None = None
    """Only where this holds is the slip a slip."""
    row: int = 0
    """For tables: which row is read instead, -1 the one before, 1 the one after."""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Case:
    """Where `when` holds, the quantity is given by `then`: an equation, or a word."""

    when: Expression
    then: Equation | str
    when_text: str = ""


@dataclass(frozen=True, slots=True)
class CheckValue:
    """A published value: `equation` of texts "P" = "14.35 kW" for the values in `given`."""

    find: str
    wanted: str
    given: tuple[tuple[str, str], ...]
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Formula:
    """A law with every form that is taught, or cases with a form or a word each."""

    id: str
    title: str
    forms: tuple[Equation, ...] = ()
    """Stated equations first, then the solved ones."""
    stated: int = 0
    """How many of `forms` are stated rather than solved."""
    cases: tuple[Case, ...] = ()
    finds: str = ""
    """The quantity that cases give."""
    gap: tuple[Expression, ...] = ()
    holds_for: str = ""
    slips: tuple[Slip, ...] = ()
    citations: tuple[Citation, ...] = ()
    checks: tuple[CheckValue, ...] = ()
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of texts: one per input column, then the output. `read` says how it is read."""

    id: str
    title: str
    inputs: tuple[str, ...]
    output: str
    read: str
    rows: tuple[tuple[str, ...], ...]
    slips: tuple[Slip, ...] = ()
    citations: tuple[Citation, ...] = ()
    checks: tuple[CheckValue, ...] = ()
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Given:
    """The values a given may take, as they will be printed, in `unit`.

    A range is `start`, `step`, `count` (decimals are those written); otherwise `choices` lists texts.
    """

    id: str
    unit: Unit
    start: Decimal = Decimal(0)
    step: Decimal = Decimal(0)
    count: int = 1
    choices: tuple[str, ...] = ()
    place: Place = _place()

    @property
    def is_range(self) -> bool:
        return not self.choices


@dataclass(frozen=True, slots=True)
class Slot:
    """A place in a text where a given stands: number and unit, with "P =" before it if `named`."""

    id: str
    named: bool = False


Words = tuple[str | Slot, ...]
"""A text with slots for givens."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing asked: `find` by the formula or table `by`, whose letters stand for `letters`."""

    find: str
    by: str
    letters: tuple[tuple[str, str], ...]
    ask: Words
    unit: Unit
    rounding: Rounding
    within: float | None = None
    """The author's own absolute tolerance, in SI."""
    unit_asked: bool = False
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Option:
    option: str
    says: str
    right: bool


@dataclass(frozen=True, slots=True)
class Question:
    """One item. `kind` is "numeric", "look-up", "choice" or "order"; unused fields stay empty."""

    id: str
    kind: str
    module: str
    outcome: str
    text: Words
    papers: str = "none"
    was: tuple[str, ...] = ()
    citations: tuple[Citation, ...] = ()
    givens: tuple[Given, ...] = ()
    steps: tuple[Step, ...] = ()
    slips: tuple[Slip, ...] = ()
    without: tuple[str, ...] = ()
    keep: tuple[Expression, ...] = ()
    quantities: tuple[Quantity, ...] = ()
    may_repeat: bool = False
    on_edge: bool = False
    options: tuple[Option, ...] = ()
    order: tuple[str, ...] = ()
    either_way: tuple[tuple[int, int], ...] = ()
    order_says: tuple[tuple[int, int, str], ...] = ()
    """(a, b, text): what to say where step a stands directly before step b, both counted from 1."""
    right_says: str = ""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Term:
    """A word of the trade as it stands in prose, other forms of it, and what it means."""

    id: str
    term: str
    also: tuple[str, ...]
    says: str
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Stage:
    """One part of the thing the course explains, and the modules that teach it, the main one first."""

    id: str
    name: str
    does: str
    modules: tuple[str, ...]
    gives: str = ""
    """What the stage hands to the next one, in few words; "" if nothing."""
    beside: str = ""
    """The stage it stands beside; "" for a stage of the chain itself."""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class ChainValue:
    """A number of the chain: `quantity` is the bank's quantity that it is a value of."""

    name: str
    quantity: str
    number: str
    """As written."""
    unit: Unit
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Chain:
    """The stages in the order of the energy, and the one set of numbers of the course."""

    stages: Mapping[str, Stage]
    modes: Mapping[str, str]
    """Ways in which the chain runs, each with its name."""
    values: Mapping[str, Mapping[str, ChainValue]]
    """By stage or mode, then by name."""
    whole: tuple[str, ...] = ()
    """Modules that speak of the whole chain, though a stage may lead to them."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing a shop wants to see before a person may be considered for work, and how long it counts."""

    id: str
    title: str
    kind: str
    """"paper", "observation" or "appointment"."""
    paper: str = ""
    """For a paper the id of its plan."""
    sees: str = ""
    """For an observation what was to be seen; for an appointment what for."""
    by: tuple[str, ...] = ()
    """Roles that may give it; empty where any may."""
    months: int = 0
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Tier:
    """A level of competence in general words: the evidence it needs, and the tiers that come before it."""

    id: str
    code: str
    title: str
    says: str
    needs: tuple[str, ...]
    after: tuple[str, ...] = ()
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Part:
    """A symbol of a circuit from one point of the grid to another; `end` is None where one point is enough."""

    kind: str
    start: tuple[float, float]
    """Grid steps to the right and downwards."""
    end: tuple[float, float] | None = None
    label: str = ""
    """A bar in it starts a new line."""
    side: str = ""
    """"left", "right", "above", "below" or "inside"; "" where it is usual for the part."""


@dataclass(frozen=True, slots=True)
class Curve:
    """A quantity over the sweep: by a law of the bank (`step`) or by an expression (`tree`)."""

    find: str
    name: str
    line: str
    """"solid", "dashed", "dotted", "dash-dot" or "hidden"."""
    step: Step | None = None
    tree: Expression | None = None
    first: float | None = None
    last: float | None = None
    """Where it is drawn if not everywhere, in SI."""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Mark:
    """A point named in a plot by two values of the picture."""

    x: str
    y: str
    label: Words


@dataclass(frozen=True, slots=True)
class ReadOff:
    """A number read off a curve: its "highest" or "lowest" value, or its value "at" a place `x` of the sweep, in SI."""

    name: str
    way: str
    curve: str
    x: float
    unit: Unit
    rounding: Rounding


@dataclass(frozen=True, slots=True)
class Plot:
    """One diagram: what goes upwards, in which unit, from where to where (counted in that unit)."""

    axis: str
    unit: Unit
    low: float | None
    high: float | None
    curves: tuple[Curve, ...]
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing made at build: a circuit of `parts`, or `plots` over a swept quantity."""

    id: str
    title: str
    says: Words
    """What is seen, for who does not see it."""
    caption: Words = ()
    parts: tuple[Part, ...] = ()
    sums: Question | None = None
    """What is given and found before anything is drawn, as a question of kind "example"."""
    across: str = ""
    across_name: str = ""
    across_unit: Unit | None = None
    first: float = 0.0
    last: float = 0.0
    """The ends of the sweep, in SI."""
    plots: tuple[Plot, ...] = ()
    read: tuple[ReadOff, ...] = ()
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class PlanQuestion:
    """A question a paper may ask: marks for each step, and what each judge thinks of it.

    A judge says which share of the marks a candidate earns who is only just good enough.
    """

    question: str
    marks: tuple[int, ...]
    judged: tuple[Decimal, ...]
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class PlanSection:
    """A part of a paper: `take` questions of one module and kind out of those listed."""

    id: str
    title: str
    module: str
    kind: str
    outcomes: tuple[str, ...]
    take: int
    must: bool
    """Every question of it has to be right."""
    questions: tuple[PlanQuestion, ...]
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Plan:
    """What a competence paper asks and what it takes to pass."""

    id: str
    title: str
    sections: tuple[PlanSection, ...]
    minutes: int
    aids: tuple[str, ...]
    candidates: int
    """The largest group that is issued papers without repeating numbers."""
    attempts: int
    wait_days: int
    """Days between two attempts of one candidate."""
    months: int
    """For how long a pass counts."""
    steps_asked: bool
    """Whether every step has its own box, or the last one only."""
    paper_only: int
    """How many questions of a paper are asked nowhere else and have no numbers of their own."""
    pass_mark: int
    judges: tuple[str, ...]
    judged_on: str
    invented: bool
    """The estimates are an example: nobody has judged yet."""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Done:
    """What counts as done for a module: `right` answers without help among its last `of_last`, on `on_days` days."""

    right: int = 8
    of_last: int = 10
    on_days: int = 2


@dataclass(frozen=True, slots=True)
class Assigned:
    """A module, or a case of fault tracing, that is due on a day."""

    what: str
    """A module's id, or a case's id after "case-"."""
    due: date
    codes: tuple[str, ...]
    """Whom it is for: all of the group where its author named nobody."""
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Group:
    """Learners by their codes, and what they were assigned. It lies with the trainer; no course holds one."""

    id: str
    course: str
    codes: tuple[str, ...]
    done: Done
    assigned: tuple[Assigned, ...]
    place: Place = _place()


@dataclass(frozen=True, slots=True)
class Bank:
    """Everything the authors wrote, checked for form. Mappings go by id, in the order of the files."""

    course: Course
    units: UnitList
    modules: Mapping[str, Module]
    outcomes: Mapping[str, Outcome]
    sources: Mapping[str, Source]
    quantities: Mapping[str, Quantity]
    formulas: Mapping[str, Formula]
    tables: Mapping[str, Table]
    questions: Mapping[str, Question]
    examples: Mapping[str, Question]
    """Fixed numbers worked in prose, as questions of kind "example" that nobody is asked."""
    terms: Mapping[str, Term]
    files: tuple[str, ...]
    chain: Chain | None = None
    evidence: Mapping[str, Evidence] = field(default_factory=dict)
    tiers: Mapping[str, Tier] = field(default_factory=dict)
    """What a shop asks of its people, tier by tier."""
    pictures: Mapping[str, Picture] = field(default_factory=dict)
    plans: Mapping[str, Plan] = field(default_factory=dict)
    tracing: Mapping[str, tuple[tuple[nodes.Text, nodes.Mapping], ...]] = field(default_factory=dict)
    """Entries of the sections of fault tracing, as written; quizgen/tracing reads them."""


def quantity_of(bank: Bank, question: Question | None, id: str) -> Quantity:
    """A quantity by id, the question's own first. Raises KeyError."""
    if question:
        for own in question.quantities:
            if own.id == id:
                return own
    return bank.quantities[id]


def all_laws(bank: Bank) -> tuple[Formula | Table, ...]:
    """Every formula, then every table."""
    return (*bank.formulas.values(), *bank.tables.values())
