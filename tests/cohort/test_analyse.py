"""Marked papers of a group whose abilities, slips and copying the test knows."""

import csv
import io
import json
import math
import random
from dataclasses import replace
from datetime import timedelta
from statistics import median

import pytest

from quizgen.cohort.alike import suspicious
from quizgen.cohort.analyse import analyse
from quizgen.cohort.analysis_html import analysis_html
from quizgen.cohort.analysis_text import data, lines, table
from quizgen.marking.judge import slip_value
from quizgen.papers.issue import Candidate
from quizgen.papers.mark import LETTERS, mark_sheet
from quizgen.papers.second import known_values
from quizgen.papers.sheet import made_sheet
from tests.papers import answers as typed
from tests.papers.conftest import DAY, bank, chance, desk, maker, makers, store  # noqa: F401
from tests.papers.test_mark import hand_in, issued

MUST = "paper-volts-come-back"


@pytest.fixture(scope="module")
def issues(maker):  # noqa: F811
    until, taken, made = DAY + timedelta(days=30), [], []
    for lot in range(3):
        codes = [Candidate(f"A-{lot}{n:02}") for n in range(12)]
        made += maker.batch(codes, {}, DAY, until, chance(f"cohort {lot}"), taken).issues
        taken += [one.number for one in made]
    return made


def slip_of(one):
    """The number that somebody gets who makes the question's first slip, at its first box; None if it has none."""
    at = len(one.question["steps"]) - len(one.marks)
    step, kept = one.question["steps"][at], one.variant.get("slips", [{}] * (at + 1))[at]
    for slip in step["slips"]:
        value = slip_value(slip, kept, known_values(one))
        if math.isfinite(value):
            return typed.number(step, value)
    return None


def wrong(one):
    if one.question["kind"] == "choice":
        return [next(LETTERS[p] for p, at in enumerate(one.shuffled) if not one.question["options"][at]["right"])]
    return ["" for _ in one.marks]


def group(issues, copying=False):
    """Everybody has an ability; it decides each answer by dice. With `copying` the last has the first's numbers."""
    dice, made = random.Random(7), []
    for issue in issues:
        ability = dice.gauss(0.8, 1)
        given = [typed.question(q) if dice.random() < 1 / (1 + math.exp(-ability)) else wrong(q)
                 for q in issue.questions]  # fmt: skip
        made.append((issue, given))
    if copying:
        (first, _), (last, given) = made[0], made[-1]
        others = {q.id: typed.question(q) for q in first.questions if q.variant}
        made[-1] = (last, [others.get(q.id, text) for q, text in zip(last.questions, given, strict=True)])
    return [(issue, mark_sheet(issue, made_sheet(issue, given), DAY.isoformat())) for issue, given in made]


@pytest.fixture(scope="module")
def papers(issues):
    return group(issues)


@pytest.fixture(scope="module")
def found(papers):
    return analyse(papers)


def test_counts_are_those_of_the_marks(issues, papers, found):
    assert (found.people, found.of) == (36, issues[0].of) and found.passed == sum(mark.passed for _, mark in papers)
    item = next(one for one in found.items if one.id == MUST)
    right = sum(q.boxes[0].verdict == "right" for _, mark in papers for q in mark.questions if q.id == MUST)
    assert (item.asked, item.right, item.must) == (36, right, True)
    assert item.interval[0] < right / 36 < item.interval[1] and 0 < right < 36
    assert any(f"{36 - right} of 36 missed it" in flag for flag in item.flags)


def test_able_people_do_better_on_each_part(found):
    rests = [item.rest for item in found.items if item.rest is not None]
    assert sum(rests) / len(rests) > 0.1
    assert all((item.rest is None) == (item.asked < 30) for item in found.items)
    assert 0.3 < found.whole.alpha < 0.95
    low, high = found.whole.interval
    assert low < found.whole.alpha < high
    assert found.whole.error == pytest.approx(found.whole.deviation * math.sqrt(1 - found.whole.alpha))
    assert 0 < found.whole.dependability <= 1 and found.whole.alpha <= found.whole.squared <= 1


def test_each_option_is_counted_by_its_words(issues, found):
    item = next(one for one in found.items if one.id == MUST)
    assert sum(option.chosen for option in item.options) == item.asked
    assert next(option.chosen for option in item.options if option.right) == item.right
    assert any("tempts nobody" in flag for flag in item.flags) == any(
        option.chosen < 0.05 * item.asked for option in item.options if not option.right
    )


