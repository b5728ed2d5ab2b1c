"""Air that is heated, cooled or drawn out, and the machines that do it."""

from __future__ import annotations

from typing import Any

from kingpost.measure.airside import (
    airflow_from_rise_cfm,
    area_per_ton_ft2,
    electric_heat_btu_h,
    heat_per_area_btu_h_ft2,
    leak_fraction,
    sensible_heat_btu_h,
    total_heat_btu_h,
    whole_house_air_cfm,
)
from kingpost.measure.conformity import Measured, combine_uncertainty, minus, times
from kingpost.measure.limits import within
from kingpost.measure.moist_air import (
    SEA_LEVEL_PSIA,
    enthalpy_btu_per_lb,
    humidity_ratio_from_wet_bulb,
    pressure_at_height_psia,
)
from kingpost.measure.units import convert
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import (
    UNKNOWN,
    Held,
    Judged,
    Outcome,
    Rules,
    at_least,
    at_most,
    either,
    every,
    over,
    within_limits,
    yes_no,
)


def _pressure(given: Given) -> float:
    if given.has("pressure_psia"):
        return given.value("pressure_psia")
    return pressure_at_height_psia(given.value("elevation_ft")) if given.has("elevation_ft") else SEA_LEVEL_PSIA


@check("air-side-capacity")
def air_side_capacity(given: Given, rules: Rules) -> Outcome:
    """Heat with and without moisture, at the house's height; a range, as wide as the airflow is uncertain."""
    pressure = _pressure(given)
    names = ("return_db_f", "return_wb_f", "supply_db_f", "supply_wb_f")
    back, back_wet, supply, supply_wet = (given.value(name) for name in names)
    coming = humidity_ratio_from_wet_bulb(back, back_wet, pressure)
    going = humidity_ratio_from_wet_bulb(supply, supply_wet, pressure)
    within(
        "water of the supply air",
        going,
        0.0,
        coming,
        "the air coming out holds more water than that going in: read it again",
    )
    flow = given.num("airflow_cfm")
    share = flow.u / flow.value if flow.u > 0 else rules.today("air_capacity").number("airflow_u_share")

    def total(cfm: float, rd: float, rw: float, sd: float, sw: float) -> float:
        had = enthalpy_btu_per_lb(rd, humidity_ratio_from_wet_bulb(rd, min(rw, rd), pressure))
        has = enthalpy_btu_per_lb(sd, humidity_ratio_from_wet_bulb(sd, min(sw, sd), pressure))
        return total_heat_btu_h(cfm, had - has, pressure)

    spread = [Measured(flow.value, share * flow.value), *(given.num(name) for name in names)]
    heat = combine_uncertainty(total, spread)
    sensible = sensible_heat_btu_h(flow.value, back - supply, pressure)
    computed = {
        "total_btu_h": heat.value,
        "sensible_btu_h": sensible,
        "latent_btu_h": heat.value - sensible,
        "sensible_heat_ratio": sensible / heat.value if heat.value else None,
        "tons": convert(heat.value, "BTU/h", "ton"),
    }
    words = {f"tons_{end}": convert(heat.value + sign * heat.u, "BTU/h", "ton") for end, sign in _ENDS}
    held = rules.hold("air_capacity", lambda _: Judged("not_applicable"), "airflow_u_share")
    return Outcome(computed=computed, held=(held,), words=words)


_ENDS = (("low", -1), ("high", 1))


def _rise(given: Given) -> Measured:
    return given.num("rise_f") if given.has("rise_f") else minus(given.num("supply_f"), given.num("return_f"))


@check("furnace-temperature-rise")
def furnace_temperature_rise(given: Given, rules: Rules) -> Outcome:
    """Within the plate's range; the airflow from what reaches the air."""
    rise = _rise(given)
    if rise.value <= 0:
        return Outcome(computed={"rise_f": rise.value}, judged=UNKNOWN, tell="cooling")
    computed: dict[str, Any] = {"rise_f": rise.value}
    output = given.maybe("output_btu_h")
    if output is None and given.has("input_btu_h", "efficiency"):
        output = Measured(given.value("input_btu_h") * given.value("efficiency"))
    if output is not None:
        computed["airflow_cfm"] = airflow_from_rise_cfm(output.value, rise.value, _pressure(given))
    if not given.has("nameplate_rise_f"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("nameplate_rise_f",))
    low, high = (end(m.value for m in given.numbers("nameplate_rise_f")) for end in (min, max))
    held = rules.hold("furnace_rise", lambda _: within_limits(rise, low, high), "within_plate")
    above = held.judged.verdict == "falls_short" and rise.value > high
    return Outcome.of(held, computed=computed, words={"low": low, "high": high}, tell="high" if above else "")


