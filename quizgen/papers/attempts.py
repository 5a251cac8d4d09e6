"""Which attempt a candidate's next paper is, and whether it is time for one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from quizgen.bank.models import Plan
from quizgen.papers.issue import PaperError
from quizgen.papers.types import Standing


def next_attempt(plan: Plan, code: str, had: Sequence[Standing], today: date) -> int:
    """The number of the next attempt; attempts count anew after a pass. Raises PaperError with what to do.

    had: the candidate's papers of this plan in the order of issue.
    """
    out = [one for one in had if not one.returned and date.fromisoformat(one.valid_until) >= today]
    if out:
        raise PaperError(
            f"{code} still has paper {out[0].number}, valid until {out[0].valid_until}: mark that one first; "
            "quizgen paper page writes its page again if the file was lost"
        )
    since: list[Standing] = []
    for one in had:
        since = [] if one.passed else [*since, one]
    if since:
        again = date.fromisoformat(since[-1].issued_on) + timedelta(days=plan.wait_days)
        if again > today:
            raise PaperError(
                f"{code} may try again from {again}, {plan.wait_days} days after the last paper: use the time to work "
                "on what was missing, and record it"
            )
    if len(since) >= plan.attempts:
        raise PaperError(f"{code} has had all {plan.attempts} attempts of {plan.id}: find out together what is missing")
    return len(since) + 1
