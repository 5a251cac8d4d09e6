"""Statistics of questions and papers, in plain Python.

`scores` is one row a person and one column a question; every row is of the same length. What cannot be
computed, since nobody differs or too few are there, is nan, never an error: small groups are the rule here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from quizgen.cohort.distributions import NORMAL_95, chi_square_above, f_point

Row = Sequence[float]


def mean(values: Row) -> float:
    return math.fsum(values) / len(values) if values else math.nan


def variance(values: Row, less: int = 0) -> float:
    """Of the people present (`less` 0), or estimated for all like them (`less` 1)."""
    if len(values) <= less:
        return math.nan
    middle = mean(values)
    return math.fsum((value - middle) ** 2 for value in values) / (len(values) - less)


def facility(scores: Row, most: float = 1) -> float:
    """Mean share of the marks that can be had."""
    return mean(scores) / most


def correlation(one: Row, other: Row) -> float:
    """Pearson's; with a 0/1 row it is the point-biserial correlation. nan where one of them does not vary."""
    if len(one) < 2:
        return math.nan
    m, n = mean(one), mean(other)
    spread = math.sqrt(math.fsum((a - m) ** 2 for a in one) * math.fsum((b - n) ** 2 for b in other))
    if spread <= 1e-12:
        return math.nan
    return math.fsum((a - m) * (b - n) for a, b in zip(one, other, strict=True)) / spread


def rest_correlation(scores: Sequence[Row], column: int) -> float:
    """A question against the sum of all others, so that it does not agree with itself."""
    return correlation([row[column] for row in scores], [math.fsum(row) - row[column] for row in scores])


def upper_lower(scores: Sequence[Row], column: int, share: float = 0.27) -> float:
    """Facility in the best `share` by total less that in the worst, for questions of 0 or 1.

    Ties stay in the order of the rows; with few people the value jumps.
    """
    ranked = sorted(scores, key=math.fsum)
    size = max(1, round(len(ranked) * share))
    lower, upper = ([row[column] for row in part] for part in (ranked[:size], ranked[-size:]))
    return mean(upper) - mean(lower)


def alpha(scores: Sequence[Row]) -> float:
    """Coefficient alpha; for questions of 0 or 1 it is Kuder and Richardson's formula 20.

    One kind of variance stands above and below the line, so either kind gives the same value.
    Sources: L. J. Cronbach, Psychometrika 16, 1951; G. F. Kuder and M. W. Richardson, Psychometrika 2, 1937.
    """
    if len(scores) < 2 or len(scores[0]) < 2:
        return math.nan
    k = len(scores[0])
    total = variance([math.fsum(row) for row in scores])
    if total <= 1e-12:
        return math.nan
    return k / (k - 1) * (1 - math.fsum(variance([row[j] for row in scores]) for j in range(k)) / total)


def kr21(questions: int, average: float, spread: float) -> float:
    """Kuder and Richardson's formula 21, from the mean and variance of the totals alone."""
    return questions / (questions - 1) * (1 - average * (questions - average) / (questions * spread))


def alpha_interval(value: float, people: int, questions: int, level: float = 0.95) -> tuple[float, float]:
    """Feldt's interval of alpha. Source: L. S. Feldt, Psychometrika 30, 1965."""
    if not math.isfinite(value) or people < 2 or questions < 2:
        return math.nan, math.nan
    over, under, out = people - 1, (people - 1) * (questions - 1), (1 - level) / 2
    return 1 - (1 - value) * f_point(1 - out, over, under), 1 - (1 - value) * f_point(out, over, under)


def measurement_error(deviation: float, reliability: float) -> float:
    """Standard error of measurement, in the unit of the deviation."""
    return deviation * math.sqrt(max(0.0, 1 - reliability)) if math.isfinite(reliability) else math.nan


def lengthened(reliability: float, times: float) -> float:
    """Reliability of a test `times` as long, by Spearman and Brown."""
    return times * reliability / (1 + (times - 1) * reliability)


def livingston(reliability: float, spread: float, average: float, cut: float) -> float:
    """Livingston's K² at a pass mark; `spread` is the variance of the totals.

    Source: S. A. Livingston, Journal of Educational Measurement 9, 1972.
    """
    away = (average - cut) ** 2
    return (reliability * spread + away) / (spread + away) if spread + away > 0 else math.nan


def dependability(scores: Sequence[Row], cut: float) -> float:
    """Brennan and Kane's Phi(lambda) at a pass mark given as a share; scores are shares from 0 to 1.

    For questions of 0 or 1 this is 1 - (m (1 - m) - s²) / ((k - 1) ((m - cut)² + s²)), with the mean m and the
    variance s² of the people's shares.
    Source: R. L. Brennan and M. T. Kane, Journal of Educational Measurement 14, 1977.
    """
    if not scores or len(scores[0]) < 2:
        return math.nan
    k = len(scores[0])
    shares = [mean(row) for row in scores]
    error = mean([variance(row, 1) / k for row in scores])
    away = (mean(shares) - cut) ** 2 + variance(shares)
    return 1 - error / away if away > 0 else math.nan


def wilson(right: int, of: int, z: float = NORMAL_95) -> tuple[float, float]:
    """Interval of a share seen as `right` of `of`. Source: E. B. Wilson, J. Am. Stat. Assoc. 22, 1927."""
    if of < 1:
        return 0.0, 1.0
    centre = (right + z * z / 2) / (of + z * z)
    half = z / (of + z * z) * math.sqrt(right * (of - right) / of + z * z / 4)
    low, high = max(0.0, centre - half), min(1.0, centre + half)
    return (0.0 if right == 0 else low), (1.0 if right == of else high)


def alike(right: Sequence[int], of: Sequence[int]) -> tuple[float, int, float]:
    """(chi-square, degrees of freedom, p) that several shares are one, without continuity correction."""
    total, all_ = sum(right), sum(of)
    if len(of) < 2 or min(of) < 1 or total in (0, all_):
        return 0.0, max(0, len(of) - 1), 1.0
    share = total / all_
    made = math.fsum((r - n * share) ** 2 / (n * share * (1 - share)) for r, n in zip(right, of, strict=True))
    return made, len(of) - 1, chi_square_above(made, len(of) - 1)


def exactly_alike(right: tuple[int, int], of: tuple[int, int]) -> float:
    """Fisher's exact p, two-sided, that two shares are one; for groups too small for chi-square."""
    total = sum(right)
    ways = math.comb(sum(of), total)
    chances = [math.comb(of[0], n) * math.comb(of[1], total - n) / ways for n in range(total + 1)]
    seen = chances[right[0]]
    return min(1.0, math.fsum(chance for chance in chances if chance <= seen * (1 + 1e-7)))
