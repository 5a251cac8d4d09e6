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
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Executable, Select, bindparam, create_engine, event, select
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
MOST_WAITING = 1000
"""Rows that a pen keeps in memory."""


class RegisterError(Exception):
    """The register cannot be used as asked; one line that says what to do."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry with its content; None where the content was erased."""

    entry: Entry
    body: Mapping[str, Any] | None


class Pen:
    """Writes within one transaction. `now` is the moment of all its entries.

    What it adds waits and is handed over to the database together, before anybody looks and at the end: for each
    entry a statement of its own would take longer than all the rest.
    """

    def __init__(self, connection: Connection, signer: Signer, now: datetime, last: Entry | None = None) -> None:
        self.signer, self.now, self.last = signer, now, last
        """`last`: the end of the chain; nobody else can add to it before this transaction ends."""
        self._at = moment(now)
        self._database = connection
        self._waiting: list[tuple[Executable, Mapping[str, Any]]] = []
        self._handed = 0
        """How many have been handed over."""
        self._torn = False
        """A part of an operation that failed cannot be taken back alone."""

    @property
    def connection(self) -> Connection:
        """The database with everything that was added."""
        self.settle()
        return self._database

    @property
    def before(self) -> Connection:
        """The database without what still waits: for what this transaction cannot have changed."""
        return self._database

    def add(self, kind: str, person: str, body: Mapping[str, Any]) -> Entry:
        """Seal a content into the chain. Raises ValueError for content that is no plain data."""
        written = canonical(body)
        salt = os.urandom(SALT)
        last = self.last
        entry = Entry(
            (last.seq if last else 0) + 1,
            last.head if last else NO_HEAD,
            kind,
            person,
            content_digest(salt, written),
            self._at,
            self.signer.id,
        )
        entry = sealed(entry, self.signer.key)
        self.later(_ENTRY, {name: getattr(entry, name) for name in Entry.__dataclass_fields__})
        self.later(_CONTENT, {"seq": entry.seq, "salt": salt.hex(), "body": written.decode()})
        self.last = entry
        return entry

    def later(self, statement: Executable, values: Mapping[str, Any]) -> None:
        """A statement that waits with the entries. Those that are alike run together, so no two may touch one row."""
        self._waiting.append((statement, values))
        if len(self._waiting) >= MOST_WAITING:
            self.settle()

    def settle(self) -> None:
        """Hand over what waits. Raises RegisterError where an operation was kept in part."""
        if self._torn:
            raise RegisterError("an entry could not be finished: nothing of this run's last part was kept")
        alike: dict[Executable, list[Mapping[str, Any]]] = {_ENTRY: [], _CONTENT: []}  # the others name entries
        for statement, values in self._waiting:
            alike.setdefault(statement, []).append(values)
        self._handed += len(self._waiting)
        self._waiting.clear()
        for statement, rows in alike.items():
            if rows:
                self._database.execute(statement, rows)

    @contextmanager
    def whole(self) -> Iterator[None]:
        """What is added inside is kept whole or taken back; what this pen added before stays."""
        last, start = self.last, self._handed + len(self._waiting)
        try:
            yield
        except BaseException:
            # Where a part of it is in the database already, the whole transaction has to go.
            self._torn = self._handed > start
            self.last = last
            del self._waiting[max(0, start - self._handed) :]
            raise

    def person(self, code: str, name: str = "") -> str:
        """The reference of a code; a new one for a code not met before."""
        found = person_of(self._database, code)
        if found:
            return found
        ref = secrets.token_hex(12)
        self._database.execute(_NEW_PERSON, {"ref": ref, "code": code, "name": name})
        return ref


_ENTRY, _CONTENT, _NEW_PERSON = tables.entries.insert(), tables.contents.insert(), tables.people.insert()
_PERSON = select(tables.people.c.ref).where(tables.people.c.code == bindparam("of"))
"""Statements are made once: to make them anew takes longer than to run them."""


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
            pen = Pen(connection, signer, now)
            entry = _admit(pen, signer, kept, {"course": course})
            pen.settle()
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
    return pen.add("signer" if pen.last else "start", "", body)


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