@check("electric-heat-rise")
def electric_heat_rise(given: Given, rules: Rules) -> Outcome:
    """All that the elements take warms the air."""
    heat = electric_heat_btu_h(given.value("voltage_v"), given.value("current_a"))
    flow = airflow_from_rise_cfm(heat, given.value("rise_f"), _pressure(given))
    held = rules.hold("air_capacity", lambda _: Judged("not_applicable"), "airflow_u_share")
    return Outcome(computed={"heat_btu_h": heat, "airflow_cfm": flow}, held=(held,))


@check("condenser-clearance")
def condenser_clearance(given: Given, rules: Rules) -> Outcome:
    """Every side, the service side, above, and the tilt; the maker's sheet beats what is usual."""
    rule = rules.today("condenser_clearance")
    side = given.value("plate_in") if given.has("plate_in") else rule.number("side_in")
    held: dict[str, Held] = {}
    words: dict[str, Any] = {"side_in": side}
    words |= {"service_asked_in": rule.number("service_in"), "above_asked_in": rule.number("above_in")}
    if given.has("sides_in"):
        sides = given.numbers("sides_in")
        words["nearest_in"] = min(s.value for s in sides)
        held[""] = rules.hold("condenser_clearance", lambda _: every(at_least(s, side) for s in sides), "side_in")
    for name, key in (("service", "service_in"), ("above", "above_in")):
        if given.has(key):
            held[name] = _least(given.num(key), key, rules)
    if given.has("tilt_deg"):
        tilt = given.num("tilt_deg")
        held["tilt"] = rules.hold("condenser_clearance", lambda r: at_most(tilt, r.number("tilt_deg")), "tilt_deg")
    if not held:
        raise Missing("sides_in")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    return Outcome.of(*held.values(), words=words, tell=tell)


def _least(value: Measured, key: str, rules: Rules) -> Held:
    return rules.hold("condenser_clearance", lambda r: at_least(value, r.number(key)), key)


@check("condensate-drain")
def condensate_drain(given: Given, rules: Rules) -> Outcome:
    """Pipe, fall and pan; and a second way where water does harm."""
    held: dict[str, Held] = {}

    def size(rule: Rule) -> Judged:
        return every(
            at_least(given.num(name), rule.number(key))
            for name, key in (
                ("pipe_in", "min_pipe_in"),
                ("slope_in_per_ft", "min_slope_in_per_ft"),
                ("pan_depth_in", "min_pan_in"),
                ("pan_larger_in", "min_pan_larger_in"),
            )
            if given.has(name)
        )

    if any(given.has(n) for n in ("pipe_in", "slope_in_per_ft", "pan_depth_in", "pan_larger_in")):
        held["size"] = rules.hold("condensate_drain", size, "min_pipe_in", "min_slope_in_per_ft", "min_pan_in")
    catches = [given.yes(n) for n in ("secondary", "float_switch") if given.has(n)]
    if catches and not given.no("leak_harms"):
        if not any(catches):
            given.yes("leak_harms")  # asked for, where it decides
        held["secondary"] = rules.hold("condensate_drain", lambda _: yes_no(any(catches)), "secondary")
    if given.has("shared"):
        held["shared"] = rules.hold("condensate_drain", lambda _: yes_no(not given.yes("shared")), "secondary")
    if not held:
        if catches:
            return Outcome()
        raise Missing("secondary")
    short = [k for k, h in held.items() if h.judged.verdict == "falls_short"]
    words = dict(rules.today("condensate_drain").required)
    return Outcome.of(*held.values(), words=words, tell="secondary" if short == ["secondary"] else "")


@check("duct-leakage-hints")
def duct_leakage_hints(given: Given, rules: Rules) -> Outcome:
    """A share by mixing: a hint, and information only."""
    rule = rules.today("duct_leak_hint")
    least = rule.number("least_difference_f")
    air = [given.num(n) for n in ("room_f", "plenum_f", "attic_f")]
    room, plenum, attic = (a.value for a in air)
    leak_fraction(room, plenum, attic, least)  # refuses an attic that is too near, before anything is varied
    share = combine_uncertainty(lambda a, b, c: (b - a) / (c - a), air)
    computed = {"leak_fraction": share.value}
    held = rules.hold("duct_leak_hint", lambda r: at_most(share, r.number("max_share")), "max_share")
    return Outcome.of(held, computed=computed, words={"share_percent": 100 * share.value})


