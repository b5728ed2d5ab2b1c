"""Reading printed tables: bands, steps, and straight lines between printed points, never beyond them."""

from __future__ import annotations

from collections.abc import Sequence

from .limits import OutOfRange, within


def band(value: float, uppers: Sequence[float]) -> int:
    """Index of the band that a value falls in; each upper end belongs to its own band.

    uppers   upper ends, rising

    Raises    OutOfRange over the last

    >>> band(2.5, [2.5, 6, 60]), band(2.6, [2.5, 6, 60])
    (0, 1)
    """
    for index, upper in enumerate(uppers):
        if value <= upper:
            return index
    raise OutOfRange("value", value, 0.0, uppers[-1], "the table ends here")


def at_or_above(value: float, steps: Sequence[float]) -> float:
    """The first step that is not under the value.

    Raises    OutOfRange over the last

    >>> at_or_above(42.0, [15, 20, 40, 45])
    45
    """
    return steps[band(value, steps)]


def at_or_below(value: float, steps: Sequence[float]) -> float:
    """The last step that is not over the value.

    Raises    OutOfRange under the first

    >>> at_or_below(42.0, [15, 20, 40, 45])
    40
    """
    under = [s for s in steps if s <= value]
    if not under:
        raise OutOfRange("value", value, steps[0], steps[-1], "the table starts here")
    return max(under)


def between(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """The value on the straight line between the printed points beside x; never beyond the ends.

    Raises    OutOfRange

    >>> between(11.0, [10, 12], [18, 15])
    16.5
    """
    within("x", x, xs[0], xs[-1], "the table ends here")
    for (x0, y0), (x1, y1) in zip(zip(xs, ys, strict=True), list(zip(xs, ys, strict=True))[1:], strict=False):
        if x0 <= x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return ys[0]
