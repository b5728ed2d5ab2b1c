"""Rain off the roof: how much, what gutters and downspouts carry, where it lands."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty, times
from kingpost.measure.gutters import (
    CFS_PER_ACRE_IN_PER_H,
    FT2_IN_PER_H_PER_GPM,
    GPM_PER_CFS,
    gutter_full_gpm,
    half_round,
    landing,
    orifice_gpm,
    runoff_cfs,
    runoff_gpm,
    sheet_flow,
    steeper_capacity,
)
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_least, at_most, every, yes_no


def _coefficient(given: Given, rules: Rules) -> float:
    if given.has("runoff_coefficient"):
        return given.value("runoff_coefficient")
    if not given.has("surface"):
        raise Missing("runoff_coefficient")
    low, high = rules.today("runoff_coefficients").at(given.word("surface"))
    return float(low + high) / (1 + 1)


@check("roof-runoff-flow")
def roof_runoff_flow(given: Given, rules: Rules) -> Outcome:
    """Plan area, half of the walls above, and a storm that should be named."""
    rate, share = given.num("intensity_in_per_h"), _coefficient(given, rules)
    named = given.has("return_period_years", "duration_min")
    tell = "named" if named else ""
    if given.has("area_acres"):
        acres = given.value("area_acres")
        constant = given.value("unit_constant") if given.has("unit_constant") else 1.0
        exact = runoff_cfs(acres, rate.value, share, CFS_PER_ACRE_IN_PER_H)
        cfs = runoff_cfs(acres, rate.value, share, constant)
        computed = {"flow_cfs": cfs, "flow_cfs_exact": exact, "flow_gpm": exact * GPM_PER_CFS}
        return Outcome(computed=computed, tell=tell)
    wall = given.value("wall_area_ft2") if given.has("wall_area_ft2") else 0.0
    plan, part = given.num("plan_area_ft2"), rules.today("runoff_walls").number("wall_share")
    flow = combine_uncertainty(lambda a, i: runoff_gpm(max(a, 0.0) + part * wall, max(i, 0.0), share), [plan, rate])
    cfs = flow.value / GPM_PER_CFS
    return Outcome(computed={"flow_gpm": flow.value, "u_flow_gpm": flow.u, "flow_cfs": cfs}, tell=tell)


def _drain_factor(slope_in_12: float, rules: Rules) -> float:
    rule = rules.today("pitch_drain_factor")
    return float(rule.at("factor")[band(slope_in_12, rule.at("up_to_in_12"))])


@check("roof-pitch-drain-factor")
def roof_pitch_drain_factor(given: Given, rules: Rules) -> Outcome:
    """Wind drives more rain on a steep roof; this is not the factor of the slope's length."""
    factor = _drain_factor(given.value("slope_in_12"), rules)
    computed = {"factor": factor}
    if given.has("plan_area_ft2"):
        computed["adjusted_ft2"] = given.value("plan_area_ft2") * factor
    return Outcome(computed=computed)


def _load(given: Given, rules: Rules) -> Measured:
    """Square feet of plan, times the factor of its pitch, times inches an hour."""
    if given.has("area_x_intensity_ft2_in_per_h"):
        return given.num("area_x_intensity_ft2_in_per_h")
    if not given.has("plan_area_ft2"):
        raise Missing("plan_area_ft2")
    factor = _drain_factor(given.value("slope_in_12"), rules) if given.has("slope_in_12") else 1.0
    area, rate = given.num("plan_area_ft2"), given.num("intensity_in_per_h")
    return combine_uncertainty(lambda a, i: a * factor * i, [area, rate])


@check("roof-gutter-size")
def roof_gutter_size(given: Given, rules: Rules) -> Outcome:
    """The first size that carries it; the gutter that hangs there, where it was measured."""
    load, rule, style = _load(given, rules), rules.today("gutter_capacity"), given.word("style")
    slope = given.value("gutter_slope_in_per_ft")
    sizes = rule.at(f"{style}_in")
    carries = [steeper_capacity(c, slope) for c in rule.at(f"{style}_capacity")]
    index = band(load.value, carries)
    computed: dict[str, Any] = {
        "size_in": sizes[index],
        "capacity_ft2_in_per_h": carries[index],
        "next_smaller_capacity": carries[index - 1] if index else None,
        "adjusted_ft2_in_per_h": load.value,
    }
    if not given.has("gutter_in"):
        return Outcome(computed, UNKNOWN, missing=("gutter_in",))
    there = min(range(len(sizes)), key=lambda i: abs(sizes[i] - given.value("gutter_in")))
    computed["share"] = carries[there] / load.value if load.value > 0 else 1.0
    held = rules.hold("gutter_capacity", lambda _: at_most(load, carries[there]), f"{style}_capacity")
    return Outcome.of(held, computed=computed, words={"share_percent": 100 * computed["share"]})


@check("gutter-manning")
def gutter_manning(given: Given, rules: Rules) -> Outcome:
    """Brim full: an upper bound, never a verdict."""
    if given.has("size_in"):
        area, edge = half_round(given.value("size_in"))
    elif given.has("area_in2"):
        area, edge = given.value("area_in2"), given.value("perimeter_in")
    else:
        raise Missing("size_in")
    n = given.value("manning_n") if given.has("manning_n") else rules.today("gutter_roughness").number("n")
    flow = gutter_full_gpm(area, edge, given.value("gutter_slope_in_per_ft"), n)
    return Outcome(
        computed={
            "flow_gpm": flow,
            "flow_cfs": flow / GPM_PER_CFS,
            "upper_bound_ft2_in_per_h": flow * FT2_IN_PER_H_PER_GPM,
        }
    )


