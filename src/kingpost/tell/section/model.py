"""What the section drawing is made of. Heights are feet above the main floor, distances feet from the front wall."""

from __future__ import annotations

from dataclasses import dataclass, field

Point = tuple[float, float]
Span = tuple[float, float, bool] | None  # from, to, and whether it is known
JOIST = 0.9  # ft, depth of a floor with its finish
WALL = 0.5  # ft, an outer wall
HEAD = 0.7  # ft from a ceiling to the outer face of the roof over the wall
SKIN = 0.55  # ft, a roof measured square to its slope
FALL = 0.02  # of the ground away from the house


@dataclass(frozen=True, slots=True)
class Mark:
    """One finding as the drawing shows it."""

    number: int
    standing: str  # deficiency, recommendation, information
    level: str  # one of trade.model.LEVELS
    place: str = ""
    component: str = ""
    anchor: str = ""  # a zone of zones.toml where the caller knows better than the table
    href: str = ""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in drawing units, y downward."""

    x0: float
    y0: float
    x1: float
    y1: float

    def meets(self, other: Box) -> bool:
        """Whether the two share any area."""
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a mark came to stand: its circle, the elbow of its leader, and the dot on the spot."""

    mark: Mark
    x: float
    y: float
    r: float
    elbow: Point
    dot: Point
    zone: str = ""
    leader: tuple[Point, ...] = ()  # from rim or bracket to the dot; empty where another mark of its bunch carries it
    bracket: tuple[Point, ...] = ()  # what holds its bunch together
    alone: bool = True  # False: one of several that hang on one leader


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a finding is on the house: the zone, the point in feet, and which findings lie on the same stretch."""

    zone: str
    at: Point
    group: int


@dataclass(frozen=True, slots=True)
class Drawing:
    """The drawing and what goes with it. `placed` and `labels` say where things came to stand, for tests."""

    svg: str
    alt: str  # what it shows, in sentences
    unknown: tuple[str, ...]  # what is drawn to common sizes because nobody measured it
    box: Box
    placed: tuple[Placed, ...] = ()
    labels: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class Floor:
    """One storey: where its floor and its ceiling are."""

    level: str  # upper, main, lower
    floor: float
    ceiling: float


@dataclass(frozen=True, slots=True)
class Below:
    """What stands under a stretch of a body: slab, crawl, basement, piers or blocks."""

    kind: str
    x0: float
    x1: float
    bottom: float  # height of the ground or slab in it


@dataclass(frozen=True, slots=True)
class Roof:
    """A roof in section. `top` is its outer face from left to right, `plate` the wall heads it sits on."""

    kind: str  # gable, hip, gambrel, shed, flat, a-frame, mansard
    top: tuple[Point, ...]
    ridge: Point
    dormers: tuple[str, ...] = ()  # left, right

    def height(self, x: float) -> float:
        """Height of the outer face over x; beyond the ends, the height of the end."""
        if x <= self.top[0][0]:
            return self.top[0][1]
        for (xa, ha), (xb, hb) in zip(self.top, self.top[1:], strict=False):
            if xa <= x <= xb and xb > xa:
                return ha + (hb - ha) * (x - xa) / (xb - xa)
        return self.top[-1][1]


def surface(ground: tuple[Point, ...], x: float) -> float:
    """Height of the ground at x; beyond what is given it falls away gently."""
    beyond = max(0.0, ground[0][0] - x, x - ground[-1][0])
    return Roof("", ground, (0, 0)).height(x) - FALL * beyond


@dataclass(frozen=True, slots=True)
class Body:
    """A part of the house under one roof: the house itself, an addition, a garage."""

    kind: str  # house, addition, garage
    x0: float
    x1: float
    floors: tuple[Floor, ...]  # lowest first
    plates: Point  # wall head on the left and on the right
    roof: Roof
    below: tuple[Below, ...]
    label: str = ""
    sure: bool = True  # False: its size or side is assumed, and it is drawn dashed
    joined: tuple[bool, bool] = (False, False)  # whether a neighbour's wall closes it on the left, on the right
    masonry: bool = False
    open_attic: bool = True

    @property
    def base(self) -> float:
        """Height of its lowest framed floor or slab."""
        return self.floors[0].floor

    @property
    def middle(self) -> float:
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True, slots=True)
class Thing:
    """A piece of equipment and where it stands; `sure` False is drawn dashed."""

    kind: str  # furnace, water_heater, panel, condenser
    x: float
    floor: float
    zone: str  # attic, upper, main, lower, crawl, garage, ground
    sure: bool = True


@dataclass(frozen=True, slots=True)
class House:
    """Everything that is drawn."""

    form: str
    bodies: tuple[Body, ...]  # left to right
    ground: tuple[Point, ...]  # the surface, left to right
    things: tuple[Thing, ...] = ()
    porch: tuple[float, float, bool] | None = None  # from, to, sure
    deck: tuple[float, float, bool] | None = None
    chimney: tuple[float, bool] | None = None  # where, sure
    labels: tuple[tuple[float, float, str, bool], ...] = ()  # from, to, words, measured
    heights: tuple[tuple[str, float, bool], ...] = ()  # name, height, measured
    unknown: tuple[str, ...] = ()
    says: str = ""
    stairs: tuple[tuple[Point, Point], ...] = ()  # foot and head of each flight
    extra: frozenset[str] = field(default_factory=frozenset)  # party_wall, skirt, entry_landing

    def ground_at(self, x: float) -> float:
        """Height of the ground at x."""
        return surface(self.ground, x)

    @property
    def main(self) -> Body:
        """The body that holds the main floor."""
        houses = [b for b in self.bodies if b.kind == "house"]
        return next((b for b in houses if any(f.level == "main" for f in b.floors)), houses[0])

    @property
    def tall(self) -> Body:
        """The body with the highest ridge."""
        return max((b for b in self.bodies if b.kind == "house"), key=lambda b: b.roof.ridge[1])
