"""A small register in a folder of its own, with cheap key derivation and a clock the tests set."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from quizgen.records import keys, ledger
from quizgen.records.add import Wanted, add
from tests.once import shipped_bank

COURSE = Path(__file__).resolve().parents[2] / "course"
PASSPHRASE = "three old wooden crates"
START = datetime(2026, 1, 12, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def course():
    return shipped_bank()


@pytest.fixture(autouse=True)
def cheap_keys(monkeypatch):
    """scrypt at its full cost takes half a second; what it does is tested against published vectors."""
    monkeypatch.setattr(keys, "COST", 2**4)
    monkeypatch.setattr(ledger, "DURABLE", "OFF")


class Shop:
    """A register, a policy, and a clock that goes on by a minute with every act."""

    def __init__(self, folder, course):
        self.folder, self.course, self.clock = folder, course, START

    def write(self, act, **pen):
        self.clock += timedelta(minutes=1)
        with ledger.writing(self.folder, PASSPHRASE, self.clock, **pen) as opened:
            return act(opened)

    def add(self, kind, code, **more):
        wanted = Wanted(kind, code, **{"by": "S. T.", "role": "senior technician", "new": True, **more})
        return self.write(lambda pen: add(pen, self.course, wanted))

    def observe(self, code, of="isolation-seen", **more):
        return self.add("observation", code, of=of, saw="van 3, all pairs", **more)

    def appoint(self, code, of="appointed-isolation", **more):
        return self.add("appointment", code, of=of, role="workshop manager", **more)


@pytest.fixture
def shop(tmp_path, course):
    ledger.start(tmp_path / "records", course.course.id, "T. R.", "trainer", PASSPHRASE, START)
    return Shop(tmp_path / "records", course)
