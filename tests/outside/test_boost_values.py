"""Mean values of rectifiers and the whole boost stage, against printed numbers and sums over time.

Printed values come from textbooks, a paper and an application report; the source stands beside each.
What no book prints is proved by adding up the waves point by point.
"""

import numpy as np
import pytest

from quizgen.marking.judge import judge
from quizgen.variants.compile import compile_question
from quizgen.variants.work import work
from tests.once import shipped_bank

BANK = shipped_bank()

JACOB = "J. M. Jacob, Power Electronics: Principles and Applications, Delmar, "
RASHID = "M. H. Rashid, Power Electronics: Devices, Circuits, and Applications, 4th ed., Pearson, "
PHI = "V. Jagannathan, Introduction to Power Electronics, PHI, Ex. 5.5"
KHANNA = "P. S. Bimbhra, Power Electronics, Khanna, Ex. 7.3"
REPORT = "Zlatanov and Salman, EE3 Boost SMPS design report"
NOTES = "public notes and examples on boost converters"
PAPER = "L. Pirashanthiyah and others, Energies 2024, 17, 250, MDPI, table 2"
INTERLEAVING = "M. O'Loughlin, application report SLUA369C, Texas Instruments, 2013, "


def found(law, find, unit="", **given):
    """What the bank's law gives, counted in `unit`."""
    return work(BANK, law, find, given, unit).value


def shown(value, unit=""):
    """An amount as text, with as many figures as the bank reads."""
    return f"{value:.15g} {unit}".strip()


# Rectifiers


@pytest.mark.parametrize(
    ("law", "source", "constant", "where"),
    [
        ("half-wave-mean", "U", 0.4502, JACOB + "Ex. 3.3: 54.02 V from 120 V"),
        ("bridge-mean", "U", 0.9003, "B. R. Gupta and V. Singhal, Power Electronics, Kataria, Ex. 3.6"),
        ("three-pulse-mean", "U_ph", 1.1695, "P. C. Sen, Principles of Electric Machines …, Wiley, Ex. 10.2"),
        ("six-pulse-mean", "U_LL", 1.3505, "P. C. Sen, Principles of Electric Machines …, Wiley, Ex. 10.3"),
        ("six-pulse-mean-by-phase", "U_ph", 2.3391, "the same bridge, from the phase voltage"),
    ],
)
def test_a_rectifier_has_its_printed_mean(law, source, constant, where):
    """Forms as printed; the digits follow from them."""
    assert found(law, "U_dc", **{source: "100 V"}) == pytest.approx(100 * constant, abs=0.005), where


@pytest.mark.parametrize(
    ("law", "pulses", "crest"),
    [
        ("bridge-mean", 2, np.sqrt(2)),
        ("three-pulse-mean", 3, np.sqrt(2)),
        ("six-pulse-mean", 6, np.sqrt(2)),
        ("six-pulse-mean-by-phase", 6, np.sqrt(6)),
    ],
)
def test_a_rectifier_has_the_mean_of_its_crests(law, pulses, crest):
    """Over one pulse the output follows the top of a sine; its mean is integrated here."""
    source = {"bridge-mean": "U", "six-pulse-mean": "U_LL"}.get(law, "U_ph")
    angle = (np.arange(100_000) + 0.5) / 100_000 * 2 * np.pi / pulses - np.pi / pulses
    assert found(law, "U_dc", **{source: "100 V"}) == pytest.approx(100 * crest * np.cos(angle).mean(), rel=1e-8)


@pytest.mark.parametrize(
    ("mean", "given", "angle", "volts", "within", "where"),
    [
        ("three-pulse-mean", {"U_ph": "120 V"}, "60 °", 70.2, 0.05, "P. C. Sen, Ex. 10.2"),
        ("six-pulse-mean", {"U_LL": "480 V"}, "44.4 °", 463.0, 0.4, "P. C. Sen, Ex. 10.3"),
        ("six-pulse-mean", {"U_LL": "400 V"}, "30 °", 467.8, 0.05, "V. Jagannathan, Ex. 3.12"),
    ],
)
def test_delayed_firing_lowers_the_mean_as_printed(mean, given, angle, volts, within, where):
    full = found(mean, "U_dc", **given)
    assert found("delayed-firing-mean", "U_ctrl", U_dc=shown(full, "V"), alpha_f=angle) == pytest.approx(
        volts, abs=within
    ), where


