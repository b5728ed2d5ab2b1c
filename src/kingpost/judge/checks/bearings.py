"""What wood rests on and what is cut out of walls; walls that lean and cracks that grow."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty, minus
from kingpost.measure.grade import IN_PER_FT
from kingpost.measure.spans import feet_inches, longest_span
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, every, yes_no


@check("bearing-length")
def bearing_length(given: Given, rules: Rules) -> Outcome:
    """By what it rests on; the stress across the grain, and the air around a pocketed end, where known."""
    support, computed = given.word("support"), dict[str, float]()
    key = "min_masonry_in" if support == "masonry" else "min_wood_in"
    bearing = given.num("bearing_in")
    held = {"bearing": rules.hold("bearing_length", lambda r: at_least(bearing, r.number(key)), key)}
    if given.has("reaction_lb", "width_in", "fc_perp_psi") and bearing.value > 0:
        stress = given.value("reaction_lb") / (given.value("width_in") * bearing.value)
        computed = {"stress_psi": stress, "stress_ratio": stress / given.value("fc_perp_psi")}
        part = Measured(computed["stress_ratio"], computed["stress_ratio"] * bearing.u / bearing.value)
        held["crushed"] = rules.hold("bearing_length", lambda _: at_most(part, 1), key)
    if given.has("air_gap_in") and support == "masonry" and not (given.has("treated") and given.yes("treated")):
        gap, name = given.num("air_gap_in"), "min_pocket_air_in"
        held["pocket"] = rules.hold("bearing_length", lambda r: at_least(gap, r.number(name)), name)
    words = {"required_in": rules.today("bearing_length").number(key)}
    return Outcome.of(*held.values(), computed=computed, words=words, tell=_short(held, "bearing"))


def _short(held: dict[str, Held], plain: str) -> str:
    """The key of the part that falls short, where it has a sentence of its own."""
    short = [k for k, h in held.items() if h.judged.verdict == "falls_short"]
    return "" if not short or plain in short else short[0]


def _settled(rules: Rules, judged: Judged, key: str) -> Held:
    return rules.hold("stud_bore", lambda _: judged, key)


@check("stud-bore-limits")
def stud_bore_limits(given: Given, rules: Rules) -> Outcome:
    """Parts of the stud's real width; more where it carries nothing."""
    rule = rules.today("stud_bore")
    kind = "bearing" if given.yes("bearing") else "free"
    hole_key = "doubled_hole" if kind == "bearing" and given.has("doubled") and given.yes("doubled") else f"{kind}_hole"
    computed: dict[str, Any] = {}
    held: dict[str, Held] = {}
    if given.has("width_in"):
        width = given.value("width_in")
        computed = {
            "max_notch_in": width * rule.number(f"{kind}_notch"),
            "max_hole_in": width * rule.number(hole_key),
        }
        for name, key in (("notch", f"{kind}_notch"), ("hole", hole_key)):
            if given.has(f"{name}_in"):
                judged = at_most(given.num(f"{name}_in"), computed[f"max_{name}_in"])
                held[name] = _settled(rules, judged, key)
    if given.has("edge_in"):
        edge = given.num("edge_in")
        held["edge"] = rules.hold("stud_bore", lambda r: at_least(edge, r.number("min_edge_in")), "min_edge_in")
    if given.has("plate_cut_percent"):
        cut = given.num("plate_cut_percent")
        strap = given.has("strap") and given.yes("strap")
        key = "max_plate_percent"
        held["plate"] = rules.hold("stud_bore", lambda r: yes_no(True) if strap else at_most(cut, r.number(key)), key)
    if not held:
        raise Missing("hole_in")
    computed |= {f"{k}_verdict": h.judged.verdict for k, h in held.items()}
    short = [k for k, h in held.items() if h.judged.verdict == "falls_short"]
    return Outcome.of(*held.values(), computed=computed, tell="plate" if short == ["plate"] else "")


