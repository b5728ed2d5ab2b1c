"""Rendered views of the strip with truth: a plane seen by a camera with a lens that bends. No photograph is used."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import cv2
import numpy as np
from numpy.typing import NDArray

from kingpost.look.strip import TAGS, squares

Points = NDArray[np.float64]
PER_MM = 6  # px of the drawn paper
MARGIN = 12.0
WIDE, HIGH = 1000.0, 700.0  # of the plane that is drawn, mm


def paper(tags: tuple[int, ...] = (0, 1)) -> NDArray[np.uint8]:
    """A grey, grainy wall with the strip on white paper in its middle."""
    rng = np.random.default_rng(5)
    grain = cv2.GaussianBlur(rng.normal(150, 60, (int(HIGH * PER_MM) // 8, int(WIDE * PER_MM) // 8)), (0, 0), 2)
    image = cv2.resize(np.clip(grain, 90, 190).astype(np.uint8), (int(WIDE * PER_MM), int(HIGH * PER_MM)))

    def px(x: float, y: float) -> tuple[int, int]:
        return round((x + WIDE / 2) * PER_MM), round((y + HIGH / 2) * PER_MM)

    for s in squares():
        if s.tag not in tags:
            continue
        half = s.side / 2
        (a, b), (c, d) = px(s.x - half - MARGIN, s.y - half - MARGIN), px(s.x + half + MARGIN, s.y + half + MARGIN)
        image[b:d, a:c] = 238
        rows = np.array([[20 if ch == "0" else 238 for ch in row] for row in TAGS[s.tag]], dtype=np.uint8)
        (a, b), side = px(s.x - half, s.y - half), round(s.side * PER_MM)
        image[b : b + side, a : a + side] = cv2.resize(rows, (side, side), interpolation=cv2.INTER_NEAREST)
    return np.asarray(image)


@dataclass(frozen=True)
class Camera:
    """Where it stands and how it sees: turned about the upright and the level axis, mm away, lens bending by `lens`."""

    away: float
    turn: float = 0.0
    tilt: float = 0.0
    roll: float = 0.0
    lens: float = 0.0
    size: tuple[int, int] = (2016, 1512)
    shift: tuple[float, float] = (0.0, 0.0)  # what the camera looks at, mm on the plane

    def matrix(self) -> Points:
        """From the plane in mm to px, before the lens bends it."""
        a, b, c = radians(self.turn), radians(self.tilt), radians(self.roll)
        ry = np.array([[cos(a), 0, sin(a)], [0, 1, 0], [-sin(a), 0, cos(a)]])
        rx = np.array([[1, 0, 0], [0, cos(b), -sin(b)], [0, sin(b), cos(b)]])
        rz = np.array([[cos(c), -sin(c), 0], [sin(c), cos(c), 0], [0, 0, 1]])
        turned = rz @ rx @ ry
        move = np.array([0, 0, self.away]) - turned @ np.array([*self.shift, 0])
        w, h = self.size
        focal = 0.78 * w
        inner = np.array([[focal, 0, (w - 1) / 2], [0, focal, (h - 1) / 2], [0, 0, 1]])
        return np.asarray(inner @ np.c_[turned[:, 0], turned[:, 1], move])

    def straight(self, points: Points) -> Points:
        """px of the bent picture as px of a straight one: the model of the lens is ours, the sign as it comes."""
        middle, half = (np.array(self.size) - 1) / 2, np.hypot(*self.size) / 2
        away = points - middle
        return np.asarray(middle + away * (1 + self.lens * ((away / half) ** 2).sum(axis=-1, keepdims=True)))

    def see(self, points: Points) -> Points:
        """Where points of the plane lie in the picture."""
        out = np.c_[points, np.ones(len(points))] @ self.matrix().T
        want = out[:, :2] / out[:, 2:]
        at = want.copy()
        for _ in range(30):
            at = at + want - self.straight(at)
        return np.asarray(at)

    def picture(self, of: NDArray[np.uint8], rng: np.random.Generator, blur: float, noise: float) -> NDArray[np.uint8]:
        """The plane as this camera shows it."""
        w, h = self.size
        y, x = np.mgrid[0:h, 0:w]
        straight = self.straight(np.stack([x, y], axis=-1).astype(np.float64))
        back = np.linalg.inv(self.matrix())
        mm = np.concatenate([straight, np.ones((h, w, 1))], axis=-1) @ back.T
        at = (mm[..., :2] / mm[..., 2:] + [WIDE / 2, HIGH / 2]) * PER_MM - 0.5
        small = max(1, int(self.away * PER_MM / (0.78 * w)))  # paper px to one of the picture: average them first
        soft = cv2.blur(of, (small, small)) if small > 1 else of
        seen = cv2.remap(soft, at.astype(np.float32)[..., 0], at.astype(np.float32)[..., 1], cv2.INTER_LINEAR,
                         borderValue=140)  # fmt: skip
        if blur > 0:  # light is blurred, not what a file makes of it: white swells a little into black
            light = cv2.GaussianBlur((seen / 255.0) ** 2.2, (0, 0), blur)
            seen = 255.0 * light ** (1 / 2.2)
        return np.asarray(np.clip(seen + rng.normal(0, noise, seen.shape), 0, 255).astype(np.uint8))
