"""Every solved form of the course is proved against its stated equation; SymPy is the reference.

Formulas without min, max, abs, floor, cases or tables are proved for all positive numbers at once. The
others stand in `BY_DRAWS` by name, each with the published law written down again in plain Python, and are
compared on a thousand draws; a new one has to be added there deliberately.
"""

# ruff: noqa: E501

import math
import random
from fractions import Fraction

import pytest
import sympy

from quizgen.expression.parse import parse_equation
from quizgen.expression.tree import Binary, Call, Constant, Measure, Name, Negative, Number, walk
from quizgen.variants.work import WorkError, work
from tests.once import shipped_bank

BANK = shipped_bank()
NOT_ALGEBRA = {"min", "max", "abs", "floor", "ceil", "round"}


def by_algebra(formula):
    """Whether all forms of a formula are within reach of a proof."""
    calls = {node.function for form in formula.forms for node in walk(form.right) if isinstance(node, Call)}
    return not formula.cases and not calls & NOT_ALGEBRA


PROVED = {formula.id: formula for formula in BANK.formulas.values() if by_algebra(formula)}

FUNCTIONS = {
    "sqrt": sympy.sqrt, "exp": sympy.exp, "ln": sympy.log, "log10": lambda x: sympy.log(x, 10), "sin": sympy.sin,
    "cos": sympy.cos, "tan": sympy.tan, "asin": sympy.asin, "acos": sympy.acos, "atan": sympy.atan,
}  # fmt: skip


def symbol(name):
    return sympy.Symbol(name, positive=True)


def as_sympy(tree):
    """The tree in coherent SI, with exact numbers."""
    match tree:
        case Number(text=text):
            return sympy.Rational(text)
        case Measure(text=text, unit=unit):
            if not isinstance(unit.factor, Fraction):
                assert unit.text == "°"
                return sympy.Rational(text) * sympy.pi / 180
            return sympy.Rational(text) * sympy.Rational(unit.factor.numerator, unit.factor.denominator)
        case Constant():
            return sympy.pi
        case Name(id=id):
            return symbol(id)
        case Negative(of=of):
            return -as_sympy(of)
        case Binary(op=op, left=left, right=right):
            a, b = as_sympy(left), as_sympy(right)
            return {"+": a + b, "-": a - b, "*": a * b, "/": a / b, "^": a**b}[op]
        case Call(function=function, arguments=(argument,)):
            return FUNCTIONS[function](as_sympy(argument))
    raise TypeError(tree)


def left_over(stated, solved):
    """What is left of the stated equation when the solved form is put into it: 0 if they agree."""
    gap = symbol(stated.left) - as_sympy(stated.right)
    return sympy.simplify(gap.subs(symbol(solved.left), as_sympy(solved.right)))


@pytest.mark.parametrize("name", sorted(name for name, formula in PROVED.items() if len(formula.forms) > 1))
def test_every_solved_form_satisfies_the_stated_equation(name):
    formula = PROVED[name]
    assert formula.stated == 1, "with several stated equations say here which solved form belongs to which"
    stated, *solved = formula.forms
    assert {form.text: left_over(stated, form) for form in solved} == {form.text: 0 for form in solved}


@pytest.mark.parametrize(
    "wrong",
    ["I = U * R", "I = 1.0001 * U / R", "I = U / R + 1 nA", "R = I / U", "I = -U / R"],
)
def test_a_wrong_solved_form_leaves_something_over(wrong):
    assert left_over(parse_equation("U = I * R"), parse_equation(wrong)) != 0


def test_percent_and_degrees_count_exactly():
    assert left_over(parse_equation("I_p = 0.6 A/% * d"), parse_equation("d = I_p / 0.6 A/%")) == 0
    assert left_over(parse_equation("x = cos(60 °) * y"), parse_equation("y = 2 * x")) == 0


# What no algebra reaches


def pilot(d):
    """Public manual of a test adapter, table of duty and current; 3 to 7 % as decoders accept it."""
    if 3 <= d <= 7:
        return "digital communication"
    if d < 8 or d > 97:
        return "no charging"
    if d < 10:
        return 6
    return min(80, 0.6 * d if d <= 85 else 2.5 * (d - 64))


def duty(current):
    """The same table turned round; between 51 A and 52.5 A it says nothing."""
    if 51 < current <= 52.5:
        return None
    return current / 0.6 if current <= 51 else 64 + current / 2.5


def state(volts):
    """Nominal levels 12, 9, 6, 3, 0 and -12 V, each with 1 V to both sides (IEC 61851-1, from memory)."""
    named = {
        12: "A, no van connected", 9: "B, van connected and not ready", 6: "C, van ready to charge",
        3: "D, van ready and asks for ventilation", 0: "E, fault or no supply", -12: "F, point not available",
    }  # fmt: skip
    return next((name for level, name in named.items() if abs(volts - level) <= 1), None)


def coded_current(ohms):
    """User manual of a charging controller, table of proximity resistors."""
    for limit, amperes in ((75, "error"), (150, 63), (330, 32), (1000, 20)):
        if ohms < limit:
            return amperes
    return 13 if ohms <= 2200 else "error"


