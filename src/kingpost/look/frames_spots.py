"""Places in a thermal frame that are warmer or colder than what is around them: where, how large, how much, what shape.

The slow drift of the wall is taken off (a plane fitted so that patches do not count; a ceiling or floor that takes a
side of the frame gets its own), then what is left is cut at the half of each patch's height: its foot is always wider
than its cause. Nothing is named here.
"""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from math import atan2, degrees

import numpy as np
from numpy.typing import NDArray

from .frames import Matrix
from .frames_patch import Spot

Mask = NDArray[np.bool_]
# Our own choice; bench/thermal.py holds them against computed frames.
NOISE_TIMES, LEAST_K = 3.0, 0.35
MAD = 1.4826  # of a normal distribution, from the median of what is off to one standard deviation
LEAST_SHARE = 0.002  # of the frame: smaller is not listed
MOST_SPOTS = 6
HALF = 0.5
ROUNDS = 12
TUKEY = 4.685
THIN, LONG = 0.2, 2.0  # width to length of a line; length to width of a bay
SQUARE = 0.84  # area to that of the rectangle around it; an ellipse has 0.785
FINE_LINE = 0.075  # width of a line as a share of the frame's width


def spots(celsius: Matrix) -> tuple[Spot, ...]:
    """What stands out, the strongest first."""
    if min(celsius.shape) < 24:
        return ()
    fine = _box(_box(celsius))
    noise = MAD * float(np.median(np.abs(celsius - fine - np.median(celsius - fine)))) / 3.0
    rest = _flat(fine, max(LEAST_K, NOISE_TIMES * noise))
    level = max(LEAST_K, NOISE_TIMES * noise)
    found: list[Spot] = []
    for sign in (1.0, -1.0):
        for region in _regions(rest * sign > level):
            found += _cut(region, rest * sign, celsius, level)
    found = _grouped(found)
    return tuple(sorted(found, key=lambda s: (-abs(s.contrast_k) * s.area**0.5, s.left, s.top))[:MOST_SPOTS])


def _box(t: Matrix) -> Matrix:
    p = np.pad(t, 1, mode="edge")
    rows, cols = t.shape
    return np.asarray(sum(p[r : r + rows, c : c + cols] for r in range(3) for c in range(3)) / 9.0)


def _flat(t: Matrix, level: float) -> Matrix:
    """What is left after the drift, with another surface along a side of the frame taken by itself."""
    rest = t - _plane(t, np.ones(t.shape, dtype=bool))
    for sign in (1.0, -1.0):
        for region in _regions(rest * sign > level):
            if len(_sides(region)) >= 3 and region.mean() < 0.6:
                grown = region
                rest = np.where(grown, t - _plane(t, grown), rest)
                off = t - _plane(t, ~grown)
                rest = np.where(grown, rest, off)
    return np.asarray(rest)


def _plane(t: Matrix, among: Mask) -> Matrix:
    """A plane through most of the frame; places far off it do not count (Tukey's weights)."""
    rows, cols = t.shape
    y, x = np.mgrid[0:rows, 0:cols]
    a = np.stack([np.ones(t.shape), x / cols - 0.5, y / rows - 0.5], axis=-1)
    pick = np.zeros(t.shape, dtype=bool)
    pick[::3, ::3] = True
    pick &= among
    if pick.sum() < 12:
        return np.full(t.shape, float(np.median(t[among])))
    left, right = a[pick], t[pick]
    flat = np.array([float(np.median(right)), 0.0, 0.0])
    for _ in range(ROUNDS):
        off = right - left @ flat
        scale = max(0.05, MAD * float(np.median(np.abs(off))))
        weight = np.clip(1 - (off / (TUKEY * scale)) ** 2, 0, None)
        if (weight > 0).sum() < 12:
            break
        flat = np.linalg.lstsq(left * weight[:, None], right * weight, rcond=None)[0]
    return np.asarray(a @ flat)


def _regions(mask: Mask) -> list[Mask]:
    """Connected parts of a mask that are large enough, after single pixels are taken out."""
    clean = _box(mask.astype(np.float64)) > 0.55
    names = np.zeros(mask.shape, dtype=np.int32)
    rows, cols = mask.shape
    out, number = [], 0
    for r, c in zip(*np.nonzero(clean), strict=True):
        if names[r, c]:
            continue
        number += 1
        names[r, c] = number
        todo, size = deque([(int(r), int(c))]), 0
        while todo:
            i, j = todo.popleft()
            size += 1
            for m, n in ((i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1)):
                if 0 <= m < rows and 0 <= n < cols and clean[m, n] and not names[m, n]:
                    names[m, n] = number
                    todo.append((m, n))
        if size >= LEAST_SHARE * mask.size:
            out.append(names == number)
    return out


def _cut(region: Mask, rest: Matrix, celsius: Matrix, level: float) -> list[Spot]:
    """A patch cut at half its height; what remains beside it is cut by its own height."""
    out: list[Spot] = []
    left = region
    for _ in range(MOST_SPOTS):
        if left.sum() < LEAST_SHARE * left.size:
            break
        peak = float(np.quantile(rest[left], 0.97))
        core = left & (rest >= max(level, HALF * peak))
        parts = _regions(core)
        out += [_spot(part, rest, celsius, peak) for part in parts]
        if peak < 3 * level or not parts:
            break
        near = core
        for _ in range(9):
            near = _box(near.astype(np.float64)) > 0.01
        remains = _regions(left & ~near)
        left = max(remains, key=lambda m: int(m.sum()), default=np.zeros(left.shape, dtype=bool))
    return out


