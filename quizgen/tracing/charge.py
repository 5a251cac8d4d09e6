"""One charge attempt of the chain under a fault: how far it comes, and what live data show there.

The attempt passes three moments at which a protection can trip: (a) the supply contactor closes and feeds
the inlet and its filter; (b) the phase relays close and feed the rectifier's filter; (c) the first pulses of
the rectifier join choke, star point and windings to the mains. Before them stand the checks of the van.
Steady values are means: U_rec = 1.5 M û on three lines and 0.5 M û on one, I_d = sqrt(2) I_L / M (Kolar and
Friedli, IEEE Trans. Power Electronics 2013, from memory), each winding a third, duty from the drops.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from quizgen.tracing.data import Value

Chain = dict[str, Value]
TRIPS_FROM = 0.75
"""A residual device trips between half its rating and its rating; taken to trip from here."""
ONE_SWITCH_SHORT = 1.2
"""Star voltage on one line with a shorted switch over the healthy one, from a simulation of the rectifier."""
LINK_RIPPLE = 0.13
"""Ripple current of the DC link over the choke current, from simulation: 7 A of 50 A and 9 A to 12 A of 78 A."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """Where it ended, and live data of the last moment before; nan where the tool shows nothing."""

    event: str
    shown: dict[str, float] = field(default_factory=dict)


def number(p: Chain, name: str) -> float:
    value = p[name]
    assert not isinstance(value, str), name
    return value


def parallel(*ohms: float) -> float:
    """Resistance of branches side by side; an open branch is infinite, a short is zero."""
    if any(r == 0 for r in ohms):
        return 0.0
    sum_of = sum(1 / r for r in ohms)
    return 1 / sum_of if sum_of else math.inf


def through(volts: float, ohms: float) -> float:
    """Current in A that a voltage drives through a resistance; infinite through a short."""
    return volts / ohms if ohms else math.inf


def pilot_levels(p: Chain) -> tuple[float, float, float]:
    """Pilot voltages in state B, state C and of the negative half, in V."""
    U_s, R_s = number(p, "U_s"), number(p, "R_s")
    U_D = number(p, "U_D")

    def level(ohms: float) -> float:
        if p["pilot_diode"] == "open":
            return U_s
        drop = 0.0 if p["pilot_diode"] == "short" else U_D
        return U_s - (U_s - drop) * R_s / (R_s + ohms + number(p, "R_pin"))

    b, c = number(p, "R_v"), parallel(number(p, "R_v"), number(p, "R_c"))
    negative = -level(b) if p["pilot_diode"] == "short" else -U_s
    return level(b), level(c), negative


def cable_limit(ohms: float) -> float:
    """Amperes that a cable's proximity resistance allows (IEC 61851-1, cable coding, from memory)."""
    for low, high, amps in ((1000, 2200, 13.0), (330, 1000, 20.0), (150, 330, 32.0), (75, 150, 63.0)):
        if low <= ohms < high:
            return amps
    return 0.0


def interlock_level(p: Chain) -> float:
    loop, source = number(p, "R_loop"), number(p, "R_src")
    return number(p, "U_loop") * (1.0 if math.isinf(loop) else loop / (loop + source))


def precharge(p: Chain) -> tuple[float, float]:
    """Level the bus comes to as a share of the battery, and seconds to 95 % of that level."""
    R, load = number(p, "R_pre"), number(p, "R_bus_load")
    if math.isinf(R):
        return 0.0, math.inf
    share = 1.0 if math.isinf(load) else load / (load + R)
    return share, parallel(R, load) * number(p, "C_b") * math.log(20)


def monitor(p: Chain, state: str) -> float:
    """Insulation resistance that the monitor finds in "open", "closed" or "switching", in Ω.

    It sits in the battery before the contactors. Windings, star point and choke join only while the inverter
    switches; what lies before a blocking rectifier never does.
    """
    found = [number(p, "R_battery_PE")]
    if state != "open":
        found.append(number(p, "R_link_PE"))
    if state == "switching":
        found += [number(p, "R_star_PE"), number(p, "R_cable_PE"), number(p, "R_choke_PE")]
    return parallel(*found)


