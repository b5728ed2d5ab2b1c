"""The rule: the one chart for a reading. A scale, the limit an upright, the wrong side hatched, the reading a dot.

`draw` is a pure function of what is put on it. Where nothing is measured, boxes are counted instead. Lettering never
overlaps: tick figures give way to the limit, a limit's words wrap, and a second limit's words go below the first's.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil, floor, isfinite, log10

from .section.lettering import width as capitals
from .section.model import Box
from .section.pen import THEMES, num
from .values import number

WIDE = 205.0  # units across: 45 mm in print, a phone's width in the field
SIDE, TOP, HIGH = 8.0, 22.0, 16.0  # margin left and right; top and height of the hatched band
VALUE, SMALL = 14.0, 10.5  # sizes of the lettering
GAP = 5.0  # between two pieces of lettering
LINE = 12.5  # from line to line
SOFT = {"edge": "0.72", "hatch": "0.62"}  # strength of lines beside the ink's own
WIDER = {"m": 0.04, "%": 0.15, "&": 0.07, "—": 0.3, **dict.fromkeys("ÆæÖØœŒ", 0.2)}  # beyond their capitals, or 0.7
MANY = 12  # boxes that fit in a row; more are said, not drawn


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit and its wrong side: "above" or "below"."""

    at: float
    wrong: str
    words: str  # "at most 8.25"


@dataclass(frozen=True, slots=True)
class Scale:
    """What is put on the rule. `doubt` is two standard uncertainties; 0 is exact."""

    value: float
    limits: tuple[Limit, ...]
    shown: str  # the value in words: "9.75 in"
    doubt: float = 0.0
    others: tuple[float, ...] = ()  # further readings of the same thing


@dataclass(frozen=True, slots=True)
class Boxes:
    """Where nothing is measured: how many of so many are as asked."""

    have: int
    of: int
    words: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule drawn: its SVG, its sentence, and for tests its box and where its lettering lies."""

    svg: str
    alt: str
    box: Box
    words: tuple[Box, ...] = field(repr=False)


def width(text: str, size: float) -> float:
    """The most that a line of lettering takes, in units: small letters count as capitals but for the few wider ones."""
    return capitals(text, size) + sum(WIDER.get(sign, 0.0) for sign in text) * size


def draw(shown: Scale | Boxes, theme: str = "light") -> Rule:
    """The rule of a reading. `theme` is light, print or dark. Raises ValueError for numbers that are not finite."""
    paper, ink, mark, *_ = THEMES[theme]
    return _boxes(shown, ink, mark) if isinstance(shown, Boxes) else _scale(shown, paper, ink, mark)


class _Sheet:
    """Markup and the boxes of the lettering, as they are drawn."""

    def __init__(self) -> None:
        self.out: list[str] = []
        self.words: list[Box] = []

    def text(self, x: float, base: float, text: str, size: float, fill: str, start: bool = False) -> Box:
        """A line of lettering about x, or from x; moved in from the edge where it would stand out."""
        wide = width(text, size)
        left = min(max(x if start else x - wide / 2, 0.0), max(WIDE - wide, 0.0))
        safe = text.replace("&", "&amp;").replace("<", "&lt;")
        at = f'x="{num(left if start else left + wide / 2)}" y="{num(base)}" font-size="{num(size)}"'
        anchor = "" if start else ' text-anchor="middle"'
        self.out.append(f'<text {at} fill="{fill}"{anchor}>{safe}</text>')
        box = Box(left, base - size * 0.76, left + wide, base + size * 0.24)
        self.words.append(box)
        return box

    def path(self, d: str, stroke: str, weight: float, strength: str = "") -> None:
        faint = f' stroke-opacity="{strength}"' if strength else ""
        self.out.append(f'<path d="{d}" fill="none" stroke="{stroke}" stroke-width="{weight:g}"{faint}/>')

    def made(self, alt: str, low: float) -> Rule:
        safe = alt.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="rule" viewBox="0 0 {WIDE:g} {num(low)}" role="img" '
            f'aria-label="{safe}" font-family="Routed, Overpass, sans-serif"><title>A reading on its scale</title>'
            f"<desc>{safe}</desc>{''.join(self.out)}</svg>"
        )
        return Rule(svg, alt, Box(0.0, 0.0, WIDE, float(num(low))), tuple(self.words))


def wrapped(text: str, size: float, most: float) -> list[str]:
    """The text in lines of at most `most` units; a word too long for one is broken."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if width(longer, size) <= most:
            lines[-1] = longer
            continue
        lines += [word] if lines[-1] else []
        lines[-1] = word
        while width(lines[-1], size) > most:
            fits = next(n for n in range(len(lines[-1]) - 1, 0, -1) if n == 1 or width(lines[-1][:n], size) <= most)
            lines[-1:] = [lines[-1][:fits], lines[-1][fits:]]
    return [line for line in lines if line]


