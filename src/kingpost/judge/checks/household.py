"""Dryers, washers and carbon monoxide."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, minus
from kingpost.measure.household import co_alarm_must_sound, dryer_duct_allowed_ft
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, yes_no


def _bends(given: Given, name: str) -> int:
    return int(given.value(name)) if given.has(name) else 0


def _allowed_ft(given: Given, rule: Rule, western: bool) -> float:
    n90, n45 = _bends(given, "elbows_90"), _bends(given, "elbows_45")
    if western:
        if n45:
            raise ValueError("the western code gives no figure for bends of 45 degrees; count them as 90")
        over = max(0, n90 - int(rule.number("bends_in_base")))
        return dryer_duct_allowed_ft(rule.number("base_ft"), [(over, rule.number("bend_90_ft"))])
    kind = "smooth" if given.has("bend_radius") and given.word("bend_radius") == "smooth_6_in" else "bend"
    each = rule.number(f"{kind}_90_ft"), rule.number(f"{kind}_45_ft")
    return dryer_duct_allowed_ft(rule.number("base_ft"), [(n90, each[0]), (n45, each[1])])


def _length(given: Given, rules: Rules, computed: dict[str, Any]) -> Held:
    length = given.num("length_ft")
    western = given.has("code_family") and given.word("code_family") == "umc"
    provision = "dryer_duct_length_umc" if western else "dryer_duct_length"
    maker = given.maybe("maker_limit_ft")

    def limit(rule: Rule) -> float:
        allowed = _allowed_ft(given, rule, western)
        return allowed if maker is None else max(allowed, maker.value)

    computed["allowed_ft"] = limit(rules.today(provision))
    return rules.hold(provision, lambda r: at_most(length, limit(r)), "base_ft")


def _form(given: Given, rules: Rules) -> dict[str, Held]:
    """What of its make was seen."""
    name, parts = "dryer_duct_form", dict[str, Held]()
    if given.has("transition_ft"):
        hose, key = given.num("transition_ft"), "max_transition_ft"
        parts["transition"] = rules.hold(name, lambda r: at_most(hose, r.number("max_transition_ft")), key)
    if given.has("from_openings_ft"):
        near, key = given.num("from_openings_ft"), "min_from_openings_ft"
        parts["near"] = rules.hold(name, lambda r: at_least(near, r.number("min_from_openings_ft")), key)
    if given.has("diameter_in"):
        wide = given.num("diameter_in")
        parts["narrow"] = rules.hold(name, lambda r: at_least(wide, r.number("diameter_in")), "diameter_in")
    for part, good_when in (("screen", False), ("damper", True)):
        if given.has(part):
            good = given.yes(part) is good_when
            parts[part] = _seen(rules, name, good, part)
    if given.has("material"):
        barred = given.word("material") in rules.today("dryer_duct_burns").at("barred")
        parts["burns"] = _seen(rules, "dryer_duct_burns", not barred, "barred")
    return parts


def _seen(rules: Rules, provision: str, good: bool, key: str) -> Held:
    return rules.hold(provision, lambda _: yes_no(good), key)


@check("dryer-exhaust-length")
def dryer_exhaust_length(given: Given, rules: Rules) -> Outcome:
    """The run less its bends, without the hose behind the dryer; and what its make shows."""
    computed: dict[str, Any] = {}
    parts = _form(given, rules)
    if given.has("length_ft"):
        parts["long"] = _length(given, rules, computed)
    if not parts:
        raise Missing("length_ft", "material")
    short = [n for n in ("burns", "long", *parts) if n in parts and parts[n].judged.verdict == "falls_short"]
    words = {k: rules.today("dryer_duct_form").at(k) for k in ("max_transition_ft", "min_from_openings_ft")}
    return Outcome.of(*parts.values(), computed=computed, words=words, tell=short[0] if short else "")


CAUSES = ("fuel_appliance", "attached_garage")


@check("co-alarm-by-year")
def co_alarm_by_year(given: Given, rules: Rules) -> Outcome:
    """Asked where something burns fuel or a garage is attached."""
    unknown = [n for n in CAUSES if not given.has(n)]
    if not any(given.has(n) and given.yes(n) for n in CAUSES):
        if unknown:
            raise Missing(*unknown)
        return Outcome()
    there = given.yes("outside_bedrooms")
    held = rules.hold("co_alarm", lambda _: yes_no(there), "outside_bedrooms")
    return Outcome.of(held, computed={"since": held.selected.since})


def _under(value: Measured, limit: float) -> Judged:
    """meets where the value is likely under the limit; at the limit it is not."""
    reached = at_least(value, limit)
    word = {"meets": "falls_short", "falls_short": "meets"}.get(reached.verdict, reached.verdict)
    return Judged(word, None if reached.probability is None else 1.0 - reached.probability, reached.needed_u)


@check("ambient-carbon-monoxide")
def ambient_carbon_monoxide(given: Given, rules: Rules) -> Outcome:
    """Over the air outdoors, where the meter was set to zero. On doubt the stronger advice is given."""
    rule, indoor = rules.today("ambient_co"), given.num("indoor_ppm")
    above = minus(indoor, given.num("outdoor_ppm")) if given.has("outdoor_ppm") else indoor
    computed: dict[str, Any] = {"above_outdoor_ppm": above.value}
    if given.has("minutes"):
        listing = (rule.at("levels_ppm"), rule.at("from_min"), rule.at("to_min"))
        computed["listed_alarm_sounds"] = co_alarm_must_sound(indoor.value, given.value("minutes"), *listing)
    held = rules.hold("ambient_co", lambda _: _under(above, rule.number("look_ppm")), "look_ppm", "leave_ppm")
    if held.judged.verdict == "meets":
        return Outcome.of(held, computed=computed)
    tells = [n for n in ("leave", "call") if _under(above, rule.number(f"{n}_ppm")).verdict != "meets"]
    near = "near" if held.judged.verdict == "cannot_tell" else ""
    return Outcome.of(held, computed=computed, tell=tells[-1] if tells else near)


@check("water-hose-washer")
def water_hose_washer(given: Given, rules: Rules) -> Outcome:
    """Braided, or not old."""
    if given.word("hose") == "braided":
        return Outcome.of(rules.hold("washer_hose", lambda _: yes_no(True), "max_rubber_years"))
    if not given.has("age_years"):
        return Outcome(judged=UNKNOWN, missing=("age_years",))
    age = given.num("age_years")
    held = rules.hold("washer_hose", lambda r: _under(age, r.number("max_rubber_years")), "max_rubber_years")
    return Outcome.of(held)
