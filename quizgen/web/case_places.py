"""Where the tests and parts of a course stand on its chain, and what a healthy van shows."""

from __future__ import annotations

from quizgen.bank.models import Chain
from quizgen.tracing import Tracing, readings
from quizgen.web.case_html import Places


def places_of(chain: Chain | None, tracing: Tracing) -> Places:
    table = readings(tracing)
    whole = next((at for at, id in enumerate(table.faults) if not tracing.faults[id].change), None)
    healthy = {} if whole is None else {id: list(rows[whole]) for id, rows in table.classes.items()}
    return Places(chain, {test.id: test.stage for test in tracing.tests.values()}, tracing.places, healthy)
