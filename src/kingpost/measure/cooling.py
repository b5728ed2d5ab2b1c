"""Cooling: how much a coil should cool the air that it gets."""

from __future__ import annotations

from .limits import within
from .moist_air import SEA_LEVEL_PSIA, enthalpy_btu_per_lb, humidity_ratio, wet_bulb_f

TON_BTU_PER_H = 12000.0


def expected_split_f(return_f: float, return_rh: float, outdoor_f: float, cfm_per_ton: float = 400.0) -> float:
    """Fall of temperature across a cooling coil that works as usual, F, at sea level.

    return_f      return air, 60 to 95
    return_rh     its relative humidity, 0.1 to 0.9
    outdoor_f     60 to 120
    cfm_per_ton   airflow, 250 to 500

    A coil gives 12,000 Btu/h a ton at 67 F wet bulb and 95 F outdoors, 1.2 percent more for each degree of wet
    bulb, 0.4 percent less for each outdoors; the air leaves at 93 percent humidity, or dry where the coil is.

    Source    [split-model]: ours, derived; its constants are common practice
    Good to   2 F
    Not for   heat pumps in heating, two-stage units at part load, heights over 2000 ft
    Raises    OutOfRange

    >>> round(expected_split_f(75.0, 0.50, 85.0))
    22
    """
    within("return_f", return_f, 60.0, 95.0, "give degrees F of the return air")
    within("return_rh", return_rh, 0.1, 0.9, "give a share: 0.45, not 45")
    within("outdoor_f", outdoor_f, 60.0, 120.0, "cooling is not run below 60 F outdoors")
    within("cfm_per_ton", cfm_per_ton, 250.0, 500.0)
    wet = wet_bulb_f(return_f, return_rh)
    capacity = TON_BTU_PER_H * (1.0 + 0.012 * (wet - 67.0)) * (1.0 - 0.004 * (outdoor_f - 95.0))
    ratio = humidity_ratio(return_f, return_rh)
    dry = capacity / (1.08 * cfm_per_ton)
    leaving = enthalpy_btu_per_lb(return_f, ratio) - capacity / (4.5 * cfm_per_ton)
    supply = _at_93_percent(leaving)
    if humidity_ratio(supply, 0.93) > ratio:
        return dry
    return return_f - supply


def _at_93_percent(enthalpy: float) -> float:
    low, high = -20.0, 120.0
    for _ in range(60):
        middle = (low + high) / 2.0
        heat = enthalpy_btu_per_lb(middle, humidity_ratio(middle, 0.93, SEA_LEVEL_PSIA))
        low, high = (middle, high) if heat < enthalpy else (low, middle)
    return (low + high) / 2.0
