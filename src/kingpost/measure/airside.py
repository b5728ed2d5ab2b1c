"""Air that is heated or cooled: heat carried, airflow found from it, leaks, ventilation."""

from __future__ import annotations

from .limits import within
from .moist_air import SEA_LEVEL_PSIA

SENSIBLE = 1.08  # Btu/h for a cfm and a degree F, at the sea
TOTAL = 4.5  # Btu/h for a cfm and a Btu/lb, at the sea
BTU_PER_WH = 3.412


def total_heat_btu_h(airflow_cfm: float, difference_btu_lb: float, pressure_psia: float = SEA_LEVEL_PSIA) -> float:
    """Heat that air gives up or takes, with its moisture, Btu/h.

    difference_btu_lb    of enthalpy, Btu a pound of dry air

    Source    [air-constants]

    >>> round(total_heat_btu_h(1200.0, 7.66))
    41364
    """
    within("airflow_cfm", airflow_cfm, 0.0, 20000.0)
    within("pressure_psia", pressure_psia, 8.0, 16.0)
    return TOTAL * airflow_cfm * difference_btu_lb * pressure_psia / SEA_LEVEL_PSIA


def sensible_heat_btu_h(airflow_cfm: float, difference_f: float, pressure_psia: float = SEA_LEVEL_PSIA) -> float:
    """Heat by which air gets warmer or cooler, Btu/h; at 5000 ft it carries a sixth less.

    Source    [air-constants]

    >>> round(sensible_heat_btu_h(1200.0, 22.0))
    28512
    """
    within("airflow_cfm", airflow_cfm, 0.0, 20000.0)
    within("pressure_psia", pressure_psia, 8.0, 16.0)
    return SENSIBLE * airflow_cfm * difference_f * pressure_psia / SEA_LEVEL_PSIA


def airflow_from_rise_cfm(output_btu_h: float, rise_f: float, pressure_psia: float = SEA_LEVEL_PSIA) -> float:
    """Air that a heater moves, found from what it gives and how much it warms, cfm.

    output_btu_h    what reaches the air: input times efficiency

    Raises    OutOfRange

    >>> round(airflow_from_rise_cfm(80000.0, 60.0))
    1235
    """
    within("rise_f", rise_f, 1.0, 200.0, "the air coming out is not warmer than that going in, when heating")
    within("output_btu_h", output_btu_h, 0.0, 1e6)
    return output_btu_h / (SENSIBLE * rise_f * pressure_psia / SEA_LEVEL_PSIA)


def electric_heat_btu_h(voltage_v: float, current_a: float) -> float:
    """Heat of electric elements, Btu/h.

    >>> round(electric_heat_btu_h(240.0, 40.0))
    32755
    """
    return BTU_PER_WH * voltage_v * current_a


def leak_fraction(room_f: float, plenum_f: float, attic_f: float, least_difference_f: float = 20.0) -> float:
    """Share of the return air that may come from the attic, by mixing.

    Needs an attic much hotter or colder than the rooms. Heat through duct walls looks the same: a hint only.

    Raises    OutOfRange where attic and room differ by less than `least_difference_f`

    >>> round(leak_fraction(75.0, 78.0, 125.0), 2)
    0.06
    """
    apart = abs(attic_f - room_f)
    within("attic_f", apart, least_difference_f, 300.0, "attic and rooms are too near in temperature for this hint")
    return (plenum_f - room_f) / (attic_f - room_f)


def whole_house_air_cfm(floor_area_ft2: float, bedrooms: float, per_ft2: float, per_person: float) -> float:
    """Outdoor air that a house wants at all times, cfm.

    Source    [ashrae-62-2]
    Raises    OutOfRange

    >>> whole_house_air_cfm(2400.0, 3, 0.03, 7.5)
    102.0
    """
    within("floor_area_ft2", floor_area_ft2, 100.0, 50000.0)
    within("bedrooms", bedrooms, 1.0, 20.0)
    return per_ft2 * floor_area_ft2 + per_person * (bedrooms + 1.0)


def area_per_ton_ft2(floor_area_ft2: float, tons: float) -> float:
    """Floor that a ton of cooling serves, ft2.

    Raises    OutOfRange

    >>> area_per_ton_ft2(1800.0, 3.0)
    600.0
    """
    within("tons", tons, 0.5, 50.0, "give tons of 12,000 Btu/h")
    return floor_area_ft2 / tons


def heat_per_area_btu_h_ft2(output_btu_h: float, floor_area_ft2: float) -> float:
    """Heater's output for a square foot of floor, Btu/h.

    Raises    OutOfRange

    >>> heat_per_area_btu_h_ft2(72000.0, 1800.0)
    40.0
    """
    within("floor_area_ft2", floor_area_ft2, 100.0, 50000.0)
    return output_btu_h / floor_area_ft2
