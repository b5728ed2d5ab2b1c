"""What leads to what, as a drawing: numbered marks in columns, causes at the left, an arrow for each link."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from .rule import wrapped
from .section.lettering import width
from .section.pen import THEMES, num

WIDE, R, LETTERS = 372.0, 15.0, 11.0
ROW, MARGIN = 62.0, 26.0
LINES = 2  # of a name under its mark; more is cut off, the list beside it holds it all


@dataclass(frozen=True, slots=True)
class Node:
    """One finding: its mark, a short name, and the column it stands in."""

    id: str
    number: int
    standing: str
    name: str
    column: int


@dataclass(frozen=True, slots=True)
class Edge:
    """One arrow; solid where both ends were measured."""

    of: str
    to: str
    measured: bool


@dataclass(frozen=True, slots=True)
class Graph:
    """The drawing, and its sentence."""

    svg: str
    alt: str


def graph(nodes: Sequence[Node], edges: Sequence[Edge], theme: str = "light") -> Graph:
    """The drawing of a cause. Same nodes and edges, same bytes."""
    paper, ink, mark, on_mark, _ = THEMES[theme]
    at, high = _places(nodes)
    by = {n.id: n for n in nodes}
    out = [
        _arrow(at[e.of], at[e.to], e.measured, ink, [p for i, p in at.items() if i not in (e.of, e.to)]) for e in edges
    ]
    room = (WIDE - 2 * MARGIN) / max(1, max((n.column for n in nodes), default=0)) if nodes else WIDE
    out += [_mark(n, at[n.id], (paper, ink, mark, on_mark), min(room - 8, 110.0)) for n in nodes]
    leads: dict[int, list[int]] = {}
    for e in edges:
        leads.setdefault(by[e.of].number, []).append(by[e.to].number)
    said = [f"{a} leads to {_listed(sorted(b))}" for a, b in sorted(leads.items())]
    alt = f"Finding {'; '.join(said)}." if said else "No links."
    body = "".join(out)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="graph" viewBox="0 0 {WIDE:g} {num(high)}" role="img" '
        f'aria-label="{alt}" font-family="Routed, Overpass, sans-serif"><title>What leads to what</title>'
        f"<desc>{alt}</desc>{body}</svg>"
    )
    return Graph(svg, alt)


def _listed(numbers: Sequence[int]) -> str:
    words = [str(n) for n in numbers]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _places(nodes: Sequence[Node]) -> tuple[dict[str, tuple[float, float]], float]:
    """Columns side by side, each column's marks spread over the height of the tallest."""
    columns: dict[int, list[Node]] = {}
    for n in nodes:
        columns.setdefault(n.column, []).append(n)
    tallest = max((len(c) for c in columns.values()), default=1)
    high, last = ROW * tallest + 14, max(columns, default=0)
    at = {}
    for column, members in columns.items():
        x = 44 + (WIDE - 96) * column / last if last else WIDE / 2
        for k, n in enumerate(members):
            at[n.id] = (x, 22 + (high - 14) * (k + 0.5) / len(members) - ROW / 2 + 8)
    return at, high


def _arrow(
    a: tuple[float, float], b: tuple[float, float], solid: bool, ink: str, others: Sequence[tuple[float, float]]
) -> str:
    """From rim to rim; bowed where another mark stands in the way."""
    (x1, y1), (x2, y2) = a, b
    long = hypot(x2 - x1, y2 - y1) or 1.0
    ux, uy = (x2 - x1) / long, (y2 - y1) / long
    blocked = any(
        0 < (px - x1) * ux + (py - y1) * uy < long and abs((px - x1) * uy - (py - y1) * ux) < R + 6 for px, py in others
    )
    bow = 2.1 * R if blocked else 0.0
    cx, cy = (x1 + x2) / 2 + uy * bow, (y1 + y2) / 2 - ux * bow
    s = hypot(cx - x1, cy - y1) or 1.0
    e = hypot(x2 - cx, y2 - cy) or 1.0
    ex, ey = (x2 - cx) / e, (y2 - cy) / e
    sx, sy = x1 + (cx - x1) / s * (R + 2), y1 + (cy - y1) / s * (R + 2)
    tx, ty = x2 - ex * (R + 3), y2 - ey * (R + 3)
    dash = "" if solid else ' stroke-dasharray="5 3.5"'
    line = (
        f'<path d="M{num(sx)},{num(sy)}Q{num(cx)},{num(cy)} {num(tx - ex * 6)},{num(ty - ey * 6)}" fill="none" '
        f'stroke="{ink}" stroke-width="1.5"{dash}/>'
    )
    head = f"M{num(tx)},{num(ty)}l{num(-8 * ex - 3.6 * ey)},{num(-8 * ey + 3.6 * ex)}l{num(7.2 * ey)},{num(-7.2 * ex)}z"
    return f'{line}<path d="{head}" fill="{ink}"/>'


def _mark(n: Node, at: tuple[float, float], colours: tuple[str, str, str, str], room: float) -> str:
    paper, ink, mark, on_mark = colours
    x, y = at
    full = n.standing == "deficiency"
    dash = ' stroke-dasharray="5.2 3.3"' if n.standing == "information" else ""
    out = [
        f'<circle cx="{num(x)}" cy="{num(y)}" r="{R:g}" fill="{mark if full else paper}" stroke="{mark}" '
        f'stroke-width="1.6"{dash}/>'
    ]
    if n.standing == "recommendation":
        out.append(
            f'<circle cx="{num(x)}" cy="{num(y)}" r="{R - 3:g}" fill="none" stroke="{mark}" stroke-width="1.1"/>'
        )
    size = 12.0 if n.number < 100 else 9.5
    out.append(
        f'<text x="{num(x)}" y="{num(y + size * 0.36)}" font-size="{size:g}" fill="{on_mark if full else mark}" '
        f'text-anchor="middle">{n.number}</text>'
    )
    lines = wrapped(n.name, LETTERS, max(room, 44.0))
    lines = [*lines[: LINES - 1], lines[LINES - 1] + "…"] if len(lines) > LINES else lines
    for k, line in enumerate(lines):
        half = width(line, LETTERS) / 2
        left = min(max(x, half + 1), WIDE - half - 1)
        safe = line.replace("&", "&amp;").replace("<", "&lt;")
        base = y + R + 11 + k * 12
        out.append(
            f'<rect x="{num(left - half)}" y="{num(base - 9)}" width="{num(2 * half)}" height="11.5" fill="{paper}"/>'
            f'<text x="{num(left)}" y="{num(base)}" font-size="{LETTERS:g}" fill="{ink}" '
            f'text-anchor="middle">{safe}</text>'
        )
    return "".join(out)