Engines = dict[bool, Engine]
"""Connections of one run, by whether they write: what is opened once keeps its statements made ready."""


@contextmanager
def kept_open() -> Iterator[Engines]:
    """A place for the connections of a run of many transactions. No lock is held between two of them."""
    engines: Engines = {}
    try:
        yield engines
    finally:
        for engine in engines.values():
            engine.dispose()


@contextmanager
def reading(folder: Path, engines: Engines | None = None, older: bool = False) -> Iterator[Connection]:
    """The register as it stands, for looking only. Raises RegisterError.

    older: the tables of any version will do, for who is about to write.
    """
    with _opened(folder, False, engines) as connection:
        if tables.version_of(connection) < tables.VERSION and not older:
            raise RegisterError("this register is of an older version: any writing command brings it up to date")
        yield connection


@contextmanager
def writing(folder: Path, passphrase: str, now: datetime, by: str = "", clock_was_wrong: bool = False) -> Iterator[Pen]:
    """A pen for one transaction: everything it adds is kept at the end, or nothing.

    by: the signer's name or id; needed where there are several. Raises RegisterError, PassphraseError.
    """
    with _opened(folder, True) as connection:
        tables.migrate(connection)
        pen = _pen(connection, signer_of(connection, passphrase, by), now, clock_was_wrong)
        yield pen
        pen.settle()


@contextmanager
def signing(folder: Path, signer: Signer, now: datetime, engines: Engines | None = None) -> Iterator[Pen]:
    """`writing` with a key that is open already, for many transactions in one run. Raises RegisterError."""
    with _opened(folder, True, engines) as connection:
        tables.migrate(connection)
        pen = _pen(connection, signer, now, False)
        yield pen
        pen.settle()


def _pen(connection: Connection, signer: Signer, now: datetime, clock_was_wrong: bool) -> Pen:
    last = last_entry(connection)
    if last and moment(now) < last.at and not clock_was_wrong:
        raise RegisterError(
            f"this computer's clock says {moment(now)}, but the last entry was made at {last.at}: set the clock, "
            "or say --clock-was-wrong if the last entry carries the wrong time"
        )
    return Pen(connection, signer, now, last)


@contextmanager
def _opened(folder: Path, write: bool, engines: Engines | None = None) -> Iterator[Connection]:
    path = folder / FILE
    if not path.is_file():
        raise RegisterError(f"no register in {folder}: make one with quizgen register start, or name --records FOLDER")
    kept = {} if engines is None else engines
    if write not in kept:
        kept[write] = _engine(path, write)
    try:
        with kept[write].begin() as connection:
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
        if engines is None:
            kept[write].dispose()


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
    found = connection.execute(_PERSON, {"of": code}).scalar()
    return found or ""


def people(connection: Connection) -> dict[str, tuple[str, str]]:
    """Reference → (code, name)."""
    rows = connection.execute(select(tables.people).order_by(tables.people.c.code))
    return {row.ref: (row.code, row.name) for row in rows}


def record(connection: Connection, seq: int) -> Recorded | None:
    """One entry with its content."""
    return next(_records(connection, _ONE, {"of": seq}), None)


def recorded(connection: Connection, person: str | None = None, kind: str | Sequence[str] = ()) -> Iterator[Recorded]:
    """Entries with their contents in order; of one person, and of one kind or some, only if asked."""
    wanted = _JOINED
    if person is not None:
        wanted = wanted.where(tables.entries.c.person == person)
    if kind:
        wanted = wanted.where(tables.entries.c.kind.in_([kind] if isinstance(kind, str) else kind))
    return _records(connection, wanted.order_by(tables.entries.c.seq))


_JOINED = select(tables.entries, tables.contents.c.body).outerjoin(
    tables.contents, tables.contents.c.seq == tables.entries.c.seq
)
_ONE = _JOINED.where(tables.entries.c.seq == bindparam("of"))


def _records(
    connection: Connection, wanted: Select[Any], values: Mapping[str, Any] | None = None
) -> Iterator[Recorded]:
    for *fields, body in connection.execute(wanted, values):
        yield Recorded(Entry(*fields), None if body is None else json.loads(body))
