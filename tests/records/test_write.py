"""Many files are written whole: before the disk has all of them, none has changed."""

from __future__ import annotations

import errno

import pytest

from quizgen.records import write
from quizgen.records.write import MANY, writing_whole


def full(*_):
    raise OSError(errno.ENOSPC, "no space left on device")


@pytest.mark.parametrize("count", [2, MANY])
def test_files_take_their_places_at_the_end(tmp_path, count):
    with writing_whole() as put:
        for n in range(count):
            put(tmp_path / "made" / f"{n}.html", b"new")
        assert not list(tmp_path.glob("made/[0-9]*"))
    assert sorted(path.name for path in (tmp_path / "made").iterdir()) == sorted(f"{n}.html" for n in range(count))


@pytest.mark.parametrize("count", [2, MANY])
def test_a_disk_that_is_full_at_the_end_has_changed_nothing(tmp_path, monkeypatch, count):
    monkeypatch.setattr(write.os, "fsync", full)
    monkeypatch.setattr(write.os, "sync", full, raising=False)
    (tmp_path / "0.html").write_bytes(b"old")
    with pytest.raises(OSError, match="no space left"), writing_whole() as put:
        for n in range(count):
            put(tmp_path / f"{n}.html", b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["0.html"]
    assert (tmp_path / "0.html").read_bytes() == b"old"


def test_a_fault_in_between_takes_back_what_waits(tmp_path):
    with pytest.raises(RuntimeError), writing_whole() as put:
        put(tmp_path / "a.html", b"new")
        raise RuntimeError
    assert not list(tmp_path.iterdir())
