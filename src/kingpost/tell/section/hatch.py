"""Hatches of drafting practice, drawn stroke by stroke so that every reader of SVG shows the same."""

from __future__ import annotations

from collections.abc import Callable

from .model import Point
from .pen import Pen, num


def siding(pen: Pen, x0: float, h0: float, x1: float, h1: float, course: float = 0.45) -> None:
    """Level lines of lapped boards."""
    count = int((h1 - h0) / course)
    for i in range(1, count + 1):
        h = h0 + i * course
        if h < h1 - 0.05:
            pen.line("hatch", (x0, h), (x1, h))


def brick(pen: Pen, x0: float, h0: float, x1: float, h1: float, course: float = 0.42) -> None:
    """Courses with staggered joints; as block where the course is high."""
    long = course * 2.6
    rows = max(1, round((h1 - h0) / course))
    step = (h1 - h0) / rows
    for i in range(rows):
        low = h0 + i * step
        if i:
            pen.line("hatch", (x0, low), (x1, low))
        x = x0 + (long / 2 if i % 2 else long)
        while x < x1 - 0.06:
            pen.line("hatch", (x, low), (x, low + step))
            x += long


def concrete(pen: Pen, x0: float, h0: float, x1: float, h1: float) -> None:
    """Dots and a few stones, spread by a fixed rule."""
    if not pen.look.weight["hatch"]:
        return
    n = max(2, int((x1 - x0) * (h1 - h0) * 7))
    dots = []
    for i in range(min(n, 400)):
        u, v = (0.5 + i * 0.6180339887) % 1.0, (0.5 + i * 0.7548776662) % 1.0  # low-discrepancy, no chance in it
        x, y = pen.at((x0 + 0.05 + u * (x1 - x0 - 0.1), h0 + 0.05 + v * (h1 - h0 - 0.1)))
        dots.append(f"M{num(x)},{num(y)}h1.1" if i % 9 else f"M{num(x)},{num(y)}l2.6,-3l1.6,3.2z")
    pen.stroke("hatch", "".join(dots))


def timber(pen: Pen, x0: float, h0: float, x1: float, h1: float) -> None:
    """A timber cut across: its end grain crossed."""
    pen.rect("outline", x0, h0, x1, h1)
    pen.line("fine", (x0, h0), (x1, h1))
    pen.line("fine", (x0, h1), (x1, h0))


def insulation(pen: Pen, x0: float, x1: float, h: float, thick: float = 0.55) -> None:
    """Scallops of a loose or batt filling lying on a ceiling."""
    count = max(1, round((x1 - x0) / 0.62))
    step = (x1 - x0) / count
    x, y = pen.at((x0, h))
    half, high = step * pen.scale / 2, thick * pen.scale * 2
    bump = f"q{num(half)},{num(-high)} {num(2 * half)},0"
    pen.stroke("insulation", f"M{num(x)},{num(y)}" + bump * count)


def earth(
    pen: Pen, surface: Callable[[float], float], x0: float, x1: float, skip: Callable[[float, float], bool]
) -> None:
    """Strokes in threes under the surface, turned by thirds, in two rows."""
    for row, depth in enumerate((0.35, 1.25)):
        step, i = 2.3, 0
        x = x0 + 0.4 + row * 1.1
        while x < x1 - 1.0:
            h = surface(x) - depth
            if not skip(x, h) and not skip(x + 1.0, h) and not skip(x + 0.5, h - 0.7):
                lean = 0.55 if i % 2 else -0.55
                for k in range(3):
                    a = (x + 0.3 * k, h) if lean > 0 else (x + 0.55 + 0.3 * k, h)
                    pen.line("hatch", a, (a[0] + lean, a[1] - 0.62))
            x, i = x + step, i + 1


def shingles(pen: Pen, a: Point, b: Point) -> None:
    """Butts of a roof covering along one slope."""
    run = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
    for i in range(1, int(run / 0.8)):
        t = i * 0.8 / run
        x, y = pen.at((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))
        pen.stroke("hatch", f"M{num(x)},{num(y)}v-3.4")
