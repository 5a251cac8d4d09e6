"""From the read data to a table of readings, the best order of tests, and compiled cases as plain data."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from quizgen.bank.faults import Fault
from quizgen.cache import Cache, content_key
from quizgen.tracing import play
from quizgen.tracing.classes import grouped, shown
from quizgen.tracing.data import ACTS, Case, Tracing
from quizgen.tracing.order import INFINITE, ISOLATE, Order, State, Step, Workshop, masks
from quizgen.tracing.readings import READINGS

VERSION = 2
"""Of the shape of a compiled case."""
MOST_SUSPECTS = 16
"""A case starts with at most so many: more are no puzzle for a person, and exact values grow with them."""

Compiled = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Readings:
    """Every reading of every test under every fault; rows in the order of the faults."""

    faults: tuple[str, ...]
    exact: dict[str, tuple[tuple[str, ...], ...]]
    """By test, then fault: each reading as the meter shows it."""
    classes: dict[str, tuple[tuple[str, ...], ...]]
    """The same with the class's name for each reading: equal where a person sees no difference."""


def readings(tracing: Tracing) -> Readings:
    """Work out the whole table: each fault changes the healthy chain, each reading is computed from it."""
    ids = tuple(tracing.faults)
    chains = [{**tracing.healthy, **tracing.faults[id].change} for id in ids]
    exact: dict[str, list[str]] = {}
    classed: dict[str, list[str]] = {}
    for name in sorted({name for test in tracing.tests.values() for name in test.reads}):
        reading = READINGS[name]
        values = [reading.of(chain) for chain in chains]
        exact[name] = [shown(reading, value) for value in values]
        classed[name] = grouped(reading, values)
    return Readings(
        ids,
        {t.id: tuple(tuple(exact[n][i] for n in t.reads) for i in range(len(ids))) for t in tracing.tests.values()},
        {t.id: tuple(tuple(classed[n][i] for n in t.reads) for i in range(len(ids))) for t in tracing.tests.values()},
    )


def healthy(tracing: Tracing, table: Readings) -> dict[str, list[str]]:
    """What each test shows on a van with nothing wrong; nothing where the chain has no such entry."""
    whole = next((at for at, id in enumerate(table.faults) if not tracing.faults[id].change), None)
    return {} if whole is None else {id: list(rows[whole]) for id, rows in table.classes.items()}


def workshop(tracing: Tracing, table: Readings) -> Workshop:
    """The chain as the solver needs it: all faults, all tests but what the driver tells."""
    ids = table.faults
    parts = list(tracing.parts)
    boxes = list(tracing.boxes)
    barred = {act: sum(1 << i for i, id in enumerate(ids) if act in tracing.faults[id].forbids) for act in ACTS}
    steps = []
    for test in tracing.tests.values():
        if test.needs != "told":
            (outcomes,) = masks([table.classes[test.id]], len(ids))
            box = boxes.index(test.box) if test.box else -1
            unsafe = 0
            for act in test.acts:
                unsafe |= barred[act]
            steps.append(Step(test.id, test.minutes, outcomes, test.needs, box, unsafe))
    return Workshop(
        tuple(tracing.faults[id].weight for id in ids),
        tuple(parts.index(tracing.faults[id].part) for id in ids),
        tuple(steps),
        tracing.isolate,
        tracing.energise,
        tuple(tracing.boxes[box] for box in boxes),
        sum(1 << i for i, id in enumerate(ids) if tracing.faults[id].still_live),
    )


def suspects(tracing: Tracing, table: Readings, case: Case) -> int:
    """The faults that would show everything that is known at the start of the case."""
    true = table.faults.index(case.fault)
    return sum(
        1 << i
        for i in range(len(table.faults))
        if all(table.classes[test][i] == table.classes[test][true] for test in case.known)
    )


