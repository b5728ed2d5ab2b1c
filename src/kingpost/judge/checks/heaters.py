"""Water heating: how fast, how much, expansion, placing, elements, storage."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty, minus, times
from kingpost.measure.heaters import (
    btu_per_h,
    element_power_w,
    element_resistance_ohm,
    expansion_acceptance_gal,
    first_hour_delivery_gal,
    peak_hour_gal,
    recovery_gal_h,
    thermal_expansion_gal,
)
from kingpost.measure.limits import among
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..steps import amount
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, every, within_limits, yes_no

PAIR = ("times", "gallons")


@check("water-heater-recovery")
def water_heater_recovery(given: Given, rules: Rules) -> Outcome:
    """What goes in, less what goes up the flue, over the rise."""
    rule = rules.today("water_heater_recovery")
    cold, hot = given.value("cold_f"), given.value("hot_f")
    if given.has("input_kw") and not given.has("input_btu_h"):
        share = given.value("efficiency") if given.has("efficiency") else rule.number("electric_efficiency")
        gallons = recovery_gal_h(btu_per_h(given.value("input_kw")), share, cold, hot)
    else:
        gallons = recovery_gal_h(given.value("input_btu_h"), given.value("efficiency"), cold, hot)
    held = rules.hold("water_heater_recovery", lambda _: Judged("not_applicable"), "electric_efficiency")
    return Outcome(computed={"gallons_per_hour": gallons, "rise_f": hot - cold}, held=(held,))


def _uses(given: Given, rule: Rule) -> list[list[float]]:
    said = given.data("uses_gal")
    if isinstance(said, dict):
        for name in said:
            among("use", name, sorted(rule.at("gallons")))
        return [[amount(count, name), float(rule.at("gallons")[name])] for name, count in said.items()]
    if not isinstance(said, list) or not all(isinstance(row, list) and len(row) == len(PAIR) for row in said):
        raise ValueError("a use is not a pair of how many times and how many gallons")
    return [[amount(one, name) for one, name in zip(row, PAIR, strict=True)] for row in said]


@check("first-hour-delivery")
def first_hour_delivery(given: Given, rules: Rules) -> Outcome:
    """The label's rating, else the usable part of the tank and what it heats; against the busiest hour."""
    rule = rules.today("first_hour")
    computed: dict[str, Any] = {}
    margin = rule.number("margin_gal")
    if given.has("uses_gal"):
        peak = peak_hour_gal(_uses(given, rule))
        computed["peak_hour_gal"] = peak
        computed["first_hour_rating_wanted_gal"] = [peak - margin, peak + margin]
    gives = given.maybe("first_hour_rating_gal")
    if gives is None and given.has("tank_gal", "recovery_gal_h"):
        share = rule.number("usable_share")
        parts = [given.num("tank_gal"), given.num("recovery_gal_h")]
        gives = combine_uncertainty(lambda tank, more: first_hour_delivery_gal(tank, more, share), parts)
    if gives is not None:
        computed["delivery_gal"] = gives.value
    if gives is None or "peak_hour_gal" not in computed:
        lacking = "uses_gal" if "peak_hour_gal" not in computed else "first_hour_rating_gal"
        tell = "wanted" if "peak_hour_gal" in computed else ""
        return Outcome(computed=computed, judged=UNKNOWN, missing=(lacking,), tell=tell)
    rated, peak = gives, float(computed["peak_hour_gal"])
    held = rules.hold("first_hour", lambda r: at_least(rated, peak - r.number("margin_gal")), "margin_gal", "gallons")
    return Outcome.of(held, computed=computed)


@check("thermal-expansion")
def thermal_expansion(given: Given, rules: Rules) -> Outcome:
    """How much the water grows, and whether a tank takes it; an open system needs none."""
    if given.no("closed"):
        return Outcome()
    if given.has("closed") and given.yes("closed") and given.no("tank_present"):
        return Outcome.of(rules.hold("thermal_expansion", lambda _: yes_no(False), "controlled"), tell="missing")
    grown = [given.num(n) for n in ("volume_gal", "cold_f", "hot_f")]
    more = combine_uncertainty(thermal_expansion_gal, grown)
    computed = {"expansion_gal": more.value}
    needed = [n for n in ("supply_psi", "tank_gal", "precharge_psi") if not given.has(n)]
    if needed:
        return Outcome(computed=computed, judged=UNKNOWN, missing=tuple(needed), tell="grows")
    rule = rules.today("thermal_expansion")
    highest = given.value("max_psi") if given.has("max_psi") else rule.number("design_psi")
    tank = [given.num(n) for n in ("tank_gal", "precharge_psi", "supply_psi")]
    takes = combine_uncertainty(lambda v, air, low: expansion_acceptance_gal(v, air, low, highest), tank)
    computed["acceptance_gal"] = takes.value
    spare = minus(takes, more)
    return Outcome.of(rules.hold("thermal_expansion", lambda _: at_least(spare, 0.0), "design_psi"), computed=computed)


