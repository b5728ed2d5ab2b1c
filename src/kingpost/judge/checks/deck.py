"""Decks."""

from __future__ import annotations

from kingpost.measure.limits import within
from kingpost.measure.tables import between
from kingpost.trade.law import Rule

from ..given import Given
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_most, yes_no

THICK = "bolt_half_inch_thick_sheathing"


def _row(given: Given, rule: Rule) -> str:
    fastener = given.word("fastener")
    if given.has("sheathing_in") and given.value("sheathing_in") > rule.number("sheathing_in"):
        limit = "sheathing_in" if fastener == "lag_half_inch" else "thick_sheathing_in"
        within("sheathing_in", given.value("sheathing_in"), 0, rule.number(limit), "the table ends here")
        return THICK
    return fastener


@check("deck-ledger-fasteners")
def deck_ledger_fasteners(given: Given, rules: Rules) -> Outcome:
    """By the ledger table, with straight lines between its columns; nails alone are a hazard whatever the year."""
    fastener = given.word("fastener")
    if fastener == "nails_only":
        return Outcome.of(rules.hold("deck_ledger_bolted", lambda _: yes_no(False), "nails_only"), tell="nails")
    if fastener == "other":
        return Outcome(judged=UNKNOWN)
    rule = rules.today("deck_ledger_spacing")
    if given.has("live_psf"):
        within("live_psf", given.value("live_psf"), 0, rule.number("live_psf"), "the table ends here")
    row = _row(given, rule)
    most = between(given.value("joist_span_ft"), rule.at("joist_span_ft"), rule.at(row))
    computed = {"max_spacing_in": most}
    if not given.has("spacing_in"):
        return Outcome(computed=computed, judged=UNKNOWN, missing=("spacing_in",))
    spacing = given.num("spacing_in")
    held = rules.hold("deck_ledger_spacing", lambda _: at_most(spacing, most), row)
    return Outcome.of(held, computed=computed, required={"max_spacing_in": most})
