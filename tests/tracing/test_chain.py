"""The healthy chain agrees with the course's numbers; every fault and every case is what it claims."""

import gzip
import json
import math
import re

import pytest

from quizgen.bank.fields import si
from quizgen.tracing.charge import attempt, interlock_level, monitor, pilot_levels, precharge, steady
from quizgen.tracing.classes import shown
from quizgen.tracing.diodes import inverter, least_drop, rectifier
from quizgen.tracing.readings import READINGS, Reading

MODES = [
    f"{lines}-{amps}-{volts}" for lines in ("one-line", "three-lines") for amps in (16, 32) for volts in (320, 360, 400)
]


def within_rounding(value, kept):
    """Half a unit of the last figure written, and as much for a sum of rounded terms."""
    decimals = len(kept.number.partition(".")[2])
    return abs(value - si((kept.number, kept.unit))) <= 1.05 * 10.0**-decimals * float(kept.unit.factor)


@pytest.mark.parametrize("mode", MODES)
def test_healthy_chain_has_the_operating_points_of_the_course(bank, tracing, mode):
    kept = bank.chain.values[mode]
    point = steady(
        dict(tracing.healthy), int(kept["n_ph"].number), si((kept["I_L"].number, kept["I_L"].unit)),
        si((kept["U_B"].number, kept["U_B"].unit)),
    )  # fmt: skip
    pairs = {
        "P": point.P, "I_S": point.I_d, "I_w": point.I_w, "U_S": point.U_rec, "U_rec_read": point.U_rec_read,
        "U_S_read": point.U_S, "D": point.D_ideal, "D_read": point.D, "I_B_read": point.I_B, "dI_w": point.dI_w,
        "eta": point.eta,
    }  # fmt: skip
    assert [name for name, value in pairs.items() if not within_rounding(value, kept[name])] == []
    assert point.P_loss == pytest.approx(si((kept["P_loss"].number, kept["P_loss"].unit)), rel=0.02)


def under(tracing, fault):
    return {**tracing.healthy, **tracing.faults[fault].change}


def test_three_moments_at_which_a_protection_trips(tracing):
    assert "supply contactor" in attempt(under(tracing, "y-capacitor-leaky"), 3).event
    assert attempt(under(tracing, "relay-coil-open"), 1).event == "no line current"
    assert "first rectifier pulses" in attempt(under(tracing, "choke-earth"), 3).event
    assert "charges" in attempt(under(tracing, "winding-earth"), 3).event


def test_the_monitor_sees_a_winding_only_while_the_inverter_switches(tracing):
    found = [[round(monitor(under(tracing, f), s) / 1e3) for s in ("open", "closed", "switching")] for f in (
        "battery-earth", "link-earth", "winding-earth", "y-capacitor-leaky")]  # fmt: skip
    assert found[0][0] == 90
    assert found[1][0] > 1900 and found[1][1] == 20
    assert found[2][1] > 1900 and found[2][2] == 58
    assert min(found[3]) > 1900


def test_diode_tests_that_only_work_with_cables_lifted(tracing):
    """With the motor on, one shorted switch reads 0 V on all legs, and an open one looks healthy."""
    shorted, opened = under(tracing, "leg-v-short"), under(tracing, "leg-w-open")
    assert [least_drop(inverter(shorted, False), "dc-", leg) for leg in "UVW"] == [0, 0, 0]
    assert [least_drop(inverter(shorted), "dc-", leg) for leg in "UVW"] == [0.45, 0, 0.45]
    assert least_drop(inverter(opened, False), "W", "dc+") == 0.45
    assert least_drop(inverter(opened), "W", "dc+") == float("inf")
    freewheel = under(tracing, "freewheel-open")
    joined = rectifier(freewheel, False) + inverter(freewheel, False)
    assert least_drop(joined, "rec-", "rec+") == 0.45
    assert least_drop(rectifier(freewheel), "rec-", "rec+") == float("inf")


def test_readings_of_the_chain_worked_by_hand(tracing):
    share, seconds = precharge(under(tracing, "bus-load"))
    assert (round(400 * share, 1), round(seconds / 2.9957 * 1e3, 1)) == (320.0, 22.6)
    assert interlock_level(dict(tracing.healthy)) == pytest.approx(1.28, abs=0.005)
    assert [round(v, 2) for v in pilot_levels(dict(tracing.healthy))] == [8.98, 5.99, -12.0]
    assert [round(v, 2) for v in pilot_levels(under(tracing, "pilot-pin"))][:2] == [9.27, 7.05]
    shown = attempt(under(tracing, "winding-open"), 3).shown
    assert [round(shown[f"I_{leg}"], 1) for leg in "UVW"] == [0.0, 39.0, 39.0]
    shown = attempt(under(tracing, "sensor-gain"), 3).shown
    assert round(shown["I_d"], 1) == 70.2


def test_every_fault_but_none_changes_a_reading_that_a_person_sees(table, tracing):
    healthy = table.faults.index("no-fault")
    for index, id in enumerate(table.faults):
        seen = any(rows[index] != rows[healthy] for rows in table.classes.values())
        assert seen == bool(tracing.faults[id].change), id


