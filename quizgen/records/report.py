"""What the register says on a day, as plain data: the one source of the lists, the board and the export."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection

from quizgen.bank.models import Bank
from quizgen.records.ledger import Recorded, last_entry, people, recorded
from quizgen.records.standing import CURRENT, DUE, Standing, history_of, standings

NOTE = (
    "This register records evidence. It authorises nobody. Who may do which work is for national law, local rules "
    "and the employer's written appointment."
)
"""Stands on every output."""

Data = dict[str, Any]


def report(connection: Connection, bank: Bank, today: date) -> Data:
    """Every person with every tier: {"checked_on", "head", "note", "people": [{"code", "name", "tiers": […]}]}."""
    by_person: dict[str, list[Recorded]] = {}
    for record in recorded(connection):
        if record.entry.person:
            by_person.setdefault(record.entry.person, []).append(record)
    persons = [
        {"code": code, "name": name, "tiers": _tiers(bank, by_person.get(ref, []), today)}
        for ref, (code, name) in people(connection).items()
    ]
    return {**_head(connection, today), "people": persons}


def _head(connection: Connection, today: date) -> Data:
    last = last_entry(connection)
    return {
        "checked_on": today.isoformat(),
        "entries": last.seq if last else 0,
        "head": last.head if last else "",
        "note": NOTE,
    }


def _tiers(bank: Bank, records: list[Recorded], today: date) -> list[Data]:
    found = standings(bank.tiers, bank.evidence, history_of(records), today)
    return [_tier(bank, standing) for standing in found.values()]


def _tier(bank: Bank, standing: Standing) -> Data:
    tier = bank.tiers[standing.tier]
    return {
        "tier": tier.id,
        "code": tier.code,
        "title": tier.title,
        "state": standing.state,
        "until": standing.until.isoformat() if standing.until else None,
        "why": list(standing.why),
    }


def person(connection: Connection, bank: Bank, ref: str, today: date) -> Data:
    """One person with tiers and every entry, erased contents as null."""
    code, name = people(connection)[ref]
    records = list(recorded(connection, ref))
    kept = [
        {"entry": r.entry.seq, "kind": r.entry.kind, "at": r.entry.at, "signer": r.entry.signer,
         "content": None if r.body is None else dict(r.body)}
        for r in records
    ]  # fmt: skip
    return {
        **_head(connection, today), "code": code, "name": name,
        "tiers": _tiers(bank, records, today), "records": kept,
    }  # fmt: skip


def due(data: Data, within: int) -> list[Data]:
    """Tiers that run out within so many days or have run out, soonest first."""
    last = (date.fromisoformat(data["checked_on"]) + timedelta(days=within)).isoformat()
    found = []
    for one in data["people"]:
        for tier in one["tiers"]:
            ends = tier["until"] if tier["state"] in (CURRENT, DUE) else None
            if (ends and ends <= last) or tier["state"] == "expired":
                found.append({"person": one["code"], "name": one["name"], **tier})
    return sorted(found, key=lambda tier: (tier["until"] or "", tier["code"], tier["person"]))
