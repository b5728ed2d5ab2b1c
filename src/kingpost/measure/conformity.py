"""Holding an uncertain value against a limit: how likely the true value keeps to it.

All uncertainties are one standard uncertainty (k = 1) unless the name says `expanded`.
Source: [jcgm-106-2012] clause 7, normal distribution.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import erf, inf, isfinite, sqrt
from typing import NamedTuple

from .limits import within

SURE = 0.95  # [kingpost-decision] at or over it: meets; at or under 1 - SURE: falls short
ONE_SIDED_95 = 1.6448536269514722  # standard normal quantile of 0.95


class Measured(NamedTuple):
    """A value and its standard uncertainty, in one unit."""

    value: float
    u: float = 0.0


def normal_share(z: float) -> float:
    """Share of a standard normal distribution below z.

    >>> round(normal_share(1.0), 4)
    0.8413
    """
    return 0.5 * (1.0 + erf(z / sqrt(2.0)))


def probability_within(value: float, u: float, low: float = -inf, high: float = inf) -> float:
    """Probability that the true value lies between low and high.

    value, u   the measured value and its standard uncertainty, same unit; u 0 or more
    low, high  the limits, either may be left out

    With u = 0 the plain comparison stands, and equality keeps the limit.

    Source    [jcgm-106-2012] 7.3 to 7.4
    Raises    OutOfRange for nan, an infinite value or a negative u; ValueError for low over high

    A riser measured 7.80 in, good to 1/16 in, against 7 3/4 at most:

    >>> round(probability_within(7.8, 0.0625, high=7.75), 4)
    0.2119
    """
    within("value", value, -1e300, 1e300, "give a number")
    within("u", u, 0.0, 1e300, "give one standard uncertainty, not negative")
    if not low <= high:
        raise ValueError(f"lower limit {low:g} is over upper limit {high:g}; exchange them")
    if u == 0.0:
        return 1.0 if low <= value <= high else 0.0
    over = normal_share((low - value) / u) if isfinite(low) else 0.0
    under = normal_share((high - value) / u) if isfinite(high) else 1.0
    return max(0.0, under - over)


def decide(probability: float, sure: float = SURE) -> str:
    """meets, falls_short or cannot_tell.

    >>> decide(0.2119)
    'cannot_tell'
    """
    within("probability", probability, 0.0, 1.0)
    within("sure", sure, 0.5, 1.0, "give a probability of at least 0.5")
    if probability >= sure:
        return "meets"
    return "falls_short" if probability <= 1.0 - sure + 1e-12 else "cannot_tell"


def guard_band(value: float, u: float, limit: float, upper: bool, against: str, r: float = 1.0) -> str:
    """One of four words: pass, pass_inside_guard, fail_inside_guard, fail.

    upper     True where `limit` is the most allowed, False where it is the least
    against   "accepting" protects people: the acceptance limit moves inward by r * U, U = 2 u.
              "rejecting" protects the house from blame: a value fails plainly only beyond limit + r * U.
              Both give the same four words; `fail` and `pass` are those that stay after the band.

    Source    [ilac-g8-2019] 4.2.3; [jcgm-106-2012] clause 8
    Raises    OutOfRange, ValueError

    >>> guard_band(7.80, 0.0625, 7.75, upper=True, against="rejecting")
    'fail_inside_guard'
    """
    within("value", value, -1e300, 1e300)
    within("u", u, 0.0, 1e300, "give one standard uncertainty, not negative")
    within("r", r, 0.0, 3.0)
    if against not in ("accepting", "rejecting"):
        raise ValueError(f"against is {against}; known: accepting, rejecting")
    margin = limit - value if upper else value - limit
    width = r * 2.0 * u
    if margin >= 0.0:
        return "pass" if against == "rejecting" or margin >= width else "pass_inside_guard"
    return "fail" if against == "accepting" or -margin > width else "fail_inside_guard"


def needed_uncertainty(value: float, limit: float) -> float:
    """The standard uncertainty that would settle on which side of the limit the value lies, same unit.

    Source    [jcgm-106-2012] 7.3 solved for u at 95 percent

    >>> round(needed_uncertainty(7.80, 7.75), 3)
    0.03
    """
    return abs(value - limit) / ONE_SIDED_95


def combine_uncertainty(
    formula: Callable[..., float], inputs: Sequence[Measured], alike: Sequence[tuple[float, ...]] = ()
) -> Measured:
    """The value of a formula and its standard uncertainty, first order, by central differences.

    inputs   what goes in, each with its own uncertainty, taken as independent
    alike    what all inputs share, as shifts of one standard uncertainty each: the bias of one instrument
             that read them all is one more variable, not several

    Source    [jcgm-100-2008] 5.1.2, numeric partial derivatives
    Not for   formulas that bend much within +- 2 u, minima and maxima, ratios whose denominator is < 5 u:
              see `sampled_uncertainty`

    >>> slope = combine_uncertainty(lambda rise, run: 12 * rise / run, [Measured(2.05, 0.0625), Measured(12, 0.0625)])
    >>> round(slope.value, 3), round(slope.u, 4)
    (2.05, 0.0634)
    """
    centre = [m.value for m in inputs]
    total = 0.0
    for index, one in enumerate(inputs):
        if one.u > 0.0:
            shift = tuple(one.u if i == index else 0.0 for i in range(len(inputs)))
            total += _half_swing(formula, centre, shift) ** 2
    for shift in alike:
        total += _half_swing(formula, centre, shift) ** 2
    return Measured(formula(*centre), sqrt(total))


def _half_swing(formula: Callable[..., float], centre: Sequence[float], shift: Sequence[float]) -> float:
    up = formula(*[c + s for c, s in zip(centre, shift, strict=True)])
    down = formula(*[c - s for c, s in zip(centre, shift, strict=True)])
    return (up - down) / 2.0


def plus(*terms: Measured) -> Measured:
    """The sum of independent values.

    >>> plus(Measured(3.0, 0.3), Measured(4.0, 0.4))
    Measured(value=7.0, u=0.5)
    """
    return Measured(sum(t.value for t in terms), sqrt(sum(t.u**2 for t in terms)))


def minus(left: Measured, right: Measured) -> Measured:
    """The difference of two independent values."""
    return plus(left, times(right, -1.0))


def times(value: Measured, factor: float) -> Measured:
    """A value times an exact number.

    >>> times(Measured(2.0, 0.1), -12.0)
    Measured(value=-24.0, u=1.2000000000000002)
    """
    return Measured(value.value * factor, abs(value.u * factor))


def spread(values: Sequence[Measured]) -> Measured:
    """Largest less smallest of several readings, with the uncertainty of the two that make it.

    Raises    ValueError for no values

    >>> spread([Measured(7.5, 0.06), Measured(8.0, 0.06), Measured(7.75, 0.06)]).value
    0.5
    """
    if not values:
        raise ValueError("no values; give at least one")
    return minus(max(values, key=lambda m: m.value), min(values, key=lambda m: m.value))


def sampled_uncertainty(formula: Callable[..., float], inputs: Sequence[Measured], count: int = 4096) -> Measured:
    """The mean of a formula and its standard uncertainty over evenly spread samples of its inputs.

    The samples are a fixed low-discrepancy sequence (Halton), not random numbers: the same inputs give the same
    answer for ever.

    Source    [jcgm-101-2008] propagation of distributions; Halton points in place of random ones
    Raises    ValueError for more than eight uncertain inputs

    >>> both = sampled_uncertainty(lambda a, b: min(a, b), [Measured(0.0, 1.0), Measured(0.0, 1.0)])
    >>> round(both.value, 1), round(both.u, 1)
    (-0.6, 0.8)
    """
    from statistics import NormalDist  # here: importing it costs more than all of this module

    uncertain = [i for i, m in enumerate(inputs) if m.u > 0.0]
    primes = (2, 3, 5, 7, 11, 13, 17, 19)
    if len(uncertain) > len(primes):
        raise ValueError(f"{len(uncertain)} uncertain inputs; give at most {len(primes)}")
    normal, answers = NormalDist(), []
    for step in range(1, count + 1):
        point = [m.value for m in inputs]
        for prime, index in zip(primes, uncertain, strict=False):
            point[index] += inputs[index].u * normal.inv_cdf(_halton(step, prime))
        answers.append(formula(*point))
    mean = sum(answers) / count
    return Measured(mean, sqrt(sum((a - mean) ** 2 for a in answers) / (count - 1)))


def _halton(index: int, base: int) -> float:
    share, place = 0.0, 1.0
    while index:
        place /= base
        share += place * (index % base)
        index //= base
    return share
