"""What an argument may be. Nothing is clamped, nothing is guessed; nan and infinity are refused."""

from __future__ import annotations


class OutOfRange(ValueError):
    """An argument that cannot be, or for which the formula was not made.

    Carries the name, the value, the limits and the usual slip, so that a door can say it in its own way.
    """

    def __init__(self, name: str, value: float, low: float, high: float, slip: str) -> None:
        self.name, self.value, self.low, self.high, self.slip = name, value, low, high, slip
        super().__init__(f"{name} is {value:g}, outside {low:g} to {high:g}" + (f"; {slip}" if slip else ""))


def within(name: str, value: float, low: float, high: float, slip: str = "") -> None:
    """Refuse a value outside low to high, both allowed.

    name   the argument's name, unit and all
    slip   what usually went wrong and what to give instead

    Raises    OutOfRange

    >>> within("air_c", 20.0, -45.0, 60.0)
    >>> within("rh_percent", 0.65, 1, 100, "give percent: 45, not 0.45")
    Traceback (most recent call last):
        ...
    kingpost.measure.limits.OutOfRange: rh_percent is 0.65, outside 1 to 100; give percent: 45, not 0.45
    """
    if not low <= value <= high:  # so that nan fails too
        raise OutOfRange(name, value, low, high, slip)


def among(name: str, value: str, known: tuple[str, ...] | list[str]) -> None:
    """Refuse a word that is not one of those known.

    Raises    ValueError, listing what is known
    """
    if value not in known:
        raise ValueError(f"{name} is {value}; known: {', '.join(known)}")
