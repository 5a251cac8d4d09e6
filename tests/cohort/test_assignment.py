"""Assignments for a group, and the one rule of what is done that trainer and page share."""

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from quizgen.bank.load import load_bank
from quizgen.bank.models import Assigned, Done, Group
from quizgen.cohort.assignment import assignments, check_of, done_in_words, file_text, in_words, paste_text, title_of
from quizgen.cohort.done import case_done, module_standing
from quizgen.cohort.slip import slip_html

DEPOT = Path(__file__).parents[1] / "bank" / "depot"
GROUP = Group(
    "autumn-depot",
    "depot-basics",
    ("A-01", "A-02", "A-03"),
    Done(),
    (
        Assigned("pilot", date(2026, 12, 11), ("A-01", "A-02")),
        Assigned("supply", date(2026, 12, 4), ("A-01",)),
    ),
)
MADE = date(2026, 11, 28)


@pytest.fixture(scope="module")
def bank():
    return load_bank(DEPOT)


def test_each_learner_gets_what_is_theirs_by_the_day_it_is_due(bank):
    found = {one.code: [item.what for item in one.items] for one in assignments(GROUP, bank, MADE)}
    assert found == {"A-01": ["supply", "pilot"], "A-02": ["pilot"], "A-03": []}


def test_file_and_text_say_the_same_and_nothing_else(bank):
    first = assignments(GROUP, bank, MADE)[0]
    assert json.loads(file_text(first)) == {
        "file": "assignment", "version": 1, "course": "depot-basics", "title": "Vans in a depot",
        "group": "autumn-depot", "code": "A-01", "made": "2026-11-28",
        "done": {"right": 8, "of last": 10, "on days": 2},
        "items": [{"what": "supply", "due": "2026-12-04"}, {"what": "pilot", "due": "2026-12-11"}],
    }  # fmt: skip
    lines = [
        "assignment 1", "course depot-basics", "group autumn-depot", "code A-01", "made 2026-11-28",
        "done 8 of 10 on 2", "supply 2026-12-04", "pilot 2026-12-11",
    ]  # fmt: skip
    assert paste_text(first).splitlines() == [*lines, f"check {check_of(' '.join(lines))}"]


def test_the_check_is_a_sum_that_anybody_can_work_by_hand():
    """31 × (31 × 97 + 98) + 99 for "abc"."""
    assert check_of("abc") == f"{31 * (31 * 97 + 98) + 99:08x}"
    assert check_of("") == "00000000"
    assert len(check_of("x" * 5000)) == 8


def test_the_slip_shows_the_days_the_rule_and_the_text(bank):
    html = slip_html(assignments(GROUP, bank, MADE)[0])
    assert "B1 Supply and cable" in html and "Friday, 4 December 2026" in html
    assert "8 of the last 10 answers right without help, and some right on 2 different days" in html
    assert "supply 2026-12-04\npilot 2026-12-11\ncheck " in html
    assert "A case:" not in html and "<script" not in html


def test_a_slip_of_hostile_titles_stays_text(bank):
    evil = '<img src=x onerror=alert(1)>"&'
    modules = {id: replace(module, title=evil) for id, module in bank.modules.items()}
    hostile = replace(bank, course=replace(bank.course, title=evil), modules=modules)
    html = slip_html(assignments(GROUP, hostile, MADE)[0])
    assert "<img" not in html and html.count("&lt;img src=x") == 3


def test_what_the_course_no_longer_has_keeps_its_id(bank):
    assert title_of("gone", bank) == "gone"


@pytest.mark.parametrize(
    ("day", "words"),
    [((2026, 12, 4), "Friday, 4 December 2026"), ((2028, 2, 29), "Tuesday, 29 February 2028")],
)
def test_days_are_written_out_in_the_courses_language(day, words):
    assert in_words(date(*day)) == words


def test_one_day_is_told_as_enough():
    assert done_in_words(Done(3, 5, 1)) == "3 of the last 5 answers right without help, one day is enough"


def day(number, signs):
    return [f"2026-11-{number:02d}{sign}" for sign in signs]


RULED = {
    # (answers by question, (right, of, days, done)) under 4 of the last 5 on 2 days
    "nothing yet": ([[]], (0, 0, 0, False)),
    "four right on two days": ([day(1, "++"), day(2, "++")], (4, 4, 2, True)),
    "four right on one day": ([day(1, "++++")], (4, 4, 1, False)),
    "help does not count": ([day(1, "+h+"), day(2, "+h")], (3, 5, 2, False)),
    "old mistakes leave the window": ([day(1, "-----"), day(2, "++"), day(3, "++")], (4, 5, 2, True)),
    "a new mistake comes in": ([day(1, "++"), day(2, "++"), day(3, "-")], (4, 5, 2, True)),
    "two new mistakes undo it": ([day(1, "++"), day(2, "++"), day(3, "--")], (3, 5, 2, False)),
    "mistakes of one day come first": ([day(2, "+"), day(2, "+++--")], (4, 5, 1, False)),
    "a long sitting does not undo an earlier day": ([day(1, "+"), day(2, "+++++")], (5, 5, 2, True)),
    "help on an earlier day is no day": ([day(1, "h"), day(2, "+++++")], (5, 5, 1, False)),
}


@pytest.mark.parametrize("name", RULED)
def test_a_module_is_done_by_its_last_answers(name):
    answers, expected = RULED[name]
    found = module_standing(answers, Done(4, 5, 2))
    assert (found.right, found.of, found.days, found.done) == expected


def test_days_of_answers_that_are_listed_no_more_still_count():
    """A question lists its last ten answers; the days it was right on are kept for longer."""
    sitting, rule = [day(20, "++++++++++")], Done(8, 10, 2)
    assert not module_standing(sitting, rule, ["2026-11-20"]).done
    assert module_standing(sitting, rule, ["2026-11-01", "2026-11-20"]).done
    assert module_standing(sitting, rule, (), 2) == module_standing(sitting, rule, ["2026-11-01"])


def test_earlier_days_alone_make_nothing_done():
    assert not module_standing([day(20, "+++-------")], Done(8, 10, 2), ["2026-11-01", "2026-11-02"]).done


@pytest.mark.parametrize(("signs", "done"), [("", False), ("-", False), ("-+", True), ("+-", False), ("+h", False)])
def test_a_case_is_done_while_its_last_playing_was_right(signs, done):
    assert case_done(day(1, signs)) is done
