"""A panel as labelled and as observed, row by row. The sum of its breakers is not held against the main."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from typing import Any, NamedTuple

from kingpost.measure.conformity import Measured
from kingpost.measure.tables import at_or_above, at_or_below
from kingpost.trade.checks import checks

from ..given import Given, Missing
from ..panel import Row, leg, named, read_rows, rows_of
from ..registry import check
from ..shown import fill
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_most, standing, yes_no
from .conductors import MATERIALS, ampacity_a, most_a

NAME = "panel-schedule-audit"
FALSE = yes_no(False)


class Found(NamedTuple):
    """One thing found at one position, and the rule that it is held against."""

    position: str
    kind: str
    held: Held
    words: dict[str, Any]


class Panel(NamedTuple):
    """All rows with what they need of the law."""

    rows: tuple[Row, ...]
    rules: Rules

    def short(self, row: Row, kind: str, provision: str, key: str, judged: Judged = FALSE, **words: Any) -> Found:
        """A finding of this row."""
        held = self.rules.hold(provision, lambda _: judged, key)
        return Found(row.position, kind, held, {"position": row.position, "rating_a": row.rating_a, **words})

    def things(self, text: str) -> set[str]:
        """What a label or a remark names."""
        return named(text, self.rules.today("panel_directory").at("alike"))

    def fed(self, row: Row) -> set[str]:
        """What the breaker really feeds: what went dead and what its plate names; else what its label names."""
        seen = set().union(*(self.things(d) for d in row.dead), self.things(str(row.plate.get("name", ""))))
        return seen or self.things(row.label or "")


def _wire(panel: Panel, row: Row) -> Iterable[Found]:
    """Breaker against wire; equipment with a plate goes by its plate. Sizes read by eye are sets."""
    rules = panel.rules
    if row.rating_a is None or not row.sizes or "mca_a" in row.plate or "mop_a" in row.plate:
        return
    outlets = row.more.get("load") == "multi_receptacle_branch"
    known = rules.today("conductor_ampacity").at("size")
    options = [
        (s, m)
        for s, m in product(row.sizes, row.metals or MATERIALS)
        if s in known and ampacity_a(rules, s, m, "60") > 0
    ]
    most = [most_a(rules, s, m, "60", outlets) for s, m in options]
    too_big = [row.rating_a > limit for limit in most]
    words: dict[str, Any] = {"limit": max(most, default=None), "wire": "|".join(row.sizes)}
    if most and all(too_big):
        yield panel.short(row, "overfused", "breaker_vs_conductor", "standard_a", **words)
    elif any(too_big):
        yield panel.short(row, "wire_unsure", "breaker_vs_conductor", "standard_a", UNKNOWN, **words)


def _plate(panel: Panel, row: Row) -> Iterable[Found]:
    """The breaker no smaller than the plate's least ampacity and no larger than its most; the wire for the least."""
    rules, plate = panel.rules, row.plate
    standard = rules.today("breaker_vs_conductor").at("standard_a")
    name = str(plate.get("name", "equipment"))
    needed = plate.get("mca_a")
    if needed is None and "watts" in plate and "volts" in plate:
        factor = rules.today("continuous_load").number("continuous_factor") if plate.get("continuous") else 1.0
        needed = factor * plate["watts"] / plate["volts"]
    if needed is not None and row.rating_a is not None:
        least = at_or_above(needed, standard)
        if row.rating_a < least:
            yield panel.short(row, "undersized", "equipment_circuit", "continuous_factor", name=name, limit=least)
    if "mop_a" in plate and row.rating_a is not None:
        most = at_or_below(plate["mop_a"], standard)
        if row.rating_a > most:
            key = "protection_ceiling_factor"
            yield panel.short(row, "over_plate", "equipment_circuit", key, name=name, limit=most)
    if needed is not None and row.sizes and row.metals:
        good_for = [ampacity_a(rules, s, m, "60") for s, m in product(row.sizes, row.metals)]
        if max(good_for) < needed:
            words: dict[str, Any] = {"name": name, "limit": needed, "ampacity_a": max(good_for)}
            yield panel.short(row, "thin_for_plate", "equipment_circuit", "continuous_factor", **words)


