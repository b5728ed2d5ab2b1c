"""Wiring: ampacities, breakers, protection by place and year."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.tables import at_or_above, at_or_below, band
from kingpost.measure.wiring import derated_ampacity_a, largest_breaker_a, motor_circuit_a, protection_a

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, standing, yes_no
from .conductors import MATERIALS, ampacity_a, small_wire_cap_a, table_of_its_day


@check("conductor-ampacity")
def conductor_ampacity(given: Given, rules: Rules) -> Outcome:
    """The insulation's column, for heat and company; then no more than the terminal's column, and its breaker."""
    size, material, insulation = given.word("size_awg"), given.word("material"), given.word("insulation_c")
    heat = rules.today("ambient_correction")
    company = rules.today("conductor_count")
    factor = float(heat.at(f"factor_{insulation}")[band(given.value("ambient_f"), heat.at("up_to_f"))])
    count = float(company.at("factor")[band(given.value("current_carrying"), company.at("up_to"))])
    rule_then = table_of_its_day(rules)
    table = ampacity_a(rules, size, material, insulation, rule_then)
    derated = derated_ampacity_a(table, factor, count)
    computed: dict[str, float] = {"derated_a": derated}
    if given.has("termination_c"):
        usable = min(derated, ampacity_a(rules, size, material, given.word("termination_c"), rule_then))
        rule = rules.today("breaker_vs_conductor")
        computed["usable_a"] = usable
        computed["largest_breaker_a"] = largest_breaker_a(
            usable, rule.at("standard_a"), next_size_up=True, cap_a=small_wire_cap_a(rules, size, material)
        )
    words = {"table_a": table, "ambient_factor": factor, "count_factor": count}
    held = tuple(
        rules.hold(p, lambda _: Judged("not_applicable")) for p in ("conductor_ampacity", "ambient_correction")
    )
    words["good_for_a"] = computed.get("usable_a", derated)
    return Outcome(computed=computed, held=held, words=words)


def _largest(given: Given, rules: Rules, material: str, load: str) -> float:
    rule = rules.today("breaker_vs_conductor")
    cap = None
    if given.has("ampacity_a"):
        ampacity = given.value("ampacity_a")
    else:
        size = given.word("size_awg")
        # unless told otherwise the wire is judged at 60 C, where house cable ends
        column = given.word("temperature_c") if given.has("temperature_c") else "60"
        ampacity = ampacity_a(rules, size, material, column)
        cap = small_wire_cap_a(rules, size, material)
    up = load != "multi_receptacle_branch" and ampacity <= rule.number("next_size_up_to_a")
    return largest_breaker_a(ampacity, rule.at("standard_a"), up, cap)


@check("breaker-vs-conductor")
def breaker_vs_conductor(given: Given, rules: Rules) -> Outcome:
    """What the wire allows; where copper or aluminum is not known, both, and only their agreement counts."""
    if given.has("cases"):
        found = {c: _largest(given, rules, "Cu", c) for c in given.data("cases")}
        names = {"feeder": "feeder_max_breaker_a", "multi_receptacle_branch": "multi_receptacle_max_breaker_a"}
        return Outcome(computed={names.get(c, f"{c}_max_breaker_a"): v for c, v in found.items()})
    load = given.word("load") if given.has("load") else "branch"
    if load == "equipment":
        return Outcome(tell="equipment")
    if not given.has("ampacity_a") and not given.has("size_awg"):
        raise Missing("size_awg")
    known = given.has("material") or given.has("ampacity_a")
    materials = [given.word("material")] if given.has("material") else list(MATERIALS if not known else MATERIALS[:1])
    most = [_largest(given, rules, m, load) for m in materials if _there(given, rules, m)]
    if not given.has("breaker_a"):
        return Outcome(computed={"max_breaker_a": most[0]}, judged=UNKNOWN, missing=("breaker_a",))
    breaker = given.num("breaker_a")
    held = [_hold(rules, breaker, limit) for limit in most]
    computed = {"max_breaker_a": most[0]}
    if len({h.judged.verdict for h in held}) > 1:
        return Outcome(computed=computed, judged=UNKNOWN, missing=("material",))
    return Outcome.of(held[0], computed=computed, required={"max_breaker_a": most[0]})


def _there(given: Given, rules: Rules, material: str) -> bool:
    return given.has("ampacity_a") or ampacity_a(rules, given.word("size_awg"), material, "60") > 0


def _hold(rules: Rules, breaker: Measured, limit: float) -> Held:
    return rules.hold("breaker_vs_conductor", lambda _: at_most(breaker, limit), "standard_a", "cap_Cu")


@check("equipment-nameplate-circuit")
def equipment_nameplate_circuit(given: Given, rules: Rules) -> Outcome:
    """The plate's two figures, or from the rated load; the breaker against one, the wire against the other."""
    rule = rules.today("equipment_circuit")
    standard = rules.today("breaker_vs_conductor").at("standard_a")
    computed: dict[str, Any] = {}
    if given.has("compressor_rla_a"):
        rla = given.value("compressor_rla_a")
        others = given.value("other_loads_a") if given.has("other_loads_a") else 0.0
        computed["minimum_circuit_ampacity_a"] = motor_circuit_a(rla, others, rule.number("continuous_factor"))
        for name, key in (
            ("protection_175pct_a", "protection_factor"),
            ("protection_225pct_ceiling_a", "protection_ceiling_factor"),
        ):
            computed[name] = protection_a(rla, others, rule.number(key), standard)
    mca = given.value("mca_a") if given.has("mca_a") else computed.get("minimum_circuit_ampacity_a")
    mop = given.value("mop_a") if given.has("mop_a") else computed.get("protection_225pct_ceiling_a")
    parts: dict[str, Held] = {}
    if given.has("breaker_a") and mop is not None:
        largest = at_or_below(mop, standard)  # a plate may print a figure between two ratings
        parts["breaker"] = _equipment(rules, at_most(given.num("breaker_a"), largest))
    if given.has("breaker_a") and mca is not None:  # no breaker smaller than the circuit that the plate asks for
        computed["least_breaker_a"] = at_or_above(mca, standard)
        parts["small"] = _equipment(rules, at_least(given.num("breaker_a"), mca))
    ampacity = _wire(given, rules)
    if ampacity is not None and mca is not None:
        computed["ampacity_a"] = ampacity
        parts["wire"] = _equipment(rules, at_least(Measured(ampacity), mca))
    words = {"mca_a": mca, "mop_a": mop}
    if not parts:
        gone = ("mop_a",) if mop is None else ("breaker_a",)
        return Outcome(computed=computed, judged=UNKNOWN, missing=gone, words=words)
    short = [k for k, h in parts.items() if h.judged.verdict == "falls_short"]
    required = {k: v for k, v in words.items() if v is not None}
    tell = short[0] if len(short) == 1 else ""
    return Outcome.of(*parts.values(), computed=computed, required=required, words=words, tell=tell)


