"""Other modes: what changes with lines, current limit and battery, and that all faults are still told apart."""

import pytest

from quizgen.cache import Cache
from quizgen.tracing import readings
from quizgen.tracing.charge import attempt
from quizgen.tracing.modes import in_mode, inseparable, standard, told_apart


@pytest.fixture(scope="module")
def apart(tracing):
    return told_apart(tracing, Cache(None))


def test_every_mode_tells_every_fault_from_those_of_other_parts(tracing, apart):
    assert len(apart) == 12
    assert {mode: pairs for mode, pairs in apart.items() if pairs} == {}


def test_pairs_that_a_mode_does_not_tell_apart_are_named(tracing):
    """On one line without the dead tests nobody can tell a burnt relay from a lost filter choke."""
    mode = in_mode(tracing, tracing.modes["one-line-32"], 360.0)
    for id in ("relays", "driver-check"):
        del mode.tests[id]
    assert ("filter-choke-open", "relay-contact-burnt") in inseparable(mode)


def test_the_cases_are_played_in_the_mode_of_the_healthy_numbers(tracing, table):
    mode = standard(tracing)
    assert (mode.id, mode.lines, mode.amps, tracing.healthy["U_B"]) == ("three-lines-32", 3, 32.0, 360.0)
    same = readings(in_mode(tracing, mode, 360.0))
    assert same.exact == table.exact


def test_one_line_leaves_out_what_needs_three(tracing):
    ids = in_mode(tracing, tracing.modes["one-line-16"], 360.0).tests.keys()
    assert tracing.tests.keys() - ids == {"three-line-charge", "told-three-lines"}


def under(tracing, mode, volts, fault):
    return {**in_mode(tracing, tracing.modes[mode], volts).healthy, **tracing.faults[fault].change}


@pytest.mark.parametrize("fault", ["relay-contact-burnt", "star-lug-hot", "pump-dead", "link-joint"])
def test_heat_that_limits_at_full_current_does_not_at_half(tracing, fault):
    full, half = (attempt(under(tracing, mode, 360.0, fault), 3) for mode in ("three-lines-32", "three-lines-16"))
    assert full.event.startswith("limits its power after minutes") and full.shown["I_L1"] == 16
    assert half.event == "charges at the full current" and half.shown["I_L1"] == 16


def test_a_cable_coded_for_less_is_no_limit_where_the_supply_gives_still_less(tracing):
    shown = [
        attempt(under(tracing, f"three-lines-{amps}", 360.0, "cable-coding"), 3).shown["I_L1"] for amps in (32, 16)
    ]
    assert shown == [20, 16]


def test_a_dead_discharge_takes_longer_from_a_higher_battery(tracing):
    """t = R C ln(U/60 V) with 50 kΩ and 600 µF: 50.2 s, 53.8 s, 56.9 s."""
    column = tracing.tests["precharge-log"].reads.index("discharge_time")
    found = []
    for volts in (320.0, 360.0, 400.0):
        made = readings(in_mode(tracing, tracing.modes["three-lines-32"], volts))
        found.append(made.exact["precharge-log"][made.faults.index("discharge-dead")][column])
    assert found == ["50\u00a0s", "54\u00a0s", "57\u00a0s"]


def test_an_offset_of_a_leg_sensor_is_noticed_where_it_is_a_large_share(tracing):
    """3 A of 78 A pass as tolerance, 3 A of 39 A or of 50 A do not."""
    events = [
        attempt(under(tracing, mode, 360.0, "leg-sensor-offset"), lines).event
        for mode, lines in (("three-lines-32", 3), ("three-lines-16", 3), ("one-line-32", 1))
    ]
    assert events[0] == "charges at the full current"
    assert events[1:] == ["sum of the windings implausible"] * 2
