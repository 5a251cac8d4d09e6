"""The checks a batch of draws goes through. Every draw that fails is counted under its reason."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from quizgen.bank.models import Bank, Question, Slip, quantity_of
from quizgen.expression.evaluate import arrays
from quizgen.expression.tree import Binary, Chain, Expression, walk
from quizgen.variants.draw import Drawn, si_values
from quizgen.variants.laws import Law, laws_of, slip_values, values
from quizgen.variants.tolerance import MOST, round_asked, tolerances


@dataclass(frozen=True, slots=True)
class Plan:
    """A question with its laws resolved, ready for any number of batches."""

    bank: Bank
    question: Question
    laws: tuple[Law, ...]
    ranges: tuple[tuple[str, float, float], ...]
    """(quantity, low, high) in SI for every given and answer that has a range."""


def plan(bank: Bank, question: Question) -> Plan:
    laws = laws_of(bank, question)
    ranges = []
    for id in (*(given.id for given in question.givens), *(step.find for step in question.steps)):
        quantity = quantity_of(bank, question, id)
        if quantity.low is not None and quantity.high is not None:
            ranges.append((id, quantity.low, quantity.high))
    return Plan(bank, question, laws, tuple(ranges))


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
    back_gap: float = 0.0
    """Largest relative gap of the way back through other solved forms."""
    back_form: str = ""


def examine(plan: Plan, drawn: Drawn) -> Examined:
    """Run all vectorised checks on a batch."""
    import numpy as np

    question, size = plan.question, drawn.size
    known: dict[str, Any] = {given.id: si_values(given, drawn.indexes[given.id]) for given in question.givens}
    givens = dict(known)
    with np.errstate(all="ignore"):
        keys, words = [], []
        for law in plan.laws:
            key, word = values(law, known, size)
            keys.append(key)
            words.append(word)
            known[law.step.find] = key if word is None or not law.quantity.words else word
        units = {given.id: given.unit for given in question.givens}
        margins = tolerances(plan.laws, givens, units, keys, size)
        result = Examined(np.ones(size, dtype=bool), keys, words, margins, [], known)
        _defined(plan, result)
        _ranges(plan, result)
        _kept(plan, result)
        _edges(plan, result)
        _narrow(plan, result)
        _slips(plan, result, size)
        _repeats(plan, result, drawn)
        _way_back(plan, result)
    return result


def _reject(result: Examined, bad: Any, reason: str) -> None:
    import numpy as np

    bad = np.broadcast_to(np.asarray(bad, dtype=bool), result.good.shape)
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
    if plan.question.on_edge:
        return
    conditions: list[Expression] = list(plan.question.keep)
    conditions += [case.when for law in plan.laws for case in law.cases]
    for condition in conditions:
        for node in walk(condition):
            if isinstance(node, Chain):
                for sign, (a, b) in zip(node.signs, itertools.pairwise(node.terms), strict=True):
                    one, other = arrays(a, result.known), arrays(b, result.known)
                    if sign != "=":
                        _reject(result, abs(one - other) <= 1e-9 * abs(other), "sits on a limit")


def _narrow(plan: Plan, result: Examined) -> None:
    for law, key, margin in zip(plan.laws, result.keys, result.tolerances, strict=True):
        if law.step.within is None:
            _reject(result, margin > MOST * abs(key), f"{law.step.find}: tolerance above 2 %")
        else:
            wrong = abs(round_asked(key, law) - key) > margin * (1 + 1e-9)
            _reject(result, wrong, f"{law.step.find}: the answer, rounded as asked, is not within:")


def slip_margin(margin: Any, key: Any, slip: Any) -> Any:
    """How far from a slip's value an answer still counts as that slip: the key's tolerance, scaled."""
    import numpy as np

    share = margin * np.maximum(1.0, np.abs(slip) / np.abs(key))
    return np.minimum(share, np.abs(slip - key) / 2)


def _slips(plan: Plan, result: Examined, size: int) -> None:
    import numpy as np

    for law, key, margin in zip(plan.laws, result.keys, result.tolerances, strict=True):
        found: dict[str, Any] = {}
        named: dict[str, Slip] = {}
        for slip in law.slips:
            value = slip_values(law, slip, _before(plan, law, result), size)
            live = np.isfinite(value) & np.isfinite(key)
            if not live.any():
                result.slip_costs.setdefault(slip.id, (0, 0))
                found[slip.id] = value
                continue
            on_key = live & (np.abs(value - key) <= 2 * margin)
            hit, of = result.slip_costs.get(slip.id, (0, 0))
            result.slip_costs[slip.id] = (hit + int(on_key.sum()), of + int(live.sum()))
            _reject(result, on_key, f"slip {slip.id} falls on the key")
            found[slip.id], named[slip.id] = value, slip
        for (a, one), (b, other) in itertools.combinations(named.items(), 2):
            if one.says != other.says:
                apart = slip_margin(margin, key, found[a])
                near = np.abs(found[a] - found[b]) <= apart
                _reject(result, near, f"slips {a} and {b} fall together")
        result.slips.append(found)


def _before(plan: Plan, law: Law, result: Examined) -> Mapping[str, Any]:
    """What is known when this step is solved: givens and the keys of earlier steps."""
    later = [other.step.find for other in plan.laws[plan.laws.index(law) :]]
    return {name: value for name, value in result.known.items() if name not in later}


def _repeats(plan: Plan, result: Examined, drawn: Drawn) -> None:
    import numpy as np

    if plan.question.may_repeat or plan.question.kind == "look-up":
        return
    for law, key, margin in zip(plan.laws, result.keys, result.tolerances, strict=True):
        shown = np.abs(key / float(law.step.unit.factor))
        share = margin / np.abs(key)
        for given in plan.question.givens:
            values = result.known[given.id]
            if np.asarray(values).dtype == object:
                continue
            number = np.abs(values / float(given.unit.factor))
            ratio = np.log10(
                np.where((number > 0) & (shown > 0), shown / np.where(number > 0, number, 1), 2.0)
            )
            same = np.abs(ratio - np.round(ratio)) <= share / np.log(10)
            # A given of 1, 10, 100 … would forbid every round answer.
            decade = np.log10(np.where(number > 0, number, 2.0))
            telling = np.abs(decade - np.round(decade)) > 1e-9
            _reject(result, same & telling & (number > 0), f"the answer repeats the given {given.id}")


def _way_back(plan: Plan, result: Examined) -> None:
    """The answer put into each other solved form gives that given back, within 1e-9 of the largest term."""
    import numpy as np

    for law in plan.laws:
        for form in law.others:
            wanted = result.known[form.left]
            again = arrays(form.right, result.known)
            terms = _largest_term(form.right, result.known)
            size = np.maximum(np.abs(wanted), np.where(np.isfinite(terms), terms, 0))
            # A form that has no value where its given has one does not give it back either; 0 from 0 does.
            gap = np.where(np.isfinite(again), np.abs(again - wanted) / np.where(size > 0, size, 1), np.inf)
            gap = gap[result.good & np.isfinite(wanted)]
            if gap.size and float(gap.max()) > result.back_gap:
                result.back_gap, result.back_form = float(gap.max()), form.text


def _largest_term(tree: Expression, known: Mapping[str, Any]) -> Any:
    """The largest absolute value among the outermost sums of a tree (and the tree itself)."""
    here = abs(arrays(tree, known))
    if isinstance(tree, Binary) and tree.op in "+-":
        import numpy as np

        return np.maximum(here, np.maximum(_largest_term(tree.left, known), _largest_term(tree.right, known)))
    return here
