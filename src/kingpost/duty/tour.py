"""The shortest way through the house past every gap: a visit order over a small graph of levels, rooms and sides."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kingpost.trade.model import LEVELS
from kingpost.trade.standards import Way

from .house import House

EXACT = 12  # stops up to which every order is weighed; beyond, the nearest next one, then mended pair by pair
FAR = 3600.0  # seconds where no way is known: such a stop comes last
Graph = dict[str, dict[str, float]]
Cost = Callable[[str, str], float]


@dataclass(frozen=True, slots=True)
class Tour:
    """The stops in order and how long the walking between them takes, in seconds."""

    stops: tuple[str, ...]
    seconds: float


def graph(house: House, ways: Mapping[str, Way]) -> Graph:
    """Levels joined by `ways`; rooms hang on their level, or on the rooms that visit.toml says they join."""
    out: Graph = {level: {} for level in LEVELS}

    def join(a: str, b: str, seconds: float) -> None:
        for x, y in ((a, b), (b, a)):
            known = out.setdefault(x, {})
            known[y] = min(seconds, known.get(y, seconds))

    for way in ways.values():
        a, _, b = way.id.partition("-")
        if b:
            join(a, b, way.seconds)
    room = ways["room"].seconds if "room" in ways else 0.0
    side = ways["side"].seconds if "side" in ways else 0.0
    keys = {r.key for r in house.rooms}
    for r in house.rooms:
        own = [j for j in r.joins if j in keys]
        for other in own:
            join(r.key, other, room)
        if not own and r.key not in LEVELS:
            join(r.level, r.key, room)
    sides = [s.key for s in house.sides]
    ring = [s for s in ("front", "right", "rear", "left") if s in sides]
    for n, one in enumerate(ring):
        if len(ring) > 1:
            join(one, ring[(n + 1) % len(ring)], side)
    if ring:
        join("grounds", ring[0], 0.0)
    return out


def distances(net: Graph, start: str) -> dict[str, float]:
    """Seconds from one node to every other that can be reached (Dijkstra)."""
    out: dict[str, float] = {}
    heap = [(0.0, start)]
    while heap:
        far, node = heapq.heappop(heap)
        if node in out:
            continue
        out[node] = far
        for other, step in net.get(node, {}).items():
            if other not in out:
                heapq.heappush(heap, (far + step, other))
    return out


def tour(net: Graph, start: str, stops: Iterable[str], end: str = "grounds") -> Tour:
    """The shortest walk from `start` past all stops to `end`. Ties fall to the order in which stops are given."""
    todo = list(dict.fromkeys(stops))
    if not todo:
        return Tour((), 0.0)
    far = {a: distances(net, a) for a in {start, *todo}}

    def cost(a: str, b: str) -> float:
        return far[a].get(b, FAR)

    order = (
        _exact(todo, start, end, cost) if len(todo) <= EXACT else _mended(_nearest(todo, start, cost), start, end, cost)
    )
    path = [start, *order, end]
    return Tour(tuple(order), sum(cost(a, b) for a, b in pairwise(path)))


def _exact(todo: Sequence[str], start: str, end: str, cost: Cost) -> list[str]:
    """Every order weighed (Held and Karp, 1962)."""
    n = len(todo)
    best: dict[tuple[int, int], tuple[float, int]] = {(1 << k, k): (cost(start, todo[k]), -1) for k in range(n)}
    for mask in range(1, 1 << n):
        for k in range(n):
            if (mask, k) not in best:
                continue
            here = best[mask, k][0]
            for j in range(n):
                if mask >> j & 1:
                    continue
                key, new = (mask | 1 << j, j), here + cost(todo[k], todo[j])
                if key not in best or new < best[key][0]:
                    best[key] = (new, k)
    mask = (1 << n) - 1
    last = min(range(n), key=lambda k: best[mask, k][0] + cost(todo[k], end))
    out = []
    while last >= 0:
        out.append(todo[last])
        mask, last = mask & ~(1 << last), best[mask, last][1]
    return out[::-1]


def _nearest(todo: Sequence[str], start: str, cost: Cost) -> list[str]:
    left, here, out = list(todo), start, []
    while left:
        here = min(left, key=lambda s: cost(here, s))
        left.remove(here)
        out.append(here)
    return out


def _mended(order: list[str], start: str, end: str, cost: Cost) -> list[str]:
    """Turns stretches round as long as that makes the way shorter."""
    better = True
    while better:
        better = False
        path = [start, *order, end]
        for a in range(1, len(path) - 2):
            for b in range(a + 1, len(path) - 1):
                now = cost(path[a - 1], path[a]) + cost(path[b], path[b + 1])
                new = cost(path[a - 1], path[b]) + cost(path[a], path[b + 1])
                if new < now - 1e-9:
                    path[a : b + 1] = path[a : b + 1][::-1]
                    better = True
        order = path[1:-1]
    return order