@check("static-pressure")
def static_pressure(given: Given, rules: Rules) -> Outcome:
    """Against the plate, else against what is usual."""
    read, rule = given.num("static_in_wc"), rules.today("static_pressure")
    limit = given.value("plate_in_wc") if given.has("plate_in_wc") else rule.number("max_in_wc")
    held = rules.hold("static_pressure", lambda _: at_most(read, limit), "max_in_wc")
    return Outcome.of(held, computed={"limit_in_wc": limit})


@check("refrigerant-line-insulation")
def refrigerant_line_insulation(given: Given, rules: Rules) -> Outcome:
    """There, whole, and thick enough."""
    held: dict[str, Held] = {}
    if given.has("bare_ft"):
        bare = given.num("bare_ft")
        held["bare"] = rules.hold("suction_line_insulation", lambda _: at_most(bare, 0.0), "insulated")
    if given.has("present"):
        whole = given.yes("present") and not (given.has("torn") and given.yes("torn"))
        held[""] = rules.hold("suction_line_insulation", lambda _: yes_no(whole), "insulated")
    if given.has("r_value"):
        value = given.num("r_value")
        held["thin"] = rules.hold("suction_line_insulation", lambda r: at_least(value, r.number("min_r")), "min_r")
    if not held:
        raise Missing("present")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    words = {"min_r": rules.today("suction_line_insulation").number("min_r")}
    return Outcome.of(*held.values(), words=words, tell=tell)


@check("refrigerant-by-date")
def refrigerant_by_date(given: Given, rules: Rules) -> Outcome:
    """Which is no longer made; it may be used all the same."""
    name = given.word("refrigerant")
    rule = rules.today("refrigerant_dates")
    words = {k: str(v) for k, v in rule.required.items()}  # years, not numbers with a comma
    computed: dict[str, Any] = {}
    if name == "other":
        return Outcome(judged=UNKNOWN, missing=("refrigerant",))
    if name == "r22":
        computed["none_made_since"] = int(rule.number("r22_none_made"))
        computed["no_new_equipment_since"] = int(rule.number("r22_no_new_equipment"))
    if name == "r410a":
        computed["no_new_equipment_since"] = int(rule.number("r410a_no_new_equipment"))
    key = f"{name}_none_made" if f"{name}_none_made" in rule.required else "r410a_no_new_equipment"
    held = rules.hold("refrigerant_dates", lambda _: yes_no(name != "r22"), key)
    tell = {"r410a": "r410a", "r454b": "label", "r32": "label"}.get(name, "")
    return Outcome.of(held, computed=computed, words=words, tell=tell)


@check("cooling-size-sanity")
def cooling_size_sanity(given: Given, rules: Rules) -> Outcome:
    """By the load where it is known, else by the floor and the age of the house: information only."""
    rule, tons = rules.today("cooling_size"), given.num("tons")
    if given.has("load_btu_h"):
        share = combine_uncertainty(lambda t, x: convert(t, "ton", "BTU/h") / x, [tons, given.num("load_btu_h")])
        low, high = (float(x) for x in rule.at("load_share"))
        held = rules.hold("cooling_size", lambda _: within_limits(share, low, high), "load_share")
        how = "large" if share.value > high else "small"
        return Outcome.of(held, computed={"share_of_load": share.value}, words={"how": how, "low": low, "high": high})
    area = combine_uncertainty(area_per_ton_ft2, [given.num("floor_area_ft2"), tons])
    old, new = rule.at("old_ft2_ton"), rule.at("new_ft2_ton")
    low, high = float(min(*old, *new)), float(max(*old, *new))
    if rules.year is not None:
        low, high = (float(x) for x in (new if rules.year >= rule.number("new_from") else old))
    held = rules.hold("cooling_size", lambda _: within_limits(area, low, high), "old_ft2_ton", "new_ft2_ton")
    words = {"how": "large" if area.value < low else "small", "low": low, "high": high}
    return Outcome.of(held, computed={"ft2_per_ton": area.value}, words=words)


