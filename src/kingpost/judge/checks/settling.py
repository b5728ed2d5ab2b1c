"""Deciding under uncertainty: guard bands, what would settle a doubt, propagation, and the year of a rule."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, guard_band, needed_uncertainty, probability_within
from kingpost.measure.formula import propagated
from kingpost.measure.settling import acceptance_limit, force_in_year

from ..given import Given, Missing
from ..registry import check
from ..verdict import Judged, Outcome, Rules

WORDS = {"pass": "meets", "fail": "falls_short"}


@check("guard-band-verdict")
def guard_band_verdict(given: Given, rules: Rules) -> Outcome:
    """Four words; the two inside the band are a doubt."""
    upper = given.has("upper_limit")
    if not upper and not given.has("lower_limit"):
        raise Missing("upper_limit")
    value, against = given.num("value"), given.word("against")
    limit = given.value("upper_limit" if upper else "lower_limit")
    r = given.value("r") if given.has("r") else rules.today("guard_band").number("r")
    word = guard_band(value.value, value.u, limit, upper, against, r)
    likely = probability_within(value.value, value.u, **({"high": limit} if upper else {"low": limit}))
    verdict = WORDS.get(word, "cannot_tell")
    needed = needed_uncertainty(value.value, limit) if verdict == "cannot_tell" else None
    computed = {
        "word": word,
        "acceptance_limit": acceptance_limit(value, limit, upper, against, r),
        "probability_meets": likely,
    }
    return Outcome(computed, Judged(verdict, likely, needed), required={"limit": limit, "r": r})


@check("needed-uncertainty")
def needed(given: Given, rules: Rules) -> Outcome:
    """How good a reading would have to be."""
    value, limit = given.num("value"), given.value("limit")
    asked = needed_uncertainty(value.value, limit)
    return Outcome(computed={"needed_uncertainty": asked, "settled": value.u <= asked and value.value != limit})


@check("combine-uncertainty")
def combine(given: Given, rules: Rules) -> Outcome:
    """A written formula with its values; what all readings share counts once."""
    table = {str(k): v if isinstance(v, list) else [v, 0] for k, v in given.data("values").items()}
    values = [Measured(float(v[0]), float(v[1])) for v in table.values()]
    shared = given.value("shared_u") if given.has("shared_u") else 0.0
    alike = ((shared,) * len(values),) if shared > 0 else ()
    found = propagated(given.word("formula"), tuple(table), values, alike)
    return Outcome(computed={"value": found.value, "standard_uncertainty": found.u, "method": found.method})


@check("vintage-standing")
def vintage_standing(given: Given, rules: Rules) -> Outcome:
    """The newer of house and part; a hazard stays a recommendation for the sake of people, whatever the year."""
    years = [int(given.value(n)) for n in ("house_year", "component_year") if given.has(n)]
    years += [given.built] if given.built is not None else []
    if not years:
        raise Missing("house_year")
    lag = int(rules.today("vintage_lag").number("lag_years"))
    adopted = int(given.value("adoption_year")) if given.has("adoption_year") else None
    force = force_in_year(max(years), int(given.value("since_year")), lag, adopted)
    hazard = given.has("hazard") and given.yes("hazard")
    standing = {"yes": "deficiency"}.get(force, "safety_recommendation" if hazard else "recommendation")
    if given.has("holds_now") and given.yes("holds_now"):
        standing = "information"
    return Outcome(computed={"judged_year": max(years), "in_force": force, "standing": standing}, tell=f"force_{force}")
