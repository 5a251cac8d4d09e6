"""The best order of tests, exactly: dynamic programming over suspects, isolation and opened boxes.

One suspect is to blame, every test always tells the same of the same suspect, and the work ends as soon
as all suspects that are left lie in one replaceable part. The value kept for a set is its expected minutes
times its weight, so that no division takes place: with integers or fractions as weights and minutes the
result is exact, and one table serves every start.

The search goes depth first with a limit. What could still come out of a state is bounded from below
(`Footing.least`), actions are tried in the order of their bounds, and one is left as soon as it cannot come
under the best found so far: nothing is estimated, only what cannot win is left out. A state is kept with its
value, or with the bound at which it was left. Boxes that no test of the suspects left can need are forgotten.

Theory: Pattipati and Alexandridis, IEEE Trans. SMC 20(4), 1990, test sequencing with set-up costs.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from quizgen.tracing.footing import DEAD, LIVE, Footing
from quizgen.tracing.steps import INFINITE, ISOLATE, Number, State, Step, Workshop, masks, members

__all__ = ["INFINITE", "ISOLATE", "Number", "Order", "State", "Step", "Workshop", "fixed_order", "masks"]

NOISE = 1e-9
"""Minutes within which two values count as equal, for weights or minutes that are floats."""


class _Move(NamedTuple):
    """An action of a state: its cost (times weight, unless the worst case counts), where it leads, what is left."""

    id: str
    cost: Number
    footing: int
    parts: tuple[int, ...]


class _Splits(NamedTuple):
    """What the tests make of a set of suspects, whatever has been prepared."""

    weight: Number
    tests: tuple[tuple[int, tuple[int, ...]], ...]
    """Index of each test that tells something, and the parts it divides the set into."""
    footing: int
    """Dead with every box open that one of these tests needs."""
    dead: bool
    """Whether one of them is a dead test."""


class Order:
    """Best values of a workshop, worked out when asked for and kept. `worst=True` minimises the worst case."""

    def __init__(self, workshop: Workshop, worst: bool = False) -> None:
        self.workshop, self.worst = workshop, worst
        self.everyone = (1 << len(workshop.weights)) - 1
        by_part: dict[int, int] = {}
        for index, part in enumerate(workshop.parts):
            by_part[part] = by_part.get(part, 0) | 1 << index
        self._part_of = [by_part[part] for part in workshop.parts]
        self._shows = [
            [next(mask for mask in step.outcomes if mask >> index & 1) for index in range(len(workshop.weights))]
            for step in workshop.steps
        ]
        self._index = {step.id: index for index, step in enumerate(workshop.steps)}
        self._footings: dict[int, Footing] = {}
        self._splits_kept: dict[int, _Splits] = {}
        self._values: dict[tuple[int, int], Number] = {}
        self._bounds: dict[tuple[int, int], Number] = {}

    # -- what is asked from outside --

    def minutes(self, state: State) -> Number:
        """Best expected minutes (or best worst case) from here; infinite where it cannot be solved."""
        return self._by_weight(self._value(state.suspects, _number(state), INFINITE), state)

    def with_first(self, state: State, id: str) -> Number:
        """Expected minutes when this action comes first and everything after it is best."""
        if not self.safe(state, id):
            return INFINITE
        if id == ISOLATE:
            move = self._isolating(state.suspects)
        else:
            test = self._index[id]
            move = self._test(state.suspects, _number(state), test, _parts(state.suspects, self._shows[test]))
        return self._by_weight(self._total(move, INFINITE), state)

    def regret(self, state: State, id: str) -> Number:
        """Minutes that this decision costs above the best one, in expectation; 0 for every best action."""
        return self.with_first(state, id) - self.minutes(state)

    def best(self, state: State) -> str:
        """A best action, the first by name among equals; "" where the work is done or nothing helps."""
        value = self._value(state.suspects, _number(state), INFINITE)
        if self.finished(state.suspects) or value == INFINITE:
            return ""
        limit = value + NOISE * (1 if self.worst else float(self.weight(state.suspects)) or 1)
        moves = self._moves(state.suspects, _number(state))
        return min(move.id for move in moves if self._least(move) < limit and self._total(move, limit) < limit)

    def actions(self, state: State) -> list[str]:
        """Ids of what may safely be done here and tells something, or isolates."""
        return [move.id for move in self._moves(state.suspects, _number(state))]

    def after(self, state: State, id: str) -> list[State]:
        """The states an action can lead to. A state that proving dead stopped is left as it was."""
        if id == ISOLATE:
            live = state.suspects & self.workshop.still_live
            return [State(mask, dead) for mask, dead in ((live, False), (state.suspects & ~live, True)) if mask]
        test = self._index[id]
        footing = self._footing(_number(state)).after[test]
        return [State(part, footing != LIVE, footing >> 1) for part in _parts(state.suspects, self._shows[test])]

    def finished(self, suspects: int) -> bool:
        """All suspects lie in one replaceable part."""
        return not suspects or not suspects & ~self._part_of[(suspects & -suspects).bit_length() - 1]

    def setup(self, state: State, id: str) -> Number:
        """Minutes of the action itself with what has to be prepared for it in this state."""
        if id == ISOLATE:
            return self.workshop.isolation
        footing, test = self._footing(_number(state)), self._index[id]
        return footing.with_setups[test] if footing.allowed[test] else INFINITE

    def safe(self, state: State, id: str) -> bool:
        """Whether the action may be made here: dead tests only when proved dead, no act that a suspect forbids."""
        if id == ISOLATE:
            return not state.dead
        step = self.workshop.steps[self._index[id]]
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
                    waiting += self.after(state, id)
        return found

    def inseparable(self) -> list[tuple[int, int]]:
        """Pairs of suspects in different parts that no test and no proving dead tells apart."""
        live, count = self.workshop.still_live, len(self.workshop.weights)
        signs = [(live >> s & 1, *(shows[s] for shows in self._shows)) for s in range(count)]
        return [
            (a, b)
            for a in range(count)
            for b in range(a + 1, count)
            if signs[a] == signs[b] and self._part_of[a] != self._part_of[b]
        ]

    def longest(self, state: State) -> Number:
        """Minutes of the unluckiest suspect when every decision is the best in expectation."""
        id = self.best(state)
        if not id:
            return 0 if self.finished(state.suspects) else INFINITE
        going_on = [later for later in self.after(state, id) if later.dead or id != ISOLATE]
        return self.setup(state, id) + max((self.longest(later) for later in going_on), default=0)

    def weight(self, suspects: int) -> Number:
        return self._splits(suspects).weight

    def _by_weight(self, value: Number, state: State) -> Number:
        if self.worst or value == 0 or value == INFINITE:
            return value
        weight = self.weight(state.suspects)
        return _ratio(value, weight) if weight else value

    # -- the search --

    def _value(self, suspects: int, footing: int, limit: Number) -> Number:
        """The value if it lies below the limit, else a bound of it that does not."""
        bound = self._bound(suspects, footing)
        key = suspects, self._needed(suspects, footing)
        if bound >= limit or key in self._values or self.finished(suspects):
            return bound
        moves = [(self._least(move), at, move) for at, move in enumerate(self._moves(*key))]
        best, left_at = INFINITE, INFINITE
        for least, _, move in sorted(moves):
            to_beat = min(best, limit)
            total = self._total(move, to_beat) if least < to_beat else least
            if total < to_beat:
                best = total
            else:
                left_at = min(left_at, total)
            if least >= to_beat:
                break  # and so are all that follow
        if best < limit:
            self._values[key] = best
            return best
        self._bounds[key] = left_at
        return left_at

    def _total(self, move: _Move, limit: Number) -> Number:
        """The value with this move first if it lies below the limit, else a bound of it that does not."""
        known = [self._bound(part, move.footing) for part in move.parts]
        total = self._joined(move, known)
        for at in sorted(range(len(known)), key=known.__getitem__, reverse=True):
            if total >= limit:
                break
            others = move.cost if self.worst else total - known[at]
            known[at] = self._value(move.parts[at], move.footing, limit - others)
            total = self._joined(move, known)
        return total

    def _least(self, move: _Move) -> Number:
        return self._joined(move, [self._bound(part, move.footing) for part in move.parts])

    def _joined(self, move: _Move, values: list[Number]) -> Number:
        return move.cost + (max(values, default=0) if self.worst else sum(values))

    def _bound(self, suspects: int, footing: int) -> Number:
        """What is known of a state without searching: its value, or a bound of it from below."""
        if self.finished(suspects):
            return 0
        key = suspects, self._needed(suspects, footing)
        known = self._values.get(key, self._bounds.get(key))
        if known is None:
            prices = self._footing(key[1])
            known = self._bounds[key] = prices.least_worst(suspects) if self.worst else prices.least(suspects)
        return known

    def _moves(self, suspects: int, footing: int) -> list[_Move]:
        """What may safely be done and tells something, or isolates."""
        splits, allowed = self._splits(suspects), self._footing(footing).allowed
        made = [
            self._test(suspects, footing, test, parts)
            for test, parts in splits.tests
            if allowed[test] and not self.workshop.steps[test].unsafe & suspects
        ]
        live = suspects & self.workshop.still_live
        if footing == LIVE and (splits.dead or 0 < live < suspects):
            made.append(self._isolating(suspects))
        return made

    def _test(self, suspects: int, footing: int, test: int, parts: tuple[int, ...]) -> _Move:
        prices = self._footing(footing)
        cost = prices.with_setups[test] * (1 if self.worst else self.weight(suspects))
        return _Move(self.workshop.steps[test].id, cost, prices.after[test], parts)

    def _isolating(self, suspects: int) -> _Move:
        """Where proving dead fails, the right act is to stop: nothing is paid any more."""
        cost = self.workshop.isolation * (1 if self.worst else self.weight(suspects))
        dead = suspects & ~self.workshop.still_live
        return _Move(ISOLATE, cost, DEAD, (dead,) if dead else ())

    def _needed(self, suspects: int, footing: int) -> int:
        """The footing less the opened boxes that no test of these suspects needs."""
        return footing & self._splits(suspects).footing if footing > DEAD else footing

    def _footing(self, number: int) -> Footing:
        if number not in self._footings:
            self._footings[number] = Footing(self.workshop, number, self._shows, self._part_of)
        return self._footings[number]

    def _splits(self, suspects: int) -> _Splits:
        kept = self._splits_kept.get(suspects)
        if kept is None:
            lowest = (suspects & -suspects).bit_length() - 1
            tests = tuple(
                (test, _parts(suspects, shows)) for test, shows in enumerate(self._shows) if suspects & ~shows[lowest]
            )
            steps = [self.workshop.steps[test] for test, _ in tests]
            boxes = {step.box for step in steps if step.box >= 0}
            footing = DEAD | sum(2 << box for box in boxes)
            weight = sum(self.workshop.weights[index] for index in members(suspects))
            dead = any(step.needs == "dead" for step in steps)
            kept = self._splits_kept[suspects] = _Splits(weight, tests, footing, dead)
        return kept


def _parts(suspects: int, shows: list[int]) -> tuple[int, ...]:
    """The set by what its suspects show in a test."""
    made = []
    while suspects:
        alike = suspects & shows[(suspects & -suspects).bit_length() - 1]
        made.append(alike)
        suspects ^= alike
    return tuple(made)


def _number(state: State) -> int:
    return DEAD | state.opened << 1 if state.dead else LIVE


def _ratio(value: Number, weight: Number) -> Number:
    if isinstance(value, float) or isinstance(weight, float):
        return value / weight
    return Fraction(value) / weight


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
