"""Marks round the drawing: lanes on four sides, a leader with an elbow to the dot, nothing over anything else.

The dots lie in a rectangle, the lanes round it. A leader leaves its mark, or the bracket of its bunch, square to the
lane, turns at the edge of the rectangle and runs straight to its dot: so it can meet no mark but its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise

from .bunch import APART, BETWEEN, BRACKET, Bunch
from .match import match
from .model import Box, Mark, Placed, Point

STUB = 9.0  # rim to elbow
SIDES = ("left", "right", "above", "below")
OUT = {"left": (-1, 0), "right": (1, 0), "above": (0, -1), "below": (0, 1)}


@dataclass(slots=True)
class Lane:
    """One side: where it runs, and the bunches in it with their middles along it."""

    side: str
    low: float
    high: float
    r: float
    members: list[int] = field(default_factory=list)
    middles: list[float] = field(default_factory=list)

    @property
    def upright(self) -> bool:
        return self.side in ("left", "right")

    @property
    def span(self) -> float:
        return self.high - self.low

    def along(self, p: Point) -> float:
        """A point's place along this lane."""
        return p[1] if self.upright else p[0]

    def length(self, bunch: Bunch) -> float:
        return bunch.length(self.r, self.upright, self.span)

    def room(self, bunches: Sequence[Bunch]) -> float:
        """What is left of it; below zero where more hangs in it than fits."""
        return self.span - sum(self.length(bunches[k]) + APART for k in self.members) + APART

    def settle(self, bunches: Sequence[Bunch]) -> None:
        """Each bunch as near beside its dot as its neighbours allow, in the order in which they hang."""
        wide = [self.length(bunches[k]) for k in self.members]
        steps = [0.0]
        for a, b in pairwise(wide):
            steps.append(steps[-1] + (a + b) / 2 + APART)
        wanted = [self.along(bunches[k].dot) for k in self.members]
        bounds = (self.low + wide[0] / 2, self.high - wide[-1] / 2) if wide else (self.low, self.high)
        self.middles = spread(wanted, steps, *bounds) if wide else []


def lanes(ring: Box, r: float) -> dict[str, Lane]:
    """The four lanes round this rectangle, still empty."""
    return {
        side: Lane(side, ring.y0, ring.y1, r) if side in ("left", "right") else Lane(side, ring.x0, ring.x1, r)
        for side in SIDES
    }


def edge(ring: Box, side: str, along: float) -> Point:
    """Where a leader turns: on the edge of the rectangle."""
    return {"left": (ring.x0, along), "right": (ring.x1, along), "above": (along, ring.y0), "below": (along, ring.y1)}[
        side
    ]


def place(ring: Box, r: float, marks: Sequence[Mark], bunches: Sequence[Bunch]) -> tuple[Placed, ...] | None:
    """Each mark in its lane, in the order of `marks`; None where they do not fit at this size."""
    if not marks:
        return ()
    held = [Bunch(b.members, _within(ring, b.dot), b.zone) for b in bunches]
    four = lanes(ring, r)
    if not _shared_out(ring, r, held, four):
        return None
    for lane in four.values():
        lane.settle(held)
    _uncrossed(ring, held, four)
    out: dict[int, Placed] = {}
    for lane in four.values():
        for k, middle in zip(lane.members, lane.middles, strict=True):
            out |= _hung(ring, lane, held[k], middle, marks)
    return tuple(out[i] for i in range(len(marks)))


def _shared_out(ring: Box, r: float, bunches: Sequence[Bunch], four: dict[str, Lane]) -> bool:
    """Bunches to lanes by the shortest leaders of all their marks; False where there is no room for all."""
    pitch = 2 * r + APART
    slots = [(side, at) for side, lane in four.items() for at in _slots(lane.low, lane.high, r, pitch)]
    copies = [k for k, b in enumerate(bunches) for _ in range(max(b.shape(r, False, four["above"].span)[0], 1))]
    if len(copies) > len(slots):
        return False
    chosen = match([bunches[k].dot for k in copies], [edge(ring, *slot) for slot in slots])
    votes: list[dict[str, list[float]]] = [{} for _ in bunches]
    for k, j in zip(copies, chosen, strict=True):
        votes[k].setdefault(slots[j][0], []).append(slots[j][1])
    where: list[tuple[float, int]] = []
    for k, vote in enumerate(votes):
        side = max(vote, key=lambda s: (len(vote[s]), -SIDES.index(s)))
        if four[side].length(bunches[k]) > four[side].span:
            side = "below" if bunches[k].dot[1] > (ring.y0 + ring.y1) / 2 else "above"
        four[side].members.append(k)
        where.append((sum(vote.get(side, [0.0])) / max(len(vote.get(side, [])), 1), k))
    for lane in four.values():
        lane.members.sort(key=lambda k: (where[k][0] or lane.along(bunches[k].dot), k))
    return _evened(ring, bunches, four)


