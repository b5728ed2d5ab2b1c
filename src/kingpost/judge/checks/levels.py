"""Floors by their profiles: bend, curve, steepest stretch."""

from __future__ import annotations

from math import inf

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.grade import IN_PER_FT
from kingpost.measure.levels import curve, steepest, worst_bend

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Outcome, Rules, at_most, yes_no


def _u(given: Given, rules: Rules) -> float:
    return given.value("u_z_in") if given.has("u_z_in") else rules.today("floor_heights").number("u_z_in")


@check("floor-deflection-ratio")
def floor_deflection_ratio(given: Given, rules: Rules) -> Outcome:
    """The worst bend over every stretch, of those over their own noise."""
    computed: dict[str, float | str] = {}
    if given.has("profile_ft_in"):
        bend = worst_bend(given.data("profile_ft_in"), _u(given, rules))
        if bend.ratio == inf:
            held = rules.hold("floor_bend", lambda _: yes_no(True), "ratio")
            return Outcome.of(held, computed={"shape": "level"}, tell="level")
        span, offset = Measured(bend.span_ft), Measured(abs(bend.offset_in), bend.u_offset_in)
        computed = {"at_ft": bend.at_ft, "shape": "hog" if bend.offset_in > 0 else "sag"}
    elif given.has("offset_in"):
        span, offset = given.num("span_ft"), given.num("offset_in")
        computed = {"shape": "hog" if offset.value > 0 else "sag"}
        offset = Measured(abs(offset.value), offset.u)
        if offset.u > 0 and offset.value <= (1 + 1) * offset.u:
            return Outcome({"shape": "level"}, UNKNOWN, tell="noise")
    else:
        raise Missing("profile_ft_in")
    part = combine_uncertainty(lambda o, s: o / (s * IN_PER_FT), [offset, span])
    ratio = 1 / part.value if part.value > 0 else inf
    computed |= {"ratio": ratio, "offset_in": offset.value, "span_ft": span.value}
    held = rules.hold("floor_bend", lambda rule: at_most(part, 1 / rule.number("ratio")), "ratio")
    words = {"shown_ratio": f"{ratio:.0f}", "limit_ratio": held.rule.number("ratio")}
    return Outcome.of(held, computed=computed, words=words)


@check("floor-curvature")
def floor_curvature(given: Given, rules: Rules) -> Outcome:
    """The sharpest turn between neighbouring spans against where walls first crack, and where they break."""
    found, rule = curve(given.data("profile_ft_in")), rules.today("angular_distortion")
    computed: dict[str, float] = dict(found._asdict())
    computed = {k: v for k, v in computed.items() if v != inf}
    turn = Measured(found.angular_distortion, 0.0)
    held = rules.hold("angular_distortion", lambda r: at_most(turn, 1 / r.number("crack_ratio")), "crack_ratio")
    words = {"shown_ratio": f"{1 / turn.value:.0f}" if turn.value > 0 else "level"}
    breaks = turn.value > 1 / rule.number("structure_ratio")
    return Outcome.of(held, computed=computed, words=words, tell="breaks" if breaks else "")


@check("floor-local-slope")
def floor_local_slope(given: Given, rules: Rules) -> Outcome:
    """The steepest stretch of a room."""
    found = steepest(given.data("points_ft_in"), _u(given, rules), rules.today("floor_heights").number("least_ft"))
    slope = Measured(1 / found.ratio, found.u_slope)
    held = rules.hold("local_slope", lambda r: at_most(slope, 1 / r.number("notice_ratio")), "notice_ratio")
    steep = slope.value > 1 / rules.today("local_slope").number("furniture_ratio")
    computed = {"fall_in": found.fall_in, "run_ft": found.run_ft}
    if found.ratio != inf:
        computed["ratio"] = found.ratio
    short = held.judged.verdict == "falls_short"
    return Outcome.of(held, computed=computed, tell="steep" if steep and short else "")
