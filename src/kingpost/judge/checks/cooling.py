"""Cooling and the air it cools."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, combine_uncertainty, minus, plus
from kingpost.measure.cooling import expected_split_f
from kingpost.measure.limits import within
from kingpost.measure.moist_air import (
    GRAINS_PER_LB,
    SEA_LEVEL_PSIA,
    dew_point_f,
    enthalpy_btu_per_lb,
    humidity_ratio,
    humidity_ratio_from_wet_bulb,
    pressure_at_height_psia,
    relative_humidity,
)

from ..given import Given, Missing
from ..registry import check
from ..verdict import Outcome, Rules, within_limits


def _humidity(given: Given) -> Measured:
    if given.has("return_rh"):
        return given.num("return_rh")
    if not given.has("return_wb_f"):
        raise Missing("return_rh")
    dry, wet = given.num("return_db_f"), given.num("return_wb_f")
    return combine_uncertainty(
        lambda d, w: relative_humidity(d, humidity_ratio_from_wet_bulb(d, min(d, w))), [dry, wet]
    )


@check("cooling-temperature-split")
def cooling_temperature_split(given: Given, rules: Rules) -> Outcome:
    """Against our model of a coil; low or high only beyond its own doubt and that of the readings."""
    back, supply = given.num("return_db_f"), given.num("supply_db_f")
    humidity, outdoor = _humidity(given), given.num("outdoor_f")
    rule = rules.today("cooling_split")
    expected_split_f(back.value, humidity.value, outdoor.value)  # refuses what it is not for, before anything is varied
    within("supply_db_f", supply.value, 0, back.value, "the air going in is warmer than that coming out, when cooling")
    expected = plus(
        combine_uncertainty(expected_split_f, [back, Measured(humidity.value, 0), outdoor]),
        Measured(0.0, rule.number("model_u_f")),
    )
    split = minus(back, supply)
    apart = minus(split, Measured(expected.value, 0.0))
    held = rules.hold(
        "cooling_split", lambda r: within_limits(apart, -r.number("within_f"), r.number("within_f")), "within_f"
    )
    state = "as_expected"
    if held.judged.verdict == "falls_short":
        state = "low" if apart.value < 0 else "high"
    computed = {"split_f": split.value, "expected_split_f": expected.value, "state": state}
    return Outcome.of(held, computed=computed)


@check("psychrometric-state")
def psychrometric_state(given: Given, rules: Rules) -> Outcome:
    """From dry bulb and wet bulb, or dry bulb and humidity."""
    dry, pressure = given.value("dry_bulb_f"), SEA_LEVEL_PSIA
    if given.has("pressure_psia"):
        pressure = given.value("pressure_psia")
    elif given.has("elevation_ft"):
        pressure = pressure_at_height_psia(given.value("elevation_ft"))
    if given.has("relative_humidity"):
        ratio = humidity_ratio(dry, given.value("relative_humidity"), pressure)
    else:
        ratio = humidity_ratio_from_wet_bulb(dry, given.value("wet_bulb_f"), pressure)
    share = relative_humidity(dry, ratio, pressure)
    computed = {
        "humidity_ratio_lb_lb": ratio,
        "grains_lb": ratio * GRAINS_PER_LB,
        "enthalpy_btu_lb": enthalpy_btu_per_lb(dry, ratio),
        "relative_humidity": share,
        "dew_point_f": dew_point_f(dry, share),
    }
    return Outcome(computed=computed)
