"""Attic: its air and its insulation."""

from __future__ import annotations

from kingpost.measure.attic import net_free_in2, r_of_depth
from kingpost.measure.conformity import Measured

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_least


def _ratio(given: Given, rules: Rules) -> float:
    """As given; else the reduced one, where the share that is high allows it."""
    if given.has("ratio"):
        return given.value("ratio")
    rule = rules.today("attic_vents")
    high = given.value("share_high") if given.has("share_high") else 0.0
    reduced = rule.number("high_share_min") <= high <= rule.number("high_share_max")
    return rule.number("reduced_ratio" if reduced else "ratio")


@check("attic-vent-area")
def attic_vent_area(given: Given, rules: Rules) -> Outcome:
    """Asked by the attic floor; high and low shares of it where a share is given."""
    if given.has("unvented") and given.yes("unvented"):
        return Outcome()
    ratio = _ratio(given, rules)
    asked = net_free_in2(given.value("attic_floor_ft2"), ratio)
    computed = {"net_free_in2": asked, "ratio": ratio}
    if given.has("share_high"):
        computed["high_in2"] = asked * given.value("share_high")
        computed["low_in2"] = asked - computed["high_in2"]
    if not given.has("vents_net_in2"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("vents_net_in2",))
    free = given.num("vents_net_in2")
    held = rules.hold("attic_vents", lambda _: at_least(free, asked), "ratio", "reduced_ratio")
    return Outcome.of(held, computed=computed, words={"share_percent": 100 * free.value / asked})


def _insulation(given: Given, rules: Rules) -> Measured:
    if given.has("r_value"):
        return given.num("r_value")
    if not given.has("depth_in"):
        raise Missing("r_value")
    low, high = rules.today("r_per_inch").at(given.word("material"))
    return r_of_depth(given.num("depth_in"), float(low), float(high))


@check("insulation-level")
def insulation_level(given: Given, rules: Rules) -> Outcome:
    """Given as R, or from depth and material; against the climate zone."""
    value, key = _insulation(given, rules), f"zone_{given.word('climate_zone')}"
    held = rules.hold("ceiling_insulation", lambda r: at_least(value, r.number(key)), key)
    words = {"required_r": held.rule.number(key), "u_r": value.u}
    return Outcome.of(held, computed={"r_value": value.value}, words=words)
