"""Pass marks, chances and streams of numbers against exact sums, a statistics library and published vectors."""

import hmac

import pytest
from scipy.stats import binom

from quizgen.papers.chance import Stream, seed, words
from quizgen.papers.odds import (
    answers_without_failure,
    judged_mark,
    orders_accepted,
    pass_chance,
    shared_variant,
    within,
)


@pytest.mark.parametrize(("needed", "of"), [(8, 10), (16, 20), (18, 20)])
@pytest.mark.parametrize("share", [0.6, 0.7, 0.8, 0.9, 0.95])
def test_the_chance_of_a_mark_is_the_binomial_one(needed, of, share):
    assert pass_chance([1] * of, [], share, needed) == pytest.approx(binom.sf(needed - 1, of, share), rel=1e-12)


def test_judges_and_standard_error():
    """Worked by hand: sums 2.6, 2.8, 2.5; mean 2.6333; SD/sqrt(3) 0.08819."""
    estimates = [(0.6, 0.5, 0.7), (0.7, 0.8, 0.7), (0.8, 0.9, 0.7), (0.5, 0.6, 0.4)]
    made = judged_mark([1, 1, 1, 1], estimates)
    assert made.by_judge == pytest.approx((2.6, 2.8, 2.5))
    assert made.mark == pytest.approx(2.63333, abs=1e-5) and made.error == pytest.approx(0.08819, abs=1e-5)


@pytest.mark.parametrize(("share", "confidence", "count"), [(0.9, 0.95, 29), (0.9, 0.9, 22), (0.8, 0.95, 14)])
def test_answers_without_a_failure(share, confidence, count):
    """Success-run theorem of reliability testing: n = ln(1 - C) / ln(R)."""
    assert answers_without_failure(share, confidence) == count


def test_attempts_raise_the_chance():
    once = binom.sf(15, 20, 0.7)
    assert within(once, 3) == pytest.approx(1 - (1 - once) ** 3) == pytest.approx(0.557, abs=5e-4)


@pytest.mark.parametrize(
    ("of", "papers", "chance"), [(50, 12, 0.762), (200, 20, 0.626), (1000, 20, 0.174), (10000, 20, 0.0188)]
)
def test_drawing_without_care_repeats_numbers(of, papers, chance):
    """The birthday problem."""
    assert shared_variant(of, papers) == pytest.approx(chance, abs=5e-4)


def test_must_pass_answers_are_a_product():
    assert pass_chance([], [1] * 5, 0.95, 5) == pytest.approx(0.95**5) == pytest.approx(0.774, abs=5e-4)


def test_orders_that_count_as_right():
    assert (
        orders_accepted(6, []) == 1 and orders_accepted(6, [[3, 4]]) == 2 and orders_accepted(6, [[1, 2], [2, 3]]) == 6
    )


def test_rfc_4231_hmac_sha_256():
    """RFC 4231, test case 1."""
    made = hmac.digest(b"\x0b" * 20, b"Hi There", "sha256").hex()
    assert made == "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"


def test_a_seed_and_its_stream_are_frozen():
    """Worked with two programming languages that agree; pins the numbers for ever."""
    made = seed(bytes(range(32)), "seed-v1", "P0001", "item-07", "0")
    assert made.hex() == "080cd2b98c90634b07f85b4d8de65166a20fe50a6955ecb55b0c4ef98c249f0a"
    assert [Stream(made).below(100) for _ in range(1)] == [68]
    stream = Stream(made)
    assert [stream.below(100) for _ in range(10)] == [68, 87, 20, 99, 21, 74, 96, 41, 86, 85]
    stream = Stream(made)
    assert [stream.below(6) for _ in range(10)] == [2, 5, 4, 5, 1, 2, 0, 3, 4, 5]
    stream = Stream(made)
    assert [stream.below(3_000_000_000) for _ in range(4)] == [521798987, 311552020, 1149361499, 1236807374]
    assert next(words(made)) % 100 == 68
