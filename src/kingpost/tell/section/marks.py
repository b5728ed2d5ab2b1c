"""Marks round the drawing: lanes on four sides, a leader with an elbow to the dot, nothing over anything else.

The dots lie in a rectangle, the lanes round it. A leader leaves its mark square to the lane, turns at the edge of the
rectangle and runs straight to its dot: so it can meet no mark but its own. Where one row of marks is too short, every
other mark moves out into a second row, and its leader passes between its neighbours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .match import match
from .model import Box, Mark, Placed, Point
from .pen import Look, num

STUB, CLEAR, ROWS_APART = 9.0, 3.5, 4.0  # rim to elbow; a leader to a neighbour's rim; one row of marks to the next
SIDES = ("left", "right", "above", "below")


@dataclass(frozen=True, slots=True)
class Lanes:
    """The slots of one drawing: side, place along the lane."""

    inner: Box
    r: float
    pitch: float
    slots: tuple[tuple[str, float], ...]
    rows: int = 1

    def elbow(self, side: str, along: float) -> Point:
        """Where a leader turns: on the edge of the inner rectangle."""
        i = self.inner
        return {"left": (i.x0, along), "right": (i.x1, along), "above": (along, i.y0), "below": (along, i.y1)}[side]

    def centre(self, side: str, along: float, row: int = 0) -> Point:
        """The middle of the mark in this slot."""
        x, y = self.elbow(side, along)
        off = STUB + self.r + row * (2 * self.r + ROWS_APART)
        way = {"left": (-1, 0), "right": (1, 0), "above": (0, -1), "below": (0, 1)}[side]
        return x + way[0] * off, y + way[1] * off


def pitch_of(r: float, rows: int) -> float:
    """From one mark of a lane to the next."""
    return 2 * r + 8 if rows == 1 else r + CLEAR


def capacity(inner: Box, r: float, rows: int) -> int:
    """How many marks the lanes round this rectangle hold."""
    return 2 * sum(len(_along(0.0, span, r, pitch_of(r, rows))) for span in (inner.x1 - inner.x0, inner.y1 - inner.y0))


def lanes(inner: Box, count: int, r: float, rows: int = 1) -> Lanes:
    """Slots for so many marks; where they are too few, marks move together, then shrink."""
    pitch = pitch_of(r, rows)
    while True:
        slots = [
            *(("left", y) for y in _along(inner.y0, inner.y1, r, pitch)),
            *(("right", y) for y in _along(inner.y0, inner.y1, r, pitch)),
            *(("above", x) for x in _along(inner.x0, inner.x1, r, pitch)),
            *(("below", x) for x in _along(inner.x0, inner.x1, r, pitch)),
        ]
        if len(slots) >= count * 1.1:
            return Lanes(inner, r, pitch, tuple(slots), rows)
        pitch *= 0.95
        r = min(r, pitch * 0.85 if rows > 1 else (pitch - 5) / 2 if pitch > 20 else pitch * 0.4)


def _along(a: float, b: float, r: float, pitch: float) -> list[float]:
    count = max(1, int((b - a - 2 * r) / pitch) + 1)
    start = (a + b) / 2 - (count - 1) * pitch / 2
    return [start + i * pitch for i in range(count)]


def place(lane: Lanes, marks: Sequence[Mark], dots: Sequence[tuple[str, Point]]) -> tuple[Placed, ...]:
    """Each mark in its slot, in the order of `marks`."""
    if not marks:
        return ()
    points = [_within(lane.inner, p) for _, p in dots]
    chosen = match(points, [lane.elbow(*slot) for slot in lane.slots])
    sides = [lane.slots[j][0] for j in chosen]
    along = [lane.slots[j][1] for j in chosen]
    for side in SIDES:
        _relax(lane, side, sides, along, points)
    row = _rows(lane, sides, along)
    out = []
    for i, mark in enumerate(marks):
        x, y = lane.centre(sides[i], along[i], row[i])
        out.append(Placed(mark, x, y, lane.r, lane.elbow(sides[i], along[i]), points[i], dots[i][0]))
    return tuple(out)


def _rows(lane: Lanes, sides: list[str], along: list[float]) -> list[int]:
    """The row of each mark: the inner one where it is free there, else the outer."""
    out = [0] * len(sides)
    if lane.rows == 1:
        return out
    for side in SIDES:
        last = float("-inf")
        for i in sorted((i for i, s in enumerate(sides) if s == side), key=lambda i: along[i]):
            out[i] = int(along[i] - last < 2 * lane.r + 2)
            last = last if out[i] else along[i]
    return out


def _within(box: Box, p: Point) -> Point:
    return min(max(p[0], box.x0 + 1), box.x1 - 1), min(max(p[1], box.y0 + 1), box.y1 - 1)


def _relax(lane: Lanes, side: str, sides: list[str], along: list[float], points: list[Point]) -> None:
    """Marks of one lane move toward their dots, in order and apart; where leaders would then cross, they stay."""
    members = sorted((i for i, s in enumerate(sides) if s == side), key=lambda i: along[i])
    if not members:
        return
    axis = 1 if side in ("left", "right") else 0
    i = lane.inner
    low, high = (i.y0, i.y1) if axis else (i.x0, i.x1)
    wanted = [min(max(points[m][axis], low + lane.r), high - lane.r) for m in members]
    moved = apart(wanted, lane.pitch, low + lane.r, high - lane.r)
    before = [along[m] for m in members]
    for m, at in zip(members, moved, strict=True):
        along[m] = at
    legs = [(lane.elbow(sides[k], along[k]), points[k]) for k in range(len(points))]
    if any(_cross(legs[m], legs[k]) for m in members for k in range(len(points)) if k != m):
        for m, at in zip(members, before, strict=True):
            along[m] = at


def apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Positions in the given order, at least `gap` apart, as near to `wanted` as that allows, within low and high.

    >>> apart([10, 11, 50], 10, 0, 100)
    [5.5, 15.5, 50.0]
    """
    blocks: list[list[float]] = []  # sum of (wanted - offset), count
    for k, want in enumerate(wanted):
        blocks.append([want - k * gap, 1])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] >= blocks[-1][0] / blocks[-1][1]:
            total, count = blocks.pop()
            blocks[-1][0] += total
            blocks[-1][1] += count
    n = len(wanted)
    top = high - (n - 1) * gap
    out: list[float] = []
    for total, count in blocks:
        base = min(max(total / count, low), max(top, low))
        out += [base + (len(out) + j) * gap for j in range(int(count))]
    return out


