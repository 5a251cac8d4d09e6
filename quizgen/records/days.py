"""Days and months of the register. A day is a calendar day of the machine that keeps the register."""

from __future__ import annotations

import calendar
from datetime import UTC, date, datetime

DUE_WITHIN = 60
"""Days before the end from which a thing counts as due."""


def after_months(day: date, months: int) -> date:
    """The same day so many months later; the last day of the month where it has no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def moment(now: datetime) -> str:
    """A point in time as entries carry it. `now` knows its zone."""
    return now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def day_of(now: datetime) -> date:
    """The calendar day on the machine's own clock."""
    return now.astimezone().date()
