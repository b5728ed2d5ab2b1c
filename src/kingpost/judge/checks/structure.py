"""Wood framing, floors, foundations."""

from __future__ import annotations

from kingpost.measure.conformity import Measured, combine_uncertainty
from kingpost.measure.floors import IN_PER_FT, best_plane, fall_over_a_room_in
from kingpost.measure.tables import band
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import Held, Judged, Outcome, Rules, at_least, at_most, every, yes_no


def _notch(given: Given, rules: Rules) -> Held:
    depth, zone = given.num("depth_in"), given.word("notch_zone")
    part = "end_notch_part" if zone == "end" else "notch_part"

    def compare(rule: Rule) -> Judged:
        if zone == "middle_third":
            return yes_no(given.value("notch_depth_in") <= 0)
        limits = [at_most(given.num("notch_depth_in"), depth.value / rule.number(part))]
        if given.has("notch_length_in"):
            limits.append(at_most(given.num("notch_length_in"), depth.value / rule.number("notch_length_part")))
        return every(limits)

    return rules.hold("notch_limits", compare, part)


def _hole(given: Given, rules: Rules) -> Held:
    depth = given.value("depth_in")

    def compare(rule: Rule) -> Judged:
        limits = [at_most(given.num("hole_diameter_in"), depth / rule.number("hole_part"))]
        if given.has("hole_edge_distance_in"):
            limits.append(at_least(given.num("hole_edge_distance_in"), rule.number("min_edge_in")))
        return every(limits)

    return rules.hold("notch_limits", compare, "hole_part", "min_edge_in")


@check("notch-limits")
def notch_limits(given: Given, rules: Rules) -> Outcome:
    """Notch and hole apart, as parts of the real depth."""
    if given.has("engineered") and given.yes("engineered"):
        return Outcome()
    rule, depth = rules.today("notch_limits"), given.value("depth_in")
    names = {"max_notch_in": "notch_part", "max_end_notch_in": "end_notch_part", "max_hole_in": "hole_part"}
    limits = {name: depth / rule.number(part) for name, part in names.items()}
    computed: dict[str, float | str] = {**limits}
    held: dict[str, Held] = {}
    if given.has("notch_depth_in"):
        held["notch"] = _notch(given, rules)
    if given.has("hole_diameter_in"):
        held["hole"] = _hole(given, rules)
    if not held:
        raise Missing("notch_depth_in")
    computed |= {f"{k}_verdict": h.judged.verdict for k, h in held.items()}
    return Outcome.of(*held.values(), computed=computed)


@check("floor-tilt")
def floor_tilt(given: Given, rules: Rules) -> Outcome:
    """The plane through the points, or a fall over a distance."""
    computed: dict[str, float] = {}
    if given.has("points_ft_in"):
        points = given.data("points_ft_in")
        plane = best_plane(points, given.value("u_z_in") if given.has("u_z_in") else None)
        computed = dict(plane._asdict())
        tilt = Measured(plane.tilt_percent, computed.pop("u_tilt_percent"))
    else:
        if not given.has("fall_in"):
            raise Missing("points_ft_in")
        tilt = combine_uncertainty(
            lambda fall, run: abs(100 * fall / (run * IN_PER_FT)), [given.num("fall_in"), given.num("run_ft")]
        )
        computed = {"tilt_percent": tilt.value}
    held = rules.hold("floor_tilt", lambda rule: at_most(tilt, rule.number("max_percent")), "max_percent")
    return Outcome.of(held, computed=computed, words={"fall_in_20_ft": fall_over_a_room_in(tilt.value)})


@check("crack-width-class")
def crack_width_class(given: Given, rules: Rules) -> Outcome:
    """By width, and by what makes a crack worse than its width: a step, or a bow along a level crack."""
    width, rule = given.num("width_mm"), rules.today("crack_width")
    index = band(width.value, rule.at("class_up_to_mm"))
    held = {"": rules.hold("crack_width", lambda r: at_most(width, r.number("max_cosmetic_mm")), "max_cosmetic_mm")}
    if given.has("step_mm"):
        step = given.num("step_mm")
        held["shape"] = rules.hold("crack_width", lambda r: at_most(step, r.number("max_step_mm")), "max_step_mm")
    if given.has("pattern") and given.word("pattern") == "horizontal" and given.has("bowed") and given.yes("bowed"):
        held["shape"] = rules.hold("crack_width", lambda _: yes_no(False), "max_step_mm")
    names = {"class": index, "class_name": rule.at("class_names")[index]}
    shape = "shape" in held and held["shape"].judged.verdict == "falls_short"
    words = {k: rule.number(k) for k in ("max_cosmetic_mm", "max_step_mm")}
    return Outcome.of(*held.values(), computed=names, words=words, tell="shape" if shape else "")