# Duty, times and currents


@pytest.mark.parametrize(
    ("law", "find", "given", "value", "within", "where"),
    [
        ("boost-duty", "D", {"U_S": "220 V", "U_B": "660 V"}, 0.667, 5e-4, PHI),
        ("boost-from-times", "t_on", {"U_S": "220 V", "U_B": "660 V", "t_off": "100 µs"}, 200, 1e-9, PHI),
        ("period-of-times", "t_p", {"t_on": "200 µs", "t_off": "100 µs"}, 300, 1e-9, PHI),
        ("boost-from-period", "U_B", {"U_S": "220 V", "t_p": "300 µs", "t_on": "100 µs"}, 330, 1e-9, PHI),
        ("boost-from-times", "t_off", {"U_S": "220 V", "U_B": "660 V", "t_on": "100 µs"}, 50, 1e-9, KHANNA),
        ("period-of-times", "t_p", {"t_on": "100 µs", "t_off": "50 µs"}, 150, 1e-9, KHANNA),
        ("boost-from-times", "U_B", {"U_S": "220 V", "t_on": "125 µs", "t_off": "25 µs"}, 1320, 1e-9, KHANNA),
        ("boost-duty-with-losses", "D", {"U_S": "8 V", "U_B": "20 V", "eta": "0.9"}, 0.64, 5e-3, REPORT),
        ("boost-duty", "U_B", {"U_S": "24 V", "D": "0.5"}, 48, 1e-9, NOTES),
        ("boost-duty", "D", {"U_S": "5 V", "U_B": "12 V"}, 0.583, 5e-4, NOTES),
        ("boost-duty", "D", {"U_S": "10 V", "U_B": "50 V"}, 0.8, 1e-9, NOTES),
        ("boost-duty", "D", {"U_S": "5 V", "U_B": "15 V"}, 0.6667, 5e-5, RASHID + "Ex. 5.6"),
        ("boost-duty", "D", {"U_S": "260 V", "U_B": "400 V"}, 0.35, 1e-9, PAPER),
        ("boost-duty", "D", {"U_S": "355 V", "U_B": "400 V"}, 0.1125, 1e-9, PAPER),
        ("boost-current", "I_S", {"I_B": "12.5 A", "D": "0.35"}, 19.23, 5e-3, PAPER),
        ("boost-current", "I_S", {"I_B": "12.5 A", "D": "0.1125"}, 14.085, 1e-3, PAPER),
        ("step-down-duty", "d_d", {"U_out": "5 V", "U_in": "12 V"}, 0.417, 5e-4, JACOB + "Ex. 7.2"),
        ("on-time", "t_on", {"D": "0.41667", "f_s": "100 kHz"}, 4.167, 5e-4, JACOB + "Ex. 7.2"),
    ],
)  # fmt: skip
def test_voltages_times_and_currents_are_those_in_print(law, find, given, value, within, where):
    assert found(law, find, **given) == pytest.approx(value, abs=within), where


def test_the_papers_gains_follow_from_its_voltages():
    """Energies 2024, 17, 250, table 2: gain 1.54 down to 1.13 from 260 V and 355 V."""
    for duty, gain in (("0.35", 1.54), ("0.1125", 1.13)):
        assert found("boost-duty", "U_B", U_S="100 V", D=duty) / 100 == pytest.approx(gain, abs=5e-3)


