"""One measured row, and how runs are alternated."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

RUNS = 7


@dataclass(frozen=True, slots=True)
class Row:
    """`ratio` is measured ÷ what it is measured against (or ÷ the limit); it holds up to `goal`."""

    name: str
    ratio: float
    goal: float
    detail: str = ""


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def alternating(*works: Callable[[], object], runs: int = RUNS) -> list[float]:
    """Median seconds of each work, run in turn so that a busy machine is unfair to all alike."""
    measured: list[list[float]] = [[] for _ in works]
    for _ in range(runs):
        for times, work in zip(measured, works, strict=True):
            times.append(seconds(work))
    return [statistics.median(times) for times in measured]
