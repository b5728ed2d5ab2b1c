"""Fuel gas: demand, pipes, meter, connectors, bonding, pressure. Where gas is smelled no check runs (registry)."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty, times
from kingpost.measure.fuelgas import (
    cubic_feet,
    derated_input_btu_h,
    gas_flow_cfh,
    gas_pipe_capacity_cfh,
    meter_rate_cfh,
    sizing_lengths_ft,
    smallest_pipe,
    tree_of_pipes,
)
from kingpost.measure.limits import among, within
from kingpost.measure.tables import at_or_above
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..steps import amount, over_classes
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, every, within_limits, yes_no

MOVABLE = ("range", "dryer")


def _gas(given: Given) -> str:
    return given.word("gas") if given.has("gas") else "natural"


def _heating_value(given: Given, rules: Rules) -> Measured:
    """As given; else the usual one, good to a few percent."""
    if given.has("heating_value_btu_ft3"):
        return given.num("heating_value_btu_ft3")
    rule = rules.today("gas_demand")
    usual = rule.number(f"{_gas(given)}_btu_ft3")
    return Measured(usual, rule.number("value_u_share") * usual)


@check("gas-demand")
def gas_demand(given: Given, rules: Rules) -> Outcome:
    """The sum of the plates: all at once."""
    total = sum(plate.value for plate in given.numbers("plates_btu_h"))
    flow = gas_flow_cfh(total, _heating_value(given, rules).value)
    held = rules.hold("gas_demand", lambda _: Judged("not_applicable"), "natural_btu_ft3")
    return Outcome(computed={"total_btu_h": total, "demand_cfh": flow, "cfh": flow}, held=(held,))


@check("gas-pipe-capacity")
def gas_pipe_capacity(given: Given, rules: Rules) -> Outcome:
    """By the equation; against what the appliances on it ask for, where that is known."""
    rule, value = rules.today("gas_pipe_equation"), _heating_value(given, rules)
    drop = given.value("pressure_drop_in_wc") if given.has("pressure_drop_in_wc") else rule.number("drop_in_wc")
    sizes = [given.num("inside_diameter_in"), given.num("length_ft")]

    def capacity(r: Rule) -> Measured:
        cr = r.number(f"{_gas(given)}_cr")
        return combine_uncertainty(lambda d, x: gas_pipe_capacity_cfh(d, x, drop, cr), sizes)

    carries = capacity(rule)
    computed = {"capacity_cfh": carries.value, "capacity_btu_h": carries.value * value.value}
    asked = given.maybe("demand_cfh")
    if asked is None and given.has("demand_btu_h"):
        asked = combine_uncertainty(gas_flow_cfh, [given.num("demand_btu_h"), value])
    if asked is None:
        return Outcome(computed=computed, judged=UNKNOWN, missing=("demand_cfh",), tell="information")
    computed["asked_cfh"] = asked.value
    wanted = asked

    def judge(r: Rule) -> Judged:
        spare = combine_uncertainty(lambda a, b: a - b, [capacity(r), wanted])
        return at_least(spare, 0.0)

    held = rules.hold("gas_pipe_equation", judge, "natural_cr", "drop_in_wc")
    return Outcome.of(held, computed=computed)


def _row(rule: Rule, length_ft: float) -> list[float]:
    return [float(c) for c in rule.at(f"at_{at_or_above(length_ft, rule.at('rows_ft')):g}_ft")]


def _house(given: Given) -> tuple[dict[str, float], dict[str, list[str]], dict[str, float]]:
    """Inputs of the outlets, what each section feeds, and how far each outlet is."""
    if given.has("tree"):
        feeds, far = tree_of_pipes(given.data("tree"))
        tree = given.data("tree")
        return {name: amount(tree[name].get("btu_h"), f"input of {name}") for name in far}, feeds, far
    outlets = {str(k): amount(v, f"outlet {k}") for k, v in given.data("outlets_btu_h").items()}
    feeds = {name: [name] for name in outlets}
    if given.has("sections"):
        feeds |= {str(k): [str(o) for o in v] for k, v in given.data("sections").items()}
    for section in feeds.values():
        for outlet in section:
            among("outlet", outlet, sorted(outlets))
    if given.has("lengths_ft"):
        return outlets, feeds, _ways(given, outlets)
    return outlets, feeds, dict.fromkeys(outlets, given.value("longest_length_ft"))


def _ways(given: Given, outlets: dict[str, float]) -> dict[str, float]:
    ways = {str(k): amount(v, f"the way to {k}") for k, v in given.data("lengths_ft").items()}
    for name in outlets:
        if name not in ways:
            raise ValueError(f"the way to outlet {name} is not given; add it")
    return {name: ways[name] for name in outlets}


@check("gas-pipe-table")
def gas_pipe_table(given: Given, rules: Rules) -> Outcome:
    """The next longer row for every section, by the longest way or by the way of its branch."""
    rule, value = rules.today("gas_pipe_table"), _heating_value(given, rules).value
    if given.has("pressure_drop_in_wc"):
        only = rule.number("drop_in_wc")
        within("pressure_drop_in_wc", given.value("pressure_drop_in_wc"), only, only, "this table is for no other loss")
    outlets, feeds, far = _house(given)
    method = given.word("method") if given.has("method") else "longest_length"
    lengths = sizing_lengths_ft(method, feeds, far)
    flows = {name: gas_flow_cfh(sum(outlets[o] for o in feeds[name]), value) for name in feeds}
    sizes = {name: smallest_pipe(flows[name], rule.at("sizes"), _row(rule, lengths[name])) for name in feeds}
    computed: dict[str, Any] = {"cfh": flows, "nominal_size_in": sizes, "length_ft": lengths}
    if not given.has("installed_in"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("installed_in",), tell="information")
    installed = given.data("installed_in")
    for name, size in installed.items():
        among("section", name, sorted(flows))
        among("size", size, rule.at("sizes"))
    paced = given.num("longest_length_ft").u if given.has("longest_length_ft") and not given.has("tree") else 0.0

    def judge(r: Rule, name: str) -> Judged:
        column = r.at("sizes").index(installed[name])
        way = Measured(lengths[name], paced)
        return over_classes(way, lambda x: at_most(Measured(flows[name]), _row(r, x)[column]))

    judged = {name: judge(rule, name) for name in installed}
    computed["too_narrow"] = [name for name, j in judged.items() if j.verdict == "falls_short"]
    held = rules.hold("gas_pipe_table", lambda r: every(judge(r, name) for name in installed), "sizes", "at_100_ft")
    rows = {f"at_{at_or_above(x, rule.at('rows_ft')):g}_ft" for x in lengths.values()}
    return Outcome.of(held._replace(keys=("sizes", *sorted(rows))), computed=computed)


@check("gas-meter-clocking")
def gas_meter_clocking(given: Given, rules: Rules) -> Outcome:
    """The dial's time to gas to heat, against the plate, which is less at height."""
    dial = given.value("dial_ft3") if given.has("dial_ft3") else None
    if dial is None:
        if not given.has("dial_m3"):
            raise Missing("dial_ft3")
        dial = cubic_feet(given.value("dial_m3"))
    turns = given.value("revolutions") if given.has("revolutions") else 1.0
    flow = combine_uncertainty(lambda s: meter_rate_cfh(dial, s, turns), [given.num("seconds")])
    heat = combine_uncertainty(lambda a, b: a * b, [flow, _heating_value(given, rules)])
    computed = {"cfh": flow.value, "btu_h": heat.value}
    if not given.has("plate_btu_h"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("plate_btu_h",), tell="rate")
    rule = rules.today("gas_meter_rate")
    plate = given.value("plate_btu_h")
    if given.has("elevation_ft"):
        height = given.value("elevation_ft")
        plate = derated_input_btu_h(plate, height, rule.number("derate_share"), rule.number("derate_above_ft"))
    share = times(heat, 1.0 / plate)
    computed["percent_of_plate"] = 100.0 * share.value
    held = rules.hold(
        "gas_meter_rate",
        lambda r: within_limits(share, 1.0 - r.number("within_share"), 1.0 + r.number("within_share")),
        "within_share",
    )
    return Outcome.of(held, computed=computed, words={"plate": plate, "percent": 100 * rule.number("within_share")})


