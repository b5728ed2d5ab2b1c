"""Outside the walls: earth, the wall beyond, porch, deck, steps, dormers, chimney."""

from __future__ import annotations

from dataclasses import dataclass

from . import hatch
from .model import Body, House, Point
from .pen import Pen
from .shell import roof_inside


def earth(pen: Pen, house: House, x0: float, x1: float) -> None:
    """The ground line, heavy, and the strokes of earth under it."""

    def skip(x: float, h: float) -> bool:
        return any(p.x0 - 1.3 < x < p.x1 + 0.4 for b in house.bodies for p in b.below)

    hatch.earth(pen, house.ground_at, x0, x1, skip)
    for body in house.bodies:  # beside sunk walls and under rooms
        for part in body.below:
            low = min(part.bottom, body.base)
            if low > house.ground_at(part.x0) - 2.0 and low > house.ground_at(part.x1) - 2.0:
                continue
            for x, way in ((part.x0, -1), (part.x1, 1)):
                if not any(b.x0 < x + way < b.x1 for b in house.bodies):
                    _beside(pen, x + (0.5 if way > 0 else -1.6), house.ground_at(x) - 1.6, low - 0.6)
        for part in body.below:
            low = min(part.bottom, body.base) - (0.4 if part.kind in ("basement", "slab") else 0.0)
            hatch.earth(pen, lambda _, low=low: low, part.x0 + 1.8, part.x1 - 1.8, lambda *_: False)  # type: ignore[misc]


def _beside(pen: Pen, x: float, top: float, low: float) -> None:
    """Strokes in threes down the outside of a sunk wall."""
    h, i = top, 0
    while h > low:
        lean = 0.55 if i % 2 else -0.55
        for k in range(3):
            a = (x + 0.3 * k + (0.0 if lean > 0 else 0.55), h)
            pen.line("hatch", a, (a[0] + lean, a[1] - 0.62))
        h, i = h - 1.35, i + 1


def ground_line(pen: Pen, house: House, x0: float, x1: float) -> None:
    """The surface, broken where a body stands in it."""
    blocks = sorted((b.x0, b.x1) for b in house.bodies)
    stretches, x = [], x0
    for a, b in blocks:
        if a > x:
            stretches.append((x, a))
        x = max(x, b)
    stretches.append((x, x1))
    for a, b in stretches:
        inner = [p for p in house.ground if a < p[0] < b]
        pen.line("cut", (a, house.ground_at(a)), *inner, (b, house.ground_at(b)))
    for body in house.bodies:
        for part in body.below:
            if part.kind in ("piers", "blocks"):
                pen.line("cut", (part.x0, house.ground_at(part.x0)), (part.x1, house.ground_at(part.x1)))


def beyond(pen: Pen, house: House) -> None:
    """What stands behind the cut: the wall between row houses, and its chimneys."""
    if "party_wall" not in house.extra:
        return
    body = house.main
    top = body.roof.ridge[1] + 0.2
    pen.area(
        ((body.x0 + 1.2, top - 3), (body.x1 - 1.2, top - 4), (body.x1 - 1.2, top + 0.3), (body.x0 + 1.2, top + 0.9)),
        "beyond",
    )
    for x in stacks(house):
        pen.rect("beyond", x - 2.0, top, x + 2.0, top + 4.2)
        hatch.brick(pen, x - 2.0, top + 0.8, x + 2.0, top + 4.2, 0.42)
        pen.rect("beyond", x - 2.3, top + 4.2, x + 2.3, top + 4.6)
        for dx in (-1.2, 0.0, 1.2):
            pen.rect("beyond", x + dx - 0.35, top + 4.6, x + dx + 0.35, top + 5.6)


def stacks(house: House) -> tuple[float, float]:
    """Where the chimneys on the wall between row houses stand."""
    body = house.main
    return body.x0 + 0.3 * (body.x1 - body.x0), body.x0 + 0.72 * (body.x1 - body.x0)


