"""The whole chain, with every fault a suspect: how long the best order of tests takes."""

from __future__ import annotations

from typing import Any

from quizgen.cache import Cache, content_key
from quizgen.tracing.compile import program, readings, workshop
from quizgen.tracing.data import Tracing
from quizgen.tracing.order import INFINITE, Order, State

Whole = dict[str, Any]


def whole_chain(tracing: Tracing | None, store: Cache) -> Whole:
    """`suspects`, `minutes` on average and at `worst` in the best order, and its `first` action; kept in the cache.

    Minutes are None where tests leave suspects of different parts. Empty where a course has no tracing.
    """
    if tracing is None:
        return {}
    key = content_key("whole chain", program(), repr(tracing))
    kept: Whole | None = store.get(key)
    if kept is None:
        kept = solved(tracing)
        store.put(key, kept)
    return kept


def solved(tracing: Tracing) -> Whole:
    """The same, worked out."""
    order = Order(workshop(tracing, readings(tracing)))
    root = State(order.everyone)
    best, made = order.minutes(root), {"suspects": len(tracing.faults)}
    if best == INFINITE:
        return made | {"minutes": None, "worst": None, "first": ""}
    return made | {"minutes": float(best), "worst": float(order.longest(root)), "first": order.best(root)}