def _cross(a: tuple[Point, Point], b: tuple[Point, Point]) -> bool:
    def turn(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (p, q), (r, s) = a, b
    return turn(p, q, r) * turn(p, q, s) < -1e-6 and turn(r, s, p) * turn(r, s, q) < -1e-6


def draw(look: Look, placed: Sequence[Placed], hit: float) -> str:
    """Leaders and dots first, then the marks over them. `hit`: radius of the area that answers a finger, 0 for none."""
    out = []
    weight = look.weight["lead"]
    if placed:
        lines = []
        for p in placed:
            dx, dy = p.elbow[0] - p.x, p.elbow[1] - p.y
            length = (dx * dx + dy * dy) ** 0.5
            start = p.x + dx / length * p.r, p.y + dy / length * p.r
            lines.append(
                f"M{num(start[0])},{num(start[1])}L{num(p.elbow[0])},{num(p.elbow[1])}L{num(p.dot[0])},{num(p.dot[1])}"
            )
        path = f'<path d="{"".join(lines)}" fill="none" stroke-linejoin="round" '
        out.append(f'{path}stroke="{look.paper}" stroke-width="{num(weight * 2.6)}" stroke-opacity="0.8"/>')
        out.append(f'{path}stroke="{look.mark}" stroke-width="{weight:g}"/>')
        dot = f'r="{num(6.0 if look.small else 3.4)}" fill="{look.mark}" stroke="{look.paper}"'
        out += [f'<circle cx="{num(p.dot[0])}" cy="{num(p.dot[1])}" {dot}/>' for p in placed]
    out += [_mark(look, p, hit) for p in placed]
    return "".join(out)


def _mark(look: Look, p: Placed, hit: float) -> str:
    x, y, r, thick = num(p.x), num(p.y), p.r, p.r / 10
    full = p.mark.standing == "deficiency"
    if full:
        rim = f'<circle cx="{x}" cy="{y}" r="{num(r)}" fill="{look.mark}"/>'
    elif p.mark.standing == "recommendation":
        rim = "".join(
            f'<circle cx="{x}" cy="{y}" r="{num(at)}" fill="{look.paper}" stroke="{look.mark}" stroke-width="{w:.2f}"/>'
            for at, w in ((r - thick / 2, thick), (r * 0.77, thick * 0.75))
        )
    else:
        dash = 6.2832 * (r - thick / 2) / 18
        rim = (
            f'<circle cx="{x}" cy="{y}" r="{num(r - thick / 2)}" fill="{look.paper}" stroke="{look.mark}" '
            f'stroke-width="{thick * 1.15:.2f}" stroke-dasharray="{dash * 0.62:.2f} {dash * 0.38:.2f}"/>'
        )
    digits = len(str(p.mark.number))
    size = r * {1: 1.15, 2: 1.08}.get(digits, 0.82) * (0.84 if p.mark.standing == "recommendation" else 1.0)
    colour = look.on_mark if full else look.mark
    text = (
        f'<text x="{x}" y="{num(p.y + size * 0.36)}" font-size="{num(size)}" fill="{colour}" '
        f'text-anchor="middle">{p.mark.number}</text>'
    )
    if not (hit and p.mark.href):
        return rim + text
    target = f'<circle cx="{x}" cy="{y}" r="{num(hit)}" fill="none" pointer-events="all"/>'
    return f'<a href="{_safe(p.mark.href)}" aria-label="Finding {p.mark.number}">{target}{rim}{text}</a>'


def _safe(text: str) -> str:
    return text.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")
