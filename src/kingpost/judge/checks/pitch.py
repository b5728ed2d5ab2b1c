"""Roof pitch, areas, and what lies below shingles on a low slope."""

from __future__ import annotations

from math import hypot
from typing import Any

from kingpost.measure.conformity import Measured, decide, times
from kingpost.measure.grade import percent
from kingpost.measure.pitch import (
    FT2_PER_SQUARE,
    edge_angle_deg,
    hip_factor,
    plane_area_ft2,
    true_angle_deg,
)
from kingpost.measure.slope import PER_FOOT, angle_deg, slope_factor, slope_from_angle, slope_in_12_uncertain

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, over, yes_no


def slope_given(given: Given) -> Measured:
    """Slope in 12, from whichever way it was read."""
    if given.has("slope_in_12"):
        return given.num("slope_in_12")
    if given.has("angle_deg"):
        return slope_from_angle(given.num("angle_deg"))
    if not given.has("rise_in"):
        raise Missing("slope_in_12")
    run = given.num("run_in") if given.has("run_in") else Measured(PER_FOOT)
    return slope_in_12_uncertain(given.num("rise_in"), run)


def _shape(slope: Measured) -> dict[str, float]:
    return {
        "slope_in_12": slope.value,
        "u_slope_in_12": slope.u,
        "angle_deg": angle_deg(slope.value),
        "percent": percent(slope.value, 1),
    }


@check("roof-pitch")
def roof_pitch(given: Given, rules: Rules) -> Outcome:
    """In 12, in degrees, in percent."""
    slope = slope_given(given)
    return Outcome(computed={**_shape(slope), "slope_factor": slope_factor(slope.value)})


@check("roof-slope-factor")
def roof_slope_factor(given: Given, rules: Rules) -> Outcome:
    """Length along the slope, and along a hip, for one of plan."""
    slope = slope_given(given)
    factors = {"slope_factor": slope_factor(slope.value), "hip_factor": hip_factor(slope.value)}
    return Outcome(computed={**_shape(slope), **factors})


@check("roof-pitch-from-photo")
def roof_pitch_from_photo(given: Given, rules: Rules) -> Outcome:
    """The rake's angle in the picture, less the camera's roll, turned square; never better than the rule says."""
    rule = rules.today("photo_pitch")
    if given.has("camera_pitch_deg") and abs(given.value("camera_pitch_deg")) > rule.number("max_camera_pitch_deg"):
        return Outcome(
            judged=UNKNOWN, tell="looks_up", required={"max_camera_pitch_deg": rule.number("max_camera_pitch_deg")}
        )
    if given.has("apparent_deg"):
        seen = given.num("apparent_deg")
    elif given.has("rake_px"):
        seen = Measured(edge_angle_deg(given.data("rake_px")))
    else:
        raise Missing("apparent_deg")
    roll = given.value("roll_deg") if given.has("roll_deg") else 0.0
    true = Measured(true_angle_deg(seen.value, given.value("yaw_deg"), roll), hypot(seen.u, rule.number("u_deg")))
    slope = slope_from_angle(true)
    return Outcome(
        computed={"angle_deg": true.value, "u_angle_deg": true.u, "slope_in_12": slope.value, "u_slope_in_12": slope.u}
    )


@check("roof-plane-area")
def roof_plane_area(given: Given, rules: Rules) -> Outcome:
    """Along the slope, in squares, and with waste where the shape is known."""
    slope = slope_given(given)
    area = plane_area_ft2(given.num("plan_ft2"), slope.value)
    computed: dict[str, Any] = {
        "area_ft2": area.value,
        "squares": area.value / FT2_PER_SQUARE,
        "slope_factor": slope_factor(slope.value),
    }
    if given.has("shape"):
        waste = rules.today("roof_waste").at(given.word("shape"))
        squares = times(area, 1 / FT2_PER_SQUARE).value
        computed["squares_with_waste"] = [squares * (1 + part) for part in waste]
    return Outcome(computed=computed)


@check("shingle-underlayment-low-slope")
def shingle_underlayment(given: Given, rules: Rules) -> Outcome:
    """Between the two slopes a double layer is asked for; it is judged only where an edge or a permit shows it."""
    slope, rule = slope_given(given), rules.today("low_slope_underlayment")
    low = decide(1 - over(slope, rule.number("below_in_12")))
    if low == "falls_short" or slope.value < rule.number("from_in_12"):
        return Outcome(computed={"slope_in_12": slope.value})
    seen = given.word("evidence") if given.has("evidence") else "not_seen"
    computed = {"slope_in_12": slope.value}
    if seen == "not_seen" or (low == "cannot_tell" and seen == "single_layer"):
        return Outcome(computed=computed, judged=UNKNOWN)
    held = rules.hold("low_slope_underlayment", lambda r: yes_no(seen in r.at("accepted")), "below_in_12")
    return Outcome.of(held, computed=computed)
