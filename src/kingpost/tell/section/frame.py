"""How much of the house goes on the sheet, how large, and where the marks stand round it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from . import lettering, marks
from .bunch import BETWEEN, BRACKET, SHALLOW, bunches
from .model import JOIST, Box, House, Mark, Placed, Point, Spot
from .zones import spots

WIDE = 1300.0  # drawing units across; the weights are meant for a house at 20 units a foot
SCALE, EDGE = 20.0, 8.0
TALL = {False: 400.0, True: 660.0}  # most units of height for the house itself, large and small
PRINTED = 325.0  # the same on paper, where the first sheet holds it all
ON_PAPER = 440.0  # most units of height for house and marks on paper
STRIP = 250.0  # the house's height for one level
LETTERS = 20.0
RADIUS = {False: 19.0, True: 34.0}  # of a mark; 1.8 times where the drawing is small
HIGHER = 180.0  # units that lanes on a phone may grow up and down
CALMER = (0.97, 0.94, 0.9)  # shares of a mark's size that are tried where leaders cross
LEAST = 150.0  # units of height that are left to a house on paper, however many its marks


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


@dataclass(frozen=True, slots=True)
class Fitted:
    """A frame with its marks."""

    frame: Frame
    ring: Box  # the lanes run round it
    placed: tuple[Placed, ...]


def fitted(house: House, findings: Sequence[Mark], small: bool, crop: str | None, printed: float) -> Fitted:
    """The largest marks, and on paper the largest house, with which nothing lies over anything."""
    told, r, tall = spots(house, findings), RADIUS[small], printed
    on_paper = printed < TALL[small] and not crop
    beside = 0.0 if small or crop else column(house)
    while True:
        made = _placed(house, findings, told, r, beside, small, crop, tall)
        if made is None:
            r *= 0.94
            continue
        if marks.crossing(made.placed):  # a little smaller they may have room to change places
            tried = (_placed(house, findings, told, r * k, beside, small, crop, tall) for k in CALMER)
            made = next((one for one in tried if one and not marks.crossing(one.placed)), made)
        over = _height(made) - ON_PAPER if on_paper else 0.0
        if over <= 0 or tall <= LEAST:
            return made
        r, tall = min(r, RADIUS[small] - 2), max(tall - max(over, 8.0), LEAST)


def _height(made: Fitted) -> float:
    tops, lows = [p.y - p.r for p in made.placed], [p.y + p.r for p in made.placed]
    return max([made.ring.y1, *lows]) - min([made.ring.y0, *tops])


def _placed(
    house: House,
    findings: Sequence[Mark],
    told: Sequence[Spot],
    r: float,
    beside: float,
    small: bool,
    crop: str | None,
    tall: float,
) -> Fitted | None:
    """The frame at this size with its marks, or None where they do not fit round it."""
    deep = 1
    while True:
        frame = _frame(house, r, deep, beside, small, crop, tall)
        ox, oy = frame.origin
        points = [(ox + s.at[0] * frame.scale, oy - s.at[1] * frame.scale) for s in told]
        hung = bunches(findings, told, points, r)
        if deep == 2 or not any(len(b.members) > SHALLOW for b in hung):
            break
        deep = 2
    for ring in _rings(frame, beside, small):
        placed = marks.place(ring, r, findings, hung)
        if placed is not None:
            return Fitted(frame, ring, placed)
    return None


def column(house: House) -> float:
    return 40 + max(lettering.width(height_words(*h), LETTERS) for h in house.heights)


def height_words(name: str, h: float, measured: bool) -> str:
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


def _frame(house: House, r: float, deep: int, beside: float, small: bool, crop: str | None, tall: float) -> Frame:
    """`deep`: how many marks stand side by side in the lanes at the left and the right."""
    x0, x1, low, high = _extent(house)
    cut = (False, False, False, False)
    if crop:
        x0, x1, low, high, cut = _cropped(house, crop, (x0, x1, low, high))
    side = EDGE + 2 * r * deep + BETWEEN * (deep - 1) + marks.STUB + BRACKET
    room = WIDE - 2 * side - beside
    most = STRIP * (1.3 if small else 1.0) if crop else min(TALL[small], tall)
    scale = min(SCALE * (1.6 if small or crop else 1.0), room / (x1 - x0), most / (high - low))
    across, up = (x1 - x0) * scale, (high - low) * scale
    left = side + (room - across) / 2
    return Frame(x0, x1, low, high, scale, Box(left, 0.0, left + across, up), side, cut)


def _rings(frame: Frame, beside: float, small: bool) -> Iterator[Box]:
    """Where the lanes may run: round what is drawn; wider, and on a phone higher, where that alone would crowd them."""
    i = frame.inner
    room = max(0.0, min(i.x0 - frame.side, WIDE - beside - frame.side - i.x1))
    for wider, higher in ((0.0, 0.0), (0.5, 0.0), (1.0, 0.0), (1.0, 0.5), (1.0, 1.0)):
        if higher and not small:
            return
        more, up = room * wider, HIGHER * higher
        yield Box(i.x0 - more, i.y0 - up, i.x1 + more, i.y1 + up)


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
