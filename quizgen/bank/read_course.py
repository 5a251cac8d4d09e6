"""Course, modules with their outcomes, and sources."""

from __future__ import annotations

import re

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import bad_id
from quizgen.bank.models import Course, Module, Outcome, Source
from quizgen.bank.yaml_reader import Mapping, Text


def read_course(node: Mapping, faults: list[Fault]) -> Course | None:
    entry = Entry("course", node, faults, ("id", "title", "currency"))
    id, title, currency = entry.text("id"), entry.words("title"), entry.words("currency", required=False)
    if id and (why := bad_id(id.value)):
        entry.fault(id.place, why)
    if currency and not re.fullmatch(r"[A-Z]{3}|[€£$¤]", currency):
        entry.fault(entry.place("currency"), "the currency is three capital letters, like EUR, or one sign")
        currency = ""
    return Course(id.value, title, currency, node.place) if id and title else None


def read_module(id: Text, node: Mapping, faults: list[Fault]) -> tuple[Module, list[Outcome]]:
    entry = Entry(id.value, node, faults, ("code", "title", "needs", "minutes", "outcomes"))
    minutes = entry.text("minutes")
    if minutes and not re.fullmatch(r"[1-9]\d{0,3}", minutes.value.strip(), re.ASCII):
        entry.fault(minutes.place, f"{quoted(minutes.value)} is no whole number of minutes: write minutes: 90")
        minutes = None
    outcomes = []
    named = entry.mapping("outcomes")
    for key, value in named.pairs if named else ():
        if why := bad_id(key.value):
            entry.fault(key.place, why)
        says = entry.as_text(value, key.value)
        if says:
            outcomes.append(Outcome(key.value, id.value, " ".join(says.value.split()), key.place))
    module = Module(
        id.value,
        entry.words("code"),
        entry.words("title"),
        tuple(text.value.strip() for text in entry.lines("needs", required=False)),
        int(minutes.value) if minutes else 0,
        tuple(outcome.id for outcome in outcomes),
        id.place,
    )
    return module, outcomes


def read_source(id: Text, node: Mapping, faults: list[Fault]) -> Source:
    entry = Entry(id.value, node, faults, ("author", "title", "publisher", "year"))
    return Source(
        id.value,
        entry.words("title"),
        entry.words("author", required=False),
        entry.words("publisher", required=False),
        entry.words("year", required=False),
        id.place,
    )


def check_needs(modules: dict[str, Module], faults: list[Fault]) -> None:
    """Every prerequisite exists, and no module needs itself in the end."""
    for module in modules.values():
        for need in module.needs:
            if need not in modules:
                faults.append(
                    Fault(module.place, module.id, f"needs: {quoted(need)} is no module.{near(need, modules)}")
                )
    state: dict[str, int] = {}

    def visit(id: str, path: tuple[str, ...]) -> None:
        if state.get(id) == 2 or id not in modules:
            return
        if state.get(id) == 1:
            circle = " → ".join((*path[path.index(id) :], id))
            faults.append(Fault(modules[id].place, id, f"needs: runs in a circle: {circle}: take one of them out"))
            return
        state[id] = 1
        for need in modules[id].needs:
            visit(need, (*path, id))
        state[id] = 2

    for id in modules:
        visit(id, ())
