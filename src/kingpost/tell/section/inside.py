"""What stands in the rooms: stairs, windows beyond, a person for scale, equipment."""

from __future__ import annotations

from . import hatch
from .model import JOIST, Body, Floor, House, Point, Thing
from .pen import Pen, num
from .shell import roof_inside


def rooms(pen: Pen, house: House, body: Body) -> None:
    """Partitions, windows beyond and furniture of each storey; use is a guess, so only light."""
    if body.kind == "garage":
        return _garage(pen, body)
    for floor in body.floors:
        x0, x1 = body.x0 + 0.6, body.x1 - 0.6
        split = body.x0 + (body.x1 - body.x0) * 0.5
        front, rear = _free(house, x0, split), _free(house, split, x1)
        small = x1 - x0 < 15
        low = floor.ceiling - floor.floor < 6.8
        if floor.level == "upper" and roof_inside(body, body.x0 + 1) < floor.floor + 4:
            _knee_walls(pen, house, body, floor)
            continue
        if low:
            continue
        if not small and floor.level != "lower":
            pen.rect("", split - 0.2, floor.floor, split + 0.2, floor.ceiling, ink=True)
        if floor.level == "main" and body.kind == "house":
            _living(pen, *front, floor, small)
            closet = 2.6 * sum(t.zone == "main" and t.kind != "panel" for t in house.things)
            if closet:
                pen.box("beyond", split + 0.2, floor.floor, split + 0.5 + closet, floor.ceiling)
            start = (split if not small else (x0 + x1) / 2) + closet
            heads = [head[0] - 1.6 for foot, head in house.stairs if foot[1] == floor.floor and start < head[0] < x1]
            _kitchen(pen, *_free(house, max([start, *heads]), x1), floor)
        elif floor.level == "upper":
            _bedroom(pen, *front, floor)
            _bathroom(pen, *rear, floor)
        else:
            last = "landing" in house.extra and body.kind == "house"
            wall = _clear_wall(house, x0, x1, floor, last=last)
            if wall is not None:
                _window(pen, wall, floor.floor + 3.0, 3.2, 3.4)
    return None


def _free(house: House, x0: float, x1: float) -> Point:
    """The wider part of this stretch that no chimney stands before."""
    if not house.chimney or not x0 - 1.6 < house.chimney[0] < x1 + 1.6:
        return x0, x1
    before, behind = (x0, house.chimney[0] - 1.6), (house.chimney[0] + 1.6, x1)
    return max(before, behind, key=lambda part: part[1] - part[0])


def _clear_wall(house: House, x0: float, x1: float, floor: Floor, last: bool) -> float | None:
    """Where a window of 3.2 ft is hidden by no equipment, stairs or chimney."""
    taken = [(t.x - 1.3, t.x + 1.3) for t in house.things if t.zone == floor.level]
    taken += [(min(a[0], b[0]), max(a[0], b[0])) for a, b in house.stairs if floor.floor in (a[1], b[1])]
    if house.chimney:
        taken.append((house.chimney[0] - 1.6, house.chimney[0] + 1.6))
    places = [x0 + share * (x1 - x0) for share in (0.06, 0.2, 0.35, 0.5, 0.65, 0.8)]
    places = [x for x in places if x + 3.5 < x1] or [x0]
    places = places[::-1] if last else places
    return next((x for x in places if not any(a < x + 3.5 and x - 0.3 < b for a, b in taken)), None)


def _window(pen: Pen, x: float, sill: float, wide: float, high: float) -> None:
    pen.box("beyond", x, sill, x + wide, sill + high)
    pen.line("fine", (x, sill + high / 2), (x + wide, sill + high / 2))
    pen.box("fine", x + 0.22, sill + 0.22, x + wide - 0.22, sill + high - 0.22)
    pen.line("beyond", (x - 0.2, sill), (x + wide + 0.2, sill))


def _door(pen: Pen, x: float, floor: float) -> None:
    pen.box("beyond", x, floor, x + 2.7, floor + 6.8)
    pen.line(
        "fine",
        (x + 0.3, floor + 0.6),
        (x + 0.3, floor + 6.3),
        (x + 2.4, floor + 6.3),
        (x + 2.4, floor + 0.6),
        closed=True,
    )
    pen.line("fine", (x + 0.3, floor + 3.0), (x + 2.4, floor + 3.0))


