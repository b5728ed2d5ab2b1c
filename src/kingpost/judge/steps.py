"""Tables with steps: a reading may belong to more than one class, and only where all agree is there a verdict."""

from __future__ import annotations

from collections.abc import Callable

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
