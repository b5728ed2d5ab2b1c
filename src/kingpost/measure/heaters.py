"""Water heaters: how fast they heat, how much the water grows, what an element takes."""

from __future__ import annotations

from collections.abc import Sequence

from .limits import within
from .pipes import tank_drawdown_gal

LB_PER_GAL = 8.33
BTU_PER_KWH = 3412.0


def recovery_gal_h(input_btu_h: float, efficiency: float, cold_f: float, hot_f: float) -> float:
    """Water that a heater warms in an hour, US gallons.

    efficiency    thermal, as a share; not the energy factor of the label

    Source    [recovery-rule]
    Raises    OutOfRange

    >>> round(recovery_gal_h(40000.0, 0.8, 50.0, 120.0), 2)
    54.88
    """
    within("input_btu_h", input_btu_h, 0.0, 2e6)
    within("efficiency", efficiency, 0.3, 1.0, "give a share: 0.8, not 80")
    within("cold_f", cold_f, 32.0, 120.0)
    within("hot_f", hot_f, cold_f + 1.0, 212.0, "the hot water is not hotter than the cold")
    return input_btu_h * efficiency / (LB_PER_GAL * (hot_f - cold_f))


def btu_per_h(power_kw: float) -> float:
    """kW in Btu/h.

    >>> btu_per_h(4.5)
    15354.0
    """
    return power_kw * BTU_PER_KWH


def peak_hour_gal(uses: Sequence[Sequence[float]]) -> float:
    """Hot water of the busiest hour, US gallons: pairs of how often and how many gallons.

    Source    [doe-first-hour]

    >>> peak_hour_gal([[3, 12], [1, 2], [1, 4], [1, 4]])
    46.0
    """
    return float(sum(count * gallons for count, gallons in uses))


def first_hour_delivery_gal(tank_gal: float, recovery_gal_per_h: float, usable_share: float) -> float:
    """Hot water that a tank heater gives in an hour, about, US gallons: the usable part of the tank, and what it heats.

    >>> round(first_hour_delivery_gal(40.0, 35.0, 0.70), 1)
    63.0
    """
    return usable_share * tank_gal + recovery_gal_per_h


def water_density_kg_m3(water_c: float) -> float:
    """Density of water under the air's pressure, kg/m3.

    Source    [kell-1975]
    Raises    OutOfRange outside 0 to 100 C

    >>> round(water_density_kg_m3(4.0), 2)
    999.97
    """
    within("water_c", water_c, 0.0, 100.0)
    t = water_c
    over = (
        999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3 + 105.56302e-9 * t**4
        - 280.54253e-12 * t**5
    )  # fmt: skip
    return over / (1.0 + 16.879850e-3 * t)


def thermal_expansion_gal(volume_gal: float, cold_f: float, hot_f: float) -> float:
    """Extra water that heating makes of a tankful, US gallons.

    Source    [kell-1975]
    Raises    OutOfRange

    >>> round(thermal_expansion_gal(40.0, 90.0, 140.0), 2)
    0.48
    """
    within("volume_gal", volume_gal, 0.0, 10000.0)
    within("cold_f", cold_f, 32.0, 212.0)
    within("hot_f", hot_f, cold_f, 212.0, "the hot water is not hotter than the cold")
    cold, hot = ((f - 32.0) / 1.8 for f in (cold_f, hot_f))
    return volume_gal * (water_density_kg_m3(cold) / water_density_kg_m3(hot) - 1.0)


def expansion_acceptance_gal(
    tank_gal: float, precharge_psig: float, supply_psig: float, highest_psig: float, atmosphere_psi: float = 14.7
) -> float:
    """Water that an expansion tank takes in between the supply's pressure and the highest one allowed, US gallons.

    Source    [boyle]
    Raises    OutOfRange

    >>> round(expansion_acceptance_gal(2.0, 60.0, 60.0, 135.0), 2)
    1.0
    """
    return tank_drawdown_gal(tank_gal, precharge_psig, supply_psig, highest_psig, atmosphere_psi)


def element_power_w(voltage_v: float, resistance_ohm: float) -> float:
    """Power of a heating element, W.

    Raises    OutOfRange

    >>> element_power_w(240.0, 12.8)
    4500.0
    """
    within("resistance_ohm", resistance_ohm, 0.1, 10000.0, "an open element reads no number")
    return voltage_v**2 / resistance_ohm


def element_resistance_ohm(voltage_v: float, power_w: float) -> float:
    """Resistance of an element by its plate, ohm.

    Raises    OutOfRange

    >>> element_resistance_ohm(240.0, 4500.0)
    12.8
    """
    within("power_w", power_w, 1.0, 1e6, "give watts")
    return voltage_v**2 / power_w
