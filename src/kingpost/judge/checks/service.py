"""The electric service, grounding, and the room about a panel."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty, minus
from kingpost.measure.service import leg_difference_v, smallest_size, step_for_size, thicker
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..steps import over_classes
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, either, within_limits, yes_no
from .conductors import MATERIALS, most_a


@check("service-rating-minimum")
def service_rating_minimum(given: Given, rules: Rules) -> Outcome:
    """The rating of the disconnect, and three wires."""
    rating, load = given.num("disconnect_rating_a"), given.maybe("load_kw")

    def enough(rule: Rule) -> Judged:
        large = load is not None and load.value >= rule.number("large_load_kw")
        return at_least(rating, rule.number("min_rating_10_kw_a" if large else "min_rating_a"))

    parts = [rules.hold("service_rating", enough, "min_rating_a")]
    if given.has("wires"):
        wires = Measured(float(given.word("wires")))
        parts.append(rules.hold("service_rating", lambda r: at_least(wires, r.number("min_wires")), "min_wires"))
    two_wire = given.has("wires") and parts[1].judged.verdict == "falls_short"
    words = {"min_a": rules.today("service_rating").number("min_rating_a")}
    return Outcome.of(*parts, words=words, tell="two_wire" if two_wire else "")


def _least_by_ampacity(rules: Rules, rating_a: float, material: str) -> str:
    """The thinnest wire that a breaker of that rating may guard, by the next size up where that is allowed."""
    table = rules.today("conductor_ampacity")
    sizes = [s for s in table.at("size") if table.at(f"{material}_75")[table.at("size").index(s)] > 0]
    most = [most_a(rules, s, material, "75") for s in sizes]
    return smallest_size(rating_a, sizes, most)


@check("service-conductor-size")
def service_conductor_size(given: Given, rules: Rules) -> Outcome:
    """The whole load of a dwelling: a share of the rating suffices. Part of it: the wire for the breaker."""
    rating, rule = given.value("service_rating_a"), rules.today("service_conductor")
    whole = given.yes("carries_entire_load") and rule.at("rating_a")[0] <= rating <= rule.at("rating_a")[-1]
    step = band(rating, rule.at("rating_a")) if whole else 0
    least = {m: rule.at(m)[step] if whole else _least_by_ampacity(rules, rating, m) for m in MATERIALS}
    needed = rule.number("share") * rating if whole else rating
    computed: dict[str, Any] = {"required_ampacity_a": needed, "min_cu": least["Cu"], "min_al": least["Al"]}
    if not given.has("size_awg", "material"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("size_awg", "material"))
    asked = least[given.word("material")]
    thick = yes_no(thicker(given.word("size_awg"), asked, rule.at("size")))
    held = rules.hold("service_conductor", lambda _: thick, "share")
    return Outcome.of(held, computed=computed, words={"asked": asked})


def _electrode_sizes(rule: Rule, service: str, service_material: str, electrode: str) -> dict[str, str]:
    """The least size in copper and in aluminum: by the table, and no more than the cap of its electrode."""
    sizes = rule.at("size")
    step = step_for_size(service, sizes, rule.at(f"service_{service_material}"))
    found = {}
    for metal in MATERIALS:
        asked, cap = rule.at(metal)[step], rule.at(f"cap_{metal}").get(electrode)
        found[metal] = cap if cap is not None and thicker(asked, cap, sizes) else asked
    return found


@check("grounding-electrode-conductor")
def grounding_electrode_conductor(given: Given, rules: Rules) -> Outcome:
    """By the service wire, not by its breaker; capped where the wire goes to a rod, pipe, plate or footing only."""
    provision, rule = "grounding_electrode_conductor", rules.today("grounding_electrode_conductor")
    if given.no("present"):
        return Outcome.of(rules.hold(provision, lambda _: yes_no(False), "present"), tell="absent")
    electrodes = given.data("electrodes") if given.has("electrodes") else [given.word("electrode")]
    computed: dict[str, Any] = {}
    asked = []
    metal = given.word("found_material") if given.has("found_material") else "Cu"
    for electrode in electrodes:
        sizes = _electrode_sizes(rule, given.word("service_conductor"), given.word("material"), electrode)
        computed |= {f"{electrode}_min_{m.lower()}_awg": s for m, s in sizes.items()}
        asked.append(sizes[metal])
    if not given.has("found_size_awg"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("found_size_awg",))
    order = rule.at("size")
    most = max(asked, key=order.index)
    thick = yes_no(thicker(given.word("found_size_awg"), most, order))
    return Outcome.of(rules.hold(provision, lambda _: thick, "service_Cu"), computed=computed, words={"asked": most})


@check("equipment-grounding-conductor")
def equipment_grounding_conductor(given: Given, rules: Rules) -> Outcome:
    """By the breaker ahead of it. Metal conduit can be the ground itself."""
    provision, rule = "equipment_grounding_conductor", rules.today("equipment_grounding_conductor")
    if given.has("metal_conduit") and given.yes("metal_conduit"):
        return Outcome(tell="conduit")
    step = band(given.value("breaker_a"), rule.at("rating_a"))
    computed = {"min_cu_awg": rule.at("Cu")[step], "min_al_awg": rule.at("Al")[step]}
    if not given.has("size_awg"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("size_awg",))
    metal = given.word("material") if given.has("material") else "Cu"
    asked = rule.at(metal)[step]
    thick = yes_no(thicker(given.word("size_awg"), asked, rule.at("size")))
    return Outcome.of(rules.hold(provision, lambda _: thick, metal), computed=computed, words={"asked": asked})


def _difference(one: Measured, other: Measured) -> Measured:
    far = combine_uncertainty(lambda a, b: a - b, [one, other])
    return Measured(leg_difference_v(one.value, other.value), far.u)


@check("service-voltage-balance")
def service_voltage_balance(given: Given, rules: Rules) -> Outcome:
    """Both halves in their range; and whether they drift apart when a load starts: so a failing neutral shows."""
    legs = [given.num("l1n_v"), given.num("l2n_v")]
    rule = rules.today("service_neutral")
    parts = [_in_range(rules, leg) for leg in legs]
    apart = _difference(*legs)
    computed = {"difference_v": apart.value}
    if not given.has("l1n_loaded_v", "l2n_loaded_v"):
        worst = [h for h in parts if h.judged.verdict == "falls_short"]
        if worst:
            return Outcome.of(*worst, computed=computed, tell="range")
        return Outcome(computed=computed, judged=UNKNOWN, missing=("l1n_loaded_v", "l2n_loaded_v"))
    loaded = [given.num("l1n_loaded_v"), given.num("l2n_loaded_v")]
    apart_loaded = _difference(*loaded)
    before, after = minus(legs[0], legs[1]), minus(loaded[0], loaded[1])
    moved = minus(after, before)
    moved = Measured(abs(moved.value), moved.u)
    computed |= {"difference_loaded_v": apart_loaded.value, "moves_v": moved.value}
    far = max(apart, apart_loaded, key=lambda m: m.value)
    near, still = at_most(far, rule.number("max_difference_v")), at_most(moved, rule.number("moves_v"))
    neutral = rules.hold("service_neutral", lambda _: either([near, still]), "max_difference_v", "moves_v")
    short = neutral.judged.verdict == "falls_short"
    return Outcome.of(neutral, *parts, computed=computed, tell="" if short else "range")


def _in_range(rules: Rules, leg: Measured) -> Held:
    return rules.hold(
        "service_voltage",
        lambda r: within_limits(leg, r.number("min_leg_v"), r.number("max_leg_v")),
        "min_leg_v",
        "max_leg_v",
    )


@check("working-clearance")
def working_clearance(given: Given, rules: Rules) -> Outcome:
    """Depth, width and height are rectangles of their own; and the rooms where no panel is put."""
    parts: dict[str, Held] = {}
    if given.has("depth_in"):
        depth = given.num("depth_in")
        parts["depth"] = rules.hold(
            "panel_working_depth", lambda r: at_least(depth, r.number("min_depth_in")), "min_depth_in"
        )
    gear = given.value("gear_width_in") if given.has("gear_width_in") else 0.0
    for name, input_name, key in WIDTHS:
        if given.has(input_name):
            least = gear if name == "width" else 0.0
            parts[name] = _wide_enough(rules, given.num(input_name), key, least)
    place = given.word("place") if given.has("place") else "other"
    if place != "other":
        parts[place] = rules.hold(f"panel_not_in_{place}", lambda _: yes_no(False), "allowed")
    if not parts:
        raise Missing("depth_in", "width_in", "height_in")
    short = [n for n, h in parts.items() if h.judged.verdict == "falls_short"]
    tell = "place" if short and short[-1] == place else ""
    words: dict[str, Any] = {"short": short}
    words["min_depth_in"] = rules.today("panel_working_depth").number("min_depth_in")
    for _, _, key in WIDTHS:
        words[key] = rules.today("panel_working_width").number(key)
    return Outcome.of(*parts.values(), words=words, tell=tell)


WIDTHS = (
    ("width", "width_in", "min_width_in"),
    ("height", "height_in", "min_height_in"),
    ("door", "door_deg", "min_door_deg"),
)


def _wide_enough(rules: Rules, found: Measured, key: str, least: float) -> Held:
    return rules.hold("panel_working_width", lambda r: at_least(found, max(least, r.number(key))), key)


def _drop_key(given: Given, rule: Rule, slope: float) -> str:
    """Which of the clearances is asked for where the wires pass."""
    place = given.word("over")
    if place == "yard_or_drive" and given.has("volts_to_ground"):
        high = given.value("volts_to_ground") > rule.number("low_voltage_v")
        return "yard_or_drive_over_300_v_ft" if high else "yard_or_drive_ft"
    if place != "roof":
        return f"{place}_ft"
    if given.has("overhang_ft", "conductor_ft"):
        short = given.value("overhang_ft") <= rule.number("longest_overhang_ft")
        if short and given.value("conductor_ft") <= rule.number("longest_conductor_ft"):
            return "overhang_ft"
    return "steep_roof_ft" if slope >= rule.number("steep_from_in_12") else "roof_ft"


@check("service-drop-clearance")
def service_drop_clearance(given: Given, rules: Rules) -> Outcome:
    """By what lies below. On a roof the pitch decides; where it is not sure, both classes are looked at."""
    rule, height = rules.today("service_drop"), given.num("height_ft")
    slope = given.maybe("roof_slope_in_12") or Measured(0.0)

    def judge(pitch: float) -> Judged:
        return at_least(height, rule.number(_drop_key(given, rule, pitch)))

    key = _drop_key(given, rule, slope.value)
    held = rules.hold("service_drop", lambda _: over_classes(slope, judge), key)
    required = rule.number(key)
    asks_pitch = given.word("over") == "roof" and not given.has("roof_slope_in_12") and key == "roof_ft"
    if asks_pitch and held.judged.verdict != "meets" and _steep_enough(rule, height):
        return Outcome(computed={"required_ft": required}, judged=UNKNOWN, missing=("roof_slope_in_12",))
    return Outcome.of(held, computed={"required_ft": required}, tell="window" if key == "window_ft" else "")


def _steep_enough(rule: Rule, height: Measured) -> bool:
    """Whether a steep roof would settle it."""
    return at_least(height, rule.number("steep_roof_ft")).verdict == "meets"