@check("water-heater-installation")
def water_heater_installation(given: Given, rules: Rules) -> Outcome:
    """Flame, pan, straps, weather and valves: each by itself."""
    held: dict[str, Held] = {}
    nothing = False
    if given.has("ignition_height_in"):
        if given.no("in_garage"):
            nothing = True
        else:
            given.yes("in_garage")
            held["ignition"] = _ignition(given, rules)
    if any(given.has(n) for n in ("pan_present", "pan_depth_in", "pan_drain", "pan_drain_in")):
        if given.no("leak_harms"):
            nothing = True
        else:
            given.yes("leak_harms")
            held["pan"] = _pan(given, rules)
    straps = rules.today("water_heater_straps")
    if given.has("straps"):
        if given.word("seismic_class") in straps.at("classes"):
            count = given.num("straps")
            held["straps"] = rules.hold("water_heater_straps", lambda r: at_least(count, r.number("straps")), "straps")
        else:
            nothing = True
    if given.has("outdoors") and given.yes("outdoors"):
        listed = given.yes("outdoor_listed")
        held["outdoors"] = rules.hold("water_heater_outdoors", lambda _: yes_no(listed), "listed")
    gone = _valves(given, rules, held)
    if not held:
        if nothing:
            return Outcome()
        raise Missing("ignition_height_in")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    words = {
        "min_ignition_in": rules.today("garage_ignition").number("min_ignition_in"),
        "min_pan_in": rules.today("water_heater_pan").number("min_pan_in"),
        "straps_asked": straps.number("straps"),
    }
    return Outcome.of(*held.values(), computed={"missing_parts": gone} if gone else {}, words=words, tell=tell)


def _ignition(given: Given, rules: Rules) -> Held:
    height = given.num("ignition_height_in")
    exempt = given.has("vapor_resistant") and given.yes("vapor_resistant")
    key = "listed_exempt" if exempt else "min_ignition_in"
    return rules.hold(
        "garage_ignition", lambda r: yes_no(True) if exempt else at_least(height, r.number("min_ignition_in")), key
    )


def _pan(given: Given, rules: Rules) -> Held:
    def judge(rule: Rule) -> Judged:
        parts = [yes_no(given.yes(n)) for n in ("pan_present", "pan_drain") if given.has(n)]
        for name, key in (("pan_depth_in", "min_pan_in"), ("pan_drain_in", "min_drain_in")):
            if given.has(name):
                parts.append(at_least(given.num(name), rule.number(key)))
        return every(parts)

    return rules.hold("water_heater_pan", judge, "min_pan_in", "drain", "min_drain_in")


def _valves(given: Given, rules: Rules, held: dict[str, Held]) -> list[str]:
    rule = rules.today("water_heater_shutoffs")
    fuel = given.word("fuel") if given.has("fuel") else "gas"
    seen = [n for n in rule.at(fuel) if given.has(n)]
    gone = [n.replace("_", " ") for n in seen if not given.yes(n)]
    if seen:
        held["shutoffs"] = rules.hold("water_heater_shutoffs", lambda _: yes_no(not gone), fuel)
    return gone


@check("element-power")
def element_power(given: Given, rules: Rules) -> Outcome:
    """Power at the voltage that feeds it, by its resistance as read or as the plate implies; against the plate."""
    volts = given.num("voltage_v")
    plate = given.maybe("plate_w")
    rated = given.value("plate_voltage_v") if given.has("plate_voltage_v") else volts.value
    computed: dict[str, float] = {}
    ohms = given.maybe("resistance_ohm")
    if ohms is None:
        if plate is None:
            raise Missing("plate_w")
        ohms = Measured(element_resistance_ohm(rated, plate.value))
        computed["resistance_ohm"] = ohms.value
    power = combine_uncertainty(element_power_w, [volts, ohms])
    computed |= {"power_w": power.value, "current_a": power.value / volts.value}
    words = {"ohms": ohms.value}
    if plate is None:
        return Outcome(computed=dict(computed), judged=UNKNOWN, words=words, missing=("plate_w",), tell="alone")
    share = times(power, 1.0 / plate.value)
    held = rules.hold(
        "element_power",
        lambda r: within_limits(share, 1.0 - r.number("within_share"), 1.0 + r.number("within_share")),
        "within_share",
    )
    return Outcome.of(held, computed=dict(computed), words=words)


@check("storage-temperature")
def storage_temperature(given: Given, rules: Rules) -> Outcome:
    """Hot where a valve mixes it down, and not hot where none does."""
    stored, mixed = given.num("stored_f"), given.yes("mixing_valve")
    key = "min_mixed_f" if mixed else "max_unmixed_f"
    held = rules.hold("storage_temperature", lambda r: (at_least if mixed else at_most)(stored, r.number(key)), key)
    words = dict(rules.today("storage_temperature").required)
    return Outcome.of(held, words=words, tell="cool" if mixed and held.judged.verdict == "falls_short" else "")
