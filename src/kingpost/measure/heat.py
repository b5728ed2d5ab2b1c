"""Heat through walls and ceilings: layers, paths side by side, losses, money."""

from __future__ import annotations

from collections.abc import Sequence

from .conformity import Measured, plus
from .limits import within

HOURS_PER_DAY = 24.0
BTU_PER_MMBTU = 1e6


def layers_r(layers: Sequence[Measured]) -> Measured:
    """R of layers one behind the other.

    Source    series resistance
    Raises    OutOfRange for a negative layer, ValueError for none

    >>> layers_r([Measured(0.5), Measured(13.0), Measured(0.25)]).value
    13.75
    """
    if not layers:
        raise ValueError("no layers; give at least one")
    for layer in layers:
        within("R of a layer", layer.value, 0.0, 200.0)
    return plus(*layers)


def parallel_u(shares: Sequence[float], rs: Sequence[float]) -> float:
    """U of paths side by side, Btu/h ft2 F: their U-values are averaged, never their R-values.

    shares   of the area, together 1

    Source    [parallel-path]
    Raises    OutOfRange, ValueError

    >>> round(parallel_u([0.75, 0.25], [15.54, 6.92]), 5)
    0.08439
    """
    if len(shares) != len(rs) or not shares:
        raise ValueError("give a share and an R for every path")
    within("sum of the shares", sum(shares), 0.999, 1.001, "shares of the area make 1 together")
    for share, r in zip(shares, rs, strict=True):
        within("share", share, 0.0, 1.0)
        within("R of a path", r, 0.01, 200.0)
    return sum(s / r for s, r in zip(shares, rs, strict=True))


def plane_temperature_f(indoor_f: float, outdoor_f: float, r_to_plane: float, r_total: float) -> float:
    """Temperature inside a wall, F, at a plane.

    r_to_plane   from the indoor air to the plane, its film with it

    Source    steady flow through layers
    Raises    OutOfRange

    >>> plane_temperature_f(70.0, 20.0, r_to_plane=5.0, r_total=20.0)
    57.5
    """
    within("r_total", r_total, 0.01, 500.0)
    within("r_to_plane", r_to_plane, 0.0, r_total, "a plane lies within the wall")
    return indoor_f - (indoor_f - outdoor_f) * r_to_plane / r_total


def loss_btu_per_h(area_ft2: float, delta_f: float, r: float) -> float:
    """Heat through an area, Btu/h.

    Source    steady flow

    >>> round(loss_btu_per_h(1000.0, 82.0, 38.0))
    2158
    """
    within("area_ft2", area_ft2, 0.0, 1e7)
    within("delta_f", delta_f, -200.0, 200.0)
    within("r", r, 0.05, 500.0)
    return area_ft2 * delta_f / r


def yearly_btu(area_ft2: float, r: float, degree_days_f: float, efficiency: float = 1.0) -> float:
    """Heat of a heating season through an area, Btu of fuel.

    degree_days_f   base 65 F
    efficiency      of the heating plant, a share; 1: the heat itself

    Source    [egee-102]
    Not for   cooling: attic heat in summer is not degree days

    >>> round(yearly_btu(1920.0, 30.0, 6000.0))
    9216000
    """
    within("degree_days_f", degree_days_f, 0.0, 20000.0)
    within("efficiency", efficiency, 0.05, 6.0, "give a share: 0.8, not 80")
    return HOURS_PER_DAY * loss_btu_per_h(area_ft2, 1.0, r) * degree_days_f / efficiency


def payback_years(cost: float, saved_per_year: float) -> float:
    """Years until what was spent has been saved; no interest.

    Source    arithmetic
    Raises    OutOfRange where nothing is saved

    >>> payback_years(1000.0, 250.0)
    4.0
    """
    within("cost", cost, 0.0, 1e9)
    within("saved_per_year", saved_per_year, 1e-9, 1e9, "this saves nothing")
    return cost / saved_per_year
