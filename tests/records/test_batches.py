"""Several operations in one transaction; looking up costs the same in a register of any size."""

import json
import os
import shutil
import sqlite3

import pytest

from quizgen.papers.types import Refusal, Sheet
from quizgen.records import ledger, signed, tables
from quizgen.records.signed import SignedStore, opened
from quizgen.records.store import Doubled
from quizgen.records.verify import verify
from tests.records.conftest import PASSPHRASE
from tests.records.test_crash import LATER, begun, kinds, mark, paper, stopping_at  # noqa: F401
from tests.records.test_versions import ABOUT, FIXTURES
from tests.records.test_versions import LATER as MUCH_LATER

PAPERS = [f"P{n}" for n in range(6)]


def store(folder):
    return SignedStore(folder, lambda: PASSPHRASE, lambda: LATER)


def give_back(kept, number):
    kept.return_and_mark(Sheet(number, "A-1", (("1",),), "CODE"), b"{}", mark(number, "A-1"))


def work(folder):
    """Two batches of three papers, with a refusal in the first."""
    with ledger.kept_open() as engines:
        kept = SignedStore(folder, lambda: PASSPHRASE, lambda: LATER, engines=engines)
        for at in (0, 3):
            with kept.batch(PAPERS[at : at + 3]):
                for number in PAPERS[at : at + 3]:
                    if not kept.is_returned(number):
                        give_back(kept, number)
                if not at and not kept.refusals():
                    kept.refuse(Refusal("P1", "twice", "2026-01-12T10:00:00Z", "0" * 64, b"{}"))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process is ended here by forking one")
def test_a_process_that_ends_in_a_batch_leaves_whole_batches_in_order(begun, tmp_path):  # noqa: F811
    issued = tmp_path / "issued"
    shutil.copytree(begun, issued)
    store(issued).issue([paper(number, "A-1") for number in PAPERS])
    reached, left = 0, []
    for point in range(1, 200):
        folder = tmp_path / str(point)
        shutil.copytree(issued, folder)
        child = os.fork()
        if not child:
            stopping_at(point)
            work(folder)
            os._exit(0)
        ended = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        half = kinds(folder)
        left.append((half["return"], half["mark"], half["refusal"]))
        work(folder)
        assert kinds(folder) == {"start": 1, "issue": 6, "return": 6, "mark": 6, "refusal": 1}
        if not ended:
            break
        reached += 1
    assert set(left) == {(0, 0, 0), (3, 3, 1), (6, 6, 1)} and left == sorted(left)
    assert 20 <= reached < 198


def test_an_operation_that_fails_in_a_batch_takes_back_only_itself(shop, monkeypatch):
    kept = store(shop.folder)
    kept.issue([paper(number, "A-1") for number in PAPERS[:3]])
    with kept.batch():
        give_back(kept, "P0")
        with pytest.raises(Doubled):
            give_back(kept, "P0")
        with monkeypatch.context() as broken:
            broken.setattr(signed, "_marked", lambda *_: {"mark": 0.5})  # found out after the return was sealed
            with pytest.raises(ValueError, match="floating"):
                give_back(kept, "P1")
        give_back(kept, "P2")
    assert kinds(shop.folder) == {"start": 1, "issue": 3, "return": 2, "mark": 2}
    assert kept.marks_of("P1") == () and kept.marks_of("P2") == (mark("P2", "A-1"),)


def test_a_batch_sees_what_it_wrote(shop):
    kept = store(shop.folder)
    with kept.batch(["P0"]):
        assert kept.issue_of("P0") is None
        kept.issue([paper("P0", "A-1")])
        assert kept.issue_of("P0") == paper("P0", "A-1") and not kept.is_returned("P0")
        give_back(kept, "P0")
        assert kept.is_returned("P0") and kept.marks_of("P0") == (mark("P0", "A-1"),)
    assert [one.passed for one in kept.papers()] == [True]


def test_an_operation_that_is_half_in_the_database_keeps_the_whole_batch_out(shop, monkeypatch):
    kept = store(shop.folder)
    kept.issue([paper("P0", "A-1")])
    monkeypatch.setattr(ledger, "MOST_WAITING", 1)
    monkeypatch.setattr(signed, "_marked", lambda *_: {"mark": 0.5})
    with pytest.raises(ledger.RegisterError, match="could not be finished"), kept.batch():
        with pytest.raises(ValueError, match="floating"):
            give_back(kept, "P0")
    assert kinds(shop.folder) == {"start": 1, "issue": 1}


@pytest.mark.parametrize("more", [0, 3000])
def test_papers_persons_and_kinds_are_found_by_index_in_a_register_of_any_size(shop, more):
    shop.write(lambda pen: [pen.add("observation", f"{n:024x}", {"day": "2026-01-12"}) for n in range(more)])
    asked = []
    with ledger.reading(shop.folder) as connection:
        database = connection.connection.driver_connection
        database.set_trace_callback(asked.append)
        signed._look_up(connection, ["P0"])
        list(ledger.recorded(connection, "x", ("mark", "remark")))
        list(ledger.recorded(connection, kind="void"))
        ledger.record(connection, 1)
        ledger.last_entry(connection)
        database.set_trace_callback(None)
        steps = [row[3] for one in asked for row in database.execute(f"EXPLAIN QUERY PLAN {one}")]
    assert len(asked) == 5
    assert any("entries_of_person (person=? AND kind=?)" in step for step in steps)
    assert any("entries_of_kind (kind=?)" in step for step in steps)
    assert [step for step in steps if step.startswith("SCAN")] == ["SCAN entries"]  # the last entry, from the end


def test_an_index_that_leaves_out_a_row_is_named(shop):
    shop.observe("A-07")
    assert kinds(shop.folder) == {"start": 1, "observation": 1}
    raw = sqlite3.connect(shop.folder / ledger.FILE, isolation_level=None)
    raw.execute("PRAGMA writable_schema = ON")
    raw.execute("UPDATE sqlite_master SET sql = sql || ' WHERE kind <> ''observation''' WHERE name = 'entries_of_kind'")
    raw.close()
    with ledger.reading(shop.folder) as connection:
        assert any("finds its own file wrong" in one.says for one in verify(connection))


def test_a_paper_command_brings_an_older_register_up_to_date(tmp_path):
    shutil.copy(FIXTURES / "register-1.sqlite", tmp_path / ledger.FILE)
    passphrase = ABOUT["register-1"]["passphrase"]
    with (
        pytest.raises(Exception, match="older version"),
        opened(tmp_path, lambda: passphrase, lambda: MUCH_LATER, writes=False),
    ):
        pass
    with opened(tmp_path, lambda: passphrase, lambda: MUCH_LATER) as kept:
        assert kept.papers() == ()
    with ledger.reading(tmp_path) as connection:
        assert tables.version_of(connection) == tables.VERSION
        assert verify(connection, ABOUT["register-1"]["head"]) == []
        assert json.dumps(ledger.last_entry(connection).head) == json.dumps(ABOUT["register-1"]["head"])
