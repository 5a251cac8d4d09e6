"""The page judges as Python does: verdict, slip, words and value, for every shipped variant."""

import json
import math
from pathlib import Path

import pytest

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.expression.units import STANDARD, table_for_browser
from quizgen.expression.writing import Rounding, digits, spaced, with_unit
from quizgen.marking.judge import judge, key_value, slip_value
from quizgen.variants.compile import compile_bank
from quizgen.variants.general import GENERAL
from quizgen.web.payload import payload
from tests.browser.judging import open_judge
from tests.once import kept

ROOT = Path(__file__).parents[2]
COURSES = {
    "pump": ROOT / "tests/courses/pump",
    "workbench": ROOT / "tests/courses/workbench",
    "real": ROOT / "course",
}
UNITS = table_for_browser(STANDARD)
GARBAGE = (
    "",
    "  ",
    "abc",
    "1/2",
    "1.234",
    "1,234",
    "0",
    "-1",
    "12 5",
    "1e400",
    "5 furlong",
    "3 kg",
    "7 %",
    "1,5,2",
    "４２",
    "50 °C",
)


@pytest.fixture(scope="module", params=COURSES)
def course(request, tmp_path_factory):
    """A course's bank and its calculating questions, compiled."""
    bank = load_bank(COURSES[request.param])
    store = kept(tmp_path_factory) if request.param == "real" else tmp_path_factory.mktemp("cache")
    compiled, faults = compile_bank(bank, Cache(store))
    assert not faults
    return bank, [one for one in compiled if one["kind"] in ("numeric", "look-up") and one["papers"] != "only"]


@pytest.fixture
def judging(page, course, tmp_path):
    """The shipped scripts on an empty page, with the judge within reach."""
    bank, _ = course
    open_judge(page, tmp_path, bank.units)
    return page


def values(given, variant):
    return {
        g["id"]: text if g["words"] else float(text) * g["factor"]
        for g, text in zip(given, variant["given"], strict=True)
    }


EACH = 6
"""Every variant is judged at its edges and slips; each so many-th in every other way too."""


def typed_texts(step, answer, kept, keys, at):
    """What a learner could type here: right, nearly right, slipped; for some variants in other units, and nonsense."""
    if "word" in answer or step["words"]:
        return [answer["shown"], "somewhere else", ""]
    key, tolerance, factor, unit = answer["key"], answer["tolerance"], step["factor"], step["unit"]
    numbers = [
        key,
        key + tolerance,
        key - tolerance,
        key + 1.01 * tolerance,
        key - 1.01 * tolerance,
        key + 3 * tolerance,
    ]
    numbers += [slip_value(slip, kept, keys) for slip in step["slips"]]
    texts = [
        answer["shown"],
        spaced(answer["shown"]),
        with_unit(answer["shown"], unit),
        answer["shown"].replace(".", ","),
    ]
    if at % EACH:
        return texts[:1] + [f"{number / factor:.12g}" for number in [*numbers, -key, key * 10] if abs(number) < 1e25]
    numbers += [key * power for power in (10, 1e-1, 1e3, 1e-3, 1e9, 1e-10, -10, -1, 1.3, 0.6)]
    numbers += [key * one.ratio for one in GENERAL if one.ratio] + [key / one.ratio for one in GENERAL if one.ratio]
    numbers += [1 / key if key else 0, 1 - key, key * 2 * 3**0.5]
    for figures in range(1, 7):
        shown = float(digits(key / factor, Rounding(figures=figures)))
        texts += [
            digits(shown * near, Rounding(figures=figures)) for near in (1, 1 + 10.0**-figures, 1 - 10.0**-figures)
        ]
    same = [name for name, (_, _, dimension) in UNITS.items() if dimension == step["dimension"]]
    texts += [f"{key / UNITS[name][1]!r} {name}" for name in same[:12]]
    if at == 0:
        texts += GARBAGE
    return texts + [f"{number / factor:.12g}" for number in numbers if abs(number) < 1e25]


