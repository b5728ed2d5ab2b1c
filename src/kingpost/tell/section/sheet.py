"""The section drawing on its sheet: scale, house, dimensions, heights, marks, and the part of it that a level shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot

from kingpost.visit.facts import Facts

from . import inside, lettering, marks, outside, shell
from .build import house as built
from .model import JOIST, Box, Drawing, House, Mark, Placed, Point
from .pen import THEMES, Look, Pen, look, num
from .zones import spots

WIDE = 1300.0  # drawing units across; the weights are meant for a house at 20 units a foot
SCALE, EDGE = 20.0, 8.0
TALL = {False: 400.0, True: 660.0}  # most units of height for the house itself, large and small
PRINTED = 325.0  # the same on paper, where the first sheet holds it all
STRIP = 250.0  # the same for one level
LETTERS = 20.0
RADIUS = {False: 19.0, True: 34.0}  # of a mark; 1.8 times where the drawing is small
FINGER = 24.0  # px that a link must measure: WCAG 2.2, 2.5.8
HIGHER = 180.0  # units that lanes on a phone may grow up and down
SMALL_BELOW = 500  # px: a narrower drawing is a small one
SHORT = {"height of the floor above the ground": "floor above ground"}  # as the line under the drawing says it
CROPS = ("roof", "attic", "rooms", "upper", "main", "lower", "underfloor", "garage", "grounds")


@dataclass(frozen=True, slots=True)
class Frame:
    """What part of the house is drawn, in feet, and where on the sheet."""

    x0: float
    x1: float
    low: float
    high: float
    scale: float
    inner: Box
    side: float  # width of a lane
    cut: tuple[bool, bool, bool, bool] = (False, False, False, False)  # broken off below, above, left, right

    @property
    def origin(self) -> Point:
        """Where the front wall meets the main floor."""
        return self.inner.x0 - self.x0 * self.scale, self.inner.y0 + self.high * self.scale


def draw(
    facts: Facts,
    findings: Sequence[Mark] = (),
    *,
    width: float = 724,
    theme: str = "light",
    small: bool = False,
    crop: str | None = None,
    seen: Sequence[Mark] = (),
) -> Drawing:
    """The house of these facts with these findings marked on it, as SVG.

    facts     of the visit; [section] of visit.toml measures what would otherwise be a common size
    findings  the marks to show
    width     how wide it will be shown, px; below 500 it is drawn as `small`
    theme     light, dark or print
    small     heavier lines, no hatch, no lettering, larger marks
    crop      one level (roof, attic, rooms, upper, main, lower, underfloor, garage, grounds) instead of the whole house
    seen      further findings that show what the house has; where none are given, `findings` do

    Same facts and findings, same bytes. Raises ValueError for a theme or a crop that is not known.
    """
    if crop is not None and crop not in CROPS:
        raise ValueError(f'crop is "{crop}"; write one of {", ".join(CROPS)}, or None for the whole house')
    small = small or width < SMALL_BELOW
    pen_look = look(theme, small)
    house = built(facts, tuple(seen) or tuple(findings))
    frame, lane = _fitted(house, len(findings), small, crop, PRINTED if theme == "print" else TALL[small])
    placed = marks.place(lane, findings, _dots(house, findings, frame))
    pen = Pen(pen_look, frame.scale, frame.origin, (frame.low - 2, frame.high + 2) if crop else None)
    _house(pen, house, frame)
    words: list[str] = []
    labels: list[Box] = []
    bottom = max([frame.inner.y1 + 4, *(p.y + p.r for p in placed)])
    if not small and not crop:
        bottom = _dimensions(pen_look, house, frame, bottom, words, labels)
        _heights(pen_look, house, frame, lane.inner.x1, words, labels)
    top = min([frame.inner.y0 - 2, *(p.y - p.r for p in placed), *(b.y0 for b in labels)]) - EDGE
    bottom += EDGE
    hit = _reach(placed)
    hit = hit if 2 * hit * width / WIDE >= FINGER else 0.0
    body = pen.text() + "".join(words) + marks.draw(pen_look, placed, hit)
    alt = _alt(house, findings, crop)
    box = Box(0.0, top, WIDE, bottom)
    linked = bool(hit and any(m.href for m in findings))
    return Drawing(_svg(box, alt, body, linked), alt, house.unknown, box, placed, tuple(labels))


def _fitted(house: House, count: int, small: bool, crop: str | None, printed: float) -> tuple[Frame, marks.Lanes]:
    """The frame and its lanes: one row of marks, two where one is too short, smaller marks where two are."""
    r, on_paper = RADIUS[small], printed < TALL[small]
    column = 0.0 if small or crop else _column(house)
    for rows in (1, 2):
        if rows == 2 and on_paper and not crop:
            r, printed = r - 2, printed - 45
        frame = _frame(house, r, rows, column, small, crop, printed)
        ring = _ring(frame, count, r, rows, column, small)
        if rows == 2 or marks.capacity(ring, r, rows) >= count * 1.1:
            break
    return frame, marks.lanes(ring, count, r, rows)


def _reach(placed: Sequence[Placed]) -> float:
    """Half the way between the two nearest marks: how far a mark may answer a finger."""
    pairs = combinations(placed, 2)
    near = min((hypot(a.x - b.x, a.y - b.y) for a, b in pairs), default=3 * RADIUS[True])
    return min(near / 2, 1.6 * RADIUS[True])


def _svg(box: Box, alt: str, body: str, linked: bool) -> str:
    safe = alt.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")
    role = "group" if linked else "img"  # a picture's parts are not spoken, and links are
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="section" viewBox="{num(box.x0)} {num(box.y0)} '
        f'{num(box.x1 - box.x0)} {num(box.y1 - box.y0)}" role="{role}" aria-label="{safe}" '
        f'font-family="Routed, Overpass, sans-serif">{body}</svg>'
    )


def _column(house: House) -> float:
    return 40 + max(lettering.width(_height_words(*h), LETTERS) for h in house.heights)


def _height_words(name: str, h: float, measured: bool) -> str:
    return f"{name} {lettering.feet(h)}" if measured else name


def _extent(house: House) -> tuple[float, float, float, float]:
    """From left to right and from the lowest to the highest of all that is drawn, in feet."""
    spans = [(b.x0, b.x1) for b in house.bodies] + [(s[0], s[1]) for s in (house.porch, house.deck) if s]
    spans += [(t.x - 2.0, min(t.x - 1.0, t.x)) for t in house.things if t.kind == "condenser"]
    x0, x1 = min(s[0] for s in spans) - 5.0, max(s[1] for s in spans) + 5.0
    low = min(
        [min(p.bottom, b.base) - 1.8 for b in house.bodies for p in b.below]
        + [house.ground_at(x0) - 2.4, house.ground_at(x1) - 2.4]
    )
    high = max([b.roof.ridge[1] for b in house.bodies]) + 0.6
    if house.chimney:
        high += 3.2
    if "party_wall" in house.extra:
        high += 5.8
    return x0, x1, low, high


def _frame(house: House, r: float, rows: int, column: float, small: bool, crop: str | None, printed: float) -> Frame:
    x0, x1, low, high = _extent(house)
    cut = (False, False, False, False)
    if crop:
        x0, x1, low, high, cut = _cropped(house, crop, (x0, x1, low, high))
    side = EDGE + 2 * r * rows + marks.ROWS_APART * (rows - 1) + marks.STUB
    room = WIDE - 2 * side - column
    most = STRIP * (1.3 if small else 1.0) if crop else min(TALL[small], printed)
    scale = min(SCALE * (1.6 if small or crop else 1.0), room / (x1 - x0), most / (high - low))
    wide, tall = (x1 - x0) * scale, (high - low) * scale
    left = side + (room - wide) / 2
    return Frame(x0, x1, low, high, scale, Box(left, 0.0, left + wide, tall), side, cut)


def _ring(frame: Frame, count: int, r: float, rows: int, column: float, small: bool) -> Box:
    """Where the lanes run: round what is drawn; wider, and on a phone higher, where that alone would crowd them."""
    i, pitch = frame.inner, marks.pitch_of(r, rows)
    short = max(0.0, count * 1.1 + 4 - marks.capacity(i, r, rows))
    room = max(0.0, min(i.x0 - frame.side, WIDE - column - frame.side - i.x1))
    more = min(room, short * pitch / 4)
    wider = Box(i.x0 - more, i.y0, i.x1 + more, i.y1)
    if not small or rows == 1:
        return wider
    short = max(0.0, count * 1.1 + 2 - marks.capacity(wider, r, rows))
    up = min(short * pitch / 4, HIGHER)
    return Box(wider.x0, wider.y0 - up, wider.x1, wider.y1 + up)


def _cropped(
    house: House, crop: str, whole: tuple[float, float, float, float]
) -> tuple[float, float, float, float, tuple[bool, bool, bool, bool]]:
    """The stretch of the house that one level shows, and on which sides it is broken off."""
    x0, x1, low, high = whole
    levels = {"rooms": ("upper", "main", "lower")}.get(crop, (crop,))
    floors = [f for b in house.bodies if b.kind == "house" for f in b.floors if f.level in levels]
    deep = [p.bottom for b in house.bodies for p in b.below if p.kind == "basement"]
    top = house.tall.floors[-1].ceiling
    if crop == "roof":
        eaves = min(min(p[1] for p in b.roof.top) for b in house.bodies if b.kind != "garage")
        return x0, x1, max(low, min(eaves, house.tall.plates[0]) - 2.4), high, (True, False, False, False)
    if crop == "attic" and house.tall.roof.kind not in ("flat", "a-frame"):
        body = house.tall
        return (
            body.x0 - 4,
            body.x1 + 4,
            top - 2.2,
            body.roof.ridge[1] + 0.6,
            (True, house.chimney is not None, x0 < body.x0 - 5, x1 > body.x1 + 5),
        )
    if crop == "underfloor":
        base = max(b.base for b in house.bodies if b.kind == "house")
        return x0, x1, low, min(base + 2.2, high), (False, True, False, False)
    if crop == "garage" and (garage := next((b for b in house.bodies if b.kind == "garage"), None)):
        return (
            garage.x0 - 4,
            garage.x1 + 4,
            garage.base - 2.2,
            garage.roof.ridge[1] + 1,
            (False, False, garage.x0 > x0 + 6, garage.x1 < x1 - 6),
        )
    if crop == "grounds":
        return x0, x1, low, max(house.ground[0][1], house.ground[-1][1], -1) + 6.0, (False, True, False, False)
    if crop in ("rooms", "lower") and deep:
        bottom = min(deep) - 1.4
    elif floors:
        bottom = min(f.floor for f in floors) - JOIST - 0.6
    else:
        return (*whole, (False, False, False, False))
    roof = max((f.ceiling for f in floors), default=-JOIST)
    return x0, x1, bottom, roof + 1.2, (True, True, False, False)


def _dots(house: House, findings: Sequence[Mark], frame: Frame) -> list[tuple[str, Point]]:
    ox, oy = frame.origin
    return [(zone, (ox + x * frame.scale, oy - h * frame.scale)) for zone, (x, h) in spots(house, findings)]


def _house(pen: Pen, house: House, frame: Frame) -> None:
    """Everything of the house, from behind to the front."""
    outside.beyond(pen, house)
    outside.earth(pen, house, frame.x0, frame.x1)
    shell.excavations(pen, house)
    for body in house.bodies:
        pen.area(((body.x0, body.base), (body.x1, body.base), (body.x1, body.plates[1]), (body.x0, body.plates[0])))
        shell.below(pen, house, body)
    for flight in house.stairs:
        inside.stairs(pen, *flight)
    for body in house.bodies:
        inside.attic(pen, body)
        inside.rooms(pen, house, body)
        shell.floors(pen, body)
        shell.walls(pen, house, body)
    for body in sorted(house.bodies, key=lambda b: -b.roof.ridge[1]):
        shell.roof(pen, body)
    if "landing" in house.extra:
        inside.landing(pen, house)
        for flight in house.stairs:
            inside.stairs(pen, *flight)
    outside.dormers(pen, house)
    outside.chimney(pen, house)
    for it in house.things:
        inside.thing(pen, house, it)
    outside.porch(pen, house)
    outside.deck(pen, house)
    outside.ground_line(pen, house, frame.x0, frame.x1)
    body = house.main
    main = next((f for f in body.floors if f.level == "main"), body.floors[0])
    inside.person(pen, body.x0 + (body.x1 - body.x0) * 0.34, main.floor)
    _breaks(pen, frame)


def _breaks(pen: Pen, frame: Frame) -> None:
    """Where the drawing is broken off: paper over the rest and the drafted break line."""
    i, far = frame.inner, 4000.0
    below, above, left, right = frame.cut
    paper = pen.look.paper
    for here, y, way in ((True, i.y1, 1), (True, i.y0, -1)):
        pen.raw(
            f'<path d="M{num(-far)},{num(y)}H{num(far)}V{num(y + way * far)}H{num(-far)}z" fill="{paper}"/>'
        ) if here and any(frame.cut) else None
    for here, x, way in ((left, i.x0, -1), (right, i.x1, 1)):
        if here:
            pen.raw(f'<path d="M{num(x)},{num(-far)}V{num(far)}H{num(x + way * far)}V{num(-far)}z" fill="{paper}"/>')
    for here, y in ((below, i.y1), (above, i.y0)):
        if here:
            pen.stroke("beyond", _zigzag(i.x0 - 6, i.x1 + 6, y, False))
    for here, x in ((left, i.x0), (right, i.x1)):
        if here:
            pen.stroke("beyond", _zigzag(i.y0 - 6, i.y1 + 6, x, True))


def _zigzag(a: float, b: float, at: float, upright: bool) -> str:
    """A long break line: straight, with a Z in it at each third."""
    points = [(a, at)]
    for third in (1, 2):
        x = a + (b - a) * third / 3
        points += [(x - 9, at), (x - 3, at - 8), (x + 3, at + 8), (x + 9, at)]
    points.append((b, at))
    return "M" + "L".join(f"{num(y)},{num(x)}" if upright else f"{num(x)},{num(y)}" for x, y in points)


def _dimensions(
    pen_look: Look, house: House, frame: Frame, bottom: float, words: list[str], labels: list[Box]
) -> float:
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
    for text in _note(house, pen_look.paper == THEMES["print"][0]):
        made, box = lettering.label(pen_look, EDGE, lowest + LETTERS * 1.25, text, LETTERS * 0.92, "start")
        words.append(made)
        labels.append(box)
        lowest = box.y1
    return lowest


def _note(house: House, on_paper: bool) -> list[str]:
    """What was not measured, in two lines, on paper in one."""
    if not house.unknown:
        return []
    places = [u.removeprefix("place of the ") for u in house.unknown if u.startswith("place of the ")]
    parts = [SHORT.get(u, u) for u in house.unknown if not u.startswith("place of the ")]
    if places:
        parts.append(f"place{'s' if len(places) > 1 else ''} of {' and '.join(places)}")
    size, most = LETTERS * 0.92, 1 if on_paper else 2
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


def _heights(pen_look: Look, house: House, frame: Frame, right: float, words: list[str], labels: list[Box]) -> None:
    """Levels at the right edge: name, and height above the main floor where it was measured."""
    oy = frame.origin[1]
    rows = sorted((oy - h * frame.scale, name, h, known) for name, h, known in house.heights)
    ys = marks.apart([y for y, *_ in rows], LETTERS * 1.25, frame.inner.y0, frame.inner.y1 + LETTERS)
    x = right + frame.side + _column(house) - 4
    for (true, name, h, known), y in zip(rows, ys, strict=True):
        text = _height_words(name, h, known)
        made, box = lettering.label(pen_look, x, y + LETTERS * 0.34, text, LETTERS, "end")
        words.append(made)
        labels.append(box)
        dash = "12 4 2 4" if known else "6 6"
        end = box.x0 - 8
        d = f"M{num(frame.inner.x1 - 4)},{num(true)}H{num(end - 26)}L{num(end - 14)},{num(y)}H{num(end)}"
        line = f'stroke="{pen_look.ink}" stroke-width="0.8" stroke-opacity="0.7" stroke-dasharray="{dash}"'
        words.append(f'<path d="{d}" fill="none" {line}/>')


def _alt(house: House, findings: Sequence[Mark], crop: str | None) -> str:
    numbers = sorted(m.number for m in findings)
    if crop:
        which = {"rooms": "the rooms", "underfloor": "what is under the floor", "grounds": "the ground round the house"}
        part = which.get(
            crop, f"the {crop}" + (" floor" if crop in ("upper", "main") else " level" if crop == "lower" else "")
        )
        return f"Part of the drawing of the house: {part}{_marked(numbers)}."
    unknown = f" Not measured, so drawn to a common size: {', '.join(house.unknown)}." if house.unknown else ""
    found = f" Findings are marked on it from ridge to ground{_range(numbers)}." if numbers else ""
    return f"{house.says}{found}{unknown}"


def _range(numbers: list[int]) -> str:
    return f", {numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else f", number {numbers[0]}"


def _marked(numbers: list[int]) -> str:
    if not numbers:
        return ""
    if len(numbers) == 1:
        return f", with finding {numbers[0]}"
    return f", with findings {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


__all__ = ["Drawing", "Mark", "Placed", "draw"]
