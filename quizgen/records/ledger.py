"""The store: one SQLite file that is only ever added to, one writer at a time, all or nothing.

Nothing here knows what a paper or an observation is; `pen.add` seals any content into the chain within
the transaction that also keeps its side tables. The database is reached through SQLAlchemy Core, so that
another one can take SQLite's place.
"""

from __future__ import annotations

import json
import os
import secrets
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Select, create_engine, event, select
from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError

from quizgen.records import keys, tables
from quizgen.records.days import moment
from quizgen.records.keys import PassphraseError, Signer
from quizgen.records.seal import NO_HEAD, SALT, Entry, canonical, content_digest, sealed

FILE = "register.sqlite"
PATIENCE = 5.0
"""Seconds to wait for another writer."""
DURABLE = "FULL"
"""An entry is on the disk before a command says so. Tests need not wait for the disk."""


class RegisterError(Exception):
    """The register cannot be used as asked; one line that says what to do."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry with its content; None where the content was erased."""

    entry: Entry
    body: Mapping[str, Any] | None


@dataclass(slots=True)
class Pen:
    """Writes within one transaction. `now` is the moment of all its entries."""

    connection: Connection
    signer: Signer
    now: datetime
    added: list[Entry] = field(default_factory=list)

    def add(self, kind: str, person: str, body: Mapping[str, Any]) -> Entry:
        """Seal a content into the chain. Raises ValueError for content that is no plain data."""
        written = canonical(body)
        salt = os.urandom(SALT)
        last = last_entry(self.connection)
        entry = Entry(
            (last.seq if last else 0) + 1,
            last.head if last else NO_HEAD,
            kind,
            person,
            content_digest(salt, written),
            moment(self.now),
            self.signer.id,
        )
        entry = sealed(entry, self.signer.key)
        self.connection.execute(tables.entries.insert().values(**_columns(entry)))
        self.connection.execute(
            tables.contents.insert().values(seq=entry.seq, salt=salt.hex(), body=written.decode())
        )
        self.added.append(entry)
        return entry

    def person(self, code: str, name: str = "") -> str:
        """The reference of a code; a new one for a code not met before."""
        found = person_of(self.connection, code)
        if found:
            return found
        ref = secrets.token_hex(12)
        self.connection.execute(tables.people.insert().values(ref=ref, code=code, name=name))
        return ref


def _columns(entry: Entry) -> dict[str, Any]:
    return {name: getattr(entry, name) for name in Entry.__dataclass_fields__}


# -- opening --------------------------------------------------------------------------------------------


def start(folder: Path, course: str, name: str, role: str, passphrase: str, now: datetime) -> Entry:
    """Make a register with its first signer. Raises RegisterError where there is one, PassphraseError."""
    path = folder / FILE
    key = keys.new_key()
    kept = keys.locked(key, passphrase)
    folder.mkdir(parents=True, exist_ok=True)
    if path.exists():
        raise RegisterError(f"{path.name} is there already: name another folder with --records")
    building = folder / f".{FILE}.{secrets.token_hex(4)}"
    engine = _engine(building, write=True)
    try:
        with engine.begin() as connection:
            tables.create(connection)
            signer = Signer(keys.signer_id(keys.public_bytes(key)), name, role, key)
            entry = _admit(Pen(connection, signer, now), signer, kept, {"course": course})
        engine.dispose()
        os.link(building, path)  # fails where another process was first; a rename would take its place
    except FileExistsError:
        raise RegisterError(f"{path.name} is there already: name another folder with --records") from None
    finally:
        engine.dispose()
        building.unlink(missing_ok=True)
    return entry


def _admit(pen: Pen, signer: Signer, kept: str, more: Mapping[str, Any]) -> Entry:
    """Enter a signer: the public key goes into the chain, so that nobody can slip another one in."""
    public = keys.public_bytes(signer.key).hex()
    body = {"signer": signer.id, "name": signer.name, "role": signer.role, "public": public, **more}
    pen.connection.execute(
        tables.signers.insert().values(id=signer.id, name=signer.name, role=signer.role, locked=kept)
    )
    return pen.add("signer" if last_entry(pen.connection) else "start", "", body)


def admit(pen: Pen, name: str, role: str, passphrase: str) -> Entry:
    """Add another signer with a passphrase of their own, vouched for by the one who writes."""
    key = keys.new_key()
    kept = keys.locked(key, passphrase)
    return _admit(pen, Signer(keys.signer_id(keys.public_bytes(key)), name, role, key), kept, {})


