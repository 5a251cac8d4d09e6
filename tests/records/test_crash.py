"""The writing process ends at any point: nothing is lost or doubled, the chain holds, the same command finishes."""

import os
import shutil
import sqlite3
from collections import Counter
from contextlib import suppress
from datetime import timedelta

import pytest
from sqlalchemy import event

from quizgen.papers.types import Issue, Mark, Sheet, Void
from quizgen.records import ledger
from quizgen.records.add import Wanted, add, erase
from quizgen.records.ledger import RegisterError
from quizgen.records.signed import SignedStore
from quizgen.records.store import Doubled, StoreError
from quizgen.records.verify import verify
from tests.records.conftest import PASSPHRASE, START

POINTS = 200
LATER = START + timedelta(hours=1)
KINDS = {"start": 1, "observation": 5, "issue": 4, "return": 3, "mark": 3, "void": 1, "remark": 3, "erase": 1}
"""What the work leaves in the chain, however often it was stopped and begun again."""


def paper(number, code):
    return Issue(number, "safety-gate", code, 1, "2026-01-12", "2026-02-12", "charging-chain", "Gate", 60, False, (),
                 1, 2, 12, "EUR", "", {}, "", ())  # fmt: skip


def mark(number, code, marks=1):
    return Mark(number, "safety-gate", code, "2026-01-12", marks, 2, 1, (), True, ())


def work(folder, course):
    """A morning at the register. Each step may have been done before; then it says so and changes nothing."""
    store = SignedStore(folder, lambda: PASSPHRASE, lambda: LATER, evidence=course.evidence)
    with ledger.reading(folder) as connection:
        gone = any(True for _ in ledger.recorded(connection, kind="erase"))
    seen = [(f"A-{person}", of) for person in range(2) for of in ("isolation-seen", "rescue-course")]
    for code, of in [*seen, *([] if gone else [("A-9", "isolation-seen")])]:
        wanted = Wanted("observation", code, "S", "senior technician", of=of, saw="all of it", new=True)
        with suppress(RegisterError), ledger.writing(folder, PASSPHRASE, LATER) as pen:
            add(pen, course, wanted)
    with suppress(Doubled):
        store.issue([paper(f"P{n}", f"A-{n}") for n in range(4)])
    for n in range(3):
        with suppress(Doubled):
            store.return_and_mark(Sheet(f"P{n}", f"A-{n}", (("1",),), "CODE"), b"{}", mark(f"P{n}", f"A-{n}"))
    with suppress(Doubled):
        store.void(Void("safety-gate", "q", "two right", "2026-01-12",
                        tuple(mark(f"P{n}", f"A-{n}", 2) for n in range(3))))  # fmt: skip
    with suppress(RegisterError), ledger.writing(folder, PASSPHRASE, LATER) as pen:
        erase(pen, "A-9", "left")


def stopping_at(point):
    """Number every statement, before and after, and every end of a transaction; end the process at one of them."""
    passed = 0
    made = ledger._engine

    def pass_by(*_, **__):
        nonlocal passed
        passed += 1
        if passed == point:
            os._exit(9)

    def engine(*args, **more):
        built = made(*args, **more)
        for name in ("before_cursor_execute", "after_cursor_execute", "commit"):
            event.listen(built, name, pass_by)
        return built

    ledger._engine = engine


def kinds(folder):
    with ledger.reading(folder) as connection:
        assert verify(connection) == []
        return Counter(record.entry.kind for record in ledger.recorded(connection))


@pytest.fixture(scope="module")
def begun(tmp_path_factory, course):
    """A register that was only started."""
    from quizgen.records import keys

    folder = tmp_path_factory.mktemp("begun") / "records"
    cost, keys.COST = keys.COST, 2**4
    ledger.start(folder, course.course.id, "T. R.", "trainer", PASSPHRASE, START)
    keys.COST = cost
    return folder


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process is ended here by forking one")
@pytest.mark.parametrize("first", range(1, POINTS + 1, 25))
def test_a_process_that_ends_anywhere_loses_and_doubles_nothing(begun, course, tmp_path, first):
    for point in range(first, first + 25):
        folder = tmp_path / str(point)
        shutil.copytree(begun, folder)
        child = os.fork()
        if not child:
            stopping_at(point)
            work(folder, course)
            os._exit(0)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9, "every numbered point is reached"
        half = kinds(folder)
        assert all(count <= KINDS[kind] for kind, count in half.items())
        assert half["return"] == half["mark"], "a paper is returned and marked together"
        assert half["remark"] in (0, 3) and half["issue"] in (0, 4)
        work(folder, course)
        assert kinds(folder) == KINDS


