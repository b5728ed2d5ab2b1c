"""From what is known of a house to its section: bodies side by side, ground, porch, deck, chimney, equipment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from kingpost.visit.facts import Facts

from .model import HEAD, JOIST, Below, Body, Floor, House, Mark, Point, Roof, Span, surface
from .parts import deck_of, porch_of, trimmed, with_additions, with_garage
from .read import Said, ceiling, floor_above_ground, said, storey_rise
from .roofs import roof
from .says import says
from .things import NARROW, chimney_of, things_of


def house(facts: Facts, marks: Sequence[Mark] = ()) -> House:
    """The house of these facts. Where findings lie shows what is there: a deck, a garage, a furnace in the attic."""
    known = said(facts, marks)
    up = floor_above_ground(known)
    bodies = _split(known, up) if known.form.id == "split-level" else [_single(known, up)]
    ground = _ground(known, bodies, up)
    bodies = with_additions(known, bodies, ground)
    porch, deck = porch_of(known, bodies), deck_of(known, bodies)
    bodies, porch, deck = with_garage(known, bodies, ground, porch, deck)
    bodies = trimmed(bodies, porch)
    spread = _spread(bodies, porch, deck)
    chimney = chimney_of(known, bodies)
    things = things_of(known, bodies, deck, chimney)
    made = House(
        form=known.form.id,
        bodies=tuple(bodies),
        ground=_stretched(ground, *spread),
        things=things,
        porch=porch,
        deck=deck,
        chimney=chimney,
        labels=_labels(known, bodies, porch),
        heights=_heights(known, bodies, ground),
        stairs=_stairs(known, bodies, chimney),
        extra=_extra(known, bodies),
    )
    return replace(made, unknown=tuple(dict.fromkeys(known.unknown)), says=says(made, known))


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


def _roof(known: Said, x0: float, x1: float, plate: float, joined: Point = (0.0, 0.0)) -> Roof:
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
    front = ((x0, surface(ground, x0)),) if x0 < ground[0][0] else ()
    back = ((x1, surface(ground, x1)),) if x1 > ground[-1][0] else ()
    return (*front, *ground, *back)


def _spread(bodies: list[Body], porch: Span, deck: Span) -> Point:
    left = min([bodies[0].x0, *(s[0] for s in (porch, deck) if s)])
    right = max([bodies[-1].x1, *(s[1] for s in (porch, deck) if s)])
    return left - 7.0, right + 7.0


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
        out.append(
            (
                porch[0],
                porch[1],
                ("porch" if porch[1] - porch[0] >= 4.5 else "steps")
                + (f", {porch[1] - porch[0]:g}′" if measured else ""),
                measured,
            )
        )
    return tuple(sorted(out))


def _heights(known: Said, bodies: list[Body], ground: tuple[Point, ...]) -> tuple[tuple[str, float, bool], ...]:
    tall = max((b for b in bodies if b.kind == "house"), key=lambda b: b.roof.ridge[1])
    plate = known.has("plate_ft")
    ridge = known.has("ridge_ft") or (plate and known.has("slope"))
    out = [("ridge" if tall.roof.kind != "flat" else "roof", tall.roof.ridge[1], ridge)]
    if tall.roof.kind not in ("a-frame", "flat"):
        out.append(("plate", tall.plates[0], plate))
    left, right = ground[1][1], ground[-2][1]
    front = known.has("ground_left_ft") or known.has("floor_ft")
    sloped = abs(left - right) >= 2.0
    out += [("floor", 0.0, True), ("ground, front" if sloped else "ground", left, front)]
    if sloped:
        out.append(("ground, rear", right, known.has("ground_right_ft")))
    low = next((b.floors[0].floor for b in bodies if b.kind == "house" and b.floors[0].level == "lower"), None)
    if low is not None:
        out.append(("lower floor", low, known.has("basement_ft")))
    deep = next((u for b in bodies for u in b.below if u.kind == "basement"), None)
    if deep:
        out.append(("basement", deep.bottom, known.has("basement_ft")))
    return tuple(out)


def _stairs(known: Said, bodies: list[Body], chimney: tuple[float, bool] | None) -> tuple[tuple[Point, Point], ...]:
    """One flight from each floor to the next above it in the same body, and between the halves of a split level."""
    out = []
    houses = [b for b in bodies if b.kind == "house"]
    for body in houses:
        levels = [f.floor for f in body.floors]
        if deep := next((u.bottom for u in body.below if u.kind == "basement"), None):
            levels.insert(0, deep)
        for a, b in pairwise(levels):
            foot, run = body.x0 + (body.x1 - body.x0) * 0.53, (b - a) * 0.95
            if a < body.base - 3 and (cellar := next((u for u in body.below if u.kind == "basement"), None)):
                if cellar.x1 - cellar.x0 < NARROW:
                    continue
                foot = min(foot, max(cellar.x1 - 1.2 - run, cellar.x0 + 1.2))
            elif chimney and foot - 1.5 < chimney[0] < foot + run + 1.5:
                foot, run = _past(body, chimney[0], run)
            out.append(((foot, a), (foot + run, b)))
    if len(houses) > 1:
        wall = houses[1].x0
        low, top = houses[0].floors[0].floor, houses[0].floors[-1].floor
        out = [((wall - 4.8, low), (wall - 0.5, 0.0)), ((wall - 0.2, 0.0), (wall - 4.6, top))]
    if known.form.id == "bi-level":
        return _entry_flights(known, houses[0])
    return tuple(out)


def _past(body: Body, chimney: float, run: float) -> Point:
    """Foot and run of a flight on the wider side of the chimney."""
    behind, before = body.x1 - 0.8 - (chimney + 1.6), chimney - 1.6 - (body.middle + 0.4)
    if behind >= before:
        return chimney + 1.6, min(run, max(behind, 3.0))
    run = min(run, before)
    return chimney - 1.6 - run, run


def _entry_flights(known: Said, body: Body) -> tuple[tuple[Point, Point], ...]:
    """From a landing at the door half a flight up and half a flight down."""
    at, x = floor_above_ground(known), body.x0 + 4.6
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
