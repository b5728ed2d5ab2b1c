"""Wood in damp air: the moisture it comes to."""

from __future__ import annotations

from .limits import within


def equilibrium_moisture_percent(air_f: float, relative_humidity: float) -> float:
    """Moisture that wood comes to in air, percent of its dry weight.

    air_f               20 to 200
    relative_humidity   0 to 0.98

    Source    [wood-handbook-emc] Hailwood and Horrobin's equation with the handbook's figures
    Good to   a tenth of a percent of the handbook's table
    Raises    OutOfRange

    >>> round(equilibrium_moisture_percent(70.0, 0.8), 1)
    16.0
    """
    within("air_f", air_f, 20.0, 200.0, "give degrees F")
    within("relative_humidity", relative_humidity, 0.0, 0.98, "give a share: 0.45, not 45; near 1 wood takes up liquid")
    t, h = air_f, relative_humidity
    w = 330.0 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 0.000463 * t - 8.44e-7 * t**2
    k1 = 6.34 + 0.000775 * t - 9.35e-5 * t**2
    k2 = 1.09 + 0.0284 * t - 9.04e-5 * t**2
    first = k * h / (1.0 - k * h)
    second = (k1 * k * h + 2.0 * k1 * k2 * k**2 * h**2) / (1.0 + k1 * k * h + k1 * k2 * k**2 * h**2)
    return 1800.0 / w * (first + second)
