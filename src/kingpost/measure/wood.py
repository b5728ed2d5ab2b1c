"""Wood and the water in it."""

from __future__ import annotations

from .limits import within


def corrected_moisture_percent(
    reading_percent: float, wood_c: float, percent_per_c: float, reference_c: float
) -> float:
    """Moisture of wood, percent, from a pin meter's reading, for the wood's temperature.

    reading_percent   0 to 100
    wood_c            -40 to 80

    Source    [fpl-2147]: half a percent for 5 C below the temperature that the meter is made for
    Good to   1 percent from 7 to 25 percent; over about 28 a meter gives no number
    Raises    OutOfRange

    >>> corrected_moisture_percent(17.0, wood_c=5.0, percent_per_c=0.1, reference_c=20.0)
    18.5
    """
    within("reading_percent", reading_percent, 0.0, 100.0, "give percent")
    within("wood_c", wood_c, -40.0, 80.0, "give degrees C")
    return reading_percent + percent_per_c * (reference_c - wood_c)
