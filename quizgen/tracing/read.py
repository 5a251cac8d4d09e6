"""From the bank's raw entries to a Tracing, with every fault at its place."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from functools import partial

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, Place, quoted
from quizgen.bank.fields import bad_id, si
from quizgen.bank.models import Bank, Chain
from quizgen.bank.read_chain import called
from quizgen.bank.yaml_reader import Mapping, Text
from quizgen.tracing.data import ACTS, Case, ChainFault, Mode, Test, Tracing, Value
from quizgen.tracing.parameters import NOT_NEEDED, PARAMETERS, read_value
from quizgen.tracing.readings import READINGS
from quizgen.tracing.steps import ISOLATE

MOST_FAULTS, MOST_TESTS, MOST_BOXES = 400, 200, 12
MOST_MINUTES = 10_000


def read_tracing(bank: Bank) -> tuple[Tracing | None, list[Fault]]:
    """The tracing data of a bank, None where the bank has none or they have faults."""
    raw = bank.tracing
    if not any(raw.values()):
        return None, []
    faults: list[Fault] = []
    first = min((id.place for entries in raw.values() for id, _ in entries), key=lambda at: (at.path, at.line))
    healthy = _healthy(bank, first, faults)
    parts, places = {}, {}
    for id, node in raw["parts"]:
        entry = _entry(id, node, faults, ("name", "stage"))
        parts[id.value], places[id.value] = entry.words("name"), _stage(entry, bank)
    setups = {id.value: _minutes(_entry(id, node, faults, ("minutes",)), "minutes", 1) for id, node in raw["workshop"]}
    for needed in ("isolate", "energise"):
        if needed not in setups:
            faults.append(Fault(first, "", f"workshop: {needed} is missing: add it with its minutes"))
    boxes = {id: minutes for id, minutes in setups.items() if id not in ("isolate", "energise")}
    if len(boxes) > MOST_BOXES:
        faults.append(Fault(raw["workshop"][0][0].place, "", f"more than {MOST_BOXES} boxes: take some out"))
    tests = {id.value: _test(bank, id, node, boxes, faults) for id, node in raw["tests"]}
    chain_faults = {id.value: _fault(bank, id, node, healthy, parts, faults) for id, node in raw["faults"]}
    _no_two_alike(
        (chain_faults[id.value] for id, node in raw["faults"] if _all_read(chain_faults[id.value], node)), faults
    )
    for section, most in (("tests", MOST_TESTS), ("faults", MOST_FAULTS)):
        if not raw[section]:
            faults.append(Fault(first, "", f"{section}: are missing: a tracing needs at least one"))
        if len(raw[section]) > most:
            faults.append(Fault(raw[section][0][0].place, "", f"more than {most} {section}: take some out"))
    cases = {id.value: _case(id, node, tests, chain_faults, faults) for id, node in raw["cases"]}
    if faults:
        return None, faults
    setup = setups["isolate"], setups["energise"]
    return Tracing(healthy, parts, tests, chain_faults, cases, *setup, boxes, places, _modes(bank.chain)), []


def _modes(chain: Chain | None) -> dict[str, Mode]:
    """What those modes of the chain have in common that give the same lines `n_ph` and current `I_L`; their `U_B`."""
    made: dict[str, Mode] = {}
    for id, kept in (chain.values if chain else {}).items():
        if {"n_ph", "I_L", "U_B"} <= kept.keys():
            lines, amps, volts = (si((kept[name].number, kept[name].unit)) for name in ("n_ph", "I_L", "U_B"))
            short = id.removesuffix(f"-{volts:g}")
            known = made[short].volts if short in made else ()
            made[short] = Mode(short, int(lines), amps, tuple(sorted({*known, volts})))
    return made


def _entry(id: Text, node: Mapping, faults: list[Fault], allowed: tuple[str, ...]) -> Entry:
    entry = Entry(id.value, node, faults, allowed)
    if why := bad_id(id.value):
        entry.fault(id.place, why)
    return entry


def _stage(entry: Entry, bank: Bank) -> str:
    """A stage of the chain's map, "" for the whole van."""
    stage = entry.words("stage", required=False)
    if stage and not (bank.chain and stage in bank.chain.stages):
        entry.unknown(entry.place("stage"), stage, "stage of the chain", bank.chain.stages if bank.chain else ())
    return stage


def _minutes(entry: Entry, key: str, least: int) -> int:
    """A whole number of minutes, or a weight."""
    text = entry.text(key)
    if text is None:
        return least
    value = text.value.strip()
    if not (value.isascii() and value.isdigit() and len(value) < 6 and least <= int(value) <= MOST_MINUTES):
        entry.fault(text.place, f"{key}: {quoted(value)}: a whole number from {least} to {MOST_MINUTES} was expected")
        return least
    return int(value)


def _value(bank: Bank, name: str, text: str) -> Value:
    return read_value(called(text.strip(), name, bank.chain) or text, name, bank.units)


def _healthy(bank: Bank, first: Place, faults: list[Fault]) -> dict[str, Value]:
    made: dict[str, Value] = {}
    places: dict[str, Place] = {}
    for id, node in bank.tracing["healthy"]:
        entry = Entry(id.value, node, faults, PARAMETERS)
        for name, _ in node.pairs:
            if name.value not in PARAMETERS:
                continue
            if name.value in places:
                entry.fault(name.place, f"{name.value} stands already at {places[name.value]}: take one out")
                continue
            places[name.value] = name.place
            text = entry.text(name.value)
            value = entry.parsed(text, partial(_value, bank, name.value)) if text else None
            if value is not None:
                made[name.value] = value
    missing = [name for name in PARAMETERS if name not in places and name not in NOT_NEEDED]
    if missing:
        faults.append(Fault(first, "", f"healthy: nothing can be computed without {', '.join(missing)}: add them"))
    return made


