"""Branch circuits: long runs, bad joints, dryers and ranges, and aluminum wire."""

from __future__ import annotations

from typing import Any

from kingpost.measure.circuits import drop_by_resistance_v, drop_percent, source_ohm, voltage_drop_v
from kingpost.measure.conformity import Measured, combine_uncertainty, minus

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Outcome, Rules, at_least, at_most, yes_no
from .conductors import ampacity_a, most_a


@check("voltage-drop-calculated")
def voltage_drop_calculated(given: Given, rules: Rules) -> Outcome:
    """By the wire's area, and beside it by its resistance; advice, so never more than information."""
    rule, size, metal = rules.today("voltage_drop_advice"), given.word("size_awg"), given.word("material")
    step = rule.at("size").index(size)
    area, k, ohm = rule.at("circular_mils")[step], rule.number(f"k_{metal}"), rule.at(f"ohm_{metal}")[step]
    if not ohm:
        raise ValueError(f"{size} AWG is not made in aluminum for house wiring")
    run = [given.num("current_a"), given.num("one_way_length_ft")]
    lost = combine_uncertainty(lambda a, ft: voltage_drop_v(k, a, ft, area), run)
    volts = given.value("voltage_v")
    percent = Measured(100 * lost.value / volts, 100 * lost.u / volts)
    computed = {
        "drop_v": lost.value,
        "drop_percent": percent.value,
        "drop_by_resistance_v": drop_by_resistance_v(ohm, run[0].value, run[1].value),
    }
    total = given.has("whole_way") and given.yes("whole_way")
    key = "max_total_percent" if total else "max_branch_percent"
    held = rules.hold("voltage_drop_advice", lambda r: at_most(percent, r.number(key)), key, "circular_mils")
    return Outcome.of(held, computed=computed, words={"limit": rule.number(key)})


@check("voltage-drop-measured")
def voltage_drop_measured(given: Given, rules: Rules) -> Outcome:
    """The outlet's own loss; and its neighbour's, which tells a bad joint from a thin wire."""
    if given.has("warm") and given.yes("warm"):
        return Outcome.of(rules.hold("voltage_drop_warm", lambda _: yes_no(False), "warm"), tell="warm")
    computed: dict[str, float] = {}
    if given.has("drop_percent"):
        lost = given.num("drop_percent")
    else:
        volts = [given.num("no_load_v"), given.num("loaded_v")]
        lost = combine_uncertainty(drop_percent, volts)
        if given.has("test_load_a"):
            computed["impedance_ohm"] = source_ohm(volts[0].value, volts[1].value, given.value("test_load_a"))
    computed["drop_percent"] = lost.value
    parts = [rules.hold("voltage_drop_measured", lambda r: at_most(lost, r.number("max_percent")), "max_percent")]
    if given.has("neighbour_drop_percent"):
        more = minus(lost, given.num("neighbour_drop_percent"))
        computed["more_than_neighbour_percent"] = more.value
        key = "neighbour_percent"
        parts.append(rules.hold("voltage_drop_measured", lambda r: at_most(more, r.number(key)), key))
    joint = parts[-1].judged.verdict == "falls_short" and len(parts) > 1
    return Outcome.of(*parts, computed=computed, tell="joint" if joint else "")


@check("large-appliance-circuit")
def large_appliance_circuit(given: Given, rules: Rules) -> Outcome:
    """The breaker and the wire against the appliance, the breaker against the wire, and the fourth wire."""
    appliance, rule = given.word("appliance"), rules.today("large_appliance_wire")
    key = f"min_{appliance}_a"
    least = rule.number(key)
    if appliance == "range" and given.has("plate_kw") and given.value("plate_kw") < rule.number("large_range_kw"):
        least = 0.0
    parts: dict[str, Held] = {}
    computed: dict[str, float] = {"least_a": least}
    if given.has("breaker_a"):
        breaker = given.num("breaker_a")
        parts["small"] = rules.hold("large_appliance_wire", lambda _: at_least(breaker, least), key)
    if given.has("size_awg"):
        metal = given.word("material") if given.has("material") else "Cu"
        size, good_for = given.word("size_awg"), ampacity_a(rules, given.word("size_awg"), metal, "60")
        computed["ampacity_a"] = good_for
        parts["thin"] = rules.hold("large_appliance_wire", lambda _: at_least(Measured(good_for), least), key)
        if given.has("breaker_a"):
            limit = most_a(rules, size, metal)
            parts["overfused"] = rules.hold("breaker_vs_conductor", lambda _: at_most(breaker, limit), "standard_a")
    if given.has("wires"):
        wires = Measured(float(given.word("wires")))
        four = "large_appliance_four_wires"
        parts["three_wire"] = rules.hold(four, lambda r: at_least(wires, r.number("min_wires")), "min_wires")
    if not parts:
        raise Missing("breaker_a", "size_awg", "wires")
    short = [n for n in ("overfused", "thin", "small", "three_wire") if _short(parts.get(n))]
    return Outcome.of(*parts.values(), computed=computed, tell=short[0] if short else "")


def _short(held: Held | None) -> bool:
    return held is not None and held.judged.verdict == "falls_short"


@check("aluminum-branch-era")
def aluminum_branch_era(given: Given, rules: Rules) -> Outcome:
    """What was seen decides; the year only says where to look."""
    rule, year = rules.today("aluminum_branch"), given.built
    computed: dict[str, Any] = {}
    if year is not None:
        computed["in_window"] = rule.number("from_year") <= year <= rule.number("to_year")
    if not given.has("material"):
        if year is None:
            raise Missing("material")
        if computed["in_window"]:
            return Outcome(computed=computed, judged=UNKNOWN, missing=("material",))
        return Outcome(computed=computed, tell="outside")
    if given.word("material") != "Al":
        return Outcome.of(_aluminum(rules, True), computed=computed, tell="other_metal")
    if given.has("stranding") and given.word("stranding") == "stranded":
        return Outcome(computed=computed, tell="stranded")
    if given.has("size_awg") and given.word("size_awg") not in rule.at("thin"):
        return Outcome(computed=computed, tell="stranded")
    if given.has("warm") and given.yes("warm"):
        warm = rules.hold("aluminum_branch_warm", lambda _: yes_no(False), "warm")
        return Outcome.of(warm, computed=computed, tell="warm")
    if not given.has("stranding"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("stranding",))
    return Outcome.of(_aluminum(rules, False), computed=computed)


def _aluminum(rules: Rules, good: bool) -> Held:
    return rules.hold("aluminum_branch", lambda _: yes_no(good), "times_likelier")
