"""From the bank's raw entries to a Tracing, with every fault at its place."""

from __future__ import annotations

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import amount, bad_id, si
from quizgen.bank.models import Bank, Chain
from quizgen.bank.read_chain import called
from quizgen.bank.yaml_reader import Mapping, Text
from quizgen.expression.parse import ExpressionError
from quizgen.tracing.data import Case, ChainFault, Mode, Test, Tracing, Value
from quizgen.tracing.readings import READINGS

WORDS = ("good", "short", "open", "dead", "welded")
MOST_FAULTS = 400
MOST_MINUTES = 10_000


def read_tracing(bank: Bank) -> tuple[Tracing | None, list[Fault]]:
    """The tracing data of a bank, None where the bank has none or they have faults."""
    raw = bank.tracing
    if not any(raw.values()):
        return None, []
    faults: list[Fault] = []
    healthy = _healthy(bank, faults)
    parts = {id.value: _entry(id, node, faults, ("name",)).words("name") for id, node in raw["parts"]}
    setups = {}
    for id, node in raw["workshop"]:
        setups[id.value] = _minutes(_entry(id, node, faults, ("minutes",)), "minutes")
    for needed in ("isolate", "energise"):
        if needed not in setups and raw["tests"]:
            id = raw["tests"][0][0]
            faults.append(Fault(id.place, "", f"workshop: {needed} is missing: add it with its minutes"))
    boxes = {id: minutes for id, minutes in setups.items() if id not in ("isolate", "energise")}
    tests = {id.value: _test(id, node, boxes, faults) for id, node in raw["tests"]}
    chain_faults = {id.value: _fault(bank, id, node, healthy, parts, faults) for id, node in raw["faults"]}
    if len(chain_faults) > MOST_FAULTS:
        faults.append(Fault(raw["faults"][0][0].place, "", f"more than {MOST_FAULTS} faults: take some out"))
    cases = {id.value: _case(id, node, tests, chain_faults, faults) for id, node in raw["cases"]}
    if faults:
        return None, faults
    setup = setups["isolate"], setups["energise"]
    return Tracing(healthy, parts, tests, chain_faults, cases, *setup, boxes, _modes(bank.chain)), []


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


def _minutes(entry: Entry, key: str) -> int:
    text = entry.text(key)
    value = text.value.strip() if text else "0"
    if not (value.isascii() and value.isdigit() and len(value) < 6 and int(value) <= MOST_MINUTES):
        entry.fault(entry.place(key), f"{quoted(value)}: a whole number up to {MOST_MINUTES} was expected")
        return 0
    return int(value)


def _value(bank: Bank, name: str, text: str) -> Value:
    plain = text.strip()
    if plain in WORDS:
        return (
            float("inf")
            if plain == "open" and name.startswith(_NUMBERS)
            else (0.0 if plain == "short" and name.startswith("R_") else plain)
        )
    return si(amount(called(plain, name, bank.chain) or plain, bank.units))


_NUMBERS = ("R_", "PP_wire", "t_")


def _healthy(bank: Bank, faults: list[Fault]) -> dict[str, Value]:
    made: dict[str, Value] = {}
    for id, node in bank.tracing["healthy"]:
        entry = Entry(id.value, node, faults, node.keys())
        for name, _ in node.pairs:
            text = entry.text(name.value)
            if name.value in made:
                entry.fault(name.place, f"{name.value} stands twice: take one out")
            if text:
                try:
                    made[name.value] = _value(bank, name.value, text.value)
                except ExpressionError as error:
                    entry.fault(text.at(error.at), str(error))
    return made


def _test(id: Text, node: Mapping, boxes: dict[str, int], faults: list[Fault]) -> Test:
    entry = _entry(id, node, faults, ("name", "place", "minutes", "needs", "box", "charges", "reads"))
    box = entry.words("box", required=False)
    if box and box not in boxes:
        entry.unknown(entry.place("box"), box, "box of the workshop", boxes)
    needs = entry.one_of("needs", ("live", "dead", "any", "told"), "any")
    if box and needs != "dead":
        entry.fault(entry.place("box"), "a box is opened for a dead test only: write needs: dead")
    if entry.yes("charges") and needs != "live":
        entry.fault(entry.place("charges"), "a charge attempt is live: write needs: live")
    reads = []
    for line in entry.lines("reads"):
        name = line.value.strip()
        if name not in READINGS:
            entry.unknown(line.place, name, "reading", READINGS)
        reads.append(name)
    return Test(
        id.value, entry.words("name"), entry.words("place"), _minutes(entry, "minutes"), needs, box,
        entry.yes("charges"), tuple(reads), id.place,
    )  # fmt: skip


def _fault(
    bank: Bank, id: Text, node: Mapping, healthy: dict[str, Value], parts: dict[str, str], faults: list[Fault]
) -> ChainFault:
    entry = _entry(id, node, faults, ("name", "part", "weight", "change", "no charging", "still live"))
    part = entry.words("part")
    if part and part not in parts:
        entry.unknown(entry.place("part"), part, "part", parts)
    change: dict[str, Value] = {}
    named = entry.mapping("change", required=False)
    inner = Entry(id.value, named, faults, healthy) if named else None
    for name, _ in named.pairs if named else ():
        assert inner is not None
        text = inner.text(name.value)
        if text is None or name.value not in healthy:
            continue
        try:
            value = _value(bank, name.value, text.value)
        except ExpressionError as error:
            entry.fault(text.at(error.at), str(error))
            continue
        if isinstance(value, str) != isinstance(healthy[name.value], str):
            entry.fault(text.place, f"{name.value}: a number stays a number and a word a word: see healthy.yml")
        change[name.value] = value
    weight = _minutes(entry, "weight")
    if weight < 1:
        entry.fault(entry.place("weight"), "weight: at least 1 was expected")
    return ChainFault(
        id.value, entry.words("name"), part, weight, change, entry.yes("no charging"), entry.yes("still live"), id.place
    )


def _case(id: Text, node: Mapping, tests: dict[str, Test], chain: dict[str, ChainFault], faults: list[Fault]) -> Case:
    fields = ("title", "complaint", "fault", "difficulty", "known", "says", "outside")
    entry = _entry(id, node, faults, fields)
    fault = entry.words("fault")
    if fault and fault not in chain:
        entry.fault(entry.place("fault"), f"{quoted(fault)} is no fault of the chain.{near(fault, chain)}")
    known = []
    for line in entry.lines("known"):
        name = line.value.strip()
        if name not in tests:
            entry.unknown(line.place, name, "test", tests)
        elif tests[name].needs == "dead":
            entry.fault(line.place, "a dead test cannot be known at the start: nobody has isolated the van yet")
        known.append(name)
    level = entry.one_of("difficulty", ("easy", "medium", "hard"), "medium")
    return Case(
        id.value, entry.words("title"), entry.words("complaint"), fault, ("easy", "medium", "hard").index(level) + 1,
        tuple(known), entry.words("says"), entry.words("outside", required=False), id.place,
    )  # fmt: skip