def test_a_slip_made_by_all_is_told_in_the_words_of_its_feedback(issues):
    id = next(q.id for q in issues[0].questions if q.variant and slip_of(q))
    papers = []
    for issue in issues[:12]:
        given = [[slip_of(q), *[""] * (len(q.marks) - 1)] if q.id == id and slip_of(q) else typed.question(q)
                 for q in issue.questions]  # fmt: skip
        papers.append((issue, mark_sheet(issue, made_sheet(issue, given), DAY.isoformat())))
    few = analyse(papers)
    item = next(one for one in few.items if one.id == id)
    assert item.right == 0 and item.wrong[0].verdict == "slip" and item.wrong[0].count >= 10
    assert any(item.wrong[0].says in flag for flag in item.flags)


def test_a_small_group_gets_counts_and_intervals_only(papers):
    few = analyse(papers[:29])
    assert few.whole is None and few.pools == () and few.pairs == ()
    assert all(item.rest is None and item.variants is None and item.options == () for item in few.items)
    assert "29 persons. Below 30" in few.notes[0]
    assert analyse(papers[:30]).whole is not None


def test_who_worked_alone_is_not_suspected_and_who_copied_is(issues, found):
    assert found.pairs == ()
    pairs = analyse(group(issues, copying=True)).pairs
    assert [(pair.one, pair.other) for pair in pairs] == [(issues[0].code, issues[-1].code)]
    assert len(pairs[0].values) >= 2


def test_only_the_first_paper_of_a_person_counts(papers):
    again = (replace(papers[0][0], attempt=2, number="X"), replace(papers[0][1], number="X"))
    made = analyse([again, *papers])
    assert made.people == 36 and "1 later attempts are left out" in made.notes[0]
    assert made.marks == analyse(papers).marks


def test_a_question_taken_out_is_left_out(papers):
    taken = [
        (issue, replace(mark, questions=tuple(replace(q, void="misprint") if q.id == MUST else q
                                              for q in mark.questions)))
        for issue, mark in papers
    ]  # fmt: skip
    made = analyse(taken)
    assert MUST not in {item.id for item in made.items} and any(MUST in note for note in made.notes)


def test_unequal_numbers_and_unequal_questions_of_a_pool_are_told(issues):
    """Large answers are right, small ones wrong; and of a pool one question is never right."""
    keys = [q.variant["answers"][-1]["key"] for one in issues for q in one.questions if q.id == "link-energy"]
    middle = median(keys)

    def answers(q):
        if q.section == "Instruments and roles" and q.id.endswith("permission"):
            return wrong(q)
        if q.id == "link-energy" and q.variant["answers"][-1]["key"] < middle:
            return [""]
        return typed.question(q)

    papers = [
        (issue, mark_sheet(issue, made_sheet(issue, [answers(q) for q in issue.questions]), DAY.isoformat()))
        for issue in issues
    ]
    made = analyse(papers)
    pool = next(one for one in made.pools if one.section == "Instruments and roles")
    assert pool.p < 0.001 and any("not equally hard" in line for line in lines(made))
    item = next(one for one in made.items if one.id == "link-energy")
    assert item.variants < 0.01 and any("numbers are not equally hard" in flag for flag in item.flags)


def test_the_report_is_complete_and_asks_for_nothing(found):
    page = analysis_html([found], "2026-11-25")
    assert "default-src 'none'" in page and page.count("<svg") == len(found.items) + 1
    assert all(item.id in page for item in found.items) and "nan" not in page
    json.dumps(data([found]), allow_nan=False)
    rows = list(csv.DictReader(io.StringIO(table([found]))))
    assert [row["question"] for row in rows] == [item.id for item in found.items]


def test_a_text_that_looks_like_a_formula_stays_a_text(found):
    item = replace(found.items[0], flags=("=1+1",))
    assert "'=1+1" in table([replace(found, items=(item,))])


def test_suspicion_needs_two_papers(issues):
    assert suspicious(()) == ()


# -- at the trainer's desk ------------------------------------------------------------------------------


def test_analyse_at_the_desk(desk):  # noqa: F811
    code, _, said = desk("analyse")
    assert code == 1 and "no paper is marked yet" in said
    numbers = issued(desk, "A-07", "A-08")
    for number in numbers.values():
        assert desk("paper", "mark", hand_in(desk, number))[0] == 0
    code, out, _ = desk("analyse", "safety-gate", "--html", "report.html", "--csv", "table.csv")
    assert code == 0 and "2 persons, 2 passed" in out and "2 of 2 right (at 95 %: 34\u00a0% to 100\u00a0%)" in out
    assert (desk.folder / "report.html").is_file() and (desk.folder / "table.csv").is_file()
    code, out, _ = desk("analyse", "--json")
    assert code == 0 and json.loads(out)["plans"][0]["people"] == 2
    code, _, said = desk("analyse", "safety-gat")
    assert code == 1 and "Did you mean safety-gate?" in said


def test_a_folder_without_records_is_told(desk, tmp_path):  # noqa: F811
    from quizgen import cli

    assert cli.main(["analyse", "--records", str(tmp_path / "nothing")]) == 1
    assert not (tmp_path / "nothing").exists()
