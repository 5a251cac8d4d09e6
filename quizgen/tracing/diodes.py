"""What a meter in diode range shows between two points of a circuit of diodes and wires.

The meter drives a milliampere, so wires and windings drop nothing and the current takes the way with the
fewest drops; a way that needs more than the meter's own voltage shows OL.
"""

from __future__ import annotations

from collections.abc import Iterable

LIMIT = 2.0
"""Open-circuit voltage of the meter in V."""

Edge = tuple[str, str, float]
"""From, to, forward drop in V."""


def wire(a: str, b: str) -> list[Edge]:
    return [(a, b, 0.0), (b, a, 0.0)]


def least_drop(edges: Iterable[Edge], red: str, black: str) -> float:
    """Forward drop in V from the red to the black lead, infinite where the meter shows OL."""
    known = {red: 0.0}
    edges = list(edges)
    for _ in range(len(edges)):
        for a, b, drop in edges:
            if a in known and known[a] + drop < known.get(b, float("inf")):
                known[b] = known[a] + drop
    drop = known.get(black, float("inf"))
    return drop if drop <= LIMIT else float("inf")


def rectifier(p: dict[str, float | str], choke_lifted: bool = True) -> list[Edge]:
    """Switches with body diodes, gates off, each with its series diode; the freewheel diode from − to +."""
    drop = float(p["U_diode"])
    edges: list[Edge] = []
    for leg, line in zip("ABC", ("L1", "L2", "L3"), strict=True):
        for upper in (True, False):
            first, last = (line, "rec+") if upper else ("rec-", line)
            inner = f"{leg}{upper}"
            # current from line to rec+: through the switch (off: only against it through the body diode),
            # then through the series diode
            edges.append((inner, first, drop))
            edges.append((inner, last, drop))
            if leg == "A" and upper and p["upper_A"] == "short":
                edges += wire(first, inner)
            if leg == "A" and upper and p["series_A"] == "short":
                edges += wire(inner, last)
    if p["freewheel"] == "short":
        edges += wire("rec-", "rec+")
    elif p["freewheel"] != "open":
        edges.append(("rec-", "rec+", drop))
    if not choke_lifted:
        edges += wire("rec+", "star") + wire("rec-", "dc-")
    return edges


def inverter(p: dict[str, float | str], cables_lifted: bool = True) -> list[Edge]:
    """Three legs with their diodes; with the motor on, the windings join them at the star point."""
    drop = float(p["U_diode"])
    edges: list[Edge] = []
    for leg in "UVW":
        edges.append(("dc-", leg, drop))
        if leg == "V" and p["lower_V"] == "short":
            edges += wire("dc-", leg)
        if not (leg == "W" and p["upper_W"] == "open"):
            edges.append((leg, "dc+", drop))
        if not cables_lifted:
            edges += wire(leg, "star")
    return edges
