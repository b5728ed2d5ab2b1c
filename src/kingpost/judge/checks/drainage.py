"""Drains, traps and vents: what they carry, how long an arm may be, where a vent may end."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.limits import OutOfRange, among
from kingpost.measure.pipes import gallons_per_minute, manning_flow_ft3_s, manning_velocity_ft_s
from kingpost.measure.tables import at_or_below
from kingpost.measure.units import convert
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..steps import amount, over_classes
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, either, every, yes_no

ARMS = {"irc": "trap_arm", "upc": "trap_arm_upc"}


def _slope(given: Given) -> Measured:
    if given.has("slope_ft_per_ft"):
        return given.num("slope_ft_per_ft")
    fall = given.num("slope_in_per_ft")
    return Measured(convert(fall.value, "in/ft", "ratio"), convert(fall.u, "in/ft", "ratio"))


@check("drain-capacity")
def drain_capacity(given: Given, rules: Rules) -> Outcome:
    """Half full of a smooth pipe unless told otherwise; the speed against that which scours."""
    usual = rules.today("drain_flow")
    size, slope = given.num("inside_diameter_in"), _slope(given)
    rough = given.value("manning_n") if given.has("manning_n") else usual.number("manning_n")
    depth = given.value("depth_ratio") if given.has("depth_ratio") else usual.number("depth_ratio")
    speed = combine_uncertainty(lambda d, s: manning_velocity_ft_s(d, max(s, 0.0), rough, depth), [size, slope])
    flow = manning_flow_ft3_s(size.value, slope.value, rough, depth)
    computed = {"velocity_ft_s": speed.value, "flow_ft3_s": flow, "flow_gpm": gallons_per_minute(flow)}
    held = rules.hold("drain_flow", lambda r: at_least(speed, r.number("min_ft_s")), "min_ft_s")
    return Outcome.of(held, computed=computed)


def _limit(rule: Rule, part: str, diameter: float, slope: float) -> float:
    key = "sizes_in" if part == "building_drain" else "branch_sizes_in"
    sizes = rule.at(key)
    if diameter not in sizes:
        raise OutOfRange("diameter_in", diameter, sizes[0], sizes[-1], "give a size of the table")
    row = sizes.index(diameter)
    if part != "building_drain":
        return float(rule.at("max_branch_dfu" if part == "branch" else "max_stack_dfu")[row])
    slopes = rule.at("slopes_in_per_ft")
    if slope < slopes[0]:
        raise OutOfRange("slope_in_per_ft", slope, slopes[0], slopes[-1], "the table starts here")
    return float(rule.at("max_dfu")[row][slopes.index(at_or_below(slope, slopes))])


def _loads(given: Given, rule: Rule) -> list[float]:
    if given.has("loads_dfu"):
        return [load.value for load in given.numbers("loads_dfu")]
    if not given.has("fixtures"):
        raise Missing("loads_dfu")
    units = rule.at("units")
    for name in given.data("fixtures"):
        among("fixture", name, sorted(units))
    return [sum(float(units[name]) * amount(count, name) for name, count in given.data("fixtures").items())]


def _remedies(rule: Rule, diameter: float, slope: float, load: float) -> dict[str, Any]:
    slopes = [s for s in rule.at("slopes_in_per_ft") if _limit(rule, "building_drain", diameter, s) >= load]
    sizes = [d for d in rule.at("sizes_in") if d > diameter and _limit(rule, "building_drain", d, slope) >= load]
    return {"same_pipe_slope_in_per_ft": next(iter(slopes), None), "or_diameter_in": next(iter(sizes), None)}


@check("drain-fixture-units")
def drain_fixture_units(given: Given, rules: Rules) -> Outcome:
    """Every load against the limit of its part; a toilet needs its own least size."""
    rule, diameter = rules.today("drain_fixture_units"), given.value("diameter_in")
    part = given.word("part") if given.has("part") else "building_drain"
    loads = _loads(given, rule)
    slope = given.num("slope_in_per_ft") if part == "building_drain" else Measured(0.0)
    limit = _limit(rule, part, diameter, slope.value)

    def judge(load: float) -> Judged:
        return over_classes(slope, lambda s: at_most(Measured(load), _limit(rule, part, diameter, s)))

    judged = [judge(load) for load in loads]
    held = [rules.hold("drain_fixture_units", lambda _: every(judged), "max_dfu")]
    computed: dict[str, Any] = {"limit_dfu": limit, "verdicts": [j.verdict for j in judged]}
    if given.has("fixtures"):
        computed["total_dfu"] = loads[0]
    if part == "building_drain" and held[0].judged.verdict == "falls_short":
        computed["remedies"] = _remedies(rule, diameter, slope.value, max(loads))
    tell = ""
    if given.has("fixtures") and any(str(n).startswith("water_closet") for n in given.data("fixtures")):
        closet = rules.hold(
            "drain_fixture_units", lambda r: at_least(Measured(diameter), r.number("min_closet_in")), "min_closet_in"
        )
        held.append(closet)
        tell = "closet" if closet.judged.verdict == "falls_short" else ""
    return Outcome.of(*held, computed=computed, words={"loads": loads, "limit_dfu": limit}, tell=tell)


def _arm(rule: Rule, given: Given) -> tuple[dict[str, float], dict[str, Judged]]:
    diameter, length = given.value("diameter_in"), given.num("length_in")
    if diameter not in rule.at("sizes_in"):
        raise OutOfRange("diameter_in", diameter, rule.at("sizes_in")[0], rule.at("sizes_in")[-1], "give a trade size")
    longest = float(rule.at("max_ft")[rule.at("sizes_in").index(diameter)])
    shortest = rule.number("min_diameters") * diameter
    longest_in = convert(longest, "ft", "in")
    computed = {"max_length_ft": longest, "max_length_in": longest_in, "min_length_in": shortest}
    judged = {"": at_most(length, longest_in), "short": at_least(length, shortest)}
    if given.has("slope_in_per_ft"):
        fall = combine_uncertainty(lambda s, x: s * convert(x, "in", "ft"), [given.num("slope_in_per_ft"), length])
        computed["total_fall_in"] = fall.value
        judged["steep"] = at_most(fall, rule.number("max_fall_diameters") * diameter)
    return computed, judged


@check("trap-arm-length")
def trap_arm_length(given: Given, rules: Rules) -> Outcome:
    """Not too long, not too short, not too steep; two families of codes, and no guess between them."""
    if given.has("fixture") and given.word("fixture") == "water_closet":
        return Outcome()
    families = [given.word("code_family")] if given.has("code_family") else list(ARMS)
    found: list[tuple[Held, dict[str, float], str]] = []
    for family in families:
        held = rules.hold(ARMS[family], lambda r: every(_arm(r, given)[1].values()), "max_ft")
        computed, parts = _arm(held.rule, given)
        tell = next((k for k, j in parts.items() if j.verdict == "falls_short"), "")
        found.append((held, computed, tell))
    first, computed, tell = found[0]
    computed["length_ft"] = convert(given.value("length_in"), "in", "ft")
    if len({h.judged.verdict for h, _, _ in found}) > 1:
        return Outcome(computed=dict(computed), judged=UNKNOWN, missing=("code_family",))
    return Outcome.of(first, computed=dict(computed), tell=tell)


@check("trap-form")
def trap_form(given: Given, rules: Rules) -> Outcome:
    """The form first, then what was measured."""
    held: dict[str, Held] = {}
    if given.has("form"):
        form = given.word("form")
        if form == "drum" and not given.has("seal_in"):
            return Outcome(tell="drum")
        key = form if form in ("s", "none") else "form"
        held[key] = rules.hold("trap_form", lambda r: yes_no(form not in r.at("barred")), "barred")
    if given.has("seal_in"):
        seal = given.num("seal_in")
        held["size"] = rules.hold(
            "trap_form",
            lambda r: every([at_least(seal, r.number("min_seal_in")), at_most(seal, r.number("max_seal_in"))]),
            "min_seal_in",
            "max_seal_in",
        )
    for name, key in (("tailpiece_in", "max_tailpiece_in"), ("horizontal_in", "max_horizontal_in")):
        if given.has(name):
            held[name] = _within(given.num(name), key, rules)
    if not held:
        raise Missing("form")
    short = [k for k, h in held.items() if h.judged.verdict == "falls_short"]
    tell = next((k for k in short if k in ("s", "none")), "size" if short and "form" not in short else "")
    rule = rules.today("trap_form").required
    return Outcome.of(*held.values(), words=dict(rule), tell=tell)


def _within(value: Measured, key: str, rules: Rules) -> Held:
    return rules.hold("trap_form", lambda r: at_most(value, r.number(key)), key)


@check("vent-terminal-clearance")
def vent_terminal_clearance(given: Given, rules: Rules) -> Outcome:
    """Away or above, either suffices; right beneath is a thing of its own."""
    keys = ("min_away_ft", "min_above_ft", "min_below_ft")
    if not given.has("horizontal_ft") and not given.has("rise_ft") and not given.has("below_ft"):
        raise Missing("horizontal_ft")

    def judge(rule: Rule) -> Judged:
        ways = [
            at_least(given.num(name), rule.number(key))
            for name, key in (("horizontal_ft", "min_away_ft"), ("rise_ft", "min_above_ft"))
            if given.has(name)
        ]
        parts = [either(ways)] if ways else []
        if given.has("below_ft"):
            parts.append(at_least(given.num("below_ft"), rule.number("min_below_ft")))
        return every(parts)

    held = rules.hold("vent_terminal_clearance", judge, *keys)
    only = given.has("horizontal_ft") != given.has("rise_ft") and not given.has("below_ft")
    if only and held.judged.verdict == "falls_short":  # the other way out was not read
        return Outcome(judged=UNKNOWN, missing=("rise_ft" if given.has("horizontal_ft") else "horizontal_ft",))
    where = "too near" if not given.has("below_ft") else "right beneath"
    return Outcome.of(held, words={"where": where})


@check("vent-frost-closure")
def vent_frost_closure(given: Given, rules: Rules) -> Outcome:
    """Only where winters are cold enough."""
    design, size = given.num("design_f"), given.num("diameter_in")
    if design.value >= rules.today("vent_frost_closure").number("below_f"):
        return Outcome()

    def judge(rule: Rule) -> Judged:
        parts = [at_least(size, rule.number("min_diameter_in"))]
        if given.has("inside_ft"):
            parts.append(at_least(given.num("inside_ft"), rule.number("min_inside_ft")))
        return every(parts)

    return Outcome.of(rules.hold("vent_frost_closure", judge, "min_diameter_in", "min_inside_ft"))


@check("loaded-drain-test")
def loaded_drain_test(given: Given, rules: Rules) -> Outcome:
    """Water that comes up counts whatever ran; all well counts only under load."""
    ran = given.num("fixtures_run")
    bad = [given.yes(name) for name in ("backed_up", "gurgled", "leaked") if given.has(name)]
    if not bad:
        raise Missing("backed_up")
    enough = ran.value >= rules.today("drain_load_test").number("min_fixtures")
    if not any(bad) and not enough:
        return Outcome(judged=UNKNOWN, tell="few")
    return Outcome.of(rules.hold("drain_load_test", lambda _: yes_no(not any(bad)), "min_fixtures"))
