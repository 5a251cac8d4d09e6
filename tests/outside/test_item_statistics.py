"""Statistics of questions and papers against published data sets and against SciPy.

Data: five questions of a law school admission test, 1000 persons, in R. D. Bock and M. Lieberman, Psychometrika 35,
1970; SciPy's own example of the point-biserial correlation; R. G. Newcombe, Statistics in Medicine 17, 1998 (intervals
of a share). Numbers of the first, where no page prints them, were computed apart from the code by exact fractions.
"""

import math
import random

import pytest
from scipy import stats

from quizgen.cohort import distributions as d
from quizgen.cohort import statistics as s

PATTERNS = [3, 6, 2, 11, 1, 1, 3, 4, 1, 8, 0, 16, 0, 3, 2, 15, 10, 29, 14, 81, 3, 28, 15, 80, 16, 56, 21, 173, 11, 61,
            28, 298]  # fmt: skip
"""How many persons had which of the 32 patterns of right and wrong, in binary order."""


@pytest.fixture(scope="module")
def law():
    return [[int(sign) for sign in f"{at:05b}"] for at, count in enumerate(PATTERNS) for _ in range(count)]


def totals(scores):
    return [sum(row) for row in scores]


def test_facility_of_the_law_test(law):
    columns = [s.facility([row[j] for row in law]) for j in range(5)]
    assert columns == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870], abs=1e-12)
    assert s.mean(totals(law)) == pytest.approx(3.819, abs=1e-12)
    assert s.variance(totals(law)) == pytest.approx(1.070239, abs=5e-7)
    assert math.sqrt(s.variance(totals(law), 1)) == pytest.approx(1.035041, abs=5e-7)


def test_reliability_of_the_law_test(law):
    value = s.alpha(law)
    assert value == pytest.approx(0.294997, abs=5e-7)
    assert s.kr21(5, 3.819, 1.070239) == pytest.approx(0.196441, abs=5e-7)
    assert s.measurement_error(math.sqrt(s.variance(totals(law), 1)), value) == pytest.approx(0.86907, abs=5e-6)
    assert s.measurement_error(math.sqrt(s.variance(totals(law))), value) == pytest.approx(0.86863, abs=5e-6)


def test_discrimination_of_the_law_test(law):
    whole = [s.correlation([row[j] for row in law], totals(law)) for j in range(5)]
    assert whole == pytest.approx([0.3620, 0.5668, 0.6184, 0.5344, 0.4354], abs=5e-5)
    rest = [s.rest_correlation(law, j) for j in range(5)]
    assert rest == pytest.approx([0.1128, 0.1532, 0.1728, 0.1444, 0.1216], abs=5e-5)


@pytest.mark.parametrize(("cut", "squared"), [(2, 0.8277), (3, 0.5666), (4, 0.3159)])
def test_reliability_at_a_pass_mark(law, cut, squared):
    value = s.livingston(s.alpha(law), s.variance(totals(law)), s.mean(totals(law)), cut)
    assert value == pytest.approx(squared, abs=5e-5)


@pytest.mark.parametrize(("cut", "phi"), [(0.4, 0.8036), (0.6, 0.5060), (0.8, 0.2203)])
def test_dependability_at_a_pass_mark(law, cut, phi):
    assert s.dependability(law, cut) == pytest.approx(phi, abs=5e-5)


def test_a_group_that_all_passes_is_not_measured_badly():
    """Alpha is near 0 there, the index at the pass mark is not."""
    scores = [[1] * 9 + [0]] * 10 + [[0] + [1] * 9] * 10
    assert not s.alpha(scores) > 0.1 and s.dependability(scores, 0.5) > 0.9


def test_point_biserial_of_scipys_own_example():
    found = s.correlation([0, 0, 0, 1, 1, 1, 1], [0, 1, 2, 3, 4, 5, 6])
    assert found == pytest.approx(0.8660254037844386, abs=1e-15)


def test_alpha_with_its_interval():
    rows = list(zip([1, 2, 2, 3, 2, 2, 3, 3, 2, 3], [1, 1, 1, 2, 3, 3, 2, 3, 3, 3], [1, 1, 2, 1, 2, 3, 3, 3, 2, 3],
                    strict=True))  # fmt: skip
    assert s.alpha(rows) == pytest.approx(0.7734375, abs=1e-12)
    assert s.alpha_interval(s.alpha(rows), 10, 3) == pytest.approx((0.3364, 0.9388), abs=5e-5)


