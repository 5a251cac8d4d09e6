"""Solving fault tracing cold: the whole chain from its root, and all cases with every state that play can reach."""

from __future__ import annotations

from pathlib import Path

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.tracing import compile_tracing, read_tracing
from quizgen.tracing.whole import solved
from tests.bench.row import Row, alternating

COURSE = Path(__file__).parents[2] / "course"
SECONDS = 15.0
"""Limit for either."""


def rows() -> list[Row]:
    tracing, faults = read_tracing(load_bank(COURSE))
    assert tracing is not None and not faults
    whole, cases = alternating(lambda: solved(tracing), lambda: compile_tracing(tracing, Cache(None)))
    return [
        Row(
            "the whole chain solved cold ÷ 15 s", whole / SECONDS, 1.0, f"{len(tracing.faults)} suspects, {whole:.2f} s"
        ),
        Row("all cases solved cold ÷ 15 s", cases / SECONDS, 1.0, f"{len(tracing.cases)} cases, {cases:.2f} s"),
    ]
