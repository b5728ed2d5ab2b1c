"""Rain on the yard, and how far the foundation shows above it."""

from __future__ import annotations

from kingpost.measure.yard import accumulation, ponding, runoff_depth_in, slope_length_factor

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_least, at_most, every


@check("foundation-exposure")
def foundation_exposure(given: Given, rules: Rules) -> Outcome:
    """Less is asked below masonry veneer."""
    shown = given.num("exposure_in")
    key = "min_veneer_in" if given.has("veneer") and given.yes("veneer") else "min_in"
    held = rules.hold("foundation_exposure", lambda r: at_least(shown, r.number(key)), key)
    return Outcome.of(held, words={"required_in": held.rule.number(key)})


@check("runoff-depth-curve-number")
def runoff_depth(given: Given, rules: Rules) -> Outcome:
    """From a curve number, or from what covers the ground."""
    if given.has("curve_number"):
        number = given.value("curve_number")
    elif given.has("cover"):
        row = rules.today("curve_numbers").at(given.word("cover"))
        number = float(row["ABCD".index(given.word("soil_group"))])
    else:
        raise Missing("curve_number")
    depth = runoff_depth_in(given.value("rain_in"), number)
    return Outcome(computed={"runoff_in": depth, "curve_number": number})


@check("soil-erosion-hint")
def soil_erosion(given: Given, rules: Rules) -> Outcome:
    """A ratio to the unit plot; running water against what its soil stands."""
    computed: dict[str, float] = {}
    if given.has("length_ft", "slope_percent"):
        computed["ls"] = slope_length_factor(given.value("length_ft"), given.value("slope_percent"))
    if given.has("flow_ft_s", "cover"):
        speed, key = given.num("flow_ft_s"), given.word("cover")
        held = rules.hold("soil_scour", lambda r: at_most(speed, r.number(key)), key)
        return Outcome.of(held, computed=computed, words={"limit_ft_s": held.rule.number(key)})
    if not computed:
        raise Missing("length_ft", "slope_percent")
    return Outcome(computed=computed)


@check("ponding-depth")
def ponding_depth(given: Given, rules: Rules) -> Outcome:
    """From a grid of heights, or as it was measured; noise makes false puddles."""
    computed: dict[str, float] = {}
    if given.has("elevation_ft"):
        computed = dict(ponding(given.data("elevation_ft"), given.value("cell_ft"))._asdict())
        u = given.value("u_z_in") if given.has("u_z_in") else 0.0
        if u > 0 and computed["depth_max_in"] <= (1 + 1) * u:
            return Outcome(computed, UNKNOWN, tell="noise")
        return Outcome(computed=computed, tell="grid")
    depth = given.num("depth_in")
    parts = [rules.hold("ponding", lambda r: at_most(depth, r.number("max_depth_in")), "max_depth_in")]
    if given.has("hours"):
        hours = given.num("hours")
        parts.append(rules.hold("ponding", lambda r: at_most(hours, r.number("max_hours")), "max_hours"))
    short = every(p.judged for p in parts).verdict == "falls_short"
    stays = short and parts[0].judged.verdict != "falls_short"
    return Outcome.of(*parts, computed={"depth_max_in": depth.value}, tell="stays" if stays else "")


@check("flow-paths")
def flow_paths(given: Given, rules: Rules) -> Outcome:
    """How many cells drain through each."""
    count = accumulation(given.data("elevation"))
    return Outcome(computed={"accumulation": count, "most": max(max(row) for row in count)})
