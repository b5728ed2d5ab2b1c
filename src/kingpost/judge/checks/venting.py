"""Air for burners, and the way of flue gas."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty, times
from kingpost.measure.fuelgas import air_free_co_ppm, elbowed_capacity_btu_h, opening_area_in2, room_air_ft3
from kingpost.measure.tables import band
from kingpost.measure.units import convert
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..steps import amount, over_classes
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, either, every, yes_no


def _room(given: Given) -> Measured | None:
    if given.has("room_volume_ft3"):
        return given.num("room_volume_ft3")
    if given.has("length_ft", "width_ft", "height_ft"):
        sides = [given.num(n) for n in ("length_ft", "width_ft", "height_ft")]
        return combine_uncertainty(lambda a, b, c: a * b * c, sides)
    return None


@check("combustion-air-volume")
def combustion_air_volume(given: Given, rules: Rules) -> Outcome:
    """Where the air changes are known each kind of burner takes its own constant, and they add; else the standard."""
    if not given.has("natural_draft_btu_h") and not given.has("fan_assisted_btu_h"):
        raise Missing("natural_draft_btu_h")
    natural = given.value("natural_draft_btu_h") if given.has("natural_draft_btu_h") else 0.0
    fan = given.value("fan_assisted_btu_h") if given.has("fan_assisted_btu_h") else 0.0
    if natural + fan <= 0.0:
        return Outcome(tell="nothing")
    rule = rules.today("combustion_air_known")
    computed = {"standard_method_ft3": room_air_ft3(natural + fan, rule.number("standard_ft3"))}
    asked = computed["standard_method_ft3"]
    if given.has("ach"):
        ach = min(given.value("ach"), rule.number("most_ach"))  # the rule's own cap
        computed["natural_ft3"] = room_air_ft3(natural, rule.number("natural_ft3_ach"), ach)
        computed["fan_ft3"] = room_air_ft3(fan, rule.number("fan_ft3_ach"), ach)
        asked = computed["total_ft3"] = computed["natural_ft3"] + computed["fan_ft3"]
    computed["required_ft3"] = asked
    room = _room(given)
    if room is None:
        return Outcome(computed=dict(computed), judged=UNKNOWN, missing=("room_volume_ft3",))
    computed["room_ft3"] = room.value
    name = "combustion_air_known" if given.has("ach") else "combustion_air_standard"
    keys = ("natural_ft3_ach", "fan_ft3_ach") if given.has("ach") else ("standard_ft3",)
    held = rules.hold(name, lambda _: at_least(room, asked), *keys)
    short = held.judged.verdict == "falls_short"
    danger = short and given.has("spillage") and given.yes("spillage")
    standing = ("deficiency" if danger else "recommendation") if short else ""
    return Outcome.of(held, computed=dict(computed), standing=standing, tell="danger" if danger else "")


def _free(given: Given, rule: Rule) -> list[Measured]:
    if given.has("free_area_in2"):
        return list(given.numbers("free_area_in2"))
    if not given.has("gross_area_in2"):
        raise Missing("free_area_in2")
    louver = given.word("louver")
    share = 1.0 if louver == "none" else rule.number(f"free_{louver}")
    return [times(area, share) for area in given.numbers("gross_area_in2")]


@check("combustion-air-openings")
def combustion_air_openings(given: Given, rules: Rules) -> Outcome:
    """Each opening large enough; two of them, unless one to outdoors; near the ceiling and the floor."""
    rule, path = rules.today("combustion_air_openings"), given.word("path")
    least = rule.number("indoors_min_in2") if path == "indoors" else 0.0
    key = f"{path}_btu_h_in2"
    asked = opening_area_in2(given.value("input_btu_h"), rule.number(key), least)
    count = 1.0 if path == "single_opening" else rule.number("openings")
    computed: dict[str, Any] = {"required_in2": asked}
    try:
        areas = _free(given, rule)
    except Missing as gone:
        return Outcome(computed=computed, judged=UNKNOWN, missing=gone.names)
    computed["free_in2"] = [a.value for a in areas]
    enough = every([*(at_least(a, asked) for a in areas), yes_no(len(areas) >= count)])
    held = [rules.hold("combustion_air_openings", lambda _: enough, key)]
    places = [given.num(n) for n in ("top_in", "bottom_in") if given.has(n)]
    tell = ""
    if places:
        placed = rules.hold(
            "combustion_air_openings", lambda r: every(at_most(p, r.number("within_in")) for p in places), "within_in"
        )
        held.append(placed)
        only = placed.judged.verdict == "falls_short" and held[0].judged.verdict != "falls_short"
        tell = "place" if only else ""
    words = {"openings_asked": count, "within_in": rule.number("within_in")}
    return Outcome.of(*held, computed=computed, words=words, tell=tell)


@check("vent-connector")
def vent_connector(given: Given, rules: Rules) -> Outcome:
    """Up, off wood, short, screwed: each by itself."""
    held: dict[str, Held] = {}
    rule = rules.today("vent_connector")
    words: dict[str, Any] = dict(rule.required)
    words["slope_in_per_ft"] = given.value("slope_in_per_ft") if given.has("slope_in_per_ft") else None
    if given.has("rises"):
        up = given.yes("rises")
        held["back"] = rules.hold("vent_connector", lambda _: yes_no(up), "min_slope_in_per_ft")
    if given.has("slope_in_per_ft"):
        slope = given.num("slope_in_per_ft")
        least = "min_slope_in_per_ft"
        held["back" if slope.value < 0 else "slope"] = rules.hold(
            "vent_connector", lambda r: at_least(slope, r.number(least)), least
        )
    if given.has("clearance_in"):
        near = _near_wood(given, rules)
        if near is None:
            return Outcome(judged=UNKNOWN, missing=("kind",))
        held["near"] = near
        words["asked_in"] = near.rule.number(near.keys[0])
    if given.has("length_ft", "vent_height_ft"):
        share = combine_uncertainty(lambda a, b: a / b, [given.num("length_ft"), given.num("vent_height_ft")])
        most = "max_share_of_height"
        held["long"] = rules.hold("vent_connector", lambda r: at_most(share, r.number(most)), most)
    if given.has("screwed"):
        held["screws"] = rules.hold("vent_connector", lambda _: yes_no(given.yes("screwed")), "screwed")
    if not held:
        raise Missing("slope_in_per_ft")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    return Outcome.of(*held.values(), words=words, tell=tell)


def _near_wood(given: Given, rules: Rules) -> Held | None:
    """None where the kind of pipe is not known and would decide."""
    gap = given.num("clearance_in")
    kinds = [given.word("kind")] if given.has("kind") else ["single_wall", "type_b"]

    def hold(kind: str) -> Held:
        return rules.hold("vent_connector", lambda r: at_least(gap, r.number(f"{kind}_in")), f"{kind}_in")

    found = [hold(kind) for kind in kinds]
    return found[0] if len({h.judged.verdict for h in found}) == 1 else None


@check("vent-size-category-i")
def vent_size_category_i(given: Given, rules: Rules) -> Outcome:
    """By the adopted code's table, less for elbows; no formula stands in for a cell that was not keyed."""
    rule, burner = rules.today("vent_size"), given.num("input_btu_h")
    elbows = given.value("elbows_90")
    if given.has("table_capacity_btu_h"):
        table = given.data("table_capacity_btu_h")
    else:
        cell = f"{given.value('height_ft'):g} ft, {given.value('lateral_ft'):g} ft"
        table = rule.at("cells").get(cell)
    if not table:
        return Outcome(judged=UNKNOWN, missing=("table_capacity_btu_h",), tell="table")
    free, loss = rule.number("free_elbows"), rule.number("loss_each_elbow")
    carries = {
        amount(d, "a diameter"): elbowed_capacity_btu_h(amount(c, f"the capacity at {d} in"), elbows, free, loss)
        for d, c in table.items()
    }
    fits = sorted(d for d, c in carries.items() if c >= burner.value)
    size = given.value("diameter_in") if given.has("diameter_in") else (fits or sorted(carries)[-1:])[0]
    if size not in carries:
        return Outcome(judged=UNKNOWN, missing=("table_capacity_btu_h",), tell="table")
    computed = {"adjusted_capacity_btu_h": carries[size], "min_diameter_in": fits[0] if fits else None}
    held = {"": rules.hold("vent_size", lambda _: at_most(burner, carries[size]), "cells", "loss_each_elbow")}
    if given.has("diameter_in", "outlet_in"):
        wide = combine_uncertainty(lambda a, b: (a / b) * (a / b), [given.num("diameter_in"), given.num("outlet_in")])
        held["wide"] = rules.hold("vent_size", lambda r: at_most(wide, r.number("max_area_times")), "max_area_times")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    words = {"max_area_times": rule.number("max_area_times")}
    return Outcome.of(*held.values(), computed=dict(computed), words=words, tell=tell)


