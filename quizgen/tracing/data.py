"""What the files of a chain with faults hold, read and proved: parts, tests, faults, cases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from quizgen.bank.faults import Place

Value = float | str
"""SI number, or a word such as "good" or "short"."""


@dataclass(frozen=True, slots=True)
class Act:
    """What a test does with the whole van, so that a suspect can forbid it."""

    says: str
    """The field of a test that does it."""
    barred: str
    """The field of a fault that forbids it."""
    name: str


ACTS = {
    "charge": Act("charges", "no charging", "a charge attempt"),
    "drive": Act("drives", "no driving", "a drive"),
}
"""By the word that a compiled case has for it; a further one is one more line here and its words on the page."""


@dataclass(frozen=True, slots=True)
class Test:
    """Something that can be measured or asked."""

    __test__ = False
    id: str
    name: str
    place: str
    minutes: int
    needs: str
    """"live", "dead", "any", or "told": known at the start only."""
    box: str
    acts: tuple[str, ...]
    """Names from ACTS: unsafe while a suspect forbids one of them."""
    reads: tuple[str, ...]
    at: Place
    stage: str = ""
    """Where its test point stands on the map of the chain; "" for the whole van."""


@dataclass(frozen=True, slots=True)
class ChainFault:
    """One fault: numbers of the healthy chain that it changes."""

    id: str
    name: str
    part: str
    weight: int
    change: Mapping[str, Value]
    forbids: tuple[str, ...]
    """Names from ACTS."""
    still_live: bool
    at: Place


@dataclass(frozen=True, slots=True)
class Case:
    """One van in the workshop: what the customer says, what is known, which fault it has."""

    id: str
    title: str
    complaint: str
    fault: str
    difficulty: int
    """1 easy, 2 medium, 3 hard."""
    known: tuple[str, ...]
    """Tests whose readings are known at the start."""
    says: str
    """What the mentor says at the end."""
    outside: str
    """Why the method does not serve here; empty where it does."""
    at: Place


@dataclass(frozen=True, slots=True)
class Mode:
    """A way in which the chain runs."""

    id: str
    lines: int
    amps: float
    volts: tuple[float, ...]
    """Battery voltages for which the course's chain has it worked out, rising."""

    def __str__(self) -> str:
        return f"{'one line' if self.lines == 1 else 'three lines'}, {self.amps:g} A"


@dataclass(frozen=True, slots=True)
class Tracing:
    """The whole of a course's fault tracing."""

    healthy: Mapping[str, Value]
    parts: Mapping[str, str]
    tests: Mapping[str, Test]
    faults: Mapping[str, ChainFault]
    cases: Mapping[str, Case]
    isolate: int
    energise: int
    boxes: Mapping[str, int]
    places: Mapping[str, str]
    """The stage of the chain that each part stands in; "" for the whole van."""
    modes: Mapping[str, Mode] = field(default_factory=dict)