def test_a_whole_design_comes_out_as_printed():
    """Jacob, Ex. 7.6, p. 349: 12 V to 22 V, 0.7 A, efficiency 0.9, 100 kHz; rounded on the way."""
    power = found("efficiency", "P_in", "W", P_out="15.4 W", eta="0.9")
    assert power == pytest.approx(17.1, abs=0.05)
    current = found("star-current-from-power", "I_S", P_out="15.4 W", eta="0.9", U_S="12 V")
    assert current == pytest.approx(1.4, abs=0.05)
    assert found("boost-duty", "D", U_S="12 V", U_B="22 V") == pytest.approx(0.45, abs=5e-3)
    assert found("peak-current", "I_pk", I_w="1.4 A", dI_w="0.35 A") == pytest.approx(1.575)
    coil = found("winding-ripple", "L_w", "µH", U_S="12 V", D="0.45", dI_w="0.35 A", f_s="100 kHz")
    assert coil == pytest.approx(154, abs=0.5)


def test_the_switch_of_that_design_gets_as_warm_as_printed():
    """Jacob, Ex. 7.7: 0.939 A in 0.15 Ω make 132.3 mW; 0.2835 W in all, 65 K/W and 80 °C give 98.4 °C."""
    current = found("lower-switch-current", "I_sw", I_rms="1.4 A", D="0.45")
    assert current == pytest.approx(0.939, abs=5e-4)
    heat = found("heat-in-resistance", "P_h", "W", I="0.939 A", R="0.15 Ω")
    assert heat == pytest.approx(0.1323, abs=1e-4)
    inside = found("junction-temperature", "theta_j", theta_a="80 °C", P_h="0.2835 W", R_th="65 K/W")
    assert inside == pytest.approx(98.4, abs=0.05)


def test_the_pulsed_current_has_the_printed_effective_value():
    """Jacob, Ex. 7.3: 42 % of 500 mA with a ripple of 2 · 67 mA is 325 mA, with a flat top 324 mA."""
    top = found("winding-effective-current", "I_rms", "mA", I_w="500 mA", dI_w="134 mA")
    assert found("lower-switch-current", "I_sw", "mA", I_rms=shown(top, "mA"), D="0.42") == pytest.approx(325, abs=0.5)
    assert found("lower-switch-current", "I_sw", "mA", I_rms="500 mA", D="0.42") == pytest.approx(324, abs=0.5)


# Ripple


@pytest.mark.parametrize(
    ("law", "find", "unit", "given", "value", "within", "where"),
    [
        ("winding-ripple", "L_w", "µH", {"U_S": "10 V", "D": "0.5", "dI_w": "0.22 A", "f_s": "250 kHz"},
         90.9, 0.05, REPORT),
        ("winding-ripple", "dI_w", "A", {"U_S": "5 V", "D": "0.66667", "L_w": "150 µH", "f_s": "25 kHz"},
         0.89, 5e-3, RASHID + "Ex. 5.6"),
        ("winding-ripple-from-battery", "dI_w", "A",
         {"U_B": "15 V", "D": "0.66667", "L_w": "150 µH", "f_s": "25 kHz"}, 0.89, 5e-3, RASHID + "Ex. 5.6"),
        ("peak-current", "I_pk", "A", {"I_w": "1.5 A", "dI_w": "0.89 A"}, 1.945, 1e-9, RASHID + "Ex. 5.6"),
        ("step-down-ripple", "dI_c", "mA",
         {"U_in": "12 V", "U_out": "5 V", "d_d": "0.417", "L_c": "220 µH", "f_s": "100 kHz"},
         134, 2, JACOB + "Ex. 7.2"),
        ("peak-current", "I_pk", "mA", {"I_w": "500 mA", "dI_w": "134 mA"}, 567, 0.5, JACOB + "Ex. 7.2"),
        ("winding-ripple", "L_w", "µH", {"U_S": "120.2 V", "D": "0.69", "dI_w": "4.1 A", "f_s": "100 kHz"},
         200, 5, INTERLEAVING + "eq. 15, rounded to 200 µH"),
    ],
)  # fmt: skip
def test_ripples_and_inductances_are_those_in_print(law, find, unit, given, value, within, where):
    assert found(law, find, unit, **given) == pytest.approx(value, abs=within), where


