"""The bounds of the search leave nothing out: a whole chain has the values of plain dynamic programming."""

import json
from pathlib import Path

import pytest

from quizgen.tracing import play, workshop
from quizgen.tracing.order import INFINITE, Order, State, Step, Workshop
from quizgen.tracing.whole import solved

KEPT = json.loads((Path(__file__).parent / "fixtures" / "chain.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def order():
    steps = tuple(Step(**{**step, "outcomes": tuple(step["outcomes"])}) for step in KEPT["steps"])
    return Order(
        Workshop(
            tuple(KEPT["weights"]), tuple(KEPT["parts"]), steps, KEPT["isolation"], KEPT["energising"],
            tuple(KEPT["boxes"]), KEPT["still_live"],
        )
    )  # fmt: skip


def test_a_whole_chain_has_the_value_of_plain_dynamic_programming(order):
    """The stored value took 282,380 states; the bounds leave some thousand to look at."""
    assert order.minutes(State(order.everyone)) * sum(KEPT["weights"]) == KEPT["root"]


def test_some_hundred_of_its_states_have_theirs(order):
    assert len(KEPT["values"]) > 500
    wrong = [
        (suspects, dead, opened)
        for suspects, dead, opened, value in KEPT["values"]
        if order.minutes(State(suspects, bool(dead), opened)) * order.weight(suspects)
        != (INFINITE if value is None else value)
    ]
    assert wrong == []


@pytest.fixture(scope="module")
def shipped(tracing, table):
    return Order(workshop(tracing, table))


def followed(tracing, table, order, true):
    """What a perfect player does who sees readings alone, keeps its own list of suspects, and counts its minutes."""
    suspects, dead, opened, paid, actions = set(table.faults), False, set(), 0, []
    boxes = list(tracing.boxes)
    while len({tracing.faults[id].part for id in suspects}) > 1:
        bits = sum(1 << table.faults.index(id) for id in suspects)
        action = order.best(State(bits, dead, sum(1 << boxes.index(box) for box in opened)))
        actions.append(action)
        if action == "isolate":
            paid, dead = paid + tracing.isolate, True
            if tracing.faults[true].still_live:
                return actions, paid, {tracing.faults[true].part}
            suspects = {id for id in suspects if not tracing.faults[id].still_live}
            continue
        test = tracing.tests[action]
        assert dead or test.needs != "dead", "no dead test before everything is proved dead"
        assert not any(set(test.acts) & set(tracing.faults[id].forbids) for id in suspects)
        paid += test.minutes
        if test.needs == "live" and dead:
            paid, dead, opened = paid + tracing.energise, False, set()
        if test.box and test.box not in opened:
            paid += tracing.boxes[test.box]
            opened.add(test.box)
        rows = dict(zip(table.faults, table.classes[action], strict=True))
        suspects = {id for id in suspects if rows[id] == rows[true]}
    return actions, paid, {tracing.faults[id].part for id in suspects}


def test_a_perfect_player_finds_every_part_of_the_chain_and_takes_the_computed_mean(tracing, table, shipped):
    total = 0
    for fault in tracing.faults.values():
        _, paid, parts = followed(tracing, table, shipped, fault.id)
        assert parts == {fault.part}
        total += paid * fault.weight
    mean = total / sum(fault.weight for fault in tracing.faults.values())
    assert float(shipped.minutes(State(shipped.everyone))) == pytest.approx(mean, abs=1e-9)
    assert solved(tracing)["minutes"] == pytest.approx(mean, abs=1e-9)


def test_the_longest_way_is_the_dearest_of_all_players(tracing, table, shipped):
    paid = [followed(tracing, table, shipped, id)[1] for id in tracing.faults]
    assert shipped.longest(State(shipped.everyone)) == max(paid)


def test_a_player_who_leaves_the_isolating_out_fails_at_the_first_dead_test(tracing, table, shipped):
    """The same way as the perfect player's, but never isolating: at the first dead test the exercise ends."""
    needed = 0
    for true in tracing.faults:
        state = State(shipped.everyone)
        for action in followed(tracing, table, shipped, true)[0]:
            if action == "isolate":
                continue
            if tracing.tests[action].needs == "dead":
                assert not shipped.safe(state, action) and shipped.regret(state, action) == INFINITE
                needed += 1
                break
            bit = 1 << table.faults.index(true)
            state = next(later for later in shipped.after(state, action) if later.suspects & bit)
    assert needed > 10


def test_no_dead_test_is_safe_in_any_state_that_is_not_proved_dead(compiled):
    looked = 0
    for case in compiled["cases"].values():
        dead_tests = [test["id"] for test in case.get("tests", ()) if test["needs"] == "dead"]
        for key in case.get("values", ()):
            if key.isdigit():  # neither dead nor a box open
                for id in dead_tests:
                    looked += 1
                    assert play.unsafe(case, play.Standing(int(key)), id)
                    assert play.regret(case, play.Standing(int(key)), id) == INFINITE
    assert looked > 1000
