"""Our arithmetic held against other programs over whole ranges, and against what nature does not allow.

CoolProp, MetPy, fluids, pint, SciPy and NumPy compute the same by their own ways. Where ours is an approximation the
width says how near it is.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from itertools import pairwise
from pkgutil import iter_modules
from typing import Any

import CoolProp.CoolProp as cool
import fluids
import metpy.calc as met
import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from metpy.units import units
from scipy import constants

import kingpost.measure
from kingpost.measure import airside, damp, fuelgas, gutters, heaters, infrared, moist_air, pipes, pitch, slope
from kingpost.measure.conformity import Measured

UREG: Any = pint.UnitRegistry()
INCH = 0.0254


def _near(got: float, wanted: float, share: float) -> None:
    assert got == pytest.approx(wanted, rel=share, abs=1e-9)


# ---------------------------------------------------------------- pint: units


@given(st.floats(0.001, 2000.0))
def test_units_are_those_of_pint(x: float) -> None:
    _near(pipes.gallons_per_minute(x), UREG.Quantity(x, "ft**3/s").to("gallon/minute").magnitude, 1e-4)
    _near(heaters.btu_per_h(x), UREG.Quantity(x, "kW").to("Btu/hour").magnitude, 1e-4)
    _near(fuelgas.cubic_feet(x), UREG.Quantity(x, "m**3").to("ft**3").magnitude, 1e-4)
    _near(damp.celsius(x), UREG.Quantity(x, "degF").to("degC").magnitude, 1e-6)
    rain = UREG.Quantity(1.0, "ft**2") * UREG.Quantity(1.0, "inch/hour")
    _near(gutters.runoff_gpm(x, 1.0), (x * rain).to("gallon/minute").magnitude, 1e-3)


@given(st.floats(0.2, 8.0), st.floats(1.0, 500.0))
def test_a_pipe_holds_what_pint_says(inside: float, length: float) -> None:
    volume = np.pi * (UREG.Quantity(inside, "inch") / 2) ** 2 * UREG.Quantity(length, "ft")
    _near(pipes.pipe_volume_gal(inside, length), volume.to("gallon").magnitude, 1e-4)


# ---------------------------------------------------------------- CoolProp and MetPy: water and moist air


@given(st.floats(2.0, 95.0))
def test_density_of_water_is_that_of_coolprop(water_c: float) -> None:
    _near(heaters.water_density_kg_m3(water_c), cool.PropsSI("D", "T", water_c + 273.15, "P", 101325, "Water"), 5e-4)


@given(st.floats(40.0, 70.0), st.floats(100.0, 180.0), st.floats(20.0, 120.0))
def test_water_grows_as_much_as_coolprop_says(cold: float, hot: float, tank: float) -> None:
    def dense(f: float) -> float:
        return float(cool.PropsSI("D", "T", (f - 32) / 1.8 + 273.15, "P", 101325, "Water"))

    _near(heaters.thermal_expansion_gal(tank, cold, hot), tank * (dense(cold) / dense(hot) - 1), 0.04)


@given(st.floats(1.0, 60.0))
def test_vapour_over_water_is_that_of_coolprop(air_c: float) -> None:
    _near(damp.saturation_pa(air_c), cool.PropsSI("P", "T", air_c + 273.15, "Q", 1, "Water"), 0.003)


@given(st.floats(35.0, 110.0), st.floats(0.1, 0.99))
def test_dew_point_is_that_of_metpy(air_f: float, rh: float) -> None:
    told = met.dewpoint_from_relative_humidity(air_f * units.degF, rh * 100 * units.percent).to("degF").magnitude
    if told > 33:  # below, the two differ: over ice, and over water
        assert moist_air.dew_point_f(air_f, rh) == pytest.approx(float(told), abs=0.25)


@given(st.floats(40.0, 110.0), st.floats(0.1, 0.99))
def test_humidity_ratio_is_that_of_coolprop(air_f: float, rh: float) -> None:
    told = cool.HAPropsSI("W", "T", (air_f - 32) / 1.8 + 273.15, "P", 101325, "R", rh)
    _near(moist_air.humidity_ratio(air_f, rh), told, 0.012)


# ---------------------------------------------------------------- fluids: pipes and channels


@given(st.floats(0.5, 4.0), st.floats(0.5, 8.0))
def test_friction_is_that_of_fluids(inside: float, speed: float) -> None:
    across, rho, mu, rough = inside * INCH, 998.2, 0.0010016, 0.000005 * 0.3048
    v = speed * 0.3048
    factor = fluids.friction_factor(Re=rho * v * across / mu, eD=rough / across)
    pascal = factor * 100 * 0.3048 / across * rho * v**2 / 2
    gpm = speed * np.pi / 4 * (inside / 12) ** 2 * 448.831
    if rho * v * across / mu > 4000:
        _near(pipes.darcy_loss_psi(float(gpm), inside, 100.0), pascal / 6894.757, 0.03)


@given(st.floats(1.5, 8.0), st.floats(0.005, 0.1))
def test_a_drain_runs_as_fast_as_fluids_says(inside: float, fall: float) -> None:
    told = fluids.V_Manning(Rh=inside * INCH / 4, S=fall, n=0.012) / 0.3048
    _near(pipes.manning_velocity_ft_s(inside, fall, 0.012, 0.5), told, 0.003)


@given(st.floats(0.5, 4.0), st.floats(1.0, 40.0))
def test_speed_in_a_pipe_is_that_of_pint(inside: float, gpm: float) -> None:
    area = np.pi / 4 * UREG.Quantity(inside, "inch") ** 2
    told = (UREG.Quantity(gpm, "gallon/minute") / area).to("ft/s").magnitude
    _near(pipes.pipe_velocity_ft_s(gpm, inside), told, 2e-3)


# ---------------------------------------------------------------- SciPy and NumPy: light, space


@given(st.floats(-30.0, 120.0), st.floats(-30.0, 120.0))
def test_radiation_compares_as_stefan_and_boltzmann(one: float, other: float) -> None:
    def sent(c: float) -> float:
        return float(constants.Stefan_Boltzmann * (c + constants.zero_Celsius) ** 4)

    _near(infrared.radiated(one) / infrared.radiated(other), sent(one) / sent(other), 1e-9)


@given(st.floats(0.5, 24.0))
def test_a_roof_in_space_is_as_long_and_as_large_as_numpy_says(rise: float) -> None:
    down, along, across = np.array([12.0, 0, rise]), np.array([0, 12.0, 0]), np.array([12.0, 12.0, rise])
    _near(slope.slope_factor(rise), float(np.linalg.norm(down) / 12), 1e-12)
    _near(pitch.hip_factor(rise), float(np.linalg.norm(across) / 12), 1e-12)
    area = float(np.linalg.norm(np.cross(down, along)))
    _near(pitch.plane_area_ft2(Measured(144.0), rise).value, area, 1e-12)


@given(st.floats(5.0, 60.0), st.floats(0.0, 50.0))
def test_the_angle_of_a_rake_comes_back_from_its_picture(true: float, yaw: float) -> None:
    rake = np.array([np.cos(np.radians(true)), 0.0, np.sin(np.radians(true))])
    seen = np.array([rake[0] * np.cos(np.radians(yaw)), rake[2]])  # a far camera, turned about the upright
    apparent = float(np.degrees(np.arctan2(seen[1], seen[0])))
    assert pitch.true_angle_deg(apparent, yaw) == pytest.approx(true, abs=1e-6)


# ---------------------------------------------------------------- there and back


@given(st.floats(100.0, 250.0), st.floats(500.0, 6000.0))
def test_an_element_gives_its_power_back(volts: float, watts: float) -> None:
    _near(heaters.element_power_w(volts, heaters.element_resistance_ohm(volts, watts)), watts, 1e-9)


@given(st.floats(5000.0, 150000.0), st.floats(20.0, 80.0))
def test_the_air_that_carries_a_heat_carries_it(btu: float, rise: float) -> None:
    cfm = airside.airflow_from_rise_cfm(btu, rise)
    _near(airside.sensible_heat_btu_h(cfm, rise), btu, 1e-6)


@given(st.floats(45.0, 95.0), st.floats(0.2, 0.9), st.floats(0.5, 0.95))
def test_a_critical_surface_has_the_humidity_asked(air_f: float, rh: float, share: float) -> None:
    if rh < share:
        cold = damp.critical_surface_f(air_f, rh, share)
        assert damp.surface_humidity(air_f, rh, cold) == pytest.approx(share, abs=1e-4)


# ---------------------------------------------------------------- more is more, and less is less

UP, DOWN = 1, -1
# function of kingpost.measure, its arguments with x for what grows, from, to, and which way the answer then goes
MONOTONE: tuple[tuple[str, Callable[[float], tuple[Any, ...]], float, float, int], ...] = (
    ("airside.sensible_heat_btu_h", lambda x: (1000.0, x), 5.0, 60.0, UP),
    ("airside.airflow_from_rise_cfm", lambda x: (60000.0, x), 20.0, 80.0, DOWN),
    ("attic.net_free_in2", lambda x: (1500.0, x), 150.0, 300.0, DOWN),
    ("circuits.drop_percent", lambda x: (120.0, x), 100.0, 119.0, DOWN),
    ("conformity.normal_share", lambda x: (x,), -4.0, 4.0, UP),
    ("cooling.expected_split_f", lambda x: (75.0, x, 95.0), 0.4, 0.7, DOWN),  # drier, the coil stays dry
    ("crawl.equilibrium_moisture_percent", lambda x: (70.0, x), 0.1, 0.95, UP),
    ("damp.saturation_pa", lambda x: (x,), -20.0, 60.0, UP),
    ("floors.fall_over_a_room_in", lambda x: (x,), 0.1, 4.0, UP),
    ("fuelgas.gas_pipe_capacity_cfh", lambda x: (0.824, x, 0.5, 0.6094), 10.0, 200.0, DOWN),
    ("fuelgas.air_free_co_ppm", lambda x: (50.0, x), 1.0, 16.0, UP),
    ("grade.percent", lambda x: (x, 10.0), 0.5, 12.0, UP),
    ("gutters.orifice_gpm", lambda x: (6.0, x), 0.5, 6.0, UP),
    ("heat.loss_btu_per_h", lambda x: (100.0, 40.0, x), 2.0, 60.0, DOWN),
    ("heaters.water_density_kg_m3", lambda x: (x,), 5.0, 95.0, DOWN),
    ("heaters.recovery_gal_h", lambda x: (40000.0, 0.76, x, 120.0), 40.0, 75.0, UP),
    ("household.dryer_duct_allowed_ft", lambda x: (35.0, [(int(x), 5.0)]), 0.0, 6.0, DOWN),
    ("infrared.pixel_mm", lambda x: (2.5, x), 0.5, 20.0, UP),
    ("life.replaced_within", lambda x: (3.0, 20.0, x, 5.0), 0.0, 40.0, UP),
    ("loads.general_load_va", lambda x: (x, 3.0, 2.0, 1500.0), 500.0, 6000.0, UP),
    ("moist_air.saturation_pressure_psia", lambda x: (x,), -40.0, 200.0, UP),
    ("moist_air.wet_bulb_f", lambda x: (80.0, x), 0.2, 0.95, UP),
    ("pipes.hazen_williams_loss_psi", lambda x: (x, 0.785, 100.0), 1.0, 20.0, UP),
    ("pipes.darcy_loss_psi", lambda x: (5.0, x, 100.0), 0.5, 2.0, DOWN),
    ("pitch.hip_factor", lambda x: (x,), 0.0, 24.0, UP),
    ("scald.seconds_to_burn", lambda x: (x, [120.0, 130.0, 140.0, 150.0], [300.0, 30.0, 5.0, 1.5]), 121.0, 149.0, DOWN),
    ("slope.angle_deg", lambda x: (x,), 0.0, 24.0, UP),
    ("spans.rafter_thrust_lb", lambda x: (40.0, 24.0, x), 2.0, 12.0, DOWN),
    ("tables.between", lambda x: (x, [1.0, 2.0, 4.0], [10.0, 20.0, 80.0]), 1.0, 4.0, UP),
    ("wiring.derated_ampacity_a", lambda x: (40.0, x, 0.8), 0.3, 1.0, UP),
    ("yard.runoff_depth_in", lambda x: (x, 80.0), 0.6, 8.0, UP),
    ("yard.slope_length_factor", lambda x: (72.6, x), 1.0, 20.0, UP),
)  # fmt: skip
# Modules with nothing that grows one way: what holds them over whole ranges instead.
HELD = {
    "formula": "tests/outside/conformity.toml",  # any formula that a person writes
    "levels": "tests/measure/test_limits.py",
    "limits": "tests/measure/test_limits.py",
    "openings": "tests/outside/openings.toml",  # a product of two sides
    "rounding": "tests/measure/test_limits.py",
    "service": "tests/outside/service.toml",  # look-ups
    "settling": "tests/trade/test_vintage.py",  # years
    "units": "tests/measure/test_units.py",
    "wood": "tests/outside/wood.toml",  # one straight line
}
STEPS = 9


@pytest.mark.parametrize(("name", "call", "low", "high", "way"), MONOTONE, ids=[m[0] for m in MONOTONE])
def test_more_of_one_is_more_or_less_of_the_other(
    name: str, call: Callable[[float], tuple[Any, ...]], low: float, high: float, way: int
) -> None:
    module, function = name.split(".")
    ours = getattr(import_module(f"kingpost.measure.{module}"), function)
    found = [float(ours(*call(low + (high - low) * n / (STEPS - 1)))) for n in range(STEPS)]
    assert all(way * (b - a) >= 0 for a, b in pairwise(found)), found
    assert way * (found[-1] - found[0]) > 0, found


def test_every_module_of_measure_is_tried_over_a_range() -> None:
    modules = {m.name for m in iter_modules(kingpost.measure.__path__)}
    assert modules - {name.split(".")[0] for name, *_ in MONOTONE} - set(HELD) == set()
