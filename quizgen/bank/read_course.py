"""Course, modules with their outcomes, and sources."""

from __future__ import annotations

import collections.abc
import re

from quizgen.bank.entry import Entry, Partial
from quizgen.bank.faults import Fault, Place, near, quoted
from quizgen.bank.fields import bad_id
from quizgen.bank.models import Course, Module, Outcome, Source
from quizgen.bank.yaml_reader import Listing, Mapping, Text
from quizgen.expression.units import UnitError, unit_list

Found = tuple[Text, Mapping]
Known = collections.abc.Mapping


def read_course(node: Mapping, faults: list[Fault]) -> Course | None:
    entry = Entry("course", node, faults, ("id", "title", "currency", "again after"))
    id, title, currency = entry.text("id"), entry.words("title"), entry.words("currency", required=False)
    if id and (why := bad_id(id.value)):
        entry.fault(id.place, why)
    if currency and not _is_currency(currency):
        entry.fault(entry.place("currency"), "the currency is three capital letters, like EUR, or one sign")
        currency = ""
    again = _days(entry)
    return Course(id.value, title, currency, node.place, again) if id and title else None


def _days(entry: Entry) -> int:
    """`again after: 7 days`, which is also what holds where it is left out.

    Practice spread out beats practice in one go, and gaps that grow are no better than equal ones: Latimier, Peyre
    and Ramus, Educational Psychology Review 33, 2021. A good gap is a tenth to a fifth of the time for which the
    knowledge must last (Cepeda and others, Psychological Science 19, 2008; from memory): a week suits a term.
    """
    usual, most = 7, 100
    text = entry.text("again after", required=False)
    if text is None:
        return usual
    found = re.fullmatch(r"([1-9]\d{0,2}) +days?", text.value.strip(), re.ASCII)
    if found and int(found[1]) <= most:
        return int(found[1])
    entry.fault(text.place, f"again after: {quoted(text.value.strip())}: expected 1 to {most} days: write 7 days")
    return usual


def _is_currency(text: str) -> bool:
    try:
        unit_list(text)
    except UnitError:  # VAR is a unit already
        return False
    return bool(re.fullmatch(r"[A-Z]{3}|[€£$¤]", text))


def read_module(id: Text, node: Mapping, faults: list[Fault]) -> tuple[Module, list[Outcome]]:
    entry = Entry(id.value, node, faults, ("code", "title", "needs", "minutes", "outcomes"))
    if why := bad_id(id.value):
        entry.fault(id.place, why)
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
    if why := bad_id(id.value):
        entry.fault(id.place, why)
    return Source(
        id.value,
        entry.words("title"),
        entry.words("author", required=False),
        entry.words("publisher", required=False),
        entry.words("year", required=False),
        id.place,
    )


def check_needs(found: collections.abc.Iterable[Found], modules: Known[str, Module], faults: list[Fault]) -> None:
    """Every prerequisite exists, and no module needs itself in the end."""
    lines: dict[str, dict[str, Place]] = {}
    for id, node in found:
        needs = node.get("needs")
        for line in needs.items if isinstance(needs, Listing) else (needs,):
            if not isinstance(line, Text):
                continue
            need = line.value.strip()
            if need and need not in modules and not isinstance(faults, Partial):
                said = f"needs: {quoted(need)} is no module here.{near(need, modules)}"
                faults.append(Fault(line.place, id.value, said))
            lines.setdefault(id.value, {})[need] = line.place
    for circle in _circles({id: module.needs for id, module in modules.items()}):
        said = f"needs: runs in a circle, {' → '.join(circle)}: take one of them out"
        faults.append(Fault(lines[circle[-2]][circle[-1]], circle[-2], said))


def _circles(needs: dict[str, tuple[str, ...]]) -> collections.abc.Iterator[tuple[str, ...]]:
    """Every way back to a module on the way to it, as ids; a walk without recursion, for any depth."""
    done: set[str] = set()
    for first in needs:
        path: dict[str, collections.abc.Iterator[str]] = {}
        following = first
        while True:
            if following in path:
                ids = list(path)
                yield (*ids[ids.index(following) :], following)
            elif following in needs and following not in done:
                path[following] = iter(needs[following])
            while path and not (following := next(path[next(reversed(path))], "")):
                done.add(path.popitem()[0])
            if not path:
                break
