"""`quizgen trace`: a case is played to its end, a dead test too early ends it, the table is a document."""

import io
import json
from pathlib import Path

import pytest

from quizgen.cli import main

REPOSITORY = Path(__file__).resolve().parents[2]
COURSE = str(REPOSITORY / "course")
PUMP = str(REPOSITORY / "tests" / "courses" / "pump")


@pytest.fixture
def play(capsys, monkeypatch):
    def run(typed, *words):
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        code = main(["trace", *words, "--course", COURSE])
        told = capsys.readouterr()
        return code, told.out + told.err

    return run


def test_a_case_is_played_to_the_part(play):
    code, told = play("inlet-proximity\npilot-levels\n", "nothing-happens")
    assert code == 0 and "It is: pilot and proximity board" in told and "best order takes 4" in told


def test_a_dead_test_before_isolating_ends_the_exercise(play):
    code, told = play("inlet-pins\n", "wet-morning")
    assert code == 0 and "Stop. A dead test before isolating" in told and "It is:" not in told


def test_a_charge_attempt_with_a_doubtful_insulation_ends_the_exercise(play):
    assert "Stop. A charge attempt while this is still possible" in play("three-line-charge\n", "wet-morning")[1]


def test_strange_words_and_an_end_of_input_do_no_harm(play):
    code, told = play("nonsense\n\x00\n", "wet-morning")
    assert code == 0 and "is nothing to do here" in told and told.rstrip().endswith("Ended.")
    assert play("", "wet-mornin")[1].strip() == '"wet-mornin" is no case here. Did you mean wet-morning?'


def test_the_table_is_text_markdown_or_html(play):
    assert "27.0\u00a0mΩ" in play("", "--table")[1]
    assert "| winding U open | OL |" in play("", "--table", "--as", "markdown")[1]
    assert "<td>OL</td>" in play("", "--table", "--as", "html")[1]


def test_a_course_without_tracing_is_told_so_and_checked_as_before(capsys):
    assert main(["trace", "--course", PUMP]) == 1
    assert "has no fault tracing" in capsys.readouterr().err
    assert main(["check", "--json", "--course", PUMP]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["tracing"] == {"cases": 0, "chain_faults": 0, "tests": 0, "unsolvable": 0}


def test_check_tells_how_long_the_best_order_takes_with_every_fault_possible(capsys):
    assert main(["check", "--json", "--course", COURSE]) == 0
    report = json.loads(capsys.readouterr().out)["tracing"]
    assert {"cases", "chain_faults", "tests", "unsolvable"} < report.keys()
    whole = report["whole_chain"]
    assert whole["suspects"] == report["chain_faults"] + 1 and 30 < whole["minutes"] < whole["worst"]
    assert main(["check", "--course", COURSE]) == 0
    assert f"best {whole['minutes']:.1f} minutes on average" in capsys.readouterr().out
