"""Every reading by name: what it is called, its unit, the meter's resolution, and how it is computed.

A value is a number in the unit shown, infinite where the meter shows OL (over its range), nan where the tool
shows nothing, or words. Nothing here is typed in: all come from the chain under the fault.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from quizgen.tracing.charge import (
    Chain,
    attempt,
    before_power,
    cable_limit,
    interlock_level,
    monitor,
    number,
    parallel,
    pilot_levels,
    precharge,
)  # fmt: skip
from quizgen.tracing.diodes import inverter, least_drop, rectifier


@dataclass(frozen=True, slots=True)
class Reading:
    """One number or word that a test gives."""

    label: str
    unit: str
    step: float
    """Resolution of the meter, in the unit."""
    apart: float
    """Difference in the unit from which a person tells two values apart."""
    of: Callable[[Chain], float | str]
    share: float = 0.1
    """The same as a share of the value; the larger of the two counts."""
    most: float = math.inf
    """Above it the meter shows OL."""
    lines: int = 0
    """Lines of the supply that a charge attempt for it needs; 0 where none is made."""
    act: str = ""
    """What must be done with the van for it, a name from `data.ACTS`; "" where nothing."""


def _mega(*names: str) -> Callable[[Chain], float]:
    return lambda p: parallel(*(number(p, name) for name in names)) / 1e6


def _times(name: str, factor: float) -> Callable[[Chain], float]:
    return lambda p: number(p, name) * factor


def _inlet_R(k: int) -> Callable[[Chain], float]:
    def ohms(p: Chain) -> float:
        behind = math.inf
        if k == 1 and number(p, "R_off_L1") < 1:
            behind = number(p, "R_bleed_F")
        short = number(p, "R_X_L1") if k == 1 else math.inf
        return parallel(number(p, f"R_bleed_L{k}"), behind, short) / 1e3

    return ohms


def _inlet_C(k: int) -> Callable[[Chain], float]:
    def farads(p: Chain) -> float:
        if k == 1 and number(p, "R_X_L1") < 1:
            return math.nan
        behind = number(p, "C_F") if k == 1 and number(p, "R_off_L1") < 1 else 0.0
        return (number(p, f"C_X_L{k}") + behind) * 1e6

    return farads


def _discharge(p: Chain) -> float:
    if math.isfinite(number(p, "t_active")):
        return number(p, "t_active")
    return number(p, "R_bleed_b") * number(p, "C_b") * math.log(number(p, "U_B") / 60)


def _not_ready(p: Chain) -> str:
    """Why the van does not come as far as ready to drive; "" where it does."""
    if number(p, "U_pull_in") < 10.5:
        return "controllers restart"
    if abs(interlock_level(p) - 1.28) > 0.2:
        return "not ready, interlock"
    if p["minus_contact"] == "welded":
        return "not ready, contactor check"
    if monitor(p, "closed") < number(p, "R_stop"):
        return "not ready, insulation"
    if precharge(p)[0] < 0.95:
        return "not ready, pre-charge"
    return ""


def _watched(state: str) -> Callable[[Chain], float | str]:
    """The monitor's value in a state in kΩ, or that the van did not come to it.

    With contactors open it always measures. A low value stops the van only once its contactors have closed; all else
    that keeps it from ready keeps them from closing, or from staying closed for as long as the monitor measures.
    """

    def value(p: Chain) -> float | str:
        why = _not_ready(p)
        reached = not why or state == "open" or (state == "closed" and why == "not ready, insulation")
        return monitor(p, state) / 1e3 if reached else "not ready"

    return value


def _drive(p: Chain) -> str:
    if why := _not_ready(p):
        return why
    if math.isinf(number(p, "R_coil_plus")):
        return "DC link sags when driving off"
    if p["lower_V"] == "short":
        return "stops at once, leg V"
    if p["upper_W"] == "open" or p["lower_U"] == "open" or math.isinf(number(p, "R_U")):
        return "rough, then stops"
    if number(p, "L_V_share") < 0.9:
        return "drives, torque uneven"
    if number(p, "V_dot") < 2 / 60000:
        return "drives, limits its power after minutes"
    return "drives normally"


def _lamp(p: Chain) -> str:
    if number(p, "U_charging") < 13 or number(p, "U_pull_in") < 10.5:
        return "12 V"
    if monitor(p, "switching") < number(p, "R_warn"):
        return "insulation"
    if before_power(p) in ("interlock", "contactor check failed", "pre-charge timeout", "current sensor out of range"):
        return "high voltage"
    if math.isinf(number(p, "t_active")):
        return "high voltage"
    if number(p, "ntc_offset") > 10 or number(p, "V_dot") < 2 / 60000:
        return "temperature"
    return "none"


_GROUPS = (
    ("no plug detected", "starts nothing"),
    ("supply finds no van", "starts nothing"),
    ("stays at plugged in", "starts nothing"),
    ("drops out", "starts and drops out"),
    ("bus timeout", "starts and drops out"),
    ("controllers restart", "starts and drops out"),
    ("supply breaker", "supply trips"),
    ("residual device", "supply trips"),
    ("limits its power after", "charges, slows down after minutes"),
    ("stops after 20", "charges, stops after a while"),
    ("limits its power at once", "charges slowly"),
    ("charges at a lower", "charges slowly"),
    ("charges at the full", "charges well"),
)


def told(p: Chain, lines: int) -> str:
    """A charge attempt in a driver's words."""
    event = attempt(p, lines).event
    return next((words for start, words in _GROUPS if event.startswith(start)), "stops at the start")


