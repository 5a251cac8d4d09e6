"""Mark sheets are written by a second process where there is one, and by the first one whatever becomes of it."""

from __future__ import annotations

import os
import signal
import threading
from pathlib import Path

import pytest

from quizgen import ahead
from quizgen.ahead import Ahead
from quizgen.commands import mark_sheets
from quizgen.commands.mark_sheets import Behind, write_sheets

wait = Ahead.wait
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="one process does it all here")


@pytest.fixture(autouse=True)
def two_cores(monkeypatch):
    """Sheets say who made them: the process. One is enough to begin one."""
    monkeypatch.setattr(mark_sheets, "TOGETHER", 1)
    monkeypatch.setattr(ahead, "cores", lambda: 2)
    monkeypatch.setattr(threading, "active_count", lambda: 1)  # the test runner has threads of its own
    monkeypatch.setattr(mark_sheets, "marksheet_html", lambda issue, mark: f"{issue} {mark} {os.getpid()}")


def sheets(folder: Path, *names: str):
    return [(folder / f"{name}.html", name, "passed") for name in names]


def made_by(folder: Path) -> dict[str, int]:
    return {path.stem: int(path.read_text(encoding="utf-8").split()[-1]) for path in sorted(folder.iterdir())}


def test_each_batch_is_written_by_another_process_and_all_of_it_at_the_end(tmp_path):
    behind = Behind()
    behind.take(sheets(tmp_path, "a", "b"))
    behind.take(sheets(tmp_path, "c"))
    behind.settle()
    made = made_by(tmp_path)
    assert [*made] == ["a", "b", "c"] and os.getpid() not in made.values()
    assert made["a"] == made["b"] != made["c"]


def test_a_few_wait_until_it_is_worth_a_process(tmp_path, monkeypatch):
    monkeypatch.setattr(mark_sheets, "TOGETHER", 3)
    behind = Behind()
    behind.take(sheets(tmp_path, "a", "b"))
    assert made_by(tmp_path) == {}
    behind.take(sheets(tmp_path, "c", "d"))
    behind.settle()
    made = made_by(tmp_path)
    assert [*made] == ["a", "b", "c", "d"] and {os.getpid()}.isdisjoint(made.values()) and len({*made.values()}) == 1


def test_the_last_few_are_written_here_while_the_second_process_ends(tmp_path, monkeypatch):
    monkeypatch.setattr(mark_sheets, "TOGETHER", 3)
    monkeypatch.setattr(Ahead, "wait", lambda other, jobs: (tmp_path / "d.html").is_file() and wait(other, jobs))
    behind = Behind()
    behind.take(sheets(tmp_path, "a", "b", "c"))
    behind.take(sheets(tmp_path, "d", "e"))
    behind.settle()
    made = made_by(tmp_path)
    assert [*made] == ["a", "b", "c", "d", "e"]
    assert made["d"] == made["e"] == os.getpid() not in (made["a"], made["b"], made["c"])


def test_with_one_core_they_are_written_at_once(tmp_path, monkeypatch):
    monkeypatch.setattr(ahead, "cores", lambda: 1)
    Behind().take(sheets(tmp_path, "a", "b"))
    assert made_by(tmp_path) == {"a": os.getpid(), "b": os.getpid()}


def test_what_a_second_process_that_was_killed_left_is_written_by_the_first(tmp_path, monkeypatch):
    first = os.getpid()

    def killed(issue, mark):
        if issue == "b" and os.getpid() != first:
            os.kill(os.getpid(), signal.SIGKILL)
        return f"{issue} {mark} {os.getpid()}"

    monkeypatch.setattr(mark_sheets, "marksheet_html", killed)
    behind = Behind()
    behind.take(sheets(tmp_path, "a", "b", "c"))
    behind.settle()
    made = {path.stem: path for path in tmp_path.glob("*.html") if not path.name.startswith(".")}
    assert sorted(made) == ["a", "b", "c"]
    assert made["c"].read_text(encoding="utf-8").endswith(str(first))


def test_a_sheet_that_cannot_be_written_is_told_with_the_next_batch_or_at_the_end(tmp_path):
    (tmp_path / "b.html").mkdir()
    behind = Behind()
    behind.take(sheets(tmp_path, "a", "b"))
    with pytest.raises(OSError, match=r"b\.html"):
        behind.settle()
    behind.take(sheets(tmp_path, "b"))
    with pytest.raises(OSError, match=r"b\.html"):
        behind.take(sheets(tmp_path, "c"))
    behind.settle()
    assert (tmp_path / "a.html").is_file()


def test_nothing_half_written_stays_where_a_sheet_could_not_take_its_place(tmp_path):
    (tmp_path / "b.html").mkdir()
    with pytest.raises(OSError, match=r"b\.html"):
        write_sheets(sheets(tmp_path, "b"))
    assert [path.name for path in tmp_path.iterdir()] == ["b.html"]
