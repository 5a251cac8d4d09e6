"""The tables of the store, and how an older store becomes today's.

People stand apart from the chain: entries name a random reference, and only `people` leads from there to
a code. Contents stand apart from their entries: erasing one leaves the chain whole.
"""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Column, Connection, ForeignKey, Index, Integer, MetaData, String, Table, Text, select

VERSION = 2

METADATA = MetaData()

about = Table("about", METADATA, Column("key", String, primary_key=True), Column("value", Text, nullable=False))

people = Table(
    "people", METADATA,
    Column("ref", String, primary_key=True),
    Column("code", String, nullable=False, unique=True),
    Column("name", String, nullable=False, default=""),
)  # fmt: skip

signers = Table(
    "signers", METADATA,
    Column("id", String, primary_key=True),
    Column("name", String, nullable=False),
    Column("role", String, nullable=False),
    Column("locked", Text, nullable=False),
)  # fmt: skip

entries = Table(
    "entries", METADATA,
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("prev", String, nullable=False, unique=True),
    Column("kind", String, nullable=False),
    Column("person", String, nullable=False),
    Column("digest", String, nullable=False),
    Column("at", String, nullable=False),
    Column("signer", String, nullable=False),
    Column("head", String, nullable=False, unique=True),
    Column("signature", String, nullable=False),
)  # fmt: skip
OF_PERSON = Index("entries_of_person", entries.c.person, entries.c.kind, entries.c.seq)
OF_KIND = Index("entries_of_kind", entries.c.kind, entries.c.seq)
"""So that looking up one paper, or what is void, costs the same in a register of any size."""

contents = Table(
    "contents", METADATA,
    Column("seq", Integer, ForeignKey("entries.seq"), primary_key=True, autoincrement=False),
    Column("salt", String, nullable=False),
    Column("body", Text, nullable=False),
)  # fmt: skip

papers = Table(
    "papers", METADATA,
    Column("number", String, primary_key=True),
    Column("issued", Integer, ForeignKey("entries.seq"), nullable=False),
    Column("returned", Integer, ForeignKey("entries.seq"), unique=True),
    Column("marked", Integer, ForeignKey("entries.seq")),
)  # fmt: skip
"""Where each paper stands; a paper is returned once. Everything in it can be found again from the chain."""


class SchemaError(Exception):
    """The file is no register this version can read; the text says what to do."""


def _find_by_person_and_kind(connection: Connection) -> None:
    """1 to 2."""
    OF_PERSON.create(connection)
    OF_KIND.create(connection)


MIGRATIONS: dict[int, Callable[[Connection], None]] = {1: _find_by_person_and_kind}
"""From a version to the next one. Entries are never touched: their bytes are signed."""


def create(connection: Connection) -> None:
    METADATA.create_all(connection)
    connection.execute(about.insert().values(key="schema", value=str(VERSION)))


def faults(connection: Connection) -> list[str]:
    """What the database itself finds wrong with its file: an index that leaves out a row would hide an entry."""
    found = connection.exec_driver_sql("PRAGMA integrity_check(10)").scalars().all()
    return [one for one in found if one != "ok"]


def version_of(connection: Connection) -> int:
    found = connection.execute(select(about.c.value).where(about.c.key == "schema")).scalar()
    if found is None or not found.isdigit():
        raise SchemaError("this file says nothing about its version: it is no register, or it is damaged")
    if int(found) > VERSION:
        raise SchemaError(f"this register was written by a newer quizgen (version {found}): use that one")
    return int(found)


def migrate(connection: Connection) -> int:
    """Bring the store to today's version within the running transaction; gives the version it had."""
    had = version_of(connection)
    for step in range(had, VERSION):
        MIGRATIONS[step](connection)
    if had < VERSION:
        connection.execute(about.update().where(about.c.key == "schema").values(value=str(VERSION)))
    return had