def rectifier_output(p: Chain, lines: int) -> tuple[float, float]:
    """Mean of the rectifier's output without losses in V, and the modulation M."""
    peak = math.sqrt(2) * number(p, "U_ph")
    M = number(p, "M_three_lines" if lines == 3 else "M_one_line")
    return (1.5 if lines == 3 else 0.5) * M * peak, M


@dataclass(frozen=True, slots=True)
class Steady:
    """A steady operating point: means, in SI."""

    P: float
    U_rec: float
    U_rec_read: float
    I_d: float
    I_w: float
    U_S: float
    D_ideal: float
    D: float
    I_B_ideal: float
    I_B: float
    dI_w: float
    P_loss: float
    eta: float


def steady(p: Chain, lines: int, I_L: float, U_B: float) -> Steady:
    """The chain in full health but for its numbers, at one line current and battery voltage."""
    P = lines * number(p, "U_ph") * I_L
    U_rec, M = rectifier_output(p, lines)
    I_d = math.sqrt(2) * I_L / M
    I_w = I_d / 3
    read = U_rec - number(p, "U_drop")
    R_hot = number(p, "R_hot") + number(p, "R_lug") - 0.002
    U_S = read - R_hot * I_d
    R_w = number(p, "R_U") * number(p, "R_hot_factor") if math.isfinite(number(p, "R_U")) else 0.023
    D = 1 - (U_S - R_w * I_w - number(p, "U_leg")) / U_B
    D_ideal = 1 - U_rec / U_B
    E = number(p, "E_sw") * (U_B / 400) * (I_w / 100) * number(p, "f_s")
    loss = I_d * number(p, "U_drop") + I_d**2 * R_hot + 3 * (I_w**2 * R_w + number(p, "U_leg") * I_w + E)
    L, f = number(p, "L_w"), number(p, "f_s")
    ripple = U_B * D_ideal * (1 - D_ideal) / (L * f)
    if lines == 1:  # the duty sweeps from its least value to 1 every half period: the largest ripple is met
        least = 1 - 2 * U_rec / U_B
        ripple = U_B * max(0.25 if least <= 0.5 else least * (1 - least), 0) / (L * f)
    return Steady(P, U_rec, read, I_d, I_w, U_S, D_ideal, D, P / U_B, (P - loss) / U_B, ripple, loss, (P - loss) / P)


def before_power(p: Chain) -> str:
    """Which check of the van or the supply refuses before any line is fed; empty where all pass."""
    if number(p, "U_pull_in") < 10.5:
        return "controllers restart at relay pull-in"
    if math.isinf(number(p, "PP_wire")) or not cable_limit(number(p, "R_PP")):
        return "no plug detected"
    b, c, negative = pilot_levels(p)
    if not 8 <= b <= 10 or negative > -11:
        return "supply finds no van"
    if not 5 <= c <= 7:
        return "stays at plugged in, never ready" if c > 8 else "drops out between plugged in and ready"
    if abs(interlock_level(p) - 1.28) > 0.2:
        return "interlock"
    if p["d_supply"] == "dead":
        return "current sensor out of range"
    if p["minus_contact"] == "welded":
        return "contactor check failed"
    if monitor(p, "closed") < number(p, "R_warn"):
        return "insulation warning"
    if precharge(p)[0] < 0.95:
        return "pre-charge timeout"
    if math.isinf(number(p, "R_bus_2")):
        return "bus timeout"
    if number(p, "R_off_L1") < 1:
        return "relay check failed"
    return ""


