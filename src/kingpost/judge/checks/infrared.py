"""Thermal camera: numbers, when they count, and what a patch may be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.damp import celsius
from kingpost.measure.infrared import (
    air_transmittance,
    patch_shape,
    pixel_mm,
    surface_c,
    surface_contrast_k,
    water_term,
)
from kingpost.measure.units import convert
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Judged, Outcome, Rules, at_least, at_most, every


@check("ir-surface-temperature")
def ir_surface_temperature(given: Given, rules: Rules) -> Outcome:
    """Undo the camera's own setting, take off what mirrors and what the air adds."""
    air = given.value("air_c") if given.has("air_c") else None
    through = given.value("transmittance") if given.has("transmittance") else 1.0
    set_to = given.value("camera_emissivity") if given.has("camera_emissivity") else 1.0
    mirrored = given.value("camera_reflected_c") if given.has("camera_reflected_c") else None
    surface_c(given.value("apparent_c"), given.value("emissivity"), given.value("reflected_c"), through, air, set_to)
    found = combine_uncertainty(
        lambda seen, e, back: surface_c(seen, min(e, 1), back, through, air, set_to, mirrored),
        [given.num("apparent_c"), given.num("emissivity"), given.num("reflected_c")],
    )
    return Outcome(computed={"surface_c": found.value, "u_surface_c": found.u})


@check("ir-atmospheric-transmittance")
def ir_transmittance(given: Given, rules: Rules) -> Outcome:
    """What the air lets through."""
    air, humid = given.value("air_c"), given.value("relative_humidity")
    through = air_transmittance(given.value("distance_m"), air, humid)
    return Outcome(computed={"transmittance": through, "water_term": water_term(air, humid)})


def _delta(given: Given) -> Measured:
    if given.has("delta_k"):
        return given.num("delta_k")
    if not given.has("indoor_f", "outdoor_f"):
        raise Missing("delta_k")
    temperatures = [given.num("indoor_f"), given.num("outdoor_f")]
    return combine_uncertainty(lambda i, o: celsius(i) - celsius(o), temperatures)


@check("ir-conditions")
def ir_conditions(given: Given, rules: Rules) -> Outcome:
    """Met, or the picture cannot judge insulation: never that insulation is good."""
    delta, rule = _delta(given), rules.today("ir_conditions")
    size = Measured(abs(delta.value), delta.u)
    judged: dict[str, Judged] = {"delta": at_least(size, rule.number("min_delta_k"))}
    needed = ["hours"]
    if given.has("hours"):
        judged["hours"] = at_least(given.num("hours"), rule.number("min_hours"))
    if given.has("outdoors") and given.yes("outdoors"):
        needed += ["sun_hours", "wind_mph"]
        if given.has("sun_hours"):
            judged["sun"] = at_least(given.num("sun_hours"), rule.number("min_sun_hours"))
        if given.has("wind_mph"):
            judged["wind"] = at_most(given.num("wind_mph"), rule.number("max_wind_mph"))
    failed = [k for k, j in judged.items() if j.verdict != "meets"]
    computed = {"delta_k": delta.value, "valid": not failed, "failed": failed}
    if failed:
        words = {k: rule.number(k) for k in ("min_delta_k", "min_hours")}
        freezing, above = (convert(c, "degC", "degF") for c in (0.0, words["min_delta_k"]))
        words["min_delta_f"] = above - freezing
        return Outcome(computed, UNKNOWN, words=words, tell="invalid")
    if gone := tuple(n for n in needed if not given.has(n)):
        return Outcome({"delta_k": delta.value}, UNKNOWN, missing=gone)
    held = rules.hold("ir_conditions", lambda _: every(judged.values()), "min_delta_k", "min_hours")
    return Outcome.of(held, computed=computed)


@check("ir-detectability")
def ir_detectability(given: Given, rules: Rules) -> Outcome:
    """Whether the camera could see such a flaw today."""
    rule, delta = rules.today("ir_detectability"), _delta(given)
    film = given.value("film_r") if given.has("film_r") else rule.number("film_r")
    bad, good = given.value("r_bad"), given.value("r_good")
    contrast = combine_uncertainty(lambda d: surface_contrast_k(d, film, bad, good), [delta])
    noise = given.value("noise_k") if given.has("noise_k") else rule.number("noise_k")
    least = max(rule.number("noise_times") * noise, rule.number("least_k"))
    held = rules.hold("ir_detectability", lambda _: at_least(contrast, least), "least_k", "noise_times")
    return Outcome.of(held, computed={"contrast_k": contrast.value, "needed_k": least})


