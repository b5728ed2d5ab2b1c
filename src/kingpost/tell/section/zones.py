"""Where a finding's spot is on this house: zones.toml says which zone, this module where that zone lies."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from .model import JOIST, Body, Floor, House, Mark, Point, Spot
from .outside import dormer_of, stacks
from .shell import roof_inside

TABLE = Path(__file__).parent / "zones.toml"
Segment = tuple[Point, Point]
EITHER = {"wall", "ground", "eave", "slope", "foundation", "basement_wall", "rafter"}


@dataclass(frozen=True, slots=True)
class Zones:
    """zones.toml, with components turned inside out."""

    orelse: dict[str, str]
    level: dict[str, str]
    place: dict[str, dict[str, str]]
    component: dict[str, tuple[tuple[str, frozenset[str]], ...]]  # component: (zone, levels)


@cache
def zones() -> Zones:
    """The table."""
    data: dict[str, Any] = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    component: dict[str, tuple[tuple[str, frozenset[str]], ...]] = {}
    for zone, row in data["zone"].items():
        for name in row["components"]:
            component[name] = (*component.get(name, ()), (zone, frozenset(row.get("levels", ()))))
    return Zones(data["else"], data["level"], data["place"], component)


def zone_of(mark: Mark) -> tuple[str, str]:
    """Zone and side of a mark: as the caller says, else by component, place, level.

    >>> zone_of(Mark(1, "deficiency", "roof", "roof_rear", "gutter"))
    ('eave', 'right')
    """
    table = zones()
    place = table.place.get(mark.place, {})
    side = place.get("side", "")
    if mark.anchor:
        return mark.anchor, side
    own = next((z for z, levels in table.component.get(mark.component, ()) if not levels or mark.level in levels), "")
    if (
        own
        and place.get("zone", "").startswith(("roof_", "addition"))
        and own in ("eave", "ridge", "floor_face", "ceiling", "window")
    ):
        own = ""  # the part of the house says more than the part of the roof
    return own or place.get("zone", "") or table.level.get(mark.level, "main"), side


def spots(house: House, marks: Sequence[Mark]) -> list[Spot]:
    """Where each mark points; those of one zone are spread over it in the order of their numbers."""
    told = [_zone_here(house, mark) for mark in marks]
    groups: dict[Segment, list[int]] = {}
    for i, (_, _, where) in enumerate(told):
        groups.setdefault(where, []).append(i)
    out = [Spot("", (0.0, 0.0), 0)] * len(marks)
    for group, (((xa, ha), (xb, hb)), members) in enumerate(groups.items()):
        members.sort(key=lambda i: (marks[i].number, i))
        for k, i in enumerate(members):
            t = (k + 0.5) / len(members) if len(members) > 1 else 0.42
            out[i] = Spot(
                told[i][0], _off_the_chimney(house, told[i][0], (xa + (xb - xa) * t, ha + (hb - ha) * t)), group
            )
    return out


def _off_the_chimney(house: House, zone: str, p: Point) -> Point:
    """A spot in a room or on a roof is not drawn on the chimney that stands before it."""
    if not house.chimney or zone in ("chimney", "hearth") or abs(p[0] - house.chimney[0]) >= 1.7:
        return p
    return house.chimney[0] + (1.9 if p[0] >= house.chimney[0] else -1.9), p[1]


def _zone_here(house: House, mark: Mark) -> tuple[str, str, Segment]:
    zone, side = zone_of(mark)
    table = zones()
    if mark.level == "upper" and f"upper_{zone}" in FIND:
        zone = f"upper_{zone}"
    if not side and zone in EITHER:  # the finding names no side: both are used in turn
        side = "left" if mark.number % 2 else "right"
    for _ in range(8):
        if zone == "level":
            zone = table.level.get(mark.level, "main")
        if (found := segment(house, zone, side)) is not None:
            return zone, side, found
        zone = table.orelse.get(zone, "main")
    body = house.main
    return "main", side, ((body.x0 + 2, 4.0), (body.x1 - 2, 4.0))


def segment(house: House, zone: str, side: str) -> Segment | None:
    """From where to where a zone runs, or None where this house has none of it."""
    return FIND[zone](house, side) if zone in FIND else None


def _half(x0: float, x1: float, side: str, h: float) -> Segment:
    middle, pad = (x0 + x1) / 2, min(1.5, (x1 - x0) / 8)
    if side == "left":
        return (x0 + pad, h), (middle - pad, h)
    if side == "right":
        return (middle + pad, h), (x1 - pad, h)
    return (x0 + pad, h), (x1 - pad, h)


def _slope_of(body: Body, side: str) -> Segment:
    top, ridge = body.roof.top, body.roof.ridge
    a, b = top[0][0], top[-1][0]
    lo, hi = (ridge[0], b) if side != "left" and ridge[0] < b - 1 else (a, ridge[0])
    for dormer in body.roof.dormers:  # what it leaves of its slope is above it
        if (dormer == "left") == (hi == ridge[0]) and (back := dormer_of(body, dormer)):
            lo, hi = (back.back, hi) if dormer == "left" else (lo, back.back)
    xa, xb = lo + (hi - lo) * 0.2, lo + (hi - lo) * 0.8
    return (xa, body.roof.height(xa)), (xb, body.roof.height(xb))


def _slope(house: House, side: str) -> Segment | None:
    return _slope_of(house.tall, side or "right") if house.tall.roof.kind != "flat" else _roof_flat(house)


def _roof_flat(house: House) -> Segment:
    body = house.tall
    deck = body.floors[-1].ceiling + 1.4
    return (body.x0 + 2.5, deck), (body.x1 - 2.5, deck - 0.5)


def _ridge(house: House, side: str) -> Segment | None:
    x = house.tall.roof.ridge[0]
    if house.tall.roof.kind == "flat":
        return None
    return (x - 2.0, house.tall.roof.height(x - 2.0)), (x + 2.0, house.tall.roof.height(x + 2.0))


def _eave(house: House, side: str) -> Segment | None:
    body = house.bodies[0] if side == "left" else house.bodies[-1]
    if body.kind == "garage":
        body = house.tall
    if body.roof.kind == "flat":
        x = body.x0 - 0.5 if side == "left" else body.x1 - 0.5
        return (x, body.roof.height(x) - 0.4), (x, body.roof.height(x) + 0.1)
    top = body.roof.top
    (xa, ha), (xb, hb) = (top[0], top[1]) if side == "left" else (top[-1], top[-2])
    return (xa, ha - 0.2), (xa + (xb - xa) * 0.1, ha + (hb - ha) * 0.1 - 0.2)


def _kind_roof(kind: str) -> Callable[[House, str], Segment | None]:
    def found(house: House, side: str) -> Segment | None:
        body = next((b for b in house.bodies if b.kind == kind), None)
        return _slope_of(body, "left" if body.roof.ridge[0] >= body.x1 - 1 else "right") if body else None

    return found


def _roof_porch(house: House, side: str) -> Segment | None:
    if not house.porch or house.porch[1] - house.porch[0] < 4.5:
        return None
    x0, x1, _ = house.porch
    body = house.bodies[0] if x1 <= house.bodies[0].x0 + 0.1 else house.bodies[-1]
    left = x1 <= house.bodies[0].x0 + 0.1
    main = next((f for f in body.floors if f.level == "main"), body.floors[-1])
    high = min(body.plates[0 if left else 1] - 0.1, main.ceiling + 1.6) - 0.25
    a, b = (x0, x1) if left else (x1, x0)
    return (a + (b - a) * 0.2, high - abs(b - a) * 0.2), (a + (b - a) * 0.8, high - abs(b - a) * 0.05)


def _chimney(house: House, side: str) -> Segment | None:
    if not house.chimney and "party_wall" in house.extra:  # the stack on the wall between the houses
        x, top = stacks(house)[1], house.main.roof.ridge[1]
        return (x, top + 3.6), (x, top + 0.8)
    if not house.chimney:
        return None
    x, top = house.chimney[0], house.tall.roof.ridge[1] + 2.0
    return (x, top + 0.4), (x, house.tall.roof.height(x) + 0.3)


def _hearth(house: House, side: str) -> Segment | None:
    return ((house.chimney[0], 2.4), (house.chimney[0], 5.6)) if house.chimney else None


def _attic_at(share: float, side_only: bool = False) -> Callable[[House, str], Segment | None]:
    def found(house: House, side: str) -> Segment | None:
        body = house.tall
        if body.roof.kind in ("flat", "a-frame"):
            return None
        h0 = body.floors[-1].ceiling + 0.5
        top = roof_inside(body, body.roof.ridge[0])
        if top - h0 < 1.0:
            return None
        h = h0 + (top - h0) * share
        xs = [body.x0 + (body.x1 - body.x0) * i / 100 for i in range(101)]
        inside = [x for x in xs if roof_inside(body, x) > h + 0.25]
        if len(inside) < 3:
            return None
        a, b = inside[0] + 0.4, inside[-1] - 0.4
        if side_only:
            return (a, h), (a + 1.5, h)
        return _half(a, b, side, h)

    return found


def _rafter(house: House, side: str) -> Segment | None:
    body = house.tall
    if body.roof.kind in ("flat", "a-frame"):
        return None
    (xa, _), (xb, _) = _slope_of(body, side or "left")
    return (xa, roof_inside(body, xa) - 0.1), (xb, roof_inside(body, xb) - 0.1)


def _storey(house: House, level: str) -> tuple[Body, Floor] | None:
    for body in house.bodies:
        for floor in body.floors:
            if floor.level == level and body.kind == "house":
                return body, floor
    return None


def _room(level: str, share: float) -> Callable[[House, str], Segment | None]:
    def found(house: House, side: str) -> Segment | None:
        here = _storey(house, level)
        if not here:
            return None
        body, floor = here
        h = floor.floor + share * (floor.ceiling - floor.floor)
        xs = [body.x0 + (body.x1 - body.x0) * i / 100 for i in range(101)]
        inside = [x for x in xs if roof_inside(body, x) > h + 0.2] or [body.x0, body.x1]
        a, b = inside[0] + 0.8, inside[-1] - 0.8
        (xa, _), (xb, _) = _half(a, b, side, h)
        return (xa, h + 0.8), (xb, h - 0.8) if share == 0.5 else (xb, h)

    return found


def _top_ceiling(house: House, side: str) -> Segment | None:
    """Under a roof without an attic: the ceiling of the highest storey."""
    body = house.tall
    h = body.floors[-1].ceiling - 0.2
    xs = [x for i in range(101) if roof_inside(body, x := body.x0 + (body.x1 - body.x0) * i / 100) > h + 0.2]
    return _half(xs[0] + 0.8, xs[-1] - 0.8, side, h) if len(xs) > 2 else None


def _basement(house: House, side: str) -> Segment | None:
    for body in house.bodies:
        for part in body.below:
            if part.kind == "basement":
                return _half(part.x0 + 0.8, part.x1 - 0.8, side, part.bottom + 3.4)
    return _room("lower", 0.5)(house, side)


def _basement_slab(house: House, side: str) -> Segment | None:
    if (found := _basement(house, side)) is None:
        return None
    for body in house.bodies:
        for part in body.below:
            if part.kind == "basement":
                return (found[0][0], part.bottom - 0.1), (found[1][0], part.bottom - 0.1)
    here = _storey(house, "lower")
    low = here[1].floor - 0.15 if here else 0.0
    return (found[0][0], low), (found[1][0], low)


def _basement_wall(house: House, side: str) -> Segment | None:
    for body in house.bodies:
        for part in body.below:
            if part.kind == "basement":
                x = part.x0 + 0.4 if side == "left" else part.x1 - 0.4
                return (x, body.base - JOIST - 1.0), (x, part.bottom + 1.2)
    if here := _storey(house, "lower"):
        body, floor = here
        x = body.x1 - 0.4 if side == "right" and not body.joined[1] else body.x0 + 0.4
        return (x, floor.ceiling - 2.4), (x, floor.floor + 1.0)
    return None


def _foundation(house: House, side: str) -> Segment | None:
    body = house.bodies[-1] if side == "right" else house.bodies[0]
    x = body.x1 - 0.4 if side == "right" else body.x0 + 0.4
    top = min(body.base - 0.5, house.ground_at(x) + 1.4)
    return (x, top), (x, min(house.ground_at(x) - 0.1, top - 0.4))


def _under(share: float) -> Callable[[House, str], Segment | None]:
    def found(house: House, side: str) -> Segment | None:
        for body in house.bodies:
            for part in body.below:
                if part.kind in ("crawl", "piers", "blocks") and body.kind == "house":
                    top = body.base - JOIST
                    return _half(part.x0 + 1, part.x1 - 1, side, part.bottom + share * (top - part.bottom))
        return None

    return found


def _girder(house: House, side: str) -> Segment | None:
    for body in house.bodies:
        if body.kind == "house" and body.below[0].kind != "slab":
            return _half(body.x0 + 1, body.x1 - 1, side, body.base - 0.6)
    return None


def _slab(house: House, side: str) -> Segment | None:
    for body in house.bodies:
        for part in body.below:
            if part.kind == "slab" and body.kind == "house":
                return _half(part.x0 + 1, part.x1 - 1, side, body.base - 0.18)
    return None


def _body(kind: str, share: float) -> Callable[[House, str], Segment | None]:
    def found(house: House, side: str) -> Segment | None:
        body = next((b for b in house.bodies if b.kind == kind), None)
        if not body:
            return None
        h = body.base + share * (body.floors[0].ceiling - body.base)
        return (body.x0 + 1.5, h + (0.8 if share > 0.1 else 0)), (body.x1 - 1.5, h - (0.8 if share > 0.1 else 0))

    return found


def _span(which: str, above: float) -> Callable[[House, str], Segment | None]:
    def found(house: House, side: str) -> Segment | None:
        span = house.porch if which == "porch" else house.deck
        if not span:
            return None
        x0, x1, _ = span
        left = x1 <= house.bodies[0].x0 + 0.1
        body = house.bodies[0] if left else house.bodies[-1]
        floor = next((f.floor for f in body.floors if f.level in ("main", "garage")), body.base) - 0.5
        if above < 0:
            low = house.ground_at((x0 + x1) / 2)
            return (x0 + 1, floor - 1.2), (x1 - 1, (floor - 1.2 + low) / 2)
        if above == 0.0:
            wall = x1 - 0.1 if left else x0 + 0.1
            return (wall, floor - 0.5), (wall + (-0.8 if left else 0.8), floor - 0.5)
        return (x0 + 1, floor + above), (x1 - 1, floor - 0.1)

    return found


def _wall(house: House, side: str) -> Segment | None:
    body = house.bodies[-1] if side != "left" else house.bodies[0]
    x = body.x1 - 0.25 if side != "left" else body.x0 + 0.25
    top = body.plates[1 if side != "left" else 0] - 1.0
    if body.roof.kind == "a-frame":
        return None
    return (x, top), (x, max(house.ground_at(x), body.base) + 0.8)


def _entry(house: House, side: str) -> Segment | None:
    body = house.bodies[0]
    return (body.x0 + 0.25, 6.4), (body.x0 + 0.25, 1.0)


def _ground(house: House, side: str) -> Segment | None:
    edges = [(b.x0, b.x1) for b in house.bodies] + [(s[0], s[1]) for s in (house.porch, house.deck) if s]
    left, right = min(e[0] for e in edges), max(e[1] for e in edges)
    if side == "right":
        a, b = right + 0.8, right + 4.0
    else:
        a, b = left - 4.0, left - 0.8
    return (a, house.ground_at(a)), (b, house.ground_at(b))


def _thing(kind: str) -> Callable[[House, str], Segment | None]:
    def found(house: House, side: str) -> Segment | None:
        it = next((t for t in house.things if t.kind == kind), None)
        if not it:
            return None
        base = house.ground_at(it.x) if kind == "condenser" else it.floor
        low = {"panel": 4.0, "condenser": 0.8}.get(kind, 0.8)
        high = {"panel": 5.6, "condenser": 2.4}.get(kind, 3.6)
        if it.zone in ("attic", "crawl"):
            return (it.x - 1.6, base + 1.0), (it.x + 1.6, base + 1.0)
        return (it.x, base + high), (it.x, base + low)

    return found


def _stairs(house: House, side: str) -> Segment | None:
    return house.stairs[-1][::-1] if house.stairs else None


FIND: dict[str, Callable[[House, str], Segment | None]] = {
    "slope": _slope, "ridge": _ridge, "eave": _eave, "parapet": _eave, "chimney": _chimney, "hearth": _hearth,
    "roof_addition": _kind_roof("addition"), "roof_garage": _kind_roof("garage"), "roof_porch": _roof_porch,
    "attic": _attic_at(0.4), "attic_floor": _attic_at(0.05), "attic_eave": _attic_at(0.12, True), "rafter": _rafter,
    "upper": _room("upper", 0.5), "main": _room("main", 0.5), "lower": _room("lower", 0.5),
    "ceiling": _room("main", 0.97), "floor_face": _room("main", 0.01), "window": _room("main", 0.62),
    "upper_ceiling": _room("upper", 0.97), "upper_floor_face": _room("upper", 0.01),
    "upper_window": _room("upper", 0.62), "top_ceiling": _top_ceiling,
    "basement": _basement, "basement_wall": _basement_wall, "basement_slab": _basement_slab, "foundation": _foundation,
    "crawl": _under(0.5), "crawl_ground": _under(0.02), "pier": _under(0.35), "girder": _girder, "slab": _slab,
    "garage": _body("garage", 0.55), "garage_slab": _body("garage", 0.0), "addition": _body("addition", 0.5),
    "porch": _span("porch", 1.5), "porch_under": _span("porch", -1.0), "deck": _span("deck", 1.6),
    "deck_under": _span("deck", -1.0), "deck_ledger": _span("deck", 0.0), "wall": _wall, "entry": _entry,
    "ground": _ground, "furnace": _thing("furnace"), "water_heater": _thing("water_heater"), "panel": _thing("panel"),
    "condenser": _thing("condenser"), "stairs": _stairs,
}  # fmt: skip