def _equipment(rules: Rules, judged: Judged) -> Held:
    return rules.hold("equipment_circuit", lambda _: judged, "continuous_factor", "protection_ceiling_factor")


def _wire(given: Given, rules: Rules) -> float | None:
    if given.has("ampacity_a"):
        return given.value("ampacity_a")
    if not given.has("size_awg", "material", "temperature_c"):
        return None
    return ampacity_a(rules, given.word("size_awg"), given.word("material"), given.word("temperature_c"))


@check("gfci-location-by-year")
def gfci_location_by_year(given: Given, rules: Rules) -> Outcome:
    """One receptacle; or `cases`, each [place, year built, year rewired], all of them without protection."""
    if given.has("cases"):
        return _cases(given.data("cases"), rules)
    place = given.word("place")
    if place == "other":
        return Outcome()
    if place == "kitchen":  # near the sink or not decides the year, and both are counters
        place = "kitchen_counter_within_6ft_of_sink"
    protected = given.yes("protected")
    held = rules.hold(f"gfci_{place}", lambda _: yes_no(protected))
    return Outcome.of(held, computed={"since": held.selected.since})


def _cases(cases: list[list[Any]], rules: Rules) -> Outcome:
    standings, since = [], []
    for place, built, altered in cases:
        year = max(y for y in (built, altered) if y is not None)
        selected = rules.selected(f"gfci_{place}", year)
        held = Held(yes_no(False), selected, selected.rule, selected.in_force)
        unsure = selected.in_force == "unknown"
        standings.append("cannot_tell" if unsure else standing("falls_short", [held]))
        since.append(selected.since)
    return Outcome(computed={"standing": standings, "since": since})
