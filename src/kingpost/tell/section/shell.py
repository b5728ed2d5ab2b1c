"""The cut house: walls, floors, roofs, what it stands on. Cut parts are solid ink."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

from . import hatch
from .model import JOIST, SKIN, WALL, Below, Body, House, Point
from .pen import Pen


def underside(body: Body, lift: float = 0.0) -> tuple[Point, ...]:
    """The roof's lower face: its outer face let down by its thickness."""
    out = []
    top = body.roof.top
    for i, (x, h) in enumerate(top):
        slopes = [abs(b[1] - a[1]) / max(b[0] - a[0], 0.01) for a, b in pairwise(top)]
        near = slopes[max(0, i - 1) : i + 1] or slopes[:1]
        drop = SKIN * max(hypot(1.0, min(s, 3.0)) for s in near)
        out.append((x, h - drop + lift))
    return tuple(out)


def roof_inside(body: Body, x: float) -> float:
    """Height of the roof's lower face over x."""
    low = underside(body)
    if x <= low[0][0]:
        return low[0][1]
    for (xa, ha), (xb, hb) in pairwise(low):
        if xa <= x <= xb and xb > xa:
            return ha + (hb - ha) * (x - xa) / (xb - xa)
    return low[-1][1]


def excavations(pen: Pen, house: House) -> None:
    """Paper over the ground where rooms are: basements, crawl spaces, sunk floors."""
    for body in house.bodies:
        for below in body.below:
            top = body.base
            if below.kind == "slab":
                top = body.base + 6.0
            pen.area(((below.x0, below.bottom), (below.x1, below.bottom), (below.x1, top), (below.x0, top)))


def roof(pen: Pen, body: Body) -> None:
    """The roof, its eaves and covering."""
    if body.roof.kind == "flat":
        return _flat(pen, body)
    low = underside(body)
    dashed = not body.sure
    shape = (*body.roof.top, *reversed(low))
    if dashed:
        pen.area(shape, "outline", dashed=True)
    else:
        pen.area(shape, "hatch", ink=True)
        for a, b in zip(body.roof.top, body.roof.top[1:], strict=False):
            hatch.shingles(pen, a, b)
        _gutters(pen, body)
    return None


def _gutters(pen: Pen, body: Body) -> None:
    ends = ((body.roof.top[0], -1, body.joined[0]), (body.roof.top[-1], 1, body.joined[1]))
    for (x, h), way, joined in ends:
        wall = body.x0 if way < 0 else body.x1
        if joined or body.roof.kind == "a-frame" or abs(x - wall) < 0.05:
            continue
        cup = (
            (x, h - 0.1),
            (x + way * 0.42, h - 0.1),
            (x + way * 0.38, h - 0.46),
            (x + way * 0.08, h - 0.52),
            (x, h - 0.5),
        )
        pen.area(cup, "outline")
        if abs(x - wall) > 0.4:  # soffit
            pen.line("outline", (x, h - 0.6), (wall, h - 0.6))


def _flat(pen: Pen, body: Body) -> None:
    (x0, front), (x1, rear) = body.roof.top[0], body.roof.top[-1]
    deck = body.floors[-1].ceiling + 1.5
    pen.area(((x0, deck), (x1, deck - 0.6), (x1, deck - 1.1), (x0, deck - 0.5)), "hatch", ink=True)
    for x, h, way in ((x0, front, 1), (x1, rear, -1)):
        high = h + (0.8 if way > 0 else -0.4)
        pen.area(((x, deck - 0.6), (x + way * 0.9, deck - 0.6), (x + way * 0.9, high), (x, high)), "hatch", ink=True)
        pen.rect("outline", min(x - 0.15, x + way * 1.05), high, max(x - 0.15, x + way * 1.05), high + 0.25)
    cornice = (
        (x0, front + 0.7),
        (x0 - 1.4, front + 0.55),
        (x0 - 1.4, front + 0.1),
        (x0 - 0.8, front - 0.5),
        (x0, front - 1.1),
    )
    pen.area(cornice, "outline")
    pen.line("beyond", (x0 - 1.3, front + 0.1), (x0, front + 0.1))


