"""The chain of a course: stages in order, numbers with units, and examples that call them."""

import pytest

from quizgen.bank.faults import BankError
from quizgen.bank.load import load_bank

CHAIN = """chain:
  stages:
    wall:
      name: Wall
      does: Feeds the van.
      module: supply
      gives: alternating current
    lamp:
      name: Lamp
      does: Shows that it is on.
      module: pilot
      beside: wall
  modes:
    slow: one line only
  values:
    wall:
      U_LL: 400 V
      U_meter: 0.4 kV as U_LL
    slow:
      U_LL: 390 V
"""


def test_stages_keep_their_order_and_know_who_teaches_them(depot):
    depot.change("chain.yml", "", CHAIN)
    chain = load_bank(depot.folder).chain
    assert [(stage.id, stage.modules, stage.beside) for stage in chain.stages.values()] == [
        ("wall", ("supply",), ""),
        ("lamp", ("pilot",), "wall"),
    ]
    assert chain.modes == {"slow": "one line only"}


def test_modules_over_the_whole_chain_are_known_ones(depot):
    depot.change("chain.yml", "", CHAIN + "  whole: pilot\n")
    assert load_bank(depot.folder).chain.whole == ("pilot",)
    depot.change("chain.yml", "whole: pilot", "whole: pilto")
    with pytest.raises(BankError, match="no module here. Did you mean pilot"):
        load_bank(depot.folder)


def test_a_value_has_the_unit_it_is_written_in(depot):
    depot.change("chain.yml", "", CHAIN)
    value = load_bank(depot.folder).chain.values["wall"]["U_meter"]
    assert (value.number, value.unit.text, value.quantity) == ("0.4", "kV", "U_LL")


def test_an_example_takes_the_number_of_the_stage_mode_or_name_it_calls(depot):
    depot.change("chain.yml", "", CHAIN)
    depot.change("examples.yml", "U_LL: 400 V", "U_LL: of the slow")
    depot.change(
        "examples.yml",
        "",
        "  b:\n    given:\n      U_LL: U_meter of the wall\n  c:\n    given:\n      U_LL: U_meter of the chain\n",
    )
    examples = load_bank(depot.folder).examples
    givens = {id: next(g for g in example.givens if g.id == "U_LL") for id, example in examples.items()}
    assert {id: (given.choices, given.unit.text) for id, given in givens.items()} == {
        "depot-van": (("390",), "V"),
        "b": (("0.4",), "kV"),
        "c": (("0.4",), "kV"),
    }


def test_a_bank_without_chain_has_none(depot):
    assert load_bank(depot.folder).chain is None
