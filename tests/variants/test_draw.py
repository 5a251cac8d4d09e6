"""Which numbers a question may show: what is printed is what is computed with, and halves never meet."""

import itertools
import random
from decimal import Decimal
from types import SimpleNamespace

import numpy as np
import pytest

from quizgen.bank.fields import span
from quizgen.bank.models import Given
from quizgen.expression.units import STANDARD, read_unit
from quizgen.variants.draw import (
    BATCH,
    COMPLETE,
    MAX_DRAWS,
    batches,
    combinations,
    count_of,
    for_papers,
    printed,
    si_values,
    variant_name,
)
from quizgen.variants.mixer import key_of, mixed_array


def spans():
    """Two hundred ranges in many units with up to seven decimals."""
    source = random.Random(7)
    for _ in range(200):
        unit = source.choice(["kW", "mΩ", "L/min", "µF", "°C", "%", "Ω/km", "kWh", "°", "Ah"])
        step = Decimal(source.randint(1, 999)).scaleb(-source.randint(0, 7))
        start = Decimal(source.randint(-500, 5000)).scaleb(-source.randint(0, 4))
        yield f"from {start:f} {unit} to {start + step * source.randint(1, 400):f} {unit} by {step:f} {unit}"


def test_what_is_computed_with_is_exactly_what_is_printed():
    for text in spans():
        start, step, count, unit = span(text, STANDARD)
        given = Given("x", unit, start, step, count)
        texts = [printed(given, n) for n in range(count)]
        assert si_values(given, np.arange(count)).tolist() == [float(one) * float(unit.factor) for one in texts]
        assert [Decimal(one) for one in texts] == [start + n * step for n in range(count)]
        assert len(set(texts)) == count == count_of(given)


def test_a_range_is_printed_with_the_decimals_written():
    """0.10 keeps its figures: they tell a learner how exact the number is."""
    start, step, count, unit = span("from 1.50 kW to 2 kW by 0.1 kW", STANDARD)
    given = Given("P", unit, start, step, count)
    assert [printed(given, n) for n in range(count)] == ["1.50", "1.60", "1.70", "1.80", "1.90", "2.00"]


def test_choices_are_printed_as_written():
    given = Given("pf", read_unit("1"), choices=("0.95", "0.980", "1"))
    assert [printed(given, n) for n in range(3)] == ["0.95", "0.980", "1"]
    assert si_values(given, np.array([2, 0, 1])).tolist() == [1.0, 0.95, 0.98]


def test_a_small_question_tries_every_combination_once(bank):
    question = bank("depot").questions["van-current"]
    drawn = [
        combination
        for batch in batches("depot-basics", question)
        for combination in zip(*(batch.indexes[given.id].tolist() for given in question.givens), strict=True)
    ]
    assert len(drawn) == combinations(question) == 368 <= COMPLETE
    assert set(drawn) == set(itertools.product(range(184), range(1), range(2)))
    assert drawn != sorted(drawn)


def test_the_first_batch_is_the_beginning_of_the_whole_order(bank):
    """It is found without sorting all; NumPy's own sort of the mixer's numbers says what it must be."""
    question = bank("depot").questions["van-current"]
    total = combinations(question)
    assert BATCH < total <= COMPLETE
    order = np.argsort(mixed_array(key_of("depot", question.id), 0, total), kind="stable")
    made = list(batches("depot", question))
    for given, count in zip(question.givens, map(count_of, question.givens), strict=True):
        assert np.array_equal(np.concatenate([batch.indexes[given.id] for batch in made]), order % count)
        order = order // count


def test_a_large_question_never_draws_a_combination_twice(bank):
    question = bank("depot").questions["hot-copper"]
    drawn = [
        combination
        for batch in batches("depot-basics", question)
        for combination in zip(*(batch.indexes[given.id].tolist() for given in question.givens), strict=True)
    ]
    assert combinations(question) > COMPLETE
    assert MAX_DRAWS * 0.9 < len(drawn) == len(set(drawn)) <= MAX_DRAWS


def test_the_order_of_draws_depends_on_course_and_question_only(bank):
    question = bank("tank").questions["fill-the-tank"]

    def first(course):
        return {name: drawn.tolist() for name, drawn in next(iter(batches(course, question))).indexes.items()}

    assert first("tank-basics") == first("tank-basics")
    assert first("tank-basics") != first("other-course")


def test_practice_and_papers_share_no_combination(bank, compiled):
    """Of all combinations about half are kept for papers; of the shipped variants none is."""
    question = bank("depot").questions["van-current"]
    texts = [
        tuple(printed(given, n) for given, n in zip(question.givens, indexes, strict=True))
        for indexes in itertools.product(*(range(count_of(given)) for given in question.givens))
    ]
    kept = {text for text in texts if for_papers("van-current", text)}
    assert 0.4 < len(kept) / len(texts) < 0.6
    shipped = {tuple(variant["given"]) for variant in compiled("depot", "van-current")["variants"]}
    assert len(shipped) == 24
    assert shipped <= set(texts) - kept


def test_without_papers_nothing_is_held_back(compiled):
    made = compiled("depot", "van-current", ("    papers: half\n", ""))
    assert made["counts"]["for papers"] == 0
    assert any(for_papers("van-current", tuple(variant["given"])) for variant in made["variants"])


def test_a_question_for_papers_only_counts_all_its_draws_for_papers(compiled):
    made = compiled("depot", "van-current", ("papers: half", "papers: only"))
    assert made["papers"] == "only"
    assert len(made["variants"]) == 24
    assert made["counts"]["for papers"] >= 24


def test_the_name_of_a_variant_says_its_numbers_for_ever():
    assert variant_name(("11.0", "400", "0.95")) == "46bda205"
    assert len({variant_name((str(n),)) for n in range(5000)}) == 5000
    assert variant_name(("1", "12")) != variant_name(("11", "2"))


@pytest.mark.parametrize(
    ("start", "step", "index", "shown"),
    [("3.7", "0.1", 73, "11.0"), ("-0.5", "0.25", 1, "-0.25"), ("-0.5", "0.25", 2, "0.00"), ("100", "5", 3, "115")],
)
def test_a_number_is_printed_with_every_figure_of_its_start_and_step(start, step, index, shown):
    """As decimal arithmetic prints it."""
    first, by = Decimal(start), Decimal(step)
    given = SimpleNamespace(choices=(), start=first, step=by)
    assert printed(given, index) == shown == format(first + index * by, "f")
