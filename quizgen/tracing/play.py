"""Playing a compiled case from its plain data alone, as the page does: states, minutes, regret, safety."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from quizgen.tracing.data import ACTS

Compiled = dict[str, Any]
ISOLATE = "isolate"


class Standing(NamedTuple):
    """Suspects over the case's own list as bits, proved dead or not, boxes opened as bits."""

    suspects: int
    dead: bool = False
    opened: int = 0

    def key(self) -> str:
        return f"{self.suspects}{'d' if self.dead else ''}{self.opened or ''}"


def start(case: Compiled) -> Standing:
    return Standing((1 << len(case["suspects"])) - 1)


def done(case: Compiled, standing: Standing) -> bool:
    """All suspects that are left lie in one part."""
    return len({s["part"] for i, s in enumerate(case["suspects"]) if standing.suspects >> i & 1}) <= 1


def must_stop(case: Compiled, standing: Standing) -> bool:
    """Whatever is left keeps high voltage on after isolating: the right act is to stop and hand over."""
    return all(s["still_live"] for i, s in enumerate(case["suspects"]) if standing.suspects >> i & 1)


def allowed(case: Compiled) -> float:
    """Minutes that the decisions of a case may lose for it to count as right."""
    return max(5.0, float(case["minutes"]) / 4)


def unsafe(case: Compiled, standing: Standing, action: str) -> str:
    """Why the action must not be done now; empty where it may."""
    if action == ISOLATE:
        return ""
    test = _test(case, action)
    if test["needs"] == "dead" and not standing.dead:
        return "A dead test before isolating, locking and proving dead."
    for act in test["acts"]:
        for i, suspect in enumerate(case["suspects"]):
            if standing.suspects >> i & 1 and act in suspect["forbids"]:
                name = ACTS[act].name
                return f"{name[0].upper()}{name[1:]} while this is still possible: {suspect['name']}."
    return ""


def minutes(case: Compiled, standing: Standing, action: str) -> int:
    """What the action costs here, with what must be prepared for it."""
    if action == ISOLATE:
        return int(case["isolate"])
    test = _test(case, action)
    cost = int(test["minutes"])
    if test["needs"] == "live" and standing.dead:
        cost += case["energise"]
    if test["box"] and not standing.opened >> _box(case, test) & 1:
        cost += case["boxes"][test["box"]]
    return cost


def after(case: Compiled, standing: Standing, action: str) -> list[Standing]:
    """The standings that the action can lead to. After proving dead failed nothing more may be done."""
    return _isolated(case, standing) if action == ISOLATE else _tested(_move(case, _test(case, action)), standing)


def reachable(case: Compiled) -> Iterator[Standing]:
    """Every unfinished standing that safe play leads to, also by tests that tell nothing and opened a box for it."""
    moves = [_move(case, test) for test in case["tests"]]
    waiting = [start(case)]
    seen = set(waiting)
    while waiting:
        standing = waiting.pop()
        if done(case, standing):
            continue
        yield standing
        # After proving dead failed nothing more may be done.
        later = [] if standing.dead else [one for one in _isolated(case, standing) if one.dead]
        for move in moves:
            if not (move.only_dead and not standing.dead or standing.suspects & move.forbids):
                later += _tested(move, standing)
        fresh = set(later) - seen
        seen |= fresh
        waiting += fresh


def regret(case: Compiled, standing: Standing, action: str) -> float:
    """Minutes that this decision costs above the best one, in expectation.

    Infinite where the action is unsafe, or where a case cannot be solved any more after it. A test that tells
    nothing costs its own minutes: nothing was learned, and the boxes it opened are counted as lost.
    """
    if unsafe(case, standing, action):
        return float("inf")
    best = _value(case, standing)
    following = after(case, standing, action)
    if action != ISOLATE and len(following) == 1:
        return float(minutes(case, standing, action))
    weight = _weight(case, standing)
    later = sum(0.0 if action == ISOLATE and not s.dead else _value(case, s) * _weight(case, s) for s in following)
    return minutes(case, standing, action) + later / weight - best


def _value(case: Compiled, standing: Standing) -> float:
    return 0.0 if done(case, standing) else float(case["values"].get(standing.key(), (float("inf"),))[0])


def _weight(case: Compiled, standing: Standing) -> int:
    return sum(s["weight"] for i, s in enumerate(case["suspects"]) if standing.suspects >> i & 1)


class _Move(NamedTuple):
    """A test over the case's own list of suspects, as bits."""

    only_dead: bool
    only_live: bool
    forbids: int
    """Suspects under which it must not be done."""
    box: int
    outcomes: tuple[int, ...]
    """For each outcome the suspects that show it."""


def _move(case: Compiled, test: Compiled) -> _Move:
    forbids = sum(1 << i for i, s in enumerate(case["suspects"]) if set(test["acts"]) & set(s["forbids"]))
    outcomes: dict[int, int] = {}
    for i, outcome in enumerate(test["readings"]["shows"]):
        outcomes[outcome] = outcomes.get(outcome, 0) | 1 << i
    box = 1 << _box(case, test) if test["box"] else 0
    return _Move(test["needs"] == "dead", test["needs"] == "live", forbids, box, tuple(outcomes.values()))


def _tested(move: _Move, standing: Standing) -> list[Standing]:
    dead = standing.dead and not move.only_live
    opened = (standing.opened if dead == standing.dead else 0) | move.box
    left = [standing.suspects & outcome for outcome in move.outcomes]
    return [Standing(suspects, dead, opened) for suspects in left if suspects]


def _isolated(case: Compiled, standing: Standing) -> list[Standing]:
    live = sum(1 << i for i, s in enumerate(case["suspects"]) if s["still_live"])
    parts = [(standing.suspects & live, False), (standing.suspects & ~live, True)]
    return [Standing(mask, dead) for mask, dead in parts if mask]


def _test(case: Compiled, action: str) -> Compiled:
    return next(test for test in case["tests"] if test["id"] == action)


def _box(case: Compiled, test: Compiled) -> int:
    return list(case["boxes"]).index(test["box"])
