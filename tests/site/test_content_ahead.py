"""The second process of a cold build fills the cache; the first one needs nothing of it."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

from quizgen import ahead
from quizgen.bank.faults import BankError
from quizgen.cache import Cache
from quizgen.site import content
from quizgen.site.content import Content

WORKBENCH = Path(__file__).resolve().parents[1] / "courses" / "workbench"

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="one process does it all here")


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ahead, "cores", lambda: 2)
    monkeypatch.setattr(threading, "active_count", lambda: 1)  # the test runner has threads of its own


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
