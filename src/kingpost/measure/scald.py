"""Hot water on skin."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from .tables import between


def seconds_to_burn(water_f: float, table_f: Sequence[float], table_s: Sequence[float]) -> float:
    """Seconds until adult skin is burnt through, by a printed table; between its points a straight line in ln(time).

    Source    [cpsc-5098]; interpolation ours
    Not for   children and old people, who burn sooner
    Raises    OutOfRange outside the table

    >>> round(seconds_to_burn(135.0, [130, 140], [30, 6]), 1)
    13.4
    """
    printed = dict(zip(table_f, table_s, strict=True))
    if water_f in printed:
        return float(printed[water_f])
    return exp(between(water_f, table_f, [log(s) for s in table_s]))
