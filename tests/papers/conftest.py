"""The course's own plans, issued into a register of its own, with a day and a source of chance the tests set."""

import hashlib
from datetime import date
from pathlib import Path

import pytest

from quizgen import cli
from quizgen.cache import Cache
from quizgen.commands import paper_issue, paper_mark
from quizgen.papers.issue import Maker
from quizgen.records import keys, ledger
from tests.once import shipped_bank

COURSE = Path(__file__).resolve().parents[2] / "course"
DAY = date(2026, 11, 25)


def chance(label):
    """A stream of bytes that only looks random: the same in every run."""
    count = 0

    def random(size):
        nonlocal count
        made = b""
        while len(made) < size:
            made += hashlib.sha256(f"{label} {count}".encode()).digest()
            count += 1
        return made[:size]

    return random


@pytest.fixture(scope="session")
def bank():
    return shipped_bank()


@pytest.fixture(scope="session")
def store(tmp_path_factory):
    return Cache(tmp_path_factory.mktemp("kept"))


@pytest.fixture(scope="session")
def maker(bank, store):
    return Maker(bank, bank.plans["safety-gate"], store)


class Desk:
    """quizgen at a trainer's desk: commands in a folder of their own."""

    def __init__(self, folder, capsys):
        self.folder, self.capsys = folder, capsys

    def __call__(self, *words):
        """Exit code, what was printed, and what was complained."""
        code = cli.main([*words, "--course", str(COURSE), "--records", "records"])
        out = self.capsys.readouterr()
        return code, out.out, out.err


@pytest.fixture(scope="session")
def makers(bank, store):
    """The course read and its plans made ready once; what the commands do with them is theirs."""
    made = {}
    return lambda bank, plan, _: made.setdefault(plan.id, Maker(bank, plan, store))


@pytest.fixture
def desk(tmp_path, monkeypatch, capsys, bank, store, makers):
    monkeypatch.setattr(paper_issue, "open_course", lambda named: (bank, store))
    monkeypatch.setattr(paper_issue, "Maker", makers)
    monkeypatch.setattr(paper_mark, "load_bank", lambda folder: bank)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(keys, "COST", 2**4)
    monkeypatch.setattr(ledger, "DURABLE", "OFF")
    monkeypatch.setattr(paper_issue, "today", lambda: DAY)
    monkeypatch.setattr(paper_issue, "random", chance("desk"))
    monkeypatch.setenv("QUIZGEN_PASSPHRASE", "three old wooden crates")
    made = Desk(tmp_path, capsys)
    assert made("register", "start", "--name", "T", "--role", "trainer")[0] == 0
    return made