def test_two_writers_at_once_wait_or_are_told(shop):
    other = sqlite3.connect(shop.folder / ledger.FILE, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    shorter, ledger.PATIENCE = ledger.PATIENCE, 0.1
    try:
        with pytest.raises(RegisterError, match="another program is writing"):
            shop.observe("A-07")
    finally:
        ledger.PATIENCE = shorter
        other.close()
    shop.observe("A-07")
    assert kinds(shop.folder) == {"start": 1, "observation": 1}


def test_readers_see_the_register_as_it_was_while_somebody_writes(shop):
    with ledger.writing(shop.folder, PASSPHRASE, LATER) as pen:
        pen.add("observation", "", {"day": "2026-01-12"})
        assert kinds(shop.folder) == {"start": 1}
    assert kinds(shop.folder) == {"start": 1, "observation": 1}


def test_a_full_disk_keeps_what_was_there_and_says_so(shop, monkeypatch):
    shop.observe("A-07")
    made = ledger._engine

    def small(*args, **more):
        engine = made(*args, **more)
        event.listen(engine, "connect", lambda raw, _: raw.execute(f"PRAGMA max_page_count = {pages(raw)}"))
        return engine

    def pages(raw):
        return raw.execute("PRAGMA page_count").fetchone()[0]

    monkeypatch.setattr(ledger, "_engine", small)
    with pytest.raises(RegisterError, match="the disk is full: nothing was kept"):
        shop.observe("A-08", note="x" * 400, on="2026-01-11")
        for n in range(40):
            shop.observe(f"A-{n + 10}", note="x" * 400)
    monkeypatch.undo()
    with ledger.reading(shop.folder) as connection:
        assert verify(connection) == []


def test_an_act_that_fails_halfway_keeps_nothing(shop):
    with pytest.raises(ZeroDivisionError):
        shop.write(lambda pen: (pen.add("observation", pen.person("A-07"), {"day": "2026-01-12"}), 1 / 0))
    assert kinds(shop.folder) == {"start": 1}
    with ledger.reading(shop.folder) as connection:
        assert ledger.people(connection) == {}


def test_a_register_is_started_once(shop, course):
    with pytest.raises(RegisterError, match="is there already"):
        ledger.start(shop.folder, course.course.id, "X", "trainer", PASSPHRASE, LATER)
    assert sorted(path.name for path in shop.folder.iterdir()) == [ledger.FILE]


def test_a_wrong_passphrase_writes_nothing(shop, course):
    store = SignedStore(shop.folder, lambda: "not the passphrase", lambda: LATER)
    with pytest.raises(Exception, match="does not open"):
        store.issue([paper("P1", "A-1")])
    assert kinds(shop.folder) == {"start": 1}


def test_the_store_gives_back_what_it_was_given(shop, course):
    store = SignedStore(shop.folder, lambda: PASSPHRASE, lambda: LATER, evidence=course.evidence)
    store.issue([paper("P1", "A-1"), paper("P2", "A-2")])
    sheet = Sheet("P1", "A-1", (("18,3",), ("a c",)), "CODE")
    store.return_and_mark(sheet, b"raw", mark("P1", "A-1"))
    assert store.issue_of("P1") == paper("P1", "A-1") and store.issue_of("P9") is None
    assert store.sheet_of("P1") == sheet and store.sheet_of("P2") is None
    assert store.marks_of("P1") == (mark("P1", "A-1"),)
    assert [(one.number, one.code, one.returned, one.passed) for one in store.papers("safety-gate")] == [
        ("P1", "A-1", True, True), ("P2", "A-2", False, None),
    ]  # fmt: skip
    assert store.papers(code="a-2")[0].number == "P2"
    with pytest.raises(StoreError, match="never issued"):
        store.return_and_mark(Sheet("P7", "A-1", (), ""), b"", mark("P7", "A-1"))


def test_a_pass_gives_its_evidence_an_end_from_the_months_of_the_paper(shop, course):
    store = SignedStore(shop.folder, lambda: PASSPHRASE, lambda: LATER, evidence=course.evidence)
    store.issue([paper("P1", "A-1")])
    store.return_and_mark(Sheet("P1", "A-1", (), ""), b"", mark("P1", "A-1"))
    with ledger.reading(shop.folder) as connection:
        body = next(record.body for record in ledger.recorded(connection, kind="mark"))
    assert body["awards"] == [{"evidence": "gate-paper", "until": "2027-01-12"}]