def _evened(ring: Box, bunches: Sequence[Bunch], four: dict[str, Lane]) -> bool:
    """Moves bunches out of lanes that are too full, those first that lose least by it."""
    for _ in range(4 * len(bunches)):
        full = next((lane for lane in four.values() if lane.room(bunches) < 0), None)
        if full is None:
            return True
        moves = [
            (_far(ring, other.side, bunches[k].dot) - _far(ring, full.side, bunches[k].dot), k, other.side)
            for k in full.members
            for other in four.values()
            if other is not full and other.room(bunches) > other.length(bunches[k]) + APART
        ]
        if not moves:
            return False
        _, k, side = min(moves)
        full.members.remove(k)
        four[side].members.append(k)
        four[side].members.sort(key=lambda m: (four[side].along(bunches[m].dot), m))
    return False


def _far(ring: Box, side: str, p: Point) -> float:
    return {"left": p[0] - ring.x0, "right": ring.x1 - p[0], "above": p[1] - ring.y0, "below": ring.y1 - p[1]}[side]


def _legs(ring: Box, bunches: Sequence[Bunch], four: dict[str, Lane]) -> list[tuple[str, int, Point, Point]]:
    return [
        (lane.side, n, edge(ring, lane.side, _attach(lane, bunches[k], middle)), bunches[k].dot)
        for lane in four.values()
        for n, (k, middle) in enumerate(zip(lane.members, lane.middles, strict=True))
    ]


def _crossings(ring: Box, bunches: Sequence[Bunch], four: dict[str, Lane]) -> list[tuple[str, int, str, int]]:
    legs = _legs(ring, bunches, four)
    return [
        (a[0], a[1], b[0], b[1])
        for i, a in enumerate(legs)
        for b in legs[i + 1 :]
        if _cross((a[2], a[3]), (b[2], b[3]))
    ]


def _uncrossed(ring: Box, bunches: Sequence[Bunch], four: dict[str, Lane]) -> None:
    """Where two leaders cross, their bunches change places, as long as that leaves fewer crossings."""
    left = _crossings(ring, bunches, four)
    for _ in range(24):
        if not left:
            return
        better = None
        for sa, a, sb, b in left[:12]:
            before = {s: (list(four[s].members), list(four[s].middles)) for s in {sa, sb}}
            one, two = four[sa], four[sb]
            one.members[a], two.members[b] = two.members[b], one.members[a]
            fits = one.room(bunches) >= 0 and two.room(bunches) >= 0
            if fits:
                one.settle(bunches)
                two.settle(bunches)
                now = _crossings(ring, bunches, four)
                if len(now) < len(left):
                    better = now
                    break
            for s, (members, middles) in before.items():
                four[s].members, four[s].middles = members, middles
        if better is None:
            better = _moved(ring, bunches, four, left)
        if better is None:
            return
        left = better


Pairs = list[tuple[str, int, str, int]]


def _moved(ring: Box, bunches: Sequence[Bunch], four: dict[str, Lane], left: Pairs) -> Pairs | None:
    """Where no change of places helps: one of two bunches whose leaders cross goes to another place in some lane."""
    for side, at in [end for sa, a, sb, b in left[:6] for end in ((sa, a), (sb, b))]:
        before = {s: (list(lane.members), list(lane.middles)) for s, lane in four.items()}
        k = four[side].members.pop(at)
        for lane in four.values():
            if lane.room(bunches) < lane.length(bunches[k]) + APART:
                continue
            for to in range(len(lane.members) + 1):
                lane.members.insert(to, k)
                lane.settle(bunches)
                four[side].settle(bunches)
                now = _crossings(ring, bunches, four)
                if len(now) < len(left):
                    return now
                lane.members.pop(to)
            lane.settle(bunches)
        for s, (members, middles) in before.items():
            four[s].members, four[s].middles = members, middles
    return None


