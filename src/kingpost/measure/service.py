"""The electric service: sizes that carry a rating, the two halves of the supply, wires of the ground."""

from __future__ import annotations

from collections.abc import Sequence

from .limits import OutOfRange, within


def smallest_size(needed_a: float, sizes: Sequence[str], ampacities_a: Sequence[float]) -> str:
    """The thinnest wire of a table that is good for so many amps.

    sizes          from thin to thick
    ampacities_a   of each, A; 0 where the size is not made in that metal

    Source    [nec-310-16]
    Raises    OutOfRange over the last of the table

    >>> smallest_size(166.0, ["1/0", "2/0", "3/0"], [150, 175, 200])
    '2/0'
    """
    for size, ampacity in zip(sizes, ampacities_a, strict=True):
        if ampacity >= needed_a:
            return size
    raise OutOfRange("needed_a", needed_a, 0.0, max(ampacities_a), "the table of wires ends here")


def thicker(size: str, other: str, sizes: Sequence[str]) -> bool:
    """Whether a wire is at least as thick as another: gauge numbers run backwards, then come 1/0, 2/0, 250.

    Raises    ValueError for a size that is not in the list

    >>> thicker("1/0", "2", ["4", "2", "1", "1/0", "250"])
    True
    """
    for one in (size, other):
        if one not in sizes:
            raise ValueError(f"{one} is not a wire size of the table")
    return sizes.index(size) >= sizes.index(other)


def step_for_size(size: str, sizes: Sequence[str], uppers: Sequence[str]) -> int:
    """Index of the step of a table that a wire falls in, each upper end in its own step.

    Raises    ValueError over the last, and for a size that is not in the list

    >>> step_for_size("4/0", ["1/0", "2/0", "3/0", "4/0", "250"], ["1/0", "3/0", "250"])
    2
    """
    for index, upper in enumerate(uppers):
        if thicker(upper, size, sizes):
            return index
    raise ValueError(f"a wire of {size} is outside the table, which ends at {uppers[-1]}")


def leg_difference_v(l1n_v: float, l2n_v: float) -> float:
    """How far the two halves of a supply are apart, V. Their sum says nothing: it is right even with an open neutral.

    Raises    OutOfRange

    >>> leg_difference_v(127.0, 113.0)
    14.0
    """
    for name, one in (("l1n_v", l1n_v), ("l2n_v", l2n_v)):
        within(name, one, 0.0, 300.0)
    return abs(l1n_v - l2n_v)
