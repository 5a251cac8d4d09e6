"""The best order of tests, exactly: dynamic programming over suspects, isolation and opened boxes.

One suspect is to blame, every test always tells the same of the same suspect, and the work ends as soon
as all suspects that are left lie in one replaceable part. Sets of suspects are bits of an int. The value
kept for a set is its expected minutes times its weight, so that no division takes place: with integers or
fractions as weights and minutes the result is exact, and one table serves every start.

Theory: Pattipati and Alexandridis, IEEE Trans. SMC 20(4), 1990, test sequencing with set-up costs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

INFINITE = float("inf")
Number = Any
"""int, float or Fraction; only added, multiplied and compared."""


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
    """Index of the box that must be open; -1 for none."""
    unsafe: int = 0
    """Suspects that must have been ruled out before the test may be made."""


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


ISOLATE = "isolate"
"""Id of the action that isolates, locks and proves dead."""


class Order:
    """Best values of a workshop, worked out when asked for and kept. `worst=True` minimises the worst case."""

    def __init__(self, workshop: Workshop, worst: bool = False) -> None:
        self.workshop, self.worst = workshop, worst
        self.everyone = (1 << len(workshop.weights)) - 1
        self._part_masks: dict[int, int] = {}
        for index, part in enumerate(workshop.parts):
            self._part_masks[part] = self._part_masks.get(part, 0) | 1 << index
        self._kept: dict[State, Number] = {}
        self._weights: dict[int, Number] = {}
        self._steps = {step.id: step for step in workshop.steps}
        self._cheapest = tuple(sorted(workshop.steps, key=lambda step: (step.minutes, step.id)))

    # -- what is asked from outside --

    def minutes(self, state: State) -> Number:
        """Best expected minutes (or best worst case) from here; infinite where it cannot be solved."""
        value = self._value(state)
        weight = self.weight(state.suspects)
        if self.worst or value == 0 or value == INFINITE or not weight:
            return value
        return _ratio(value, weight)

    def with_first(self, state: State, id: str) -> Number:
        """Expected minutes when this action comes first and everything after it is best."""
        value = self._with_first(state, id, INFINITE)
        weight = self.weight(state.suspects)
        if self.worst or value == INFINITE or not weight:
            return value
        return _ratio(value, weight)

    def regret(self, state: State, id: str) -> Number:
        """Minutes that this decision costs above the best one, in expectation; 0 for every best action."""
        return self.with_first(state, id) - self.minutes(state)

    def best(self, state: State) -> str:
        """A best action, the first by name among equals; "" where the work is done or nothing helps."""
        if self.finished(state.suspects) or self._value(state) == INFINITE:
            return ""
        return min(self.actions(state), key=lambda id: (_near(self.with_first(state, id)), id))

    def actions(self, state: State) -> list[str]:
        """Ids of what may safely be done here and tells something, or isolates."""
        made = [step.id for step in self._cheapest if self._useful(state, step)]
        if not state.dead and any(
            self._splits(state.suspects, step) and step.needs == "dead" for step in self._cheapest
        ):
            made.append(ISOLATE)
        return made

    def after(self, state: State, id: str) -> list[State]:
        """The states an action can lead to. A state that proving dead stopped is left as it was."""
        return list(self._after(state, id))

    def finished(self, suspects: int) -> bool:
        """All suspects lie in one replaceable part."""
        if not suspects:
            return True
        lowest = (suspects & -suspects).bit_length() - 1
        return not suspects & ~self._part_masks[self.workshop.parts[lowest]]

    def setup(self, state: State, id: str) -> Number:
        """Minutes of the action itself with what has to be prepared for it in this state."""
        if id == ISOLATE:
            return self.workshop.isolation
        step = self._steps[id]
        minutes = step.minutes
        if step.needs == "dead" and not state.dead:
            return INFINITE  # never without isolating first
        if step.needs == "live" and state.dead:
            minutes = minutes + self.workshop.energising
        if step.box >= 0 and not state.opened >> step.box & 1:
            minutes = minutes + self.workshop.boxes[step.box]
        return minutes

    def safe(self, state: State, id: str) -> bool:
        """Whether the action may be made here: dead tests only when proved dead, no charging with a doubt."""
        if id == ISOLATE:
            return not state.dead
        step = self._steps[id]
        return not (step.needs == "dead" and not state.dead) and not step.unsafe & state.suspects

    def reachable(self, start: State) -> dict[State, Number]:
        """Every state that safe actions lead to from here, with its best expected minutes."""
        found: dict[State, Number] = {}
        waiting = [start]
        while waiting:
            state = waiting.pop()
            if state in found:
                continue
            found[state] = self.minutes(state)
            if not self.finished(state.suspects):
                for id in self.actions(state):
                    waiting += self._after(state, id)
        return found

    def inseparable(self) -> list[tuple[int, int]]:
        """Pairs of suspects in different parts that no test and no proving dead tells apart."""
        masks = [*(step.outcomes for step in self.workshop.steps), self._proving()]
        count = len(self.workshop.weights)
        signs = [tuple(next(i for i, m in enumerate(row) if m >> s & 1) for row in masks) for s in range(count)]
        return [
            (a, b)
            for a in range(count)
            for b in range(a + 1, count)
            if signs[a] == signs[b] and self.workshop.parts[a] != self.workshop.parts[b]
        ]

    def longest(self, state: State) -> Number:
        """Minutes of the unluckiest suspect when every decision is the best in expectation."""
        id = self.best(state)
        if not id:
            return 0 if self.finished(state.suspects) else INFINITE
        return self.setup(state, id) + max(
            (self.longest(later) for later in self._after(state, id) if not self._stopped(later, state, id)), default=0
        )

    def weight(self, suspects: int) -> Number:
        kept = self._weights.get(suspects)
        if kept is None:
            kept = sum(w for index, w in enumerate(self.workshop.weights) if suspects >> index & 1)
            self._weights[suspects] = kept
        return kept

    # -- the recursion --

    def _value(self, state: State) -> Number:
        if self.finished(state.suspects):
            return 0
        kept = self._kept.get(state)
        if kept is None:
            best: Number = INFINITE
            for id in self.actions(state):
                best = min(best, self._with_first(state, id, best))
            kept = self._kept[state] = best
        return kept

    def _with_first(self, state: State, id: str, bound: Number) -> Number:
        """Value with this action first; anything not below `bound` may be returned once it is passed."""
        cost = self.setup(state, id)
        if cost == INFINITE or not self.safe(state, id):
            return INFINITE
        if self.worst:
            later = [self._value(s) for s in self._after(state, id) if not self._stopped(s, state, id)]
            return cost + max(later, default=0)
        total = cost * self.weight(state.suspects)
        for following in sorted(self._after(state, id), key=lambda s: s.suspects.bit_count()):
            if total > bound:
                return total
            if not self._stopped(following, state, id):
                total = total + self._value(following)
        return total

    def _after(self, state: State, id: str) -> Iterator[State]:
        suspects = state.suspects
        if id == ISOLATE:
            for mask in self._proving():
                if suspects & mask:
                    yield State(suspects & mask, mask != self.workshop.still_live, 0)
            return
        step = self._steps[id]
        dead = state.dead and step.needs != "live"
        opened = state.opened if dead == state.dead else 0
        if step.box >= 0:
            opened |= 1 << step.box
        for mask in step.outcomes:
            if suspects & mask:
                yield State(suspects & mask, dead, opened)

    def _proving(self) -> tuple[int, ...]:
        """Suspects by what proving dead shows."""
        live = self.workshop.still_live
        return (live, self.everyone & ~live) if live else (self.everyone,)

    def _stopped(self, state: State, before: State, id: str) -> bool:
        """Proving dead failed: the right act is to stop, and nothing is paid any more."""
        return id == ISOLATE and not state.dead and before.dead is False

    def _splits(self, suspects: int, step: Step) -> bool:
        return all(suspects & ~mask for mask in step.outcomes)

    def _useful(self, state: State, step: Step) -> bool:
        return (
            not step.unsafe & state.suspects
            and not (step.needs == "dead" and not state.dead)
            and not (step.needs == "live" and state.dead and self.workshop.energising == INFINITE)
            and self._splits(state.suspects, step)
        )


def _ratio(value: Number, weight: Number) -> Number:
    return (
        Fraction(value) / weight if not isinstance(value, float) and not isinstance(weight, float) else value / weight
    )


def _near(value: Number) -> float:
    """So that equals up to the noise of binary arithmetic count as equal."""
    return round(float(value), 9)


def masks(rows: Iterable[Sequence[object]], suspects: int) -> Iterator[tuple[int, ...]]:
    """For each test, given as what every suspect shows, its outcomes as sets of suspects."""
    for row in rows:
        by: dict[object, int] = {}
        for index in range(suspects):
            by[row[index]] = by.get(row[index], 0) | 1 << index
        yield tuple(by.values())


def fixed_order(workshop: Workshop, ids: Sequence[str], state: State) -> Number:
    """Expected minutes when tests are made in a fixed order until one part is left; useless ones are skipped."""
    order = Order(workshop)

    def value(state: State, at: int) -> Number:
        if order.finished(state.suspects):
            return 0
        while at < len(ids) and ids[at] not in order.actions(state):
            at += 1
        if at == len(ids):
            return INFINITE
        return order.setup(state, ids[at]) * order.weight(state.suspects) + sum(
            value(later, at + 1) for later in order.after(state, ids[at])
        )

    return _ratio(value(state, 0), order.weight(state.suspects))
