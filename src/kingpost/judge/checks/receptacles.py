"""Receptacles: wiring, ground, spacing, shock and arc protection, and the devices of newer editions."""

from __future__ import annotations

from typing import Any

from kingpost.measure.circuits import gfci_longest_s
from kingpost.measure.conformity import Measured, combine_uncertainty, minus
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, every, standing, within_limits, yes_no


def _pattern(hn: float, hg: float, ng: float, rule: Rule) -> str:
    """What three voltages say of a receptacle; unclear where they fit no row of the table."""
    low, high = rule.number("low_live_v"), rule.number("high_live_v")
    dead, floating = rule.number("dead_v"), rule.number("floating_below_v")

    def live(volts: float) -> bool:
        return low <= volts <= high

    if live(hn) and live(hg):
        return "good" if ng <= dead else "unclear"
    if live(hn) and hg <= dead and live(ng):
        return "reversed"
    if live(hn) and hg < floating:
        return "no_ground"
    if hn < floating and live(hg):
        return "open_neutral"
    return "dead" if hn <= dead and hg <= dead else "unclear"


def _bootleg(given: Given, rule: Rule) -> Judged:
    """Whether the ground is false, seen under load: neutral and ground stay together while the hot has fallen."""
    fell = minus(given.num("hn_v"), given.num("hn_loaded_v"))
    apart = at_most(given.num("ng_loaded_v"), rule.number("bootleg_below_v"))
    if at_least(fell, rule.number("least_drop_v")).verdict != "meets":
        return UNKNOWN
    return {"meets": yes_no(False), "falls_short": yes_no(True)}.get(apart.verdict, UNKNOWN)


@check("receptacle-wiring")
def receptacle_wiring(given: Given, rules: Rules) -> Outcome:
    """Three voltages or a tester's lights; a false ground shows only under a load."""
    rule = rules.today("receptacle_polarity")
    if given.has("hn_v", "hg_v", "ng_v"):
        found = _pattern(given.value("hn_v"), given.value("hg_v"), given.value("ng_v"), rule)
    else:
        found = {"correct": "good", "open_ground": "no_ground", "open_hot": "dead"}.get(
            given.word("tester"), given.word("tester")
        )
    computed: dict[str, Any] = {"wiring": found}
    if found == "unclear":
        return Outcome(computed=computed, judged=UNKNOWN, tell="unclear")
    if found in ("no_ground", "dead"):
        provision = "grounded_all" if found == "no_ground" else "receptacle_works"
        key = "ground" if found == "no_ground" else "works"
        return Outcome.of(rules.hold(provision, lambda _: yes_no(False), key), computed=computed, tell=found)
    judged, tell = yes_no(found == "good"), found
    if found == "good":
        tell = "unloaded"
        if given.has("hn_v", "hn_loaded_v", "ng_loaded_v"):
            judged, tell = _bootleg(given, rule), ""
            if judged.verdict == "falls_short":
                computed["wiring"] = tell = "bootleg_ground"
            elif judged.verdict == "cannot_tell":
                return Outcome(computed=computed, judged=UNKNOWN, tell="load_unclear")
    return Outcome.of(
        rules.hold("receptacle_polarity", lambda _: judged, "bootleg_below_v"), computed=computed, tell=tell
    )


GROUNDED = {"laundry": "grounded_laundry", "garage": "grounded_garage_porch", "porch": "grounded_garage_porch"}


@check("receptacle-grounding-era")
def receptacle_grounding_era(given: Given, rules: Rules) -> Outcome:
    """Two slots: against the year of that place. Three slots without a ground mislead, whatever the year."""
    place = given.word("place") if given.has("place") else "other"
    provision = GROUNDED.get(place, "grounded_all")
    if given.word("prongs") == "3":
        ground = given.yes("ground_present")
        held = rules.hold("three_prong_grounded", lambda _: yes_no(ground), "ground")
        return Outcome.of(held, tell="" if ground else "misleads")
    held = rules.hold(provision, lambda _: yes_no(False), "ground")
    return Outcome.of(held, computed={"since": held.selected.since}, tell="two_prong")


SPACINGS = (
    ("wall_gap_ft", "wall_receptacles", "max_between_ft"),
    ("wall_point_ft", "wall_point", "max_to_point_ft"),
    ("counter_point_in", "counter_point", "max_to_point_in"),
    ("counter_gap_in", "counter_point", "max_between_in"),
)