def _figure(value: float, step: float) -> str:
    """A figure of the scale, as fine as its step.

    >>> _figure(0.375, 0.125), _figure(12000.0, 2000.0), _figure(-0.0, 5.0)
    ('0.375', '12,000', '0')
    """
    places = max(0, 3 - floor(log10(step) + 1e-9)) if step < 1 else 1
    text = f"{value:,.{places}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


def _cut(text: str) -> str:
    """The value's words as one line; what is longer than the rule is cut off, the sentence holds it all."""
    lines = wrapped(text, VALUE, WIDE - 2 * VALUE)
    return lines[0] + "…" if len(lines) > 1 else "".join(lines)


def _step(span: float) -> float:
    """A round step that parts the span in three to seven."""
    raw = span / 6
    power = 10.0 ** floor(log10(raw))
    return float(next(n for n in (1, 2, 2.5, 5, 10) if n * power >= raw * 0.999) * power)


def _reach(shown: Scale) -> tuple[float, float, float]:
    """From, to and step of the scale: all readings, their doubt and all limits, with room beyond each limit."""
    points = [shown.value - shown.doubt, shown.value + shown.doubt, *shown.others, *(lim.at for lim in shown.limits)]
    if not all(map(isfinite, points)):
        raise ValueError("a value on the rule is not finite; leave the rule out")
    least, most = min(points), max(points)
    span = max(most - least, 0.1 * max(abs(most), abs(least))) or 1.0  # a hair's breadth is not made to look wide
    low, high = least - 0.16 * span, most + 0.16 * span
    if least >= 0 and least < 0.6 * span:
        low = 0.0
    step = _step(high - low)
    return floor(low / step + 1e-9) * step, ceil(high / step - 1e-9) * step, step


def _scale(shown: Scale, paper: str, ink: str, mark: str) -> Rule:
    low, high, step = _reach(shown)
    sheet = _Sheet()

    def x(value: float) -> float:
        return SIDE + (value - low) / (high - low) * (WIDE - 2 * SIDE)

    base = TOP + HIGH
    for limit in shown.limits:
        at = x(limit.at)
        _hatch(sheet, *((at, WIDE - SIDE) if limit.wrong == "above" else (SIDE, at)), ink)
    sheet.path(f"M{num(SIDE)},{num(base)}H{num(WIDE - SIDE)}", ink, 1.2)
    _ticks(sheet, shown, (low, high, step), ink)
    below = _limits(sheet, [(x(lim.at), lim.words) for lim in shown.limits], ink)
    ends = x(shown.value - shown.doubt), x(shown.value + shown.doubt)
    _reading(sheet, [x(v) for v in shown.others], x(shown.value), ends, (paper, mark))
    sheet.text(x(shown.value), 14.0, _cut(shown.shown), VALUE, mark)
    return sheet.made(_said(shown), below)


def _hatch(sheet: _Sheet, left: float, right: float, ink: str) -> None:
    """Strokes at 60 degrees, cut off at the ends of the band."""
    slant, d, at = 8.0, [], left - 8.0
    while at < right:
        a, b = max(at, left), min(at + slant, right)
        if b - a > 0.4:
            y0, y1 = (TOP + HIGH * (1 - (v - at) / slant) for v in (a, b))
            d.append(f"M{num(a)},{num(y0)}L{num(b)},{num(y1)}")
        at += 4.6
    if d:
        sheet.path("".join(d), ink, 0.7, SOFT["hatch"])


def _ticks(sheet: _Sheet, shown: Scale, reach: tuple[float, float, float], ink: str) -> None:
    low, high, step = reach
    base, count = TOP + HIGH, round((high - low) / step)
    places = [SIDE + n / count * (WIDE - 2 * SIDE) for n in range(count + 1)]
    minor = (places[1] - places[0]) / 5
    d = "".join(f"M{num(p)},{num(base)}v6" for p in places)
    d += "".join(f"M{num(p + i * minor)},{num(base)}v3" for p in places[:-1] for i in range(1, 5)) if minor > 3 else ""
    sheet.path(d, ink, 0.9, SOFT["edge"])
    uprights = [SIDE + (lim.at - low) / (high - low) * (WIDE - 2 * SIDE) for lim in shown.limits]
    end = -GAP
    for n, place in enumerate(places):
        text = _figure(low + n * step, step)
        half = width(text, SMALL) / 2
        left = min(max(place - half, 0), WIDE - 2 * half)
        clear = all(not left - 3 < u < left + 2 * half + 3 for u in uprights)
        if clear and left >= end + GAP and 2 * half <= WIDE:
            end = sheet.text(left + half, base + 17, text, SMALL, ink).x1


