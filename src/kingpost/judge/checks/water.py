"""Water on the ground and at the wall."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.grade import IN_PER_FT, fall_over, least_running_fall, percent

from ..given import Given
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_least


def _fall(given: Given, over_ft: float) -> Measured:
    if given.has("distance_ft", "elevation_in"):
        return fall_over([d.value for d in given.numbers("distance_ft")], given.numbers("elevation_in"), over_ft)
    return combine_uncertainty(lambda fall, run: fall / run * over_ft, [given.num("fall_in"), given.num("run_ft")])


@check("lot-grade-fall")
def lot_grade_fall(given: Given, rules: Rules) -> Outcome:
    """By the best line through the spot heights; soil against its fall, hard surfaces against their percent."""
    over_ft = rules.today("lot_grade_fall").number("over_ft")
    fall = _fall(given, over_ft)
    hard = given.has("surface") and given.word("surface") == "hard"
    key = "hard_min_percent" if hard else "min_fall_in"

    def least(asked: float) -> float:
        return asked / 100 * over_ft * IN_PER_FT if hard else asked

    held = rules.hold("lot_grade_fall", lambda rule: at_least(fall, least(rule.number(key))), key)
    computed = {"fall_in_10_ft": fall.value, "slope_percent": percent(fall.value, over_ft), "u_fall_in": fall.u}
    if given.has("distance_ft", "elevation_in"):
        heights = [e.value for e in given.numbers("elevation_in")]
        computed["least_running_fall_in"] = least_running_fall([d.value for d in given.numbers("distance_ft")], heights)
    words = {"required_in": least(held.rule.number(key)), "rise_in": -fall.value}
    tell = "toward" if fall.value < 0 and held.judged.verdict == "falls_short" else ""
    return Outcome.of(held, computed=computed, words=words, tell=tell)


@check("downspout-outlet-distance")
def downspout_outlet_distance(given: Given, rules: Rules) -> Outcome:
    """Farther where the soil swells; a buried pipe of unknown end cannot be told."""
    if given.has("outlet") and given.word("outlet") == "buried_unknown":
        return Outcome(judged=UNKNOWN, tell="buried")
    distance = given.num("distance_in")
    swells = given.has("expansive_soil") and given.yes("expansive_soil")
    provision = "downspout_distance_expansive" if swells else "downspout_distance"
    held = rules.hold(provision, lambda r: at_least(distance, r.number("min_distance_in")), "min_distance_in")
    return Outcome.of(
        held,
        computed={"distance_ft": distance.value / IN_PER_FT},
        words={"required_ft": held.rule.number("min_distance_in") / IN_PER_FT},
    )