@check("ir-spot-size")
def ir_spot_size(given: Given, rules: Rules) -> Outcome:
    """Three pixels each way make a reading."""
    pixels = rules.today("ir_spot").number("pixels")
    one = pixel_mm(given.value("ifov_mrad"), given.value("distance_m"))
    computed = {"pixel_mm": one, "smallest_mm": one * pixels}
    if not given.has("target_mm"):
        return Outcome(computed=computed)
    held = rules.hold("ir_spot", lambda r: at_least(given.num("target_mm"), one * r.number("pixels")), "pixels")
    return Outcome.of(held, computed=computed)


def _shape(given: Given, rule: Rule) -> str | None:
    if not given.has("width_in", "height_in"):
        return None
    bays, compact = (tuple(float(x) for x in rule.at(k)) for k in ("bays_in", "compact_in"))
    slack, stripe = rule.number("slack_in"), rule.number("stripe_in")
    return patch_shape(given.value("width_in"), given.value("height_in"), bays, slack, stripe, compact)


def _features(given: Given, rule: Rule) -> dict[str, Any]:
    """What was seen, by the names of the table of kinds."""
    seen: dict[str, Any] = {}
    if (shape := _shape(given, rule)) is not None:
        seen["shape"] = shape
    yes = {
        "edges_straight": "straight", "aligned_with_framing": "aligned", "changes_with_hvac": "hvac",
        "changes_with_blower": "blower", "moves_with_camera": "moves",
    }  # fmt: skip
    seen |= {short: given.yes(name) for name, short in yes.items() if given.has(name)}
    if given.has("moisture_meter") and given.word("moisture_meter") != "not_used":
        seen["meter"] = given.word("moisture_meter")
    if given.has("contrast_k", "season"):
        cold = given.value("contrast_k") < 0
        seen["sign"] = "flow" if cold == (given.word("season") == "heating") else "against"
    return seen


@check("ir-anomaly-kind")
def ir_anomaly_kind(given: Given, rules: Rules) -> Outcome:
    """The kind whose signs fit best, named only where most of them do; else described."""
    rule = rules.today("ir_kinds")
    seen = _features(given, rule)
    if not seen:
        raise Missing("width_in", "height_in")
    scores: dict[str, float] = {}
    for kind, signs in rule.at("kinds").items():
        must: Mapping[str, Any] = signs["must"]
        if any(seen.get(k) != v for k, v in must.items()):
            continue
        if any(seen.get(k) == v for k, v in signs["never"].items()):
            continue
        told = {k: v for k, v in signs["usual"].items() if k in seen}
        right = len(must) + sum(1 for k, v in told.items() if seen[k] == v)
        scores[kind] = right / (len(must) + len(told))
    best = max(scores, key=lambda k: (scores[k], len(rule.at("kinds")[k]["must"])), default="")
    sure = bool(best) and scores[best] >= rule.number("sure")
    computed = {"kind": best if sure else "unnamed", "confidence": scores.get(best, 0), "shape": seen.get("shape")}
    words = {"said": rule.at("kinds")[best]["said"] if sure else ""}
    if not sure:
        return Outcome(computed, UNKNOWN, tell="described")
    return Outcome(computed=computed, words=words)


@check("ir-hidden-register")
def ir_hidden_register(given: Given, rules: Rules) -> Outcome:
    """A compact patch that follows the supply air, well over the noise, ten minutes after the start."""
    rule = rules.today("ir_register")
    contrast, noise = (
        given.num("contrast_k"),
        given.value("noise_k") if given.has("noise_k") else rule.number("noise_k"),
    )
    sign = contrast.value > 0 if given.word("system") == "heating" else contrast.value < 0
    short, long = sorted((given.value("width_in"), given.value("height_in")))
    lows = [float(x) for x in rule.at("size_in")]
    signs = {
        "sign": sign,
        "strong": abs(contrast.value) >= rule.number("noise_times") * noise,
        "size": lows[0] <= short <= lows[1] and lows[-1 - 1] <= long <= lows[-1],
        "square": given.value("rectangularity") > rule.number("min_rectangularity"),
        "waited": given.value("minutes") >= rule.number("min_minutes"),
    }
    if given.has("near_duct"):
        signs["near_duct"] = given.yes("near_duct")
    against = [k for k, good in signs.items() if not good]
    computed = {"likely_supply": not against, "against": against, "width_in": given.value("width_in")}
    if not signs["waited"]:
        return Outcome(computed, UNKNOWN, tell="early")
    return Outcome(computed=computed, tell="" if not against else "no")