def _limits(sheet: _Sheet, limits: list[tuple[float, str]], ink: str) -> float:
    """The uprights, and under them their words; returns the lowest point used."""
    base, lowest = TOP + HIGH, TOP + HIGH + 21.0
    taken: list[Box] = []
    for at, words in sorted(limits):
        sheet.path(f"M{num(at)},{num(TOP - 4)}V{num(base + 20)}", ink, 1.7)
        lines = wrapped(words, SMALL, WIDE * (0.7 if len(limits) == 1 else 0.46))
        half = max((width(line, SMALL) for line in lines), default=0.0) / 2
        x, row = min(max(at, half), WIDE - half), 0
        if taken and x - half < taken[-1].x1 + GAP <= WIDE - 2 * half:
            x = taken[-1].x1 + GAP + half  # beside the words before it
        elif taken and x - half < taken[-1].x1 + GAP:
            row = round((lowest - base - 21.0) / LINE)  # below them
        for k, line in enumerate(lines):
            box = sheet.text(x, base + 30.5 + (row + k) * LINE, line, SMALL, ink)
            lowest = max(lowest, box.y1 + 1)
        if lines:
            taken.append(Box(x - half, 0.0, x + half, 0.0))
    return lowest


def _reading(sheet: _Sheet, others: list[float], at: float, ends: tuple[float, float], ink: tuple[str, str]) -> None:
    paper, mark = ink
    y = TOP + HIGH / 2
    for x in others:
        sheet.out.append(
            f'<circle cx="{num(x)}" cy="{num(y)}" r="3.4" fill="{paper}" stroke="{mark}" stroke-width="1.3"/>'
        )
    a, b = ends
    if b - a > 0.5:
        d = f"M{num(a)},{num(y)}H{num(b)}M{num(a)},{num(y - 4)}v8M{num(b)},{num(y - 4)}v8"
        sheet.path(d, paper, 4.0)
        sheet.path(d, mark, 1.5)
    sheet.out.append(
        f'<circle cx="{num(at)}" cy="{num(y)}" r="4.6" fill="{mark}" stroke="{paper}" stroke-width="1.4"/>'
    )


def _said(shown: Scale) -> str:
    doubt = f", give or take {number(shown.doubt)}" if shown.doubt and "±" not in shown.shown else ""
    more = f" Also read: {', '.join(number(v) for v in shown.others)}." if shown.others else ""
    limits = " and ".join(lim.words for lim in shown.limits)
    return f"Reading {shown.shown}{doubt}, held against {limits}.{more}"


def _boxes(shown: Boxes, ink: str, mark: str) -> Rule:
    """A box for each: a tick for what is there, a cross for what is not."""
    sheet = _Sheet()
    of, have = max(shown.of, 0), min(max(shown.have, 0), max(shown.of, 0))
    said = f"{have} of {of}"
    sheet.text(2.0, 14.0, said, VALUE, mark, start=True)
    if of <= MANY:
        side = min(20.0, (WIDE - 4) / max(of, 1) - 3)
        for n in range(of):
            x = 2 + n * (side + 3)
            sheet.path(f"M{num(x)},22h{num(side)}v{num(side)}h{num(-side)}z", ink, 1.2)
            a = side * 0.26
            d = (
                f"M{num(x + a)},{num(22 + side * 0.55)}l{num(a * 0.8)},{num(a * 0.8)}l{num(a * 1.2)},{num(-a * 1.7)}"
                if n < have
                else f"M{num(x + a)},{num(22 + a)}l{num(side - 2 * a)},{num(side - 2 * a)}"
                f"M{num(x + side - a)},{num(22 + a)}l{num(2 * a - side)},{num(side - 2 * a)}"
            )
            sheet.path(d, mark, 1.6)
    low = 46.0 if of <= MANY else 22.0
    for k, line in enumerate(wrapped(shown.words, SMALL, WIDE - 4)):
        low = sheet.text(2.0, low + (8.5 if not k else 10.5), line, SMALL, ink, start=True).y1
    return sheet.made(f"{shown.words}: {said}.", low + 1)
