"""Ground by the house: how far it falls, and where it holds water."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt

from .conformity import Measured
from .limits import within

IN_PER_FT = 12.0


def fall_over(distance_ft: Sequence[float], elevation_in: Sequence[Measured], over_ft: float) -> Measured:
    """Fall of the ground over a distance, in, by the best straight line through its spot heights.

    distance_ft    from the wall, at least two that differ
    elevation_in   heights, any zero, each with its uncertainty; the worst of them stands for all
    over_ft        the distance that the rule tells its fall over, 1 to 100

    A fall away from the house is positive.

    Source    least squares; uncertainty of the slope as in [jcgm-100-2008] H.3
    Raises    OutOfRange, ValueError

    >>> fall_over([0, 5, 10], [Measured(0, 0.5), Measured(-3, 0.5), Measured(-6, 0.5)], over_ft=10.0).value
    6.0
    """
    within("over_ft", over_ft, 1.0, 100.0)
    if len(distance_ft) != len(elevation_in) or len(distance_ft) < 2:
        raise ValueError(f"{len(distance_ft)} distances and {len(elevation_in)} heights; give two or more of both")
    mean = sum(distance_ft) / len(distance_ft)
    spread = sum((d - mean) ** 2 for d in distance_ft)
    within("spread of distance_ft", spread, 1e-6, 1e9, "give heights at different distances")
    slope = sum((d - mean) * e.value for d, e in zip(distance_ft, elevation_in, strict=True)) / spread
    u = max(e.u for e in elevation_in) / sqrt(spread)
    return Measured(-slope * over_ft, u * over_ft)


def least_running_fall(distance_ft: Sequence[float], elevation_in: Sequence[float]) -> float:
    """The smallest fall from one spot to the next, in: negative where a trough holds water that the mean slope hides.

    Source    arithmetic

    >>> least_running_fall([0, 3, 10], [0.0, -4.0, -3.0])
    -1.0
    """
    points = sorted(zip(distance_ft, elevation_in, strict=True))
    within("number of spots", float(len(points)), 2.0, 1e6, "give two or more")
    return min(a[1] - b[1] for a, b in pairwise(points))


def percent(fall_in: float, run_ft: float) -> float:
    """A fall in percent of its run.

    >>> percent(fall_in=6.0, run_ft=10.0)
    5.0
    """
    within("run_ft", run_ft, 0.01, 1e5)
    return 100.0 * fall_in / (run_ft * IN_PER_FT)
