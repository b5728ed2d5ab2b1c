"""Roofs in space: pitch from a photo, areas, hips, and how far things must reach up a slope or above it."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, atan2, cos, degrees, radians, sqrt, tan

from .conformity import Measured
from .limits import within
from .slope import PER_FOOT, slope_factor

FT2_PER_SQUARE = 100.0


def hip_factor(slope_in_12: float) -> float:
    """Length of a hip or valley for one of run, where both roofs have this slope and meet at a right angle in plan.

    Source    geometry: the square root of 2 plus the slope squared
    Not for   unequal slopes: their valley runs skew

    >>> hip_factor(6.0)
    1.5
    """
    within("slope_in_12", slope_in_12, 0.0, 100.0)
    return sqrt(2.0 + (slope_in_12 / PER_FOOT) ** 2)


def plane_area_ft2(plan_ft2: Measured, slope_in_12: float) -> Measured:
    """Area along the slope of a roof whose area in plan is known, square feet.

    Source    geometry

    >>> round(plane_area_ft2(Measured(1200.0), 6.0).value, 1)
    1341.6
    """
    within("plan_ft2", plan_ft2.value, 0.0, 1e6)
    factor = slope_factor(slope_in_12)
    return Measured(plan_ft2.value * factor, plan_ft2.u * factor)


def edge_angle_deg(edge_px: Sequence[Sequence[float]]) -> float:
    """Angle from level of an edge in a picture, degrees, 0 to 90; its two ends in pixels, y downward.

    Source    geometry
    Raises    OutOfRange, ValueError

    >>> edge_angle_deg([[0, 100], [100, 0]])
    45.0
    """
    if len(edge_px) != 2 or any(len(p) != 2 for p in edge_px):
        raise ValueError("an edge has two ends of two pixels each; write [[x, y], [x, y]]")
    (x0, y0), (x1, y1) = edge_px
    within("length of the edge in pixels", abs(x1 - x0) + abs(y1 - y0), 1.0, 1e6)
    angle = abs(degrees(atan2(y0 - y1, x1 - x0)))
    return min(angle, 180.0 - angle)


def true_angle_deg(apparent_deg: float, yaw_deg: float, roll_deg: float = 0.0) -> float:
    """Angle of a rake from level, seen in a photo.

    apparent_deg   as it lies in the picture
    yaw_deg        between the camera's axis and the square view of the gable, 0 to 60
    roll_deg       what a level edge in the same picture shows, subtracted

    Source    geometry of a distant view; a camera that looks up or down bends it more

    A gable seen 25 degrees off square looks 32.5 degrees when it is 30:

    >>> round(true_angle_deg(32.5, yaw_deg=25.0), 1)
    30.0
    """
    within("apparent_deg", apparent_deg, 0.0, 80.0)
    within("yaw_deg", yaw_deg, -60.0, 60.0, "stand squarer to the gable")
    within("roll_deg", roll_deg, -45.0, 45.0)
    return degrees(atan(tan(radians(apparent_deg - roll_deg)) * cos(radians(yaw_deg))))


def chimney_height_in(
    slope_in_12: float, ridge_distance_ft: float, least_in: float, over_roof_in: float, within_ft: float
) -> float:
    """Least height of a chimney over the high side of its opening in the roof, in.

    ridge_distance_ft   from chimney to ridge, level; beyond `within_ft` the roof rises no further for this rule
    least_in            over the roof where it comes out
    over_roof_in        over any roof within `within_ft`, level

    Source    [irc_r1003_9] as geometry

    >>> chimney_height_in(8.0, ridge_distance_ft=12.0, least_in=36.0, over_roof_in=24.0, within_ft=10.0)
    104.0
    """
    within("slope_in_12", slope_in_12, 0.0, 48.0)
    within("ridge_distance_ft", ridge_distance_ft, 0.0, 200.0)
    return max(least_in, over_roof_in + min(ridge_distance_ft, within_ft) * slope_in_12)


def reach_up_slope_in(overhang_in: float, wall_in: float, inside_in: float, slope_in_12: float) -> float:
    """How far up the slope a sheet from the eave must reach to lie so far inside the outer wall, in.

    overhang_in   eave beyond the outer face of the wall, level
    wall_in       thickness of the wall: the wall line is its outer face where 0

    Source    geometry

    >>> round(reach_up_slope_in(16.0, 6.0, 24.0, 4.0), 1)
    48.5
    """
    for name, value in (("overhang_in", overhang_in), ("wall_in", wall_in), ("inside_in", inside_in)):
        within(name, value, 0.0, 200.0)
    return (overhang_in + wall_in + inside_in) * slope_factor(slope_in_12)


def sag_ratio(span_ft: Measured, offset_in: Measured) -> Measured:
    """Span over sag: 180 means one part in 180.

    Source    arithmetic

    >>> sag_ratio(Measured(15.0), Measured(1.0)).value
    180.0
    """
    within("offset_in", offset_in.value, 0.01, 120.0, "a roof without a dip has no ratio")
    within("span_ft", span_ft.value, 0.5, 200.0)
    ratio = span_ft.value * 12.0 / offset_in.value
    return Measured(ratio, ratio * sqrt((span_ft.u / span_ft.value) ** 2 + (offset_in.u / offset_in.value) ** 2))