def supply_contactor(p: Chain) -> str:
    """First trip moment: inlet and its filter are fed."""
    if number(p, "R_X_L1") < 1:
        return "supply breaker trips when its contactor closes"
    leak = through(number(p, "U_ph"), parallel(number(p, "R_Y_500V"), number(p, "R_inlet_PE")))
    if leak >= TRIPS_FROM * number(p, "I_trip_AC"):
        return "residual device trips when the supply contactor closes"
    return ""


def first_pulses(p: Chain, lines: int) -> str:
    """Third trip moment: the rectifier starts, and choke, star point and windings are joined to the mains."""
    if p["series_A"] == "short":
        return "line over-current in the first half-wave"
    if p["freewheel"] == "short":
        return "line over-current at the first pulses, choke current 0"
    if p["freewheel"] == "open":
        return "over-voltage at the rectifier at the first pulses"
    if p["upper_A"] == "short" and lines == 3:
        return "choke over-current within one mains period"
    if math.isinf(number(p, "R_d")) or math.isinf(number(p, "R_lug")):
        return "rectifier at its limit, no choke current"
    point = steady(p, lines, number(p, "I_limit"), number(p, "U_B"))
    # One pole of the mains sits at earth: the star point carries half of the mean on three lines.
    peak = math.sqrt(2) * number(p, "U_ph")
    star = point.U_rec_read / 2 if lines == 3 else point.U_S - peak / math.pi
    R = parallel(number(p, "R_choke_PE"), number(p, "R_cable_PE"), number(p, "R_star_PE"))
    if through(star, R) >= number(p, "I_trip_DC"):
        return "residual device trips at the first rectifier pulses"
    if p["lower_V"] == "short":
        return "over-current in leg V at the start"
    if p["upper_W"] == "open":
        return "over-voltage in leg W at the start"
    if math.isinf(number(p, "R_coil_plus")):
        return "over-voltage of the DC link when power starts"
    return ""


def heat(p: Chain, lines: int, I_L: float) -> tuple[str, float]:
    """Whether and how heat limits the current, and how far the module stands above the inlet, in K."""
    point = steady(p, lines, I_L, number(p, "U_B"))
    dry = number(p, "V_dot") < 2 / 60000
    rise = point.P_loss * number(p, "resistance_dry" if dry else "resistance_hot") + number(p, "ntc_offset")
    if number(p, "ntc_offset") > 10:
        return "limits its power at once", rise
    contact = number(p, "R_con_L3")
    if lines == 3 and math.isfinite(contact) and I_L**2 * contact > number(p, "P_hot_relay"):
        return "limits its power after minutes, relay board hot", rise
    if point.I_d**2 * number(p, "R_lug") > number(p, "P_hot_lug"):
        return "limits its power after minutes, star cable hot", rise
    if rise > number(p, "rise_hot"):
        return "limits its power after minutes, inverter hot", rise
    if (LINK_RIPPLE * point.I_d) ** 2 * number(p, "R_ESR") > number(p, "P_hot_link"):
        return "limits its power after minutes, DC link capacitor hot", rise
    return "", rise


def _idle(p: Chain, line: int, joined: bool) -> float:
    """Current in A that the capacitors take from a line that carries no power; `joined` as far as the rectifier."""
    farads = number(p, f"C_X_L{line}") + (number(p, "C_F") if joined else 0.0)
    return 2 * math.pi * number(p, "f") * farads * number(p, "U_ph")