@check("girder-pier-spacing")
def girder_pier_spacing(given: Given, rules: Rules) -> Outcome:
    """The beam's span between piers, and the pier's height for its width; a loose pier needs no number."""
    computed: dict[str, Any] = {}
    held: dict[str, Held] = {}
    words: dict[str, Any] = {}
    if given.has("loose") and given.yes("loose"):
        held["loose"] = rules.hold("pier_height", lambda _: yes_no(False), "solid_part")
        return Outcome.of(held["loose"], standing="deficiency", tell="loose")
    if given.has("height_in", "pier_width_in"):
        key = "hollow_part" if given.word("pier_kind") == "hollow" else "solid_part"
        height, width = given.num("height_in"), given.num("pier_width_in")

        def compare(rule: Rule) -> Judged:
            return at_least(combine_uncertainty(lambda h, w: w * rule.number(key) - h, [height, width]), 0)

        held["tall"] = rules.hold("pier_height", compare, key)
        computed["max_height_in"] = width.value * rules.today("pier_height").number(key)
    beam = ("width_in", "depth_in", "live_plf", "dead_plf", "fb_psi", "e_psi")
    if given.has("spacing_ft", *beam):
        w, d, live, dead, fb, e = (given.value(n) for n in beam)
        limit = rules.today("girder_load").number("deflection_limit")
        longest = longest_span(w, d, _per_in(live), _per_in(live + dead), fb, e, limit)
        spacing = given.num("spacing_ft")
        computed |= {"max_spacing_ft": longest.ft, "governs": longest.governs}
        words = {"limit_ft_in": feet_inches(longest.ft)}
        held["apart"] = rules.hold("girder_load", lambda _: at_most(spacing, longest.ft), "deflection_limit")
    if not held:
        wanted = [n for n in beam if not given.has(n)] if given.has("spacing_ft") else ["spacing_ft"]
        raise Missing(*wanted)
    return Outcome.of(*held.values(), computed=computed, words=words, tell=_short(held, "apart"))


def _per_in(plf: float) -> float:
    return plf / IN_PER_FT


@check("wall-lean")
def wall_lean(given: Given, rules: Rules) -> Outcome:
    """Out of plumb or bulged, against a sixth of the wall's thickness."""
    offset = given.num("offset_in")
    computed: dict[str, float] = {}
    if given.has("height_in"):
        part = combine_uncertainty(lambda o, h: 100 * o / h, [offset, given.num("height_in")])
        computed = {"lean_percent": part.value, "u_lean_percent": part.u}
    if not given.has("thickness_in"):
        return Outcome(computed, UNKNOWN, missing=("thickness_in",))
    thick = given.num("thickness_in")

    def compare(rule: Rule) -> Judged:
        return at_least(combine_uncertainty(lambda o, t: t / rule.number("part") - o, [offset, thick]), 0)

    computed["allowed_in"] = thick.value / rules.today("wall_lean").number("part")
    return Outcome.of(rules.hold("wall_lean", compare, "part"), computed=computed)


@check("crack-growth")
def crack_growth(given: Given, rules: Rules) -> Outcome:
    """Growth is real when it is over twice its own uncertainty; another season is no comparison."""
    growth = minus(given.num("later_mm"), given.num("first_mm"))
    times = rules.today("crack_growth").number("sure_times")
    computed: dict[str, Any] = {"growth_mm": growth.value, "u_growth_mm": growth.u}
    if given.has("months"):
        computed["mm_per_year"] = growth.value / given.value("months") * rules.today("crack_growth").number("months")
    sure = abs(growth.value) > times * growth.u and growth.value != 0
    computed["significant"] = sure
    if given.no("same_season"):
        return Outcome(computed, UNKNOWN, tell="season")
    if growth.value > 0 and not sure:
        return Outcome(computed, UNKNOWN, tell="noise")
    grew = sure and growth.value > 0
    return Outcome.of(rules.hold("crack_growth", lambda _: every([yes_no(not grew)]), "sure_times"), computed=computed)