def _large(panel: Panel, row: Row) -> Iterable[Found]:
    """A dryer or range without a plate: the least breaker that they are given."""
    rule = panel.rules.today("large_appliance_wire")
    if row.plate or row.rating_a is None or row.poles == 1:
        return
    for name in ("dryer", "range"):
        key = f"min_{name}_a"
        if name in panel.fed(row) and row.rating_a < rule.number(key):
            yield panel.short(row, "undersized", "large_appliance_wire", key, name=name, limit=rule.number(key))


def _lugs(panel: Panel, row: Row) -> Iterable[Found]:
    usual = panel.rules.today("panel_double_tap").number("wires_under_lug")
    under, allowed = row.more.get("wires_under_lug"), row.more.get("lug_for", usual)
    if under is not None and under > allowed:
        yield panel.short(row, "double_tap", "panel_double_tap", "wires_under_lug", wires=under)
    if row.more.get("open"):
        yield panel.short(row, "open_space", "panel_openings", "open")
    if row.more.get("type_listed") is False:
        yield panel.short(row, "wrong_type", "panel_poles", "within_label")


def _poles(panel: Panel, row: Row) -> Iterable[Found]:
    """Two poles where 240 V; the two of a multiwire circuit on opposite legs, and tied."""
    volts = row.more.get("voltage_v", row.plate.get("volts", 0))
    if row.poles == 1 and volts >= panel.rules.today("panel_two_pole").number("from_v"):
        yield panel.short(row, "one_pole", "panel_two_pole", "poles")
    other = next((r for r in panel.rows if r.position == str(row.more.get("multiwire_with"))), None)
    if other is None or (panel.rows.index(other) < panel.rows.index(row) and "multiwire_with" in other.more):
        return  # a pair is told once
    if leg(row) is not None and leg(row) == leg(other):
        yield panel.short(row, "same_leg", "panel_multiwire_legs", "opposite", other=other.position)
    if row.more.get("tied") is False:
        yield panel.short(row, "not_tied", "panel_multiwire_tie", "tied", other=other.position)


def _label(panel: Panel, row: Row) -> Iterable[Found]:
    """Against what went dead; and against a label elsewhere that claims the same thing."""
    if row.label is not None and not row.more.get("open"):
        rule, said = panel.rules.today("panel_directory"), panel.things(row.label)
        bare = {w.rstrip("s") for w in row.label.lower().replace("/", " ").split()}
        if not said and not bare & set(rule.at("spare")) and bare <= set(rule.at("vague")):
            yield panel.short(row, "no_label", "panel_directory", "right", label=row.label)
        elif row.dead and said and not said & panel.fed(row):
            words: dict[str, Any] = {"label": row.label, "dead": list(row.dead)}
            yield panel.short(row, "label_wrong", "panel_directory", "right", **words)
    for thing in sorted(set().union(*(panel.things(d) for d in row.dead)) if row.dead else ()):
        claims = [r for r in panel.rows if r is not row and r.label and not r.dead and thing in panel.things(r.label)]
        own = row.label is not None and thing in panel.things(row.label)
        if claims and not own and thing in _appliances(panel):
            words = {"name": thing, "really": row.position, "label": claims[0].label}
            yield panel.short(claims[0], "elsewhere", "panel_directory", "right", **words)


def _appliances(panel: Panel) -> set[str]:
    """Things of which a house has one: a second label with the same room is no contradiction."""
    rooms = {k for table in ("arc", "ground") for k in panel.rules.today("panel_protection").at(table)}
    return {g[0] for g in panel.rules.today("panel_directory").at("alike")} - rooms | {"dishwasher", "washer"}


