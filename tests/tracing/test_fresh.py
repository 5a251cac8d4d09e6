"""Another van with the same complaint: drawn by the weights, the same for the same number, its best order its own."""

from collections import Counter

import pytest

from quizgen.tracing.fresh import another, path


def test_the_best_order_from_the_table_is_the_one_that_was_worked_out(compiled):
    for case in compiled["cases"].values():
        if not case["outside"]:
            assert [list(step) for step in path(case, case["fault"])] == [list(step) for step in case["path"]]


def test_the_same_number_is_the_same_van_and_nothing_else_changes(compiled):
    case = compiled["cases"]["half-wave"]
    van = another(case, 4)
    assert another(case, 4) == van and another(case, 0) == case
    assert {k: v for k, v in van.items() if k not in ("fault", "says", "path")} == {
        k: v for k, v in case.items() if k not in ("fault", "says", "path")
    }


def test_faults_come_as_often_as_their_weights_say(compiled):
    case = compiled["cases"]["half-wave"]
    drawn = Counter(another(case, number)["fault"] for number in range(1, 4001))
    whole = sum(suspect["weight"] for suspect in case["suspects"])
    for suspect in case["suspects"]:
        assert drawn[suspect["id"]] / 4000 == pytest.approx(suspect["weight"] / whole, abs=0.03)


def test_what_the_mentor_says_of_the_first_van_is_not_said_of_another_fault(compiled):
    case = compiled["cases"]["half-wave"]
    vans = [another(case, number) for number in range(1, 30)]
    assert all(bool(van["says"]) == (van["fault"] == case["fault"]) for van in vans)
