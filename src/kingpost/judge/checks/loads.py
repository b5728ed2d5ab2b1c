"""Loads of a house, by the code's two methods, and the circuits it is asked to have."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, plus, times
from kingpost.measure.loads import (
    VA_IN_KW,
    backfeed_sum_a,
    general_load_va,
    heating_or_cooling_va,
    lighting_circuits,
    range_demand_kw,
    share_demand_kw,
    tiered_demand_va,
)
from kingpost.measure.tables import at_or_above
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import NOTHING, UNKNOWN, Held, Outcome, Rules, at_least, at_most, yes_no


def _cited(rules: Rules, provision: str, *keys: str) -> Held:
    """A rule that only gave its numbers."""
    return rules.hold(provision, lambda _: NOTHING, *keys)


def _ranges_kw(plates: list[float], rule: Rule) -> float:
    """By the column for any range; small ones by their own columns, where all are small and that is less."""
    demand = range_demand_kw(
        plates, rule.at("few_kw"), rule.number("many_kw"), rule.number("full_kw"), rule.number("increase")
    )
    small, middle = rule.number("column_a_below_kw"), rule.number("column_b_to_kw")
    a, b = rule.at("column_a_percent"), rule.at("column_b_percent")
    if max(plates) > middle or len(plates) > len(a):
        return demand
    of_a, of_b = [p for p in plates if p < small], [p for p in plates if p >= small]
    shared = (share_demand_kw(of_a, a) if of_a else 0.0) + (share_demand_kw(of_b, b) if of_b else 0.0)
    return min(demand, shared)


@check("range-demand")
def range_demand(given: Given, rules: Rules) -> Outcome:
    """What ranges count for in a load calculation."""
    plates = [m.value for m in given.numbers("ranges_kw")]
    demand = _ranges_kw(plates, rules.today("range_demand"))
    held = _cited(rules, "range_demand", "few_kw", "column_b_percent")
    return Outcome(computed={"demand_kw": demand}, held=(held,))


def _sum(given: Given, name: str) -> float:
    return sum(m.value for m in given.numbers(name)) if given.has(name) else 0.0


def _count(given: Given, name: str) -> int:
    return len(given.numbers(name)) if given.has(name) else 0


def _value(given: Given, name: str) -> float:
    return given.value(name) if given.has(name) else 0.0


def _general(given: Given, rule: Rule, extra: float = 0.0) -> float:
    counter = max(_value(given, "small_appliance_circuits"), rule.number("least_counter_circuits"))
    laundry = max(_value(given, "laundry_circuits"), rule.number("least_laundry_circuits"))
    area = given.value("floor_area_ft2")
    return extra + general_load_va(area, rule.number("va_per_ft2"), counter + laundry, rule.number("va_per_circuit"))


def _service(given: Given, rules: Rules, rule: Rule, amperes: float, computed: dict[str, Any]) -> str:
    standard = rules.today("breaker_vs_conductor").at("standard_a")
    computed["minimum_service_a"] = at_or_above(max(amperes, rule.number("least_service_a")), standard)
    if not given.has("service_rating_a"):
        return ""
    computed["left_a"] = given.value("service_rating_a") - amperes
    return "with_service"


@check("dwelling-load-standard")
def dwelling_load_standard(given: Given, rules: Rules) -> Outcome:
    """Lights and small circuits by steps; ranges by their table; the larger of heating and cooling."""
    rule = rules.today("dwelling_load_standard")
    general = _general(given, rule)
    demand = tiered_demand_va(general, rule.at("demand_up_to_va"), rule.at("demand_share"))
    plates = [m.value for m in given.numbers("ranges_kw")] if given.has("ranges_kw") else []
    ranges = VA_IN_KW * _ranges_kw(plates, rules.today("range_demand")) if plates else 0.0
    dryer = max(rule.number("least_dryer_va"), VA_IN_KW * given.value("dryer_kw")) if given.has("dryer_kw") else 0.0
    fixed = _count(given, "appliances_va") + _count(given, "appliances_240_va")
    share = rule.number("many_appliances_share") if fixed >= rule.number("many_appliances") else 1.0
    with_neutral, without = share * _sum(given, "appliances_va"), share * _sum(given, "appliances_240_va")
    climate = heating_or_cooling_va([_value(given, "space_heat_va"), _value(given, "air_conditioning_va")])
    motor = rule.number("largest_motor_share") * _value(given, "largest_motor_va")
    total = demand + ranges + dryer + with_neutral + without + climate + motor
    neutral = demand + rule.number("neutral_share") * (ranges + dryer) + with_neutral
    volts = given.value("voltage_v") if given.has("voltage_v") else rule.number("voltage_v")
    computed = {
        "general_va": general,
        "general_after_demand_va": demand,
        "range_va": ranges,
        "dryer_va": dryer,
        "appliances_demand_va": with_neutral + without,
        "heating_or_cooling_va": climate,
        "total_va": total,
        "amperes": total / volts,
        "neutral_va": neutral,
        "neutral_a": neutral / volts,
    }
    tell = _service(given, rules, rule, total / volts, computed)
    held = (
        _cited(rules, "dwelling_load_standard", "va_per_ft2", "many_appliances_share"),
        _cited(rules, "range_demand", "few_kw"),
    )
    return Outcome(computed=computed, held=held, tell=tell)


def _of_its_day(rules: Rules, provision: str, *keys: str) -> Held:
    """The newest rule that is surely in force: a method only just printed is not used before it is law."""
    selected = rules.selected(provision)
    rule = selected.then or selected.provision.rules[0]
    return Held(NOTHING, selected, rule, selected.in_force, keys)


@check("dwelling-load-optional")
def dwelling_load_optional(given: Given, rules: Rules) -> Outcome:
    """All plates, the first block whole and the rest by a share; then the largest of heating and cooling."""
    held = _of_its_day(rules, "dwelling_load_optional", "first_block_va", "existing_block_va", "rest_share")
    rule = held.rule
    general = _general(given, rule, _sum(given, "appliances_va"))
    old = given.has("existing_house") and given.yes("existing_house")
    block = rule.number("existing_block_va" if old else "first_block_va")
    demand = tiered_demand_va(general, [block], [1.0, rule.number("rest_share")])
    many = _value(given, "separately_controlled_heaters") >= rule.number("many_heaters")
    heat = rule.number("many_heaters_share" if many else "central_heat_share") * _value(given, "space_heat_va")
    backup = rule.number("backup_heat_share") * _value(given, "heat_pump_backup_va")
    climate = heating_or_cooling_va(
        [_value(given, "air_conditioning_va"), _value(given, "heat_pump_va") + backup, heat]
    )
    volts = given.value("voltage_v") if given.has("voltage_v") else rule.number("voltage_v")
    total = demand + climate
    computed = {
        "general_va": general,
        "general_after_demand_va": demand,
        "heating_or_cooling_va": climate,
        "total_va": total,
        "amperes": total / volts,
    }
    tell = _service(given, rules, rule, total / volts, computed)
    return Outcome(computed=computed, held=(held,), tell=tell)


@check("continuous-load")
def continuous_load(given: Given, rules: Rules) -> Outcome:
    """The breaker against the load that runs for hours, by a factor, and what else runs."""
    load, other = given.num("load_a"), given.maybe("other_load_a") or Measured(0.0)
    factor = rules.today("continuous_load").number("continuous_factor")
    asked = plus(times(load, factor), other)
    standard = rules.today("breaker_vs_conductor").at("standard_a")
    computed = {"required_a": asked.value, "least_breaker_a": float(at_or_above(asked.value, standard))}
    if not given.has("breaker_a"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("breaker_a",))
    breaker = given.value("breaker_a")
    held = rules.hold("continuous_load", lambda _: at_most(asked, breaker), "continuous_factor")
    return Outcome.of(held, computed=computed)


CIRCUITS = {
    "counter_circuits": ("counter_circuits", "min_counter_circuits"),
    "laundry_circuits": ("counter_circuits", "min_laundry_circuits"),
    "bathroom_circuits": ("bathroom_circuit", "min_bathroom_circuits"),
}


@check("required-branch-circuits")
def required_branch_circuits(given: Given, rules: Rules) -> Outcome:
    """Each kind of circuit that was counted against its own date."""
    parts: dict[str, Held] = {}
    asked: dict[str, float] = {}
    for name, (provision, key) in CIRCUITS.items():
        if given.has(name):
            found, asked[name] = given.num(name), rules.today(provision).number(key)
            parts[name] = _at_least(rules, provision, found, key)
    computed: dict[str, float] = {}
    if given.has("floor_area_ft2", "lighting_rating_a"):
        rule = rules.today("lighting_circuits")
        volts, each = rule.number("voltage_v"), rule.number("va_per_ft2")
        least = lighting_circuits(given.value("floor_area_ft2"), each, volts, given.value("lighting_rating_a"))
        computed["lighting_circuits_required"] = least
        if given.has("lighting_circuits"):
            lights, asked["lighting_circuits"] = given.num("lighting_circuits"), least
            judged = at_least(lights, least)
            parts["lighting_circuits"] = rules.hold("lighting_circuits", lambda _: judged, "va_per_ft2")
    if not parts and computed:
        return Outcome(computed=computed, judged=UNKNOWN, missing=("lighting_circuits",))
    if not parts:
        raise Missing("counter_circuits")
    short = [n for n, h in parts.items() if h.judged.verdict == "falls_short"] or list(parts)
    words = {
        "which": [n.removesuffix("_circuits") for n in short],
        "found": [given.value(n) for n in short],
        "asked": [asked[n] for n in short],
    }
    return Outcome.of(*parts.values(), computed=computed, words=words)


def _at_least(rules: Rules, provision: str, found: Measured, key: str) -> Held:
    return rules.hold(provision, lambda r: at_least(found, r.number(key)), key)


@check("busbar-backfeed")
def busbar_backfeed(given: Given, rules: Rules) -> Outcome:
    """What may flow into the bus from both ends, and where the breaker sits; information, an electrician decides."""
    rule = rules.today("busbar_backfeed")
    total = backfeed_sum_a(given.value("main_a"), given.value("inverter_a"), rule.number("inverter_factor"))
    limit = rule.number("busbar_share") * given.value("bus_a")
    parts = [rules.hold("busbar_backfeed", lambda _: at_most(Measured(total), limit), "busbar_share")]
    if given.has("far_end"):
        parts.append(rules.hold("busbar_backfeed", lambda _: yes_no(given.yes("far_end")), "far_end"))
    return Outcome.of(*parts, computed={"sum_a": total, "limit_a": limit})