def _living(pen: Pen, x0: float, x1: float, floor: Floor, small: bool) -> None:
    h, wide = floor.floor, x1 - x0
    _window(pen, x0 + wide * 0.22, h + 2.4, min(4.2, wide * 0.4), 4.5)
    if not small and wide > 11:
        sofa = x0 + wide * 0.2
        pen.box("beyond", sofa, h, sofa + 5.4, h + 1.3)
        pen.box("beyond", sofa, h, sofa + 0.6, h + 1.9)
        pen.box("beyond", sofa + 4.8, h, sofa + 5.4, h + 1.9)
    pen.line("fine", (x0, h + 0.5), (x1 - 0.2, h + 0.5))


def _kitchen(pen: Pen, x0: float, x1: float, floor: Floor) -> None:
    h, wide = floor.floor, x1 - x0
    a, b = x1 - min(wide - 2.2, 9.5), x1 - 0.1
    if b - a < 3:
        return
    pen.box("beyond", a, h, b, h + 3.0)
    pen.line("outline", (a - 0.1, h + 3.05), (b, h + 3.05))
    n = max(2, int((b - a) / 1.7))
    for i in range(1, n):
        pen.line("fine", (a + (b - a) * i / n, h + 0.3), (a + (b - a) * i / n, h + 3.0))
    pen.line("fine", (a, h + 0.3), (b, h + 0.3))
    pen.box("beyond", a, h + 4.6, a + (b - a) * 0.34, h + 7.2)
    pen.line("fine", (a + (b - a) * 0.17, h + 4.6), (a + (b - a) * 0.17, h + 7.2))
    _window(pen, a + (b - a) * 0.45, h + 3.9, (b - a) * 0.4, 3.0)


def _bedroom(pen: Pen, x0: float, x1: float, floor: Floor) -> None:
    h, wide = floor.floor, x1 - x0
    _window(pen, x0 + wide * 0.3, h + 2.8, min(3.4, wide * 0.36), 4.0)
    a = x0 + wide * 0.12
    pen.box("beyond", a, h + 0.6, a + 6.4, h + 1.9)
    pen.box("beyond", a, h, a + 0.3, h + 3.4)
    pen.line("fine", (a + 0.5, h + 1.9), (a + 0.9, h + 2.3), (a + 2.1, h + 2.3), (a + 2.3, h + 1.9))


def _bathroom(pen: Pen, x0: float, x1: float, floor: Floor) -> None:
    h, b = floor.floor, x1 - 0.2
    if b - x0 < 8.2:
        return
    pen.box("beyond", b - 5.0, h, b, h + 1.8)
    pen.line("fine", (b - 4.7, h + 1.8), (b - 4.4, h + 0.4), (b - 0.6, h + 0.4), (b - 0.3, h + 1.8))
    pen.box("beyond", b - 7.4, h, b - 6.2, h + 1.4)
    pen.box("beyond", b - 7.7, h + 1.4, b - 6.9, h + 2.8)
    if b - x0 > 11.5:
        pen.box("beyond", b - 10.4, h, b - 8.6, h + 2.7)
        pen.box("fine", b - 10.4, h + 3.6, b - 8.6, h + 6.2)


def _knee_walls(pen: Pen, house: House, body: Body, floor: Floor) -> None:
    """Rooms in the roof: short walls where it comes down, a window in the gable end beyond."""
    for way, side in ((1, "left"), (-1, "right")):
        if side in body.roof.dormers:
            continue
        x = body.x0 if way > 0 else body.x1
        while abs(x - body.middle) > 2 and roof_inside(body, x) < floor.floor + 4.4:
            x += way * 0.1
        pen.rect("", x - 0.16, floor.floor, x + 0.16, roof_inside(body, x) + 0.15, ink=True)
    x = body.middle - 1.7
    if house.chimney and abs(house.chimney[0] - body.middle) < 3.2:
        x = house.chimney[0] + 1.6
    _window(pen, x, floor.floor + 2.4, 3.4, 4.2)
    pen.box("beyond", body.middle + 3.6, floor.floor + 0.6, body.middle + 7.4, floor.floor + 1.9)
    pen.box("beyond", body.middle + 7.4, floor.floor, body.middle + 7.7, floor.floor + 3.2)


def stand(house: House) -> Point:
    """Where a person stands free: between the window and the middle wall of the room at the front."""
    body = house.main
    main = next((f for f in body.floors if f.level == "main"), body.floors[0])
    x0, split = body.x0 + 0.6, body.middle if body.x1 - body.x0 >= 16.2 else body.x1
    wide = split - x0
    seen = x0 + wide * 0.22 + min(4.2, wide * 0.4)
    sofa = x0 + wide * 0.2 + 5.4 if wide > 11 else seen
    x = min(max(seen, sofa) + 1.3, split - 1.3)
    taken = [t.x - 0.6 for t in house.things if t.zone == "main"]
    if house.chimney:
        taken.append(house.chimney[0] - 1.3)
    for edge in sorted((t for t in taken if -1.1 < x - t < 3.0), reverse=True):
        x = min(x, edge - 1.1)
    return x, main.floor


