"""The section drawing on its sheet: scale, house, dimensions, heights, marks, and the part of it that a level shows."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import hypot

from kingpost.visit.facts import Facts

from . import inside, outside, rims, shell
from .build import house as built
from .dimensions import dimensions, heights
from .frame import EDGE, PRINTED, RADIUS, TALL, WIDE, Frame, fitted
from .model import Box, Drawing, House, Mark, Placed
from .pen import Pen, look, num

FINGER = 24.0  # px that a link must measure: WCAG 2.2, 2.5.8
SMALL_BELOW = 500  # px: a narrower drawing is a small one
CROPS = ("roof", "attic", "rooms", "upper", "main", "lower", "underfloor", "garage", "grounds")


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
    made = fitted(house, findings, small, crop, PRINTED if theme == "print" else TALL[small])
    frame, placed = made.frame, made.placed
    pen = Pen(pen_look, frame.scale, frame.origin, _band(frame) if crop else None)
    _house(pen, house, frame)
    words: list[str] = []
    labels: list[Box] = []
    bottom = max([frame.inner.y1 + 4, *(p.y + p.r for p in placed)])
    if not small and not crop:
        bottom = dimensions(pen_look, house, frame, bottom, words, labels)
        heights(pen_look, house, frame, made.ring.x1, words, labels)
    top = min([frame.inner.y0 - 2, *(p.y - p.r for p in placed), *(b.y0 for b in labels)]) - EDGE
    bottom += EDGE
    hit = _reach(placed)
    hit = hit if 2 * hit * width / WIDE >= FINGER else 0.0
    body = pen.text() + "".join(words) + rims.draw(pen_look, placed, hit)
    alt = _alt(house, findings, crop)
    box = Box(0.0, top, WIDE, bottom)
    linked = bool(hit and any(m.href for m in findings))
    return Drawing(_svg(box, alt, body, linked), alt, house.unknown, box, placed, tuple(labels))


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
    inside.person(pen, *inside.stand(house))
    _breaks(pen, frame)


def _band(frame: Frame) -> tuple[float, float, float, float]:
    """What is worth drawing of a stretch: what lies beyond is hidden, and would show as a hair at the sheet's edge."""
    return frame.low - 2, frame.high + 2, frame.x0 - 2, frame.x1 + 2


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
