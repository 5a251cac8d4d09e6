"""The trainer's page on following a group, done line by line: hand out, collect, read."""

import json
import re
import shlex
from datetime import date
from pathlib import Path

import pytest

from quizgen import cli
from quizgen.cohort.progress import LOW_FACILITY, STOPPED_AFTER
from quizgen.cohort.slip_message import LONGEST
from quizgen.cohort.statistics import wilson
from quizgen.commands import progress

PAGE = Path(__file__).resolve().parents[2] / "course" / "pages" / "trainer" / "follow.md"
COURSE = PAGE.parents[2]
TEXT = PAGE.read_text(encoding="utf-8")


@pytest.fixture
def shop_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(progress, "today", lambda: date(2026, 12, 1))
    return tmp_path


def blocks(language):
    return re.findall(rf"```{language}\n(.*?)```", TEXT, re.DOTALL)


def hand_in():
    """What two of the three save: the same slip in the same question."""
    folder = Path("handed-in")
    folder.mkdir(exist_ok=True)
    for code in ("A-01", "A-02"):
        one = {"tries": 1, "days": [], "lately": ["2026-11-30-"], "slips": {"half-the-heat": 1}}
        file = {"file": "progress", "version": 1, "course": "charging-chain", "code": code, "saved": "2026-11-30",
                "results": {"contact-from-a-bench-test": one}}  # fmt: skip
        (folder / f"{code}.json").write_text(json.dumps(file), encoding="utf-8")


def test_every_line_of_the_manual_works_in_its_order(shop_folder, capsys):
    (group,) = blocks("yaml")
    Path("autumn-depot.yml").write_text(group, encoding="utf-8")
    for line in "".join(blocks("sh")).splitlines():
        words = shlex.split(line)
        assert words[0] == "quizgen"
        if words[1] == "progress":
            hand_in()
        assert cli.main([*words[1:], "--course", str(COURSE)]) == 0, line
    said = capsys.readouterr().out
    assert "2 of 2 learners who tried (A-01, A-02), 2 times" in said and "No slip came from:\n  A-03" in said
    for name in ("to-hand-out/A-01.json", "report.html", "progress.csv"):
        assert (shop_folder / name).exists()


def test_the_numbers_in_the_text_are_those_of_the_program():
    low, high = wilson(2, 3)
    assert f"Of 3 learners 2 means {low:.0%} to {high:.0%}".replace("%", " %") in TEXT
    assert f"facility below {LOW_FACILITY}" in TEXT
    assert f"more than {STOPPED_AFTER} days" in TEXT
    assert f"at most {LONGEST} signs" in TEXT
