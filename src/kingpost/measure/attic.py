"""Attics: openings for air, and what lies on the ceiling."""

from __future__ import annotations

from math import sqrt

from .conformity import Measured
from .limits import within
from .openings import SQ_IN_PER_SQ_FT


def net_free_in2(floor_ft2: float, ratio: float) -> float:
    """Free opening asked for a floor area, square inches, at one to `ratio`.

    Source    [irc-r806-2]
    Raises    OutOfRange

    >>> net_free_in2(floor_ft2=1500.0, ratio=300.0)
    720.0
    """
    within("floor_ft2", floor_ft2, 1.0, 1e5)
    within("ratio", ratio, 50.0, 1500.0, "give 150 or 300")
    return floor_ft2 * SQ_IN_PER_SQ_FT / ratio


def r_of_depth(depth_in: Measured, low_per_in: float, high_per_in: float) -> Measured:
    """Insulation value of a depth of a material whose value per inch lies somewhere between two.

    Source    [r-per-inch]; a rectangular range has its half width by the root of three, [jcgm-100-2008] 4.3.7
    Raises    OutOfRange

    >>> value = r_of_depth(Measured(10.0, 0.5), 3.1, 3.7)
    >>> round(value.value, 1), round(value.u, 2)
    (34.0, 2.43)
    """
    within("depth_in", depth_in.value, 0.0, 60.0)
    within("low_per_in", low_per_in, 0.1, high_per_in)
    middle = (low_per_in + high_per_in) / 2.0
    half = (high_per_in - low_per_in) / 2.0 / sqrt(3.0)
    return Measured(depth_in.value * middle, sqrt((middle * depth_in.u) ** 2 + (depth_in.value * half) ** 2))
