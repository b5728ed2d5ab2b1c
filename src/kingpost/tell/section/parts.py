"""What stands beside the house: later additions, porch, deck, garage; and roofs that meet."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from .model import HEAD, JOIST, Below, Body, Floor, Point, Roof, Span, surface
from .read import Addition, Said, floor_above_ground
from .roofs import roof

PORCH, DECK, GARAGE, ADDITION = 8.0, 11.0, 20.0, 12.0  # ft, common depths
LEAST_RISE = 0.75 / 12  # of an addition's roof
TALL_POST = 5.0  # ft from the ground to a floor, over which it stands on posts


def with_additions(known: Said, bodies: list[Body], ground: tuple[Point, ...]) -> list[Body]:
    out = list(bodies)
    for add in known.additions:
        right = add.side == "right"
        beside = out[-1] if right else out[0]
        made = _addition(known, add, beside, right, ground)
        out = [*out, made] if right else [made, *out]
    return out


def _addition(known: Said, add: Addition, beside: Body, right: bool, ground: tuple[Point, ...]) -> Body:
    """A later part: lower ceiling, roof leaning on the house where it fits under its eave, on its own footing."""
    width = add.width_ft or ADDITION
    main = next((f for f in beside.floors if f.level == "main"), beside.floors[-1])
    floor = main.floor - (0.5 if beside.kind == "addition" else 0.0)
    edge = beside.plates[1] if right else beside.plates[0]
    clear = 7.6
    if add.storeys == 1:  # under the eave where a room still fits there
        clear = min(clear, max(edge - HEAD - width * LEAST_RISE - floor, 6.8))
    feet = [floor + i * 8.9 for i in range(add.storeys)]
    floors = tuple(Floor("upper" if i else "main", foot, foot + clear) for i, foot in enumerate(feet))
    over = 1.0
    low = floors[-1].ceiling + HEAD
    high = low + width * 3 / 12
    room = edge - 0.9 if beside.plates[0] - floors[-1].ceiling > 2.5 else edge
    high = max(min(high, room), low + width * LEAST_RISE)
    x0, x1 = (beside.x1, beside.x1 + width) if right else (beside.x0 - width, beside.x0)
    made = roof(
        "shed-right" if right else "shed-left", x0, x1, (high, low) if right else (low, high), 3.0, (over, over)
    )
    kind, bottom = _stood_on(known, floor, min(surface(ground, x0), surface(ground, x1)))
    label = f"{add.what} of {add.year}" if add.year else f"{add.what}, year not known"
    return Body(
        *("addition", x0, x1, floors, (high, low) if right else (low, high), made, (Below(kind, x0, x1, bottom),)),
        label=label,
        sure=bool(add.year),
        joined=(right, not right),
        open_attic=False,
    )


def _stood_on(known: Said, floor: float, ground: float) -> tuple[str, float]:
    """What an addition stands on, and the height of the ground or slab in it: on falling ground never in the air."""
    kind = "slab" if "slab" in known.below else ("piers" if known.below[0] in ("piers", "blocks") else "crawl")
    if kind == "slab" and floor - ground < 1.5:
        return kind, floor
    if floor - ground > TALL_POST:
        return "piers", ground
    up = -floor_above_ground(known)
    return "crawl" if kind == "slab" else kind, min(up - 0.2, floor - JOIST - 1.0, ground - 0.1)


def porch_of(known: Said, bodies: list[Body]) -> tuple[float, float, bool] | None:
    told = known.word("porch")
    here = bool({"porch", "roof_porch", "porch_column", "porch_underside"} & known.seen)
    if told in ("none", "no") or (not told and not here and known.form.id not in ("bungalow", "foursquare")):
        return None
    deep = known.ft("porch_ft", PORCH, "", 3.0, 16.0)
    if told in ("rear", "right"):
        return (bodies[-1].x1, bodies[-1].x1 + deep, True)
    return (bodies[0].x0 - deep, bodies[0].x0, bool(told) or here)


def deck_of(known: Said, bodies: list[Body]) -> tuple[float, float, bool] | None:
    told = known.word("deck")
    here = any(word.startswith("deck") for word in known.seen)
    built = any("deck" in a.what.lower() for a in known.facts.alterations)
    if told in ("none", "no") or not (told or here or built):
        return None
    deep = known.ft("deck_ft", DECK, "", 4.0, 20.0)
    if told in ("front", "left"):
        return (bodies[0].x0 - deep, bodies[0].x0, True)
    return (bodies[-1].x1, bodies[-1].x1 + deep, True)


def trimmed(bodies: list[Body], porch: Span) -> list[Body]:
    """Where a neighbour's roof reaches an eave, that eave ends at the wall: the roofs meet in one line."""
    out = list(bodies)
    for i, (a, b) in enumerate(pairwise(bodies)):
        if b.x0 - a.x1 > 0.1 or "flat" in (a.roof.kind, b.roof.kind):
            continue
        ends = a.roof.height(a.x1), b.roof.height(b.x0)
        if ends[1] > a.roof.top[-1][1] - 1.2 and ends[1] < ends[0] + 1.5:
            out[i] = replace(out[i], roof=_cut(out[i].roof, a.x1, False))
        if ends[0] > b.roof.top[0][1] - 1.2 and ends[0] < ends[1] + 1.5:
            out[i + 1] = replace(out[i + 1], roof=_cut(out[i + 1].roof, b.x0, True))
    if porch and porch[1] - porch[0] >= 4.5:
        left = porch[1] <= bodies[0].x0 + 0.1
        at = 0 if left else -1
        body = out[at]
        main = next((f for f in body.floors if f.level == "main"), body.floors[-1])
        if body.plates[at] - 0.1 <= main.ceiling + 1.6 and body.roof.kind in ("gable", "hip", "shed"):
            out[at] = replace(body, roof=_cut(body.roof, body.x0 if left else body.x1, left))
    return out


