"""Lettering round the house: dimension lines under it, heights beside it, and what was not measured."""

from __future__ import annotations

from itertools import pairwise

from . import lettering, marks
from .frame import EDGE, LETTERS, WIDE, Frame, column, height_words
from .model import Box, House
from .pen import Look, num
from .says import listed

SHORT = {"height of the floor above the ground": "floor above ground"}  # as the line under the drawing says it


def dimensions(pen_look: Look, house: House, frame: Frame, bottom: float, words: list[str], labels: list[Box]) -> float:
    """Dimension lines under the house; returns the lowest point used. Dashed where nobody measured."""
    ox = frame.origin[0]
    line = bottom + LETTERS * 1.9
    rows = [float("-inf")] * 3
    lowest = line
    for x0, x1, text, measured in house.labels:
        a, b = ox + x0 * frame.scale, ox + x1 * frame.scale
        dash = "" if measured else ' stroke-dasharray="7 5"'
        words.append(
            f'<path d="M{num(a)},{num(line)}H{num(b)}" fill="none" stroke="{pen_look.ink}" stroke-width="0.9"{dash}/>'
        )
        ticks = "".join(f"M{num(x - 5)},{num(line + 5)}l10,-10M{num(x)},{num(line - 8)}v16" for x in (a, b))
        words.append(f'<path d="{ticks}" fill="none" stroke="{pen_look.ink}" stroke-width="1.3"/>')
        wide = lettering.width(text, LETTERS)
        x = min(max((a + b) / 2, wide / 2 + EDGE), WIDE - wide / 2 - EDGE)
        if wide < b - a - 16:
            y, row = line - 7, -1
        else:
            row = next((k for k, end in enumerate(rows) if x - wide / 2 > end + 14), 2)
            x = max(x, rows[row] + 14 + wide / 2) if rows[row] > 0 else x
            y = line + LETTERS * (1.35 + 1.15 * row)
            rows[row] = x + wide / 2
        made, box = lettering.label(pen_look, x, y, text, LETTERS)
        words.append(made)
        labels.append(box)
        lowest = max(lowest, box.y1)
    for text in _note(house):
        made, box = lettering.label(pen_look, EDGE, lowest + LETTERS * 1.25, text, LETTERS * 0.92, "start")
        words.append(made)
        labels.append(box)
        lowest = box.y1
    return lowest


def _note(house: House) -> list[str]:
    """What was not measured, in at most two lines."""
    if not house.unknown:
        return []
    places = [u.removeprefix("place of the ") for u in house.unknown if u.startswith("place of the ")]
    parts = [SHORT.get(u, u) for u in house.unknown if not u.startswith("place of the ")]
    if places:
        parts.append(f"place{'s' if len(places) > 1 else ''} of {listed(places)}")
    size, most = LETTERS * 0.92, 2
    lines = [""]
    for word in f"dashed or to a common size, not measured: {', '.join(parts)}".split():
        longer = f"{lines[-1]} {word}".strip()
        if lettering.width(longer, size) < WIDE - 2 * EDGE - 120:
            lines[-1] = longer
        elif len(lines) < most:
            lines.append(word)
        else:
            lines[-1] = lines[-1].rsplit(",", 1)[0] + " and more"
            break
    return lines


def heights(pen_look: Look, house: House, frame: Frame, right: float, words: list[str], labels: list[Box]) -> None:
    """Levels at the right edge: name, and height above the main floor where it was measured."""
    oy = frame.origin[1]
    rows = sorted((oy - h * frame.scale, name, h, known) for name, h, known in house.heights)
    ys = marks.apart([y for y, *_ in rows], LETTERS * 1.25, frame.inner.y0, frame.inner.y1 + LETTERS)
    x = right + frame.side + column(house) - 4
    for (true, name, h, known), y in zip(rows, ys, strict=True):
        text = height_words(name, h, known)
        made, box = lettering.label(pen_look, x, y + LETTERS * 0.34, text, LETTERS, "end")
        words.append(made)
        labels.append(box)
        dash = "12 4 2 4" if known else "6 6"
        end = box.x0 - 8
        start = frame.inner.x1 - 4
        if name in ("ridge", "roof", "plate"):  # from the roof itself, across the sky
            start = min(start, frame.origin[0] + (_reaches(house, h) + 0.6) * frame.scale)
        d = f"M{num(start)},{num(true)}H{num(end - 26)}L{num(end - 14)},{num(y)}H{num(end)}"
        line = f'stroke="{pen_look.ink}" stroke-width="0.8" stroke-opacity="0.7" stroke-dasharray="{dash}"'
        words.append(f'<path d="{d}" fill="none" {line}/>')


def _reaches(house: House, h: float) -> float:
    """How far to the right anything of the house reaches at this height."""
    at = [house.tall.roof.ridge[0]]
    for body in house.bodies:
        for (xa, ha), (xb, hb) in pairwise(body.roof.top):
            if max(ha, hb) >= h - 0.4:
                low = min(ha, hb) < h - 0.4
                at.append(xa + (xb - xa) * (h - 0.4 - ha) / (hb - ha) if low and hb < ha else xb)
    if house.chimney:
        at.append(house.chimney[0] + 1.6)
    return max(at)