@check("downspout-capacity")
def downspout_capacity(given: Given, rules: Rules) -> Outcome:
    """The rule of thumb decides; the hole's own flow and the gutter's stand beside it."""
    rule, count = rules.today("downspout_capacity"), given.value("count")
    if given.has("area_in2"):
        each = times(given.num("area_in2"), rule.number("ft2_per_in2"))
    elif given.has("diameter_in"):
        table = rule.at("leader_in")
        each = Measured(rule.at("leader_capacity")[band(given.value("diameter_in"), table)])
    else:
        raise Missing("area_in2")
    carries = times(each, count)
    computed = {"capacity_ft2_in_per_h": carries.value, "capacity_gpm": carries.value / FT2_IN_PER_H_PER_GPM}
    if given.has("area_in2", "head_in"):
        computed["orifice_gpm"] = orifice_gpm(given.value("area_in2"), given.value("head_in"))
        computed["orifice_cfs"] = computed["orifice_gpm"] / GPM_PER_CFS
    if given.has("gutter_gpm"):
        computed["system_gpm"] = min(computed["capacity_gpm"], given.value("gutter_gpm"))
    if not given.has("area_x_intensity_ft2_in_per_h") and not given.has("plan_area_ft2"):
        return Outcome(computed, UNKNOWN, missing=("plan_area_ft2", "intensity_in_per_h"))
    load = _load(given, rules)
    spare = combine_uncertainty(lambda c, need: c - need, [carries, load])
    held = rules.hold("downspout_capacity", lambda _: at_least(spare, 0), "ft2_per_in2")
    share = 100 * carries.value / load.value if load.value > 0 else 100
    return Outcome.of(held, computed=computed, words={"share_percent": share})


@check("gutter-fall")
def gutter_fall(given: Given, rules: Rules) -> Outcome:
    """Fall to the outlet, and the spacing of the brackets where it was measured."""
    parts = {}
    computed = {}
    if given.has("fall_in"):
        slope = combine_uncertainty(lambda f, run: f / run, [given.num("fall_in"), given.num("length_ft")])
        computed["slope_in_per_ft"] = slope.value
        parts["fall"] = rules.hold("gutter_fall", lambda r: at_least(slope, r.number("min_in_per_ft")), "min_in_per_ft")
    if given.has("bracket_spacing_ft"):
        gap, key = given.num("bracket_spacing_ft"), "max_bracket_ft"
        parts["brackets"] = rules.hold("gutter_fall", lambda r: at_most(gap, r.number(key)), key)
    if not parts:
        raise Missing("fall_in", "length_ft")
    flat = "fall" in parts and parts["fall"].judged.verdict == "falls_short"
    brackets = not flat and every(h.judged for h in parts.values()).verdict == "falls_short"
    back = flat and computed["slope_in_per_ft"] < 0
    return Outcome.of(*parts.values(), computed=computed, tell="back" if back else "brackets" if brackets else "")


@check("valley-discharge")
def valley_discharge(given: Given, rules: Rules) -> Outcome:
    """All planes that empty into one corner, and the sheet that leaves the valley."""
    planes = given.numbers("plan_areas_ft2")
    rate = given.value("intensity_in_per_h")
    computed = {"plan_area_ft2": sum(p.value for p in planes), "planes": len(planes)}
    computed["flow_gpm"] = runoff_gpm(computed["plan_area_ft2"], rate)
    if given.has("length_ft", "slope_in_12"):
        n = rules.today("roof_roughness").number("n")
        sheet = sheet_flow(rate, given.value("length_ft"), given.value("slope_in_12"), n)
        computed |= {"sheet_depth_in": sheet.depth_in, "sheet_speed_ft_s": sheet.speed_ft_s}
    return Outcome(computed=computed)


@check("discharge-onto-below")
def discharge_onto_below(given: Given, rules: Rules) -> Outcome:
    """What the water lands on decides; how hard it lands is told beside it."""
    target, rule = given.word("target"), rules.today("discharge_target")
    computed: dict[str, float] = {}
    if given.has("flow_gpm", "drop_ft"):
        speed = given.value("exit_speed_ft_s") if given.has("exit_speed_ft_s") else rule.number("exit_ft_s")
        slope = given.value("slope_in_12") if given.has("slope_in_12") else 0.0
        fall = landing(given.value("flow_gpm"), given.value("drop_ft"), speed, slope)
        computed |= {"throw_ft": fall.throw_ft, "impact_ft_s": fall.impact_ft_s, "power_ft_lb_s": fall.power_ft_lb_s}

    def compare(r: Rule) -> Any:
        return yes_no(target in r.at("taken_well"))

    held = rules.hold("discharge_target", compare, "taken_well")
    order = [k for k in ("people", "electrical", "wood", "soil") if target in rule.at(k)]
    if order:
        computed["severity"] = ("people", "electrical", "wood", "soil").index(order[0]) + 1
    short = held.judged.verdict == "falls_short"
    return Outcome.of(held, computed=computed, tell=order[0] if short and order else "")


@check("splash-band")
def splash_band(given: Given, rules: Rules) -> Outcome:
    """Wood near what water splashes from."""
    hard = given.word("from_what") == "hard_surface"
    key = "min_above_hard_in" if hard else "min_from_drip_in"
    distance = given.num("distance_in")
    held = rules.hold("splash_band", lambda rule: at_least(distance, rule.number(key)), key)
    return Outcome.of(held, words={"required_in": held.rule.number(key)})