@check("gas-vent-roof-height")
def gas_vent_roof_height(given: Given, rules: Rules) -> Outcome:
    """By the roof's class; near a wall, or with another cap, at least the other rule's height too."""
    slope, height = given.num("slope_in_12"), given.num("height_ft")
    rule = rules.today("gas_vent_roof_height")
    near = given.has("wall_ft") and given.value("wall_ft") < rule.number("wall_within_ft")
    near = near or (given.has("cap_over_12_in") and given.yes("cap_over_12_in"))

    def asked(r: Rule, pitch: float) -> float:
        least = float(r.at("min_ft")[band(pitch, r.at("pitch_to"))])
        return max(least, r.number("near_wall_ft")) if near else least

    required = asked(rule, slope.value)
    held = rules.hold(
        "gas_vent_roof_height", lambda r: over_classes(slope, lambda s: at_least(height, asked(r, s))), "min_ft"
    )
    return Outcome.of(held, computed={"required_ft": required}, required={"required_ft": required})


def _opening(given: Given, rules: Rules) -> tuple[Judged, float, float] | None:
    """Against a window or door: the verdict, what is asked, and the distance held against it."""
    rule = rules.today("sidewall_vent")
    read = {p: given.num(f"{p}_in") for p in ("below", "beside", "above") if given.has(f"{p}_in")}
    if given.word("kind") == "direct_vent":
        near = list(read.values()) + ([given.num("distance_in")] if given.has("distance_in") else [])
        if not near:
            return None
        asked = float(rule.at("direct_in")[band(given.value("input_btu_h"), rule.at("direct_to_btu_h"))])
        far = max(near, key=lambda m: m.value)
        return at_least(far, asked), asked, far.value
    if given.has("distance_in"):
        read[given.word("position")] = given.num("distance_in")
    if not read:
        return None
    judged = {p: at_least(m, rule.number(f"{p}_in")) for p, m in read.items()}
    name = next(p for p, j in judged.items() if j == either(judged.values()))
    return judged[name], rule.number(f"{name}_in"), read[name].value