def compile_case(tracing: Tracing, table: Readings, order: Order, case: Case) -> tuple[Compiled | None, list[Fault]]:
    """A case as plain data for a page, or faults. A case outside the method has no suspects and no values."""
    made: Compiled = {
        "version": VERSION, "id": case.id, "title": case.title, "complaint": case.complaint,
        "difficulty": case.difficulty, "says": case.says, "outside": case.outside, "fault": case.fault,
        "known": [_known(tracing, table, case, id) for id in case.known],
    }  # fmt: skip
    if case.outside:
        return made, []
    start = State(suspects(tracing, table, case))
    count = start.suspects.bit_count()
    if count > MOST_SUSPECTS:
        said = f"known: leaves {count} suspects, at most {MOST_SUSPECTS} are allowed: add what else is known"
        return None, [Fault(case.at, case.id, said)]
    best = order.minutes(start)
    if best == INFINITE:
        said = "cannot be solved: tests leave suspects of different parts: add a test or what is known"
        return None, [Fault(case.at, case.id, said)]
    true = 1 << table.faults.index(case.fault)
    local = [i for i in range(len(table.faults)) if start.suspects >> i & 1]
    made["suspects"] = [
        {"id": f.id, "name": f.name, "part": f.part, "weight": f.weight, "forbids": list(f.forbids),
         "still_live": f.still_live}
        for f in (tracing.faults[table.faults[i]] for i in local)
    ]  # fmt: skip
    made["parts"] = {part: tracing.parts[part] for part in sorted({s["part"] for s in made["suspects"]})}
    made["tests"] = [
        {
            "id": t.id, "name": t.name, "place": t.place, "minutes": t.minutes, "needs": t.needs, "box": t.box,
            "acts": list(t.acts), "labels": [READINGS[n].label for n in t.reads],
            "readings": _distinct([table.classes[t.id][i] for i in local]),
        }
        for t in tracing.tests.values() if t.needs != "told"
    ]  # fmt: skip
    made["isolate"], made["energise"], made["boxes"] = tracing.isolate, tracing.energise, dict(tracing.boxes)
    made["minutes"], made["worst"] = float(best), float(order.longest(start))
    made["path"] = walk(order, start, true)
    made["values"] = {
        _name(state, local): [round(float(value), 6), order.best(state)]
        for state, value in _playable(made, order, local).items()
    }
    return made, []


def _playable(case: Compiled, order: Order, local: list[int]) -> dict[State, float]:
    """Every standing of the case that a player can come to, with the minutes that are left."""
    found: dict[State, float] = {}
    for standing in play.reachable(case):
        state = State(sum(1 << i for at, i in enumerate(local) if standing.suspects >> at & 1), *standing[1:])
        found[state] = order.minutes(state)
    return found


def _known(tracing: Tracing, table: Readings, case: Case, id: str) -> Compiled:
    test = tracing.tests[id]
    row = table.exact[id][table.faults.index(case.fault)]
    return {"test": id, "name": test.name, "labels": [READINGS[n].label for n in test.reads], "readings": list(row)}


def _distinct(rows: list[tuple[str, ...]]) -> Compiled:
    """Different outcomes once, and for each suspect which of them it shows."""
    seen = sorted(set(rows))
    return {"outcomes": [list(row) for row in seen], "shows": [seen.index(row) for row in rows]}


def _name(state: State, local: list[int]) -> str:
    """A state's key on a page: suspects as a number over the case's own list, d if dead, boxes as a number."""
    bits = sum(1 << place for place, i in enumerate(local) if state.suspects >> i & 1)
    return f"{bits}{'d' if state.dead else ''}{state.opened or ''}"


def walk(order: Order, start: State, true: int) -> list[tuple[str, float]]:
    """What a perfect player does when this suspect is the one: actions with their minutes, to the end."""
    state, made = start, []
    while id := order.best(state):
        made.append((id, float(order.setup(state, id))))
        following = next(later for later in order.after(state, id) if later.suspects & true)
        if id == ISOLATE and not following.dead:
            break  # proving dead failed: the right act is to stop
        state = following
    return made


def compile_tracing(tracing: Tracing | None, store: Cache, folder: Path | None = None) -> tuple[Compiled, list[Fault]]:
    """All cases and the whole chain's counts, from the cache where nothing has changed."""
    if tracing is None:
        return {}, []
    key = content_key("tracing", str(VERSION), program(), repr(tracing))
    kept = store.get(key)
    if kept is not None:
        return kept, []
    table = readings(tracing)
    made = workshop(tracing, table)
    order = Order(made)
    faults: list[Fault] = []
    cases = {}
    for case in tracing.cases.values():
        compiled, wrong = compile_case(tracing, table, order, case)
        faults += wrong
        if compiled:
            cases[case.id] = compiled
    pairs = [(table.faults[a], table.faults[b]) for a, b in order.inseparable()]
    result: Compiled = {
        "cases": cases,
        "inseparable": [list(pair) for pair in pairs],
        "healthy": healthy(tracing, table),
    }
    if not faults:
        store.put(key, result)
    return result, faults


def program() -> str:
    """The text of this room's own code: a changed computation is worked out anew."""
    return "".join(path.read_text(encoding="utf-8") for path in sorted(Path(__file__).parent.glob("*.py")))
