"""Floors by their heights: the plane through a floor survey."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, hypot, sqrt
from typing import NamedTuple

from .limits import within

IN_PER_FT = 12.0


class Plane(NamedTuple):
    """The best plane through floor points: slopes in in per ft, what is left over in in."""

    slope_x_in_per_ft: float
    slope_y_in_per_ft: float
    tilt_percent: float
    downhill_bearing_from_x_deg: float
    rms_residual_in: float
    largest_residual_in: float
    u_tilt_percent: float


def best_plane(points: Sequence[Sequence[float]], u_z_in: float | None = None) -> Plane:
    """The plane z = a + bx + cy through points (x ft, y ft, z in), by least squares.

    points   at least three that are not in one line
    u_z_in   standard uncertainty of each height; None: as much as the points stray from the plane

    Source    least squares; rms over n - 3
    Raises    OutOfRange, ValueError

    >>> plane = best_plane([(0, 0, 0), (10, 0, -1.2), (0, 10, 0), (10, 10, -1.2)])
    >>> round(plane.tilt_percent, 6), plane.downhill_bearing_from_x_deg
    (1.0, 0.0)
    """
    within("number of points", float(len(points)), 3.0, 1e6, "give three or more")
    n = float(len(points))
    mx, my, mz = (sum(p[i] for p in points) / n for i in range(3))
    sxx = sum((p[0] - mx) ** 2 for p in points)
    syy = sum((p[1] - my) ** 2 for p in points)
    sxy = sum((p[0] - mx) * (p[1] - my) for p in points)
    sxz = sum((p[0] - mx) * (p[2] - mz) for p in points)
    syz = sum((p[1] - my) * (p[2] - mz) for p in points)
    det = sxx * syy - sxy * sxy
    if det <= 1e-9 * max(sxx, syy, 1.0) ** 2:
        raise ValueError("the points lie in one line; add some beside it")
    b, c = (sxz * syy - syz * sxy) / det, (syz * sxx - sxz * sxy) / det
    rest = [p[2] - mz - b * (p[0] - mx) - c * (p[1] - my) for p in points]
    rms = sqrt(sum(r * r for r in rest) / (n - 3.0)) if n > 3 else 0.0
    tilt = hypot(b, c)
    u_z = rms if u_z_in is None else u_z_in
    along = 1.0 / min(sxx, syy)  # of a level floor, whose tilt has no direction
    if tilt > 1e-12:
        along = (b * b * syy + c * c * sxx - 2 * b * c * sxy) / (det * tilt * tilt)
    return Plane(b, c, 100.0 * tilt / IN_PER_FT, degrees(atan2(-c, -b)) + 0.0, rms, max(abs(r) for r in rest),
                 100.0 * u_z * sqrt(along) / IN_PER_FT)  # fmt: skip


def fall_over_a_room_in(tilt_percent: float, room_ft: float = 20.0) -> float:
    """What a tilt comes to over a room, in: percent says little to a reader.

    Source    arithmetic

    >>> round(fall_over_a_room_in(1.0), 6)
    2.4
    """
    return tilt_percent / 100.0 * room_ft * IN_PER_FT
