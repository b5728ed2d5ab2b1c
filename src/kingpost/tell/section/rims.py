"""Marks as ink: leaders, brackets and dots first, then the marks over them."""

from __future__ import annotations

from collections.abc import Sequence

from .model import Placed
from .pen import Look, num


def draw(look: Look, placed: Sequence[Placed], hit: float) -> str:
    """All marks. `hit`: radius of the area that answers a finger, 0 for none."""
    out, weight = [], look.weight["lead"]
    if lines := "".join(_path(p.leader) + _path(p.bracket) for p in placed):
        path = f'<path d="{lines}" fill="none" stroke-linejoin="round" '
        out.append(f'{path}stroke="{look.paper}" stroke-width="{num(weight * 2.6)}" stroke-opacity="0.8"/>')
        out.append(f'{path}stroke="{look.mark}" stroke-width="{weight:g}"/>')
    for p in placed:
        if p.leader:
            r = (6.0 if look.small else 3.4) * (1.0 if p.alone else 1.35)
            at = f'cx="{num(p.dot[0])}" cy="{num(p.dot[1])}" r="{num(r)}"'
            out.append(f'<circle {at} fill="{look.mark}" stroke="{look.paper}"/>')
    out += [_mark(look, p, hit) for p in placed]
    return "".join(out)


def _path(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{num(x)},{num(y)}" for x, y in points) if points else ""


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
