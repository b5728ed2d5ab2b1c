"""Thermal frames of an invented wall with truth: studs, drift, noise, and one flaw or none."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

WIDE, HIGH = 160, 120
FILM, FILLED, STUD, EMPTY = 8.3, 0.42, 0.85, 1.6  # W/(m2 K), round figures from memory


def _soft(t: NDArray[np.float64], times: int = 2) -> NDArray[np.float64]:
    for _ in range(times):
        p = np.pad(t, 1, mode="edge")
        t = np.asarray(sum(p[r : r + t.shape[0], c : c + t.shape[1]] for r in range(3) for c in range(3)) / 9)
    return t


def wall(seed: int, flaw: str, delta: float = 20.0) -> tuple[NDArray[np.float64], dict[str, Any]]:
    """A frame, C, of 160 x 120 and its truth. flaw: bay, blot, register, or "" for none."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:HIGH, 0:WIDE].astype(float)
    pitch, start, width = 26.0, float(rng.uniform(2, 24)), 2.5
    studs = np.abs((x - start) % pitch - 0.0) < width
    u = np.where(studs, STUD, FILLED)
    region = np.zeros((HIGH, WIDE), dtype=bool)
    if flaw == "bay":
        at = start + pitch * int(rng.integers(1, 4)) + width
        region = (x >= at) & (x < at + pitch - width)
        u = np.where(region, EMPTY, u)
    t = 21.0 - delta * u / FILM
    if flaw in ("blot", "register"):
        cx, cy = rng.uniform(50, 110), rng.uniform(40, 80)
        if flaw == "blot":
            region = ((x - cx) / 22) ** 2 + ((y - cy) / 17) ** 2 < 1 + 0.3 * np.sin(5 * np.arctan2(y - cy, x - cx))
            t = t - 2.2 * region
        else:
            region = (np.abs(x - cx) < 11) & (np.abs(y - cy) < 7)
            t = t + 9.0 * region
    base = float(np.median(21.0 - delta * np.where(studs, STUD, FILLED) / FILM))
    contrast = float(np.median(t[region])) - base if region.any() else 0.0
    t = _soft(t) + 0.3 * (y / HIGH - 0.5) + rng.uniform(-0.2, 0.2) * x / WIDE + rng.normal(0, 0.06, t.shape)
    box: tuple[float, ...] = ()
    if region.any():
        ys, xs = np.nonzero(region)
        box = (xs.min() / WIDE, ys.min() / HIGH, (np.ptp(xs) + 1) / WIDE, (np.ptp(ys) + 1) / HIGH)
    return t, {"area": float(region.mean()), "contrast": contrast, "box": box, "region": region}
