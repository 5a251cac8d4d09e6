"""`quizgen work`: any formula or table with any numbers, and a clear line for everything else."""

# ruff: noqa: E501

import json
import math

import pytest

WORKED = "work", "three-phase-power", "--find", "I_L"
NUMBERS = "P=15 kW", "U_LL=415 V", "pf=0.77"


def test_the_solution_is_printed_line_by_line(quizgen):
    """J. O. Bird, Electrical Circuit Theory and Technology, Newnes, Ex. 19.11: 27.10 A."""
    assert quizgen(*WORKED, *NUMBERS) == (
        0, "I_L = P / (√3 · U_LL · λ)\nI_L = 15 kW / (√3 · 415 V · 0.77)\nI_L = 27.10 A\n", "",
    )  # fmt: skip


def test_the_numbers_may_stand_before_or_after_the_options(quizgen):
    wanted = quizgen(*WORKED, *NUMBERS)
    assert quizgen("work", "three-phase-power", *NUMBERS, "--find", "I_L") == wanted
    assert quizgen("work", "three-phase-power", NUMBERS[0], "--find", "I_L", *NUMBERS[1:]) == wanted


def test_the_result_comes_in_the_unit_asked(quizgen):
    assert quizgen(*WORKED, *NUMBERS, "--in", "mA")[1].endswith("I_L = 27 100 mA\n")


def test_the_result_is_data_for_a_program(quizgen):
    code, out, _ = quizgen(*WORKED, *NUMBERS, "--json")
    data = json.loads(out)
    assert code == 0
    assert data["value"] == pytest.approx(15000 / (math.sqrt(3) * 415 * 0.77), rel=1e-11)
    assert (data["find"], data["unit"], data["notes"], len(data["lines"])) == ("I_L", "A", [], 3)


def test_a_class_gives_a_word(quizgen):
    code, out, _ = quizgen("work", "pilot-duty", "--find", "I_p", "d=5 %")
    assert (code, out.splitlines()[-1]) == (0, "I_p: no charging")
    data = json.loads(quizgen("work", "pilot-duty", "--find", "I_p", "d=5 %", "--json")[1])
    assert (data["value"], data["unit"]) == ("no charging", "")


def test_a_table_is_read(quizgen):
    assert quizgen("work", "conductors", "--find", "R_per", "A_c=2.5 mm²")[1].splitlines()[-1] == "R_per = 7.980 Ω/km"
    assert quizgen("work", "conductors-in-a-file", "--find", "R_per", "A_c=3 mm²")[1].endswith("4.610 Ω/km\n")
    assert quizgen("work", "levels", "--find", "state", "U_cp=9 V")[1].endswith("state: B, car connected\n")


def test_a_decimal_comma_is_understood(quizgen):
    assert quizgen(*WORKED, "P=15,0 kW", "U_LL=415 V", "pf=0,77")[1].endswith("I_L = 27.10 A\n")


def test_a_value_outside_the_plausible_is_worked_and_noted(quizgen):
    out = quizgen(*WORKED, "P=15 kW", "U_LL=41.5 V", "pf=0.77")[1]
    assert out.splitlines()[-2:] == [
        "Note: U_LL lies outside the range the course calls plausible.",
        "Note: I_L lies outside the range the course calls plausible.",
    ]


REFUSED = {
    ("no-law", "--find", "x"): '"no-law" is no formula or table here.',
    ("three-phase-powr", "--find", "I_L"): "Did you mean three-phase-power?",
    ("three-phase-power", "--find", "I_l", *NUMBERS): 'three-phase-power finds P, I_L, U_LL, not "I_l". Did you mean I_L?',
    (*WORKED[1:], "P=15 kW"): 'to find I_L by three-phase-power, add U_LL="… V" pf="…"',
    (*WORKED[1:], *NUMBERS[:2], "PF=0.77"): 'has no quantity "PF", only P, U_LL, I_L, pf. Did you mean pf?',
    (*WORKED[1:], *NUMBERS, "I_L=1 A"): "I_L is not needed to find I_L: leave it out",
    (*WORKED[1:], *NUMBERS, "P=16 kW"): '"P=16 kW": expected each known quantity once, like P="11 kW"',
    (*WORKED[1:], *NUMBERS, "kW"): '"kW": expected each known quantity once',
    (*WORKED[1:], *NUMBERS, "=1"): '"=1": expected each known quantity once',
    (*WORKED[1:], "P=15 kw", *NUMBERS[1:]): 'P: "kw" is no unit known here. Did you mean kW?',
    (*WORKED[1:], "P=15", *NUMBERS[1:]): "P: P is measured in kW, but this is a pure number",
    (*WORKED[1:], "P=15 A", *NUMBERS[1:]): "P: P is measured in kW, but this is A",
    (*WORKED[1:], "P=", *NUMBERS[1:]): 'P: "" is no amount: write a number, a space and a unit',
    (*WORKED[1:], "P=15,500 kW", *NUMBERS[1:]): 'P: "15,500 kW" reads two ways: write 15500 or 15.500',
    (*WORKED[1:], "P=1 2,5 kW", *NUMBERS[1:]): '"1 2,5 kW" is no amount',
    (*WORKED[1:], "P=1e99 kW", *NUMBERS[1:]): "an exponent of at most 30",
    (*WORKED[1:], "P=nan kW", *NUMBERS[1:]): '"nan kW" is no amount',
    (*WORKED[1:], "P=\u202e15 kW", *NUMBERS[1:]): '"\\u202e15 kW" is no amount',
    (*WORKED[1:], "P=15 kW", "U_LL=0 V", "pf=1"): "has no value for these numbers: it would divide by zero",
    (*WORKED[1:], *NUMBERS, "--in", "V"): "--in: I_L is measured in A, but this is V",
    (*WORKED[1:], *NUMBERS, "--in", "ampere"): '--in: "ampere" is no unit known here.',
    ("pilot-duty", "--find", "I_p", "d=5"): "d: give the number its unit: 5 %",
    ("pilot-duty", "--find", "I_p", "d=98 %"): "pilot-duty says nothing for d = 98 %: it lies in a gap",
    ("pilot-duty", "--find", "d", "I_p=6 A"): 'pilot-duty finds I_p, not "d".',
    ("copper", "--find", "R_2", "R_1=1 Ω", "theta_1=20 K", "theta_2=70 °C"): "theta_1: give the number its unit: 20 °C",
    ("conductors", "--find", "R_per", "A_c=3 mm²"): "conductors has no row for these values (equal row). Its rows: 1.5, 2.5,",
    ("levels", "--find", "state", "U_cp=9 A"): "U_cp is measured in V, but this is A",
}  # fmt: skip


@pytest.mark.parametrize("words", REFUSED, ids=" ".join)
def test_what_cannot_be_worked_is_one_clear_line(quizgen, words):
    code, out, err = quizgen("work", *words)
    assert (code, out) == (1, "")
    assert len(err.splitlines()) == 1
    assert REFUSED[words] in err
    code, out, err = quizgen("work", *words, "--json")
    assert (code, err) == (1, "")
    assert REFUSED[words] in json.loads(out)["faults"][0]


@pytest.mark.parametrize(
    "garbage", ["", "=", "==", "P==", "P=(", "\x00", "P=\ud800", "💥=1", "P=1 kW kW", "P=" + "9" * 10_000]
)
def test_garbage_never_ends_in_a_traceback(quizgen, garbage):
    code, out, err = quizgen(*WORKED, garbage, *NUMBERS[1:])
    assert (code, out, len(err.splitlines())) == (1, "", 1)
    assert len(err) < 200
