"""A slip as text: what goes in comes out, whole courses fit, and it still reads when the course was edited."""

import json
import random
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from quizgen.cache import Cache
from quizgen.cohort.pack import ALPHABET, Packed, Reader, Writer, bytes_of, text_of
from quizgen.cohort.progress_slip import Counts, Slip, last_answer
from quizgen.cohort.read_slip import Refused, read_slips
from quizgen.cohort.slip_message import LONGEST, read_data, recent_by_name, slip_text
from quizgen.variants.compile import compile_bank
from quizgen.variants.general import GENERAL
from quizgen.variants.short_names import Salted, kept_apart, long_name
from quizgen.variants.slip_names import Salts, practised, salts
from tests.cohort.slips import COURSE, SAVED, as_results, learner, small_names
from tests.once import shipped_bank

TODAY = date.fromisoformat(SAVED)
CASES = json.loads(Path(__file__).with_name("slip_cases.json").read_text(encoding="utf-8"))
NAMES = small_names()
SALTS = salts(NAMES)


@pytest.fixture(scope="module")
def whole():
    """The names of this repository's course."""
    bank = shipped_bank()
    return practised(bank, compile_bank(bank, Cache(Path(__file__).parents[2] / ".cache" / "quizgen"))[0])


def back(text, names=NAMES, course=COURSE):
    (made,) = read_slips(text, course, names, TODAY)
    assert not isinstance(made, Refused), made
    return made


def as_counted(slip):
    """What a text keeps of it."""
    return {id: one._replace(days=(), lately=()) for id, one in slip.results.items()}


# Numbers and signs


@pytest.mark.parametrize(("text", "wanted"), [("", 0x811C9DC5), ("a", 0xE40C292C), ("foobar", 0xBF9CF968)])
def test_long_names_are_the_published_hash(text, wanted):
    """Test vectors of FNV-1a with 32 bits: RFC 9923, appendix."""
    assert long_name(text) == wanted


@given(some.lists(some.tuples(some.integers(0, 31), some.integers(0, 2**25 - 2))))
def test_numbers_come_back_in_their_contexts(numbers):
    out = Writer()
    for context, value in numbers:
        out.number(context, value)
        out.bit(context * 16, value & 1)
        out.plain(value & 0xFFFF, 16)
    come = Reader(out.done())
    for context, value in numbers:
        assert (come.number(context), come.bit(context * 16), come.plain(16)) == (value, value & 1, value & 0xFFFF)


@given(some.binary())
def test_bytes_come_back_from_their_signs(body):
    text = text_of(body)
    assert bytes_of(text) == body
    assert set(text) <= set(ALPHABET)


@given(some.binary(max_size=400))
@settings(max_examples=300)
def test_any_bytes_end_in_a_slip_or_a_refusal(body):
    """Whoever makes a check sum that fits gets no further than this."""
    import zlib

    try:
        read_data(text_of(zlib.crc32(body).to_bytes(4) + body))
    except Packed:
        pass


# Slips


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_table_of_cases_holds(case):
    """The page's script is held to the same table (tests/browser/test_slip.py)."""
    names = small_names(case["questions"])
    slip = learner(names, case["seed"], case["wrongs"], case["share"], case["code"])
    assert as_results(slip) == case["results"]
    assert slip_text(COURSE, slip, names, Salts(*(Salted(*one) for one in case["salts"]))) == case["text"]
    made = back(case["text"], names)
    assert made.results == as_counted(slip)
    assert (made.code, made.saved, last_answer(made)) == (slip.code, slip.saved, last_answer(slip))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_texts_of_the_first_version_still_read(case):
    """They counted no days of a module, so only those of its last answers are known."""
    names = small_names(case["questions"])
    made, old = back(case["text"], names), back(case["text 1"], names)
    assert case["text 1"].count("SLIP1") == 1
    assert replace(old, days=made.days) == made
    assert all(old.days[module] <= made.days[module] for module in made.days)


def test_a_text_counts_a_modules_days_beyond_its_last_answers():
    """Ten right answers in one sitting, and one long ago in another question of the module."""
    early = Counts(1, 1, 0, 1, True, ("2026-10-01",), ("2026-10-01+",))
    sitting = Counts(10, 10, 0, 1, True, ("2026-11-20",), ("2026-11-20+",) * 10)
    slip = Slip("A-07", SAVED, {"question-0": early, "question-3": sitting})
    made = back(slip_text(COURSE, slip, NAMES, SALTS))
    assert made.recent == {"module-0": ("2026-11-20+",) * 10} and made.days == {"module-0": 2}


def test_a_text_of_a_version_to_come_is_not_taken_for_damaged():
    text = slip_text(COURSE, learner(NAMES, 6), NAMES, SALTS).replace("SLIP2", "SLIP3")
    (made,) = read_slips(text, COURSE, NAMES, TODAY)
    assert str(made) == "it was written by a newer edition of the course: use that edition's quizgen"


@pytest.mark.parametrize("seed", range(12))
def test_counts_slips_and_last_answers_come_back(seed):
    slip = learner(NAMES, seed, wrongs=seed / 3, share=0.2 + seed / 20)
    made = back(slip_text(COURSE, slip, NAMES, SALTS))
    assert made.results == as_counted(slip)
    assert {f"module {id}": answers for id, answers in made.recent.items()} == recent_by_name(slip, NAMES)
    assert made.left_out == made.unknown == 0


