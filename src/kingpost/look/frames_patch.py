"""A patch in a thermal frame, as it is seen and before anybody says what it may be."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spot:
    """One place that stands out. Shares are of the frame's width and height; contrast is against what lies around."""

    left: float
    top: float
    width: float
    height: float
    area: float  # share of the frame
    contrast_k: float
    least_c: float
    most_c: float
    around_c: float
    shape: str  # bay, compact, line, lines, blot, streak
    rectangularity: float
    aspect: float
    tilt_deg: float  # of the long axis from upright
    soft: float  # width of the edge as a share of the patch's own width
    sides: tuple[str, ...]  # of the frame, that it touches
    outline: tuple[tuple[float, float], ...]  # rectangle around it, turned as it lies, shares
    count: int = 1  # of alike ones that are listed as one

    @property
    def warm(self) -> bool:
        return self.contrast_k > 0

    def where(self) -> str:
        """ "upper left" of the picture."""
        x, y = self.left + self.width / 2, self.top + self.height / 2
        across = "left" if x < 1 / 3 else "right" if x > 2 / 3 else ""
        down = "upper" if y < 1 / 3 else "lower" if y > 2 / 3 else ""
        down = "" if self.height > 0.8 else down
        return " ".join(w for w in (down, across) if w) or "middle"