def test_the_boundary_is_where_a_textbook_puts_it():
    """Erickson and Maksimović, Fundamentals of Power Electronics, ch. 5: 2·L/(R·T) = D·(1 − D)² ≤ 4/27."""
    volts, load = 90.0, 30.0
    critical = []
    for duty in (0.1, 0.25, 1 / 3, 0.5, 0.7, 0.9):
        mean = volts / load / (1 - duty)
        given = {"U_B": shown(volts, "V"), "D": shown(duty), "f_s": "10 kHz"}
        coil = found("boundary-current", "L_w", I_crit=shown(mean, "A"), **given) * 1e-3
        critical.append(2 * coil * 10e3 / load)
        assert critical[-1] == pytest.approx(duty * (1 - duty) ** 2, rel=1e-9)
    assert max(critical) == pytest.approx(4 / 27, rel=1e-9)


# A wrong answer that stands in print


def bench(star, battery):
    """The compiled bench question and its variant with these two voltages."""
    compiled, faults = compile_question(BANK, BANK.questions["boost-bench-duty"])
    assert not faults
    variant = next(v for v in compiled["variants"] if v["given"] == [star, battery])
    return compiled["steps"][0], variant["answers"][0], {"U_S": float(star), "U_B": float(battery)}


@pytest.mark.parametrize("typed", ["0.867", "0.8667", "0,8667", "86.67 %"])
def test_the_wrong_duty_of_a_public_video_is_refused(typed):
    """A public video text prints 0.8667 for 5 V to 15 V; Rashid, Ex. 5.6, prints 66.67 % for the same."""
    step, answer, known = bench("5", "15")
    assert judge(step, answer, {}, typed, known, known).kind == "wrong"
    assert judge(step, answer, {}, "0.667", known, known).kind == "right"


def test_the_wrong_duty_does_not_give_the_voltage_back():
    assert found("boost-duty", "U_B", U_S="5 V", D="0.8667") == pytest.approx(37.5, abs=0.05)


# Shifted legs


def triangle(duty, shift, points):
    """A ripple from 0 to 1 over one period: up during `duty`, then down, begun at `shift`, in samples."""
    at = (np.arange(points) / points - shift) % 1
    return np.where(at < duty, at / duty, (1 - at) / (1 - duty))


def share(legs, duty):
    """Peak-to-peak value of the sum of shifted ripples; one ripple has 1. All corners lie on samples."""
    points = 60_000
    assert abs(round(duty * points) - duty * points) < 1e-6
    total = sum(triangle(duty, leg / legs, points) for leg in range(legs))
    return total.max() - total.min()


@pytest.mark.parametrize("duty", [0.05, 0.10, 0.25, 0.30, 1 / 3, 0.34, 0.40, 0.45, 0.50, 0.60, 2 / 3, 0.67, 0.75, 0.95])
def test_three_legs_leave_what_their_triangles_add_up_to(duty):
    for law, given in (("three-leg-ripple-share", {}), ("sum-ripple-share", {"N_w": "3"})):
        assert found(law, "K_r", D=shown(duty), **given) == pytest.approx(share(3, duty), abs=1e-9), law


@pytest.mark.parametrize("legs", [2, 3, 4, 5, 6])
@pytest.mark.parametrize("duty", [0.02, 0.13, 0.25, 0.38, 0.5, 0.61, 0.77, 0.88, 0.98])
def test_any_number_of_legs_leaves_what_its_triangles_add_up_to(legs, duty):
    got = found("sum-ripple-share", "K_r", N_w=str(legs), D=shown(duty))
    assert got == pytest.approx(share(legs, duty), abs=1e-9)


