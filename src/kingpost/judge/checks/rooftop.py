"""What stands on a roof or runs along it: flashings, chimneys, gas vents, ice barriers, and sag."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.grade import IN_PER_FT
from kingpost.measure.pitch import chimney_height_in, reach_up_slope_in, sag_ratio
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Judged, Outcome, Rules, at_least, every, yes_no
from .pitch import slope_given


@check("step-flashing")
def step_flashing(given: Given, rules: Rules) -> Outcome:
    """Each leg that was measured, and the metal; hidden is not absent."""
    if given.no("visible"):
        return Outcome(judged=UNKNOWN, tell="hidden")
    names = {"leg_in": "min_leg_in", "horizontal_in": "min_horizontal_in", "thickness_in": "min_thickness_in"}
    read = {n: key for n, key in names.items() if given.has(n)}
    if not read:
        raise Missing("leg_in")

    def compare(rule: Rule) -> Judged:
        return every(at_least(given.num(n), rule.number(key)) for n, key in read.items())

    held = rules.hold("step_flashing", compare, *read.values())
    least = rules.today("step_flashing").number("min_leg_in")
    short = min((given.value(n) for n in ("leg_in", "horizontal_in") if given.has(n)), default=0.0)
    metal = "" if given.has("leg_in") or given.has("horizontal_in") else "metal"
    words = {"shown_in": short, "required_in": least}
    return Outcome.of(held, words=words, tell=metal if held.judged.verdict == "falls_short" else "")


@check("kickout-throw")
def kickout_throw(given: Given, rules: Rules) -> Outcome:
    """How far a kick-out throws the water clear of the wall."""
    throw = given.num("throw_in")
    held = rules.hold("kickout_throw", lambda rule: at_least(throw, rule.number("min_throw_in")), "min_throw_in")
    return Outcome.of(held)


@check("chimney-height")
def chimney_height(given: Given, rules: Rules) -> Outcome:
    """Over the high side of the opening, and over the roof within ten feet, level."""
    slope, ridge = slope_given(given), given.num("ridge_distance_ft")

    def asked(rule: Rule) -> Measured:
        keys = [rule.number(k) for k in ("min_over_opening_in", "min_over_roof_in", "within_ft")]
        return combine_uncertainty(lambda s, d: chimney_height_in(s, max(d, 0.0), *keys), [slope, ridge])

    required = asked(rules.today("chimney_height"))
    computed = {"required_height_in": required.value, "u_required_height_in": required.u}
    if not given.has("height_in"):
        return Outcome(computed, UNKNOWN, missing=("height_in",))
    height = given.num("height_in")

    def compare(rule: Rule) -> Judged:
        return at_least(combine_uncertainty(lambda h, r: h - r, [height, asked(rule)]), 0)

    held = rules.hold("chimney_height", compare, "min_over_opening_in", "min_over_roof_in", "within_ft")
    return Outcome.of(held, computed={**computed, "short_in": required.value - height.value})


@check("gas-vent-cap-height")
def gas_vent_cap_height(given: Given, rules: Rules) -> Outcome:
    """By the band of the roof's slope; near a wall, or over the size, the chimney's rule holds, and a trade decides."""
    slope, rule = slope_given(given), rules.today("gas_vent_cap_height")
    least = rule.at("min_height_ft")[band(slope.value, rule.at("up_to_in_12"))]
    computed = {"required_height_ft": least}
    near = given.has("wall_distance_ft") and at_least(given.num("wall_distance_ft"), rule.number("wall_ft")).verdict
    large = given.has("size_in") and given.value("size_in") > rule.number("max_size_in")
    if near in ("falls_short", "cannot_tell") or large:
        return Outcome(computed, UNKNOWN, tell="near_wall")
    height = given.num("height_ft")
    ends = [slope.value - slope.u, slope.value + slope.u]

    def compare(r: Rule) -> Judged:
        limits = {r.at("min_height_ft")[band(max(s, 0.0), r.at("up_to_in_12"))] for s in ends}
        judged = [at_least(height, limit) for limit in limits]
        return judged[0] if len({j.verdict for j in judged}) == 1 else UNKNOWN

    held = rules.hold("gas_vent_cap_height", compare, "up_to_in_12", "min_height_ft")
    return Outcome.of(held, computed=computed)


@check("ice-barrier-reach")
def ice_barrier_reach(given: Given, rules: Rules) -> Outcome:
    """Along the slope, to a point inside the wall line that is told level."""
    if given.no("ice_history"):
        return Outcome()
    slope, inside = slope_given(given), rules.today("ice_barrier").number("inside_in")
    overhang, wall = given.num("overhang_in"), given.maybe("wall_in") or Measured(0.0)
    asked = combine_uncertainty(
        lambda o, w, s: reach_up_slope_in(max(o, 0.0), max(w, 0.0), inside, s), [overhang, wall, slope]
    )
    computed = {
        "horizontal_in": overhang.value + wall.value + inside,
        "along_slope_in": asked.value,
        "u_along_slope_in": asked.u,
    }
    if not given.has("reach_in"):
        return Outcome(computed, UNKNOWN, missing=("reach_in",))
    spare = combine_uncertainty(lambda r, a: r - a, [given.num("reach_in"), asked])
    held = rules.hold("ice_barrier", lambda _: at_least(spare, 0), "inside_in")
    return Outcome.of(held, computed=computed)


@check("roof-plane-sag")
def roof_plane_sag(given: Given, rules: Rules) -> Outcome:
    """Dip of a ridge or rafter, as a part of its length; signs of spread outrank the number."""
    key = "ceiling_ratio" if given.has("ceiling") and given.yes("ceiling") else "open_ratio"
    if given.has("spread") and given.yes("spread"):
        held = rules.hold("roof_sag", lambda _: yes_no(False), key)
        return Outcome.of(held, standing="deficiency", tell="spread")
    span, offset = given.num("span_ft"), given.num("offset_in")
    allowed = span.value * IN_PER_FT / rules.today("roof_sag").number(key)
    computed = {"allowed_in": allowed}
    if offset.value > 0:
        computed["ratio"] = sag_ratio(span, offset).value

    def compare(rule: Rule) -> Judged:
        spare = combine_uncertainty(lambda s, o: s * IN_PER_FT / rule.number(key) - o, [span, offset])
        return at_least(spare, 0)

    return Outcome.of(rules.hold("roof_sag", compare, key), computed=computed)
