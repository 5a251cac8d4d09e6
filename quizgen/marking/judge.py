"""The judgement of one typed answer, in a fixed order; the first that fits is the verdict.

    blank, unreadable, two ways, unit, unit missing    cannot be judged: costs nothing
    right                                              within the tolerance of the key
    rounded too far                                    right, but with fewer figures than asked: costs nothing
    followed through                                   right for the learner's own earlier, wrong value
    slip                                               a written slip (the nearest one)
    rounded too far                                    the same where zeros hold the place of figures: 560 for 556
    general                                            a general slip, if exactly one fits
    wrong                                              anything else

All values are coherent SI. `web/script/judge.js` does the same on the same data.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from quizgen.expression.program import Program, run
from quizgen.expression.reading import Unreadable, read
from quizgen.expression.units import STANDARD, UnitList
from quizgen.expression.writing import Rounding, last_place
from quizgen.variants.compile import Compiled
from quizgen.variants.general import GENERAL, GREATEST_POWER

EDGE = 1 + 1e-9
"""Limits are inclusive in decimal; binary noise must not refuse them."""

SLIP_SHARE = 0.02
"""Share of its own value that rounding on the way may move a slip smaller than the key: no more than it may a key."""

ZERO_CELSIUS = 273.15
"""0 °C in kelvins. Source: BIPM, The International System of Units (SI brochure), 9th edition, 2.3.1."""

FREE = frozenset(("blank", "unreadable", "two ways", "unit", "unit missing", "rounded too far"))
"""Verdicts that cost no attempt."""


@dataclass(frozen=True, slots=True)
class Verdict:
    kind: str
    slip: str = ""
    says: str = ""
    value: float | None = None
    """What was read, in SI."""


def judge(
    step: Compiled, answer: Compiled, slips: Mapping[str, float], typed: str,
    keys: Mapping[str, Any], own: Mapping[str, Any], units: UnitList = STANDARD,
) -> Verdict:  # fmt: skip
    """Judge a typed answer to one step of a variant.

    step, answer: of the compiled question; slips: the variant's slip values for a table step;
    keys: SI values of givens and of earlier keys; own: the same with the learner's earlier answers.
    """
    if "word" in answer or step["words"]:
        return Verdict("right" if typed == answer["shown"] else "wrong")
    got = read(typed, units)
    if isinstance(got, Unreadable):
        kind = {"blank": "blank", "two ways": "two ways"}.get(got.why, "unreadable")
        return Verdict(kind, says=got.says)
    if got.unit is not None and " ".join(map(str, got.unit.dimension)) != step["dimension"]:
        return Verdict("unit", says=got.unit.text)
    factor = float(got.unit.factor) if got.unit is not None else step["factor"]
    value, key, tolerance = got.number * factor, answer["key"], answer["tolerance"]
    if got.unit is not None and step["unit"] == "°C" and got.unit.kind != "°C":
        # Kelvins typed for a Celsius temperature count from absolute zero.
        value -= ZERO_CELSIUS
    if got.unit is None and step["unit_asked"] and step["dimension"].strip("0 "):
        return Verdict("unit missing", value=value)
    if abs(value - key) <= tolerance * EDGE:
        return Verdict("right", value=value)
    if _rounded_too_far(step, got.last * factor, value, key):
        return Verdict("rounded too far", value=value)
    if _followed(step, value, key, tolerance, keys, own):
        return Verdict("followed through", value=value)
    found = _slip(step, slips, value, key, tolerance, keys)
    if found:
        return Verdict("slip", found["id"], found["says"], value)
    held = got.last * factor * 10 ** _zeros(got.digits)
    if held <= abs(key) and _rounded_too_far(step, held, value, key):  # 1000 for 556 is no rounding any more
        return Verdict("rounded too far", value=value)
    general = _general(step["general"], value, key, tolerance)
    if general:
        return Verdict("general", *general, value)
    return Verdict("wrong", value=value)


def _zeros(digits: str) -> int:
    """How many zeros at the end of a whole number may only hold its place, as in 560 for 556."""
    return 0 if "." in digits else len(digits) - len(digits.rstrip("0"))


def _rounded_too_far(step: Compiled, written: float, value: float, key: float) -> bool:
    """Fewer figures than asked, and the key rounded to those figures is what was typed.

    written: what one unit of the last figure typed is worth, in SI.
    """
    asked = last_place(key / step["factor"], Rounding(**step["rounding"])) * step["factor"]
    return value != 0 and written > asked * EDGE and abs(value - key) <= written / 2 * EDGE


def _followed(
    step: Compiled, value: float, key: float, tolerance: float, keys: Mapping[str, Any], own: Mapping[str, Any]
) -> bool:
    if step["key"] is None or all(own.get(name) == keys[name] for name in keys):
        return False
    mine = key_value(step["key"], own)
    if not isinstance(mine, float) or not math.isfinite(mine) or abs(mine - key) <= tolerance:
        return False
    between = step["between"]
    if between and not between[0] <= mine <= between[1]:
        return False
    return abs(value - mine) <= tolerance * max(1.0, abs(mine) / abs(key)) * EDGE


def key_value(key: Program | list[dict[str, Any]], known: Mapping[str, Any]) -> float | str:
    """The value that a step's key program gives for known SI values; nan where it gives none."""
    if not key or not isinstance(key[0], dict):
        return run(cast(Program, key), known)
    for case in key:
        if run(case["when"], known):
            return str(case["word"]) if "word" in case else run(case["then"], known)
    return math.nan


