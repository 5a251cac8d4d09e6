"""The classroom's paper: nothing of the answer on the learner's sheet, everything a trainer needs behind it."""

import re
from html import unescape
from pathlib import Path

import pytest

from quizgen.cache import Cache
from quizgen.cli import main
from quizgen.tracing import compile_tracing, read_tracing
from quizgen.tracing.fresh import another
from quizgen.web.case_paper import paper_html
from quizgen.web.case_places import places_of
from tests.once import shipped_bank

COURSE = Path(__file__).resolve().parents[2] / "course"


@pytest.fixture(scope="module")
def course():
    bank = shipped_bank()
    tracing, faults = read_tracing(bank)
    compiled, unsolved = compile_tracing(tracing, Cache(COURSE.parent / ".cache" / "quizgen"))
    assert not faults and not unsolved
    return compiled["cases"], places_of(bank.chain, tracing, compiled["healthy"])


def sheets(html):
    found = re.findall(r'<section class="qz-sheet-paper">(.*?)</section>', html, re.DOTALL)
    return [" ".join(unescape(re.sub(r"<[^>]+>", " ", one)).split()) for one in found]


def test_every_case_has_three_sheets_and_the_first_tells_no_reading(course):
    cases, places = course
    for case in cases.values():
        if case["outside"]:
            continue
        learner, strips, key = sheets(paper_html(case, places))
        truth = next(one for one in case["suspects"] if one["id"] == case["fault"])
        assert case["complaint"].strip() in learner and case["says"].strip() not in learner
        assert "healthy:" not in learner and "It is:" not in learner and "more" not in learner.partition("All tests")[2]
        for number in range(1, len(case["tests"]) + 1):
            assert f"No. {number} " in strips
        assert f"( {truth['name']} )" in key.replace("(", "( ").replace(")", " )")


def test_the_key_tells_the_price_of_each_first_choice_and_the_best_order(course):
    cases, places = course
    _, strips, key = sheets(paper_html(cases["half-wave"], places))
    assert "Fault memory and charge log read as good as any" in key
    assert "Live data of a charge attempt on three lines not safe" in key
    assert "24\u00a0min on average" in key.replace("24 min", "24\u00a0min")
    assert "last stop in the log: line currents (healthy: none)" in strips


def test_a_drive_that_a_suspect_forbids_is_not_safe_on_the_key_and_announced_on_the_sheet(course):
    cases, places = course
    learner, _, key = sheets(paper_html(cases["star-side-leak"], places))
    assert "Short drive in the yard not safe" in key and "a welded contactor before any drive" in key
    assert "So does a charge attempt or a drive that a suspect forbids." in learner
    assert "Short drive in the yard not safe" not in sheets(paper_html(cases["half-wave"], places))[2]


def test_a_case_whose_right_end_is_to_stop_says_so(course):
    cases, places = course
    assert "The right end is to stop." in sheets(paper_html(cases["must-stop"], places))[2]
    assert "The right end is to stop." not in sheets(paper_html(cases["half-wave"], places))[2]


def test_the_paper_loads_nothing_and_takes_every_text_as_text(course):
    cases, places = course
    hostile = {**cases["half-wave"], "title": '<img src="x">', "complaint": "</section><script>1</script>"}
    html = paper_html(hostile, places)
    assert "<img" not in html and "<script" not in html and "default-src 'none'" in html
    assert not re.search(r"(?:src|url\()\s*=?\s*[\"']?https?:", html)


def test_another_van_is_named_and_has_its_own_readings(course):
    cases, places = course
    case = cases["half-wave"]
    number = next(n for n in range(1, 50) if another(case, n)["fault"] != case["fault"])
    html = paper_html(another(case, number), places, number)
    assert f"{case['title']}, van {number}" in html and sheets(html)[1] != sheets(paper_html(case, places))[1]


def test_the_command_writes_the_file_and_refuses_what_cannot_be_played(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["trace", "half-wave", "--paper", "--course", str(COURSE)]) == 0
    assert (tmp_path / "case-half-wave.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert main(["trace", "now-and-then", "--paper", "--course", str(COURSE)]) == 1
    assert main(["trace", "half-wave", "--paper", "--van", "-1", "--course", str(COURSE)]) == 1
    said = capsys.readouterr().err
    assert "outside the method" in said and "a number from 1 to 999 was expected" in said
    assert [file.name for file in tmp_path.iterdir()] == ["case-half-wave.html"]