def ends_of_a_bus(ohms):
    """One, two or three resistors of 120 Ω, each within a tenth; common practice names the touching wires."""
    if ohms < 5:
        return "the wires touch"
    names = {120: "one end is missing", 60: "both ends are there", 40: "a third resistor"}
    return next((name for middle, name in names.items() if 9 * middle <= 10 * ohms <= 11 * middle), None)


def line_of_a_sensor(volts):
    """A tenth of a volt from ground and from a supply of 5 V; common practice."""
    if volts < 0.1:
        return "shorted to ground"
    return "plausible" if volts <= 4.9 else "open"


def loop_of_plugs(volts):
    """5 V behind 180 Ω, 60 Ω at the end: 57 Ω to 70 Ω count as closed; common practice of the course."""
    for limit, name in ((0.2, "short to 0 V"), (1.2, "too little"), (1.4000001, "closed"), (4.5, "too much")):
        if volts < limit:
            return LOOP[name]
    return "open"


LOOP = {
    "short to 0 V": "short to 0 V before the end resistor",
    "too little": "too little, a path to 0 V beside the end resistor",
    "closed": "closed",
    "too much": "too much, a poor contact in the loop",
}


def steps(*limits, last):
    """A class by upper limits: steps((60, "A"), last="B")."""
    return lambda value: next((name for limit, name in limits if value <= limit), last)


def triangles(legs, duty):
    """Ripple of the sum of shifted triangles as a share of one leg's, added up point by point."""
    fall = 1 / (1 - duty)

    def leg(at):
        at %= 1.0
        return at / duty if at < duty else (1 - at) * fall

    # The sum is straight between the corners of its legs, so looking at the corners is enough.
    corners = sorted({(shift / legs + corner) % 1.0 for shift in range(legs) for corner in (0.0, duty)})
    sums = [sum(leg(corner - shift / legs) for shift in range(legs)) for corner in corners]
    return max(sums) - min(sums)


def unbalance(u_12, u_23, u_31, mean):
    """NEMA MG 1: largest deviation from the mean over the mean, in per cent."""
    return 100 * max(abs(u - mean) for u in (u_12, u_23, u_31)) / mean


AS_EXPECTED = "as expected, test again after one minute"
SOURCE, ZONE = "stop, the source has to be found", "not isolated, leave the zone"
EVEN, WATCH, UNEVEN = "even, write it down", "watch it, measure again at one temperature", "not even, find the cause"

# formula: (quantity found, quantities given, the law in their own units)
BY_DRAWS = {
    "pilot-duty": ("I_p", ("d",), pilot),
    "duty-for-current": ("d", ("I_p",), duty),
    "pilot-state": ("state", ("U_cp",), state),
    "proximity-decoder": ("I_pp", ("R_pp",), coded_current),
    "allowed-current": ("I_allow", ("I_p", "I_pp", "I_obc", "I_inst"), min),
    "voltage-unbalance": ("u_unb", ("U_12", "U_23", "U_31", "U_mean"), unbalance),
    "winding-imbalance": ("b_R", ("R_U", "R_V", "R_W", "R_m"), unbalance),
    "imbalance-verdict": ("balance", ("b_R",), steps((1, EVEN), (2, WATCH), last=UNEVEN)),
    "sum-ripple-share": ("K_r", ("N_w", "D"), lambda legs, duty: triangles(round(legs), duty)),
    "three-leg-ripple-share": ("K_r", ("D",), lambda duty: triangles(3, duty)),
    # ISO 6469-3, from memory
    "voltage-class-dc": ("v_class", ("U_dir",), steps((60, "class A"), (1500, "class B"), last="above class B")),
    "voltage-class-ac": ("v_class", ("U_alt",), steps((30, "class A"), (1000, "class B"), last="above class B")),
    # IEC 60903, direct voltages from memory
    "glove-class-dc": ("glove", ("U_dir",), steps((750, "class 00 at least"), (1500, "class 0"), last="class 1 or higher")),
    "glove-class-ac": ("glove", ("U_alt",), steps((500, "class 00 at least"), (1000, "class 0"), last="class 1 or higher")),
    "instrument-rating": ("U_rated", ("U_full",), steps((600, 600), (1000, 1000), last=1500)),
    # common practice
    "dead-reading-dc": ("verdict", ("U_dir",), steps((5, AS_EXPECTED), (60, SOURCE), last=ZONE)),
    "dead-reading-ac": ("verdict", ("U_alt",), steps((5, AS_EXPECTED), (30, SOURCE), last=ZONE)),
    "bus-state": ("bus_state", ("R_bus",), ends_of_a_bus),
    "sensor-line-state": ("line_state", ("u_div",), line_of_a_sensor),
    "loop-state": ("loop_state", ("U_read",), loop_of_plugs),
    "power-that-decides": ("P_AC", ("P_van", "P_point"), min),
    "hours-and-minutes": ("t_rest", ("t_dec",), lambda hours: 60 * (hours % 1)),
}  # fmt: skip

