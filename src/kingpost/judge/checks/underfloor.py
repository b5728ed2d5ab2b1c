"""Under the floor, and the wood there."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, times
from kingpost.measure.openings import SQ_IN_PER_SQ_FT
from kingpost.measure.rounding import plain_number
from kingpost.measure.wood import corrected_moisture_percent

from ..given import Given
from ..registry import check
from ..verdict import UNKNOWN, Held, Outcome, Rules, at_least, at_most, every, yes_no


@check("underfloor-vent-area")
def underfloor_vent_area(given: Given, rules: Rules) -> Outcome:
    """Less where a sheet covers the soil; gross openings by the free share of their kind."""
    if given.has("conditioned") and given.yes("conditioned"):
        return Outcome()
    key = "covered_ratio" if given.word("ground_cover") == "class_1" else "bare_ratio"
    asked = given.value("floor_area_ft2") / rules.today("underfloor_vents").number(key)
    computed = {"net_free_ft2": asked}
    if given.has("vents_net_in2"):
        free = given.num("vents_net_in2")
    elif given.has("vents_gross_in2", "vent_kind"):
        free = times(given.num("vents_gross_in2"), rules.today("vent_free_share").number(given.word("vent_kind")))
    else:
        gone = "vent_kind" if given.has("vents_gross_in2") else "vents_net_in2"
        return Outcome(computed=computed, judged=UNKNOWN, missing=(gone,))
    opening = times(free, 1 / SQ_IN_PER_SQ_FT)
    held = rules.hold("underfloor_vents", lambda _: at_least(opening, asked), key)
    return Outcome.of(held, computed=computed, words={"share_percent": 100 * opening.value / asked})


def _corrected(given: Given, rules: Rules) -> tuple[Measured, str]:
    """Corrected moisture, and as it is told: over the meter's end only "over 28"."""
    rule, reading = rules.today("wood_meter_correction"), given.num("reading_percent")
    wood_c = given.value("wood_c") if given.has("wood_c") else rule.number("reference_c")
    per_c, at = rule.number("percent_per_c"), rule.number("reference_c")
    moisture = Measured(corrected_moisture_percent(reading.value, wood_c, per_c, at), reading.u)
    end = rule.number("meter_ends_at_percent")
    return moisture, f"over {plain_number(end)}" if moisture.value > end else f"{moisture.value:.0f}"


@check("wood-moisture-corrected")
def wood_moisture_corrected(given: Given, rules: Rules) -> Outcome:
    """For the temperature of the wood."""
    given.num("wood_c")
    moisture, told = _corrected(given, rules)
    held = rules.hold("wood_meter_correction", lambda _: every(()), "percent_per_c")
    return Outcome({"moisture_percent": moisture.value}, held=(held,), words={"shown_percent": told})


@check("wood-decay-risk")
def wood_decay_risk(given: Given, rules: Rules) -> Outcome:
    """Soft wood outranks the number; wet enough for rot to start is more than a recommendation."""
    if given.has("soft") and given.yes("soft"):
        soft = rules.hold("wood_decay", lambda _: yes_no(False), "watch_percent")
        return Outcome.of(soft, computed={"band": "soft"}, standing="deficiency", tell="soft")
    moisture, told = _corrected(given, rules)
    held = _under(moisture, "watch_percent", rules)
    likely = _under(moisture, "likely_percent", rules)
    band = "dry" if held.judged.verdict == "meets" else "watch"
    words = {"shown_percent": told, "watch_percent": held.rule.number("watch_percent")}
    if likely.judged.verdict == "falls_short":
        computed = {"moisture_percent": moisture.value, "band": "likely"}
        return Outcome.of(held, computed=computed, words=words, standing="deficiency", tell="wet")
    return Outcome.of(held, computed={"moisture_percent": moisture.value, "band": band}, words=words)


def _under(moisture: Measured, key: str, rules: Rules) -> Held:
    return rules.hold("wood_decay", lambda r: at_most(moisture, r.number(key)), key)
