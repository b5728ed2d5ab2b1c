"""Which mark goes to which slot: the least total length of leaders, and shortest leaders do not cross."""

from __future__ import annotations

from collections.abc import Sequence

from .model import Point

EXACT = 90  # above this many marks a nearest-first choice is made instead


def match(dots: Sequence[Point], slots: Sequence[Point]) -> list[int]:
    """The slot of each dot. There must be at least as many slots as dots.

    >>> match([(0, 0), (10, 0)], [(9, 5), (1, 5), (50, 50)])
    [1, 0]
    """
    if len(dots) > len(slots):
        raise ValueError(f"{len(dots)} marks for {len(slots)} slots; make more slots")
    if len(dots) > EXACT:
        return _nearest(dots, slots)
    cost = [[((x - a) ** 2 + (y - b) ** 2) ** 0.5 for a, b in slots] for x, y in dots]
    return _assigned(cost)


def _assigned(cost: list[list[float]]) -> list[int]:
    """The Hungarian method with potentials: rows to columns at least total cost."""
    n, m = len(cost), len(cost[0]) if cost else 0
    u, v, owner, way = [0.0] * (n + 1), [0.0] * (m + 1), [0] * (m + 1), [0] * (m + 1)
    for row in range(1, n + 1):
        owner[0], at = row, 0
        least, used = [float("inf")] * (m + 1), [False] * (m + 1)
        while owner[at]:
            used[at] = True
            mine, step, nxt = owner[at], float("inf"), 0
            line, mine_u = cost[mine - 1], u[mine]
            for j in range(1, m + 1):
                if used[j]:
                    continue
                now = line[j - 1] - mine_u - v[j]
                if now < least[j]:
                    least[j], way[j] = now, at
                if least[j] < step:
                    step, nxt = least[j], j
            for j in range(m + 1):
                if used[j]:
                    u[owner[j]] += step
                    v[j] -= step
                else:
                    least[j] -= step
            at = nxt
        while at:
            owner[at], at = owner[way[at]], way[at]
    out = [0] * n
    for j in range(1, m + 1):
        if owner[j]:
            out[owner[j] - 1] = j - 1
    return out


def _nearest(dots: Sequence[Point], slots: Sequence[Point]) -> list[int]:
    free = set(range(len(slots)))
    out = []
    for x, y in dots:
        best = min(free, key=lambda j: ((slots[j][0] - x) ** 2 + (slots[j][1] - y) ** 2, j))
        free.remove(best)
        out.append(best)
    return out
