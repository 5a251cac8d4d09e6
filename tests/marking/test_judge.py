"""One typed answer, one verdict: the order of the rules, their edges, and what each says."""

from __future__ import annotations

import math
from typing import Any

import pytest

from quizgen.expression.parse import parse
from quizgen.expression.program import program
from quizgen.expression.units import read_unit
from quizgen.marking.judge import FREE, judge, slip_margin
from quizgen.variants.general import GENERAL


def step(unit: str, key: str, slips: dict[str, str] | None = None, **more: Any) -> dict[str, Any]:
    """A step as compiled: `key` and slips are expressions in SI names."""
    measured = read_unit(unit)
    return {
        "unit": measured.text, "factor": float(measured.factor), "dimension": " ".join(map(str, measured.dimension)),
        "rounding": {"figures": 3}, "key": program(parse(key)), "unit_asked": False, "words": False, "between": None,
        "slips": [{"id": id, "says": f"{id}!", "forms": [program(parse(form))]} for id, form in (slips or {}).items()],
        "general": [one.id for one in GENERAL], **more,
    }  # fmt: skip


CURRENT = step("A", "P / (U * f)", {"no-root": "P / U"})
KNOWN = {"P": 11000.0, "U": 400.0, "f": math.sqrt(3)}
KEY = {"key": 11000 / (400 * math.sqrt(3)), "shown": "15.9", "tolerance": 0.05}


def verdict(typed: str, asked: dict[str, Any] = CURRENT, answer: dict[str, Any] = KEY, own: Any = None) -> Any:
    return judge(asked, answer, {}, typed, KNOWN, {**KNOWN, **(own or {})})


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("15.9", "right"), ("15,9", "right"), ("15.88", "right"), ("15.9 A", "right"), ("0.0159 kA", "right"),
        ("15900 mA", "right"), ("15.93", "slip or wrong"),
        ("16", "rounded too far"), ("2e1", "rounded too far"),
        ("", "blank"), ("abc", "unreadable"), ("1/2", "unreadable"), ("15.9 a", "unreadable"), ("1.234", "two ways"),
        ("15.9 V", "unit"), ("15.9 kWh", "unit"),
        ("27.5", "slip"), ("27,5 A", "slip"),
        ("-15.9", "general"), ("1590", "general"), ("0.159", "general"), ("31.75", "general"),
        ("99", "wrong"), ("0", "wrong"),
    ],
)  # fmt: skip
def test_each_kind_of_answer_gets_its_verdict(typed: str, kind: str) -> None:
    got = verdict(typed).kind
    assert got in kind if kind == "slip or wrong" else got == kind


@pytest.mark.parametrize(
    ("typed", "key", "kind"),
    [("560", 556, "rounded too far"), ("400", 396, "rounded too far"), ("600 A", 556, "rounded too far"),
     ("0.56 kA", 556, "rounded too far"), ("550", 556, "wrong"), ("5000", 5560, "wrong"), ("1000", 556, "wrong"),
     ("560.0", 556, "wrong"),
     ("500", 500, "right"), ("5560", 556, "general")],
)  # fmt: skip
def test_zeros_that_only_hold_a_place_are_no_figures(typed: str, key: float, kind: str) -> None:
    answer = {"key": float(key), "shown": str(key), "tolerance": 0.5}
    assert judge(step("A", "P"), answer, {}, typed, {"P": key}, {"P": key}).kind == kind


def test_a_named_slip_wins_over_a_number_whose_zeros_hold_a_place() -> None:
    answer = {"key": 556.0, "shown": "556", "tolerance": 0.5}
    got = judge(step("A", "P", {"more": "P + 44"}), answer, {}, "600", {"P": 556.0}, {"P": 556.0})
    assert (got.kind, got.slip) == ("slip", "more")


def test_what_cannot_be_judged_costs_nothing() -> None:
    kinds = {verdict(typed).kind for typed in ("", "abc", "1.234", "15.9 V", "16")}
    assert kinds == {"blank", "unreadable", "two ways", "unit", "rounded too far"} < FREE


def test_a_named_slip_says_the_author_s_words_and_wins_over_a_general_one() -> None:
    # 11000/400 is also √3 times the key: the author's words are the better ones.
    got = verdict("27.5")
    assert (got.kind, got.slip, got.says) == ("slip", "no-root", "no-root!")


def test_a_power_of_ten_says_how_far_and_which_way() -> None:
    assert "1000 times too large" in verdict("15880").says
    assert "100 times too small" in verdict("0.1588").says


def test_an_answer_that_fits_two_general_slips_is_just_wrong() -> None:
    """One divided by 1/√2 is √2, and that is also twice 1/√2: neither may be said."""
    half_root = 1 / math.sqrt(2)
    answer = {"key": half_root, "shown": "0.707", "tolerance": 0.005}
    got = judge(step("1", "x"), answer, {}, "1.41", {"x": half_root}, {"x": half_root})
    assert (got.kind, got.slip) == ("wrong", "")


@pytest.mark.parametrize(
    ("key", "tolerance", "right", "not_right"),
    [
        (7400 / 230, 0.01 * 7400 / 230, ["32", "31.9"], ["31.8", "32.5"]),
        (1.00, 0.02, ["1.02", "0.98"], ["1.021"]),
        (-12.5, 0.1, ["-12.6", "\u221212.4"], ["-12.61", "12.5"]),
        (-200.0, 4.0, ["-204", "-196"], ["200", "-205"]),
    ],
)
def test_limits_are_inclusive_in_decimal(key: float, tolerance: float, right: list[str], not_right: list[str]) -> None:
    """Binary arithmetic makes |1.02 - 1.00| <= 0.02 false; a learner must never meet that."""
    asked = step("A", "x", rounding={"figures": 2})
    answer = {"key": key, "shown": "", "tolerance": tolerance}
    for typed in right:
        assert judge(asked, answer, {}, typed, {"x": key}, {"x": key}).kind == "right", typed
    for typed in not_right:
        assert judge(asked, answer, {}, typed, {"x": key}, {"x": key}).kind != "right", typed


