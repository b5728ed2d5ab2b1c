"""Deck joists and posts by their tables."""

from __future__ import annotations

from typing import Any

from kingpost.measure.conformity import combine_uncertainty
from kingpost.measure.grade import IN_PER_FT
from kingpost.measure.spans import PSF_SPACING, adjusted_psi, feet_inches, longest_span
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Outcome, Rules, at_least, at_most


def _by_table(given: Given, rule: Rule) -> float:
    """Longest span of the table, ft; the spacing at hand or the next wider one."""
    row = rule.at("sizes")[band(given.value("depth_in"), rule.at("depth_up_to_in"))]
    group = "southern_pine" if given.word("species") == "southern_pine" else "western"
    column = band(given.value("spacing_in"), rule.at("spacing_in"))
    if not isinstance(rule.required, dict) or f"{group}_{row}" not in rule.required:
        raise Missing("fb_psi", "e_psi")
    return float(rule.at(f"{group}_{row}")[column]) / IN_PER_FT


def _by_formula(given: Given, rule: Rule) -> tuple[float, str]:
    named = ("size_factor", "repetitive_factor", "wet_factor_fb", "incising_factor_fb")
    fb = adjusted_psi(given.value("fb_psi"), *(given.value(n) for n in named if given.has(n)))
    stiff = (given.value(n) for n in ("wet_factor_e", "incising_factor_e") if given.has(n))
    e = adjusted_psi(given.value("e_psi"), *stiff)
    live = given.value("live_psf") if given.has("live_psf") else rule.number("live_psf")
    dead = given.value("dead_psf") if given.has("dead_psf") else rule.number("dead_psf")
    per_in = given.value("spacing_in") / PSF_SPACING
    size = given.value("width_in"), given.value("depth_in")
    span = longest_span(*size, live * per_in, (live + dead) * per_in, fb, e, rule.number("deflection_limit"))
    cap = rule.number("cap_ft")
    return (cap, "cap") if span.ft > cap else (span.ft, span.governs)


@check("deck-joist-span")
def deck_joist_span(given: Given, rules: Rules) -> Outcome:
    """By the table, or by formula where the wood's values are given; the overhang as a part of the span."""
    rule = rules.today("deck_joist_span")
    if given.has("fb_psi", "e_psi"):
        longest, governs = _by_formula(given, rule)
    else:
        longest, governs = _by_table(given, rule), "table"
    computed: dict[str, Any] = {"span_ft": longest, "span_ft_in": feet_inches(longest), "governs": governs}
    held: list[Held] = []
    words: dict[str, Any] = {"limit_ft_in": feet_inches(longest)}
    if given.has("measured_span_ft"):
        span = given.num("measured_span_ft")
        words["shown_ft_in"] = feet_inches(span.value)
        held.append(rules.hold("deck_joist_span", lambda _: at_most(span, longest), "depth_up_to_in"))
        if given.has("overhang_ft"):
            part = rule.number("overhang_part")
            spare = combine_uncertainty(lambda s, o: s / part - o, [span, given.num("overhang_ft")])
            held.append(rules.hold("deck_joist_span", lambda _: at_least(spare, 0), "overhang_part"))
            words["overhang_limit"] = feet_inches(span.value / part)
    if not held:
        return Outcome(computed, UNKNOWN, missing=("measured_span_ft",))
    over = held[0].judged.verdict != "falls_short" and held[-1].judged.verdict == "falls_short"
    return Outcome.of(*held, computed=computed, words=words, tell="overhang" if over else "")


@check("deck-post-height")
def deck_post_height(given: Given, rules: Rules) -> Outcome:
    """By the area that the post carries, or the next larger one of the table."""
    rule, size = rules.today("deck_post_height"), given.word("size")
    column = band(given.value("tributary_ft2"), rule.at("area_ft2"))
    most = float(rule.at(f"height_in_{size}")[column]) / IN_PER_FT
    computed = {"max_height_ft": most, "max_height_ft_in": feet_inches(most)}
    if not given.has("height_ft"):
        return Outcome(computed, UNKNOWN, missing=("height_ft",))
    height = given.num("height_ft")
    held = rules.hold("deck_post_height", lambda _: at_most(height, most), f"height_in_{size}")
    return Outcome.of(held, computed=computed, words={"shown_ft_in": feet_inches(height.value)})