_LOGGED = (
    ("controllers restart", "low voltage"), ("stops after 20", "low voltage"), ("no plug", "connection"),
    ("supply finds", "connection"), ("stays at", "connection"), ("drops out", "connection"),
    ("contactor check", "contactors"), ("residual", "supply lost"), ("supply breaker", "supply lost"),
    ("bus timeout", "bus"), ("relay check", "relays"), ("line over", "over-current"), ("choke over", "over-current"),
    ("over-current", "over-current"), ("over-voltage", "over-voltage"),
    ("rectifier at", "no current"), ("no line", "no current"), ("one line", "line currents"),
    ("line current", "line currents"), ("sum of", "currents implausible"), ("one winding", "currents implausible"),
    ("limits", "temperature"), ("insulation", "insulation"),
    ("current sensor", "current sensor"),
)  # fmt: skip


def _logged(event: str) -> str:
    """The group of the code that the control unit keeps for an event."""
    return next((group for start, group in _LOGGED if event.startswith(start)), event)


def _last_stop(p: Chain) -> str:
    for lines in (3, 1) if number(p, "n_ph") == 3 else (1,):
        event = attempt(p, lines).event
        if not event.startswith("charges"):
            return _logged(event)
    if monitor(p, "switching") < number(p, "R_warn"):
        return "insulation low while driving"
    if math.isinf(number(p, "t_active")):
        return "discharge too slow"
    drive = _drive(p)
    return "none" if drive.startswith("drives") else drive


def _good(name: str) -> Callable[[Chain], str]:
    return lambda p: "passes" if p[name] == "good" else "no answer"


def _rectifier(red: str, black: str) -> Callable[[Chain], float]:
    return lambda p: least_drop(rectifier(p), red, black)


def _inverter(red: str, black: str) -> Callable[[Chain], float]:
    return lambda p: least_drop(inverter(p), red, black)


def _on(k: int) -> Callable[[Chain], float]:
    return lambda p: number(p, f"R_con_L{k}") * 1e3


def _off(p: Chain) -> float:
    return number(p, "R_off_L1") * 1e3


def _path(p: Chain, k: int) -> float:
    coil = 0.0 if math.isfinite(number(p, f"R_coil_L{k}")) else math.inf  # an open coil closes nothing
    return (number(p, f"R_path_L{k}") + number(p, f"R_con_L{k}") + coil) * 1e3


def _precharge_time(p: Chain) -> float:
    """In ms; nothing is logged where the bus never rises."""
    level, seconds = precharge(p)
    return seconds * 1e3 if level else math.nan


