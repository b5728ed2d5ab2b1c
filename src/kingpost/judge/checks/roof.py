"""Roof: coverings, vents, chimneys, flashings."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, decide, minus
from kingpost.measure.slope import cricket_height_in, slope_in_12_uncertain

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_least, at_most, over, yes_no


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


@check("vent-terminal-height")
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


@check("chimney-cricket")
def chimney_cricket(given: Given, rules: Rules) -> Outcome:
    """Asked for where the chimney is wider than the rule's width and not on the ridge; just that width is not."""
    width = given.num("width_in")
    rule = rules.today("chimney_cricket")
    computed: dict[str, float] = {"probability_wide": over(width, rule.number("over_width_in"))}
    if given.has("slope_in_12"):
        divisor = rule.number("half_width_divisor")
        computed["required_height_in"] = cricket_height_in(width.value, given.value("slope_in_12"), divisor)
    asked = decide(computed["probability_wide"])
    if asked == "falls_short" or (given.has("on_ridge") and given.yes("on_ridge")):
        return Outcome(computed=computed)
    if asked == "cannot_tell" and not given.yes("cricket"):
        return Outcome(computed=computed, judged=UNKNOWN)
    enough = yes_no(given.yes("cricket"))
    if given.yes("cricket") and given.has("height_in") and "required_height_in" in computed:
        enough = at_least(given.num("height_in"), computed["required_height_in"])
    words = {"required_height_in": computed.get("required_height_in", "the same slope")}
    return Outcome.of(rules.hold("chimney_cricket", lambda _: enough, "over_width_in"), computed=computed, words=words)


@check("kickout-flashing")
def kickout_flashing(given: Given, rules: Rules) -> Outcome:
    """Absent is short; absent over a wet or stained wall is a deficiency whatever the year."""
    seen = given.word("present")
    if seen == "hidden":
        return Outcome(judged=UNKNOWN)
    held = rules.hold("kickout_flashing", lambda _: yes_no(seen == "yes"), "present")
    wet = given.has("stain") and given.yes("stain")
    if given.has("moisture_percent"):
        dry = rules.hold(
            "wall_below_kickout_dry",
            lambda rule: at_most(given.num("moisture_percent"), rule.number("max_moisture_percent")),
        )
        wet = wet or dry.judged.verdict == "falls_short"
    computed = {"wall_wet": wet}
    if seen == "no" and wet:
        return Outcome.of(held, computed=computed, standing="deficiency", tell="wet")
    return Outcome.of(held, computed=computed)
