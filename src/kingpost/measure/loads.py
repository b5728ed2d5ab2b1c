"""Design load of a house: what lights, kitchen, laundry, ranges and the rest come to by the code's method."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

from .limits import OutOfRange, within

VA_IN_KW = 1000.0  # of heat: its power factor is 1
HALF = 0.5  # a fraction from one half up counts as a whole kilowatt


def range_demand_kw(
    plates_kw: Sequence[float], few_kw: Sequence[float], many_kw: float, full_kw: float, increase: float
) -> float:
    """Demand of household ranges, kW, by the column that takes any range to 27 kW.

    plates_kw   plates of the ranges; one under `full_kw` counts as `full_kw`
    few_kw      demand of 1, 2, 3 ... ranges of `full_kw`
    many_kw     demand of more than those: this and 1 kW a range
    increase    for each whole kilowatt by which the average is over `full_kw`; a half and more counts as a whole

    Source    [nec-220-55], column C, notes 1 and 2
    Raises    OutOfRange over 27 kW or for no range

    >>> range_demand_kw([14.0], [8, 11, 14, 17], 15.0, 12.0, 0.05)
    8.8
    """
    within("ranges", len(plates_kw), 1, 60, "give the plate of each range")
    for plate in plates_kw:
        within("range_kw", plate, 1.75, 27.0, "outside the table; the plate itself counts")
    count = len(plates_kw)
    base = float(few_kw[count - 1]) if count <= len(few_kw) else many_kw + count
    over = max(0.0, sum(max(p, full_kw) for p in plates_kw) / count - full_kw)
    return base * (1.0 + increase * floor(over + HALF + 1e-9))


def share_demand_kw(plates_kw: Sequence[float], percents: Sequence[float]) -> float:
    """Demand of small cooking appliances together, kW: the sum of their plates by the column's percentage.

    percents   of 1, 2, 3 ... appliances

    Source    [nec-220-55-columns], columns A and B, note 3
    Raises    OutOfRange for none, or for more than the column holds

    >>> share_demand_kw([3.0], [80, 75, 70])
    2.4
    """
    within("appliances", len(plates_kw), 1, len(percents), "the column ends here")
    return sum(plates_kw) * percents[len(plates_kw) - 1] / 100.0


def tiered_demand_va(total_va: float, up_to_va: Sequence[float], shares: Sequence[float]) -> float:
    """A load counted in steps, VA: the first part whole, the next by a share.

    up_to_va   upper ends of the steps but the last, rising
    shares     one more than those

    Source    [nec-220-42], [nec-220-82]
    Raises    OutOfRange, ValueError

    >>> tiered_demand_va(9000.0, [3000, 120000], [1.0, 0.35, 0.25])
    5100.0
    """
    within("total_va", total_va, 0.0, 1e7)
    if len(shares) != len(up_to_va) + 1:
        raise ValueError("give one share more than there are ends")
    ends = [0.0, *up_to_va, float("inf")]
    return sum(
        share * max(0.0, min(total_va, high) - low) for low, high, share in zip(ends, ends[1:], shares, strict=False)
    )


def general_load_va(area_ft2: float, va_per_ft2: float, circuits: float, va_per_circuit: float) -> float:
    """Lights and outlets by the floor area, and the counter and laundry circuits, VA.

    area_ft2   by outside dimensions, without garage, open porch, and space that cannot be finished

    Source    [nec-220-42]
    Raises    OutOfRange

    >>> general_load_va(1500.0, 3.0, 3.0, 1500.0)
    9000.0
    """
    within("area_ft2", area_ft2, 1.0, 50000.0)
    within("circuits", circuits, 0.0, 100.0)
    return va_per_ft2 * area_ft2 + va_per_circuit * circuits


def lighting_circuits(area_ft2: float, va_per_ft2: float, voltage_v: float, rating_a: float) -> int:
    """Least number of lighting circuits for a floor area.

    Source    [nec-210-11]
    Raises    OutOfRange

    >>> lighting_circuits(1500.0, 3.0, 120.0, 15.0), lighting_circuits(1500.0, 3.0, 120.0, 20.0)
    (3, 2)
    """
    within("area_ft2", area_ft2, 1.0, 50000.0)
    within("voltage_v", voltage_v, 100.0, 300.0)
    within("rating_a", rating_a, 10.0, 50.0)
    return ceil(va_per_ft2 * area_ft2 / voltage_v / rating_a - 1e-9)


def heating_or_cooling_va(counted_va: Sequence[float]) -> float:
    """The larger of heating and cooling, VA: they do not run together.

    counted_va   each as the method counts it, shares already applied

    Source    [nec-220-82]
    Raises    OutOfRange for none, or a negative one

    >>> heating_or_cooling_va([1380.0, 0.4 * 9000])
    3600.0
    """
    if not counted_va:
        raise OutOfRange("loads", 0, 1, 100, "give at least one")
    for one in counted_va:
        within("load_va", one, 0.0, 1e7)
    return max(counted_va)


def backfeed_sum_a(main_a: float, inverter_a: float, factor: float) -> float:
    """What may flow into a busbar from both ends, A: the main, and the inverter's output by a factor.

    Source    [nec-705-12]
    Raises    OutOfRange

    >>> backfeed_sum_a(200.0, 32.0, 1.25)
    240.0
    """
    within("main_a", main_a, 1.0, 2000.0)
    within("inverter_a", inverter_a, 0.0, 2000.0)
    return main_a + factor * inverter_a