def attempt(p: Chain, lines: int) -> Attempt:
    """A charge attempt of ten minutes on one or three lines at the chain's own battery voltage and current limit."""
    event = before_power(p) or supply_contactor(p)
    if event:
        return Attempt(event)
    limit = min(number(p, "I_limit"), cable_limit(number(p, "R_PP")))
    ways = [
        math.isfinite(number(p, f"R_coil_L{k}") + number(p, f"R_con_L{k}") + number(p, f"R_path_L{k}"))
        for k in (1, 2, 3)
    ]
    if not ways[0] and lines == 1:
        nothing = dict.fromkeys(("mean_L1", "I_d", "U_S", "I_B", "I_U", "I_V", "I_W", "ripple_V"), 0.0)
        return Attempt("no line current", {"I_L1": _idle(p, 1, False)} | nothing)
    if event := first_pulses(p, lines):
        return Attempt(event)
    event, rise = heat(p, lines, limit)
    if event:
        limit = min(limit, number(p, "I_limit") / 2)
    point = steady(p, lines, limit, number(p, "U_B"))
    shown = {f"I_L{k}": limit if k <= lines else 0.0 for k in (1, 2, 3)}
    shown |= {"mean_L1": 0.0, "temperature": rise}
    share = 1.0  # of the rectifier's mean; each of the three pairs of lines carries a third of it
    if lines == 3:
        lost = [k for k, way in enumerate(ways, 1) if not way]
        if p["driver_C"] == "dead":
            lost.append(3)
        for k in lost:
            shown[f"I_L{k}"] = _idle(p, k, ways[k - 1])
        if lost:
            share, event = 1 / 3, "one line carries nothing"
    half_waves = math.sqrt(2) * limit / math.pi
    if p["driver_A"] == "dead":
        share, event = (2 / 3 if lines == 3 else 1 / 2), "line current with a mean"
        shown |= {"mean_L1": -half_waves, "I_L1": limit / math.sqrt(2)}
    if p["upper_A"] == "short":
        share, event = ONE_SWITCH_SHORT, "line current with a mean"
        shown |= {"mean_L1": half_waves, "I_L1": math.hypot(limit, half_waves)}
    return _shared(p, lines, point, shown, share, event)


def _shared(p: Chain, lines: int, point: Steady, shown: dict[str, float], share: float, event: str) -> Attempt:
    """How the star current divides over the windings, what the sensors make of it, and what the battery gets.

    `share`: of the healthy mean voltage that the rectifier gives.
    """
    true = dict.fromkeys("UVW", point.I_w)
    out = [leg for leg, dead in (("U", math.isinf(number(p, "R_U")) or p["lower_U"] == "open"),) if dead]
    for leg in "UVW":
        true[leg] = 0.0 if leg in out else point.I_d / (3 - len(out))
    if out:
        event = event or "one winding carries nothing"
    offset = number(p, "leg_offset_W")
    # The balance loop makes what is shown equal, while the sum is the true star current.
    seen = {leg: true[leg] if leg in out else true[leg] + offset / 3 for leg in "UVW"}
    seen_d = point.I_d * number(p, "d_gain") + number(p, "d_offset")
    shown |= {f"I_{leg}": seen[leg] for leg in "UVW"} | {"I_d": seen_d}
    L_w, L_d = number(p, "L_w"), number(p, "L_d")
    # Largest of u (1 - m) / (L f): on three lines at the edge of a sector, on one where m = 2/3.
    M = rectifier_output(p, lines)[1]
    m = M * math.cos(math.pi / 6) if lines == 3 else 2 / 3
    volts = point.U_rec if lines == 3 else 2 * point.U_rec * (m / M) ** 2
    shown["I_d_ripple"] = volts * (1 - m) / ((L_d + L_w / 3) * number(p, "f_rectifier"))
    shown["ripple_V"] = point.dI_w / number(p, "L_V_share")
    U_B, U_S = number(p, "U_B"), point.U_S * share
    shown |= {"U_S": U_S, "D": 100 * (point.D + (point.U_S - U_S) / U_B)}
    shown["I_B"] = (point.P * share - point.P_loss) / U_B
    if not event and abs(sum(seen.values()) - seen_d) > 0.05 * seen_d:
        event = "sum of the windings implausible"
    if not event and number(p, "U_charging") < 13:
        event = "stops after 20 minutes, 12 V low"
    enough = shown["I_L1"] > 0.9 * number(p, "I_limit")
    full = "charges at the full current" if enough else "charges at a lower current"
    return Attempt(event or full, shown)