def walls(pen: Pen, house: House, body: Body) -> None:
    """Outer walls with an opening in each where one would be, plates and partitions."""
    thick = WALL * (2.0 if body.masonry else 1.0)
    if body.roof.kind == "a-frame":
        return
    for side in (0, 1):
        if body.joined[side]:
            continue
        x = body.x0 if not side else body.x1 - thick
        top = min(body.plates[side], body.roof.height(x + thick / 2)) - 0.3
        low = body.base - (JOIST if body.below[0].kind != "slab" else 0.0)
        ground = house.ground_at(body.x1 if side else body.x0)
        if body.below[0].kind == "slab" and ground > body.base + 1.0:
            low = ground + 0.5  # below that it is masonry
        if body.sure:
            pen.rect("", x, low, x + thick, top, ink=True)
        else:
            pen.rect("outline", x, low, x + thick, top, dashed=True)
        for floor in body.floors:
            if (
                body.kind == "garage"
                or floor.ceiling - floor.floor < 6.8
                or (floor.level == "upper" and top < floor.floor + 6.5)
            ):
                continue
            door = floor.level == "main" and side == 0 and body.kind == "house" and "landing" not in house.extra
            door = door or (floor.level == "lower" and side == 1 and ground < floor.floor)
            door = door or (floor.level == "main" and _opens_on_a_deck(house, body, side))
            sill, head = (0.0 if door else 2.6), 6.9
            if "landing" in house.extra and floor.level == "lower" and not side:  # the door at the landing
                sill, head, door = ground + 0.5 - floor.floor, ground + 7.2 - floor.floor, True
            elif floor.floor + sill < ground - 0.3:
                sill, head = ground + 0.9 - floor.floor, 6.6
                if head - sill < 1.5:
                    continue
            _opening(pen, x, thick, floor.floor + sill, floor.floor + head, door=door)


def _opens_on_a_deck(house: House, body: Body, side: int) -> bool:
    edges = [e for span in (house.deck, house.porch) if span for e in span[:2]]
    return any(abs((body.x1 if side else body.x0) - e) < 0.1 for e in edges)


def _opening(pen: Pen, x: float, thick: float, sill: float, head: float, door: bool) -> None:
    pen.rect("", x - 0.02, sill, x + thick + 0.02, head)
    if door:
        pen.line("beyond", (x + 0.08, sill), (x + 0.08, head))
        pen.line("beyond", (x + thick - 0.08, sill), (x + thick - 0.08, head))
    else:
        pen.line("outline", (x + thick / 2, sill), (x + thick / 2, head))
        pen.line("beyond", (x - 0.12, sill), (x + thick + 0.12, sill))
        pen.line("beyond", (x, sill), (x, head))
        pen.line("beyond", (x + thick, sill), (x + thick, head))


def floors(pen: Pen, body: Body) -> None:
    """Floors and ceilings: finish in ink, joists below it, the ceiling lined."""
    x0, x1 = body.x0, body.x1
    base = body.below[0].kind
    for i, floor in enumerate(body.floors):
        if i or base != "slab":
            depth = JOIST - (0.15 if not i else 0.0)
            pen.rect("outline", x0 + 0.02, floor.floor - depth, x1 - 0.02, floor.floor, dashed=not body.sure)
            joist = x0 + 1.33
            while joist < x1 - 0.6 and not pen.look.small:
                pen.line("fine", (joist, floor.floor - depth), (joist, floor.floor - 0.12))
                joist += 4.0
            pen.rect("", x0, floor.floor - 0.14, x1, floor.floor, ink=True)
    if body.kind == "garage":
        return None
    top = body.floors[-1]
    left, right = _reach(body, top.ceiling)
    if not body.sure:
        return pen.line("outline", (left, top.ceiling), (right, top.ceiling), dashed=True)
    high = top.ceiling + 0.32
    a, b = _reach(body, high)
    upper = ((b, high), (a, high)) if left <= a < b <= right else ()
    pen.area(((left, top.ceiling), (right, top.ceiling), *upper), "outline")
    return None


def _reach(body: Body, h: float) -> Point:
    """From where to where a ceiling at h runs before it meets the roof or the walls."""
    steps = 120
    xs = [body.x0 + (body.x1 - body.x0) * i / steps for i in range(steps + 1)]
    under = [x for x in xs if roof_inside(body, x) > h] or [body.middle - 1, body.middle + 1]
    return max(under[0], body.x0 + 0.2), min(under[-1], body.x1 - 0.2)


def below(pen: Pen, house: House, body: Body) -> None:
    """Foundation of one body. Footings are hidden in the ground and so are dashed."""
    for part in body.below:
        ends = (
            not (body.joined[0] and part.x0 == body.x0),
            not (body.joined[1] and part.x1 == body.x1),
        )
        if part.kind in ("basement", "crawl"):
            _stem_walls(pen, body, part, ends)
        elif part.kind == "slab":
            _slab(pen, house, body, part, ends)
        else:
            _piers(pen, body, part)


def _stem_walls(pen: Pen, body: Body, part: Below, ends: tuple[bool, bool]) -> None:
    thick, top = 0.8, body.base - JOIST + 0.1
    deep = part.kind == "basement"
    low = part.bottom if deep else min(part.bottom - 0.6, body.base - JOIST - 2.4)
    for x, there in ((part.x0, ends[0]), (part.x1 - thick, ends[1] or len(body.below) > 1)):
        if not there:
            continue
        pen.rect("cut", x, low, x + thick, top, dashed=not body.sure)
        hatch.brick(pen, x, low, x + thick, top, 0.66)
        _footing(pen, x - 0.5, low - 0.7, x + thick + 0.5, low)
        timber_top = top + 0.02
        pen.rect("outline", x + 0.1, timber_top - 0.02, x + thick - 0.1, timber_top + 0.12)
    middle = (part.x0 + part.x1) / 2
    if deep:
        pen.rect("cut", part.x0 + thick, part.bottom - 0.34, part.x1 - thick, part.bottom)
        hatch.concrete(pen, part.x0 + thick, part.bottom - 0.34, part.x1 - thick, part.bottom)
        _girder(pen, middle, top, part.bottom)
        _footing(pen, middle - 1.0, part.bottom - 1.1, middle + 1.0, part.bottom - 0.34)
    else:
        pen.line("outline", (part.x0 + thick, part.bottom), (part.x1 - thick, part.bottom))
        for x in _spaced(part.x0, part.x1, 9.0):
            _pier(pen, x, part.bottom, top)