@pytest.mark.parametrize(("legs", "duty"), [(2, "0.5"), (3, shown(1 / 3)), (3, shown(2 / 3))])
def test_nothing_is_left_where_notes_put_the_zeros(legs, duty):
    """Public notes on interleaved boost stages: no ripple at D = k/N."""
    assert found("sum-ripple-share", "K_r", N_w=str(legs), D=duty) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("legs", "duty", "left"),
    [
        (3, "0.25", 0.333), (3, "0.30", 0.143), (3, "0.40", 0.222), (3, "0.45", 0.306), (3, "0.50", 0.333),
        (3, "0.60", 0.222), (3, "0.75", 0.333), (2, "0.25", 0.667), (2, "0.40", 0.333), (2, "0.60", 0.333),
    ],
)  # fmt: skip
def test_the_share_has_the_values_of_a_table(legs, duty, left):
    """From memory of the closed form; public design code has 2/3 for two legs at 0.25, too."""
    assert found("sum-ripple-share", "K_r", N_w=str(legs), D=duty) == pytest.approx(left, abs=5e-4)


@pytest.mark.parametrize("duty", [0.05, 0.2, 0.35, 0.49, 0.51, 0.65, 0.69, 0.8, 0.95])
def test_two_legs_follow_the_printed_law(duty):
    """SLUA369C, eq. 1 to 3: (1 − 2·D)/(1 − D) up to one half, (2·D − 1)/D above."""
    printed = (1 - 2 * duty) / (1 - duty) if duty <= 0.5 else (2 * duty - 1) / duty
    assert found("sum-ripple-share", "K_r", N_w="2", D=shown(duty)) == pytest.approx(printed, rel=1e-9)


def test_two_legs_at_the_crest_of_a_low_mains_leave_55_percent():
    """SLUA369C, p. 3: 85 V mains, 385 V out, duty 0.68 to 0.69, printed 55 %."""
    crest = found("crest-of-sine", "U_pk", U_eff="85 V")
    duty = found("boost-duty", "D", U_S=shown(crest, "V"), U_B="385 V")
    assert 0.68 <= duty <= 0.69
    assert found("sum-ripple-share", "K_r", N_w="2", D="0.69") == pytest.approx(0.55, abs=5e-3)


def test_two_choppers_have_the_printed_worst_ripple():
    """Rashid, Ex. 14.11: 220 V, 15 mH, two choppers of 350 Hz: U/(4·u·f·L), 5.24 A, at a duty of 1/4."""
    one = found("winding-ripple-from-battery", "dI_w", U_B="220 V", D="0.25", L_w="15 mH", f_s="0.35 kHz")
    left = found("sum-ripple-share", "K_r", N_w="2", D="0.25")
    both = found("sum-ripple", "dI_S", K_r=shown(left), dI_w=shown(one, "A"))
    assert both == pytest.approx(220 / (4 * 2 * 350 * 15e-3), rel=1e-9)
    assert found("sum-ripple-frequency", "f_sum", "Hz", N_w="2", f_s="350 Hz") == pytest.approx(700)


# What no book prints: balance of one period


def test_the_duty_with_lost_volts_balances_the_winding():
    """Over a period the mean voltage across the inductance is zero: on-time and off-time written out."""
    star, battery, current, ohms, leg = 276.7, 400.0, 26.0, 23e-3, 1.0
    duty = found(
        "boost-duty-with-drops", "D",
        U_S=shown(star, "V"), U_B=shown(battery, "V"), I_w=shown(current, "A"),
        R_wind=shown(ohms * 1e3, "mΩ"), U_leg=shown(leg, "V"),
    )  # fmt: skip
    on = star - current * ohms - leg
    off = star - current * ohms - leg - battery
    assert duty * on + (1 - duty) * off == pytest.approx(0, abs=1e-9)


def test_a_straight_ripple_has_the_effective_value_of_its_samples():
    mean, ripple, duty = 6.5, 8.3, 0.3
    wave = mean + ripple * (triangle(duty, 0, 60_000) - 0.5)
    given = {"I_w": shown(mean, "A"), "dI_w": shown(ripple, "A")}
    got = found("winding-effective-current", "I_rms", **given)
    assert got == pytest.approx(np.sqrt((wave**2).mean()), rel=1e-8)
    assert found("peak-current", "I_pk", **given) == pytest.approx(wave.max())
    assert found("lowest-current", "I_v", **given) == pytest.approx(wave.min())