@check("sidewall-vent-clearance")
def sidewall_vent_clearance(given: Given, rules: Rules) -> Outcome:
    """By the plate's kind; one way out of an opening's reach suffices, the ground and walks count besides."""
    if given.no("opens"):
        return Outcome()
    direct = given.word("kind") == "direct_vent"
    rule = rules.today("sidewall_vent")
    held: dict[str, Held] = {}
    computed: dict[str, float] = {}
    words: dict[str, Any] = {**rule.required}
    found = _opening(given, rules)
    if found is not None:
        judged, computed["required_in"], words["nearest_in"] = found
        words["asked_in"] = computed["required_in"]
        held["opening"] = rules.hold("sidewall_vent", lambda _: judged, "direct_in" if direct else "beside_in")
    for name in ("ground_in", "walk_in"):
        if given.has(name):
            held[name] = _above(given.num(name), name, rules)
    if given.has("forced_above_in"):
        ways = [at_least(given.num("forced_above_in"), rule.number("forced_above_in"))]
        if given.has("forced_away_ft"):
            ways.append(at_least(given.num("forced_away_ft"), rule.number("forced_away_ft")))
        held["forced"] = rules.hold("sidewall_vent", lambda _: either(ways), "forced_above_in")
    if not held:
        raise Missing("distance_in")
    short = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    return Outcome.of(*held.values(), computed=dict(computed), words=words, tell=short)


def _above(value: Measured, key: str, rules: Rules) -> Held:
    return rules.hold("sidewall_vent", lambda r: at_least(value, r.number(key)), key)


@check("draft-and-spillage")
def draft_and_spillage(given: Given, rules: Rules) -> Outcome:
    """Spillage has to end within minutes; the draft has to be below the room's pressure."""
    held: dict[str, Held] = {}
    if given.has("spill_s"):
        spill = given.num("spill_s")
        held[""] = rules.hold("draft_spillage", lambda r: at_most(spill, r.number("max_spill_s")), "max_spill_s")
    if given.has("spilled"):
        held["spilled"] = rules.hold("draft_spillage", lambda _: yes_no(not given.yes("spilled")), "max_spill_s")
    if given.has("draft_in_wc"):
        draft = given.num("draft_in_wc")
        key = "max_draft_in_wc"
        held["draft"] = rules.hold("draft_spillage", lambda r: at_most(draft, r.number(key)), key)
    if not held:
        raise Missing("spill_s")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    if not tell and list(held) == ["draft"] and held["draft"].judged.verdict == "meets":
        tell = "drawn"
    minutes = convert(rules.today("draft_spillage").number("max_spill_s"), "s", "min")
    return Outcome.of(*held.values(), words={"minutes": minutes}, tell=tell)


@check("carbon-monoxide-flue")
def carbon_monoxide_flue(given: Given, rules: Rules) -> Outcome:
    """Free of air, then against the standard of its kind of appliance."""
    read = [given.num("co_ppm"), given.num("o2_percent")]
    air_free_co_ppm(*(r.value for r in read))  # refuses room air before anything is varied
    free = combine_uncertainty(air_free_co_ppm, read)
    computed = {"co_air_free_ppm": free.value}
    if not given.has("appliance"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("appliance",))
    appliance = given.word("appliance")
    computed["limit_ppm"] = rules.today("flue_co").number(appliance)
    held = rules.hold("flue_co", lambda r: at_most(free, r.number(appliance)), appliance)
    return Outcome.of(held, computed=computed)
