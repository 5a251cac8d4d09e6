"""Readings as the meter shows them, and which of them a person can tell apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from quizgen.expression.writing import Rounding, digits, spaced, with_unit
from quizgen.tracing.readings import Reading

COUNTS = 6000
"""A display shows fewer counts than this and goes to the next coarser range from here on."""
FINER = {"MΩ": "kΩ", "kΩ": "Ω"}


@lru_cache(maxsize=8192)
def shown(reading: Reading, value: float | str) -> str:
    """The value as the display has it: in its range, rounded; OL over the last one, – where nothing is shown."""
    if isinstance(value, str):
        return value
    if math.isnan(value):
        return "–"
    if abs(value) > reading.most or math.isinf(value):
        return _over(reading)
    unit, step = reading.unit, reading.step
    while unit in FINER and abs(value) < 0.9995:
        value, step, unit = value * 1000, step * 1000, FINER[unit]
    while abs(value) >= COUNTS * step:
        step *= 10
    return with_unit(spaced(digits(value, Rounding(step=f"{step:g}"))), unit)


def _over(reading: Reading) -> str:
    if math.isinf(reading.most) or reading.unit not in ("s", "MΩ"):
        return "OL"
    return f"> {with_unit(spaced(digits(reading.most, Rounding(step='1'))), reading.unit)}"


def grouped(reading: Reading, values: Sequence[float | str]) -> list[str]:
    """For each value the name of its class: values a person cannot tell apart share one.

    Numbers are sorted, and a new class begins where a gap is at least what the reading says can be told
    apart; so two values of one class may differ by more if others lie between them. The name is a value of
    the class as shown: the one nearest to its middle.
    """
    named: dict[int, str] = {}
    numbers: list[tuple[float, int]] = []
    for index, value in enumerate(values):
        if isinstance(value, str) or not math.isfinite(value) or abs(value) > reading.most:
            named[index] = shown(reading, value)
        else:
            numbers.append((value, index))
    numbers.sort()
    group: list[tuple[float, int]] = []
    for value, index in numbers:
        if group and value - group[-1][0] >= max(reading.apart, reading.share * abs(group[-1][0])):
            _name(reading, group, named)
            group = []
        group.append((value, index))
    _name(reading, group, named)
    return [named[index] for index in range(len(values))]


def _name(reading: Reading, group: list[tuple[float, int]], named: dict[int, str]) -> None:
    if group:
        middle = group[len(group) // 2][0]
        named.update((index, shown(reading, middle)) for _, index in group)
