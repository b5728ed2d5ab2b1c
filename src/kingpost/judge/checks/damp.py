"""Damp on surfaces: dew point, condensation, humidity at a cold surface, temperature index."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.damp import (
    celsius,
    critical_surface_f,
    dew_point_over_water_f,
    surface_humidity,
    temperature_index,
)
from kingpost.measure.moist_air import dew_point_f

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_least, at_most


def _mirrors(given: Given) -> bool:
    """A camera or gun on glass or bare metal reads what it mirrors."""
    return (
        given.has("surface", "read_with") and given.word("read_with") == "infrared" and given.word("surface") != "other"
    )


def _dew(given: Given) -> Measured:
    return combine_uncertainty(
        lambda t, h: dew_point_over_water_f(t, min(h, 1)),
        [given.num("air_temperature_f"), given.num("relative_humidity")],
    )


@check("dew-point")
def dew_point(given: Given, rules: Rules) -> Outcome:
    """Over water; where that is below freezing the frost point stands beside it."""
    dew, air = _dew(given), given.value("air_temperature_f")
    computed = {"dew_point_f": dew.value, "dew_point_c": celsius(dew.value), "u_dew_point_f": dew.u}
    freezing = rules.today("freezing").number("water_f")
    if dew.value < freezing <= air:
        computed["frost_point_f"] = dew_point_f(air, given.value("relative_humidity"))
    return Outcome(computed=computed, tell="frost" if "frost_point_f" in computed else "")


@check("surface-condensation")
def surface_condensation(given: Given, rules: Rules) -> Outcome:
    """The surface less the dew point; paint and coatings ask for a margin."""
    if _mirrors(given):
        return Outcome(judged=UNKNOWN, tell="mirrors")
    dew, surface = _dew(given), given.num("surface_temperature_f")
    margin = combine_uncertainty(lambda s, d: s - d, [surface, dew])
    key = "coating_margin_f" if given.has("coating") and given.yes("coating") else "margin_f"
    held = rules.hold("condensation", lambda rule: at_least(margin, rule.number(key)), key)
    computed = {
        "dew_point_f": dew.value,
        "margin_f": margin.value,
        "u_margin_f": margin.u,
        "probability_dry": held.judged.probability,
    }
    return Outcome.of(held, computed=computed, words={"below_f": -margin.value})


@check("surface-mould-threshold")
def surface_mould(given: Given, rules: Rules) -> Outcome:
    """Humidity at the surface; it tells of conditions, and finds no mould."""
    if _mirrors(given):
        return Outcome(judged=UNKNOWN, tell="mirrors")
    air, humid = given.num("air_temperature_f"), given.num("relative_humidity")
    at_it = combine_uncertainty(
        lambda t, h, s: surface_humidity(t, min(max(h, 0), 1), s), [air, humid, given.num("surface_temperature_f")]
    )
    share = rules.today("mould_humidity").number("max_share")
    computed = {
        "surface_humidity": at_it.value,
        "u_surface_humidity": at_it.u,
        "critical_surface_f": critical_surface_f(air.value, humid.value, share),
    }
    held = rules.hold("mould_humidity", lambda rule: at_most(at_it, rule.number("max_share")), "max_share")
    return Outcome.of(held, computed=computed, words={"shown_percent": 100 * at_it.value, "limit_percent": 100 * share})


@check("temperature-index")
def temperature_index_check(given: Given, rules: Rules) -> Outcome:
    """From three temperatures, or from the R of the inner film and of the whole wall."""
    if given.has("r_si", "r_total"):
        index = combine_uncertainty(lambda si, tot: 1 - si / tot, [given.num("r_si"), given.num("r_total")])
    elif not given.has("surface_temperature_f"):
        raise Missing("surface_temperature_f")
    elif _mirrors(given):
        return Outcome(judged=UNKNOWN, tell="mirrors")
    else:
        names = ("surface_temperature_f", "air_temperature_f", "outdoor_temperature_f")
        index = temperature_index(*(given.num(n) for n in names))
    held = rules.hold("temperature_index", lambda rule: at_least(index, rule.number("min_index")), "min_index")
    return Outcome.of(held, computed={"index": index.value, "u_index": index.u})
