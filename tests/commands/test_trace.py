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


def test_a_drive_with_a_leak_or_a_weld_possible_ends_the_exercise(play):
    told = play("drive-test\n", "star-side-leak")[1]
    assert "Stop. A drive while this is still possible: choke leaks to the chassis." in told and "It is:" not in told
    assert "A drive while this is still possible: negative contactor welded." in play("drive-test\n", "must-stop")[1]
    assert "Stop." not in play("drive-test\nend\n", "half-wave")[1]


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


def test_the_table_can_be_asked_for_a_mode_and_a_battery_voltage(play):
    code, told = play("", "--table", "--mode", "one-line-16", "--battery", "320 V")
    assert code == 0 and "One line, 16 A, battery at 320 V." in told
    assert "attempt on one line" in told and "attempt on three lines" not in told and "25.1\u00a0A" in told
    made = json.loads(play("", "--table", "--mode", "three-lines-16", "--battery", "400", "--json")[1])
    assert (made["mode"], made["battery"], made["inseparable"]) == ("three-lines-16", 400, [])
    assert (
        "16.0\u00a0A" in made["readings"]["three-line-charge"][0]
        and "31\u00a0%" in made["readings"]["three-line-charge"][0]
    )


def test_a_mode_or_voltage_that_is_not_there_is_told_with_what_is(play):
    code, told = play("", "--table", "--mode", "one-line-61")
    assert code == 1 and '"one-line-61" is no mode here: one-line-16, one-line-32' in told and "Did you mean" in told
    for volts in ("900", "-360", "nan", "36O", "", "1e2", "360 kV"):
        code, told = play("", "--table", f"--battery={volts}")
        assert code == 1 and "a voltage from 320 V to 400 V was expected" in told
    code, told = play("", "wet-morning", "--mode", "one-line-16")
    assert code == 1 and "a case keeps its mode" in told
