"""Facts of the trade against the bank's laws. Each is common practice, without a published source.

One exercise has printed results: expected cost of inspections in series, from memory, a textbook exercise.
"""

from itertools import permutations

import pytest

from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


STEPS = {"t_take": "20 min", "t_open": "60 min", "t_back": "30 min", "t_trim": "30 min"}
"""Off, open, back, trim, as a workshop counts them; common practice."""


def test_a_charger_of_43_kw_is_a_unit_of_63_a_on_three_lines():
    """Common practice: 43 kW at 400 V needs more than the next smaller rated current, 50 A, and 63 A carry it."""
    amperes = found("three-phase-power", "I_L", "A", P="43 kW", U_LL="400 V", pf="1")
    assert 50 < amperes <= 63
    assert int(found("three-phase-power", "P", "kW", I_L="63 A", U_LL="400 V", pf="1")) == 43


def test_the_same_charger_gets_eleven_kilowatts_from_a_wall_unit_of_16_a():
    """Common practice: the wall unit may allow only 16 A, and then the charger gives about a quarter."""
    wall = found("three-phase-power", "P", "kW", I_L="16 A", U_LL="400 V", pf="1")
    assert wall == pytest.approx(11.1, abs=0.05)
    assert found("power-that-decides", "P_AC", "kW", P_van="43 kW", P_point=f"{wall:.12g} kW") == pytest.approx(wall)


@pytest.mark.parametrize("hours", [4, 5])
def test_a_repair_of_four_to_five_hours_leaves_time_to_find_and_change_the_part(hours):
    """Common practice: off 20 min, open under an hour, back and trim half an hour each, four to five hours in all."""
    left = found("time-of-a-repair", "t_fix", "min", t_sum=f"{60 * hours} min", t_iso="30 min", **STEPS)
    assert 60 <= left <= 150
    again = found("time-of-a-repair", "t_sum", "h", t_fix=f"{left:.12g} min", t_iso="30 min", **STEPS)
    assert again == pytest.approx(hours)


@pytest.mark.parametrize("unit", [3000, 5000, 8000])
def test_a_module_repair_costs_a_few_hundred_against_several_thousand(unit):
    """Common practice: even where one in two came back, the module would cost less than the unit."""
    job = found("cost-of-a-job", "cost_job", "EUR", parts="150 EUR", t_work="4.5 h", rate_w="90 EUR/h")
    assert 300 <= job <= 900
    both = {"cost_one": f"{job:.12g} EUR", "cost_unit": f"{unit} EUR"}
    assert found("module-with-comeback", "cost_mean", "EUR", p_back="50 %", **both) < unit
    even = found("break-even-chance", "p_even", "%", **both)
    assert found("module-with-comeback", "cost_mean", "EUR", p_back=f"{even:.12g} %", **both) == pytest.approx(unit)


def test_the_meter_on_windings_and_choke_comes_after_live_data_and_isolating():
    """Common practice: live data clear what lies upstream, then the meter, and a unit is opened last."""
    steps = BANK.questions["repair-way-of-finding"].order
    live, dead, meter, unit = (
        next(i for i, step in enumerate(steps) if words in step)
        for words in ("live data", "prove it dead", "with the meter", "open only the unit")
    )
    assert live < dead < meter < unit


CHECKS = {"X": (51.75, 12.5), "Y": (2.00, 7.5), "Z": (52.40, 14.0)}
PRINTED = {"YZX": 91.6371, "YXZ": 92.28, "ZYX": 95.2871, "XYZ": 95.9112, "ZXY": 98.41, "XZY": 99.105}


def expected(order):
    given = {f"t_{place}": f"{CHECKS[c][0]} min" for place, c in zip("abc", order, strict=True)}
    given |= {f"p_{place}": f"{CHECKS[c][1]} %" for place, c in zip("ab", order, strict=False)}
    return found("three-checks-in-a-row", "t_exp", "min", **given)


@pytest.mark.parametrize(("order", "printed"), PRINTED.items())
def test_an_order_of_inspections_costs_what_is_printed(order, printed):
    """From memory: a textbook exercise on inspection in series."""
    assert expected(order) == pytest.approx(printed, abs=5e-4)


def test_the_smallest_minutes_for_a_chance_first_is_the_best_of_all_orders():
    """The rule of the page against all six orders of the printed exercise."""
    ratio = {
        c: found("minutes-for-a-chance", "m_test", "min", t_a=f"{t} min", p_a=f"{p} %") for c, (t, p) in CHECKS.items()
    }
    assert min(permutations(CHECKS), key=expected) == tuple(sorted(CHECKS, key=ratio.__getitem__)) == tuple("YZX")


def test_a_search_for_one_fault_is_the_mean_over_where_the_fault_is():
    """Added up over the three places of the fault: each place with its share and the minutes until it is found."""
    given = {"t_a": "12 min", "p_a": "50 %", "t_iso": "30 min", "t_b": "20 min", "p_b": "30 %", "t_c": "23 min"}
    summed = 0.5 * 12 + 0.3 * (12 + 30 + 20) + 0.2 * (12 + 30 + 20 + 23)
    assert found("search-for-one-fault", "t_exp", "min", **given) == pytest.approx(summed)