POWER = step("kW", "U * I", rounding={"figures": 3})


@pytest.mark.parametrize(
    ("typed", "earlier", "kind"),
    [
        ("20.0", 50.0, "right"),
        ("12.8", 32.0, "followed through"),
        ("20.0", 32.0, "right"),
        ("12.8", None, "wrong"),
        ("13.5", 32.0, "wrong"),
    ],
)
def test_an_earlier_wrong_value_is_followed_through_and_a_blank_one_is_not(
    typed: str, earlier: float | None, kind: str
) -> None:
    """U = 400 V, R = 8 Ω: I = 50 A, P = 20 kW. With I = 32 A typed before, 12.8 kW follows from it."""
    keys = {"U": 400.0, "I": 50.0}
    answer = {"key": 20000.0, "shown": "20.0", "tolerance": 60.0}
    got = judge(POWER, answer, {}, typed, keys, {"U": 400.0, "I": keys["I"] if earlier is None else earlier})
    assert got.kind == kind


def test_nothing_implausible_is_followed_through() -> None:
    bounded = {**POWER, "between": [0.0, 50000.0]}
    keys, own = {"U": 400.0, "I": 50.0}, {"U": 400.0, "I": 500.0}
    answer = {"key": 20000.0, "shown": "20.0", "tolerance": 60.0}
    assert judge(bounded, answer, {}, "200", keys, own).kind == "general"


def test_the_unit_can_be_part_of_the_answer() -> None:
    asked = step("A", "P / (U * f)", unit_asked=True)
    assert verdict("15.9", asked).kind == "unit missing"
    assert verdict("15.9 A", asked).kind == "right"


def test_a_slip_s_margin_never_reaches_half_the_way_to_the_key() -> None:
    assert slip_margin(27.5, 15.88, 0.05) == pytest.approx(0.05 * 27.5 / 15.88)
    assert slip_margin(16.0, 15.9, 0.3) == pytest.approx(0.05)
    assert slip_margin(16.0, 15.9, 0.01, place=1.0) == pytest.approx(0.05)


def test_a_slip_far_below_the_key_claims_no_answer_that_is_not_near_it() -> None:
    """53 kΩ at 363 V are 146 Ω/V; volts by ohms are 0.00685. The key with a kilo lost, 0.146, is no such slip."""
    assert slip_margin(0.00685, 146.0, 0.5, place=0.00001) == pytest.approx(0.02 * 0.00685)
    asked = step("Ω/V", "R / U", {"turned-over": "U / R"})
    known = {"R": 53000.0, "U": 363.0}
    answer = {"key": 53000 / 363, "shown": "146", "tolerance": 0.5}
    assert judge(asked, answer, {}, "0.00685", known, known).slip == "turned-over"
    assert judge(asked, answer, {}, "0.146", known, known).slip == "power-of-ten"


def test_a_slip_far_smaller_than_the_key_draws_in_no_wrong_prefix() -> None:
    """At 11.3 V and 28 A kilowatts typed for watts are 0.316; volts over amperes, 0.404, are another mistake."""
    asked = step("W", "U * I", {"divided": "U / I"})
    known = {"U": 11.3, "I": 28.0}
    answer = {"key": 316.4, "shown": "316", "tolerance": 0.5}
    got = [judge(asked, answer, {}, typed, known, known) for typed in ("0.316", "0.404")]
    assert [(one.kind, one.slip) for one in got] == [("general", "power-of-ten"), ("slip", "divided")]


def test_a_slip_typed_with_the_figures_asked_is_that_slip_on_either_side_of_a_power_of_ten() -> None:
    """8.347 to three figures has steps of 0.01. The slip beside it, 10.487, has steps of 0.1 and is typed as 10.5."""
    asked = step("A", "U / (R + r)", {"one-load": "U / R"})
    known = {"U": 409.0, "R": 39.0, "r": 10.0}
    answer = {"key": 409 / 49, "shown": "8.35", "tolerance": 0.01}
    got = [judge(asked, answer, {}, typed, known, known).kind for typed in ("10.49", "10.5", "10.6", "10.4")]
    assert got == ["slip", "slip", "wrong", "wrong"]


def test_words_of_a_look_up_are_chosen_not_typed() -> None:
    asked = step("1", "1", words=True)
    assert judge(asked, {"word": "no charging", "shown": "no charging"}, {}, "no charging", {}, {}).kind == "right"
    assert judge(asked, {"word": "no charging", "shown": "no charging"}, {}, "6.0 A", {}, {}).kind == "wrong"


@pytest.mark.parametrize(
    ("typed", "kind"),
    [("70", "right"), ("70 °C", "right"), ("343 K", "right"), ("343.15 K", "right"), ("70 K", "wrong")],
)
def test_kelvins_typed_for_a_celsius_temperature_count_from_absolute_zero(typed: str, kind: str) -> None:
    """0 °C is 273.15 K: BIPM, The International System of Units (SI brochure), 9th edition, 2.3.1."""
    asked = step("°C", "x", rounding={"step": "1"}, general=[])
    answer = {"key": 70.0, "shown": "70", "tolerance": 0.5}
    assert judge(asked, answer, {}, typed, {"x": 70.0}, {"x": 70.0}).kind == kind
