"""One chain through the whole course: where an example uses a quantity of the chain, it uses the chain's number."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from quizgen.bank.models import Bank, ChainValue
from tests.once import shipped_bank

COURSE = Path(__file__).parents[2] / "course"

OTHERWISE = {
    ("wrong-printed-duty", "U_S"): "a published example with a wrong key",
    ("right-printed-duty", "U_S"): "the same published example",
    ("right-printed-duty", "U_B"): "the same published example",
    ("three-lines-full", "M"): "the end of the range, which the vans do not reach",
    ("bench-coil", "U_S"): "a board on the bench",
    ("bench-coil", "U_B"): "a board on the bench",
    ("bench-coil", "I_B"): "a board on the bench",
    ("bench-coil", "L_w"): "a board on the bench",
    ("bench-long-on-time", "U_S"): "a board on the bench",
    ("bench-short-on-time", "U_S"): "a board on the bench",
    ("van-light-load", "I_w"): "less current than any mode of the chain has, on purpose",
    ("one-line-crest", "U_S"): "the crest of the swing; the modes give its mean",
    ("bench-capacitor", "C_b"): "a supply on the bench",
    ("depot-point", "R_con"): "a terminal of the charging point, before the van",
    ("worn-relay", "R_con"): "a worn contact",
    ("worn-relay-half-current", "R_con"): "a worn contact",
    ("depot-scope", "U_ph"): "what the meter showed that day",
    ("windings-two", "I_S"): "a round current for the first look at two windings",
    ("one-phase-worst-ripple", "D"): "the worst duty",
    ("inverter-pin-full", "R_con"): "a loose pin at the inlet, not the relay's contact",
    ("inverter-pin-less", "R_con"): "the same loose pin",
    ("part-left-by-a-tester", "C_b"): "an X capacitor taken out; the link is another one",
    ("joint-at-nine", "R_con"): "a failing joint in the link",
    ("joint-at-twelve", "R_con"): "the same joint",
}
"""What an example may hold instead of the chain's number, and why."""
FREE = ("D", "P", "I_L", "n_ph", "tau", "eta", "psi", "dtheta")
"""Names that many things have: a duty on the way, a load, a time constant of anything."""


@cache
def bank() -> Bank:
    return shipped_bank()


def values() -> list[ChainValue]:
    chain = bank().chain
    assert chain is not None
    return [value for group in chain.values.values() for value in group.values()]


NAMES = {value.name for value in values() if value.name == value.quantity} - set(FREE)
GIVENS = [
    (example.id, given)
    for example in bank().examples.values()
    for given in example.givens
    if given.id in NAMES and given.choices
]


@pytest.mark.parametrize(("example", "given"), GIVENS, ids=lambda one: getattr(one, "id", one))
def test_an_example_uses_the_numbers_of_the_chain(example, given) -> None:
    value = float(given.choices[0]) * float(given.unit.factor)
    chain = [float(one.number) * float(one.unit.factor) for one in values() if one.quantity == given.id]
    same = any(value == pytest.approx(number, rel=1e-9) for number in chain)
    assert same != ((example, given.id) in OTHERWISE), "call the chain's number, or say in OTHERWISE why it is another"


def test_every_module_of_the_chain_and_every_stage_is_taught() -> None:
    chain = bank().chain
    assert chain is not None
    taught = {module for stage in chain.stages.values() for module in stage.modules}
    assert set(bank().modules) - taught == {"safety", "units"}


def test_the_energy_goes_from_the_wall_to_the_battery() -> None:
    chain = bank().chain
    assert chain is not None
    assert [stage.id for stage in chain.stages.values() if not stage.beside] == [
        "supply", "filter", "phase-relays", "rectifier", "choke", "star-point", "inverter", "dc-link", "contactors",
        "battery",
    ]  # fmt: skip