@check("receptacle-spacing")
def receptacle_spacing(given: Given, rules: Rules) -> Outcome:
    """Each distance that was measured against its own history."""
    parts: dict[str, Held] = {}
    asked: dict[str, float] = {}
    for name, provision, key in SPACINGS:
        if given.has(name):
            parts[name], asked[name] = _near(rules, provision, given.num(name), key), rules.today(provision).number(key)
    if given.has("unserved_counter_in"):
        name, width = "unserved_counter_in", given.num("unserved_counter_in")
        asked[name] = rules.today("counter_served").number("from_width_in")
        # a piece narrower than that needs none
        parts[name] = rules.hold("counter_served", lambda r: at_most(width, r.number("from_width_in")), "from_width_in")
    if not parts:
        raise Missing("wall_gap_ft")
    names = [n for n, h in parts.items() if h.judged.verdict == "falls_short"] or list(parts)
    unit = names[0].rsplit("_", 1)[1]
    words = {"found": given.value(names[0]), "asked": asked[names[0]], "unit": unit}
    return Outcome.of(*parts.values(), words=words, tell="counter" if names[0].startswith("unserved") else "")


def _near(rules: Rules, provision: str, found: Measured, key: str) -> Held:
    return rules.hold(provision, lambda r: at_most(found, r.number(key)), key)


@check("gfci-trip-test")
def gfci_trip_test(given: Given, rules: Rules) -> Outcome:
    """The time against the curve of the standard; at 4 mA and less it need not trip."""
    rule = rules.today("gfci_trip")
    if given.has("tripped") and given.no("tripped") and not given.has("fault_ma"):
        return Outcome.of(_trips(rules, yes_no(False)), tell="no_trip")
    fault = given.num("fault_ma")
    if fault.value < rule.number("trips_from_ma"):
        small = fault.value <= rule.number("holds_to_ma") and given.has("tripped")
        if not small:
            return Outcome(tell="too_small")
        return Outcome.of(_trips(rules, yes_no(given.no("tripped"))), tell="too_early" if given.yes("tripped") else "")
    longest = combine_uncertainty(lambda ma: gfci_longest_s(ma), [Measured(fault.value)])
    computed = {"max_seconds": longest.value}
    if given.no("tripped"):
        return Outcome.of(_trips(rules, yes_no(False)), computed=computed, tell="no_trip")
    if not given.has("trip_s"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("trip_s",))
    took = given.num("trip_s")
    return Outcome.of(_trips(rules, at_most(took, longest.value)), computed=computed)


def _trips(rules: Rules, judged: Judged) -> Held:
    return rules.hold("gfci_trip", lambda _: judged, "trips_from_ma")


LIVING = (
    "living_room", "family_room", "dining_room", "parlor", "library", "den", "sunroom", "recreation_room", "closet",
    "hallway",
)  # fmt: skip
ARC = {
    **dict.fromkeys(LIVING, "afci_living_area"),
    "bedroom": "afci_bedroom",
    "bedroom_lights": "afci_bedroom_other",
    "kitchen": "afci_kitchen",
    "laundry": "afci_laundry",
    "extension": "afci_extension",
    "replacement": "afci_replacement",
}


@check("afci-location-by-year")
def afci_location_by_year(given: Given, rules: Rules) -> Outcome:
    """One circuit; or `cases`, each [place, year built, year rewired], all of them without protection."""
    if given.has("cases"):
        return _cases(given.data("cases"), rules)
    provision = ARC.get(given.word("place"))
    if provision is None:  # bathroom, garage, outdoors, unfinished basement: not listed
        return Outcome()
    protected = given.yes("protected")
    held = [rules.hold(provision, lambda _: yes_no(protected), "protected")]
    if protected and given.has("type"):
        combined = given.word("type") == "combination"
        held.append(rules.hold("afci_combination", lambda _: yes_no(combined), "combination"))
    old = len(held) > 1 and held[1].judged.verdict == "falls_short"
    return Outcome.of(*held, computed={"since": held[0].selected.since}, tell="old_type" if old else "")


def _cases(cases: list[list[Any]], rules: Rules) -> Outcome:
    standings, since = list[str](), list[int | None]()
    for place, built, altered in cases:
        provision = ARC.get(place)
        if provision is None:
            standings, since = [*standings, "not_applicable"], [*since, None]
            continue
        selected = rules.selected(provision, max(y for y in (built, altered) if y is not None))
        held = Held(yes_no(False), selected, selected.rule, selected.in_force)
        standings.append("cannot_tell" if selected.in_force == "unknown" else standing("falls_short", [held]))
        since.append(selected.since)
    return Outcome(computed={"standing": standings, "since": since})


@check("receptacle-other-devices")
def receptacle_other_devices(given: Given, rules: Rules) -> Outcome:
    """Shutters, surge protection, the switch outdoors: each by its own date."""
    device = given.word("device")
    rule = rules.today(device)
    if device == "tamper_resistant" and given.has("height_ft"):
        reachable = within_limits(given.num("height_ft"), high=rule.number("up_to_ft"))
        if reachable.verdict == "falls_short":
            return Outcome(tell="high")
    if device == "tamper_resistant" and given.has("behind_appliance") and given.yes("behind_appliance"):
        return Outcome(tell="high")
    present = given.yes("present")
    held = rules.hold(device, lambda _: every([yes_no(present)]), "present")
    return Outcome.of(held, computed={"since": held.selected.since}, tell="" if present else device)
