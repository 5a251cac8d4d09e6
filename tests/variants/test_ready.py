"""A course made ready: whole from the cache while nothing changed, else only what an edit touched."""

import shutil
from pathlib import Path

import pytest

from quizgen.bank.faults import BankError
from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.variants import ready
from quizgen.variants.ready import kept_bank, ready_course

PUMP = Path(__file__).resolve().parents[1] / "courses" / "workbench"


@pytest.fixture
def course(tmp_path):
    shutil.copytree(PUMP / "bank", tmp_path / "workbench" / "bank")
    return tmp_path / "workbench"


def a_bank_file(course):
    return next(path for path in sorted(course.rglob("*.yml")) if "questions:" in path.read_text(encoding="utf-8"))


def test_the_second_time_it_is_equal_and_nothing_is_made(course, tmp_path):
    first = ready_course(course, Cache(tmp_path / "kept"))
    store = Cache(tmp_path / "kept")
    assert ready_course(course, store) == first
    assert store.made == 0


def test_it_reads_no_yaml_when_nothing_changed(course, tmp_path, monkeypatch):
    ready_course(course, Cache(tmp_path / "kept"))
    monkeypatch.setattr("quizgen.variants.ready.load_bank", lambda folder: pytest.fail("the bank was read again"))
    assert ready_course(course, Cache(tmp_path / "kept")).bank.questions


def test_a_bank_is_read_once_and_again_when_a_file_of_it_changes(course, tmp_path, monkeypatch):
    first, reads = kept_bank(course, Cache(tmp_path / "kept")), []
    monkeypatch.setattr(ready, "load_bank", lambda folder: reads.append(folder) or load_bank(folder))
    assert kept_bank(course, Cache(tmp_path / "kept")) == first and not reads
    path = a_bank_file(course)
    path.write_text(path.read_text(encoding="utf-8") + "\n# seen\n", encoding="utf-8")
    assert kept_bank(course, Cache(tmp_path / "kept")) == first and len(reads) == 1
    path.write_text(path.read_text(encoding="utf-8").replace("questions:", "questoins:"), encoding="utf-8")
    for _ in range(2):
        with pytest.raises(BankError):
            kept_bank(course, Cache(tmp_path / "kept"))


def test_a_kept_bank_that_was_tampered_with_is_read_anew(course, tmp_path):
    first = kept_bank(course, Cache(tmp_path / "kept"))
    kept = next((tmp_path / "kept").rglob("*.object"))
    kept.write_bytes(kept.read_bytes()[:-40] + b"x" * 40)
    assert kept_bank(course, Cache(tmp_path / "kept")) == first


def test_a_comment_makes_a_new_version_and_compiles_no_question(course, tmp_path):
    first = ready_course(course, Cache(tmp_path / "kept"))
    path = a_bank_file(course)
    path.write_text(path.read_text(encoding="utf-8") + "\n# seen\n", encoding="utf-8")
    store = Cache(tmp_path / "kept")
    second = ready_course(course, store)
    assert second.version != first.version and second.compiled == first.compiled
    assert store.made == 0


def test_a_file_beside_the_yaml_counts_too(course, tmp_path):
    first = ready_course(course, Cache(tmp_path / "kept"))
    (course / "bank" / "beside.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    assert ready_course(course, Cache(tmp_path / "kept")).version != first.version


def test_a_course_with_faults_is_never_kept(course, tmp_path):
    path = a_bank_file(course)
    path.write_text(path.read_text(encoding="utf-8").replace("questions:", "questoins:"), encoding="utf-8")
    for _ in range(2):
        with pytest.raises(BankError):
            ready_course(course, Cache(tmp_path / "kept"))


def test_the_same_bank_in_a_folder_of_another_name_names_its_own_places(course, tmp_path):
    ready_course(course, Cache(tmp_path / "kept"))
    moved = course.rename(tmp_path / "elsewhere")
    question = next(iter(ready_course(moved, Cache(tmp_path / "kept")).bank.questions.values()))
    assert question.place.path.startswith("elsewhere/")