def _attach(lane: Lane, bunch: Bunch, middle: float) -> float:
    """Where a leader leaves its bracket: beside its dot where the bracket reaches there."""
    half = max(lane.length(bunch) / 2 - lane.r, 0.0)
    return min(max(lane.along(bunch.dot), middle - half), middle + half)


def _hung(ring: Box, lane: Lane, bunch: Bunch, middle: float, marks: Sequence[Mark]) -> dict[int, Placed]:
    """The marks of one bunch: in reading order, the first of them with leader and bracket."""
    r, step = lane.r, 2 * lane.r + BETWEEN
    along, deep = bunch.shape(r, lane.upright, lane.span)
    start = middle - (along - 1) * step / 2
    x, y = OUT[lane.side]
    elbow = edge(ring, lane.side, _attach(lane, bunch, middle))
    several = len(bunch.members) > 1
    first = STUB + r + (BRACKET if several else 0.0)
    foot = (elbow[0] + x * STUB, elbow[1] + y * STUB)
    bracket: tuple[Point, ...] = ()
    if several:
        a, b = (edge(ring, lane.side, start + way * 0.5 * r + (along - 1) * step * (way > 0)) for way in (-1, 1))
        tip = STUB + BRACKET - 1
        bracket = tuple((p[0] + x * off, p[1] + y * off) for p, off in ((a, tip), (a, STUB), (b, STUB), (b, tip)))
    out = {}
    for n, i in enumerate(bunch.members):
        row, col = divmod(n, deep if lane.upright else along)
        at, off = (row, col) if lane.upright else (col, row)
        if lane.side in ("left", "above"):  # the first row is the one farthest from the house
            off = deep - 1 - off
        p = edge(ring, lane.side, start + at * step)
        out[i] = Placed(
            *(marks[i], p[0] + x * (first + off * step), p[1] + y * (first + off * step), r, elbow, bunch.dot),
            zone=bunch.zone,
            leader=() if n else (foot, elbow, bunch.dot),
            bracket=() if n else bracket,
            alone=not several,
        )
    return out


def _slots(a: float, b: float, r: float, pitch: float) -> list[float]:
    count = max(1, int((b - a - 2 * r) / pitch) + 1)
    start = (a + b) / 2 - (count - 1) * pitch / 2
    return [start + i * pitch for i in range(count)]


def _within(box: Box, p: Point) -> Point:
    return min(max(p[0], box.x0 + 1), box.x1 - 1), min(max(p[1], box.y0 + 1), box.y1 - 1)


def apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Positions in the given order, at least `gap` apart, as near to `wanted` as that allows, within low and high.

    >>> apart([10, 11, 50], 10, 0, 100)
    [5.5, 15.5, 50.0]
    """
    return spread(wanted, [k * gap for k in range(len(wanted))], low, high)


def spread(wanted: Sequence[float], steps: Sequence[float], low: float, high: float) -> list[float]:
    """As `apart`, where the k-th stands at least steps[k] beyond the first and so on.

    >>> spread([10, 11, 50], [0, 10, 30], 0, 100)
    [5.5, 15.5, 50.0]
    """
    blocks: list[list[float]] = []  # sum of (wanted - step), count
    for want, step in zip(wanted, steps, strict=True):
        blocks.append([want - step, 1])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] >= blocks[-1][0] / blocks[-1][1]:
            total, count = blocks.pop()
            blocks[-1][0] += total
            blocks[-1][1] += count
    top = high - (steps[-1] if steps else 0.0)
    out: list[float] = []
    for total, count in blocks:
        base = min(max(total / count, low), max(top, low))
        out += [base + steps[len(out) + j] for j in range(int(count))]
    return out


def crossing(placed: Sequence[Placed]) -> bool:
    """Whether any two leaders cross on their way from the edge of the rectangle to their dots."""
    legs = [(p.leader[-2], p.leader[-1]) for p in placed if p.leader]
    return any(_cross(a, b) for a, b in combinations(legs, 2))


def _cross(a: tuple[Point, Point], b: tuple[Point, Point]) -> bool:
    def turn(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (p, q), (r, s) = a, b
    return turn(p, q, r) * turn(p, q, s) < -1e-6 and turn(r, s, p) * turn(r, s, q) < -1e-6