def cases(compiled):
    """(step, variant, typed, keys, what of them the learner has otherwise) for each answer to be judged."""
    for v, variant in enumerate(compiled["variants"]):
        known = values(compiled["givens"], variant)
        for s, (step, answer) in enumerate(zip(compiled["steps"], variant["answers"], strict=True)):
            kept = variant.get("slips", [{}] * 9)[s]
            for typed in typed_texts(step, answer, kept, known, v):
                yield s, v, typed, dict(known), {}
            yield from follow_through(compiled, variant, v, s, known)
            known[step["find"]] = answer.get("key", answer.get("word"))


def follow_through(compiled, variant, v, s, known):
    """The step worked from an earlier answer that was 30 % too large."""
    step = compiled["steps"][s]
    for earlier in compiled["steps"][:s]:
        if step["key"] is None or not isinstance(known[earlier["find"]], float):
            continue
        own = {earlier["find"]: known[earlier["find"]] * 1.3}
        mine = key_value(step["key"], known | own)
        if isinstance(mine, float) and mine == mine:
            yield s, v, digits(mine / step["factor"], Rounding(**step["rounding"])), dict(known), own
            yield s, v, variant["answers"][s]["shown"], dict(known), own


def slips_with_values(compiled):
    found = set()
    for variant in compiled["variants"]:
        known = values(compiled["givens"], variant)
        for s, (step, answer) in enumerate(zip(compiled["steps"], variant["answers"], strict=True)):
            kept = variant.get("slips", [{}] * 9)[s]
            if "key" in answer:
                found |= {slip["id"] for slip in step["slips"] if math.isfinite(slip_value(slip, kept, known))}
            known[step["find"]] = answer.get("key", answer.get("word"))
    return found


def near(page, python):
    """Both none, or at most 1e-9 apart."""
    return page == python if python is None else math.isclose(page, python, rel_tol=1e-9)


PAGE = """([data, asked]) => asked.map(([s, v, typed, own]) => {
  const variant = data.variants[v];
  const { answers, known } = room.opened(data, variant);
  const keys = known[s];
  const slips = (variant[3] || [])[s] || {};
  const verdict = room.judge(data.steps[s], answers[s], slips, typed, keys, { ...keys, ...own });
  const { kind, slip, says, value } = verdict;
  return [kind, slip, says, value, answers[s].key ?? null];
})"""

# As one text each way, which is much faster than many values; what is not finite becomes a word.
AS_TEXT = f"""(text) => JSON.stringify(({PAGE})(JSON.parse(text)), (_, value) => (
  typeof value === "number" && !isFinite(value) ? String(value) : value))"""


def test_page_and_python_give_the_same_verdict(judging, course):
    bank, questions = course
    seen = set()
    for compiled in questions:
        asked = list(cases(compiled))
        data = json.loads(json.dumps(payload(compiled)))
        sent = [data, [(s, v, typed, own) for s, v, typed, _, own in asked]]
        found = json.loads(judging.evaluate(AS_TEXT, json.dumps(sent)))
        named = set()
        for (s, v, typed, keys, own), (kind, slip, says, value, key) in zip(asked, found, strict=True):
            step, variant = compiled["steps"][s], compiled["variants"][v]
            answer = variant["answers"][s]
            expected = judge(step, answer, variant.get("slips", [{}] * 9)[s], typed, keys, keys | own, bank.units)
            place = f"{compiled['id']} {variant['name']} step {s + 1}: {typed!r}"
            assert (kind, slip, says) == (expected.kind, expected.slip, expected.says), place
            assert near(value, expected.value), place
            assert near(key, answer.get("key")), place
            seen.add(kind)
            named.add(slip)
        # A slip that the page never names would be dead text.
        assert slips_with_values(compiled) <= named, compiled["id"]
    assert {
        "right",
        "slip",
        "general",
        "wrong",
        "blank",
        "unreadable",
        "two ways",
        "unit",
        "rounded too far",
    } <= seen
