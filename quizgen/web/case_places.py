"""Where the tests and parts of a course stand on its chain, and what a healthy van shows."""

from __future__ import annotations

from collections.abc import Mapping

from quizgen.bank.models import Chain
from quizgen.tracing import Tracing
from quizgen.web.case_html import Places


def places_of(chain: Chain | None, tracing: Tracing, healthy: Mapping[str, list[str]]) -> Places:
    """`healthy`: the readings of each test on a van with nothing wrong, as `compile_tracing` gives them."""
    return Places(chain, {test.id: test.stage for test in tracing.tests.values()}, tracing.places, healthy)