def test_a_perfect_player_finds_every_part_and_takes_the_computed_mean(compiled):
    from quizgen.tracing.play import after, done, minutes, start

    for case in compiled["cases"].values():
        if case["outside"]:
            continue
        total = 0.0
        for true, suspect in enumerate(case["suspects"]):
            standing, paid = start(case), 0.0
            while not done(case, standing):
                action = case["values"][standing.key()][1]
                paid += minutes(case, standing, action)
                standing = next(s for s in after(case, standing, action) if s.suspects >> true & 1)
                if action == "isolate" and not standing.dead:
                    break
            total += paid * suspect["weight"]
        assert total / sum(s["weight"] for s in case["suspects"]) == pytest.approx(case["minutes"], abs=1e-9)


def test_a_player_who_ignores_isolation_always_fails(compiled):
    from quizgen.tracing import regret, start, unsafe

    for case in compiled["cases"].values():
        for test in case.get("tests", ()):
            if test["needs"] == "dead":
                assert unsafe(case, start(case), test["id"]) != ""
                assert regret(case, start(case), test["id"]) == float("inf")


def test_no_decision_is_better_than_the_best(compiled):
    from quizgen.tracing import done, regret, start

    for case in compiled["cases"].values():
        if not case["outside"] and not done(case, start(case)):
            found = [regret(case, start(case), test["id"]) for test in case["tests"]]
            found.append(regret(case, start(case), "isolate"))
            assert min(found) == pytest.approx(0, abs=1e-5)


def test_a_compiled_case_is_small(compiled):
    for case in compiled["cases"].values():
        assert len(gzip.compress(json.dumps(case, ensure_ascii=False).encode())) <= 30_000


def test_the_shipped_cases_are_of_every_kind(compiled, tracing):
    cases = compiled["cases"].values()
    assert len(cases) >= 15 and {case["difficulty"] for case in cases} == {1, 2, 3}
    assert any(case["fault"] == "no-fault" for case in cases) and any(case["outside"] for case in cases)
    assert any(tracing.faults[case["fault"]].still_live for case in cases)
    assert compiled["inseparable"] == []


def reading(tracing, table, fault, test, name):
    row = table.exact[test][table.faults.index(fault)]
    return row[tracing.tests[test].reads.index(name)].replace("\u00a0", " ")


def test_a_display_goes_to_the_range_that_fits():
    ohms = Reading("R", "MΩ", 0.001, 0.02, lambda p: 0.0, most=200)
    values = (0.005, 0.06, 0.9996, 5.5, 6.0, 125.0, 201.0, math.nan, math.inf)
    found = [shown(ohms, value).replace("\u00a0", " ") for value in values]
    assert found == ["5 kΩ", "60 kΩ", "1.000 MΩ", "5.500 MΩ", "6.00 MΩ", "125.0 MΩ", "> 200 MΩ", "–", "> 200 MΩ"]
    assert shown(Reading("R", "kΩ", 0.1, 5, lambda p: 0.0), 0.0).replace("\u00a0", " ") == "0 Ω"


def test_readings_are_those_of_a_workshop(tracing, table):
    """Where the table once said what no meter shows."""

    def read(*what):
        return reading(tracing, table, *what)

    assert read("relay-coil-open", "relays", "on_L1") == "OL", "a bench supply closes no relay whose coil is open"
    assert read("choke-open", "choke", "choke_L") == "OL"
    assert read("precharge-open", "precharge-log", "precharge_time") == "–", "no time for a bus that never rises"
    assert read("x-capacitor-short", "inlet-pins", "inlet_R_L1") == "0 Ω"
    assert read("star-cable-earth", "star-insulation", "iso_cable") == "5 kΩ"
    assert [read("no-fault", "inlet-insulation", name) for name in ("inlet_500", "inlet_50")] == ["> 50 MΩ"] * 2
    names = ("one_I_L1", "one_I_d", "one_I_U", "one_mean_L1")
    assert [read("relay-coil-open", "one-line-charge", name) for name in names] == ["0.3 A", "0.0 A", "0.0 A", "0 A"]
    assert read("filter-choke-open", "three-line-charge", "three_I_L2") == "0.3 A", "2π · 50 Hz · 4.7 µF · 230 V"
    assert read("driver-dead-c", "three-line-charge", "three_I_L3") == "1.8 A", "and 20 µF behind closed relays"
    assert read("switch-short", "one-line-charge", "one_I_L1") == "35.1 A", "32 A and a mean of 14 A, squared and added"
    assert read("no-fault", "interlock-level", "interlock_volts") == "1.28 V"
    assert read("no-fault", "interlock-ohms", "interlock_ohms") == "62 Ω"
    assert read("link-joint", "three-line-charge", "three_I_L1") == "16.0 A", "heat limits the current"


def test_every_reading_is_a_number_with_its_unit_or_a_word(tracing, table):
    number = re.compile(r"(> )?\u2212?\d[\d ]*(\.\d+)?( (V|A|Ω|mΩ|kΩ|MΩ|µF|mH|K|L/min|ms|s|%))")
    words = {"OL", "–", "not ready"}
    for test in tracing.tests.values():
        for row in table.exact[test.id]:
            for name, cell in zip(test.reads, row, strict=True):
                plain = cell.replace("\u00a0", " ").replace("\u202f", " ")
                assert not READINGS[name].unit or plain in words or number.fullmatch(plain), (test.id, name, cell)


def test_what_is_known_at_the_start_always_fits_the_fault_and_never_all_faults(compiled, tracing):
    """Readings are computed, so no case can start from evidence that fits nobody."""
    for case in compiled["cases"].values():
        if not case["outside"]:
            ids = [suspect["id"] for suspect in case["suspects"]]
            assert case["fault"] in ids and 1 < len(ids) <= 16 < len(tracing.faults)