def test_a_slip_of_nothing_is_a_slip():
    made = back(slip_text(COURSE, replace(learner(NAMES, 1), results={}), NAMES, SALTS))
    assert made.results == {}


def test_the_whole_course_fits_into_a_message(whole):
    own = salts(whole)
    slip = learner(whole, 3, wrongs=1.0)
    text = slip_text("charging-chain", slip, whole, own)
    assert len(slip.results) >= 460 and sum(len(one.slips) for one in slip.results.values()) > 200
    assert len(text) <= LONGEST
    made = back(text, whole, "charging-chain")
    assert made.left_out == 0
    assert made.results == as_counted(slip)


def test_as_many_questions_and_cases_as_the_course_will_have_fit_too():
    names = small_names(469, 19)
    slip = learner(names, 4, wrongs=1.2)
    assert len(slip.results) == 488
    text = slip_text(COURSE, slip, names, salts(names))
    assert len(text) <= LONGEST and "left out" not in text


def test_what_does_not_fit_is_the_oldest_and_the_text_says_how_many():
    names = small_names(900)
    slip = learner(names, 5, wrongs=3)
    text = slip_text(COURSE, slip, names, salts(names))
    assert len(text) <= LONGEST
    made = back(text, names)
    assert made.left_out == len(slip.results) - len(made.results) > 100
    assert f"{made.left_out} older questions left out" in text
    days = {id: one.lately[-1][:10] for id, one in slip.results.items()}
    assert min(days[id] for id in made.results) >= max(days[id] for id in days.keys() - made.results.keys())
    assert last_answer(made) == last_answer(slip)


def test_it_survives_what_messengers_do():
    text = slip_text(COURSE, learner(NAMES, 6), NAMES, SALTS)
    head, data = text.split("SLIP2 ")
    broken = "\n> ".join(re.findall(".{1,40}", data))
    for sent in (f"Hi!\n> {head}SLIP2\n> {broken}\n\nSee you", f"\u200b{text}\r\n", f"{text} {text}"):
        found = list(read_slips(sent, COURSE, NAMES, TODAY))
        assert found and all(one == found[0] and one.code == "A-07" for one in found)


@pytest.mark.parametrize("seed", range(20))
def test_a_text_with_a_part_missing_or_changed_is_refused(seed):
    text = slip_text(COURSE, learner(NAMES, 7), NAMES, SALTS)
    at = random.Random(seed).randrange(text.index("SLIP2") + 6, len(text) - 1)
    other = "A" if text[at] != "A" else "B"
    for changed in (text[:at], text[:at] + text[at + 1 :], text[:at] + other + text[at + 1 :]):
        (made,) = read_slips(changed, COURSE, NAMES, TODAY)
        assert isinstance(made, Refused)
        assert "copy all of it" in str(made)


# When the course was edited since


def edited(names, added=30, renamed="question-1", removed="question-2"):
    modules = {
        id: tuple("new-name" if one == renamed else one for one in ids if one != removed)
        for id, ids in names.modules.items()
    }
    modules["module-0"] = (*(f"added-{n}" for n in range(added)), *modules["module-0"])
    slips = {("new-name" if id == renamed else id): own for id, own in names.slips.items() if id != removed}
    slips |= {f"added-{n}": {} for n in range(added)}
    return replace(names, modules=modules, slips=slips, was={**names.was, renamed: "new-name"})


def test_it_reads_after_questions_were_added_renamed_and_removed():
    slip = learner(NAMES, 8)
    text = slip_text(COURSE, slip, NAMES, SALTS)
    made = back(text, edited(NAMES))
    wanted = as_counted(slip)
    wanted["new-name"] = wanted.pop("question-1")
    del wanted["question-2"]
    assert made.results == wanted
    assert made.unknown == 1


def test_a_name_that_means_two_things_today_is_left_out_and_counted():
    slip = learner(NAMES, 9)
    text = slip_text(COURSE, slip, NAMES, SALTS)
    mine = SALTS.questions.name("question-4")
    alike = next(id for n in range(10**6) if SALTS.questions.name(id := f"alike-{n}") == mine)
    modules = {**NAMES.modules, "module-0": (*NAMES.modules["module-0"], alike)}
    made = back(text, replace(NAMES, modules=modules, slips={**NAMES.slips, alike: {}}))
    assert "question-4" not in made.results and alike not in made.results
    assert made.unknown == 1


def test_nothing_the_course_can_name_is_taken_for_something_else(whole):
    apart = salts(whole)
    every = set(whole.all())
    assert len({apart.questions.name(name) for name in every}) == len(every)
    general = {one.id for one in GENERAL}
    for slips in whole.slips.values():
        own = set(slips) - general
        assert len({apart.slips.name(slip) for slip in own}) == len(own)


def test_a_course_that_grows_gets_longer_names():
    few, many = (kept_apart([[f"x-{n}" for n in range(count)]], 15) for count in (500, 5000))
    assert few.bits == 15 < many.bits < 24


def test_names_that_no_salt_keeps_apart_are_a_fault(monkeypatch):
    monkeypatch.setattr("quizgen.variants.short_names.MOST_BITS", 5)
    with pytest.raises(ValueError, match="no salt"):
        kept_apart([[f"x-{n}" for n in range(40)]], 5)