def _protection(panel: Panel, row: Row) -> Iterable[Found]:
    """Arc-fault and ground-fault protection where it belongs, by the year; and where it is only a nuisance."""
    rules, fed = panel.rules, panel.fed(row)
    nuisance, belongs = rules.today("panel_nuisance"), rules.today("panel_protection")
    if row.more.get("afci") and fed & set(nuisance.at("arc")):
        yield panel.short(row, "arc_nuisance", "panel_nuisance", "arc", name=sorted(fed & set(nuisance.at("arc")))[0])
    if row.more.get("gfci") and fed & set(nuisance.at("ground")):
        name = sorted(fed & set(nuisance.at("ground")))[0]
        yield panel.short(row, "ground_nuisance", "panel_nuisance", "ground", name=name)
    small = row.rating_a is not None and row.rating_a <= nuisance.number("arc_to_a") and row.poles == 1
    if small and row.more.get("afci") is False:
        for room in sorted(fed & set(belongs.at("arc")))[:1]:
            yield panel.short(row, "arc_missing", belongs.at("arc")[room], "protected", name=room)
    if row.more.get("protected") is False:  # tested at the outlet: a breaker without it proves nothing
        for room in sorted(fed & set(belongs.at("ground")))[:1]:
            yield panel.short(row, "ground_missing", belongs.at("ground")[room], "protected", name=room)


def _whole(panel: Panel, given: Given) -> Iterable[Found]:
    """The panel as a whole: its poles against its label, and how many throws put it out."""
    first, rules = panel.rows[0], panel.rules
    poles = sum(r.poles for r in panel.rows if not r.more.get("open") and r.rating_a is not None)
    if given.has("spaces") and poles > given.value("spaces"):
        found = panel.short(first, "too_many_poles", "panel_poles", "within_label", poles=poles)
        yield found._replace(position="")
    throws = sum(1 for r in panel.rows if r.more.get("service_disconnect"))
    if given.no("main_present") and throws:
        judged = at_most(Measured(float(throws)), rules.today("panel_throws").number("max_throws"))
        if judged.verdict == "falls_short":
            yield panel.short(first, "throws", "panel_throws", "max_throws", throws=throws)._replace(position="")


ROW_BY_ROW = (_wire, _plate, _large, _lugs, _poles, _label, _protection)


@check(NAME)
def panel_schedule_audit(given: Given, rules: Rules) -> Outcome:
    """Every row against every rule that its notes allow; what was not noted is not judged."""
    if given.has("rows"):
        rows = rows_of(given.data("rows"))
    elif given.has("panel"):
        rows = read_rows(given.word("panel"))
    else:
        raise Missing("rows")
    panel = Panel(rows, rules)
    found = [f for row in rows for look in ROW_BY_ROW for f in look(panel, row)] + list(_whole(panel, given))
    tell = checks()[NAME].tell
    told: list[dict[str, Any]] = [
        {
            "position": f.position, "finding": f.kind, "says": fill(str(tell[f.kind]), f.words),
            "verdict": f.held.judged.verdict, "standing": standing(f.held.judged.verdict, [f.held]),
            "with": [str(f.words[k]) for k in ("other", "really") if k in f.words],
        }
        for f in found
    ]  # fmt: skip
    computed: dict[str, Any] = {
        "findings": told,
        "circuits": {thing: r.position for r in rows for d in r.dead for thing in [d]},
        "least_breaker_a": {r.position: _least(rules, r) for r in rows if "mca_a" in r.plate},
    }
    if not found:
        held = rules.hold("panel_directory", lambda _: yes_no(True), "right")
        return Outcome.of(held, computed=computed, words={"count": len(rows), "rows_read": len(rows)})
    words = {"count": len(found), "rows_read": len(rows), "all": " ".join(t["says"] for t in told)}
    outcome = Outcome.of(*(f.held for f in found), computed=computed, words=words)
    return (
        outcome
        if outcome.judged.verdict == "falls_short"
        else Outcome(computed, outcome.judged, outcome.held, outcome.required, words, tell="unsure_rows")
    )


def _least(rules: Rules, row: Row) -> float:
    """The smallest standard breaker that the plate's least ampacity allows."""
    return float(at_or_above(row.plate["mca_a"], rules.today("breaker_vs_conductor").at("standard_a")))
