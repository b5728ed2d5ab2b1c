"""Rain on a yard: how deep the runoff is, how bare soil washes, where water stands and which way it runs."""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heappop, heappush
from math import atan, sin, sqrt
from typing import NamedTuple

from .limits import OutOfRange, within

NEXT = ((-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1))
PLOT_FT, INCH = 72.6, 12.0
STEEPNESS = (65.41, 4.56, 0.065)
EXPONENTS = ((5.0, 0.5), (3.5, 0.4), (1.0, 0.3), (0.0, 0.2))  # from so many percent on
TINY = 1e-7

Grid = Sequence[Sequence[float]]


def runoff_depth_in(rain_in: float, curve_number: float) -> float:
    """Depth of the rain that runs off, inches.

    curve_number   30 to 100

    Source    [tr-55] equations 2-1 to 2-4

    >>> round(runoff_depth_in(6.0, 70.0), 3)
    2.805
    >>> runoff_depth_in(0.5, 60.0)
    0.0
    """
    within("rain_in", rain_in, 0.0, 60.0)
    within("curve_number", curve_number, 30.0, 100.0, "give a curve number of 30 to 100")
    holds = 1000.0 / curve_number - 10.0
    if rain_in <= 0.2 * holds:  # the square would make it positive again
        return 0.0
    return (rain_in - 0.2 * holds) ** 2 / (rain_in + 0.8 * holds)


def slope_length_factor(length_ft: float, slope_percent: float) -> float:
    """How a slope washes beside the unit plot of 72.6 ft at 9 percent, bare soil both.

    length_ft       1 to 1000
    slope_percent   0 to 60

    Source    [usda-537]
    Not for   tons of soil: it is a ratio

    >>> round(slope_length_factor(72.6, 9.0), 2)
    1.0
    """
    within("length_ft", length_ft, 1.0, 1000.0)
    within("slope_percent", slope_percent, 0.0, 60.0)
    power = next(m for least, m in EXPONENTS if slope_percent >= least)
    s = sin(atan(slope_percent / 100.0))
    a, b, c = STEEPNESS
    return float((length_ft / PLOT_FT) ** power * (a * s * s + b * s + c))


class Pond(NamedTuple):
    """Water that a surface holds before it runs over."""

    depth_max_in: float
    volume_ft3: float
    spill_elevation_ft: float


def _size(elevation: Grid) -> tuple[int, int]:
    rows, columns = len(elevation), len(elevation[0]) if elevation else 0
    within("rows of the grid", float(rows), 3.0, 500.0, "give three rows or more")
    within("columns of the grid", float(columns), 3.0, 500.0, "give three columns or more")
    if any(len(row) != columns for row in elevation):
        raise ValueError("the rows of the grid differ in length")
    for row in elevation:
        for z in row:
            within("elevation", z, -1e6, 1e6)
    return rows, columns


def filled(elevation: Grid, rise: float = 0.0) -> list[list[float]]:
    """The surface with every hollow filled to its spill point, by flooding from the rim inward.

    rise   added from cell to cell over flats and hollows, so that water has a way: 0 for depths

    Source    priority flood; equal to pysheds in our examples

    >>> filled([[1, 1, 1], [1, 0, 0.5], [1, 1, 1]])
    [[1.0, 1.0, 1.0], [1.0, 0.5, 0.5], [1.0, 1.0, 1.0]]
    """
    rows, columns = _size(elevation)
    out = [[float(z) for z in row] for row in elevation]
    done = [[False] * columns for _ in range(rows)]
    heap: list[tuple[float, int, int]] = []
    for r in range(rows):
        for c in range(columns):
            if r in (0, rows - 1) or c in (0, columns - 1):
                done[r][c] = True
                heappush(heap, (out[r][c], r, c))
    while heap:
        level, r, c = heappop(heap)
        for dr, dc in NEXT:
            i, j = r + dr, c + dc
            if 0 <= i < rows and 0 <= j < columns and not done[i][j]:
                done[i][j] = True
                out[i][j] = max(out[i][j], level + rise)
                heappush(heap, (out[i][j], i, j))
    return out


def ponding(elevation_ft: Grid, cell_ft: float) -> Pond:
    """Deepest water, its volume, and the height at which the deepest pond runs over.

    Source    filled less raw
    Raises    OutOfRange where nothing stands

    >>> round(ponding([[1, 1, 1], [1, 0, 0.5], [1, 1, 1]], 2.0).volume_ft3, 2)
    2.0
    """
    within("cell_ft", cell_ft, 0.05, 100.0)
    level = filled(elevation_ft)
    deepest, volume, spill = 0.0, 0.0, 0.0
    for raw, full in zip(elevation_ft, level, strict=True):
        for z, w in zip(raw, full, strict=True):
            volume += (w - z) * cell_ft**2
            if w - z > deepest:
                deepest, spill = w - z, w
    if deepest <= 0.0:
        raise OutOfRange("depth of water", 0.0, 0.0, 0.0, "no hollow here holds water")
    return Pond(deepest * INCH, volume, spill)


def accumulation(elevation: Grid) -> list[list[int]]:
    """How many cells drain through each cell, itself among them: all water of a cell goes to its steepest neighbour.

    Source    D8; equal to pysheds in our examples; a tie goes to the first neighbour, row by row

    >>> accumulation([[3, 3, 3], [2, 2, 2], [1, 0, 1]])
    [[1, 1, 1], [2, 2, 2], [1, 9, 1]]
    """
    rows, columns = _size(elevation)
    level = filled(elevation, TINY)
    count = [[1] * columns for _ in range(rows)]
    order = sorted(((r, c) for r in range(rows) for c in range(columns)), key=lambda p: (-level[p[0]][p[1]], p))
    for r, c in order:
        best, to = 0.0, None
        for dr, dc in NEXT:
            i, j = r + dr, c + dc
            if 0 <= i < rows and 0 <= j < columns:
                fall = (level[r][c] - level[i][j]) / sqrt(dr * dr + dc * dc)
                if fall > best + 1e-12:
                    best, to = fall, (i, j)
        if to is not None:
            count[to[0]][to[1]] += count[r][c]
    return count
