"""The page reads and writes numbers as Python does: results, sentences and roundings.

The table of cases is that of tests/expression/test_reading.py.
"""

import json
from pathlib import Path
from random import Random

import pytest
import rjsmin

from quizgen.expression.reading import Typed, read
from quizgen.expression.units import entries_for_browser, table_for_browser, unit_list
from quizgen.expression.writing import Rounding, digits, last_place, spaced, with_unit
from tests.browser.conftest import EXPOSED, FRAGMENTS

CASES = json.loads((Path(__file__).parent.parent / "expression" / "reading_cases.json").read_text("utf-8"))
UNITS = unit_list("EUR")
PIECES = [
    *"0123456789.,' -+eExX%/()·*^²⁻³", "\u2212", "\u2013", "\u202f", "\u00a0", "\u2009", "1 000", "1.234",
    "12,5", "x10^", "×10⁻³", " kW", " kw", " Ω", "\u2126", "µA", "\u03bcA", " mV", "1/", " 1/K", "°", "°C",
    " ° C", "℃", " C", "kJ/(kg·K)", " W/m·K", " mv", " EUR", " Ohms", "kOhm", "kWhh", " rpm", "constructor",
    "__proto__", "\u200b", "\ufeff", "٣", "３", "<b>", "\U0001f50b", "’", "\u2028", "\t", "NaN", "Infinity",
    " min", " m2", " s-1", " mm²", " A h", " V AC",
]  # fmt: skip
ROUNDINGS = [Rounding(figures) for figures in (1, 2, 3, 4, 6)] + [
    Rounding(step=step) for step in ("1", "10", "500", "0.1", "0.01", "0.001", "0.5", "0.25", "3")
]


def generated(seed, count):
    """Half of them answers a learner might type, half of them odd pieces put together."""
    random = Random(seed)
    made = []
    for index in range(count):
        if index % 2:
            made.append("".join(random.choices(PIECES, k=random.randint(1, 6))))
            continue
        number = random.choice(["{:.3g}", "{:.2f}", "{:,.1f}", "{:.0f}", "{:.4e}"]).format(10 ** random.uniform(-4, 6))
        number = random.choice([number, number.replace(".", ","), number.replace(",", " "), "\u2212" + number])
        made.append(number + random.choice(["", "", " "]) + random.choice(["", *UNITS.spellings, *PIECES]))
    return made


def python_s(text):
    """What Python reads, in the shape of the page's answer."""
    result = read(text, UNITS)
    if not isinstance(result, Typed):
        return {"why": result.why, "says": result.says}
    unit = result.unit and {
        "text": result.unit.text,
        "factor": pytest.approx(float(result.unit.factor), rel=1e-14),
        "dimension": " ".join(map(str, result.unit.dimension)),
    }
    return {"number": result.number, "unit": unit, "last": result.last, "digits": result.digits}


def in_page(page, function, argument):
    """What the function gives in the page; one text each way, which is much faster than many values."""
    return json.loads(page.evaluate(f"(text) => JSON.stringify(({function})(JSON.parse(text)))", json.dumps(argument)))


@pytest.mark.parametrize("kind", ["script_page", "minified_page"])
def test_the_page_reads_what_python_reads(kind, request):
    texts = [case["typed"] for case in CASES] + generated(91, 2000)
    page = request.getfixturevalue(kind)
    function = "([texts, units]) => texts.map((text) => room.readNumber(text, units))"
    read_there = in_page(page, function, [texts, table_for_browser(UNITS)])
    for text, result in zip(texts, read_there, strict=True):
        assert result == python_s(text), ascii(text)
    assert 500 < sum("number" in result for result in read_there) < len(texts) - 500
    assert {result.get("why") for result in read_there} == {None, "blank", "number", "two ways", "unit"}