_PLAIN: dict[str, Reading] = {
    "told_three": Reading("charging on three lines", "", 0, 0, lambda p: told(p, 3), lines=3, act="charge"),
    "told_one": Reading("charging on one line", "", 0, 0, lambda p: told(p, 1), lines=1, act="charge"),
    "drive": Reading("driving", "", 0, 0, _drive, act="drive"),
    "lamp": Reading("warning lamp", "", 0, 0, _lamp),
    "last_stop": Reading("last stop in the log", "", 0, 0, _last_stop),
    "precharge_level": Reading("DC link after pre-charge", "%", 1, 5, lambda p: precharge(p)[0] * 100),
    "precharge_time": Reading("time to 95 % of that level", "ms", 1, 12, _precharge_time),
    "discharge_time": Reading("switch-off to 60 V", "s", 1, 10, _discharge, most=120),
    "other_cable_limit": Reading(
        "current limit with the other cable", "A", 1, 3,
        lambda p: 0.0 if math.isinf(number(p, "PP_wire"))
        else min(number(p, "I_limit"), cable_limit(number(p, "R_PP_other"))),
        act="charge",
    ),
    "pilot_b": Reading("plugged in", "V", 0.01, 0.2, lambda p: pilot_levels(p)[0], 0),
    "pilot_c": Reading("ready", "V", 0.01, 0.2, lambda p: pilot_levels(p)[1], 0),
    "pilot_negative": Reading("negative half", "V", 0.01, 0.5, lambda p: pilot_levels(p)[2], 0),
    "cable_pp": Reading("PP to PE", "Ω", 1, 20, lambda p: number(p, "R_PP"), most=1e6),
    "pp_pull_up": Reading(
        "PP at the inlet with the cable in", "V", 0.01, 0.3,
        lambda p: 5.0 * parallel(number(p, "R_PP") + number(p, "PP_wire"), 2700)
        / (330 + parallel(number(p, "R_PP") + number(p, "PP_wire"), 2700)), 0,
    ),
    "u_rest": Reading("at rest", "V", 0.1, 0.5, lambda p: number(p, "U_rest"), 0),
    "u_pull_in": Reading("at relay pull-in", "V", 0.1, 0.8, lambda p: number(p, "U_pull_in"), 0),
    "u_charging": Reading("with high voltage on", "V", 0.1, 0.8, lambda p: number(p, "U_charging"), 0),
    "bus_ohms": Reading("high to low", "Ω", 1, 10, lambda p: parallel(number(p, "R_bus_1"), number(p, "R_bus_2"))),
    "monitor_open": Reading("contactors open", "kΩ", 1, 10, _watched("open"), 0.2),
    "monitor_closed": Reading("contactors closed", "kΩ", 1, 10, _watched("closed"), 0.2),
    "monitor_switching": Reading("inverter switching", "kΩ", 1, 10, _watched("switching"), 0.2),
    "zero_I_d": Reading(
        "choke current at zero", "A", 0.1, 1.5,
        lambda p: _rail(p), 0,
    ),
    "zero_W": Reading("leg W at zero", "A", 0.1, 1.0, lambda p: number(p, "leg_offset_W"), 0),
    "flow": Reading("flow", "L/min", 0.1, 2, lambda p: number(p, "V_dot") * 60000, 0),
    "pump_current": Reading("pump current", "A", 0.1, 1, lambda p: number(p, "pump_current"), 0),
    "ntc_cold": Reading("hottest less coldest, cold van", "K", 1, 5, lambda p: number(p, "ntc_offset"), 0),
    "driver_a": Reading("leg A", "", 0, 0, _good("driver_A")),
    "driver_c": Reading("leg C", "", 0, 0, _good("driver_C")),
    "interlock_volts": Reading("loop", "V", 0.01, 0.2, interlock_level, 0),
    "interlock_ohms": Reading("loop", "Ω", 1, 5, lambda p: number(p, "R_loop"), most=1e6),
    "coil_plus": Reading("plus", "Ω", 1, 3, lambda p: number(p, "R_coil_plus")),
    "coil_minus": Reading("minus", "Ω", 1, 3, lambda p: number(p, "R_coil_minus")),
    "inlet_500": Reading(
        "at 500 V", "MΩ", 0.001, 0.02, _mega("R_Y_500V", "R_inlet_PE"), 0.3, 50
    ),
    "inlet_50": Reading("at 50 V", "MΩ", 0.001, 0.02, _mega("R_inlet_PE"), 0.3, 50),
    "bond": Reading("inlet earth to chassis", "Ω", 0.001, 0.05, lambda p: number(p, "R_PE")),
    "off_L1": Reading("contact L1, coil off", "mΩ", 0.1, 3, _off, most=1e6),
    "on_L1": Reading("contact and filter L1, coil on", "mΩ", 0.1, 3, lambda p: _path(p, 1), most=1e6),
    "on_L2": Reading("contact and filter L2, coil on", "mΩ", 0.1, 3, lambda p: _path(p, 2), most=1e6),
    "on_L3": Reading("contact L3 alone, coil on", "mΩ", 0.1, 3, _on(3), most=1e6),
    "L1_to_plus": Reading("L1 to rec+", "V", 0.01, 0.06, _rectifier("L1", "rec+"), 0),
    "plus_to_L1": Reading("rec+ to L1", "V", 0.01, 0.06, _rectifier("rec+", "L1"), 0),
    "minus_to_plus": Reading("rec\u2212 to rec+", "V", 0.01, 0.06, _rectifier("rec-", "rec+"), 0),
    "plus_to_minus": Reading("rec+ to rec\u2212", "V", 0.01, 0.06, _rectifier("rec+", "rec-"), 0),
    "choke_R": Reading("resistance", "mΩ", 0.1, 1.5, _times("R_d", 1e3)),
    "choke_L": Reading("inductance", "mH", 0.01, 0.1, lambda p: number(p, "L_d") * 1e3
                       if math.isfinite(number(p, "R_d")) else math.inf),
    "star_R": Reading("lug to lug", "mΩ", 0.1, 1, _times("R_lug", 1e3)),
    "wind_U": Reading("U", "mΩ", 0.1, 0.6, _times("R_U", 1e3), 0.03),
    "wind_V": Reading("V", "mΩ", 0.1, 0.6, _times("R_V", 1e3), 0.03),
    "wind_W": Reading("W", "mΩ", 0.1, 0.6, _times("R_W", 1e3), 0.03),
    "iso_choke": Reading("choke side", "MΩ", 0.001, 0.02, _mega("R_choke_PE"), 0.3, 200),
    "iso_cable": Reading("cable", "MΩ", 0.001, 0.02, _mega("R_cable_PE"), 0.3, 200),
    "iso_motor": Reading("motor side", "MΩ", 0.001, 0.02, _mega("R_star_PE"), 0.3, 200),
    "link_C": Reading("capacitance", "µF", 1, 60, _times("C_b", 1e6)),
    "link_R": Reading("bleed", "kΩ", 0.1, 5, _times("R_bleed_b", 1e-3)),
    "link_ESR": Reading("joint", "mΩ", 0.1, 3, _times("R_ESR", 1e3)),
    "system_500": Reading(
        "HV+ and HV\u2212 to chassis", "MΩ", 0.001, 0.02,
        _mega("R_link_PE", "R_star_PE", "R_cable_PE", "R_choke_PE"), 0.3, 200,
    ),
}  # fmt: skip


