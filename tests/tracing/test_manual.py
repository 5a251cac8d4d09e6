"""The manual page on writing a case, done line by line in a copy of the course: write, check, play, print."""

import io
import re
import shlex
import shutil
from pathlib import Path

import pytest

from quizgen import cli
from tests.once import copy_of_kept

COURSE = Path(__file__).resolve().parents[2] / "course"
PAGE = COURSE / "pages" / "trainer" / "write-case.md"


@pytest.fixture
def course(tmp_path, tmp_path_factory, monkeypatch):
    """A copy of the course with the page's own example in the file that the page names."""
    copy = tmp_path / "course"
    shutil.copytree(COURSE, copy)
    # What was compiled before need not be compiled again.
    copy_of_kept(tmp_path_factory, tmp_path / ".cache" / "quizgen")
    text = PAGE.read_text(encoding="utf-8")
    (name,) = re.findall(r"This one is `([a-z]+\.yml)`", text)
    (example,) = re.findall(r"```yaml\n(.*?)```", text, re.DOTALL)
    (copy / "bank" / "tracing" / "cases" / name).write_text(example, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO("read-log\nend\n"))
    return copy


def lines():
    blocks = re.findall(r"```sh\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


def test_every_line_of_the_manual_works_with_its_own_example(course, capsys):
    for line in lines():
        words = shlex.split(line)
        assert words[0] == "quizgen"
        assert cli.main([*words[1:], "--course", str(course)]) == 0, line
    said = capsys.readouterr().out
    assert "monday-lamp: " in said and "suspects, best" in said
    for name in ("monday-lamp.html", "monday-lamp-again.html"):
        assert "The lamp of the cooling" in (course.parent / name).read_text(encoding="utf-8")


def test_the_page_names_every_field_of_a_case():
    named = set(re.findall(r"(?m)^\| `([a-z]+)` \|", PAGE.read_text(encoding="utf-8")))
    assert named == {"title", "complaint", "fault", "difficulty", "known", "says", "outside"}
