"""General slips: ratios between a wrong and a right answer that say what went wrong, whatever the formula.

They are tried after the written slips. One table serves Python and the page, so both say the same.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from quizgen.expression.units import NONE, Unit, read_unit


@dataclass(frozen=True, slots=True)
class General:
    """A general slip: answers `ratio` times or one `ratio`-th of the key, unless `id` names another rule.

    `high` is said where the answer is too large in size, `low` where it is too small.
    """

    id: str
    ratio: float
    high: str
    low: str


GENERAL = (
    General("power-of-ten", 10.0,
            "Your figures are right, but the number is {times} times too large. Look at kilo, milli, % and the point.",
            "Your figures are right, but the number is {times} times too small. Look at kilo, milli, % and the point."),
    General("sign", -1.0,
            "The size is right, but the sign is not. Think which way it flows, or which value is the larger.",
            "The size is right, but the sign is not. Think which way it flows, or which value is the larger."),
    General("factor-2", 2.0,
            "Your number is exactly twice too large. Look for a 2 that you left out or put in on the wrong side.",
            "Your number is exactly half of it. Look for a 2 that you left out or put in on the wrong side."),
    General("root-2", math.sqrt(2),
            "Your number is √2 times too large. Look whether crest and effective value have changed places.",
            "Your number is √2 times too small. Look whether crest and effective value have changed places."),
    General("root-3", math.sqrt(3),
            "Your number is √3 times too large. Look whether √3 is missing in a division, or one too many is in it.",
            "Your number is √3 times too small. Look whether √3 is missing, or divides where it should multiply."),
    General("factor-60", 60.0,
            "Your number is 60 times too large. Look at minutes and seconds, or hours and minutes.",
            "Your number is 60 times too small. Look at minutes and seconds, or hours and minutes."),
    General("factor-3600", 3600.0,
            "Your number is 3600 times too large. Look at hours and seconds.",
            "Your number is 3600 times too small. Look at hours and seconds."),
    General("reciprocal", 0.0,
            "You gave one divided by the answer. Look which value belongs on top.",
            "You gave one divided by the answer. Look which value belongs on top."),
    General("one-minus", 0.0,
            "You gave the other part: your number and the answer add up to one whole.",
            "You gave the other part: your number and the answer add up to one whole."),
)  # fmt: skip

_PURE = ("reciprocal", "one-minus")
_ROOTS = ("root-2", "root-3")
_TIMES = ("factor-60", "factor-3600")
_ALTERNATING = frozenset(read_unit(text).dimension for text in ("V", "A", "W", "Wh"))
"""What a crest value or a count of lines goes into, as it is."""
_COUNTS_TIME = re.compile(r"(?<![A-Za-z])(min|[a-zA-Zµ]?[AW]?h)(?![A-Za-z])")
"""Minutes and hours in a unit's text, also those in kWh and Ah."""


def may_be_meant(asked: Unit, beside: Iterable[Unit], looked_up: bool) -> Iterator[str]:
    """Names of the general slips whose words can be true of an answer in the unit asked.

    beside: the units of the question's other numbers. Any ratio can be met by chance: √3 in a sum of money or 60
    between two resistances would only send the learner to the wrong place. What is looked up can only lose a prefix.
    """
    timed = any(_COUNTS_TIME.search(unit.text) for unit in (asked, *beside))
    out: tuple[str, ...] = () if asked.dimension == NONE and asked.kind in ("", "%") else _PURE
    out += () if asked.dimension in _ALTERNATING else _ROOTS
    out += () if timed else _TIMES
    for one in GENERAL[:1] if looked_up else GENERAL:
        if one.id not in out:
            yield one.id


GREATEST_POWER = 9
"""Powers of ten are told apart up to this one."""


def general_for_browser() -> list[list[object]]:
    """[id, ratio, high, low] for each general slip."""
    return [[one.id, one.ratio, one.high, one.low] for one in GENERAL]
