"""Rain off a roof: how much comes, what gutters and downspouts carry, and where it lands."""

from __future__ import annotations

from math import atan, cos, pi, sqrt
from typing import NamedTuple

from .limits import within
from .slope import PER_FOOT

GPM_PER_CFS = 448.8311688
FT2_IN_PER_H_PER_GPM = 96.25  # square feet of roof whose rain at 1 in/h is one gallon a minute
CFS_PER_ACRE_IN_PER_H = 1.0083333  # most texts drop it and take 1
TABLE_SLOPE = 1.0 / 16.0  # in per ft, for which gutter tables are printed
ORIFICE_CFS = 0.010457  # for square inches and inches of head, discharge coefficient 0.65
MANNING = 1.486
SECONDS_PER_IN_PER_H = 43200.0
G = 32.174  # ft/s2
LB_PER_FT3 = 62.4


def runoff_gpm(plan_ft2: float, in_per_h: float, coefficient: float = 1.0) -> float:
    """Rain that leaves an area, gallons a minute.

    plan_ft2      area in plan, never along the slope
    in_per_h      intensity of a named storm
    coefficient   share that runs off, 1 for gutters

    Source    rational method, exact units: 231 cubic inches a gallon

    >>> round(runoff_gpm(1200.0, 7.0), 2)
    87.27
    """
    within("plan_ft2", plan_ft2, 0.0, 1e8)
    within("in_per_h", in_per_h, 0.0, 40.0, "give inches an hour")
    within("coefficient", coefficient, 0.0, 1.0, "give a share: 0.9, not 90")
    return coefficient * in_per_h * plan_ft2 / FT2_IN_PER_H_PER_GPM


def runoff_cfs(acres: float, in_per_h: float, coefficient: float, constant: float = 1.0) -> float:
    """Rain that leaves an area, cubic feet a second, as texts print it: C i A.

    constant   1 as in most texts; 1.0083 is exact

    Source    rational method

    >>> round(runoff_cfs(128.0, 2.87, 0.4), 3)
    146.944
    """
    within("acres", acres, 0.0, 1e6)
    within("in_per_h", in_per_h, 0.0, 40.0, "give inches an hour")
    within("coefficient", coefficient, 0.0, 1.0, "give a share: 0.9, not 90")
    within("constant", constant, 0.9, 1.1)
    return constant * coefficient * in_per_h * acres


def steeper_capacity(capacity_at_sixteenth: float, slope_in_per_ft: float) -> float:
    """Capacity of a gutter that falls more than the 1/16 in per ft of its table, in the table's unit.

    Source    Manning: flow goes with the root of the slope
    Raises    OutOfRange under 1/16 in per ft: a level gutter carries less, and no table says how much

    >>> steeper_capacity(2500.0, 0.25)
    5000.0
    """
    within("slope_in_per_ft", slope_in_per_ft, TABLE_SLOPE, 2.0, "a gutter with less fall carries less than its table")
    return capacity_at_sixteenth * sqrt(slope_in_per_ft / TABLE_SLOPE)


def gutter_full_gpm(area_in2: float, perimeter_in: float, slope_in_per_ft: float, n: float = 0.012) -> float:
    """What a brim-full gutter carries by Manning, gallons a minute: an upper bound, about twice the code's table.

    perimeter_in   wetted: floor and sides, not the open top

    Source    Manning

    >>> round(gutter_full_gpm(14.137, 9.425, 1 / 16))
    98
    """
    within("area_in2", area_in2, 0.5, 500.0)
    within("perimeter_in", perimeter_in, 1.0, 200.0)
    within("slope_in_per_ft", slope_in_per_ft, 0.0, 2.0)
    within("n", n, 0.005, 0.1)
    area, radius = area_in2 / 144.0, area_in2 / perimeter_in / 12.0
    return float(MANNING / n * area * radius ** (2.0 / 3.0) * sqrt(slope_in_per_ft / 12.0) * GPM_PER_CFS)


def half_round(size_in: float) -> tuple[float, float]:
    """Area in square inches and wetted edge in inches of a full half-round gutter.

    Source    geometry

    >>> [round(x, 2) for x in half_round(6.0)]
    [14.14, 9.42]
    """
    within("size_in", size_in, 1.0, 24.0)
    return pi * size_in**2 / 8.0, pi * size_in / 2.0


def orifice_gpm(area_in2: float, head_in: float) -> float:
    """What the hole of a downspout takes from water that stands over it, gallons a minute.

    Source    [orifice-example], discharge coefficient 0.65

    >>> round(orifice_gpm(6.0, 2.0))
    40
    """
    within("area_in2", area_in2, 0.1, 200.0)
    within("head_in", head_in, 0.0, 24.0)
    return ORIFICE_CFS * area_in2 * sqrt(head_in) * GPM_PER_CFS


class Sheet(NamedTuple):
    """Water running down a roof: flow per foot of width, depth and speed."""

    flow_ft2_s: float
    depth_in: float
    speed_ft_s: float


def sheet_flow(in_per_h: float, length_ft: float, slope_in_12: float, n: float = 0.016) -> Sheet:
    """Sheet of rain at the foot of a roof plane.

    length_ft   of the plane, in plan, up the slope

    Source    Manning for a wide shallow sheet

    >>> round(sheet_flow(6.0, 15.0, 6.0).speed_ft_s, 1)
    1.0
    """
    within("in_per_h", in_per_h, 0.01, 40.0, "give inches an hour")
    within("length_ft", length_ft, 0.1, 500.0)
    within("slope_in_12", slope_in_12, 0.05, 48.0)
    flow = in_per_h * length_ft / SECONDS_PER_IN_PER_H
    depth = (flow * n / (MANNING * sqrt(slope_in_12 / PER_FOOT))) ** 0.6
    return Sheet(flow, depth * 12.0, flow / depth)


class Landing(NamedTuple):
    """Falling water: how far out it lands, how fast, with what power."""

    throw_ft: float
    impact_ft_s: float
    power_ft_lb_s: float


def landing(flow_gpm: float, drop_ft: float, exit_ft_s: float, slope_in_12: float = 0.0) -> Landing:
    """Where water lands that leaves an edge, and how hard.

    exit_ft_s   its speed along the slope at the edge

    Source    free fall, 32.174 ft/s2; water of 62.4 lb a cubic foot

    >>> fall = landing(20.0, drop_ft=9.0, exit_ft_s=1.0, slope_in_12=6.0)
    >>> round(fall.throw_ft, 1), round(fall.impact_ft_s)
    (0.7, 24)
    """
    within("flow_gpm", flow_gpm, 0.0, 1e5)
    within("drop_ft", drop_ft, 0.0, 200.0)
    within("exit_ft_s", exit_ft_s, 0.0, 30.0)
    within("slope_in_12", slope_in_12, 0.0, 48.0)
    level = exit_ft_s * cos(atan(slope_in_12 / PER_FOOT))
    power = LB_PER_FT3 * flow_gpm / GPM_PER_CFS * drop_ft
    return Landing(level * sqrt(2.0 * drop_ft / G), sqrt(2.0 * G * drop_ft), power)