@check("appliance-connector")
def appliance_connector(given: Given, rules: Rules) -> Outcome:
    """Old brass first; then the wall, the valve, the length."""
    held: dict[str, Held] = {}
    key = "max_movable_ft" if given.has("appliance") and given.word("appliance") in MOVABLE else "max_ft"
    if given.has("uncoated_brass"):
        brass = given.yes("uncoated_brass")
        held["brass"] = rules.hold("gas_connector_brass", lambda _: yes_no(not brass), "uncoated_brass")
    if given.has("in_wall"):
        held["wall"] = rules.hold("gas_connector", lambda _: yes_no(not given.yes("in_wall")), "through_wall")
    if given.has("valve_present"):
        there = given.yes("valve_present")
        held["valve"] = rules.hold("gas_connector", lambda _: yes_no(there), "valve_within_ft")
    if given.has("valve_distance_ft"):
        way = given.num("valve_distance_ft")
        near = rules.hold("gas_connector", lambda r: at_most(way, r.number("valve_within_ft")), "valve_within_ft")
        held["valve" if "valve" not in held or held["valve"].judged.verdict == "meets" else "far"] = near
    if given.has("length_ft"):
        length = given.num("length_ft")
        held["long"] = rules.hold("gas_connector", lambda r: at_most(length, r.number(key)), key)
    if not held:
        raise Missing("valve_present")
    rule = rules.today("gas_connector")
    words = {"limit_ft": rule.number(key), "valve_within_ft": rule.number("valve_within_ft")}
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    return Outcome.of(*held.values(), words=words, tell=tell)


