"""The manual page on papers, done line by line: start, check, hand out, mark, analyse."""

import re
import shlex
from pathlib import Path

import pytest

from quizgen import cli
from quizgen.cohort.statistics import wilson
from quizgen.commands import paper_issue
from quizgen.papers.sheet import made_sheet, sheet_bytes
from quizgen.records import keys
from quizgen.records.signed import SignedStore
from tests.papers.answers import right
from tests.papers.conftest import DAY, chance

PAGE = Path(__file__).resolve().parents[2] / "course" / "pages" / "trainer" / "papers.md"
COURSE = PAGE.parents[2]


@pytest.fixture
def shop_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(keys, "COST", 2**4)
    monkeypatch.setattr(paper_issue, "today", lambda: DAY)
    monkeypatch.setattr(paper_issue, "random", chance("manual"))
    monkeypatch.setenv("QUIZGEN_PASSPHRASE", "three old wooden crates")
    return tmp_path


def lines():
    blocks = re.findall(r"```sh\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


def sit():
    """What the two candidates save: all right."""
    store = SignedStore(Path("records"), lambda: "", lambda: None)
    Path("handed-in").mkdir()
    for one in store.papers():
        issue = store.issue_of(one.number)
        Path("handed-in", f"{one.code}.json").write_bytes(sheet_bytes(made_sheet(issue, right(issue))))


def test_every_line_of_the_manual_works_in_its_order(shop_folder, capsys):
    for line in lines():
        words = shlex.split(line)
        assert words[0] == "quizgen"
        if words[1:3] == ["paper", "mark"]:
            sit()
        assert cli.main([*words[1:], "--course", str(COURSE)]) == 0, line
    said = capsys.readouterr().out
    assert "Safety gate paper (safety-gate): 2 persons, 2 passed" in said
    for name in ("to-hand-out", "mark-sheets", "analysis.html", "analysis.csv"):
        assert (shop_folder / name).exists()


def test_the_range_in_the_text_is_wilsons():
    low, high = wilson(12, 20)
    assert f"Of 20 people 12 right means {low:.0%} to {high:.0%}".replace("%", " %") in PAGE.read_text(encoding="utf-8")
