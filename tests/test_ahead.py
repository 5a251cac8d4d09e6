"""A second process works on files; the first one needs nothing of it."""

from __future__ import annotations

import os
import signal
import threading
from pathlib import Path

import pytest

from quizgen import ahead
from quizgen.ahead import Ahead

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
    assert two.wait(2)
    assert os.waitpid(two.process, os.WNOHANG) == (0, 0)
    two.end()


def test_nobody_waits_for_jobs_that_will_not_be_done() -> None:
    two = Ahead()
    two.start([lambda: None, lambda: 1 // 0, signal.pause])
    assert not two.wait(3)
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
