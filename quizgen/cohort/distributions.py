"""The three distributions that the statistics need, in plain Python, so that a small command loads no large library.

Source of the continued fraction and the series: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions,
National Bureau of Standards, 1964, 6.5.29, 6.5.31 and 26.5.8; from memory: the numbering.
"""

from __future__ import annotations

import math

TINY = 1e-300
CLOSE = 1e-16
MOST_TERMS = 100_000
NORMAL_95 = 1.959963984540054
"""The 97.5 % point of the normal distribution."""


def beta_share(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b); a, b > 0, x from 0 to 1."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1.0 - beta_share(b, a, 1 - x)  # the fraction runs fast only on this side
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    c, d = 1.0, 1 / _away(1 - (a + b) * x / (a + 1))
    made = d
    for m in range(1, MOST_TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d, c = 1 / _away(1 + term * d), _away(1 + term / c)
            made *= d * c
        if abs(d * c - 1) < CLOSE * 4:
            break
    return front * made / a


def _away(value: float) -> float:
    return value if abs(value) > TINY else TINY


def f_below(value: float, over: float, under: float) -> float:
    """P(F <= value) with `over` and `under` degrees of freedom."""
    return beta_share(over / 2, under / 2, over * value / (over * value + under)) if value > 0 else 0.0


def f_point(share: float, over: float, under: float) -> float:
    """The value that F stays below with probability `share`, 0 < share < 1."""
    low, high = 0.0, 1.0
    while f_below(high, over, under) < share:
        high *= 2
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if f_below(middle, over, under) < share else (low, middle)
    return (low + high) / 2


def chi_square_above(value: float, freedom: int) -> float:
    """P(chi-square >= value) with `freedom` degrees of freedom."""
    if value <= 0:
        return 1.0
    a, x = freedom / 2, value / 2
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1:
        term = made = 1 / a
        for n in range(1, MOST_TERMS):
            term *= x / (a + n)
            made += term
            if term < made * CLOSE:
                break
        return 1 - front * made
    b = x + 1 - a
    c, d = 1 / TINY, 1 / b
    made = d
    for n in range(1, MOST_TERMS):
        step = -n * (n - a)
        b += 2
        d, c = 1 / _away(step * d + b), _away(b + step / c)
        made *= d * c
        if abs(d * c - 1) < CLOSE * 4:
            break
    return front * made


def binomial_from(least: int, tries: int, chance: float) -> float:
    """P(at least `least` of `tries`), each with probability `chance`."""
    return math.fsum(
        math.comb(tries, n) * chance**n * (1 - chance) ** (tries - n) for n in range(max(least, 0), tries + 1)
    )
