"""Other ways in which the chain runs: lines, current limit and battery voltage, taken from the course's chain.

A mode is what the modes of the chain have in common that give the same `n_ph` and `I_L`; each of their `U_B` is a
battery voltage it was worked out for. Cases are played at the healthy numbers; the table can be asked for any mode.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from quizgen.cache import Cache, content_key
from quizgen.tracing.compile import program, readings, workshop
from quizgen.tracing.data import Mode, Tracing
from quizgen.tracing.order import Order
from quizgen.tracing.readings import READINGS

Apart = Mapping[str, list[list[str]]]
"""By mode and battery voltage, as in `one-line-16-320`, pairs of faults."""


def in_mode(tracing: Tracing, mode: Mode, volts: float) -> Tracing:
    """The chain in that mode, without its cases and without the charge attempts that need more lines."""
    healthy = {**tracing.healthy, "n_ph": float(mode.lines), "I_limit": mode.amps, "U_B": volts}
    tests = {
        test.id: test
        for test in tracing.tests.values()
        if all(READINGS[name].lines <= mode.lines for name in test.reads)
    }
    return replace(tracing, healthy=healthy, tests=tests, cases={})


def standard(tracing: Tracing) -> Mode:
    """The mode of the healthy numbers, in which the cases are played."""
    lines, amps, volts = (float(tracing.healthy[name]) for name in ("n_ph", "I_limit", "U_B"))
    same = (mode for mode in tracing.modes.values() if (mode.lines, mode.amps) == (lines, amps))
    return next(same, Mode("", int(lines), amps, (volts,)))


def inseparable(tracing: Tracing) -> list[tuple[str, str]]:
    """Pairs of faults in different parts that nothing in this tracing tells apart."""
    table = readings(tracing)
    return [(table.faults[a], table.faults[b]) for a, b in Order(workshop(tracing, table)).inseparable()]


def told_apart(tracing: Tracing | None, store: Cache) -> Apart:
    """Pairs that a mode does not tell apart at a battery voltage; from the cache if nothing changed."""
    if tracing is None:
        return {}
    key = content_key("told apart", program(), repr(tracing))
    kept: Apart | None = store.get(key)
    if kept is None:
        kept = {
            f"{mode.id}-{volts:g}": [list(pair) for pair in inseparable(in_mode(tracing, mode, volts))]
            for mode in tracing.modes.values()
            for volts in mode.volts
        }
        store.put(key, kept)
    return kept