@check("heating-size-sanity")
def heating_size_sanity(given: Given, rules: Rules) -> Outcome:
    """Output for a square foot of floor: information only."""
    output = given.maybe("output_btu_h")
    if output is None:
        output = times(given.num("input_btu_h"), given.value("efficiency"))
    each = combine_uncertainty(heat_per_area_btu_h_ft2, [output, given.num("floor_area_ft2")])
    low, high = (float(x) for x in rules.today("heating_size").at("btu_h_ft2"))
    held = rules.hold("heating_size", lambda _: within_limits(each, low, high), "btu_h_ft2")
    words = {"how": "large" if each.value > high else "small", "low": low, "high": high}
    return Outcome.of(held, computed={"btu_h_per_ft2": each.value}, words=words)


@check("equipment-access")
def equipment_access(given: Given, rules: Rules) -> Outcome:
    """Way, floor, work space and hatch; each that was measured."""
    if not any(given.has(n) for n in ("path_ft", "opening_in", "floor_in", "work_in", "reached")):
        raise Missing("reached")

    def judge(rule: Rule) -> Judged:
        parts = [yes_no(given.yes("reached"))] if given.has("reached") else []
        if given.has("path_ft"):
            ways = [at_most(given.num("path_ft"), rule.number("max_path_ft"))]
            if given.has("passage_height_in"):  # high enough to walk: no limit to its length
                ways.append(at_least(given.num("passage_height_in"), rule.number("free_height_in")))
            parts.append(either(ways))
        for name in ("floor_in", "work_in", "passage_height_in", "passage_width_in"):
            if given.has(name):
                parts.append(at_least(given.num(name), rule.number(f"min_{name}")))
        if given.has("opening_in"):
            sides = sorted(given.numbers("opening_in"), key=lambda m: m.value)
            for one, key in zip(sides, ("opening_short_in", "opening_long_in"), strict=False):
                parts.append(at_least(one, rule.number(key)))
        return every(parts)

    held = rules.hold("equipment_access", judge, "max_path_ft", "min_floor_in", "min_work_in", "opening_short_in")
    return Outcome.of(held, words=dict(rules.today("equipment_access").required))


def _asked(given: Given, rules: Rules) -> tuple[float, str, str]:
    """The least flow, its provision and its key."""
    kind = given.word("kind")
    if kind == "house":
        rule = rules.today("whole_house_air")
        lacking = [n for n in ("floor_area_ft2", "bedrooms") if not given.has(n)]
        if lacking:
            raise Missing(*lacking)
        key = "per_ft2_before" if rules.year is not None and rules.year < rule.number("changed") else "per_ft2"
        area, rooms = given.value("floor_area_ft2"), given.value("bedrooms")
        return whole_house_air_cfm(area, rooms, rule.number(key), rule.number("per_person")), "whole_house_air", key
    always = given.has("continuous") and given.yes("continuous")
    key = f"{kind}_continuous_cfm" if always else f"{kind}_cfm"
    return rules.today("local_exhaust").number(key), "local_exhaust", key


@check("exhaust-rate")
def exhaust_rate(given: Given, rules: Rules) -> Outcome:
    """Enough air, to outdoors, and air let in for a large hood."""
    held: dict[str, Held] = {}
    if given.has("ends"):
        ends = given.word("ends")
        hood = ends == "recirculates" and given.word("kind") == "kitchen"
        held["ends"] = rules.hold("exhaust_end", lambda _: yes_no(ends == "outdoors" or hood), "ends")
    computed: dict[str, float] = {}
    words: dict[str, Any] = {"over_cfm": rules.today("makeup_air").number("over_cfm")}
    if given.has("cfm"):
        flow = given.num("cfm")
        asked, provision, key = _asked(given, rules)
        computed["required_cfm"] = asked
        window = given.word("kind") == "bath" and given.has("window") and given.yes("window")
        ways = [at_least(flow, asked), *([yes_no(True)] if window else [])]
        held[""] = rules.hold(provision, lambda _: either(ways), key)
        if given.word("kind") == "kitchen" and given.no("makeup_air") and over(flow, words["over_cfm"]) > 0:
            held["makeup"] = rules.hold("makeup_air", lambda r: at_most(flow, r.number("over_cfm")), "over_cfm")
    if not held:
        raise Missing("cfm")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    if not tell and "" not in held:
        tell = "outdoors"
    elif not tell and given.has("window") and given.yes("window") and given.value("cfm") < computed["required_cfm"]:
        tell = "window"
    return Outcome.of(*held.values(), computed=dict(computed), words=words, tell=tell)
