"""Joists, rafters, beams: how far wood may span, held against what was measured."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf
from typing import Any, NamedTuple

from kingpost.measure.conformity import Measured
from kingpost.measure.grade import IN_PER_FT
from kingpost.measure.spans import (
    PSF_SPACING,
    Span,
    adjusted_psi,
    feet_inches,
    longest_span,
    rafter_thrust_lb,
    simple_beam,
)
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Judged, Outcome, Rules, at_most, every

FACTORS = {
    "ft": ("duration_factor", "size_factor_tension", "wet_factor_ft"),
    "fb": ("duration_factor", "size_factor", "repetitive_factor", "wet_factor_fb", "incising_factor_fb"),
    "fv": ("duration_factor", "wet_factor_fv"),
    "fc_perp": ("wet_factor_fc_perp",),
    "e": ("wet_factor_e", "incising_factor_e"),
}


class Wood(NamedTuple):
    """Adjusted design values, psi; fv 0 where shear is not to govern."""

    fb: float
    e: float
    fv: float = 0


def _times(given: Given, value: float, kind: str) -> float:
    return adjusted_psi(value, *(given.value(f) for f in FACTORS[kind] if given.has(f)))


@check("adjusted-design-values")
def adjusted_design_values(given: Given, rules: Rules) -> Outcome:
    """Each value with its own factors; the repetitive one touches bending only."""
    values = {k: given.value(f"{k}_psi") for k in FACTORS if given.has(f"{k}_psi")}
    if not values:
        raise Missing("fb_psi")
    return Outcome(computed={f"{k}_adjusted_psi": _times(given, v, k) for k, v in values.items()})


def _woods(given: Given, rule: Rule) -> list[Wood]:
    """What was given; else of the species; else of every usual species, weakest and strongest among them."""
    shear = _times(given, given.value("fv_psi"), "fv") if given.has("fv_psi") else 0.0
    if given.has("fb_psi", "e_psi"):
        return [Wood(_times(given, given.value("fb_psi"), "fb"), _times(given, given.value("e_psi"), "e"), shear)]
    if given.has("grade") and given.word("grade") != "no_2":
        raise Missing("fb_psi", "e_psi")
    index = band(given.value("depth_in"), rule.at("depth_up_to_in"))
    names = [given.word("species")] if given.has("species") else rule.at("usual")
    factor = given.value("repetitive_factor") if given.has("repetitive_factor") else rule.number("repetitive_factor")
    out = []
    for name in names:
        row: Mapping[str, Any] = rule.at(name)
        size = 1.0 if row["sized"] else rule.at("size_factor")[index]
        duration = [given.value("duration_factor")] if given.has("duration_factor") else []
        out.append(Wood(adjusted_psi(row["fb"][index], size, factor, *duration), row["e"]))
    return out


def _loads(given: Given, rule: Rule) -> tuple[float, float]:
    """Live and total, psf."""
    if given.has("live_psf"):
        dead = given.value("dead_psf") if given.has("dead_psf") else rule.number("dead_psf")
        return given.value("live_psf"), given.value("live_psf") + dead
    if not given.has("room"):
        raise Missing("live_psf")
    live = float(rule.at(given.word("room")))
    return live, live + rule.number("dead_psf")


def _spans(given: Given, woods: list[Wood], loads: tuple[float, float], limit: float) -> list[Span]:
    pli = [psf * given.value("spacing_in") / PSF_SPACING for psf in loads]
    size = given.value("width_in"), given.value("depth_in")
    return [longest_span(*size, pli[0], pli[1], wood.fb, wood.e, limit, wood.fv) for wood in woods]


def _told(spans: list[Span]) -> dict[str, Any]:
    least, most = min(spans), max(spans)
    if len(spans) == 1:
        return {"span_ft": least.ft, "span_ft_in": feet_inches(least.ft), "governs": least.governs}
    return {"least_ft": least.ft, "most_ft": most.ft, "least_ft_in": feet_inches(least.ft),
            "most_ft_in": feet_inches(most.ft)}  # fmt: skip


def _held(span: Measured, spans: list[Span]) -> Judged:
    """Over what the strongest wood does, or under what the weakest does; between them nobody can tell."""
    weak, strong = at_most(span, min(spans).ft), at_most(span, max(spans).ft)
    if strong.verdict == "falls_short" or weak.verdict == "meets":
        return strong if strong.verdict == "falls_short" else weak
    return weak if len(spans) == 1 else UNKNOWN


def _conclude(given: Given, rules: Rules, spans_of: Callable[[Rule], list[Span]], computed: dict[str, Any]) -> Outcome:
    spans = spans_of(rules.today("wood_design_values"))
    computed = {**_told(spans), **computed}
    words = {"limit_ft_in": feet_inches(max(spans).ft)}
    if not given.has("measured_span_ft"):
        return Outcome(computed, UNKNOWN, words=words, missing=("measured_span_ft",))
    span = given.num("measured_span_ft")
    words["shown_ft_in"] = feet_inches(span.value)
    held = rules.hold("wood_design_values", lambda rule: _held(span, spans_of(rule)), "usual")
    return Outcome.of(held, computed=computed, words=words)


def _engineered(given: Given) -> bool:
    return given.has("engineered") and given.yes("engineered")


@check("joist-span-allowable")
def joist_span_allowable(given: Given, rules: Rules) -> Outcome:
    """By deflection, bending and shear; with values before and after a change of the tables, both."""
    if _engineered(given):
        return Outcome()
    floor = rules.today("floor_loads")
    limit = floor.number("deflection_limit")
    if given.has("deflection_limit"):
        limit = given.value("deflection_limit")
    elif given.has("room") and given.word("room") == "attic_storage":
        limit = floor.number("attic_deflection_limit")
    loads = _loads(given, floor)
    computed: dict[str, Any] = {}
    for when in ("before", "after"):
        if given.has(when):
            values = given.data(when)
            wood = Wood(_times(given, float(values["fb_psi"]), "fb"), _times(given, float(values["e_psi"]), "e"))
            span = _spans(given, [wood], loads, limit)[0]
            computed |= {f"{when}_ft": span.ft, f"{when}_ft_in": feet_inches(span.ft)}

    def spans_of(rule: Rule) -> list[Span]:
        return _spans(given, _woods(given, rule), loads, limit)

    return _conclude(given, rules, spans_of, computed)


@check("rafter-span")
def rafter_span(given: Given, rules: Rules) -> Outcome:
    """Level span; without ties at the walls no span means anything."""
    if _engineered(given):
        return Outcome()
    roof = rules.today("roof_loads")
    ceiling = given.has("ceiling") and given.yes("ceiling")
    limit = roof.number("ceiling_ratio" if ceiling else "open_ratio")
    snow = given.has("load") and given.word("load") == "snow"
    if not given.has("duration_factor"):
        values = {**given.values, "duration_factor": Measured(roof.number("snow_cd" if snow else "live_cd"))}
        given = Given(values, given.built)
    loads = (given.value("live_psf"), given.value("live_psf") + _dead(given, roof))
    computed: dict[str, Any] = {}
    if given.has("building_ft", "slope_in_12"):
        plf = loads[1] * given.value("spacing_in") / IN_PER_FT
        computed["thrust_lb"] = rafter_thrust_lb(plf, given.value("building_ft"), given.value("slope_in_12"))
    if given.no("ties"):
        return Outcome(computed, UNKNOWN, tell="no_ties")

    def spans_of(rule: Rule) -> list[Span]:
        return _spans(given, _woods(given, rule), loads, limit)

    return _conclude(given, rules, spans_of, computed)


def _dead(given: Given, rule: Rule) -> float:
    return given.value("dead_psf") if given.has("dead_psf") else rule.number("dead_psf")


@check("beam-check")
def beam_check(given: Given, rules: Rules) -> Outcome:
    """Moment, shear and live deflection against what the wood takes; plies add only where fastened together."""
    plies = given.value("plies") if given.has("plies") and not given.no("fastened") else 1.0
    width, depth = given.value("width_in") * plies, given.value("depth_in")
    points = given.data("points_lb_ft") if given.has("points_lb_ft") else ()
    span, e = given.value("span_ft"), _times(given, given.value("e_psi"), "e")
    beam = simple_beam(width, depth, span, given.value("dead_plf"), given.value("live_plf"), e, points)
    allowed = _times(given, given.value("fb_psi"), "fb")
    computed: dict[str, float] = {
        **beam._asdict(),
        "allowable_bending_psi": allowed,
        "bending_ratio": beam.bending_psi / allowed,
    }
    if beam.live_deflection_in > 0:
        computed["live_deflection_ratio"] = span * IN_PER_FT / beam.live_deflection_in
    if given.has("fv_psi"):
        computed["shear_ratio"] = beam.shear_psi_at_support / _times(given, given.value("fv_psi"), "fv")
    rule = rules.today("floor_loads")
    least = given.value("deflection_limit") if given.has("deflection_limit") else rule.number("deflection_limit")
    part = given.num("span_ft").u / span

    def compare(_: Rule) -> Judged:
        ratios = [Measured(computed["bending_ratio"], (1 + 1) * part * computed["bending_ratio"])]
        ratios += (
            [Measured(computed["shear_ratio"], part * computed["shear_ratio"])] if "shear_ratio" in computed else []
        )
        judged = [at_most(r, 1) for r in ratios]
        if "live_deflection_ratio" in computed:
            judged.append(at_most(Measured(least / computed["live_deflection_ratio"], (1 + 1 + 1) * part), 1))
        return every(judged)

    worst = max(
        computed["bending_ratio"], computed.get("shear_ratio", 0), least / computed.get("live_deflection_ratio", inf)
    )
    held = rules.hold("floor_loads", compare, "deflection_limit")
    return Outcome.of(held, computed=computed, words={"used_percent": 100 * worst})
