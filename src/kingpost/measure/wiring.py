"""Wires and what guards them: ampacity where they run, the breaker that fits, the circuit of a motor."""

from __future__ import annotations

from collections.abc import Sequence

from .limits import OutOfRange, within
from .tables import at_or_above, at_or_below


def derated_ampacity_a(table_a: float, ambient_factor: float, count_factor: float) -> float:
    """Ampacity of a conductor where it runs, A: the table's, for heat and for company.

    table_a          of the column of its insulation
    ambient_factor   of the same column; 0 where the insulation does not stand that heat
    count_factor     for the number of conductors that carry current together

    Source    [nec-310-16], [nec-310-15-ambient], [nec-310-15-count]
    Raises    OutOfRange

    >>> derated_ampacity_a(table_a=30.0, ambient_factor=1.0, count_factor=0.7)
    21.0
    """
    within("table_a", table_a, 1.0, 2000.0, "there is no such conductor in the table")
    within("ambient_factor", ambient_factor, 0.0, 1.5)
    within("count_factor", count_factor, 0.0, 1.0)
    return table_a * ambient_factor * count_factor


def largest_breaker_a(
    ampacity_a: float, standard_a: Sequence[float], next_size_up: bool, cap_a: float | None = None
) -> float:
    """The largest breaker or fuse for a conductor, A.

    standard_a     the standard ratings, rising
    next_size_up   whether the next rating may be taken where the ampacity is not itself one
    cap_a          of a small conductor, where it has one

    Source    [nec-240-4]
    Raises    OutOfRange outside the ratings

    >>> largest_breaker_a(115.0, [100, 110, 125], next_size_up=True)
    125.0
    """
    found = at_or_above(ampacity_a, standard_a) if next_size_up else at_or_below(ampacity_a, standard_a)
    return float(found if cap_a is None else min(found, cap_a))


def motor_circuit_a(rated_load_a: float, other_loads_a: float, factor: float) -> float:
    """A motor-compressor's rated load by a factor, and the other loads on its circuit, A.

    Source    [nec-440]
    Raises    OutOfRange

    >>> motor_circuit_a(rated_load_a=24.0, other_loads_a=0.0, factor=1.25)
    30.0
    """
    within("rated_load_a", rated_load_a, 0.1, 1000.0)
    within("other_loads_a", other_loads_a, 0.0, 1000.0)
    within("factor", factor, 1.0, 3.0)
    return factor * rated_load_a + other_loads_a


def protection_a(rated_load_a: float, other_loads_a: float, factor: float, standard_a: Sequence[float]) -> float:
    """The largest breaker for a motor-compressor's circuit, A, rounded down to a standard rating.

    Where that falls under what the circuit draws, the next rating above is taken.

    Source    [nec-440]; the exception on a secondary page

    >>> protection_a(24.0, 0.0, 2.25, [35, 40, 45, 50, 60])
    50.0
    """
    asked = motor_circuit_a(rated_load_a, other_loads_a, factor)
    drawn = motor_circuit_a(rated_load_a, other_loads_a, 1.25)
    try:
        under = float(at_or_below(asked, standard_a))
    except OutOfRange:
        return float(standard_a[0])
    return under if under >= drawn else float(at_or_above(drawn, standard_a))