def _test(bank: Bank, id: Text, node: Mapping, boxes: dict[str, int], faults: list[Fault]) -> Test:
    fields = (act.says for act in ACTS.values())
    entry = _entry(id, node, faults, ("name", "place", "stage", "minutes", "needs", "box", *fields, "reads"))
    if id.value == ISOLATE:
        entry.fault(id.place, f"{quoted(ISOLATE)} is what isolating is called: use another id")
    box = entry.words("box", required=False)
    if box and box not in boxes:
        entry.unknown(entry.place("box"), box, "box of the workshop", boxes)
    needs = entry.one_of("needs", ("live", "dead", "any", "told"), "any")
    if box and needs != "dead":
        entry.fault(entry.place("box"), "a box is opened for a dead test only: write needs: dead")
    acts = tuple(id for id, act in ACTS.items() if entry.yes(act.says))
    for act in (ACTS[id] for id in acts if needs != "live"):
        entry.fault(entry.place(act.says), f"{act.name} is live: write needs: live")
    reads = _names(entry, "reads", "reading", READINGS)
    for line, name in reads:
        if (by := READINGS[name].act) and by not in acts and needs != "told":
            said = f"{name} comes from {ACTS[by].name}: write {ACTS[by].says}: yes and needs: live"
            entry.fault(line.place, said)
    minutes = _minutes(entry, "minutes", 0 if needs == "told" else 1)
    return Test(
        id.value, entry.words("name"), entry.words("place"), minutes, needs, box, acts,
        tuple(name for _, name in reads), id.place, _stage(entry, bank),
    )  # fmt: skip


def _names(entry: Entry, key: str, what: str, known: Collection[str], required: bool = True) -> list[tuple[Text, str]]:
    """The known names of a list, each once, with their lines."""
    made: list[tuple[Text, str]] = []
    for line in entry.lines(key, required):
        name = line.value.strip()
        if name not in known:
            entry.unknown(line.place, name, what, known)
        elif any(name == other for _, other in made):
            entry.fault(line.place, f"{quoted(name)} stands twice here: take one out")
        else:
            made.append((line, name))
    return made


def _fault(
    bank: Bank, id: Text, node: Mapping, healthy: dict[str, Value], parts: dict[str, str], faults: list[Fault]
) -> ChainFault:
    barred = (act.barred for act in ACTS.values())
    entry = _entry(id, node, faults, ("name", "part", "weight", "change", *barred, "still live"))
    part = entry.words("part")
    if part and part not in parts:
        entry.unknown(entry.place("part"), part, "part", parts)
    named = entry.mapping("change", required=False)
    change = _change(bank, Entry(id.value, named, faults, healthy), healthy) if named else {}
    forbids = tuple(id for id, act in ACTS.items() if entry.yes(act.barred))
    return ChainFault(
        id.value, entry.words("name"), part, _minutes(entry, "weight", 1), change, forbids,
        entry.yes("still live"), id.place,
    )  # fmt: skip


def _change(bank: Bank, entry: Entry, healthy: dict[str, Value]) -> dict[str, Value]:
    """What a fault changes: known names, each to something else than the healthy value."""
    made: dict[str, Value] = {}
    if not entry.node.pairs:
        entry.fault(entry.node.place, "change: is empty: name what changes, or leave the line out")
    for name, _ in entry.node.pairs:
        text = entry.text(name.value) if name.value in healthy else None
        value = entry.parsed(text, partial(_value, bank, name.value)) if text else None
        if text and value is not None:
            if value == healthy[name.value]:
                said = f"{name.value}: {text.value.strip()} is the healthy value, so nothing changes: give another one"
                entry.fault(text.place, said)
            made[name.value] = value
    return made


def _all_read(fault: ChainFault, node: Mapping) -> bool:
    """Whether all that the fault is written to change could be read, or it is written to change nothing."""
    written = node.get("change")
    return written is None or (isinstance(written, Mapping) and 0 < len(written.pairs) == len(fault.change))


def _no_two_alike(chain_faults: Iterable[ChainFault], faults: list[Fault]) -> None:
    """No two faults change the same to the same; one at most changes nothing: the van in health."""
    seen: dict[tuple[tuple[str, Value], ...], ChainFault] = {}
    for fault in chain_faults:
        key = tuple(sorted(fault.change.items()))
        other = seen.setdefault(key, fault)
        if other is not fault:
            where = f"{quoted(other.id)} at {other.at}"
            said = f"changes the same as {where}: name what sets it apart"
            if not key:
                said = f"changes nothing, as {where} does: one is the healthy van, so add change: to this one"
            faults.append(Fault(fault.at, fault.id, said))


def _case(id: Text, node: Mapping, tests: dict[str, Test], chain: dict[str, ChainFault], faults: list[Fault]) -> Case:
    fields = ("title", "complaint", "fault", "difficulty", "known", "says", "outside")
    entry = _entry(id, node, faults, fields)
    fault = entry.words("fault")
    if fault and fault not in chain:
        entry.unknown(entry.place("fault"), fault, "fault of the chain", chain)
    known = _names(entry, "known", "test", tests)
    for line, name in known:
        if tests[name].needs == "dead":
            entry.fault(line.place, "a dead test cannot be known at the start: nobody has isolated the van yet")
    level = entry.one_of("difficulty", ("easy", "medium", "hard"), "medium")
    return Case(
        id.value, entry.words("title"), entry.words("complaint"), fault, ("easy", "medium", "hard").index(level) + 1,
        tuple(name for _, name in known), entry.words("says"), entry.words("outside", required=False), id.place,
    )  # fmt: skip
