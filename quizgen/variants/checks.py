"""The checks a batch of draws goes through. Every draw that fails is counted under its reason."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from quizgen.bank.models import Bank, Question, quantity_of
from quizgen.expression.evaluate import arrays, arrays_of
from quizgen.expression.tree import Chain, Expression, walk
from quizgen.variants.draw import Drawn, count_of, si_values
from quizgen.variants.laws import Law, laws_of, slip_values, values
from quizgen.variants.tolerance import MOST, Routes, round_asked, routes_of, tolerances

_LN10 = 2.302585092994046


@dataclass(frozen=True, slots=True)
class Plan:
    """A question with its laws resolved, ready for any number of batches."""

    bank: Bank
    question: Question
    laws: tuple[Law, ...]
    ranges: tuple[tuple[str, float, float], ...]
    """(quantity, low, high) in SI for every answer that has a range; givens were held to theirs when read."""
    routes: Routes
    """How learners round on the way, found once from the laws and the printed units."""
    values: Mapping[str, Any]
    """For each given an array of all its values in SI, by index."""
    decades: Mapping[str, Any]
    """For each given of numbers the logarithms of all its values as printed; nan for 0 and for 1, 10, 100 …"""


def plan(bank: Bank, question: Question) -> Plan:
    import numpy as np

    laws = laws_of(bank, question)
    ranges = []
    for id in (step.find for step in question.steps):
        quantity = quantity_of(bank, question, id)
        if quantity.low is not None and quantity.high is not None:
            ranges.append((id, quantity.low, quantity.high))
    routes = routes_of(laws, {given.id: given.unit for given in question.givens})
    values = {given.id: si_values(given, np.arange(count_of(given))) for given in question.givens}
    decades = {
        given.id: _decades(values[given.id] / float(given.unit.factor))
        for given in question.givens
        if values[given.id].dtype != object
    }
    # A given that can never tell a repeated answer, like a fixed 1, is not asked.
    decades = {id: decade for id, decade in decades.items() if not np.isnan(decade).all()}
    return Plan(bank, question, laws, tuple(ranges), routes, values, decades)


def _decades(printed: Any) -> Any:
    """Logarithms that can tell a repeated given: one of 1, 10, 100 … would forbid every round answer."""
    import numpy as np

    with np.errstate(all="ignore"):
        decade = np.log10(np.abs(printed))
        telling = np.isfinite(decade) & (np.abs(decade - np.rint(decade)) > 1e-9)
    return np.where(telling, decade, np.nan)


@dataclass(slots=True)
class Examined:
    """A batch after the checks. Arrays have the batch's length; lists have one entry per step."""

    good: Any
    keys: list[Any]
    words: list[Any]
    tolerances: list[Any]
    slips: list[dict[str, Any]]
    known: dict[str, Any]
    rejected: dict[str, int] = field(default_factory=dict)
    slip_costs: dict[str, tuple[int, int]] = field(default_factory=dict)
    """Slip → (draws in which it falls on the key, draws in which it gives a value)."""


def examine(plan: Plan, drawn: Drawn) -> Examined:
    """Run all vectorised checks on a batch."""
    import numpy as np

    size = drawn.size
    known: dict[str, Any] = {id: plan.values[id].take(at) for id, at in drawn.indexes.items()}
    givens = dict(known)
    with np.errstate(all="ignore"):
        keys, words = [], []
        for law in plan.laws:
            key, word = values(law, known, size)
            keys.append(key)
            words.append(word)
            known[law.step.find] = key if word is None or not law.quantity.words else word
        margins = tolerances(plan.laws, plan.routes, givens, keys, size)
        result = Examined(np.ones(size, dtype=bool), keys, words, margins, [], known)
        _defined(plan, result)
        _ranges(plan, result)
        _kept(plan, result)
        _edges(plan, result)
        _narrow(plan, result)
        _slips(plan, result, size)
        _repeats(plan, result, drawn)
    return result


def _reject(result: Examined, bad: Any, reason: str) -> None:
    """Take the bad draws out and count those that no reason before this one has taken.

    `bad`: booleans of the batch's length, or one NumPy boolean for all.
    """
    import numpy as np

    if not np.count_nonzero(bad):  # this runs for every reason of every batch, and np.any costs three times as much
        return
    fresh = int((bad & result.good).sum())
    if fresh:
        result.rejected[reason] = result.rejected.get(reason, 0) + fresh
        result.good &= ~bad


def _is_word(words: Any) -> Any:
    return words != "" if words is not None else False


def _defined(plan: Plan, result: Examined) -> None:
    import numpy as np

    for law, key, word in zip(plan.laws, result.keys, result.words, strict=True):
        numeric = np.isfinite(key)
        if plan.question.kind == "look-up":
            _reject(result, ~(numeric | _is_word(word)), f"{law.step.find} has no value")
        else:
            _reject(result, ~numeric, f"{law.step.find} has no value")


def _ranges(plan: Plan, result: Examined) -> None:
    import numpy as np

    for id, low, high in plan.ranges:
        value = np.asarray(result.known[id])
        if value.dtype == object:
            continue
        slack = 1e-12 * max(abs(low), abs(high))
        outside = (value < low - slack) | (value > high + slack)
        _reject(result, outside, f"{id} leaves its range")