def porch(pen: Pen, house: House) -> None:
    """Floor, post, beam, roof and steps; a stoop where the porch is short."""
    if not house.porch:
        return _stoop(pen, house)
    x0, x1, sure = house.porch
    left = x1 <= house.bodies[0].x0 + 0.1
    wall, edge, way = (x1, x0, -1) if left else (x0, x1, 1)
    beside = house.bodies[0] if left else house.bodies[-1]
    floor = (next((f.floor for f in beside.floors if f.level == "main"), beside.base)) - 0.45
    ground = house.ground_at(edge)
    dash = not sure
    if abs(edge - wall) >= 4.5:
        main = next((f for f in beside.floors if f.level == "main"), beside.floors[-1])
        high = min(beside.plates[0 if left else 1] - 0.1, main.ceiling + 1.6)
        low = high - abs(edge - wall) * 3 / 12
        eave = edge + way * 1.0
        pen.area(
            ((wall, high), (eave, low - 0.25), (eave, low - 0.7), (wall, high - 0.5)),
            "outline" if dash else "hatch",
            ink=not dash,
            dashed=dash,
        )
        post = edge - way * 0.7
        pen.rect("outline", post - 0.3, floor, post + 0.3, low - 1.2, dashed=dash)
        hatch.timber(pen, post - 0.35, low - 1.2, post + 0.35, low - 0.5)
        pen.rect("outline", post - 0.65, ground - 0.4, post + 0.65, floor - 0.6, dashed=dash)
        hatch.brick(pen, post - 0.65, ground - 0.4, post + 0.65, floor - 0.6, 0.42)
        pen.rect("outline", post - 1.0, ground - 1.0, post + 1.0, ground - 0.4, dashed=True)
        pen.line("beyond", (post, floor + 2.8), (wall, floor + 2.8))
        pen.line("beyond", (post, floor + 0.4), (wall, floor + 0.4))
        n = max(2, int(abs(post - wall) / 0.6))
        for i in range(1, n):
            x = post + (wall - post) * i / n
            pen.line("fine", (x, floor + 0.4), (x, floor + 2.8))
    else:
        pen.rect("outline", min(edge, wall), ground - 0.2, max(edge, wall), floor - 0.12, dashed=dash)
        pen.line("beyond", (edge, floor), (edge, floor + 2.8), (wall, floor + 2.8))
    pen.rect("outline", min(edge, wall), floor - 0.6, max(edge, wall), floor - 0.12, dashed=dash)
    pen.rect("", min(edge, wall), floor - 0.12, max(edge, wall), floor, ink=True)
    _steps(pen, edge, floor, ground, way)
    return None


def _stoop(pen: Pen, house: House) -> None:
    """Where a front door stands above the ground and nobody told of a porch: steps, dashed."""
    body = house.bodies[0]
    main = next((f for f in body.floors if f.level == "main"), None)
    if body.kind != "house" or not main or "landing" in house.extra:
        return
    ground = house.ground_at(body.x0 - 3)
    if main.floor - ground < 0.9 or (house.deck and house.deck[1] <= body.x0 + 0.1):
        return
    _steps(pen, body.x0, main.floor - 0.3, ground, -1, sure=False)


def _steps(pen: Pen, x: float, top: float, ground: float, way: int, sure: bool = True) -> None:
    n = max(1, round((top - ground) / 0.62))
    if n < 2:
        return
    rise, run = (top - ground) / n, 0.95
    path: list[Point] = [(x, top - rise)]
    if not sure:
        path = [(x, top - rise), (x + way * 2.2, top - rise)]
        x += way * 1.25
        path.append((x + way * 0.95, top - 2 * rise))
    for i in range(2 if not sure else 1, n):
        path += [(x + way * i * run, top - i * rise), (x + way * i * run, top - (i + 1) * rise)]
    pen.area((*path, (path[0][0], ground)), "outline", dashed=not sure)
    end = path[-1]
    if not sure:
        return
    pen.line("beyond", (x, top + 2.8), (end[0] - way * 0.4, end[1] + rise + 2.7))
    pen.line("beyond", (end[0] - way * 0.4, end[1]), (end[0] - way * 0.4, end[1] + rise + 2.7))


def deck(pen: Pen, house: House) -> None:
    """Boards, joists, ledger, beam and posts, a guard; steps down where it stands low."""
    if not house.deck:
        return
    x0, x1, sure = house.deck
    left = x1 <= house.bodies[0].x0 + 0.1
    wall, edge, way = (x1, x0, -1) if left else (x0, x1, 1)
    beside = house.bodies[0] if left else house.bodies[-1]
    floor = max(f.floor for f in beside.floors if f.level in ("main", "garage", "lower", "upper") and f.floor < 1) - 0.5
    ground = house.ground_at(edge)
    a, b = min(edge, wall), max(edge, wall)
    pen.rect("outline", a, floor - 0.85, b, floor - 0.12, dashed=not sure)
    pen.rect("", a, floor - 0.12, b, floor, ink=True)
    pen.rect("outline", min(wall, wall + way * 0.16), floor - 0.85, max(wall, wall + way * 0.16), floor - 0.12)
    high = floor - ground
    for post in (edge - way * 1.2, *((wall + way * 3.0,) if high > 5 else ())):
        hatch.timber(pen, post - 0.3, floor - 1.6, post + 0.3, floor - 0.85)
        if floor - 1.6 > ground:
            pen.rect("outline", post - 0.25, ground, post + 0.25, floor - 1.6)
        pen.rect("outline", post - 0.7, ground - 2.0, post + 0.7, ground, dashed=True)
        hatch.concrete(pen, post - 0.7, ground - 2.0, post + 0.7, ground)
    if high > 5:
        pen.line("beyond", (edge - way * 1.2, floor - 2.6), (edge - way * 3.4, floor - 0.9))
    pen.line("outline", (edge - way * 0.15, floor), (edge - way * 0.15, floor + 3.0), (wall, floor + 3.0))
    pen.line("beyond", (edge - way * 0.15, floor + 0.35), (wall, floor + 0.35))
    n = max(2, int((b - a) / 0.55))
    for i in range(1, n):
        pen.line("fine", (a + (b - a) * i / n, floor + 0.35), (a + (b - a) * i / n, floor + 3.0))
    if high < 6:
        _steps(pen, edge, floor, ground, way)


