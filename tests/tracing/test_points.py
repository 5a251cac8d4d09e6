"""Test points: every test and part stands at a stage of the chain, and a wrong stage is told with its place."""

from pathlib import Path

import pytest

from quizgen.bank.load import load_bank
from quizgen.tracing import read_tracing
from quizgen.web.case_html import Places, case_html
from quizgen.web.case_map import VAN
from quizgen.web.case_places import places_of

COURSE = Path(__file__).resolve().parents[2] / "course"


@pytest.mark.parametrize(("file", "line"), [("tests", "    stage: cooling"), ("parts", "    stage: choke")])
def test_a_stage_that_the_chain_has_not_is_told(tmp_path, file, line):
    import shutil

    copy = tmp_path / "course"
    shutil.copytree(COURSE / "bank", copy / "bank")
    path = copy / "bank" / "tracing" / f"{file}.yml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(line, "    stage: chokes", 1), encoding="utf-8")
    at = text[: text.index(line)].count("\n") + 1
    made, (fault,) = read_tracing(load_bank(copy))
    assert made is None and f"{file}.yml:{at}:" in str(fault)
    assert '"chokes" is no stage of the chain here. Did you mean choke?' in str(fault)


def test_each_test_has_one_point_and_the_numbers_are_those_of_the_list(bank, tracing, compiled):
    places = places_of(bank.chain, tracing, compiled["healthy"])
    case = compiled["cases"]["half-wave"]
    points = [point for tests in places.points(case).values() for point in tests]
    assert sorted(points) == [(number, test["id"]) for number, test in enumerate(case["tests"], 1)]
    html = case_html(case, places, style=False)
    assert html.count("data-point=") == len(case["tests"])
    for stage in places.points(case):
        assert f'href="#case-half-wave--{stage}"' in html and f'id="case-half-wave--{stage}"' in html


def test_every_part_but_the_whole_van_stands_on_the_chain(bank, tracing):
    assert {part for part, stage in tracing.places.items() if not stage} == {"none"}
    assert {stage for stage in tracing.places.values() if stage} <= set(bank.chain.stages)


def test_a_course_without_a_chain_has_its_tests_for_the_whole_van(compiled):
    case = compiled["cases"]["half-wave"]
    assert list(Places().points(case)) == [VAN]
    assert "<svg" not in case_html(case, Places(), style=False)