def _rail(p: Chain) -> float:
    """Choke current shown at true zero; without supply the output lies at 0 V, 2.5 V below its zero."""
    if p["d_supply"] == "dead":
        return -2.5 / 0.020
    return number(p, "d_offset")


def _attempted(lines: int) -> dict[str, Reading]:
    """Live data of a charge attempt on one or three lines."""

    def live(name: str, label: str, unit: str, step: float, apart: float, share: float = 0.1) -> Reading:
        return Reading(label, unit, step, apart, lambda p: attempt(p, lines).shown.get(name, math.nan), share)

    made = {"event": Reading("the attempt", "", 0, 0, lambda p: attempt(p, lines).event)}
    made |= {f"I_L{k}": live(f"I_L{k}", f"I_L{k}", "A", 0.1, 2, 0.05) for k in (1, 2, 3)}
    made["mean_L1"] = live("mean_L1", "mean of I_L1", "A", 1, 5, 0)
    made["U_S"] = live("U_S", "U_S", "V", 1, 8, 0.05)
    made["I_d"] = live("I_d", "I_d", "A", 0.1, 3, 0.05)
    made |= {f"I_{leg}": live(f"I_{leg}", f"I_{leg}", "A", 0.1, 1.5, 0.08) for leg in "UVW"}
    made["D"] = live("D", "duty of the lower switches", "%", 1, 5, 0)
    made["I_B"] = live("I_B", "battery current", "A", 0.1, 2, 0.05)
    made["ripple_V"] = live("ripple_V", "largest winding ripple", "A", 0.1, 2)
    made["I_d_ripple"] = live("I_d_ripple", "ripple of I_d", "A", 0.1, 1)
    made["temperature"] = live("temperature", "module above inlet", "K", 1, 8, 0)
    return made


def _all() -> dict[str, Reading]:
    made = dict(_PLAIN)
    for k in (1, 2, 3):
        made[f"coil_L{k}"] = Reading(f"coil L{k}", "Ω", 1, 5, _times(f"R_coil_L{k}", 1))
        made[f"inlet_R_L{k}"] = Reading(f"resistance L{k} to N", "kΩ", 0.1, 5, _inlet_R(k))
        made[f"inlet_C_L{k}"] = Reading(f"capacitance L{k} to N", "µF", 0.1, 0.5, _inlet_C(k))
    for leg in "UVW":
        made[f"minus_to_{leg}"] = Reading(f"DC\u2212 to {leg}", "V", 0.01, 0.06, _inverter("dc-", leg), 0)
        made[f"{leg}_to_plus"] = Reading(f"{leg} to DC+", "V", 0.01, 0.06, _inverter(leg, "dc+"), 0)
    for word, lines in (("one", 1), ("three", 3)):
        for name, reading in _attempted(lines).items():
            made[f"{word}_{name}"] = replace(reading, lines=lines, act="charge")
    return made


READINGS: dict[str, Reading] = _all()
