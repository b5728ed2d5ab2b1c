"""A length in a photo, in the plane of the strip, with a doubt that is carried through from every cause.

    corners of the tags  ->  map from picture to paper (homography)  ->  two clicked points in mm  ->  length

Doubt: each corner, each click, how much the corners of all tags swell or shrink together (blur, exposure), the lens
(one term of radial distortion that is not known), the print, and how far the points lie off the plane of the strip.
Each is varied by itself and the map made anew (central differences; JCGM 100:2008, 5.1). What cannot be varied is
said: that the points lie in the plane of the strip at all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import acos, degrees, hypot, sqrt
from pathlib import Path

import numpy as np

from .strip_tags import Found, MeasureError, Points, find, open_grey

Point = tuple[float, float]
# One standard uncertainty of each cause. Our own choice; bench/measuring.py holds them against rendered views.
CORNER_PX = 0.1
SWELL_PX = 0.12
CLICK_PX = 1.5
LENS = 0.012  # distortion at half the diagonal, as a share
PRINT = 0.001
OFF_PLANE_MM = 0.5
FOCAL = 0.8  # of the longer side: a phone's main camera, 28 to 29 mm on film; only for OFF_PLANE_MM
COVERAGE = 2.0  # 95 %, JCGM 100:2008, 6.2
LEAST_STRIP_PX, LEAST_TAG_PX = 350.0, 150.0
STEEPEST_DEG = 68.0
BENT = 4.0  # px left over between two tags: above it the strip is bent or folded
MOST_DOUBT = 0.1  # of the length: beyond it nothing is told
IN = 25.4


@dataclass(frozen=True, slots=True)
class Length:
    """A length in the plane of the strip, mm; `doubt_mm` either way holds the truth 95 times in 100."""

    mm: float
    doubt_mm: float
    tags: int
    angle_deg: float
    strip_px: float
    shares: tuple[tuple[str, float], ...]  # of the doubt's square, by cause

    @property
    def inches(self) -> float:
        return self.mm / IN

    def says(self) -> str:
        """One line for a person."""
        doubt = f"{self.mm:.1f} mm +- {self.doubt_mm:.1f} ({self.inches:.2f} in +- {self.doubt_mm / IN:.2f})"
        how = "by both tags" if self.tags > 1 else "by one tag"
        return f"{doubt}, {how}, seen {self.angle_deg:.0f} degrees off square"


def measure(
    path: Path,
    start: Point,
    end: Point,
    *,
    tag_mm: float | None = None,
    check_line_mm: float = 100.0,
    click_px: float = CLICK_PX,
) -> Length:
    """The length between two points of a photo, in px of the upright picture; centres of pixels are whole numbers.

    tag_mm         side of the black square, where another card than our strip lies there
    check_line_mm  what the printed check line of 100 mm measures
    click_px       one standard uncertainty of each point

    Raises MeasureError with the reason and what to do, LookMissing without OpenCV.
    """
    if not 90.0 <= check_line_mm <= 110.0:
        raise MeasureError(f"the check line measures {check_line_mm:g} mm, not near 100; print the strip again")
    return length(find(open_grey(path), tag_mm, check_line_mm / 100.0), start, end, click_px)


def length(found: Found, start: Point, end: Point, click_px: float = CLICK_PX) -> Length:
    """As `measure`, from tags already found."""
    _inside(found, start, end)
    if start == end:
        raise MeasureError("both ends are the same point; give two")
    setup = _Setup(found, np.array([start, end], dtype=np.float64), click_px)
    strip_px = _large_enough(found)
    angle = setup.angle()
    if angle > STEEPEST_DEG:
        raise MeasureError(f"the strip is seen {angle:.0f} degrees off square, too oblique; stand more in front of it")
    made = setup.distance()
    parts = setup.parts(angle, strip_px)
    doubt = COVERAGE * sqrt(sum(v for _, v in parts))
    if doubt > MOST_DOUBT * made:
        raise MeasureError(
            f"cannot tell: {made:.0f} mm with a doubt of {doubt:.0f}; go closer, stand more square, "
            "lay the strip beside the thing"
        )
    total = sum(v for _, v in parts) or 1.0
    return Length(
        made, doubt, len(found.squares), angle, strip_px, tuple((name, value / total) for name, value in parts)
    )


def _inside(found: Found, *points: Point) -> None:
    """Raises MeasureError where a point is outside the picture."""

    def within(x: float, y: float) -> bool:
        return -0.5 <= x <= found.width - 0.5 and -0.5 <= y <= found.height - 0.5

    for x, y in points:
        if not within(x, y):
            where = f"{x:g},{y:g} is outside the picture of {found.width} x {found.height} px"
            if within(y, x):
                raise MeasureError(
                    f"{where}; {y:g},{x:g} is inside: are the two swapped? The first counts to the right"
                )
            raise MeasureError(f"{where}; count from its top left corner, as it is seen upright, at full size")


def _large_enough(found: Found) -> float:
    """The longest stretch of tags in px. Raises MeasureError where it is too small."""
    points = found.corners.reshape(-1, 2)
    span = max(hypot(*(a - b)) for a in points for b in points) / (sqrt(2.0) if len(found.squares) == 1 else 1.0)
    least = LEAST_TAG_PX if len(found.squares) == 1 else LEAST_STRIP_PX
    if span < least:
        what = "the strip" if len(found.squares) > 1 else "the one tag that is found"
        raise MeasureError(f"{what} is {span:.0f} px long, too small to measure by ({least:.0f}); go closer")
    return float(span)


class _Setup:
    """Corners, points and the map between picture and paper."""

    def __init__(self, found: Found, points: Points, click_px: float) -> None:
        self.found, self.points, self.click = found, points, click_px
        self.paper = np.array([s.corners() for s in found.squares], dtype=np.float64).reshape(-1, 2)
        self.corners = found.corners.reshape(-1, 2)
        self.middle = np.array([found.width - 1, found.height - 1]) / 2
        self.half = hypot(found.width, found.height) / 2
        self.map = homography(self.corners, self.paper)
        left = self.corners - across(_back(self.map), self.paper)
        self.left = float(np.sqrt((left**2).sum() / max(1, 2 * len(left) - 8)))
        if self.left > BENT:
            raise MeasureError("the two tags do not lie in one plane; lay the strip flat, and only one strip")
        self._before_horizon()

    def _before_horizon(self) -> None:
        depth = np.c_[np.r_[self.corners, self.points], np.ones(len(self.corners) + 2)] @ self.map[2]
        if (depth * depth[0] <= 0).any():
            raise MeasureError(
                "a point lies beyond the horizon of the strip's plane, so it is not in that plane; "
                "lay the strip in the plane of what is measured"
            )

    def distance(self, corners: Points | None = None, points: Points | None = None, lens: float = 0.0) -> float:
        """The length in mm, with these corners and points, or with a lens that bends by `lens` at half the diagonal."""
        c, p = self.corners if corners is None else corners, self.points if points is None else points
        if lens:
            c, p = self._bent(c, lens), self._bent(p, lens)
        a, b = across(homography(c, self.paper) if corners is not None or lens else self.map, p)
        return float(hypot(*(a - b)))

    def _bent(self, points: Points, lens: float) -> Points:
        away = points - self.middle
        return np.asarray(self.middle + away * (1 + lens * ((away / self.half) ** 2).sum(axis=1, keepdims=True)))

    def angle(self) -> float:
        """How far the strip's plane is from square to the view, degrees, from its shape at the middle of the strip."""
        at = across(_back(self.map), np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
        least, most = sorted(np.linalg.svd(np.array([at[1] - at[0], at[2] - at[0]]), compute_uv=False))
        return degrees(acos(min(1.0, float(least / most))))

    def parts(self, angle: float, strip_px: float) -> list[tuple[str, float]]:
        """The square of one standard uncertainty by cause, mm2."""
        corner_px = max(CORNER_PX, self.left if len(self.found.squares) > 1 else CORNER_PX)
        per_px = self._px_mm()
        seen = self.found.squares
        size = max(s.side for s in seen) if len(seen) == 1 else hypot(*(self.paper.max(0) - self.paper.min(0)))
        away = FOCAL * max(self.found.width, self.found.height) * size / strip_px  # mm to the camera, roughly
        made = self.distance()
        sine = sqrt(max(0.0, 1 - np.cos(np.radians(angle)) ** 2))
        off = OFF_PLANE_MM * hypot(made / away, sine * sqrt(2.0))  # nearer looks longer; aslant it also moves
        return [
            ("clicks", self._varied(self.points, self.click, clicks=True)),
            ("corners", self._varied(self.corners, corner_px)),
            ("tags swollen by blur or light", self._swollen()),
            ("lens", self._lens()),
            ("print", (PRINT * made) ** 2),
            ("points off the strip's plane", off**2),
            ("pixels", per_px**2 / 12),
        ]

    def _px_mm(self) -> float:
        a, b = across(self.map, np.array([self.points[0], self.points[0] + [1.0, 0.0]]))
        return float(hypot(*(a - b)))

    def _varied(self, of: Points, by: float, clicks: bool = False) -> float:
        total = 0.0
        for index in np.ndindex(of.shape):
            more, less = of.copy(), of.copy()
            more[index] += by
            less[index] -= by
            if clicks:
                slope = self.distance(points=more) - self.distance(points=less)
            else:
                slope = self.distance(corners=more) - self.distance(corners=less)
            total += (slope / 2) ** 2
        return total

    def _swollen(self) -> float:
        made = []
        for by in (SWELL_PX, -SWELL_PX):
            quads = self.corners.reshape(-1, 4, 2)
            out = quads - quads.mean(axis=1, keepdims=True)
            out /= np.linalg.norm(out, axis=2, keepdims=True)
            made.append(self.distance(corners=(quads + out * by * sqrt(2.0)).reshape(-1, 2)))
        return ((made[0] - made[1]) / 2) ** 2

    def _lens(self) -> float:
        return ((self.distance(lens=LENS) - self.distance(lens=-LENS)) / 2) ** 2


def homography(of: Points, to: Points) -> Points:
    """The map of one plane onto another from four or more pairs of points, least squares of the normalised equations.

    Source    Hartley and Zisserman, Multiple View Geometry, 2nd edition, 4.4.4; from memory, held against OpenCV
    """
    t, u = _normal(of), _normal(to)
    a, b = across(t, of), across(u, to)
    one, none = np.ones((len(a), 1)), np.zeros((len(a), 3))
    rows = np.r_[
        np.c_[a, one, none, -b[:, :1] * a, -b[:, :1]],
        np.c_[none, a, one, -b[:, 1:] * a, -b[:, 1:]],
    ]
    h = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    return np.asarray(np.linalg.inv(u) @ h @ t)


def _back(h: Points) -> Points:
    return np.asarray(np.linalg.inv(h), dtype=np.float64)


def _normal(points: Points) -> Points:
    middle = points.mean(axis=0)
    scale = sqrt(2.0) / max(1e-12, float(np.linalg.norm(points - middle, axis=1).mean()))
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])


def across(h: Points, points: Points) -> Points:
    """Points through a homography."""
    out = np.c_[points, np.ones(len(points))] @ h.T
    return np.asarray(out[:, :2] / out[:, 2:])


def without_one(found: Found, keep: int) -> Found:
    """The same with one tag only, as if the other were covered."""
    return replace(found, squares=(found.squares[keep],), corners=found.corners[keep : keep + 1])