WHOLE = {"N_w": (1, 8)}
"""Quantities that count: whole numbers between these."""


def test_every_formula_is_proved_one_way_or_the_other():
    assert sorted(BY_DRAWS) == sorted(BANK.formulas.keys() - PROVED.keys())


def limits(formula):
    """The numbers that the conditions of a formula compare with."""
    return [
        float(node.text) for case in formula.cases for node in walk(case.when) if isinstance(node, Measure | Number)
    ]


def draw(source, name, near):
    """A value of a quantity in its own unit, as text; half of the values lie on or beside a limit."""
    quantity = BANK.quantities[name]
    factor = float(quantity.unit.factor)
    low, high = quantity.low / factor, quantity.high / factor
    if name in WHOLE:
        return str(source.randint(*WHOLE[name]))
    value = source.uniform(low, high)
    if near and source.random() < 0.5:
        value = source.choice(near) + source.choice([0, 0, 0.001, -0.001, 1, -1])
    value = min(max(value, low), high)
    return f"{value:.5f}" if value else "0"


@pytest.mark.parametrize("name", sorted(BY_DRAWS))
def test_a_law_with_cases_agrees_with_the_published_one(name):
    find, given, law = BY_DRAWS[name]
    source = random.Random(name)
    units = {quantity: BANK.quantities[quantity].unit.text for quantity in given}
    seen = set()
    for _ in range(1000):
        texts = {quantity: draw(source, quantity, limits(BANK.formulas[name])) for quantity in given}
        if "D" in texts and not 0 < float(texts["D"]) < 1:
            continue  # at 0 and 1 nothing switches and there is no ripple to share
        wanted = law(*(float(text) for text in texts.values()))
        amounts = {quantity: f"{text} {units[quantity]}".strip() for quantity, text in texts.items()}
        if wanted is None:
            with pytest.raises(WorkError, match="says nothing"):
                work(BANK, name, find, amounts)
        elif isinstance(wanted, str):
            assert work(BANK, name, find, amounts).word == wanted, amounts
        else:
            assert work(BANK, name, find, amounts).value == pytest.approx(wanted, rel=1e-9, abs=1e-12), amounts
        seen.add(wanted if isinstance(wanted, str) else type(wanted))
    assert len(seen) == KINDS.get(name, 1)


KINDS = {
    "pilot-duty": 4, "duty-for-current": 2, "pilot-state": 7, "proximity-decoder": 2, "voltage-class-dc": 3,
    "voltage-class-ac": 3, "glove-class-dc": 3, "glove-class-ac": 3, "dead-reading-dc": 3, "dead-reading-ac": 3,
    "imbalance-verdict": 3,
    "bus-state": 5, "sensor-line-state": 3, "loop-state": 5,
}  # fmt: skip
"""How many words and kinds of numbers must come up, so that no case is left untried."""


def test_triangles_added_up_give_the_known_shares():
    """Two legs at half duty cancel; three cancel at a third and at two thirds."""
    assert triangles(1, 0.3) == pytest.approx(1)
    assert triangles(2, 0.5) == pytest.approx(0, abs=1e-12)
    assert triangles(3, 1 / 3) == pytest.approx(0, abs=1e-12)
    assert triangles(3, 0.25) == pytest.approx(1 / 3)
    assert math.isclose(triangles(2, 0.25), 2 / 3)


TABLES = {
    "conductor-class-2": {1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524, 50: 0.387, 70: 0.268, 95: 0.193},
    "conductor-class-5": {1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.3, 10: 1.91, 16: 1.21, 25: 0.78, 35: 0.554, 50: 0.386, 70: 0.272, 95: 0.206},
    "proximity-coding": {1500: 13, 680: 20, 220: 32, 100: 63},
    "pilot-states": {12: "A, no van connected", 9: "B, van connected and not ready", 6: "C, van ready to charge",
                     3: "D, van ready and asks for ventilation", 0: "E, fault or no supply", -12: "F, point not available"},
    "plug-type-1": {150: "plug latched", 480: "button pressed"},
}  # fmt: skip
"""IEC 60228, tables 2 and 3; nominal values of IEC 61851-1 and SAE J1772, as in the sources of the tables."""


def test_every_table_is_written_down_again_here():
    assert sorted(TABLES) == sorted(BANK.tables)


@pytest.mark.parametrize("name", sorted(TABLES))
def test_a_table_gives_what_is_published_and_nothing_between(name):
    table, source = BANK.tables[name], random.Random(name)
    (entry,) = table.inputs
    unit = BANK.quantities[entry].unit.text
    assert len(table.rows) == len(TABLES[name])
    for _ in range(1000):
        value = source.choice(list(TABLES[name]))
        got = work(BANK, name, table.output, {entry: f"{value} {unit}"})
        wanted = TABLES[name][value]
        assert got.word == wanted if isinstance(wanted, str) else got.value == pytest.approx(wanted, rel=1e-12)
    with pytest.raises(WorkError, match="has no row for these values"):
        work(BANK, name, table.output, {entry: f"{value + 0.25} {unit}"})
