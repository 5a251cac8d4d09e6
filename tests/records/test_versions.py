"""A register of each version of the tables opens, verifies and can be written to by today's program."""

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from quizgen.records import ledger, tables
from quizgen.records.add import Wanted, add
from quizgen.records.verify import verify

FIXTURES = Path(__file__).parent / "fixtures"
KEPT = sorted(FIXTURES.glob("register-*.sqlite"))
ABOUT = json.loads((FIXTURES / "registers.json").read_text(encoding="utf-8"))
"""For each fixture what it is opened with and what was in it when it was made."""
LATER = datetime(2030, 1, 7, 9, 0, tzinfo=UTC)


@pytest.fixture(params=KEPT, ids=lambda path: path.stem)
def register(request, tmp_path):
    """A copy of the fixture in a folder of its own, and what is known of it."""
    shutil.copy(request.param, tmp_path / ledger.FILE)
    return tmp_path, ABOUT[request.param.stem]


def test_there_is_a_register_of_every_version_up_to_today_s():
    assert [path.stem for path in KEPT] == [f"register-{version}" for version in range(1, tables.VERSION + 1)]
    assert ABOUT.keys() == {path.stem for path in KEPT}


def observe(course, folder, passphrase):
    wanted = Wanted("observation", "A-07", by="S. T.", role="senior technician", of="isolation-seen", saw="van 3")
    with ledger.writing(folder, passphrase, LATER) as pen:
        return add(pen, course, wanted)


def test_it_can_be_written_to_and_then_every_entry_still_holds(register, course):
    folder, known = register
    entry = observe(course, folder, known["passphrase"])
    assert entry.seq == known["entries"] + 1 and entry.prev == known["head"]
    with ledger.reading(folder) as connection:
        assert tables.version_of(connection) == tables.VERSION
        assert verify(connection, known["head"]) == []
        kinds = [record.entry.kind for record in ledger.recorded(connection)]
    assert kinds == [*known["kinds"], "observation"]


def test_a_wrong_passphrase_writes_nothing(register, course):
    folder, known = register
    before = (folder / ledger.FILE).read_bytes()
    with pytest.raises(ledger.keys.PassphraseError):
        observe(course, folder, known["passphrase"] + "x")
    assert (folder / ledger.FILE).read_bytes() == before


def test_a_change_of_one_sign_in_it_is_found(register, course):
    folder, known = register
    observe(course, folder, known["passphrase"])
    with ledger.reading(folder) as connection:
        body = ledger.record(connection, 2).body
    assert body
    raw = (folder / ledger.FILE).read_bytes()
    saw = body["saw"].encode()
    assert raw.count(saw) >= 1
    (folder / ledger.FILE).write_bytes(raw.replace(saw, saw[:-1] + b"X"))
    with ledger.reading(folder) as connection:
        assert any(one.seq == 2 for one in verify(connection))


def test_today_s_version_is_read_without_a_change(register):
    folder, known = register
    if known["version"] != tables.VERSION:
        with pytest.raises(ledger.RegisterError, match="older version"), ledger.reading(folder):
            pass
        return
    before = (folder / ledger.FILE).read_bytes()
    with ledger.reading(folder) as connection:
        assert verify(connection) == []
    assert (folder / ledger.FILE).read_bytes() == before
