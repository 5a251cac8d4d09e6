"""The trainer's manual, done as a trainer would: files written, commands typed, messages compared word for word."""

from __future__ import annotations

import importlib.util
import os
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from quizgen import cli
from quizgen.bank import load
from quizgen.bank.yaml_reader import read_file
from quizgen.expression import parse
from quizgen.records import keys
from tests.course.manual import REPOSITORY, TRAINER, Reader, course_copy
from tests.course.test_course import lix, prose
from tests.once import copy_of_kept

WRITTEN = ("index", "write-question", "write-formula", "write-paper", "publish")


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What was compiled already, shared by all copies: a trainer works with a warm cache too."""
    folder = tmp_path_factory.mktemp("store") / ".cache"
    copy_of_kept(tmp_path_factory, folder / "quizgen")
    return folder


@cache
def _nodes(path: Path, shown: str, content: bytes) -> Any:
    return read_file(path, shown)


def read_once(path: Path, shown: str) -> Any:
    """The bank's reader, which would read all that a page does not change again for each mistake."""
    return _nodes(path, shown, path.read_bytes())


parsed_once = cache(parse.parse)
"""Trees never change, so an expression that stands in the course as before is the same tree again."""


@pytest.fixture
def reader(tmp_path: Path, store: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Reader:
    monkeypatch.setenv("NO_MKDOCS_2_WARNING", "1")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    folder = course_copy(tmp_path)
    os.symlink(store, folder / ".cache")
    monkeypatch.chdir(folder)
    monkeypatch.setattr(load, "read_file", read_once)
    monkeypatch.setattr(parse, "parse", parsed_once)

    def told() -> str:
        said = capsys.readouterr()
        return said.out + said.err

    return Reader(folder, told)


@pytest.mark.parametrize("name", WRITTEN)
def test_a_trainer_reads_each_page_easily(name: str) -> None:
    assert lix(prose((TRAINER / f"{name}.md").read_text(encoding="utf-8"))) <= 42


def test_the_page_on_questions_ends_with_the_question_on_its_page(reader: Reader) -> None:
    reader.follow(TRAINER / "write-question.md")
    assert 'id="q-overnight-on-one-line"' in (reader.folder / "site" / "supply.html").read_text(encoding="utf-8")


def test_the_page_on_formulas_ends_with_a_checked_formula(reader: Reader) -> None:
    reader.follow(TRAINER / "write-formula.md")
    assert reader.written.keys() == {
        "course/bank/quantities/yard.yml", "course/bank/formulas/yard.yml", "course/bank/questions/yard-battery.yml"
    }  # fmt: skip


def test_the_page_on_papers_ends_with_a_paper_to_try(reader: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keys, "COST", 2**4)
    monkeypatch.setenv("QUIZGEN_PASSPHRASE", "three old wooden crates")
    reader.follow(TRAINER / "write-paper.md")
    assert list((reader.folder / "to-try").glob("*.html"))


def test_the_page_on_publishing_shows_what_lending_says_and_what_is_published(reader: Reader) -> None:
    """The address differs from shop to shop; what stands around it does not."""
    spec = importlib.util.spec_from_file_location("start_for_the_manual", REPOSITORY / "start.py")
    assert spec and spec.loader
    start = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(start)

    def lend(words: list[str]) -> None:
        assert words == ["start.py", "lend"]
        print(start.what_is_lent(["192.0.2.7"], 8000))

    reader.commands["python3"] = lend
    reader.follow(TRAINER / "publish.md")
    site = reader.folder / "site"
    published = [path for path in site.rglob("*") if path.is_file()]
    assert not [path for path in published if path.suffix in (".yml", ".sqlite", ".md")]
    assert (site / "index.html").is_file() and (site / "trainer" / "publish.html").is_file()


def test_the_menu_leaves_the_trainers_pages_out_as_the_page_on_publishing_says(reader: Reader) -> None:
    config = reader.folder / "mkdocs.yml"
    text = config.read_text(encoding="utf-8")
    assert "\n  - quizgen\n" in text
    config.write_text(text.replace("\n  - quizgen\n", "\n  - quizgen:\n      aside: trainer\n"), encoding="utf-8")
    site = reader.build()
    assert "trainer/" not in (site / "index.html").read_text(encoding="utf-8")


def test_the_first_page_names_each_command_that_there_is() -> None:
    text = (TRAINER / "index.md").read_text(encoding="utf-8")
    typed = set(re.findall(r"\| `quizgen ([a-z]+)", text))
    assert typed <= {command.NAME for command in cli.COMMANDS} and {"check", "find", "show", "work"} <= typed