@check("csst-bonding")
def csst_bonding(given: Given, rules: Rules) -> Outcome:
    """Bonded, thick enough, and not clamped on the tubing."""
    if given.no("csst_present"):
        return Outcome()
    bonded = given.yes("bonded")
    if not bonded and given.has("arc_resistant") and given.yes("arc_resistant"):
        return Outcome(judged=UNKNOWN, tell="sheet")
    held = {"": rules.hold("csst_bond", lambda _: yes_no(bonded), "bonded", "max_awg")}
    if bonded and given.has("bond_size_awg"):
        size = given.num("bond_size_awg")
        held["thin"] = rules.hold("csst_bond", lambda r: at_most(size, r.number("max_awg")), "max_awg")
    if given.has("clamp_on_tubing"):
        clamp = given.yes("clamp_on_tubing")
        held["clamp"] = rules.hold("csst_bond", lambda _: yes_no(not clamp), "bonded")
    tell = next((k for k, h in held.items() if h.judged.verdict == "falls_short"), "")
    return Outcome.of(*held.values(), tell=tell)


@check("gas-inlet-pressure")
def gas_inlet_pressure(given: Given, rules: Rules) -> Outcome:
    """Against the plate where it was read, else against what is usual."""
    pressure, rule, gas = given.num("pressure_in_wc"), rules.today("gas_inlet_pressure"), _gas(given)
    low, high = rule.number(f"{gas}_min_in_wc"), rule.number(f"{gas}_max_in_wc")
    plate = given.has("plate_min_in_wc") or given.has("plate_max_in_wc")
    if plate:
        low = given.value("plate_min_in_wc") if given.has("plate_min_in_wc") else 0.0
        high = given.value("plate_max_in_wc") if given.has("plate_max_in_wc") else high
    keys = (f"{gas}_min_in_wc", f"{gas}_max_in_wc")
    held = rules.hold("gas_inlet_pressure", lambda _: within_limits(pressure, low, high), *keys)
    words = {"low": low, "high": high, "asked": "what the plate asks" if plate else "usual"}
    return Outcome.of(held, words=words)