def person(pen: Pen, x: float, floor: float) -> None:
    """Five feet eight, a tone without an outline."""
    cx, y = pen.at((x, floor))
    u = pen.scale
    r, tall = num(0.33 * u), num(0.4 * u)
    head = f"M{num(cx - 0.33 * u)},{num(y - 5.28 * u)}" + "".join(
        f"a{r},{tall} 0 1 0 {num(way * 0.66 * u)},0" for way in (1, -1)
    )
    points: tuple[Point, ...] = (
        *(
            (-0.2, 4.85),
            (-0.72, 4.6),
            (-0.86, 3.9),
            (-0.84, 2.75),
            (-0.66, 2.7),
            (-0.56, 3.9),
            (-0.5, 2.8),
            (-0.46, 0.1),
        ),
        *((-0.62, 0.0), (-0.1, 0.0), (-0.02, 2.5), (0.06, 0.0), (0.6, 0.0), (0.44, 0.1), (0.5, 2.8), (0.56, 3.9)),
        *((0.66, 2.7), (0.84, 2.75), (0.86, 3.9), (0.72, 4.6), (0.2, 4.85)),
    )
    body = "M" + "L".join(f"{num(cx + a * u)},{num(y - b * u)}" for a, b in points) + "z"
    pen.raw(f'<path d="{head}z{body}" fill="{pen.look.ink}" fill-opacity="0.2"/>')


def landing(pen: Pen, house: House) -> None:
    """The landing inside the door of a bi-level, where its two half flights begin."""
    body = house.main
    at = house.stairs[0][1]
    pen.rect("", body.x0 + 0.5, at[1] - 0.15, at[0], at[1], ink=True)
    pen.rect("outline", body.x0 + 0.5, at[1] - 0.7, at[0], at[1] - 0.15)


def stairs(pen: Pen, foot: Point, head: Point) -> None:
    """One flight beyond, its steps counted from a rise of about seven and a half inches."""
    n = max(2, round(abs(head[1] - foot[1]) / 0.63))
    run, rise = (head[0] - foot[0]) / n, (head[1] - foot[1]) / n
    path = [foot]
    for i in range(n):
        path += [(foot[0] + i * run, foot[1] + (i + 1) * rise), (foot[0] + (i + 1) * run, foot[1] + (i + 1) * rise)]
    pen.line("beyond", *path)
    pen.line("beyond", (foot[0] + run, foot[1]), (head[0], head[1] - rise))
    pen.line("fine", (foot[0], foot[1] + 2.9), (foot[0] + run * n * 0.6, foot[1] + rise * n * 0.6 + 2.9))
    pen.line("fine", foot, (foot[0], foot[1] + 2.9))


def _garage(pen: Pen, body: Body) -> None:
    h, x0, x1 = body.base, body.x0 + 0.8, body.x1 - 0.8
    a = (x0 + x1) / 2 - 7.0
    k = min(1.0, (x1 - x0) / 15.5)
    car: tuple[Point, ...] = (
        *(
            (0.0, 1.1),
            (0.2, 2.5),
            (1.6, 3.0),
            (3.6, 3.3),
            (5.4, 4.7),
            (9.6, 4.8),
            (11.6, 3.4),
            (13.6, 3.0),
            (14.0, 2.4),
        ),
        (14.0, 1.1),
    )
    pen.line("beyond", *((a + x * k, h + y) for x, y in car), closed=True)
    pen.line(
        "fine",
        (a + 4.3 * k, h + 3.4),
        (a + 5.8 * k, h + 4.4),
        (a + 9.3 * k, h + 4.45),
        (a + 10.8 * k, h + 3.4),
        closed=True,
    )
    for wheel in (2.8, 11.2):
        pen.ring("beyond", a + wheel * k, h + 1.05, 1.0, filled=True)
        pen.ring("fine", a + wheel * k, h + 1.05, 0.5)


def thing(pen: Pen, house: House, it: Thing) -> None:
    """One piece of equipment; dashed where its place is only the usual one."""
    draw = {"furnace": _furnace, "water_heater": _heater, "panel": _panel, "condenser": _condenser}[it.kind]
    draw(pen, house, it)


