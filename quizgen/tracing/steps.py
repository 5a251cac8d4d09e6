"""What the order of tests starts from: suspects with weights and parts, tests, set-ups, and where one stands.

Sets of suspects are bits of an int.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

INFINITE = float("inf")
Number = Any
"""int, float or Fraction; only added, multiplied and compared."""
ISOLATE = "isolate"
"""Id of the action that isolates, locks and proves dead."""


@dataclass(frozen=True, slots=True)
class Step:
    """A test as the order of tests needs it."""

    id: str
    minutes: Number
    outcomes: tuple[int, ...]
    """Suspects by what they would show; together all suspects, none twice."""
    needs: str = "any"
    """"live" (energised, covers on), "dead" (isolated, locked, proved dead) or "any"."""
    box: int = -1
    """Index of the box that must be open, for a test that needs "dead"; -1 for none."""
    unsafe: int = 0
    """Suspects that must have been ruled out before the test may be made."""

    def __post_init__(self) -> None:
        if self.box >= 0 and self.needs != "dead":
            raise ValueError(f"{self.id}: a box is opened for a dead test only")


@dataclass(frozen=True, slots=True)
class Workshop:
    """What a fault tracing starts from: suspects with weight and part, tests, set-ups."""

    weights: tuple[Number, ...]
    parts: tuple[int, ...]
    """For each suspect the index of the replaceable part it lies in."""
    steps: tuple[Step, ...]
    isolation: Number = 0
    """Minutes to isolate, lock and prove dead."""
    energising: Number = INFINITE
    """Minutes to close all boxes and energise again, before a live test."""
    boxes: tuple[Number, ...] = ()
    """Access minutes of each box."""
    still_live: int = 0
    """Suspects with which proving dead fails: the work stops there."""


class State(NamedTuple):
    """Suspects as bits, whether isolated and proved dead, boxes opened as bits."""

    suspects: int
    dead: bool = False
    opened: int = 0


def members(suspects: int) -> Iterator[int]:
    """The indices of a set's suspects, in order."""
    while suspects:
        lowest = suspects & -suspects
        yield lowest.bit_length() - 1
        suspects ^= lowest


def masks(rows: Iterable[Sequence[object]], suspects: int) -> Iterator[tuple[int, ...]]:
    """For each test, given as what every suspect shows, its outcomes as sets of suspects."""
    for row in rows:
        by: dict[object, int] = {}
        for index in range(suspects):
            by[row[index]] = by.get(row[index], 0) | 1 << index
        yield tuple(by.values())
