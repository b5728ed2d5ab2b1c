"""Ways in and out: window wells, hatches, and the height to crawl in."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kingpost.measure.openings import clear_area_ft2
from kingpost.trade.law import Rule

from ..given import Given, Missing
from ..registry import check
from ..verdict import UNKNOWN, Held, Judged, Outcome, Rules, at_least, at_most, every, yes_no


def _which(held: Mapping[str, Held]) -> str:
    short = [k for k, h in held.items() if h.judged.verdict == "falls_short"]
    return short[0] if short else ""


@check("egress-window-well")
def egress_window_well(given: Given, rules: Rules) -> Outcome:
    """Area, both sizes, and a ladder where it is deep."""
    width, out = given.num("width_in"), given.num("projection_in")
    area = clear_area_ft2(width, out)

    def compare(rule: Rule) -> Judged:
        sizes = [at_least(v, rule.number("min_side_in")) for v in (width, out)]
        return every([at_least(area, rule.number("min_area_ft2")), *sizes])

    held = {"small": rules.hold("window_well", compare, "min_area_ft2", "min_side_in")}
    rule = rules.today("window_well")
    if given.has("depth_in"):
        shallow = at_most(given.num("depth_in"), rule.number("ladder_over_in")).verdict == "meets"
        if not shallow and not given.has("ladder"):
            return Outcome({"area_ft2": area.value}, UNKNOWN, missing=("ladder",))
        if not shallow:
            there = yes_no(given.yes("ladder"))
            held["ladder"] = rules.hold("window_well", lambda _: there, "ladder_over_in")
    return Outcome.of(*held.values(), computed={"area_ft2": area.value}, tell=_which(held))


def _opening(given: Given, rule: Rule, short: str, long: str) -> Judged:
    """Both sides, whichever way the opening was measured."""
    sides = sorted((given.num("width_in"), given.num("height_in")))
    return every([at_least(sides[0], rule.number(short)), at_least(sides[1], rule.number(long))])


@check("underfloor-access")
def underfloor_access(given: Given, rules: Rules) -> Outcome:
    """Smaller through a wall than through a floor; larger where equipment has to pass."""
    where = "equipment" if given.has("equipment") and given.yes("equipment") else given.word("through")
    keys = f"{where}_short_in", f"{where}_long_in"
    held = rules.hold("underfloor_access", lambda r: _opening(given, r, *keys), *keys)
    return Outcome.of(held, words=dict(zip(("short_in", "long_in"), map(held.rule.number, keys), strict=True)))


@check("underfloor-headroom")
def underfloor_headroom(given: Given, rules: Rules) -> Outcome:
    """Height to crawl in: less is a limit of the inspection, not a fault of the house."""
    parts = {"headroom_in": "min_joists_in", "girder_in": "min_girders_in"}
    held = [
        rules.hold("underfloor_headroom", _height(given, name, key), key)
        for name, key in parts.items()
        if given.has(name)
    ]
    if not held:
        raise Missing("headroom_in")
    lowest = min(given.value(n) for n in parts if given.has(n))
    return Outcome.of(*held, words={"lowest_in": lowest})


def _height(given: Given, name: str, key: str) -> Callable[[Rule], Judged]:
    return lambda rule: at_least(given.num(name), rule.number(key))


@check("attic-access")
def attic_access(given: Given, rules: Rules) -> Outcome:
    """Asked for where the attic is large and high enough to get into."""
    rule = rules.today("attic_access")
    small = at_least(given.num("area_ft2"), rule.number("from_area_ft2")) if given.has("area_ft2") else None
    low = at_least(given.num("headroom_in"), rule.number("from_headroom_in")) if given.has("headroom_in") else None
    if any(j is not None and j.verdict == "falls_short" for j in (small, low)):
        return Outcome()
    if given.no("present"):
        if small is None or low is None or "cannot_tell" in (small.verdict, low.verdict):
            gone = tuple(n for n, j in (("area_ft2", small), ("headroom_in", low)) if j is None)
            return Outcome(judged=UNKNOWN, missing=gone)
        return Outcome.of(rules.hold("attic_access", lambda _: yes_no(False), "short_in", "long_in"), tell="none")
    if not given.has("width_in", "height_in"):
        raise Missing("width_in", "height_in")
    held = rules.hold("attic_access", lambda r: _opening(given, r, "short_in", "long_in"), "short_in", "long_in")
    return Outcome.of(held)
