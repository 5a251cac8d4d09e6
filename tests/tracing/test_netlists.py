"""The model against a circuit simulation: ngspice where it is installed, its stored results elsewhere."""

import importlib.util
import json
import shutil
from pathlib import Path

import pytest

from quizgen.tracing.charge import attempt, interlock_level, monitor, precharge, steady
from quizgen.tracing.diodes import inverter, least_drop

FOLDER = Path(__file__).parent / "netlists"
STORED = json.loads((FOLDER / "results.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def simulated():
    if not shutil.which("ngspice"):
        return STORED
    spec = importlib.util.spec_from_file_location("netlists_run", FOLDER / "run.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    found = module.results()
    assert found.keys() == STORED.keys()
    for name, values in STORED.items():
        assert found[name] == pytest.approx(values, rel=1e-4, abs=1e-6), name
    return found


def test_every_netlist_has_a_stored_result():
    assert {path.stem for path in FOLDER.glob("*.cir")} == STORED.keys()
    assert all(STORED.values())


@pytest.mark.parametrize(("name", "lines"), [("charge-three-lines", 3), ("charge-one-line", 1)])
def test_star_voltage_and_shares_of_a_healthy_charge(simulated, tracing, name, lines):
    point, found = steady(dict(tracing.healthy), lines, 32.0, 360.0), simulated[name]
    assert found["u_s"] == pytest.approx(point.U_S, abs=0.05)
    assert found["u_rec"] == pytest.approx(point.U_rec, abs=0.05)
    assert found["i_u"] == pytest.approx(point.I_w, abs=0.01)


def test_an_open_winding_leaves_the_current_to_the_two_others(simulated, tracing):
    shown = attempt({**tracing.healthy, **tracing.faults["winding-open"].change}, 3).shown
    assert simulated["charge-winding-open"]["i_u"] == pytest.approx(shown["I_U"], abs=1e-6)
    assert simulated["charge-winding-open"]["i_v"] == pytest.approx(shown["I_V"], rel=1e-4)


def test_a_load_holds_the_bus_down_during_pre_charge(simulated, tracing):
    share, _ = precharge({**tracing.healthy, **tracing.faults["bus-load"].change})
    assert simulated["precharge-load"]["u_bus"] == pytest.approx(400 * share, rel=1e-6)


def test_interlock_monitor_and_a_shorted_leg_with_the_motor_on(simulated, tracing):
    assert simulated["interlock"]["u_loop"] == pytest.approx(interlock_level(dict(tracing.healthy)), rel=1e-6)
    winding = {**tracing.healthy, **tracing.faults["winding-earth"].change}
    assert simulated["insulation"]["r"] == pytest.approx(monitor(winding, "switching"), rel=1e-3)
    short = {**tracing.healthy, **tracing.faults["leg-v-short"].change}
    assert simulated["diode-motor-connected"]["u_meter"] == pytest.approx(
        least_drop(inverter(short, False), "dc-", "U"), abs=1e-3
    )
