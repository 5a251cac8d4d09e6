"""`quizgen show`: a question as its author needs to see it."""

import json
import re

import pytest


def test_five_variants_are_shown_with_key_slips_and_tolerance(quizgen):
    code, out, err = quizgen("show", "van-current")
    assert (code, err) == (0, "")
    assert out.startswith("van-current  (numeric, module B1 Supply and cable)\n")
    assert len(re.findall(r"^Variant \d: [0-9a-f]{8}$", out, re.M)) == 5
    assert len(re.findall(r"^    key        \d+\.\d+ A$", out, re.M)) == 5
    assert len(re.findall(r"^    slip       \d+\.\d+ A  no-root-three: You left out the root\.$", out, re.M)) == 5
    assert (
        len(re.findall(r"^    tolerance  ± 0\.\d+ A \(0\.\d+ %\): half a unit of the last of 3 figures", out, re.M))
        == 5
    )
    assert len(re.findall(r"^    worked     I_L = P / \(√3 · U_LL · λ\)$", out, re.M)) == 5
    assert re.search(r"A van draws \d+\.\d kW from a 400 V supply at power factor λ = 0\.9[58]\.", out)
    assert "24 variants ship." in out
    assert re.search(
        r"^  thrown away: \d+ × slip out-and-back falls on the key$",
        quizgen("show", "drop-of-a-cable")[1],
        re.M,
    )


def test_the_key_shown_follows_from_the_numbers_shown(quizgen):
    _, out, _ = quizgen("show", "van-current")
    shown = re.findall(r"draws ([\d.]+) kW .*? λ = ([\d.]+)\..*?key        ([\d.]+)", out, re.S)
    assert len(shown) == 5
    for power, factor, key in shown:
        assert float(key) == pytest.approx(float(power) * 1000 / (3**0.5 * 400 * float(factor)), rel=0.005)


def test_every_kind_can_be_shown(quizgen):
    assert "right: A car that is ready" in quizgen("show", "which-part")[1]
    assert "wrong: An open pilot line" in quizgen("show", "which-part")[1]
    order = quizgen("show", "isolate")[1]
    assert "  3. Prove that it is dead" in order and "1 and 2 may stand either way round" in order
    looked_up = quizgen("show", "pilot-reading")[1]
    assert "    key        no charging" in looked_up and "    key        65.0 A" in looked_up
    steps = quizgen("show", "drop-of-a-cable")[1]
    assert "What is the resistance per length?" in steps and "row-above: You read the row above." in steps


def test_the_data_is_the_compiled_question(quizgen):
    code, out, _ = quizgen("show", "van-current", "--json")
    data = json.loads(out)
    assert code == 0
    assert data["id"] == "van-current"
    assert len(data["variants"]) == 24
    assert {"text", "givens", "steps", "variants", "counts"} <= data.keys()


def test_a_question_that_is_not_there_is_a_clear_line(quizgen):
    assert quizgen("show", "van-curent") == (
        1,
        "",
        '"van-curent" is no question, formula or table here. Did you mean van-current?\n',
    )
    code, out, err = quizgen("show", "van-curent", "--json")
    assert (code, err) == (1, "")
    assert json.loads(out) == {
        "faults": ['"van-curent" is no question, formula or table here. Did you mean van-current?']
    }


def test_a_formula_is_shown_with_the_names_that_questions_use(quizgen):
    code, out, err = quizgen("show", "three-phase-power")
    assert (code, err) == (0, "")
    assert out.startswith("three-phase-power  (formula: Power of a balanced load)\n")
    assert "\n  I_L = P / (sqrt(3) * U_LL * pf)\n" in out
    assert re.search(r"^  U_LL +voltage between lines in V", out, re.M)
    assert "slip no-root-three: You left out the root." in out and "\n  source: " in out
    assert "give R_per, read: " in quizgen("show", "conductors")[1]
    assert "\n  when d < 10 %: no charging\n" in quizgen("show", "pilot-duty")[1]


def test_a_formula_is_data_for_a_program(quizgen):
    data = json.loads(quizgen("show", "three-phase-power", "--json")[1])
    assert data["letters"].keys() == {"P", "U_LL", "I_L", "pf"}
    assert data["slips"]["no-root-three"]["wrong"][0].startswith("I_L = ")


def test_nothing_alike_says_how_names_are_found(quizgen):
    assert (
        quizgen("show", "xyz")[2] == '"xyz" is no question, formula or table here. quizgen find WORD looks names up\n'
    )
