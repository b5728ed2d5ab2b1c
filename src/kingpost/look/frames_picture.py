"""A thermal frame as a picture: temperatures in even steps of colour, from dark blue over grey to pale yellow.

The colours run along a path that is even to the eye (equal steps in CIELAB) and rises in lightness all the way, so that
it reads the same in grey and for most who see colours otherwise. They are computed here, not taken from a table.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from .frames import Matrix

STEPS = 256
# Knots of the path: lightness, chroma, hue in degrees (OKLab, B. Ottosson 2020; the matrices from memory, tests hold
# the result against another program's CIELAB). Our own choice of colours.
KNOTS = ((0.19, 0.09, 268.0), (0.40, 0.085, 262.0), (0.58, 0.03, 265.0), (0.74, 0.07, 98.0), (0.94, 0.13, 102.0))
LMS = ((1.0, 0.3963377774, 0.2158037573), (1.0, -0.1055613458, -0.0638541728), (1.0, -0.0894841775, -1.2914855480))
RGB = (
    (4.0767416621, -3.3077115913, 0.2309699292),
    (-1.2684380046, 2.6097574011, -0.3413193965),
    (-0.0041960863, -0.7034186147, 1.7076147010),
)
# Linear sRGB to XYZ and the white of D65: IEC 61966-2-1:1999, from memory
XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
WHITE = (0.9505, 1.0, 1.089)
WIDE = 640  # px; a frame of 320 is drawn at twice its size


@dataclass(frozen=True, slots=True)
class HeatPicture:
    """PNGs of a frame and of its scale, and the temperatures at the scale's ends."""

    png: bytes
    scale: bytes
    width: int
    height: int
    low_c: float
    high_c: float


@cache
def palette() -> NDArray[np.uint8]:
    """256 colours, sRGB, cold first."""
    points = [(light, c * cos(radians(h)), c * sin(radians(h))) for light, c, h in KNOTS]
    at = np.linspace(0, len(points) - 1, 2000)
    lab = np.stack([np.interp(at, range(len(points)), [p[i] for p in points]) for i in range(3)], axis=1)
    smooth = np.stack([np.convolve(np.pad(v, 200, mode="edge"), np.ones(401) / 401, "valid") for v in lab.T], axis=1)
    linear = np.clip((smooth @ np.array(LMS).T) ** 3 @ np.array(RGB).T, 0, 1)
    seen = _cielab(linear)
    way = np.r_[0, np.cumsum(np.linalg.norm(np.diff(seen, axis=0), axis=1))]
    even = np.stack([np.interp(np.linspace(0, way[-1], STEPS), way, v) for v in linear.T], axis=1)
    coded = np.where(even <= 0.0031308, 12.92 * even, 1.055 * even ** (1 / 2.4) - 0.055)
    return np.asarray(np.round(coded * 255).astype(np.uint8))


def _cielab(linear: Matrix) -> Matrix:
    """CIELAB, CIE 015:2004, from memory; tests hold it against another program."""
    t = linear @ np.array(XYZ).T / np.array(WHITE)
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], axis=1)


def draw(celsius: Matrix) -> HeatPicture:
    """A frame as a picture. The scale leaves out the outermost hundredth at each end."""
    low, high = (float(v) for v in np.quantile(celsius, (0.005, 0.995)))
    if high - low < 1.0:  # noise must not look like a find
        low, high = (low + high) / 2 - 0.5, (low + high) / 2 + 0.5
    grey = np.clip((celsius - low) / (high - low) * (STEPS - 1), 0, STEPS - 1)
    image = Image.fromarray(grey.astype(np.float32))
    wide = max(1, WIDE // celsius.shape[1]) * celsius.shape[1]
    tall = round(wide * celsius.shape[0] / celsius.shape[1])
    image = image.resize((wide, tall), Image.Resampling.BICUBIC)
    index = np.clip(np.round(np.asarray(image)), 0, STEPS - 1).astype(np.uint8)
    bar = np.repeat(np.arange(STEPS, dtype=np.uint8)[None, :], 12, axis=0)
    return HeatPicture(_png(index), _png(bar), wide, tall, low, high)


def _png(index: NDArray[np.uint8]) -> bytes:
    image = Image.frombytes("P", (index.shape[1], index.shape[0]), index.tobytes())
    image.putpalette(palette().tobytes())
    out = io.BytesIO()
    image.save(out, "PNG", optimize=True)
    return out.getvalue()
