"""The pen: house feet to drawing units, a line weight for each kind of line, paths as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .model import Point

THEMES = {  # paper, ink, mark, number on a full mark, linen
    "light": ("#fbfcfb", "#17202b", "#86176b", "#ffffff", "#e7edee"),
    "print": ("#ffffff", "#17202b", "#86176b", "#ffffff", "#f1f4f4"),
    "dark": ("#0b141d", "#e8edee", "#f194d2", "#1d0617", "#14212d"),
}
LARGE = {"cut": 3.0, "outline": 1.7, "beyond": 1.0, "fine": 0.6, "hatch": 0.55, "insulation": 0.9, "lead": 1.5}
SMALL = {"cut": 6.0, "outline": 3.4, "beyond": 2.0, "fine": 0.0, "hatch": 0.0, "insulation": 0.0, "lead": 2.8}
STRENGTH = {"beyond": 0.78, "fine": 0.5, "hatch": 0.7, "insulation": 0.8}


def num(value: float) -> str:
    """
    >>> num(12.0), num(-0.04), num(3.26)
    ('12', '0', '3.3')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


@dataclass(frozen=True, slots=True)
class Look:
    """Colours and weights of one drawing."""

    paper: str
    ink: str
    mark: str
    on_mark: str
    linen: str
    weight: dict[str, float]
    small: bool


def look(theme: str, small: bool) -> Look:
    """The look by its name. Raises ValueError naming the themes there are."""
    if theme not in THEMES:
        raise ValueError(f'theme is "{theme}"; write one of {", ".join(THEMES)}')
    return Look(*THEMES[theme], SMALL if small else LARGE, small)


class Pen:
    """Draws in house feet. Consecutive lines of one kind become one path."""

    def __init__(
        self, look: Look, scale: float, origin: Point, band: tuple[float, float, float, float] | None = None
    ) -> None:
        self.look, self.scale, self.origin = look, scale, origin
        self.band = band  # lowest, highest, leftmost and rightmost feet worth drawing
        self._out: list[str] = []
        self._open: tuple[str, list[str]] | None = None

    def at(self, p: Point) -> Point:
        """House feet to drawing units."""
        return self.origin[0] + p[0] * self.scale, self.origin[1] - p[1] * self.scale

    def d(self, points: Iterable[Point], closed: bool = False) -> str:
        """Points as path data."""
        steps = [f"{num(x)},{num(y)}" for x, y in map(self.at, points)]
        return "M" + "L".join(steps) + ("z" if closed else "")

    # ---- strokes
    def line(self, kind: str, *points: Point, dashed: bool = False, closed: bool = False) -> None:
        """A line of one of the weights; a weight of nothing is not drawn."""
        if not self._out_of_band(points):
            self.stroke(kind, self.d(points, closed), dashed)

    def _out_of_band(self, points: Sequence[Point]) -> bool:
        if not self.band:
            return False
        low, high, left, right = self.band
        return (
            all(h < low for _, h in points)
            or all(h > high for _, h in points)
            or all(x < left for x, _ in points)
            or all(x > right for x, _ in points)
        )

    def stroke(self, kind: str, d: str, dashed: bool = False) -> None:
        """Path data drawn as a line."""
        weight = self.look.weight[kind]
        if not weight or not d:
            return
        dash = f' stroke-dasharray="{num(weight * 4 + 2)} {num(weight * 2.2 + 2)}"' if dashed else ""
        strength = STRENGTH.get(kind, 1.0)
        faint = f' stroke-opacity="{strength:g}"' if strength < 1 else ""
        attrs = f'fill="none" stroke="{self.look.ink}" stroke-width="{weight:g}" stroke-linejoin="round"{faint}{dash}'
        if self._open and self._open[0] == attrs:
            self._open[1].append(d)
            return
        self._flush()
        self._open = (attrs, [d])

    # ---- areas
    def area(
        self, points: Sequence[Point], kind: str = "", ink: bool = False, dashed: bool = False, tone: str = ""
    ) -> None:
        """A closed area of paper (or ink, or a tone), with an edge of the given weight."""
        if self._out_of_band(points):
            return
        self._flush()
        fill = tone or (self.look.ink if ink else self.look.paper)
        edge = ""
        if kind and self.look.weight[kind]:
            weight = self.look.weight[kind]
            dash = f' stroke-dasharray="{num(weight * 4 + 2)} {num(weight * 2.2 + 2)}"' if dashed else ""
            faint = f' stroke-opacity="{STRENGTH[kind]:g}"' if kind in STRENGTH else ""
            edge = f' stroke="{self.look.ink}" stroke-width="{weight:g}" stroke-linejoin="round"{faint}{dash}'
        self._out.append(f'<path d="{self.d(points, True)}" fill="{fill}"{edge}/>')

    def rect(
        self, kind: str, x0: float, h0: float, x1: float, h1: float, *, ink: bool = False, dashed: bool = False
    ) -> None:
        """An upright rectangle as an area."""
        self.area(((x0, h0), (x1, h0), (x1, h1), (x0, h1)), kind, ink, dashed)

    def box(self, kind: str, x0: float, h0: float, x1: float, h1: float, *, dashed: bool = False) -> None:
        """An upright rectangle as a line."""
        self.line(kind, (x0, h0), (x1, h0), (x1, h1), (x0, h1), closed=True, dashed=dashed)

    def ring(self, kind: str, x: float, h: float, r: float, *, filled: bool = False, dashed: bool = False) -> None:
        """A circle of r feet."""
        cx, cy = self.at((x, h))
        r *= self.scale
        d = f"M{num(cx - r)},{num(cy)}a{num(r)},{num(r)} 0 1 0 {num(2 * r)},0a{num(r)},{num(r)} 0 1 0 {num(-2 * r)},0z"
        if filled:
            self._flush()
            self._out.append(f'<path d="{d}" fill="{self.look.paper}"/>')
        self.stroke(kind, d, dashed)

    def raw(self, text: str) -> None:
        """Markup as it stands."""
        self._flush()
        self._out.append(text)

    def _flush(self) -> None:
        if self._open:
            self._out.append(f'<path d="{"".join(self._open[1])}" {self._open[0]}/>')
            self._open = None

    def text(self) -> str:
        """All that was drawn."""
        self._flush()
        return "".join(self._out)