@pytest.mark.parametrize("kind", ["script_page", "minified_page"])
@pytest.mark.parametrize("currency", ["", "EUR"])
def test_the_page_makes_the_same_table_of_the_units(kind, currency, request):
    """To the last bit of every factor, and in the same order: the first that is near is suggested."""
    made = in_page(request.getfixturevalue(kind), "room.unitTable", entries_for_browser(unit_list(currency)))
    assert [*made.items()] == [*table_for_browser(unit_list(currency)).items()]


def test_a_typed_field_s_text_is_read_and_never_lost(script_page):
    """A number field would give an empty value for a comma and 0 for nothing; ours is a text field."""
    script_page.set_content('<label>I <input type="text" inputmode="decimal"></label>')
    field = script_page.get_by_label("I")
    for typed, number in [
        ("4,7", 4.7),
        ("4.7", 4.7),
        ("\u22125", -5),
        ("", None),
        ("   ", None),
        ("12 500", 12500),
    ]:
        field.fill(typed)
        result = field.evaluate("(field) => room.readNumber(field.value, {})")
        assert result.get("number") == number
        assert result.get("why") == (None if number is not None else "blank")


FIVES = [sign * n / 1000 for n in range(5, 3000, 10) for sign in (1, -1)]
AWKWARD = [0, -0.0, 9.996, 99.96, 999.6, 0.9996, 0.1 + 0.2, 1.005, 12345.5, 1e21, 1e-7, 1e30, 1e-30, 5e-324]


@pytest.mark.parametrize("kind", ["script_page", "minified_page"])
def test_the_page_writes_what_python_writes(kind, request):
    random = Random(92)
    values = [random.choice((1, -1)) * 10 ** random.uniform(-9, 12) for _ in range(2000)]
    values += [round(random.uniform(-100, 100), random.randint(0, 4)) for _ in range(1000)]
    jobs = [(value, rounding) for value in values for rounding in random.sample(ROUNDINGS, 4)]
    jobs += [(value, rounding) for value in AWKWARD for rounding in ROUNDINGS]
    jobs += [(value, Rounding(step="0.01")) for value in FIVES] + [(value, Rounding(2)) for value in FIVES]
    function = """(jobs) => jobs.map(([value, figures, step]) => {
      const rounding = figures ? { figures } : { step };
      const text = room.writeNumber(value, rounding);
      const shown = room.spaced(text);
      return [text, room.lastPlace(value, rounding), shown, room.withUnit(shown, "kW")];
    })"""
    page = request.getfixturevalue(kind)
    there = in_page(page, function, [[value, r.figures, r.step] for value, r in jobs])
    for (value, rounding), line in zip(jobs, there, strict=True):
        text = digits(value, rounding)
        here = [text, last_place(value, rounding), spaced(text), with_unit(spaced(text), "kW")]
        assert line == here, (value, rounding)


def test_a_degree_sits_close_and_a_pure_number_has_nothing_after_it(script_page):
    assert script_page.evaluate("['°', '°C', '%', ''].map((unit) => room.withUnit('5', unit))") == [
        "5°",
        "5\u00a0°C",
        "5\u00a0%",
        "5",
    ]


def test_the_fragments_are_small_and_have_no_way_to_run_or_insert_text():
    sources = [(FRAGMENTS / name).read_text("utf-8") for name in ("number.js", "stack.js")]
    assert sum(len(rjsmin.jsmin(source).encode()) for source in sources) < 6 * 1024
    for source in sources:
        for word in (
            "innerHTML",
            "eval",
            "new Function",
            "import ",
            "export ",
            "window",
            "document",
            "fetch",
        ):
            assert word not in source


def test_the_fragments_leave_no_global_behind(page):
    before = set(page.evaluate("Object.getOwnPropertyNames(globalThis)"))
    source = "\n".join((FRAGMENTS / name).read_text("utf-8") for name in EXPOSED)
    page.evaluate(f'(function () {{ "use strict";\nconst UNIT_LIST = [];\n{source}\n}})()')
    assert set(page.evaluate("Object.getOwnPropertyNames(globalThis)")) == before