@dataclass(frozen=True, slots=True)
class Dormer:
    """One dormer in section: its front wall, and where its roof runs back into the slope."""

    face: float
    base: float
    head: float
    back: float
    way: int  # 1: it looks left; -1: it looks right


def dormer_of(body: Body, side: str) -> Dormer | None:
    """A dormer on this side of a roof, or None where the roof is too low for one."""
    way = 1 if side == "left" else -1
    wall = body.x0 if way > 0 else body.x1
    face = wall + way * 2.4
    base, ridge = body.roof.height(face), body.roof.ridge
    head = min(base + 5.2, ridge[1] - 2.0)
    if head - base < 2.8:
        return None
    back = face
    while body.roof.height(back) < head + 0.55 and abs(back - wall) < abs(ridge[0] - wall):
        back += way * 0.05
    return Dormer(face, base, head, back, way)


def dormers(pen: Pen, house: House) -> None:
    """A dormer cut through: its front wall with a window, its own roof running back into the slope."""
    body = house.tall
    for side in body.roof.dormers:
        if made := dormer_of(body, side):
            _dormer(pen, body, made)


def _dormer(pen: Pen, body: Body, made: Dormer) -> None:
    face, base, head, back, way = made.face, made.base, made.head, made.back, made.way
    gone = [(x, body.roof.height(x) + 0.4) for x in (face, back)] + [
        (x, roof_inside(body, x) - 0.12) for x in (back, face)
    ]
    pen.area(gone, "")
    inner = (back + way * 0.3, head + 0.7)
    low = ((inner[0] + way * 0.4, head + 0.1), (face - way * 1.0, head - 0.45))
    pen.area(((face - way * 1.0, head + 0.05), inner, *low), "hatch", ink=True)
    a, b = min(face, face + way * 0.5), max(face, face + way * 0.5)
    pen.rect("", a, base - 0.6, b, head, ink=True)
    pen.rect("", a - 0.02, base + 1.0, b + 0.02, head - 0.8)
    pen.line("outline", ((a + b) / 2, base + 1.0), ((a + b) / 2, head - 0.8))
    pen.line("beyond", (a - 0.15, base + 1.0), (b + 0.15, base + 1.0))
    pen.line("beyond", (a, base + 1.0), (a, head - 0.8))
    pen.line("beyond", (b, base + 1.0), (b, head - 0.8))
    pen.line("beyond", (b if way > 0 else a, head - 0.5), (back, head - 0.5))


def chimney(pen: Pen, house: House) -> None:
    """Stack, flue, cap and hearth, from its own footing to three feet above the ridge."""
    if not house.chimney:
        return
    x, sure = house.chimney
    body = next((b for b in house.bodies if b.x0 <= x <= b.x1), house.main)
    top = house.tall.roof.ridge[1] + 2.2
    under = [p.bottom for p in body.below if p.x0 <= x <= p.x1] or [p.bottom for p in body.below]
    low = min([*under, house.ground_at(x) - 0.4])
    main = next((f for f in body.floors if f.level == "main"), body.floors[0])
    pen.rect("outline", x - 1.9, low - 1.0, x + 1.9, low, dashed=True)
    pen.rect("outline", x - 1.25, low, x + 1.25, top, dashed=not sure)
    hatch.brick(pen, x - 1.25, low, x + 1.25, top)
    pen.rect("beyond", x - 0.42, main.floor + 5.4, x + 0.42, top)
    pen.rect("beyond", x - 0.95, main.floor + 0.3, x + 0.95, main.floor + 3.0)
    pen.line("beyond", (x - 0.95, main.floor + 3.0), (x - 0.42, main.floor + 5.4))
    pen.line("beyond", (x + 0.95, main.floor + 3.0), (x + 0.42, main.floor + 5.4))
    pen.rect("outline", x - 1.55, top, x + 1.55, top + 0.4)
    pen.rect("outline", x - 0.45, top + 0.4, x + 0.45, top + 1.2)