def _engine(path: Path, write: bool) -> Engine:
    def connect() -> sqlite3.Connection:
        if write:
            made = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)
        else:
            # Not mode=ro: after a power cut in the middle of a commit, the first to look has to take the half back.
            way = "rw" if os.access(path, os.W_OK) and os.access(path.parent, os.W_OK) else "ro"
            made = sqlite3.connect(f"{path.resolve().as_uri()}?mode={way}", uri=True, timeout=PATIENCE)
            made.isolation_level = None
            made.execute("PRAGMA query_only = ON")
        # The file must be whole after a power cut, and a network folder cannot share a write-ahead log.
        made.execute(f"PRAGMA synchronous = {DURABLE}")
        made.execute("PRAGMA foreign_keys = ON")
        made.execute("PRAGMA trusted_schema = OFF")
        made.execute("PRAGMA secure_delete = ON")  # what is erased is overwritten in the file
        return made

    engine = create_engine("sqlite://", creator=connect)
    # One writer from the first statement on, not from the first change.
    event.listen(engine, "begin", lambda c: c.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN"))
    return engine


@contextmanager
def reading(folder: Path) -> Iterator[Connection]:
    """The register as it stands, for looking only. Raises RegisterError."""
    with _opened(folder, write=False) as connection:
        if tables.version_of(connection) < tables.VERSION:
            raise RegisterError("this register is of an older version: any writing command brings it up to date")
        yield connection


@contextmanager
def writing(folder: Path, passphrase: str, now: datetime, by: str = "", clock_was_wrong: bool = False) -> Iterator[Pen]:
    """A pen for one transaction: everything it adds is kept at the end, or nothing.

    by: the signer's name or id; needed where there are several. Raises RegisterError, PassphraseError.
    """
    with _opened(folder, write=True) as connection:
        tables.migrate(connection)
        yield _pen(connection, signer_of(connection, passphrase, by), now, clock_was_wrong)


@contextmanager
def signing(folder: Path, signer: Signer, now: datetime) -> Iterator[Pen]:
    """`writing` with a key that is open already, for many transactions in one run. Raises RegisterError."""
    with _opened(folder, write=True) as connection:
        tables.migrate(connection)
        yield _pen(connection, signer, now, False)


def _pen(connection: Connection, signer: Signer, now: datetime, clock_was_wrong: bool) -> Pen:
    last = last_entry(connection)
    if last and moment(now) < last.at and not clock_was_wrong:
        raise RegisterError(
            f"this computer's clock says {moment(now)}, but the last entry was made at {last.at}: set the clock, "
            "or say --clock-was-wrong if the last entry carries the wrong time"
        )
    return Pen(connection, signer, now)


@contextmanager
def _opened(folder: Path, write: bool) -> Iterator[Connection]:
    path = folder / FILE
    if not path.is_file():
        raise RegisterError(f"no register in {folder}: make one with quizgen register start, or name --records FOLDER")
    engine = _engine(path, write)
    try:
        with engine.begin() as connection:
            yield connection
    except IntegrityError as error:
        raise RegisterError(f"the register refuses this as a double: {error.orig}") from None
    except OperationalError as error:
        raise RegisterError(_trouble(str(error.orig))) from None
    except tables.SchemaError as error:
        raise RegisterError(str(error)) from None
    except DatabaseError as error:
        raise RegisterError(f"{path.name} cannot be read ({error.orig}): keep the file, and take the backup") from None
    finally:
        engine.dispose()


def _trouble(said: str) -> str:
    if "locked" in said or "busy" in said:
        return "another program is writing to this register: wait until it is done, then do the same again"
    if "full" in said:
        return "the disk is full: nothing was kept; make room, then do the same again"
    if "readonly" in said or "unable to open" in said:
        return f"the register's folder cannot be written ({said}): check its rights"
    return f"the register could not be used ({said}): nothing was kept"


def signer_of(connection: Connection, passphrase: str, by: str) -> Signer:
    """Open a signer's key. Raises RegisterError, PassphraseError."""
    rows = connection.execute(select(tables.signers).order_by(tables.signers.c.id)).all()
    found = [row for row in rows if not by or by in (row.id, row.name)]
    if not found:
        raise RegisterError(f"no signer {by!r} here: {', '.join(row.name for row in rows) or 'there is none'}")
    if by and len(found) > 1:
        raise RegisterError(f"several signers are called {by}: name the id, one of {', '.join(r.id for r in found)}")
    for row in found:  # with no name given, the passphrase tells who it is
        try:
            return Signer(row.id, row.name, row.role, keys.unlocked(row.locked, row.id, passphrase))
        except PassphraseError as error:
            trouble = error
    raise trouble


def change_passphrase(pen: Pen, passphrase: str) -> None:
    """Lock the writer's key under another passphrase. The key stays, so old entries stay valid."""
    kept = keys.locked(pen.signer.key, passphrase)
    pen.connection.execute(tables.signers.update().where(tables.signers.c.id == pen.signer.id).values(locked=kept))


# -- looking --------------------------------------------------------------------------------------------


def last_entry(connection: Connection) -> Entry | None:
    row = connection.execute(select(tables.entries).order_by(tables.entries.c.seq.desc()).limit(1)).first()
    return Entry(**row._mapping) if row else None


def person_of(connection: Connection, code: str) -> str:
    """The reference of a code, or ""."""
    found = connection.execute(select(tables.people.c.ref).where(tables.people.c.code == code)).scalar()
    return found or ""


def people(connection: Connection) -> dict[str, tuple[str, str]]:
    """Reference → (code, name)."""
    rows = connection.execute(select(tables.people).order_by(tables.people.c.code))
    return {row.ref: (row.code, row.name) for row in rows}


def record(connection: Connection, seq: int) -> Recorded | None:
    """One entry with its content."""
    return next(_records(connection, _JOINED.where(tables.entries.c.seq == seq)), None)


def recorded(connection: Connection, person: str | None = None, kind: str | None = None) -> Iterator[Recorded]:
    """Entries with their contents in order; of one person or one kind only if asked."""
    wanted = _JOINED
    if person is not None:
        wanted = wanted.where(tables.entries.c.person == person)
    if kind is not None:
        wanted = wanted.where(tables.entries.c.kind == kind)
    return _records(connection, wanted)


_JOINED = select(tables.entries, tables.contents.c.body).outerjoin(
    tables.contents, tables.contents.c.seq == tables.entries.c.seq
)


def _records(connection: Connection, wanted: Select[Any]) -> Iterator[Recorded]:
    for row in connection.execute(wanted.order_by(tables.entries.c.seq)):
        fields = dict(row._mapping)
        body = fields.pop("body")
        yield Recorded(Entry(**fields), None if body is None else json.loads(body))
