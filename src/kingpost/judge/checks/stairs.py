"""Stairs, handrails, guards, windows to climb out of."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kingpost.measure.conformity import Measured, decide, spread
from kingpost.measure.openings import clear_area_ft2
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, every, over, within_limits, yes_no


def _worst(parts: Mapping[str, Held], overall: str = "") -> str:
    """The key of the sentence: of the part that falls short, where it is one only."""
    short = [k for k, h in parts.items() if h.judged.verdict == "falls_short"]
    return short[0] if len(short) == 1 else overall


def _steps(given: Given, rules: Rules) -> dict[str, Held]:
    risers = given.numbers("riser_in") if given.has("riser_in") else ()
    treads = given.numbers("tread_in") if given.has("tread_in") else ()
    if not risers and not treads:
        raise Missing("riser_in", "tread_in")

    def each(values: tuple[Measured, ...], compare: Callable[[Measured, float], Judged], key: str) -> Held:
        return rules.hold("stair_riser_tread", lambda rule: every(compare(v, rule.number(key)) for v in values), key)

    parts = {}
    if risers:
        parts["riser"] = each(risers, at_most, "max_riser_in")
    if treads:
        parts["tread"] = each(treads, at_least, "min_tread_in")
    several = [spread(v) for v in (risers, treads) if len(v) > 1]
    if several:
        key = "max_variation_in"
        parts["uneven"] = rules.hold("stair_evenness", lambda r: every(at_most(s, r.number(key)) for s in several), key)
    return parts


@check("stair-geometry")
def stair_geometry(given: Given, rules: Rules) -> Outcome:
    """Each riser and tread, their unevenness, and what else was measured."""
    parts = _steps(given, rules)
    for name, tell, key, compare in (
        ("headroom_in", "headroom", "min_headroom_in", at_least),
        ("width_in", "narrow", "min_width_in", at_least),
        ("open_riser_in", "open", "max_open_riser_in", at_most),
    ):
        if given.has(name):
            parts[tell] = _clearance(given.num(name), key, compare, rules)
    computed: dict[str, float] = {}
    if given.has("riser_in"):
        computed["max_riser_in"] = max(r.value for r in given.numbers("riser_in"))
        computed["riser_variation_in"] = spread(given.numbers("riser_in")).value
    if given.has("tread_in"):
        computed["min_tread_in"] = min(t.value for t in given.numbers("tread_in"))
        computed["tread_variation_in"] = spread(given.numbers("tread_in")).value
    uneven = max(v for k, v in computed.items() if k.endswith("variation_in"))
    sizes = parts["riser" if "riser" in parts else "tread"].rule
    clear = rules.today("stair_clearances")
    words = {
        "variation_in": uneven,
        "required_riser_in": sizes.number("max_riser_in"),
        "required_tread_in": sizes.number("min_tread_in"),
        "required_variation_in": rules.today("stair_evenness").number("max_variation_in"),
        "required_headroom_in": clear.number("min_headroom_in"),
        "required_width_in": clear.number("min_width_in"),
    }
    verdicts = {f"{k}_verdict": h.judged.verdict for k, h in parts.items()}
    tell = _worst(parts, "falls_short" if given.has("riser_in", "tread_in") else next(iter(parts)))
    short = every(h.judged for h in parts.values()).verdict == "falls_short"
    return Outcome.of(*parts.values(), computed={**computed, **verdicts}, words=words, tell=tell if short else "")


def _clearance(value: Measured, key: str, compare: Callable[[Measured, float], Judged], rules: Rules) -> Held:
    return rules.hold("stair_clearances", lambda rule: compare(value, rule.number(key)), key)


@check("handrail")
def handrail(given: Given, rules: Rules) -> Outcome:
    """From four risers on; the height from the nosings; a rail that a hand closes around."""
    rule = rules.today("handrail")
    if given.has("riser_count") and given.value("riser_count") < rule.number("min_risers"):
        return Outcome()
    words = {
        "required_low_in": rule.number("min_height_in"),
        "required_high_in": rule.number("max_height_in"),
        **{k: rule.number(k) for k in ("min_risers", "min_grip_in", "max_grip_in")},
    }
    if given.no("present"):
        if not given.has("riser_count"):
            raise Missing("riser_count")
        none = rules.hold("handrail", lambda _: yes_no(False), "min_risers")
        return Outcome.of(none, words=words, tell="missing_rail")
    parts = []
    for name, low, high in (("height_in", "min_height_in", "max_height_in"), ("grip_in", "min_grip_in", "max_grip_in")):
        if given.has(name):
            parts.append(_between(given.num(name), low, high, rules))
    if not parts:
        raise Missing("height_in")
    return Outcome.of(
        *parts, words={**words, "min_grip_in": rule.number("min_grip_in"), "max_grip_in": rule.number("max_grip_in")}
    )


def _between(value: Measured, low: str, high: str, rules: Rules) -> Held:
    return rules.hold("handrail", lambda r: within_limits(value, r.number(low), r.number(high)), low, high)


@check("guard-height-and-openings")
def guard(given: Given, rules: Rules) -> Outcome:
    """Only where the drop is high enough to ask for a guard; its height and its largest gap apart."""
    rule, on_stair = rules.today("guard_height"), given.has("on_stair") and given.yes("on_stair")
    height_key = "min_stair_height_in" if on_stair else "min_height_in"
    gap_key = "max_stair_gap_in" if on_stair else "max_gap_in"
    words = {
        "over_drop_in": rule.number("over_drop_in"),
        "required_height_in": rule.number(height_key),
        "required_gap_in": rules.today("guard_opening").number(gap_key),
    }
    parts: dict[str, Held] = {}
    if given.no("present"):
        parts["missing_guard"] = rules.hold("guard_height", lambda _: yes_no(False), "over_drop_in")
    if given.has("height_in"):
        height = given.num("height_in")
        parts["low"] = rules.hold("guard_height", lambda r: at_least(height, r.number(height_key)), height_key)
    if given.has("gap_in"):
        parts["gap"] = _gap(given.num("gap_in"), gap_key, rules)
    if not parts:
        raise Missing("height_in", "gap_in")
    judged = every(h.judged for h in parts.values())
    computed = {f"{k}_verdict": h.judged.verdict for k, h in parts.items()}
    if judged.verdict != "meets":
        asked = decide(over(given.num("drop_in"), rule.number("over_drop_in")))
        if asked == "falls_short":
            return Outcome(computed=computed, words=words)
        if asked == "cannot_tell":
            return Outcome(computed=computed, judged=UNKNOWN, words=words)
    if "gap" in parts:
        words["required_gap_in"] = parts["gap"].rule.number(gap_key)
    return Outcome.of(*parts.values(), computed=computed, words=words, tell=_worst(parts))


def _gap(gap: Measured, key: str, rules: Rules) -> Held:
    def compare(rule: Rule) -> Judged:
        return at_most(gap, rule.number(key))

    return rules.hold("guard_opening", compare, key)


@check("egress-opening")
def egress_opening(given: Given, rules: Rules) -> Outcome:
    """Area, both sizes and the sill, each by itself; bars that need a tool defeat them all."""
    width, height = given.num("w_in"), given.num("h_in")
    area = clear_area_ft2(width, height)
    area_key = "min_ground_area_ft2" if given.has("ground_floor") and given.yes("ground_floor") else "min_area_ft2"

    def opening(rule: Rule) -> Judged:
        return every(
            [
                at_least(area, rule.number(area_key)),
                at_least(width, rule.number("min_width_in")),
                at_least(height, rule.number("min_height_in")),
            ]
        )

    held = {"": rules.hold("egress_opening", opening, area_key, "min_width_in", "min_height_in")}
    if given.has("sill_in"):
        sill = given.num("sill_in")
        held["sill"] = rules.hold("egress_opening", lambda r: at_most(sill, r.number("max_sill_in")), "max_sill_in")
    if given.has("barred") and given.yes("barred"):
        held["barred"] = rules.hold("egress_opening", lambda _: yes_no(False))
    rule = held[""].rule
    words = {"required_area_ft2": rule.number(area_key), "max_sill_in": rule.number("max_sill_in")}
    computed = {"area_ft2": area.value, "u_area_ft2": area.u}
    judged = every(h.judged for h in held.values())
    if judged.verdict == "meets" and not given.has("sill_in"):
        return Outcome(computed=computed, judged=UNKNOWN, words=words, missing=("sill_in",))
    return Outcome.of(*held.values(), computed=computed, words=words, tell=_worst(held))
