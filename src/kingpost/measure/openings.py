"""Openings: clear areas of windows, doors and vents."""

from __future__ import annotations

from .conformity import Measured, combine_uncertainty
from .limits import within

SQ_IN_PER_SQ_FT = 144.0


def clear_area_ft2(width_in: Measured, height_in: Measured) -> Measured:
    """Area of a clear opening, square feet, from its width and height in inches.

    Source    geometry
    Raises    OutOfRange

    Both least sizes kept, and still too small to climb out of:

    >>> round(clear_area_ft2(Measured(20.0), Measured(24.0)).value, 2)
    3.33
    """
    within("width_in", width_in.value, 0.0, 600.0)
    within("height_in", height_in.value, 0.0, 600.0)
    return combine_uncertainty(lambda w, h: w * h / SQ_IN_PER_SQ_FT, [width_in, height_in])