def _sides(region: Mask) -> tuple[str, ...]:
    edge = {"left": region[:, :2], "right": region[:, -2:], "top": region[:2], "bottom": region[-2:]}
    return tuple(name for name, part in edge.items() if part.any())


def _spot(region: Mask, rest: Matrix, celsius: Matrix, peak: float) -> Spot:
    rows, cols = region.shape
    y, x = np.nonzero(region)
    outline, length, width, tilt = _around(x.astype(np.float64), y.astype(np.float64))
    square = float(region.sum()) / max(1.0, (length + 1) * (width + 1))
    inner = _box(region.astype(np.float64)) > 0.99
    rim = max(1, int((region & ~inner).sum()))
    mean_width = 2.0 * float(region.sum()) / rim
    wide = region
    for _ in range(6):
        wide = _box(wide.astype(np.float64)) > 0.01
    ring = wide & (np.abs(rest) < peak / 3)
    inside = celsius[region]
    around = float(np.median(celsius[ring])) if ring.sum() > 20 else float(np.median(celsius - rest))
    edge = ((rest > 0.25 * peak) & (rest < 0.75 * peak) & wide).sum() / rim
    return Spot(
        left=float(x.min() / cols), top=float(y.min() / rows),
        width=float((x.max() - x.min() + 1) / cols), height=float((y.max() - y.min() + 1) / rows),
        area=float(region.mean()), contrast_k=float(np.median(inside)) - around,
        least_c=float(np.quantile(inside, 0.01)), most_c=float(np.quantile(inside, 0.99)), around_c=around,
        shape=_shape(square, length + 1, width + 1, tilt, mean_width, cols), rectangularity=square,
        aspect=float((length + 1) / (width + 1)), tilt_deg=tilt, soft=float(edge / max(1.0, mean_width)),
        sides=_sides(region), outline=tuple((float(a / cols), float(b / rows)) for a, b in outline),
    )  # fmt: skip


def _shape(square: float, length: float, width: float, tilt: float, mean_width: float, cols: int) -> str:
    if width / length < THIN and width < FINE_LINE * cols:
        return "line"
    if square < 0.5 and mean_width < FINE_LINE * cols / 2 and length > 4 * width:
        return "line"
    if square < 0.5 and mean_width < FINE_LINE * cols and length > 0.4 * cols and width > 0.2 * cols:
        return "lines"
    if square >= SQUARE:
        return "bay" if length / width >= LONG and abs(tilt) < 25 else "compact"
    return "streak" if length / width >= LONG else "blot"


def _around(x: Matrix, y: Matrix) -> tuple[list[tuple[float, float]], float, float, float]:
    """The smallest rectangle around points: corners, length, width, and its long axis from upright, degrees."""
    points = np.stack([x, y], axis=1)
    best: tuple[float, float, float, float] | None = None
    for turn in np.arange(-45.0, 45.0, 1.5):
        t = np.radians(turn)
        u, v = points @ [np.cos(t), np.sin(t)], points @ [-np.sin(t), np.cos(t)]
        across, along = float(u.max() - u.min()), float(v.max() - v.min())
        if best is None or (across + 1) * (along + 1) < best[0]:
            best = ((across + 1) * (along + 1), float(t), across, along)
    assert best is not None
    _, t, across, along = best
    e, f = np.array([np.cos(t), np.sin(t)]), np.array([-np.sin(t), np.cos(t)])
    u, v = points @ e, points @ f
    corners = [(a * e + b * f).tolist() for a, b in ((u.min(), v.min()), (u.max(), v.min()), (u.max(), v.max()),
                                                      (u.min(), v.max()))]  # fmt: skip
    axis = f if along >= across else e
    tilt = degrees(atan2(axis[0], abs(axis[1]))) if axis[1] else 90.0
    return [(float(a), float(b)) for a, b in corners], max(across, along), min(across, along), tilt


def _grouped(found: list[Spot]) -> list[Spot]:
    """Three or more parallel lines of like contrast are one thing, such as framing."""
    lines = [s for s in found if s.shape == "line"]
    rest = [s for s in found if s.shape != "line"]
    while lines:
        first = max(lines, key=lambda s: (s.height + s.width, -s.left))
        kin = [s for s in lines if abs(s.tilt_deg - first.tilt_deg) < 15 and s.warm == first.warm]
        lines = [s for s in lines if s not in kin]
        rest += [_as_one(kin)] if len(kin) >= 3 else kin
    return rest


def _as_one(kin: list[Spot]) -> Spot:
    first = max(kin, key=lambda s: s.area)
    left, top = min(s.left for s in kin), min(s.top for s in kin)
    right, low = max(s.left + s.width for s in kin), max(s.top + s.height for s in kin)
    return replace(
        first, left=left, top=top, width=right - left, height=low - top, area=sum(s.area for s in kin),
        contrast_k=float(np.median([s.contrast_k for s in kin])), least_c=min(s.least_c for s in kin),
        most_c=max(s.most_c for s in kin), shape="lines", sides=tuple(sorted({n for s in kin for n in s.sides})),
        outline=((left, top), (right, top), (right, low), (left, low)), count=len(kin),
    )  # fmt: skip