def _girder(pen: Pen, x: float, top: float, floor: float) -> None:
    hatch.timber(pen, x - 0.3, top - 0.75, x + 0.3, top)
    pen.rect("outline", x - 0.14, floor, x + 0.14, top - 0.75)
    pen.line("outline", (x - 0.4, floor + 0.05), (x + 0.4, floor + 0.05))


def _spaced(x0: float, x1: float, apart: float) -> list[float]:
    n = max(1, round((x1 - x0) / apart) - 1)
    return [x0 + (x1 - x0) * (i + 1) / (n + 1) for i in range(n)]


def _pier(pen: Pen, x: float, ground: float, top: float, *, post: bool = False) -> None:
    """A pier of masonry under a timber, or a post on a deep footing."""
    hatch.timber(pen, x - 0.27, top - 0.55, x + 0.27, top)
    if post:
        pen.rect("outline", x - 0.25, ground, x + 0.25, top - 0.55)
        _footing(pen, x - 0.7, ground - 2.0, x + 0.7, ground)
        return
    pen.rect("outline", x - 0.62, ground - 0.4, x + 0.62, top - 0.55)
    hatch.brick(pen, x - 0.62, ground - 0.4, x + 0.62, top - 0.55, 0.4)
    _footing(pen, x - 1.0, ground - 1.0, x + 1.0, ground - 0.4)


def _footing(pen: Pen, x0: float, h0: float, x1: float, h1: float) -> None:
    pen.rect("outline", x0, h0, x1, h1, dashed=True)
    hatch.concrete(pen, x0, h0, x1, h1)


def _slab(pen: Pen, house: House, body: Body, part: Below, ends: tuple[bool, bool]) -> None:
    top = body.base
    pen.rect("cut" if body.sure else "outline", part.x0, top - 0.36, part.x1, top, dashed=not body.sure)
    hatch.concrete(pen, part.x0, top - 0.36, part.x1, top)
    for x, way, there in ((part.x0, 1, ends[0]), (part.x1, -1, ends[1])):
        if not there:
            continue
        ground = house.ground_at(x)
        if ground > top + 1.0:  # the ground stands against the wall: it is masonry up to there
            pen.rect("cut", min(x, x + way * 0.8), top - 0.36, max(x, x + way * 0.8), ground + 0.5)
            hatch.brick(pen, min(x, x + way * 0.8), top, max(x, x + way * 0.8), ground + 0.5, 0.66)
        _footing(pen, min(x - way * 0.3, x + way * 1.1), top - 1.6, max(x - way * 0.3, x + way * 1.1), top - 0.36)


def _piers(pen: Pen, body: Body, part: Below) -> None:
    top = body.base - JOIST + 0.15
    if part.kind == "blocks":  # a steel frame on block piers, a skirt that carries nothing
        for x in _spaced(part.x0 - 3, part.x1 + 3, 8.0):
            pen.line("cut", (x - 0.35, top), (x + 0.35, top))
            pen.line("outline", (x, top), (x, top - 0.75))
            pen.line("cut", (x - 0.35, top - 0.75), (x + 0.35, top - 0.75))
            pen.rect("outline", x - 0.62, part.bottom + 0.2, x + 0.62, top - 0.95)
            hatch.brick(pen, x - 0.62, part.bottom + 0.2, x + 0.62, top - 0.95, 0.62)
            pen.rect("outline", x - 0.62, top - 0.95, x + 0.62, top - 0.75)
            pen.rect("outline", x - 1.0, part.bottom - 0.15, x + 1.0, part.bottom + 0.2)
            pen.line("beyond", (x - 0.3, top - 0.8), (x - 1.5, part.bottom - 0.4), dashed=True)  # tie-down
        pen.line("beyond", (part.x0 + 0.3, top - 0.12), (part.x1 - 0.3, top - 0.12))  # the belly board
        for x in (part.x0, part.x1):
            pen.line("outline", (x, part.bottom - 0.1), (x, top + 0.1))
        return
    post = body.kind == "addition" and top - part.bottom > 4.0  # far above the ground
    for x in (part.x0 + 0.7, *_spaced(part.x0, part.x1, 8.0), part.x1 - 0.7):
        _pier(pen, x, part.bottom, top, post=post)
