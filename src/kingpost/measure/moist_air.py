"""Moist air in the units of the trade: degrees F, psia, pounds, grains, Btu."""

from __future__ import annotations

from math import exp, log

from .limits import within

SEA_LEVEL_PSIA = 14.696
RANKINE = 459.67
GRAINS_PER_LB = 7000.0
# [ashrae-psychrometrics] saturation over water and over ice, T in Rankine, psia
WATER = (-1.0440397e4, -1.1294650e1, -2.7022355e-2, 1.2890360e-5, -2.4780681e-9, 6.5459673)
ICE = (-1.0214165e4, -4.8932428, -5.3765794e-3, 1.9202377e-7, 3.5575832e-10, -9.0344688e-14, 4.1635019)


def saturation_pressure_psia(air_f: float) -> float:
    """Pressure of saturated water vapour, psia; over ice below 32 F.

    air_f   -40 to 200

    Source    [ashrae-psychrometrics] equations 5 and 6
    Good to   0.1 percent of [psychrolib-2]
    Raises    OutOfRange

    >>> round(saturation_pressure_psia(70.0), 4)
    0.3633
    """
    within("air_f", air_f, -40.0, 200.0, "give degrees F")
    t = air_f + RANKINE
    if air_f >= 32.0:
        c8, c9, c10, c11, c12, c13 = WATER
        return exp(c8 / t + c9 + c10 * t + c11 * t**2 + c12 * t**3 + c13 * log(t))
    c1, c2, c3, c4, c5, c6, c7 = ICE
    return exp(c1 / t + c2 + c3 * t + c4 * t**2 + c5 * t**3 + c6 * t**4 + c7 * log(t))


def pressure_at_height_psia(height_ft: float) -> float:
    """Pressure of the air at a height above the sea, psia.

    height_ft   -1000 to 15,000

    Source    [ashrae-psychrometrics] equation 3

    >>> round(pressure_at_height_psia(5000.0), 2)
    12.23
    """
    within("height_ft", height_ft, -1000.0, 15000.0)
    return float(SEA_LEVEL_PSIA * (1.0 - 6.8754e-6 * height_ft) ** 5.2559)


def humidity_ratio(air_f: float, relative_humidity: float, pressure_psia: float = SEA_LEVEL_PSIA) -> float:
    """Pounds of water in a pound of dry air.

    relative_humidity   0 to 1

    Source    [ashrae-psychrometrics] equations 20 and 12

    >>> round(humidity_ratio(80.0, 0.5), 5)
    0.01092
    """
    within("relative_humidity", relative_humidity, 0.0, 1.0, "give a share: 0.45, not 45")
    within("pressure_psia", pressure_psia, 5.0, 20.0)
    vapour = relative_humidity * saturation_pressure_psia(air_f)
    return 0.621945 * vapour / (pressure_psia - vapour)


def humidity_ratio_from_wet_bulb(dry_f: float, wet_f: float, pressure_psia: float = SEA_LEVEL_PSIA) -> float:
    """Pounds of water in a pound of dry air, from dry and wet bulb.

    wet_f   not over dry_f, 32 or more: below that the bulb carries ice, and this equation is not for it

    Source    [ashrae-psychrometrics] equation 33
    Raises    OutOfRange

    >>> round(humidity_ratio_from_wet_bulb(80.0, 67.0), 5)
    0.01117
    """
    within("wet_f", wet_f, 32.0, dry_f, "a wet bulb is never warmer than the dry one")
    saturated = humidity_ratio(wet_f, 1.0, pressure_psia)
    return ((1093.0 - 0.556 * wet_f) * saturated - 0.240 * (dry_f - wet_f)) / (1093.0 + 0.444 * dry_f - wet_f)


def relative_humidity(air_f: float, ratio: float, pressure_psia: float = SEA_LEVEL_PSIA) -> float:
    """Relative humidity, 0 to 1, of air with a humidity ratio.

    Source    [ashrae-psychrometrics] equations 20 and 12
    Raises    OutOfRange where the air would be more than saturated

    >>> round(relative_humidity(80.0, 0.01092), 2)
    0.5
    """
    within("ratio", ratio, 0.0, 0.2, "give pounds per pound")
    vapour = pressure_psia * ratio / (0.621945 + ratio)
    share = vapour / saturation_pressure_psia(air_f)
    within("relative humidity", share, 0.0, 1.0005, "this air cannot hold so much water")
    return min(share, 1.0)


def enthalpy_btu_per_lb(air_f: float, ratio: float) -> float:
    """Heat of moist air, Btu per pound of dry air.

    Source    [ashrae-psychrometrics] equation 30

    >>> round(enthalpy_btu_per_lb(80.0, 0.01117), 2)
    31.45
    """
    within("air_f", air_f, -40.0, 200.0, "give degrees F")
    within("ratio", ratio, 0.0, 0.2, "give pounds per pound")
    return 0.240 * air_f + ratio * (1061.0 + 0.444 * air_f)


def dew_point_f(air_f: float, relative_humidity: float) -> float:
    """Temperature at which this air starts to wet a surface, F; over ice it is the frost point.

    Source    [ashrae-psychrometrics] equations 5 and 6, solved by halving
    Raises    OutOfRange

    >>> round(dew_point_f(80.0, 0.5), 1)
    59.7
    """
    within("relative_humidity", relative_humidity, 0.01, 1.0, "give a share of 0.01 to 1: 0.45, not 45")
    wanted = relative_humidity * saturation_pressure_psia(air_f)
    low, high = -40.0, air_f
    within("air_f", air_f, 0.0, 200.0, "give degrees F")
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if saturation_pressure_psia(middle) < wanted else (low, middle)
    return (low + high) / 2.0


def wet_bulb_f(air_f: float, relative_humidity: float, pressure_psia: float = SEA_LEVEL_PSIA) -> float:
    """Wet bulb of air, F, 32 or more.

    Source    [ashrae-psychrometrics] equation 33, solved by halving
    Raises    OutOfRange where the wet bulb would be under 32 F

    >>> round(wet_bulb_f(80.0, 0.511), 1)
    67.0
    """
    wanted = humidity_ratio(air_f, relative_humidity, pressure_psia)
    within("air_f", air_f, 32.0, 200.0, "give degrees F")
    low, high = 32.0, air_f
    if humidity_ratio_from_wet_bulb(air_f, low, pressure_psia) > wanted:
        within("wet bulb", 31.0, 32.0, 200.0, "this air is too dry and cold for this equation")
    for _ in range(60):
        middle = (low + high) / 2.0
        under = humidity_ratio_from_wet_bulb(air_f, middle, pressure_psia) < wanted
        low, high = (middle, high) if under else (low, middle)
    return (low + high) / 2.0
