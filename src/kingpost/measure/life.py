"""How long parts of a house last, and what replacing them may cost: Weibull lives, conditioned on the age reached."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import blake2b
from math import exp, gamma, log, sqrt
from random import Random
from statistics import NormalDist
from typing import NamedTuple

from .limits import within

P10, P90 = 0.10, 0.90


class Life(NamedTuple):
    """A Weibull life: shape, scale and mean in years."""

    shape: float
    scale_years: float
    mean_years: float


def _life(shape: float, scale: float) -> Life:
    return Life(shape, scale, scale * gamma(1.0 + 1.0 / shape))


def life_of_range(low_years: float, high_years: float) -> Life:
    """The Weibull life whose 10th and 90th percentiles are a published low and high.

    Source    our specification of checks: on seven items it gives the survey's own average within 0.6 years
    Raises    OutOfRange

    >>> life = life_of_range(11.0, 23.0)
    >>> round(life.shape, 3), round(life.scale_years, 2), round(life.mean_years, 2)
    (4.182, 18.84, 17.12)
    """
    within("low_years", low_years, 0.1, 500.0)
    within("high_years", high_years, low_years * 1.01, 500.0, "the high life has to be over the low one")
    shape = log(log(1.0 - P90) / log(1.0 - P10)) / log(high_years / low_years)
    return _life(shape, high_years / (-log(1.0 - P90)) ** (1.0 / shape))


def life_of_typical(typical_years: float, shape: float) -> Life:
    """The Weibull life of a shape whose mean is a typical life.

    Source    Weibull's mean

    >>> round(life_of_typical(20.0, 3.5).scale_years, 2)
    22.23
    """
    within("typical_years", typical_years, 0.1, 500.0)
    within("shape", shape, 0.5, 20.0)
    return _life(shape, typical_years / gamma(1.0 + 1.0 / shape))


def replaced_within(shape: float, scale_years: float, age_years: float, holding_years: float) -> float:
    """Probability that a part which has reached its age has to be replaced within so many years.

    Source    Weibull, conditioned on the age

    >>> round(replaced_within(4.182, 18.84, 15.0, 7.0), 3)
    0.783
    """
    _check(shape, scale_years, age_years)
    within("holding_years", holding_years, 0.0, 200.0)
    return 1.0 - exp((age_years / scale_years) ** shape - ((age_years + holding_years) / scale_years) ** shape)


def median_remaining_years(shape: float, scale_years: float, age_years: float) -> float:
    """Years after which half of the parts that reached this age have been replaced.

    Source    Weibull, conditioned on the age

    >>> round(median_remaining_years(4.182, 18.84, 15.0), 1)
    4.2
    """
    _check(shape, scale_years, age_years)
    return float(scale_years * ((age_years / scale_years) ** shape + log(2.0)) ** (1.0 / shape) - age_years)


def _check(shape: float, scale_years: float, age_years: float) -> None:
    within("shape", shape, 0.3, 50.0)
    within("scale_years", scale_years, 0.1, 1000.0)
    within("age_years", age_years, 0.0, 300.0)


class Part(NamedTuple):
    """A part for the cost plan. Condemned: to be replaced now, whatever its age."""

    shape: float
    scale_years: float
    age_years: float
    cost: tuple[float, float, float]  # low, likely, high, of today
    condemned: bool = False


class Cost(NamedTuple):
    """What replacing may cost over the years held, in money of today where discounted."""

    mean: float
    p50: float
    p90: float
    per_year: float
    one_in_ten: float  # the same as p90: one chance in ten that it is more


def triangular(share: float, low: float, likely: float, high: float) -> float:
    """The value of a triangular cost below which a share of the cases lies.

    Source    its distribution, inverted

    >>> triangular(0.5, 0.0, 1.0, 2.0)
    1.0
    """
    within("share", share, 0.0, 1.0)
    within("likely", likely, low, high, "the likely cost lies between low and high")
    if high == low:
        return low
    if share < (likely - low) / (high - low):
        return low + sqrt(share * (high - low) * (likely - low))
    return high - sqrt((1.0 - share) * (high - low) * (high - likely))


def holding_cost(
    parts: Sequence[Part],
    holding_years: float,
    seed_text: str,
    escalation: float = 0.0,
    discount: float = 0.0,
    common: float = 0.3,
    draws: int = 4000,
) -> Cost:
    """What replacing parts may cost over the years held, by seeded draws: the same visit, the same bytes.

    seed_text    the visit's id; never a clock
    escalation   yearly growth of costs; discount: yearly worth of money; both as shares
    common       correlation of the costs by one factor that all share

    Source    our specification of checks, section 8
    Raises    OutOfRange

    >>> sure = Part(4.0, 20.0, 10.0, (1000.0, 1000.0, 1000.0), condemned=True)
    >>> holding_cost([sure], 1.0, "doctest").mean
    1000.0
    """
    within("holding_years", holding_years, 0.0, 100.0)
    within("escalation", escalation, -0.2, 1.0, "give a share: 0.03, not 3")
    within("discount", discount, -0.2, 1.0, "give a share: 0.03, not 3")
    within("common", common, 0.0, 1.0)
    random = Random(int.from_bytes(blake2b(seed_text.encode(), digest_size=8).digest(), "big"))
    growth = log((1.0 + escalation) / (1.0 + discount))
    totals = sorted(_one_future(parts, holding_years, growth, common, random) for _ in range(draws))
    mean = sum(totals) / draws
    p90 = totals[int(0.9 * draws)]
    yearly = mean / holding_years if holding_years > 0.0 else mean
    return Cost(mean, totals[draws // 2], p90, yearly, p90)


def _one_future(parts: Sequence[Part], years: float, growth: float, common: float, random: Random) -> float:
    total, shared, normal = 0.0, random.gauss(0.0, 1.0), NormalDist()
    for part in parts:
        own = sqrt(common) * shared + sqrt(1.0 - common) * random.gauss(0.0, 1.0)
        cost = triangular(normal.cdf(own), *part.cost)
        when = 0.0 if part.condemned else _left(part.shape, part.scale_years, part.age_years, random)
        while when <= years:
            total += cost * exp(growth * when)
            when += max(_left(part.shape, part.scale_years, 0.0, random), 0.01)  # a new one starts at nought
    return total


def _left(shape: float, scale: float, age: float, random: Random) -> float:
    """A draw of the years left at an age."""
    return float(scale * ((age / scale) ** shape - log(1.0 - random.random())) ** (1.0 / shape) - age)
