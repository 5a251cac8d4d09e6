"""The trainer's command: files for each learner, ours replaced and others' left alone, nothing half written."""

import json
import os
from datetime import date

import pytest

from quizgen.commands import assign
from quizgen.records import write

GROUP = """group: autumn
course: depot-basics
learners:
  - A-01
  - A-02
assigned:
  supply:
    due: 2026-12-04
"""


@pytest.fixture
def group(tmp_path, monkeypatch):
    monkeypatch.setattr(assign, "today", lambda: date(2026, 11, 28))
    path = tmp_path / "autumn.yml"
    path.write_text(GROUP, "utf-8")
    return path


@pytest.fixture
def hand_out(quizgen, group, tmp_path):
    def run(*more, out="out", text=None):
        if text is not None:
            group.write_text(text, "utf-8")
        return quizgen("assign", str(group), "--out", str(tmp_path / out), *more)

    return run


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_each_learner_gets_a_file_and_a_slip_and_the_trainer_one_print(hand_out, tmp_path):
    code, out, err = hand_out()
    assert (code, err) == (0, "")
    assert names(tmp_path / "out") == ["A-01.html", "A-01.json", "A-02.html", "A-02.json", "group_autumn.html"]
    assert "A-01  1 due, first supply on 2026-12-04: A-01.json, A-01.html" in out
    assert "page Your plan" in out
    assert json.loads((tmp_path / "out" / "A-02.json").read_text("utf-8"))["code"] == "A-02"
    assert (tmp_path / "out" / "group_autumn.html").read_text("utf-8").count("<main") == 2


def test_a_second_run_replaces_what_is_ours_and_names_what_is_left_over(hand_out, tmp_path):
    hand_out()
    code, out, _ = hand_out(text=GROUP.replace("  - A-02\n", "").replace("12-04", "12-18"))
    assert code == 0
    assert "2026-12-18" in (tmp_path / "out" / "A-01.json").read_text("utf-8")
    assert "Left from an earlier run, and out of date: A-02.html, A-02.json." in out


@pytest.mark.parametrize("name", ["A-01.json", "A-02.html", "group_autumn.html"])
@pytest.mark.parametrize("body", ["", "mine", '{"file": "assignment"}', '{"file": "assignment", "course": "depot-basics", "group": "spring"}', "[" * 100000])  # noqa: E501 # fmt: skip
def test_somebody_elses_file_is_left_alone_and_nothing_is_written(hand_out, tmp_path, name, body):
    out = tmp_path / "out"
    out.mkdir()
    (out / name).write_text(body, "utf-8")
    code, _, err = hand_out()
    assert code == 1 and f"{name} there already, and not written for group autumn" in err
    assert names(out) == [name] and (out / name).read_text("utf-8") == body


def test_a_link_in_the_way_is_not_followed(hand_out, tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "diary").write_text("mine", "utf-8")
    os.symlink(tmp_path / "diary", tmp_path / "out" / "A-01.json")
    assert hand_out()[0] == 1
    assert (tmp_path / "diary").read_text("utf-8") == "mine"


def test_a_full_disk_leaves_the_earlier_files_as_they_were(hand_out, tmp_path, monkeypatch):
    hand_out()
    before = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    calls = []

    def full(handle):
        calls.append(handle)
        if len(calls) == 4:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(write.os, "fsync", full)
    code, _, err = hand_out(text=GROUP.replace("12-04", "12-18"))
    assert code == 1 and "No space left" in err
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == before


def test_nothing_goes_where_the_course_or_its_site_is_published(quizgen, group, depot, tmp_path):
    (depot.parent / "mkdocs.yml").write_text('docs_dir: "texts" # all of them\nsite_dir: public\n', "utf-8")
    built = tmp_path / "stick" / "assets" / "quizgen"
    built.mkdir(parents=True)
    for folder in (depot / "pages" / "out", depot.parent / "texts", depot.parent / "public" / "x", tmp_path / "stick"):
        code, _, err = quizgen("assign", str(group), "--out", str(folder))
        assert code == 1 and "published" in err, folder
    assert not (depot / "pages").exists() and not (depot.parent / "texts").exists()


def test_an_out_that_is_a_file_and_a_group_with_faults_write_nothing(hand_out, tmp_path):
    (tmp_path / "note").write_text("x", "utf-8")
    code, _, err = hand_out(out="note")
    assert code == 1 and "this is a file" in err
    code, _, err = hand_out(text=GROUP.replace("supply", "suply"))
    assert code == 1 and "Did you mean supply?" in err and not (tmp_path / "out").exists()


def test_who_has_nothing_to_do_gets_no_file_and_is_named(hand_out, tmp_path):
    text = GROUP.replace("due: 2026-12-04", "due: 2026-12-04\n    for: A-02")
    code, out, _ = hand_out("--json", text=text)
    assert code == 0
    told = json.loads(out)
    assert told["without"] == ["A-01"] and "A-01.json" not in told["files"]
    assert names(tmp_path / "out") == ["A-02.html", "A-02.json", "group_autumn.html"]


def test_the_help_shows_a_group_file_and_what_comes_next(capsys, quizgen):
    with pytest.raises(SystemExit):
        quizgen("assign", "--help")
    out = capsys.readouterr().out
    assert "of last: 10" in out and "Next: give each learner the file" in out
