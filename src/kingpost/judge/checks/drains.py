"""Drains, traps and vents. The height of a vent is in roof.py: one arithmetic, two names."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.slope import slope_from_angle
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import Held, Judged, Outcome, Rules, at_least

FAMILIES = {"irc": "drain_slope", "upc": "drain_slope_upc"}


def _least(rule: Rule, diameter_in: float) -> float:
    return float(rule.at("min_in_per_ft")[band(diameter_in, rule.at("sizes_up_to_in"))])


def _fall(given: Given) -> Measured:
    if given.has("slope_in_per_ft"):
        return given.num("slope_in_per_ft")
    if given.has("angle_deg"):
        return slope_from_angle(given.num("angle_deg"))
    if not given.has("drop_in"):
        raise Missing("slope_in_per_ft")
    return combine_uncertainty(lambda drop, run: drop / run, [given.num("drop_in"), given.num("run_ft")])


@check("drain-slope")
def drain_slope(given: Given, rules: Rules) -> Outcome:
    """Two families of codes ask differently; where that decides and the family is not known, we do not guess."""
    fall, diameter = _fall(given), given.value("diameter_in")
    families = [given.word("code_family")] if given.has("code_family") else list(FAMILIES)

    def hold(family: str) -> Held:
        return rules.hold(FAMILIES[family], lambda rule: at_least(fall, _least(rule, diameter)), "min_in_per_ft")

    held = {family: hold(family) for family in families}
    least = {f: _least(h.rule, diameter) for f, h in held.items()}
    first = held[families[0]]
    required = least[families[0]]
    computed = {"slope_in_per_ft": fall.value, "required_in_per_ft": required}
    if len({h.judged.verdict for h in held.values()}) > 1:
        return Outcome(
            computed=computed, judged=Judged("cannot_tell", first.judged.probability), missing=("code_family",)
        )
    tell = "backward" if fall.value < 0 else ""
    return Outcome.of(first, computed=computed, required={"min_in_per_ft": required}, tell=tell)
