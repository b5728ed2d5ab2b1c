"""Tables with steps, where a reading may belong to more than one class; and numbers out of tables that a person wrote.

Only where all classes agree is there a verdict.
"""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from typing import Any

from kingpost.measure.conformity import Measured

from .verdict import Judged, every

REACH_U = 2.0  # classes within so many standard uncertainties of the reading are looked at


def over_classes(value: Measured, judge: Callable[[float], Judged]) -> Judged:
    """The verdict of every class that the reading could belong to; where they differ, cannot_tell.

    judge    the verdict for one value, taken as exact; OutOfRange passes through
    """
    judged = judge(value.value)
    if value.u <= 0.0:
        return judged
    around = [judge(value.value + k * REACH_U * value.u) for k in (-1, 1)]
    if all(j.verdict == judged.verdict for j in around):
        return every([judged, *around])
    return Judged("cannot_tell", judged.probability)


def amount(value: Any, what: str) -> float:
    """A number out of a list or table. Raises ValueError, in one sentence, for what is no number of 0 or more."""
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise ValueError(f"{what} is {value}, and a number is wanted") from None
    if isinstance(value, bool) or not isfinite(number) or number < 0.0:
        raise ValueError(f"{what} is {value}, and a number of 0 or more is wanted")
    return number
