"""Slope: rise and run, inches in twelve, degrees and percent."""

from __future__ import annotations

from math import atan, cos, degrees, radians, sqrt, tan

from .conformity import Measured, combine_uncertainty
from .limits import within

PER_FOOT = 12.0  # inches of run that a slope "in 12" is told over


def slope_in_12(rise_in: float, run_in: float) -> float:
    """Inches of rise in 12 of level run.

    rise_in   rise, 0 to 600
    run_in    level run, 0.5 to 600: level, not along the slope

    Source    geometry
    Raises    OutOfRange

    >>> slope_in_12(rise_in=6.0, run_in=12.0)
    6.0
    """
    within("rise_in", rise_in, -600.0, 600.0)
    within("run_in", run_in, 0.5, 600.0, "give the level run, in inches")
    return PER_FOOT * rise_in / run_in


def slope_in_12_uncertain(rise_in: Measured, run_in: Measured) -> Measured:
    """As `slope_in_12`, with what the two uncertainties make together.

    Source    [jcgm-100-2008] 5.1.2

    >>> slope = slope_in_12_uncertain(Measured(2.05, 0.0625), Measured(12.0, 0.0625))
    >>> round(slope.u, 4)
    0.0634
    """
    slope_in_12(rise_in.value, run_in.value)
    return combine_uncertainty(lambda rise, run: PER_FOOT * rise / run, [rise_in, run_in])


def slope_from_angle(angle_deg: Measured) -> Measured:
    """Inches in 12 of an angle and its uncertainty in degrees, -80 to 80.

    Source    geometry
    Raises    OutOfRange

    >>> round(slope_from_angle(Measured(26.57, 0.1)).value, 2), round(slope_from_angle(Measured(26.57, 0.1)).u, 3)
    (6.0, 0.026)
    """
    within("angle_deg", angle_deg.value, -80.0, 80.0, "give degrees from level")
    theta = radians(angle_deg.value)
    return Measured(PER_FOOT * tan(theta), PER_FOOT * radians(angle_deg.u) / cos(theta) ** 2)


def angle_deg(slope_in_12: float) -> float:
    """The angle from level of a slope in 12, degrees.

    >>> round(angle_deg(6.0), 2)
    26.57
    """
    within("slope_in_12", slope_in_12, -100.0, 100.0)
    return degrees(atan(slope_in_12 / PER_FOOT))


def slope_factor(slope_in_12: float) -> float:
    """Length along the slope for one of plan.

    Source    geometry: the square root of 1 plus the slope squared

    >>> round(slope_factor(6.0), 4)
    1.118
    """
    within("slope_in_12", slope_in_12, 0.0, 100.0)
    return sqrt(1.0 + (slope_in_12 / PER_FOOT) ** 2)


def cricket_height_in(width_in: float, slope_in_12: float, divisor: float = 2.0) -> float:
    """Height of a cricket behind a chimney, in, so that both its sides rise as the roof does.

    width_in   width of the chimney along the ridge

    Source    geometry; [irc-r1003-20-height] prints the same: half the width at 12 in 12, a quarter at 6

    >>> cricket_height_in(width_in=36.0, slope_in_12=6.0)
    9.0
    """
    within("width_in", width_in, 0.0, 600.0)
    within("slope_in_12", slope_in_12, 0.0, 48.0)
    return width_in / divisor * slope_in_12 / PER_FOOT
