"""What a test does with the whole van, and which suspects forbid it: the same in model, solver and table of states.

A leak of the high-voltage side, a contactor that may be welded and an interlock that sees nothing forbid a drive as
they forbid a charge (common practice: the stop list of the course's safety page). What is switched off in a drive
forbids a charge alone.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from quizgen.bank.load import load_bank
from quizgen.tracing import play, read_tracing, readings, workshop
from quizgen.tracing.compile import compile_case
from quizgen.tracing.data import ACTS
from quizgen.tracing.order import INFINITE, Order, State

BOTH = {
    "choke-earth", "star-cable-earth", "winding-earth", "link-earth", "battery-earth", "minus-welded",
    "interlock-short",
}  # fmt: skip
CHARGE_ALONE = {"x-capacitor-short", "y-capacitor-leaky", "relay-welded", "inlet-wet", "bond-poor"}


def test_faults_of_the_high_voltage_side_forbid_a_drive_and_those_of_the_mains_side_do_not(tracing):
    forbid = {act: {id for id, fault in tracing.faults.items() if act in fault.forbids} for act in ACTS}
    assert forbid == {"charge": BOTH | CHARGE_ALONE, "drive": BOTH}


def test_whatever_lets_the_monitor_warn_or_the_contactor_check_fail_forbids_a_drive(tracing, table):
    """The list above is no list of names: the chain's own lamp and log say which faults are meant."""
    for at, id in enumerate(table.faults):
        lamp, stop = table.exact["told-lamp"][at][0], table.exact["read-log"][at][0]
        if lamp == "insulation" or stop == "contactors":
            assert "drive" in tracing.faults[id].forbids, id


def test_a_drive_is_unsafe_and_has_no_price_while_a_suspect_forbids_it(compiled):
    for id in ("star-side-leak", "must-stop", "loop"):
        case = compiled["cases"][id]
        assert play.unsafe(case, play.start(case), "drive-test").startswith("A drive while this is still possible: ")
        assert play.regret(case, play.start(case), "drive-test") == INFINITE
    wet = compiled["cases"]["wet-morning"]
    assert play.unsafe(wet, play.start(wet), "drive-test") == ""
    assert play.unsafe(wet, play.start(wet), "one-line-charge").startswith("A charge attempt while this")


def test_a_drive_is_free_again_once_a_reading_has_ruled_the_suspect_out(compiled):
    case = compiled["cases"]["must-stop"]
    barred = [bool(set(suspect["forbids"]) & {"drive"}) for suspect in case["suspects"]]
    left = play.Standing(sum(1 << at for at, one in enumerate(barred) if not one))
    assert any(barred) and play.unsafe(case, left, "drive-test") == ""


@pytest.fixture
def two_ways(tracing):
    """A van that is whole or has a leaking cable: a drive tells in 10 minutes, the other way is dead and takes 50."""

    def made(test, fault):
        tests = {"drive-test": test, "system-insulation": tracing.tests["system-insulation"]}
        faults = {"no-fault": tracing.faults["no-fault"], "link-earth": fault}
        case = replace(tracing.cases["nothing-found"], known=(), fault="link-earth")
        small = replace(tracing, tests=tests, faults=faults, cases={case.id: case})
        table = readings(small)
        order = Order(workshop(small, table))
        compiled, wrong = compile_case(small, table, order, case)
        assert not wrong
        return compiled, order

    return made


def test_the_least_minutes_count_on_no_drive_that_a_suspect_forbids(tracing, two_ways):
    drive, leak = tracing.tests["drive-test"], tracing.faults["link-earth"]
    case, order = two_ways(drive, leak)
    assert case["minutes"] == 50 and order.best(State(0b11)) == "isolate" and not order.safe(State(0b11), "drive-test")
    assert list(case["values"]) == ["3", "3d"], "and no state is kept that only such a drive would lead to"
    free, order = two_ways(drive, replace(leak, forbids=("charge",)))
    assert free["minutes"] == 10 and order.best(State(0b11)) == "drive-test" and order.safe(State(0b11), "drive-test")


def test_a_test_that_charges_and_drives_is_forbidden_by_either(tracing, two_ways):
    both = replace(tracing.tests["drive-test"], acts=("charge", "drive"))
    for forbids, minutes in ((("charge",), 50), (("drive",), 50), ((), 10)):
        case, _ = two_ways(both, replace(tracing.faults["link-earth"], forbids=forbids))
        assert case["minutes"] == minutes
        assert bool(play.unsafe(case, play.start(case), "drive-test")) == (minutes == 50)


def test_the_best_order_of_every_case_never_charges_or_drives_against_a_suspect(compiled):
    """Every state of the table, so whatever a learner did before."""
    for case in compiled["cases"].values():
        for key, (minutes, best) in case.get("values", {}).items():
            bits, dead, opened = key.partition("d")
            standing = play.Standing(int(bits), bool(dead), int(opened or 0))
            assert minutes < INFINITE and best, (case["id"], key)
            assert play.unsafe(case, standing, best) == "", (case["id"], key)


def test_the_monitor_reads_no_state_that_the_van_does_not_come_to(tracing, table):
    """Whatever keeps the van from driving off keeps its inverter from switching."""
    for at, id in enumerate(table.faults):
        drive = table.exact["drive-test"][at][0]
        opened, closed, switching = table.exact["monitor-states"][at]
        assert opened.endswith("kΩ"), id
        assert (switching == "not ready") == drive.startswith(("not ready", "controllers restart")), id
        # A low value stops the van, but it was measured with its contactors closed.
        assert (closed == "not ready") == (switching == "not ready" and drive != "not ready, insulation"), id


def test_the_van_that_must_stop_shows_no_value_with_the_inverter_switching(compiled):
    case = compiled["cases"]["must-stop"]
    true = [suspect["id"] for suspect in case["suspects"]].index("minus-welded")
    shown = {test["id"]: test["readings"]["outcomes"][test["readings"]["shows"][true]] for test in case["tests"]}
    assert shown["drive-test"] == ["not ready, contactor check"]
    assert shown["monitor-states"][1:] == ["not ready", "not ready"]


def test_a_test_and_a_fault_may_say_both_kinds_in_the_file(tmp_path):
    van = Path(__file__).resolve().parents[1] / "courses" / "van" / "bank" / "course.yml"
    text = van.read_text(encoding="utf-8")
    for old, new in (
        ("    charges: yes\n", "    charges: yes\n    drives: yes\n"),
        ("    no charging: yes\n", "    no charging: yes\n    no driving: yes\n"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    (tmp_path / "bank").mkdir()
    (tmp_path / "bank" / "course.yml").write_text(text, encoding="utf-8")
    made, faults = read_tracing(load_bank(tmp_path))
    assert not faults and made.tests["charge"].acts == made.faults["relay-welded"].forbids == ("charge", "drive")
    assert made.tests["log"].acts == made.faults["relay-burnt"].forbids == ()
