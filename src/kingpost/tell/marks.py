"""Marks on a picture in the report: vectors with a white casing over the untouched photo, two at most.

The photo and its marks become one drawing, so that they print crisp and travel together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import atan2, cos, pi, sin
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from .glyphs import uri

if TYPE_CHECKING:
    from .pictures import Picture

MOST = 2  # more hide what they point at
INK, CASING = "#86176b", "#ffffff"  # tokens.css: --mark
Point = tuple[float, float]  # px
Box = tuple[float, float, float, float]  # left, top, right, bottom
LINE, AROUND, HEAD, LETTER = 0.008, 0.016, 0.035, 0.055  # shares of the longer side; a little more than a hair in print


def marked(picture: Picture, marks: Sequence[Mapping[str, Any]]) -> Picture:
    """The picture with its first two marks; the same picture where there are none."""
    if not marks:
        return picture
    w, h = picture.width, picture.height
    size = float(max(w, h))
    taken: list[Box] = []
    drawn = "".join(_drawn(mark, w, h, size, taken) for mark in marks[:MOST])
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 {w} {h}" '
        f'width="{w}" height="{h}"><image width="{w}" height="{h}" xlink:href="{picture.uri}"/>{drawn}</svg>'
    )
    return replace(picture, uri=uri(svg))


def says(marks: Sequence[Mapping[str, Any]]) -> str:
    """What the marks add, for those who do not see them: "Marked: ring, crack; line, 4.1 ± 0.2 in"."""
    told = [", ".join(filter(None, (str(m["shape"]), str(m["label"]), str(m["length"])))) for m in marks[:MOST]]
    return f"Marked: {'; '.join(told)}." if told else ""


def _drawn(mark: Mapping[str, Any], w: int, h: int, size: float, taken: list[Box]) -> str:
    points = [(float(x) * w, float(y) * h) for x, y in mark["points"]]
    path = _path(str(mark["shape"]), points, size)
    out = "".join(
        f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{wide * size:.1f}" stroke-linecap="round" '
        f'stroke-linejoin="round"/>'
        for colour, wide in ((CASING, AROUND), (INK, LINE))
    )
    words = " ".join(filter(None, (str(mark["length"]), str(mark["label"]))))
    near = points[:1] if mark["shape"] == "arrow" else points  # what an arrow says stands at its tail
    return out + (_words(words, near, w, h, size, taken) if words else "")


def _path(shape: str, points: Sequence[tuple[float, float]], size: float) -> str:
    (ax, ay), (bx, by) = points[0], points[-1]
    if shape == "ring":  # within the box of its points
        left, right = min(x for x, _ in points), max(x for x, _ in points)
        top, low = min(y for _, y in points), max(y for _, y in points)
        rx, ry, cy = max(1.0, (right - left) / 2), max(1.0, (low - top) / 2), (top + low) / 2
        return f"M{left:.1f},{cy:.1f}a{rx:.1f},{ry:.1f} 0 1 0 {2 * rx:.1f},0a{rx:.1f},{ry:.1f} 0 1 0 {-2 * rx:.1f},0z"
    if shape == "box":
        return f"M{ax:.1f},{ay:.1f}H{bx:.1f}V{by:.1f}H{ax:.1f}z"
    if shape == "point":
        r = HEAD * size / 2
        return f"M{ax - r:.1f},{ay:.1f}h{2 * r:.1f}M{ax:.1f},{ay - r:.1f}v{2 * r:.1f}"
    line = "M" + "L".join(f"{x:.1f},{y:.1f}" for x, y in points)
    before = points[-2]
    way = atan2(by - before[1], bx - before[0])
    if shape == "arrow":
        arms = [(bx - HEAD * size * cos(way + d), by - HEAD * size * sin(way + d)) for d in (pi / 7, -pi / 7)]
        return line + "".join(f"M{bx:.1f},{by:.1f}L{x:.1f},{y:.1f}" for x, y in arms)
    half = HEAD * size / 3  # a line ends in ticks, as a measure does
    ends = ((ax, ay), (bx, by))
    ticks = [(x - half * sin(way), y + half * cos(way), x + half * sin(way), y - half * cos(way)) for x, y in ends]
    return line + "".join(f"M{a:.1f},{b:.1f}L{c:.1f},{d:.1f}" for a, b, c, d in ticks)


def _words(words: str, points: Sequence[Point], w: int, h: int, size: float, taken: list[Box]) -> str:
    """Above the mark, or below it; within the picture, and not over other words where there is room."""
    letter = LETTER * size
    wide = 0.55 * letter * len(words)
    x = min(max(sum(x for x, _ in points) / len(points) - wide / 2, letter / 3), max(letter / 3, w - wide - letter / 3))
    over, under = min(y for _, y in points) - letter * 0.6, max(y for _, y in points) + letter * 1.4
    lines = [y for y in (over, under, over - 1.2 * letter, under + 1.2 * letter) if letter < y < h - letter / 3]
    free = [y for y in lines if not any(_meet((x, y - letter, x + wide, y + letter / 4), box) for box in taken)]
    y = (free or lines or [h - letter / 3])[0]
    taken.append((x, y - letter, x + wide, y + letter / 4))
    style = f'font-family="Overpass,Verdana,sans-serif" font-weight="700" font-size="{letter:.1f}"'
    at = f'x="{x:.1f}" y="{y:.1f}" {style}'
    return (
        f'<text {at} fill="none" stroke="{CASING}" stroke-width="{letter / 4:.1f}" stroke-linejoin="round">'
        f'{escape(words)}</text><text {at} fill="{INK}">{escape(words)}</text>'
    )


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
