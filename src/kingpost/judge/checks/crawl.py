"""Crawl spaces: wood near soil, water that keeps an inspector out, what invites insects and rot."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, minus
from kingpost.measure.crawl import equilibrium_moisture_percent

from ..given import Given, Missing
from ..registry import check
from ..verdict import Judged, Outcome, Rules, at_least, at_most, yes_no


@check("wood-to-earth-clearance")
def wood_to_earth(given: Given, rules: Rules) -> Outcome:
    """By the part; treated wood is let off; wood in the soil needs no tape."""
    if given.has("treated") and given.yes("treated"):
        return Outcome()
    if given.has("contact") and given.yes("contact"):
        held = rules.hold("wood_in_soil", lambda _: yes_no(False), "min_clearance_in")
        return Outcome.of(held, tell="contact")
    part, clearance = given.word("part"), given.num("clearance_in")
    slab = given.has("ground") and given.word("ground") == "slab"
    if slab and part != "siding":
        return Outcome(tell="slab")
    key = "siding_slab_in" if slab else f"{part}_in"
    provision = "wood_clearance_later" if slab or part == "column" else "wood_clearance"
    held = rules.hold(provision, lambda r: at_least(clearance, r.number(key)), key)
    return Outcome.of(held, words={"required_in": held.rule.number(key)})


STOPS = ("sewage", "gas_smell", "unknown_depth", "animals")


@check("standing-water-entry")
def standing_water_entry(given: Given, rules: Rules) -> Outcome:
    """Any one of them keeps everybody out; it is a gate, not a score. Nothing said is not no."""
    reasons = [name for name in STOPS if given.has(name) and given.yes(name)]
    if given.has("water", "wiring") and given.yes("water") and given.yes("wiring"):
        reasons.insert(0, "water_and_wiring")
    if given.no("second_person"):
        reasons.append("alone")
    rule = rules.today("entry_gate")
    if given.has("headroom_in"):
        low = at_least(given.num("headroom_in"), rule.number("min_headroom_in")).verdict
        reasons += ["headroom"] if low != "meets" else []
    computed: dict[str, Any] = {"enter": not reasons, "reasons": reasons}
    if reasons:
        held = rules.hold("entry_gate", lambda _: yes_no(False), "min_headroom_in")
        return Outcome.of(held, computed=computed, tell="wired" if reasons[0] == "water_and_wiring" else "")
    unsaid = [n for n in ("water", *STOPS, "second_person", "headroom_in") if not given.has(n)]
    unsaid += ["wiring"] if given.has("water") and given.yes("water") and not given.has("wiring") else []
    if unsaid:
        raise Missing(*unsaid)
    return Outcome.of(rules.hold("entry_gate", lambda _: yes_no(True), "min_headroom_in"), computed=computed)


@check("wood-equilibrium-moisture")
def wood_equilibrium(given: Given, rules: Rules) -> Outcome:
    """What the air alone explains; much more than that is liquid water."""
    moisture = equilibrium_moisture_percent(given.value("temperature_f"), given.value("relative_humidity"))
    computed: dict[str, Any] = {"moisture_percent": moisture}
    if not given.has("reading_percent"):
        return Outcome(computed=computed)
    excess = minus(given.num("reading_percent"), Measured(moisture))
    computed["excess_percent"] = excess.value

    def compare(rule: Any) -> Judged:
        return at_most(excess, rule.number("max_excess_percent"))

    return Outcome.of(rules.hold("wood_over_air", compare, "max_excess_percent"), computed=computed)


@check("wdo-conducive")
def wdo_conducive(given: Given, rules: Rules) -> Outcome:
    """Each with its evidence, counted; water and wood at one place stand together first. No percentages."""
    rule = rules.today("wdo_conducive")
    kinds: dict[str, str] = rule.at("kinds")
    found: list[dict[str, str]] = []
    for entry in given.data("found"):
        one = {"kind": entry} if isinstance(entry, str) else {k: str(v) for k, v in entry.items()}
        if one.get("kind") not in kinds:
            raise ValueError(f"{one.get('kind')} is not one of the conditions; known: {', '.join(kinds)}")
        found.append(one)
    wet, woody = set(rule.at("water")), set(rule.at("wood"))
    places = sorted({o["place"] for o in found if o.get("place")})
    together = [
        p
        for p in places
        if {o["kind"] for o in found if o.get("place") == p} & wet
        and {o["kind"] for o in found if o.get("place") == p} & woody
    ]
    unseen = given.data("inaccessible") if given.has("inaccessible") else []
    computed = {
        "count": len(found),
        "kinds": sorted({o["kind"] for o in found}),
        "together": together,
        "without_evidence": sum(1 for o in found if not o.get("evidence")),
        "inaccessible": unseen,
    }
    words = {"list": "; ".join(kinds[k] for k in dict.fromkeys(o["kind"] for o in found))}
    return Outcome(computed=computed, words=words, tell="" if found else "none")