def _cut(roof: Roof, x: float, left: bool) -> Roof:
    """The roof with its overhang beyond x taken off."""
    kept = tuple(p for p in roof.top if (p[0] > x + 0.01 if left else p[0] < x - 0.01))
    end = (x, roof.height(x))
    return replace(roof, top=(end, *kept) if left else (*kept, end))


def with_garage(
    known: Said, bodies: list[Body], ground: tuple[Point, ...], porch: Span, deck: Span
) -> tuple[list[Body], Span, Span]:
    """A garage beside the house, on the side that is free; porch and deck move out of its way."""
    told = known.word("garage")
    here = any(word.startswith(("garage", "roof_garage")) for word in known.seen)
    words = any("garage" in a.what.lower() for a in known.facts.alterations) or "garage" in known.facts.form.lower()
    if told in ("none", "no", "under") or not (told or here or words):
        return bodies, porch, deck
    taken = {
        "left": any(s and s[1] <= bodies[0].x0 for s in (porch, deck)),
        "right": any(s and s[0] >= bodies[-1].x1 for s in (porch, deck)),
    }
    side = told if told in ("left", "right") else "right" if not taken["right"] or taken["left"] else "left"
    right = side == "right"
    gap = 7.0 if told == "detached" else 0.0
    width = known.ft("garage_ft", GARAGE, "", 10.0, 30.0)
    edge = bodies[-1].x1 + gap if right else bodies[0].x0 - gap
    x0, x1 = (edge, edge + width) if right else (edge - width, edge)
    level = ground[-1][1] if right else ground[0][1]
    floor = level + 0.45
    plate = floor + 8.4 + HEAD
    beside = bodies[-1] if right else bodies[0]
    near = (beside.plates[1] if right else beside.plates[0]) if not gap else plate
    plate = min(plate, near) if near > floor + 7 else plate
    over = (0.0 if right and not gap else 1.0, 1.0 if right or gap else 0.0)
    made = Body(
        *("garage", x0, x1, (Floor("garage", floor, plate - HEAD),), (plate, plate)),
        roof("gable", x0, x1, (plate, plate), 5.0, over),
        (Below("slab", x0, x1, floor),),
        label="garage",
        sure=told in ("left", "right", "detached"),
        joined=(right and not gap, not right and not gap),
    )
    if not made.sure:
        known.unknown.append("side of the garage")
    shift = width + gap

    def moved(span: Span) -> Span:
        if span and right and span[0] >= bodies[-1].x1:
            return (span[0] + shift, span[1] + shift, span[2])
        if span and not right and span[1] <= bodies[0].x0:
            return (span[0] - shift, span[1] - shift, span[2])
        return span

    return ([*bodies, made] if right else [made, *bodies]), moved(porch), moved(deck)
