"""Where a person stands on each tier on a day, and why: from what was recorded, never from memory.

How long a thing counts was worked out when it was entered and stands in the entry; nothing is worked out
again when it is read, so a changed policy changes nothing that was awarded. What has run out counts for
nothing from the day after.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from quizgen.bank.models import Evidence, Tier
from quizgen.records.days import DUE_WITHIN, after_months
from quizgen.records.ledger import Recorded

CURRENT, DUE, EXPIRED, SUSPENDED, OPEN = "current", "due soon", "expired", "suspended", "not complete"
STATES = (CURRENT, DUE, EXPIRED, SUSPENDED, OPEN)

ALL_TIERS = "all"
"""A suspension of every tier."""


@dataclass(frozen=True, slots=True)
class Award:
    """A piece of evidence as it was entered. `until` is its last day."""

    evidence: str
    seq: int
    day: date
    until: date


@dataclass(frozen=True, slots=True)
class Suspension:
    """From its day on, and to its last day where it has one, the tier counts for nothing."""

    seq: int
    tier: str
    day: date
    until: date | None
    why: str


@dataclass(slots=True)
class History:
    """What counts of a person's entries: awards, and suspensions that nobody lifted."""

    awards: list[Award] = field(default_factory=list)
    suspensions: dict[int, Suspension] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Standing:
    """`state` is one of STATES; `until` the last day on which the tier is current, if it is."""

    tier: str
    state: str
    until: date | None
    why: tuple[str, ...]
    """What is missing, has run out or is about to, in words; empty where all is well."""


def awarded(evidence: Evidence, day: date) -> dict[str, str]:
    """What an entry stores when a piece of evidence is given on a day."""
    return {"evidence": evidence.id, "until": after_months(day, evidence.months).isoformat()}


def history_of(records: Iterable[Recorded]) -> History:
    """A person's entries, in order. A paper marked again counts as it was marked last; erased contents do not."""
    made = History()
    marks: dict[str, list[Award]] = {}
    for record in records:
        body = record.body
        if body is None:
            continue
        awards = [
            Award(one["evidence"], record.entry.seq, date.fromisoformat(body["day"]), date.fromisoformat(one["until"]))
            for one in body.get("awards", ())
        ]
        match record.entry.kind:
            case "mark" | "remark":
                marks[body["number"]] = awards
            case "observation" | "appointment" | "renewal":
                made.awards += awards
                made.suspensions.pop(body.get("lifts", 0), None)
            case "suspension":
                made.suspensions[record.entry.seq] = _suspension(record.entry.seq, body)
    made.awards += [award for awards in marks.values() for award in awards]
    return made


def _suspension(seq: int, body: Mapping[str, Any]) -> Suspension:
    until = date.fromisoformat(body["until"]) if body.get("until") else None
    return Suspension(seq, body["tier"], date.fromisoformat(body["day"]), until, body["why"])


def standings(
    tiers: Mapping[str, Tier], evidence: Mapping[str, Evidence], history: History, today: date
) -> dict[str, Standing]:
    """Each tier's state on a day, in the order of the policy."""
    made: dict[str, Standing] = {}
    for tier in tiers.values():
        made[tier.id] = _standing(tier, tiers, evidence, history, made, today)
    return made


def _standing(
    tier: Tier,
    tiers: Mapping[str, Tier],
    evidence: Mapping[str, Evidence],
    history: History,
    before: Mapping[str, Standing],
    today: date,
) -> Standing:
    stopped = [
        one
        for one in history.suspensions.values()
        if one.tier in (ALL_TIERS, tier.id) and one.day <= today and (one.until is None or today <= one.until)
    ]
    if stopped:
        why = tuple(f"suspended since {one.day}{_until(one.until)}: {one.why} (entry {one.seq})" for one in stopped)
        return Standing(tier.id, SUSPENDED, None, why)
    missing, gone, ends = [], [], []
    for need in tier.needs:
        last = max((a for a in history.awards if a.evidence == need and a.day <= today),
                   key=lambda award: award.until, default=None)  # fmt: skip
        title = evidence[need].title if need in evidence else need
        if last is None:
            missing.append(f"missing: {title}")
        elif last.until < today:
            gone.append(f"ran out on {last.until}: {title}")
        else:
            ends.append((last.until, title))
    for id in tier.after:
        lower = before[id]
        if lower.state in (CURRENT, DUE) and lower.until:
            ends.append((lower.until, tiers[id].title))
        elif lower.state == EXPIRED:
            gone.append(f"ran out: {tiers[id].title}")
        else:
            missing.append(f"{lower.state}: {tiers[id].title}")
    if missing:
        return Standing(tier.id, OPEN, None, (*missing, *gone))
    if gone:
        return Standing(tier.id, EXPIRED, None, tuple(gone))
    until = min(end for end, _ in ends)
    near = until - timedelta(days=DUE_WITHIN) <= today
    why = tuple(f"{title}: until {end}" for end, title in sorted(ends) if near and end == until)
    return Standing(tier.id, DUE if near else CURRENT, until, why)


def _until(day: date | None) -> str:
    return f" until {day}" if day else ""
