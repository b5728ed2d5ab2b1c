"""Which marks hang together on one leader, and how a bunch of them stands in its lane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, hypot

from .model import Mark, Point, Spot

BETWEEN = 6.0  # rim to rim inside a bunch
APART = 9.0  # rim to rim between bunches
BRACKET = 5.0  # rim to the bracket that holds a bunch together
SHALLOW, DEEP = 2, 8  # marks up to which a bunch is one row, up to which it is two; more are three


@dataclass(frozen=True, slots=True)
class Bunch:
    """One mark, or several of one zone. `members` are places in the list of findings, in the order of their numbers."""

    members: tuple[int, ...]
    dot: Point
    zone: str

    def shape(self, r: float, upright: bool, span: float) -> tuple[int, int]:
        """Along the lane and away from it: how many marks stand each way. `upright` lanes are two marks wide."""
        n = len(self.members)
        if n <= SHALLOW:
            return n, 1
        deep = 2 if upright or n <= DEEP else 3
        most = max(1, int((span + BETWEEN) / (2 * r + BETWEEN)))
        if not upright:
            deep = max(deep, ceil(n / most))
        return ceil(n / deep), deep

    def length(self, r: float, upright: bool, span: float) -> float:
        """How much of the lane it takes, rim to rim."""
        along, _ = self.shape(r, upright, span)
        return along * (2 * r + BETWEEN) - BETWEEN


def bunches(marks: Sequence[Mark], spots: Sequence[Spot], points: Sequence[Point], r: float) -> list[Bunch]:
    """Findings of one zone whose spots lie nearer together than their marks are wide hang on one leader."""
    groups: dict[int, list[int]] = {}
    for i, spot in enumerate(spots):
        groups.setdefault(spot.group, []).append(i)
    out = []
    for members in groups.values():
        members.sort(key=lambda i: (marks[i].number, i))
        at = [points[i] for i in members]
        near = min((hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(at)), default=0.0)
        if len(members) == 1 or near >= 2 * r + APART:
            out += [Bunch((i,), points[i], spots[i].zone) for i in members]
        else:
            out.append(Bunch(tuple(members), _beside_the_middle(at), spots[members[0]].zone))
    return sorted(out, key=lambda b: (marks[b.members[0]].number, b.members))


def _beside_the_middle(at: Sequence[Point]) -> Point:
    """One point for several: a little before their middle, where a wall between two rooms often stands."""
    (xa, ya), (xb, yb) = at[0], at[-1]
    return xa + (xb - xa) * 0.36, ya + (yb - ya) * 0.36