def _kept(plan: Plan, result: Examined) -> None:
    for index, condition in enumerate(plan.question.keep):
        number = f" ({index + 1})" if len(plan.question.keep) > 1 else ""
        _reject(result, ~arrays(condition, result.known), f"keep{number} does not hold")


def _edges(plan: Plan, result: Examined) -> None:
    import numpy as np

    if plan.question.on_edge:
        return
    conditions: list[Expression] = list(plan.question.keep)
    conditions += [case.when for law in plan.laws for case in law.cases]
    for condition in conditions:
        for node in walk(condition):
            if isinstance(node, Chain):
                terms = arrays_of(node.terms, result.known)
                for sign, (one, other) in zip(node.signs, itertools.pairwise(terms), strict=True):
                    if sign != "=":
                        # The function, not the sign: two plain numbers would give a plain bool.
                        _reject(result, np.less_equal(abs(one - other), 1e-9 * abs(other)), "sits on a limit")


def _narrow(plan: Plan, result: Examined) -> None:
    for law, key, margin in zip(plan.laws, result.keys, result.tolerances, strict=True):
        if law.step.within is None:
            _reject(result, margin > MOST * abs(key), f"{law.step.find}: tolerance above 2 %")
        else:
            wrong = abs(round_asked(key, law) - key) > margin * (1 + 1e-9)
            _reject(result, wrong, f"{law.step.find}: the answer, rounded as asked, is not within:")


def _slips(plan: Plan, result: Examined, size: int) -> None:
    """No written slip within two tolerances of the key, and no two with different words together."""
    import numpy as np

    known = {given.id: result.known[given.id] for given in plan.question.givens}
    for law, key, margin in zip(plan.laws, result.keys, result.tolerances, strict=True):
        found = slip_values(law, known, size)
        result.slips.append(found)
        known[law.step.find] = result.known[law.step.find]
        if not found:
            continue
        # One row a slip; a slip that gives nothing is nan, and nan is near to nothing.
        wrong = np.array(tuple(found.values()))
        apart = np.abs(wrong - key)
        on_key = apart <= 2 * margin
        live, hits = _by_row(np.isfinite(apart)), _by_row(on_key)
        for slip, hit, of, row in zip(law.slips, hits, live, on_key, strict=True):
            before = result.slip_costs.get(slip.id, (0, 0))
            result.slip_costs[slip.id] = (before[0] + hit, before[1] + of)
            if hit:
                _reject(result, row, f"slip {slip.id} falls on the key")
        _together(law, result, wrong, _slip_margins(margin, key, wrong, apart))


def _by_row(marks: Any) -> list[int]:
    """How many of each row are true; all and none, which are frequent, come cheaper."""
    import numpy as np

    rows, size = marks.shape
    count = int(np.count_nonzero(marks))
    if count in (0, marks.size):
        return [size if count else 0] * rows
    return marks.sum(axis=1).tolist()  # type: ignore[no-any-return]


def _slip_margins(margin: Any, key: Any, wrong: Any, apart: Any) -> Any:
    """How far from a slip's value an answer with any figures counts as that slip: see `marking.judge.slip_margin`.

    A rounded answer may lie half of its own last place away as well. There the nearest slip speaks. A slip far below
    the key keeps the whole tolerance here, more than marking grants it: two slips are kept apart on the safe side.
    """
    import numpy as np

    return np.minimum(margin * np.maximum(1.0, np.abs(wrong) / np.abs(key)), apart / 2)


def _together(law: Law, result: Examined, wrong: Any, margins: Any) -> None:
    """`wrong`, `margins`: one row a slip. All pairs at once; only pairs that meet somewhere are named."""
    import numpy as np

    if len(law.slips) < 2:
        return
    near = np.abs(wrong - wrong[:, None]) <= margins[:, None]
    met = near.any(axis=2).tolist()
    for first, second in itertools.combinations(range(len(law.slips)), 2):
        slip, other = law.slips[first], law.slips[second]
        if met[first][second] and slip.says != other.says:
            _reject(result, near[first, second], f"slips {slip.id} and {other.id} fall together")


def _repeats(plan: Plan, result: Examined, drawn: Drawn) -> None:
    """No printed given, nor a power of ten of it, is the answer."""
    import numpy as np

    if plan.question.may_repeat or plan.question.kind == "look-up":
        return
    ids = tuple(plan.decades)
    if not ids:
        return
    decades = np.empty((len(ids), drawn.size))
    for row, id in zip(decades, ids, strict=True):
        plan.decades[id].take(drawn.indexes[id], out=row, mode="clip")
    for law, key, margin in zip(plan.laws, result.keys, result.tolerances, strict=True):
        ratio = np.log10(np.abs(key / law.factor)) - decades
        near = np.abs(ratio - np.rint(ratio)) <= margin / np.abs(key) / _LN10
        if np.count_nonzero(near):
            for id, row in zip(ids, near, strict=True):
                _reject(result, row, f"the answer repeats the given {id}")
