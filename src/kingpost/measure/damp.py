"""Damp on surfaces: dew points over water, humidity at a cold surface, and how cold a surface is for its wall."""

from __future__ import annotations

from math import exp, log, sqrt

from .conformity import Measured
from .limits import within

MAGNUS_B, MAGNUS_C = 17.62, 243.12
ISO_P0, ISO_B, ISO_C = 610.5, 17.269, 237.3


def celsius(fahrenheit: float) -> float:
    """Degrees C.

    >>> celsius(68.0)
    20.0
    """
    within("fahrenheit", fahrenheit, -200.0, 2000.0)
    return (fahrenheit - 32.0) / 1.8


def dew_point_over_water_f(air_f: float, relative_humidity: float) -> float:
    """Temperature at which this air starts to wet a surface, F, over water even below freezing.

    relative_humidity   0.01 to 1

    Source    Magnus, 17.62 and 243.12
    Good to   0.04 K of [psychrolib-2] above freezing; below it psychrolib tells the frost point, up to 2 K higher
    Raises    OutOfRange

    >>> round(dew_point_over_water_f(80.0, 0.5), 1)
    59.7
    """
    within("relative_humidity", relative_humidity, 0.01, 1.0, "give a share of 0.01 to 1: 0.45, not 45")
    within("air_f", air_f, -40.0, 150.0, "give degrees F")
    t = celsius(air_f)
    gamma = log(relative_humidity) + MAGNUS_B * t / (MAGNUS_C + t)
    return 1.8 * MAGNUS_C * gamma / (MAGNUS_B - gamma) + 32.0


def saturation_pa(air_c: float) -> float:
    """Pressure of saturated vapour over water, pascal.

    Source    [iso-13788] annex E

    >>> round(saturation_pa(20.0))
    2337
    """
    within("air_c", air_c, -40.0, 80.0, "give degrees C")
    return ISO_P0 * exp(ISO_B * air_c / (ISO_C + air_c))


def surface_humidity(air_f: float, relative_humidity: float, surface_f: float) -> float:
    """Relative humidity of the air at a surface, a share; over 1 the surface is wet.

    Source    [iso-13788]

    >>> round(surface_humidity(68.0, 0.5, 57.0), 2)
    0.74
    """
    within("relative_humidity", relative_humidity, 0.0, 1.0, "give a share: 0.45, not 45")
    return relative_humidity * saturation_pa(celsius(air_f)) / saturation_pa(celsius(surface_f))


def critical_surface_f(air_f: float, relative_humidity: float, share: float) -> float:
    """Temperature of a surface at which the air there comes to this humidity, F.

    Source    [iso-13788], solved for the temperature

    >>> round(critical_surface_f(68.0, 0.5, 0.8), 1)
    54.7
    """
    within("relative_humidity", relative_humidity, 0.01, 1.0, "give a share: 0.45, not 45")
    within("share", share, 0.05, 1.0)
    ratio = log(relative_humidity * saturation_pa(celsius(air_f)) / share / ISO_P0)
    return 1.8 * ISO_C * ratio / (ISO_B - ratio) + 32.0


def temperature_index(surface: Measured, indoor: Measured, outdoor: Measured) -> Measured:
    """How near a surface is to the indoor air, 0 to 1, and its uncertainty; any one unit of temperature.

    Source    (Ts - Te) / (Ti - Te)
    Raises    OutOfRange where indoors is not at least a degree warmer

    >>> index = temperature_index(Measured(60.0, 1.0), Measured(70.0, 1.0), Measured(30.0, 1.0))
    >>> index.value, round(index.u, 3)
    (0.75, 0.032)
    """
    apart = indoor.value - outdoor.value
    within("indoor less outdoor", apart, 1.0, 200.0, "it has to be warmer indoors than outdoors")
    f = (surface.value - outdoor.value) / apart
    return Measured(f, sqrt(surface.u**2 + (f * indoor.u) ** 2 + ((1.0 - f) * outdoor.u) ** 2) / apart)
