"""Profiles of floors: how they bend, how they curve, and where they are steepest."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise
from math import hypot, inf, sqrt
from typing import NamedTuple

from .limits import within

IN_PER_FT = 12.0
Point = Sequence[float]


class Bend(NamedTuple):
    """The worst bend of a profile: span over offset, and where it is."""

    ratio: float  # inf where nothing is over the noise
    offset_in: float  # up is positive: a hog
    span_ft: float
    at_ft: float
    u_offset_in: float


def _profile(points: Sequence[Point]) -> list[tuple[float, float]]:
    within("number of points", float(len(points)), 3.0, 1000.0, "give three or more along one line")
    out = sorted((float(p[0]), float(p[1])) for p in points)
    for one, other in pairwise(out):
        within("distance between points", other[0] - one[0], 0.01, 1000.0, "two points stand at one place")
    return out


def worst_bend(points: Sequence[Point], u_z_in: float) -> Bend:
    """Span over offset from the chord, over every stretch of a profile.

    points   (x ft, z in), three or more
    u_z_in   standard uncertainty of each height; offsets within twice their own are left out

    Source    [floor_tilt_guidelines]; the chord takes the tilt away
    Raises    OutOfRange

    >>> bend = worst_bend([(0, 0), (10, -0.5), (20, 0)], u_z_in=0.05)
    >>> bend.ratio, bend.offset_in, round(bend.u_offset_in, 4)
    (480.0, -0.5, 0.0612)
    """
    profile = _profile(points)
    within("u_z_in", u_z_in, 0.0, 10.0)
    worst = Bend(inf, 0.0, 0.0, 0.0, 0.0)
    for i, j in combinations(range(len(profile)), 2):
        (x0, z0), (x1, z1) = profile[i], profile[j]
        for x, z in profile[i + 1 : j]:
            t = (x - x0) / (x1 - x0)
            offset, u = z - z0 - t * (z1 - z0), u_z_in * sqrt(1.0 + t * t + (1.0 - t) ** 2)
            if abs(offset) > max(2.0 * u, 1e-9):
                ratio = (x1 - x0) * IN_PER_FT / abs(offset)
                if ratio < worst.ratio:
                    worst = Bend(ratio, offset, x1 - x0, x, u)
    return worst


class Curve(NamedTuple):
    """The best parabola through a profile, and its sharpest turn between neighbouring spans."""

    curvature_per_ft: float  # up is positive: a dish
    radius_ft: float
    angular_distortion: float  # a slope: 1/300 is 0.0033


def curve(points: Sequence[Point]) -> Curve:
    """Curvature by least squares, and the largest change of slope from one span to the next.

    Source    least squares; angular distortion as in [angular-distortion]
    Raises    OutOfRange

    >>> bow = curve([(0, 0), (10, 1), (20, 0)])
    >>> round(bow.radius_ft, 6), round(bow.angular_distortion, 6)
    (600.0, 0.016667)
    """
    profile = _profile(points)
    n, middle = len(profile), sum(x for x, _ in profile) / len(profile)
    xs, zs = [x - middle for x, _ in profile], [z for _, z in profile]
    s = [sum(x**k for x in xs) for k in range(5)]
    t = [sum(z * x**k for x, z in zip(xs, zs, strict=True)) for k in range(3)]

    def det(m: list[list[float]]) -> float:
        (a, b, c), (d, e, f), (g, h, i) = m
        return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)

    normal = [[float(n), s[1], s[2]], [s[1], s[2], s[3]], [s[2], s[3], s[4]]]
    q = det([[row[0], row[1], v] for row, v in zip(normal, t, strict=True)]) / det(normal)
    bend = 2.0 * q / IN_PER_FT
    slopes = [(b[1] - a[1]) / (b[0] - a[0]) / IN_PER_FT for a, b in pairwise(profile)]
    turn = max((abs(b - a) for a, b in pairwise(slopes)), default=0.0)
    return Curve(bend, abs(1.0 / bend) if abs(bend) > 1e-12 else inf, turn)


class Steepest(NamedTuple):
    """The steepest stretch of a room: 1 in `ratio`."""

    ratio: float
    fall_in: float
    run_ft: float
    u_slope: float


def steepest(points: Sequence[Point], u_z_in: float = 0.0, least_ft: float = 2.0) -> Steepest:
    """The steepest slope between any two points of a room that lie at least so far apart.

    points   (x ft, y ft, z in)

    Source    arithmetic
    Raises    OutOfRange

    >>> steepest([(0, 0, 0), (10, 0, 0.5), (0, 10, 0)]).ratio
    240.0
    """
    within("number of points", float(len(points)), 2.0, 1000.0, "give two or more")
    best = Steepest(inf, 0.0, 0.0, 0.0)
    for a, b in combinations(points, 2):
        run = hypot(b[0] - a[0], b[1] - a[1])
        fall = abs(b[2] - a[2])
        if run >= least_ft and fall > 0.0 and run * IN_PER_FT / fall < best.ratio:
            best = Steepest(run * IN_PER_FT / fall, fall, run, u_z_in * sqrt(2.0) / (run * IN_PER_FT))
    return best
