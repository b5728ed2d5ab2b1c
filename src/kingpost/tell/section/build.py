"""From what is known of a house to its section: bodies side by side, ground, porch, deck, chimney, equipment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from kingpost.visit.facts import Facts

from .model import JOIST, Below, Body, Floor, House, Mark, Point, Roof, Thing
from .read import Addition, Said, ceiling, said, storey_rise
from .roofs import roof
from .says import says

HEAD = 0.7  # ft from a ceiling to the outer face of the roof over the wall
PORCH, DECK, GARAGE, ADDITION = 8.0, 11.0, 20.0, 12.0  # ft, common depths
DEEP = {"basement": 7.4, "slab": 0.0, "crawl": 0.0, "piers": 0.0, "blocks": 0.0}


def house(facts: Facts, marks: Sequence[Mark] = ()) -> House:
    """The house of these facts. Where findings lie shows what is there: a deck, a garage, a furnace in the attic."""
    known = said(facts, marks)
    up = _floor_above_ground(known)
    bodies = _split(known, up) if known.form.id == "split-level" else [_single(known, up)]
    ground = _ground(known, bodies, up)
    bodies = _with_additions(known, bodies, ground)
    porch, deck = _porch(known, bodies), _deck(known, bodies)
    bodies, porch, deck = _with_garage(known, bodies, ground, porch, deck)
    bodies = _trimmed(bodies)
    spread = _spread(bodies, porch, deck)
    things = _things(known, bodies, deck)
    made = House(
        form=known.form.id,
        bodies=tuple(bodies),
        ground=_stretched(ground, *spread),
        things=things,
        porch=porch,
        deck=deck,
        chimney=_chimney(known, bodies),
        labels=_labels(known, bodies, porch),
        heights=_heights(known, bodies, up),
        stairs=_stairs(known, bodies),
        extra=_extra(known, bodies),
        unknown=(),
    )
    unknown = tuple(dict.fromkeys(known.unknown))
    return House(**{**{f: getattr(made, f) for f in made.__slots__}, "unknown": unknown, "says": says(made, known)})


def _floor_above_ground(known: Said) -> float:
    common = known.form.floor_ft
    first = known.below[0]
    if known.form.id not in ("bi-level", "split-level", "row", "hillside"):
        common = {"slab": 0.6, "blocks": 3.0, "piers": max(common, 2.4)}.get(first, common)
    return known.ft("floor_ft", common, "height of the floor above the ground", 0.3, 9.0)


def _below(known: Said, x0: float, x1: float, floor: float, up: float, kinds: tuple[str, ...]) -> tuple[Below, ...]:
    """What stands under x0 to x1; two kinds share it half and half."""
    out, each = [], (x1 - x0) / len(kinds)
    deep = known.ft("basement_ft", 7.3, "basement height" if "basement" in kinds else "", 5.0, 12.0)
    crawl = known.ft("crawl_ft", 0.0, "", 0.0, 6.0)
    for i, kind in enumerate(kinds):
        bottom = {
            "basement": floor - JOIST - deep,
            "crawl": floor - JOIST - crawl if crawl else min(-up - 0.5, floor - JOIST - 1.7),
            "slab": floor,
        }.get(kind, -up)
        out.append(Below(kind, x0 + i * each, x0 + (i + 1) * each, bottom))
    return tuple(out)


def _single(known: Said, up: float) -> Body:
    form = known.form
    width = known.ft("width_ft", form.width_ft, "width", 10.0, 70.0)
    kinds, floors = known.below, list[Floor]()
    if form.id == "bi-level":
        low = ceiling(known, 0) + JOIST
        floors.append(Floor("lower", -low, -JOIST))
        kinds = ("slab",)
    if form.id == "hillside":
        low = known.ft("basement_ft", 8.0, "basement height", 6.0, 12.0) + JOIST
        floors.append(Floor("lower", -low, -JOIST))
        kinds = ("slab",)
    whole, half = int(known.storeys), known.storeys % 1
    if form.id == "bi-level":
        whole, half = 1, 0
    if form.id == "hillside" and whole > 1 and "lower" in known.facts.form:
        whole -= 1
    h = 0.0
    for i in range(max(whole, 1)):
        floors.append(Floor("upper" if i else "main", h, h + ceiling(known, i)))
        h += storey_rise(known, i)
    plate = floors[-1].ceiling + HEAD
    plate = known.ft("plate_ft", plate, "", floors[-1].ceiling + 0.2, 60.0)
    if half:
        floors.append(Floor("upper", h, h + 7.4))
        plate = h + 0.5
    if form.id == "a-frame":
        plate = 0.0
    made = _roof(known, 0.0, width, plate)
    floor = floors[0].floor
    under = _below(known, 0.0, width, floor, up, kinds)
    masonry = any(w in known.facts.form.lower() for w in ("brick", "stone", "row", "brownstone"))
    return Body("house", 0.0, width, tuple(floors), (plate, plate), made, under, masonry=masonry)


def _roof(known: Said, x0: float, x1: float, plate: float, joined: Point = (0.0, 0.0)):  # type: ignore[no-untyped-def]
    kind = known.word("roof") or known.form.roof
    kind = kind if kind in ("gable", "hip", "gambrel", "flat", "a-frame") else known.form.roof
    over = known.ft("overhang_ft", known.form.overhang_ft, "", 0.0, 5.0)
    rise = known.form.rise
    if known.has("ridge_ft") and kind in ("gable", "hip"):
        ridge = known.ft("ridge_ft", 0.0, "", plate + 1.0, 70.0)
        rise = 12 * (ridge - plate) / ((x1 - x0) / 2)
    elif kind == known.form.roof or known.has("slope"):
        rise = known.ft("slope", rise, "roof slope", 0.1 if kind == "flat" else 1.5, 24.0)
    else:
        rise = known.ft("slope", {"flat": 0.3, "a-frame": 20.0}.get(kind, 7.0), "roof slope", 0.1, 24.0)
    words = f"{known.facts.form} {known.word('dormers')}".lower()
    dormers = tuple(s for s, w in (("left", "front"), ("right", "rear")) if w in known.word("dormers"))
    if "dormer" in words and not dormers:
        dormers = ("left",)
    return roof(kind, x0, x1, (plate, plate), rise, (joined[0] or over, joined[1] or over), dormers)


def _split(known: Said, up: float) -> list[Body]:
    """Two bodies half a storey apart: lower and upper on the left, the main floor on the right."""
    width = known.ft("width_ft", known.form.width_ft, "width", 24.0, 80.0)
    wall, high = width * 0.5, ceiling(known, 0)
    low = -(high + JOIST) / 2
    top = low + high + JOIST
    left = (Floor("lower", low, low + high), Floor("upper", top, top + high))
    right = (Floor("main", 0.0, high),)
    kinds = (
        known.below if len(known.below) > 1 else (known.below[0], "crawl" if "crawl" in known.below else known.below[0])
    )
    under_left = "slab" if kinds[0] in ("basement", "slab") else kinds[0]
    under_right = "crawl" if kinds[1] == "basement" else kinds[1]
    plates = (top + high + HEAD, high + HEAD)
    rise = known.ft("slope", known.form.rise, "roof slope", 1.5, 12.0)
    over = known.ft("overhang_ft", known.form.overhang_ft, "", 0.0, 4.0)
    roofs = (
        roof("gable", 0.0, wall, (plates[0], plates[0]), rise, (over, over)),
        roof("gable", wall, width, (plates[1] + 1.2, plates[1]), rise, (0.0, over)),
    )
    return [
        Body("house", 0.0, wall, left, (plates[0],) * 2, roofs[0], (Below(under_left, 0.0, wall, low),)),
        Body(
            *("house", wall, width, right, (plates[1] + 1.2, plates[1]), roofs[1]),
            _below(known, wall, width, 0.0, up, (under_right,)),
            joined=(True, False),
        ),
    ]


def _ground(known: Said, bodies: list[Body], up: float) -> tuple[Point, ...]:
    """The surface at the house and ten feet off; falling away a little unless given."""
    x0, x1 = bodies[0].x0, bodies[-1].x1
    left = known.ft("ground_left_ft", -up, "", -14.0, -0.2)
    far = -up
    if known.form.id == "hillside":
        far = bodies[0].floors[0].floor - 0.5
    right = known.ft("ground_right_ft", far, "", -14.0, -0.2)
    if abs(right - left) < 2.0:
        return ((x0 - 10, left - 0.35), (x0, left), (x1, right), (x1 + 10, right - 0.35))
    return ((x0 - 12, left + 0.5), (x0, left), (x1 - 1, right), (x1, right), (x1 + 12, right - 0.6))


def _stretched(ground: tuple[Point, ...], x0: float, x1: float) -> tuple[Point, ...]:
    first, last = ground[0], ground[-1]
    front = ((x0, first[1] - 0.02 * max(0.0, first[0] - x0)),) if x0 < first[0] else ()
    back = ((x1, last[1] - 0.02 * max(0.0, x1 - last[0])),) if x1 > last[0] else ()
    return (*front, *ground, *back)


def _with_additions(known: Said, bodies: list[Body], ground: tuple[Point, ...]) -> list[Body]:
    out = list(bodies)
    for add in known.additions:
        right = add.side == "right"
        beside = out[-1] if right else out[0]
        made = _addition(known, add, beside, right)
        out = [*out, made] if right else [made, *out]
    return out


def _addition(known: Said, add: Addition, beside: Body, right: bool) -> Body:
    """A later part: lower ceiling, roof leaning on the house where it fits under its eave, on its own footing."""
    width = add.width_ft or ADDITION
    main = next((f for f in beside.floors if f.level == "main"), beside.floors[-1])
    floor = main.floor - (0.5 if beside.kind == "addition" else 0.0)
    floors = tuple(Floor("upper" if i else "main", floor + i * 8.9, floor + i * 8.9 + 7.6) for i in range(add.storeys))
    edge = beside.plates[1] if right else beside.plates[0]
    over = 1.0
    low = floors[-1].ceiling + HEAD
    high = low + width * 3 / 12
    room = edge - 0.9 if beside.plates[0] - floors[-1].ceiling > 2.5 else edge
    high = max(min(high, room), low + width * 0.75 / 12)
    x0, x1 = (beside.x1, beside.x1 + width) if right else (beside.x0 - width, beside.x0)
    made = roof(
        "shed-right" if right else "shed-left", x0, x1, (high, low) if right else (low, high), 3.0, (over, over)
    )
    kind = "slab" if "slab" in known.below else ("piers" if known.below[0] in ("piers", "blocks") else "crawl")
    up = -_floor_above_ground(known)
    bottom = floor if kind == "slab" else min(up - 0.2, floor - JOIST - 1.0)
    label = f"{add.what} of {add.year}" if add.year else f"{add.what}, year not known"
    return Body(
        *("addition", x0, x1, floors, (high, low) if right else (low, high), made, (Below(kind, x0, x1, bottom),)),
        label=label,
        sure=bool(add.year),
        joined=(right, not right),
        open_attic=False,
    )


def _porch(known: Said, bodies: list[Body]) -> tuple[float, float, bool] | None:
    told = known.word("porch")
    here = bool({"porch", "roof_porch", "porch_column", "porch_underside"} & known.seen)
    if told in ("none", "no") or (not told and not here and known.form.id not in ("bungalow", "foursquare")):
        return None
    deep = known.ft("porch_ft", PORCH, "", 3.0, 16.0)
    if told in ("rear", "right"):
        return (bodies[-1].x1, bodies[-1].x1 + deep, True)
    return (bodies[0].x0 - deep, bodies[0].x0, bool(told) or here)


def _deck(known: Said, bodies: list[Body]) -> tuple[float, float, bool] | None:
    told = known.word("deck")
    here = any(word.startswith("deck") for word in known.seen)
    built = any("deck" in a.what.lower() for a in known.facts.alterations)
    if told in ("none", "no") or not (told or here or built):
        return None
    deep = known.ft("deck_ft", DECK, "", 4.0, 20.0)
    if told in ("front", "left"):
        return (bodies[0].x0 - deep, bodies[0].x0, True)
    return (bodies[-1].x1, bodies[-1].x1 + deep, True)


Span = tuple[float, float, bool] | None


def _trimmed(bodies: list[Body]) -> list[Body]:
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
    return out


def _cut(roof: Roof, x: float, left: bool) -> Roof:
    """The roof with its overhang beyond x taken off."""
    kept = tuple(p for p in roof.top if (p[0] > x + 0.01 if left else p[0] < x - 0.01))
    end = (x, roof.height(x))
    return replace(roof, top=(end, *kept) if left else (*kept, end))


def _with_garage(
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


def _spread(bodies: list[Body], porch: Span, deck: Span) -> Point:
    left = min([bodies[0].x0, *(s[0] for s in (porch, deck) if s)])
    right = max([bodies[-1].x1, *(s[1] for s in (porch, deck) if s)])
    return left - 7.0, right + 7.0


def _chimney(known: Said, bodies: list[Body]) -> tuple[float, bool] | None:
    told = known.word("chimney")
    here = any(w.startswith(("chimney", "fireplace", "flue_liner", "hearth", "smoke_chamber")) for w in known.seen)
    if told in ("none", "no") or not (told or here):
        return None
    house = max((b for b in bodies if b.kind == "house"), key=lambda b: b.x1 - b.x0)
    at = {"left": 0.12, "middle": 0.46, "right": 0.86}.get(told, 0.62)
    if told not in ("left", "middle", "right"):
        known.unknown.append("place of the chimney")
    return house.x0 + at * (house.x1 - house.x0), told in ("left", "middle", "right")


def _things(known: Said, bodies: list[Body], deck: Span) -> tuple[Thing, ...]:
    """Furnace, water heater, panel and outdoor unit: where they are said or seen to stand, else where they often do."""
    houses = [b for b in bodies if b.kind == "house"]
    levels = {f.level for b in houses for f in b.floors}
    low = "lower" if "lower" in levels else ""
    deep = any(u.kind == "basement" for b in houses for u in b.below)
    common = "basement" if deep else low or "main"
    out = []
    for kind, offset in (("furnace", 0.3), ("water_heater", 0.5), ("panel", 0.9)):
        told = known.word(kind) or known.stands.get(kind, "")
        zone = {"basement": "lower", "outside": "ground"}.get(told, told) or {"basement": "lower"}.get(common, common)
        if told in ("none", "no") or (not told and known.form.id == "manufactured" and kind == "panel"):
            continue
        if made := _stood(kind, zone, offset, houses, bodies, bool(told)):
            out.append(made)
            if not told:
                known.unknown.append(f"place of the {kind.replace('_', ' ')}")
    if known.word("condenser") not in ("none", "no") and (
        {"condenser", "air_conditioner", "heat_pump"} & known.seen or known.word("condenser")
    ):
        edge = bodies[-1].x1
        if deck and deck[1] > edge:  # beyond the deck and its steps
            edge = deck[1] + (_floor_above_ground(known) * 1.5 if known.form.id != "hillside" else 0.4)
        out.append(Thing("condenser", edge + 2.4, 0.0, "ground"))
    return tuple(out)


def _stood(kind: str, zone: str, offset: float, houses: list[Body], bodies: list[Body], sure: bool) -> Thing | None:
    if zone == "garage" and (garage := next((b for b in bodies if b.kind == "garage"), None)):
        off = {"water_heater": 1.6, "furnace": 4.0}.get(kind, 3.6)
        return Thing(kind, garage.x1 - off if garage.joined[1] else garage.x0 + off, garage.base, zone, sure)
    if zone == "attic":
        body = max(houses, key=lambda b: b.roof.ridge[1])
        return Thing(kind, body.roof.ridge[0] + (offset - 0.3) * 14, body.floors[-1].ceiling + 0.35, zone, sure)
    for body in houses:
        for below in body.below:
            if zone == "lower" and below.kind == "basement":
                return Thing(kind, below.x0 + 1.2 + offset * (below.x1 - below.x0 - 2.4), below.bottom, zone, sure)
            if zone == "crawl" and below.kind in ("crawl", "piers", "blocks"):
                return Thing(kind, below.x0 + offset * (below.x1 - below.x0), below.bottom, zone, sure)
        for floor in body.floors:
            if floor.level == zone:
                x = body.x0 + (0.1 + 0.55 * offset) * (body.x1 - body.x0)
                if zone != "lower":  # in a closet beside the middle wall
                    x = body.middle + {"furnace": 1.7, "water_heater": 3.9, "panel": -1.5}[kind]
                return Thing(kind, x, floor.floor, zone, sure)
    return None


def _labels(known: Said, bodies: list[Body], porch: Span) -> tuple[tuple[float, float, str, bool], ...]:
    """Dimension lines under the house: what each stretch is, and how wide where that was measured."""
    out = []
    houses = [b for b in bodies if b.kind == "house"]
    name = f"house of {known.facts.built}" if known.facts.built else "house, year not known"
    whole = (houses[0].x0, houses[-1].x1)
    wide = f", {whole[1] - whole[0]:g}′" if known.has("width_ft") else ""
    out.append((*whole, name + wide, known.has("width_ft")))
    adds = {(b.x0, b.x1): b for b in bodies if b.kind != "house"}
    for body in adds.values():
        given = next((a for a in known.additions if a.width_ft and body.label.startswith(a.what)), None)
        measured = known.has("garage_ft") if body.kind == "garage" else bool(given)
        out.append((body.x0, body.x1, body.label + (f", {body.x1 - body.x0:g}′" if measured else ""), measured))
    if porch:
        measured = known.has("porch_ft")
        out.append((porch[0], porch[1], "porch" + (f", {porch[1] - porch[0]:g}′" if measured else ""), measured))
    return tuple(sorted(out))


def _heights(known: Said, bodies: list[Body], up: float) -> tuple[tuple[str, float, bool], ...]:
    tall = max((b for b in bodies if b.kind == "house"), key=lambda b: b.roof.ridge[1])
    plate = known.has("plate_ft")
    ridge = known.has("ridge_ft") or (plate and known.has("slope"))
    out = [("ridge" if tall.roof.kind != "flat" else "roof", tall.roof.ridge[1], ridge)]
    if tall.roof.kind not in ("a-frame", "flat"):
        out.append(("plate", tall.plates[0], plate))
    out += [("floor", 0.0, True), ("ground", -up, known.has("floor_ft"))]
    deep = next((u for b in bodies for u in b.below if u.kind == "basement"), None)
    if deep:
        out.append(("basement", deep.bottom, known.has("basement_ft")))
    return tuple(out)


def _stairs(known: Said, bodies: list[Body]) -> tuple[tuple[Point, Point], ...]:
    """One flight from each floor to the next above it in the same body, and between the halves of a split level."""
    out = []
    houses = [b for b in bodies if b.kind == "house"]
    for body in houses:
        levels = [f.floor for f in body.floors]
        if deep := next((u.bottom for u in body.below if u.kind == "basement"), None):
            levels.insert(0, deep)
        for a, b in pairwise(levels):
            foot = body.x0 + (body.x1 - body.x0) * 0.53
            out.append(((foot, a), (foot + (b - a) * 0.95, b)))
    if len(houses) > 1:
        wall = houses[1].x0
        low, top = houses[0].floors[0].floor, houses[0].floors[-1].floor
        out = [((wall - 4.8, low), (wall - 0.5, 0.0)), ((wall - 0.2, 0.0), (wall - 4.6, top))]
    if known.form.id == "bi-level":
        return _entry_flights(known, houses[0])
    return tuple(out)


def _entry_flights(known: Said, body: Body) -> tuple[tuple[Point, Point], ...]:
    """From a landing at the door half a flight up and half a flight down."""
    at, x = _floor_above_ground(known), body.x0 + 4.6
    landing = -at + 0.5
    low = body.floors[0].floor
    return (((x + (landing - low) * 0.95, low), (x, landing)), ((x, landing), (x - landing * 0.95, 0.0)))


def _extra(known: Said, bodies: list[Body]) -> frozenset[str]:
    out = set()
    if known.form.id == "row":
        out.add("party_wall")
    if known.form.id == "bi-level":
        out.add("landing")
    if known.form.id == "manufactured":
        out.add("skirt")
    return frozenset(out)