def _furnace(pen: Pen, house: House, it: Thing) -> None:
    x, h, no = it.x, it.floor, not it.sure
    if it.zone in ("attic", "crawl"):  # lying on its side, with a duct to each end
        up = h + (0.25 if it.zone == "attic" else 0.15)
        high = min(1.9, max(0.9, _clear(house, it) - 0.6))
        pen.line("outline", (x - 3.2, up - 0.12), (x + 3.2, up - 0.12))
        pen.rect("outline", x - 2.2, up, x + 2.2, up + high, dashed=no)
        pen.line("beyond", (x - 0.4, up), (x - 0.4, up + high))
        for way in (-1, 1):
            pen.line("beyond", (x + way * 2.2, up + 0.35), (x + way * 5.0, up + 0.2))
            pen.line("beyond", (x + way * 2.2, up + high - 0.3), (x + way * 5.0, up + high * 0.62))
        return
    pen.rect("outline", x - 1.0, h + 0.1, x + 1.0, h + 4.6, dashed=no)
    pen.line("beyond", (x - 1.0, h + 2.4), (x + 1.0, h + 2.4))
    pen.box("fine", x - 0.7, h + 0.5, x + 0.7, h + 2.0)
    top = h + min(6.4, _clear(house, it) - 0.3)
    pen.line("beyond", (x - 0.7, h + 4.6), (x - 0.7, top), dashed=no)
    pen.line("beyond", (x + 0.7, h + 4.6), (x + 0.7, top), dashed=no)
    end = x + 6.0
    if house.chimney and x < house.chimney[0] < end + 1.25:
        end = house.chimney[0] - 1.25
    if it.zone == "lower" and it.sure and end > x + 1.5:
        pen.box("beyond", x + 0.7, top - 0.9, end, top)


def _clear(house: House, it: Thing) -> float:
    if it.zone == "crawl":
        return max(1.4, -JOIST - it.floor)
    return 7.0


def _heater(pen: Pen, house: House, it: Thing) -> None:
    x, h, no = it.x, it.floor, not it.sure
    if it.zone in ("attic", "crawl"):
        pen.rect("outline", x - 1.4, h + 0.2, x + 1.4, h + 1.5, dashed=no)
        return
    pen.rect("outline", x - 0.8, h + 0.3, x + 0.8, h + 4.9, dashed=no)
    pen.line("fine", (x - 0.8, h + 4.4), (x + 0.8, h + 4.4))
    pen.line("fine", (x - 0.8, h + 0.8), (x + 0.8, h + 0.8))
    pen.box("beyond", x - 0.3, h + 0.9, x + 0.3, h + 1.5)
    for dx in (-0.4, 0.4):
        pen.line("beyond", (x + dx, h + 4.9), (x + dx, h + 6.4), dashed=True)


def _panel(pen: Pen, house: House, it: Thing) -> None:
    pen.rect("outline", it.x - 0.6, it.floor + 3.6, it.x + 0.6, it.floor + 6.0, dashed=not it.sure)
    pen.line("fine", (it.x, it.floor + 3.9), (it.x, it.floor + 5.7))


def _condenser(pen: Pen, house: House, it: Thing) -> None:
    h = house.ground_at(it.x)
    pen.rect("outline", it.x - 1.5, h, it.x + 1.5, h + 0.3)
    pen.rect("outline", it.x - 1.2, h + 0.3, it.x + 1.2, h + 2.8)
    for i in range(1, 6):
        pen.line("fine", (it.x - 1.2, h + 0.3 + i * 0.4), (it.x + 1.2, h + 0.3 + i * 0.4))


def attic(pen: Pen, body: Body) -> None:
    """Insulation on the ceiling and the framing under the ridge."""
    if body.roof.kind in ("flat", "a-frame") or body.kind == "garage":
        return
    ceiling = body.floors[-1].ceiling + 0.34
    xs = [body.x0 + 0.8 + i * 0.2 for i in range(int((body.x1 - body.x0 - 1.6) / 0.2) + 1)]
    inside = [x for x in xs if roof_inside(body, x) > ceiling + 0.45]
    if not inside or inside[-1] - inside[0] < 1:
        return
    hatch.insulation(pen, inside[0], inside[-1], ceiling)
    x, top = body.roof.ridge[0], roof_inside(body, body.roof.ridge[0])
    if body.roof.kind in ("gable", "hip") and top - ceiling > 3 and body.kind == "house":
        pen.rect("outline", x - 0.14, top - 0.55, x + 0.14, top + 0.3)
        tie = ceiling + (top - ceiling) * 0.62
        a = next((v for v in inside if roof_inside(body, v) > tie), x - 1)
        b = next((v for v in reversed(inside) if roof_inside(body, v) > tie), x + 1)
        pen.line("beyond", (a, tie), (b, tie))
        pen.line("beyond", (a - 0.15, tie - 0.35), (b + 0.15, tie - 0.35))