def test_alpha_of_six_students():
    rows = [(6, 7, 6), (4, 9, 9), (3, 5, 5), (5, 3, 4), (2, 4, 5), (9, 7, 4)]
    assert s.alpha(rows) == pytest.approx(0.509774, abs=5e-7)


@pytest.mark.parametrize(("k", "average", "spread", "value"), [(70, 50, 100, 0.8696), (50, 43, 25, 0.7747)])
def test_formula_21(k, average, spread, value):
    assert s.kr21(k, average, spread) == pytest.approx(value, abs=1e-4)


@pytest.mark.parametrize(("upper", "lower", "of", "value"), [(9, 3, 11, 0.545), (15, 5, 15, 0.667)])
def test_upper_against_lower_group(upper, lower, of, value):
    """The second column ranks: it holds what the rest of the test said."""
    low = [[int(n < lower), 0] for n in range(of)]
    high = [[int(n < upper), 10] for n in range(of)]
    assert s.upper_lower(low + high, 0, 0.5) == pytest.approx(value, abs=5e-4)


@pytest.mark.parametrize(
    ("deviation", "reliability", "error"), [(5, 0.80, 2.236), (15, 0.95, 3.354), (80, 0.87, 28.844)]
)
def test_standard_error_of_measurement(deviation, reliability, error):
    assert s.measurement_error(deviation, reliability) == pytest.approx(error, abs=5e-4)


def test_a_test_twice_as_long():
    assert s.lengthened(0.94, 2) == pytest.approx(0.969, abs=5e-4)


@pytest.mark.parametrize(
    ("right", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0, 0.1611), (1, 29, 0.0061, 0.1718),
     (18, 20, 0.6990, 0.9721), (10, 10, 0.7225, 1), (9, 10, 0.5958, 0.9821), (0, 5, 0, 0.4345),
     (84, 85, 0.9363, 0.9979)],
)  # fmt: skip
def test_wilsons_interval(right, of, low, high):
    assert s.wilson(right, of) == pytest.approx((low, high), abs=5e-5)
    theirs = stats.binomtest(right, of).proportion_ci(method="wilson")
    assert s.wilson(right, of) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


def test_three_variants_of_unequal_difficulty():
    found = s.alike([18, 15, 9], [20, 20, 20])
    assert found == pytest.approx((10.0, 2, 0.006738), abs=5e-7)


@pytest.mark.parametrize("seed", range(20))
def test_random_data_agree_with_scipy(seed):
    dice = random.Random(seed)
    of = [dice.randint(5, 60) for _ in range(dice.randint(2, 6))]
    right = [dice.randint(1, n - 1) for n in of]
    table = [right, [n - r for r, n in zip(right, of, strict=True)]]
    theirs = stats.chi2_contingency(table, correction=False)
    assert s.alike(right, of) == pytest.approx((theirs.statistic, theirs.dof, theirs.pvalue), rel=1e-9, abs=1e-12)
    two = [row[:2] for row in table]
    assert s.exactly_alike(tuple(right[:2]), tuple(of[:2])) == pytest.approx(stats.fisher_exact(two).pvalue, rel=1e-9)
    one = [dice.randint(0, 1) for _ in range(40)] + [0, 1]
    other = [dice.gauss(0, 1) for _ in one]
    assert s.correlation(one, other) == pytest.approx(stats.pointbiserialr(one, other).statistic, abs=1e-12)


@pytest.mark.parametrize("over", [1, 2, 9, 31, 999])
@pytest.mark.parametrize("under", [1, 4, 18, 270, 3996])
def test_distributions_agree_with_scipy(over, under):
    for share in (0.005, 0.025, 0.5, 0.975):
        assert d.f_point(share, over, under) == pytest.approx(stats.f.ppf(share, over, under), rel=1e-9)
    for value in (0.1, 1.0, 5.0, over * 0.8, over * 1.3, over + 40.0):
        assert d.chi_square_above(value, over) == pytest.approx(stats.chi2.sf(value, over), rel=1e-9, abs=1e-12)
    assert d.binomial_from(3, 12, 1 / (1 + over)) == pytest.approx(stats.binom.sf(2, 12, 1 / (1 + over)), rel=1e-9)


def test_what_cannot_be_computed_is_no_number():
    assert math.isnan(s.alpha([[1, 1], [1, 1]])) and math.isnan(s.correlation([1, 1, 1], [1, 2, 3]))
    assert math.isnan(s.alpha([[1, 0]])) and math.isnan(s.alpha([]))
    assert s.wilson(0, 0) == (0.0, 1.0) and s.alike([0, 0], [5, 5])[2] == 1.0
