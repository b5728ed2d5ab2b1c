"""Roof: coverings, vents, chimneys, flashings."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, minus
from kingpost.measure.slope import slope_in_12_uncertain

from ..given import Given, Missing
from ..registry import check
from ..verdict import Outcome, Rules, at_least


def _slope(given: Given) -> Measured:
    if given.has("slope_in_12"):
        return given.num("slope_in_12")
    if not given.has("rise_in"):
        raise Missing("slope_in_12")
    return slope_in_12_uncertain(given.num("rise_in"), given.num("run_in"))


@check("roof-slope-minimum")
def roof_slope_minimum(given: Given, rules: Rules) -> Outcome:
    """Held against the least slope of the covering."""
    slope, covering = _slope(given), given.word("covering")
    held = rules.hold("roof_slope_minimum", lambda rule: at_least(slope, rule.number(covering)), covering)
    least = held.rule.number(covering)
    computed = {
        "slope_in_12": slope.value,
        "u_slope_in_12": slope.u,
        "required_in_12": least,
        "probability_meets": held.judged.probability,
    }
    return Outcome.of(held, computed=computed, required={"min_slope_in_12": least})


@check("plumbing-vent-height")
def plumbing_vent_height(given: Given, rules: Rules) -> Outcome:
    """Above the roof, and above the snow that lies on it."""
    height, snow = given.num("height_in"), given.maybe("snow_in") or Measured(0.0)
    above = minus(height, snow)
    key = "min_above_used_roof_in" if given.has("roof_used") and given.yes("roof_used") else "min_above_roof_in"
    held = rules.hold("plumbing_vent_height", lambda rule: at_least(above, rule.number(key)), key)
    return Outcome.of(
        held,
        computed={"above_in": above.value},
        words={"required_in": held.rule.number(key), "snow_in": snow.value},
    )
