"""Replaying the chain: every entry against the one before it, its signature, its content, and the side tables."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field

from sqlalchemy import Connection, select

from quizgen.records import tables
from quizgen.records.seal import NO_HEAD, Entry, content_digest, head_of, is_signed


@dataclass(frozen=True, slots=True)
class Break:
    """Something that does not hold. `seq` is the entry, 0 where it is about the whole."""

    seq: int
    says: str


@dataclass(slots=True)
class _Replay:
    """What is known after the entries read so far."""

    head: str = NO_HEAD
    at: str = ""
    keys: dict[str, bytes] = field(default_factory=dict)
    erased: dict[int, int] = field(default_factory=dict)
    """Content of entry → the entry that says it was erased."""
    gone: list[int] = field(default_factory=list)
    heads: set[str] = field(default_factory=set)
    papers: dict[str, list[int | None]] = field(default_factory=dict)
    """Number → entries of issue, return and last mark."""


def verify(connection: Connection, head: str = "") -> list[Break]:
    """Every break of the chain, in order; `head`: one that was printed, to be found again."""
    replay = _Replay()
    found = list(_chain(connection, replay))
    found += [
        Break(seq, "its content is missing, and no entry says that it was erased")
        for seq in replay.gone
        if seq not in replay.erased
    ]
    found += _side_tables(connection, replay)
    found += [Break(0, f"the database finds its own file wrong: {said}") for said in tables.faults(connection)]
    if head and head.lower() not in replay.heads:
        found.append(Break(0, "the printed head is not in this file: it is older than the print, or another register"))
    return sorted(found, key=lambda one: one.seq)


def _chain(connection: Connection, replay: _Replay) -> Iterator[Break]:
    expected = 1
    held = {row.seq: (row.salt, row.body) for row in connection.execute(select(tables.contents))}
    for row in connection.execute(select(tables.entries).order_by(tables.entries.c.seq)):
        entry = Entry(**row._mapping)
        if entry.seq != expected:
            missing = f"{expected}" if entry.seq == expected + 1 else f"{expected} to {entry.seq - 1}"
            yield Break(entry.seq, f"entry {missing} before it is missing")
        if entry.prev != replay.head:
            yield Break(entry.seq, "it does not follow the entry before it: one of them was changed, moved or replaced")
        if head_of(entry) != entry.head:
            yield Break(entry.seq, "its fields were changed after it was sealed")
        if entry.at < replay.at:
            yield Break(entry.seq, f"time runs backwards: {entry.at} after {replay.at}")
        yield from _content(entry, held.pop(entry.seq, None), replay)
        if entry.signer not in replay.keys:
            yield Break(entry.seq, "its signer was never entered here")
        elif not is_signed(entry, replay.keys[entry.signer]):
            yield Break(entry.seq, "the signature is not its signer's")
        replay.head, replay.at, expected = entry.head, max(entry.at, replay.at), entry.seq + 1
        replay.heads.add(entry.head)
    for seq in held:
        yield Break(seq, "a content without an entry")
    if expected == 1:
        yield Break(0, "there is no entry at all")


def _content(entry: Entry, held: tuple[str, str] | None, replay: _Replay) -> Iterator[Break]:
    if held is None:
        replay.gone.append(entry.seq)
        return
    try:
        salt = bytes.fromhex(held[0])
        body = json.loads(held[1])
        if content_digest(salt, held[1].encode()) != entry.digest or not isinstance(body, dict):
            raise ValueError
    except (ValueError, RecursionError):
        yield Break(entry.seq, f"the content of this {entry.kind} was changed")
        return
    if entry.kind in ("start", "signer"):
        if entry.kind == "start" and entry.seq != 1:
            yield Break(entry.seq, "a second start")
        try:
            replay.keys[body["signer"]] = bytes.fromhex(body["public"])
        except (KeyError, ValueError, TypeError):
            yield Break(entry.seq, "it names no key")
    if entry.kind == "erase":
        replay.erased |= {seq: entry.seq for seq in body.get("entries", ()) if isinstance(seq, int)}
    if entry.kind in ("issue", "return", "mark", "remark"):
        yield from _paper(entry, body.get("number"), replay)


def _paper(entry: Entry, number: object, replay: _Replay) -> Iterator[Break]:
    """A paper is issued, then returned, then marked, each once; marking again is an entry of its own kind."""
    if not isinstance(number, str):
        yield Break(entry.seq, f"this {entry.kind} names no paper")
        return
    places = replay.papers.setdefault(number, [None, None, None])
    place = {"issue": 0, "return": 1, "mark": 2, "remark": 2}[entry.kind]
    if entry.kind != "remark" and places[place] is not None:
        yield Break(entry.seq, f"a second {entry.kind} of paper {number}")
    if place and places[place - 1 if entry.kind != "remark" else 2] is None:
        before = {"return": "issue", "mark": "return", "remark": "mark"}[entry.kind]
        yield Break(entry.seq, f"a {entry.kind} of paper {number} without its {before}")
    places[place] = entry.seq


def _side_tables(connection: Connection, replay: _Replay) -> Iterator[Break]:
    kept = {row.number: [row.issued, row.returned, row.marked] for row in connection.execute(select(tables.papers))}
    numbered = {number: places for number, places in kept.items() if not any(p in replay.gone for p in places)}
    for number, places in numbered.items():
        if places != replay.papers.get(number):
            yield Break(places[0] or 0, f"the list of papers says something else about {number} than the chain")
    for number in replay.papers.keys() - kept.keys():
        yield Break(replay.papers[number][0] or 0, f"paper {number} is missing in the list of papers")
    for row in connection.execute(select(tables.signers)):
        if row.id not in replay.keys:
            yield Break(0, f"signer {row.id} stands in the list, but no entry admits them")
    known = {row.ref for row in connection.execute(select(tables.people))}
    named = {row.person: row.seq for row in connection.execute(select(tables.entries.c.person, tables.entries.c.seq))}
    for person, seq in named.items():
        if person and person not in known and seq not in replay.erased:
            yield Break(seq, "the person it is about is missing in the list of people")
