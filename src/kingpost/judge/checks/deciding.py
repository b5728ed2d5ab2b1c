"""Deciding under uncertainty, as checks of their own."""

from __future__ import annotations

from math import inf

from ..given import Given, Missing
from ..registry import check
from ..verdict import Outcome, Rules, within_limits


@check("conformity-probability")
def conformity_probability(given: Given, rules: Rules) -> Outcome:
    """Any value against any limits."""
    value = given.num("value")
    if not given.has("upper_limit") and not given.has("lower_limit"):
        raise Missing("upper_limit")
    low = given.value("lower_limit") if given.has("lower_limit") else -inf
    high = given.value("upper_limit") if given.has("upper_limit") else inf
    judged = within_limits(value, low, high)
    required = {k: given.value(k) for k in ("lower_limit", "upper_limit") if given.has(k)}
    return Outcome(computed={"probability_meets": judged.probability}, judged=judged, required=required)