def slip_value(slip: Compiled, kept: Mapping[str, float], known: Mapping[str, Any]) -> float:
    """What a written slip gives in SI; nan where it gives nothing."""
    if slip["id"] in kept:
        return kept[slip["id"]]
    if "when" in slip and not run(slip["when"], known):
        return math.nan
    for form in slip.get("forms", ()):
        value = run(form, known) if _all_known(form, known) else math.nan
        if math.isfinite(value):
            return value
    return math.nan


def _all_known(form: Program, known: Mapping[str, Any]) -> bool:
    from quizgen.expression.program import OPERATIONS

    return all(not isinstance(item, str) or item in OPERATIONS or item in known for item in form)


def _slip(
    step: Compiled, kept: Mapping[str, float], value: float, key: float, tolerance: float, keys: Mapping[str, Any]
) -> Compiled | None:
    """The written slip nearest to the answer, if the answer lies within its margin."""
    best, nearest = None, math.inf
    for slip in step["slips"]:
        wrong = slip_value(slip, kept, keys)
        if not math.isfinite(wrong):
            continue
        distance = abs(value - wrong)
        place = last_place(wrong / step["factor"], Rounding(**step["rounding"])) * step["factor"]
        if distance <= slip_margin(wrong, key, tolerance, place) * EDGE and distance < nearest:
            best, nearest = slip, distance
    return best


def slip_margin(wrong: float, key: float, tolerance: float, place: float = 0.0) -> float:
    """The key's tolerance scaled to the slip's value, never beyond half the way to the key.

    place: the last place of the slip's value, written as asked. Half of it counts at least: a slip of 10.49 beside a
    key of 8.35 is typed as 10.5 by a learner who gives three figures.
    A slip smaller than the key keeps the key's tolerance, but no more than SLIP_SHARE of its own value: beside a key of
    146 a slip of 0.007 would otherwise claim every answer up to half a unit, also the key with a kilo lost.
    """
    scaled = tolerance * abs(wrong) / abs(key) if key else tolerance
    return min(max(scaled, min(tolerance, SLIP_SHARE * abs(wrong)), place / 2), abs(wrong - key) / 2)


def _general(enabled: Sequence[str], value: float, key: float, tolerance: float) -> tuple[str, str] | None:
    """(id, words) of the one general slip that fits; None if none or several fit."""
    if not key or not value:
        return None
    fitting: list[tuple[str, str]] = []
    share = tolerance / abs(key) * EDGE
    for one in GENERAL:
        if one.id not in enabled:
            continue
        says = one.high if abs(value) > abs(key) else one.low
        if one.id == "power-of-ten":
            ratio = value / key
            power = round(math.log10(ratio)) if ratio > 0 else 0
            if power and abs(power) <= GREATEST_POWER and abs(ratio / 10.0**power - 1) <= share:
                times = f"{10 ** abs(power):,}".replace(",", "\u202f") if abs(power) > 3 else str(10 ** abs(power))
                fitting.append((one.id, says.replace("{times}", times)))
        elif _fits(one.id, one.ratio, value, key, share):
            fitting.append((one.id, says))
    return fitting[0] if len(fitting) == 1 else None


def _fits(id: str, ratio: float, value: float, key: float, share: float) -> bool:
    if id == "reciprocal":
        return abs(value * key - 1) <= share and abs(value - key) > 0
    if id == "one-minus":
        return abs(value - (1 - key)) <= share * abs(key)
    if id == "sign":
        return abs(value / key + 1) <= share
    return abs(value / key / ratio - 1) <= share or abs(value / key * ratio - 1) <= share
