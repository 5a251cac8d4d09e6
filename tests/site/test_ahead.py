"""A second process fills the cache; the first one needs nothing of it."""

from __future__ import annotations

import os
import signal
import threading
from pathlib import Path

import pytest

from quizgen.bank.faults import BankError
from quizgen.cache import Cache
from quizgen.site import ahead, content
from quizgen.site.ahead import Ahead
from quizgen.site.content import Content

WORKBENCH = Path(__file__).resolve().parents[1] / "courses" / "workbench"

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="one process does it all here")


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ahead, "cores", lambda: 2)
    monkeypatch.setattr(threading, "active_count", lambda: 1)  # the test runner has threads of its own


def test_its_jobs_are_done_in_another_process(tmp_path: Path) -> None:
    two = Ahead()
    two.start([lambda: (tmp_path / "made").write_text(str(os.getpid()))])
    two.finish()
    assert int((tmp_path / "made").read_text()) != os.getpid()


def test_a_job_that_fails_says_nothing_and_stops_nobody(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    two = Ahead()
    two.start([lambda: os.write(1, b"one"), lambda: 1 // 0, lambda: (tmp_path / "made").touch()])
    two.finish()
    assert not (tmp_path / "made").exists()
    assert capfd.readouterr() == ("", "")


def test_the_first_process_waits_for_the_first_jobs_only() -> None:
    two = Ahead()
    two.start([lambda: None, lambda: None, signal.pause])
    two.wait(2)
    assert os.waitpid(two.process, os.WNOHANG) == (0, 0)
    two.end()


def test_nobody_waits_for_jobs_that_will_not_be_done() -> None:
    two = Ahead()
    two.start([lambda: None, lambda: 1 // 0, signal.pause])
    two.wait(3)
    two.finish()
    assert two.process == 0


def test_what_still_runs_at_the_end_is_stopped() -> None:
    two = Ahead()
    two.start([signal.pause])
    process = two.process
    two.end()
    with pytest.raises(ProcessLookupError):
        os.kill(process, 0)


def test_one_core_or_another_thread_leaves_it_to_one_process(monkeypatch: pytest.MonkeyPatch) -> None:
    for what in ((ahead, "cores", lambda: 1), (threading, "active_count", lambda: 2)):
        with monkeypatch.context() as here:
            here.setattr(*what)
            alone = Ahead()
            alone.start([signal.pause])
            assert alone.process == 0


def test_with_and_without_it_a_course_becomes_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def course(folder: Path) -> Content:
        made = Content(WORKBENCH, Cache(folder))
        made.prove()
        return made

    alone = course(tmp_path / "alone")
    monkeypatch.setattr(content, "WORTH", 1)
    both = course(tmp_path / "both")
    both.ahead.finish()
    again = Content(WORKBENCH, Cache(tmp_path / "both"))
    monkeypatch.setattr("quizgen.variants.ready.load_bank", None)
    assert again.compiled == alone.compiled, "the second process kept the course as a whole"
    assert both.compiled == alone.compiled and both.pictures == alone.pictures and both.cases == alone.cases


def test_a_fault_of_the_bank_is_told_once_with_its_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(content, "WORTH", 1)
    folder = tmp_path / "course" / "bank"
    folder.mkdir(parents=True)
    text = (WORKBENCH / "bank" / "course.yml").read_text(encoding="utf-8")
    (folder / "course.yml").write_text(text.replace("questions:", "questoins:", 1), encoding="utf-8")
    faulty = Content(tmp_path / "course", Cache(tmp_path / "kept"))
    with pytest.raises(BankError):
        faulty.prove()
    assert faulty.ahead.process == 0
