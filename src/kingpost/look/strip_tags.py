"""Finding the tags of a strip, or one tag of a card, in a picture. Needs OpenCV (`kingpost[look]`)."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from . import heic
from .strip import TAG_MM, TAGS, Square, squares

Points = NDArray[np.float64]
MOST_PIXELS = 12_200_000  # more is found no better, and takes longer
CELLS = 8  # of a tag each way, its rim with it; fewer in small sets, which does no harm
REACH_SHARE, LEAST_REACH, MOST_REACH = 0.7, 2.5, 12.0  # how far across a side is looked: of a cell; px
ROUNDS, PLACES, INNER, STEP = 2, 40, 0.93, 0.25
FLOOR, LEAST_RISE = 0.15, 20.0  # of the steepest rise; grey levels from black to white
SURE_PX = 0.2


class MeasureError(ValueError):
    """A length that cannot be told from this picture; the text says why and what to do."""


class LookMissing(RuntimeError):
    """OpenCV is not installed."""


@dataclass(frozen=True, slots=True)
class Found:
    """Tags in a picture: their squares on the paper and their corners in it, (n, 4, 2) px of the upright picture."""

    squares: tuple[Square, ...]
    corners: Points
    width: int
    height: int


def open_grey(path: Path) -> NDArray[np.uint8]:
    """The upright picture in grey at full size. Raises MeasureError where it cannot be decoded."""
    try:
        with warnings.catch_warnings():  # one picture of 100 MP is no attack; the bound itself stays
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with heic.opened(path, 100_000) if heic.holds(path) else Image.open(path) as opened:
                return np.asarray(ImageOps.exif_transpose(opened).convert("L"))
    except FileNotFoundError:
        why = "is not there; give a JPEG, PNG or HEIC"
    except IsADirectoryError:
        why = "is a folder; give one photo in it"
    except PermissionError:
        why = "may not be read; give yourself the right to read it"
    except Image.DecompressionBombError:
        why = "is too large to unpack (over 178 million pixels); give it smaller, and count the points in that one"
    except (OSError, UnidentifiedImageError, ValueError, SyntaxError):
        empty = path.stat().st_size == 0
        why = "is empty" if empty else "cannot be read as a picture: no picture, or damaged, or cut short"
        why += "; copy it from the camera once more, as JPEG, PNG or HEIC"
    raise MeasureError(f"{path}: {why}")


def find(grey: NDArray[np.uint8], tag_mm: float | None = None, scale: float = 1.0) -> Found:
    """The tags in a picture.

    tag_mm  side of a single square tag of another card (36h11, or 4x4_50); None for our strip, whole or half
    scale   what the printed check line measures, as a share of what it should

    Raises MeasureError where there is none, LookMissing without OpenCV.
    """
    try:
        import cv2
    except ImportError:
        raise LookMissing("measuring needs OpenCV; install it with: pip install 'kingpost[look]'") from None
    shrink = min(1.0, (MOST_PIXELS / grey.size) ** 0.5)
    image = cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA) if shrink < 1 else grey
    kinds = (cv2.aruco.DICT_APRILTAG_36h11,) if tag_mm is None else (
        cv2.aruco.DICT_APRILTAG_36h11, cv2.aruco.DICT_4X4_50
    )  # fmt: skip
    for kind in kinds:
        seen = _seen(cv2, image, kind)
        if tag_mm is None:
            seen = {number: c for number, c in seen.items() if number in TAGS}
            drawn = {s.tag: Square(s.tag, s.x * scale, s.y * scale, TAG_MM * scale) for s in squares()}
        else:
            drawn = {number: Square(number, 0.0, 0.0, tag_mm * scale) for number in seen}
        if seen and tag_mm is not None and len(seen) > 1:
            raise MeasureError(
                "more than one tag is in the picture; cover all but one, or leave --tag-mm out if it is our strip"
            )
        if seen:
            order = sorted(seen)
            corners = (np.array([seen[n] for n in order]) + 0.5) / shrink - 0.5
            return Found(tuple(drawn[n] for n in order), corners, grey.shape[1], grey.shape[0])
    raise MeasureError(_none_found(cv2, image, tag_mm))


def _none_found(cv2: Any, image: NDArray[np.uint8], tag_mm: float | None) -> str:
    """Why nothing can be measured by, and what to do: a card of another kind may lie there."""
    if tag_mm is not None:
        return "no tag is found (36h11 or 4x4_50); it must be whole, sharp, out of glare, with white paper around it"
    if any(_seen(cv2, image, kind) for kind in (cv2.aruco.DICT_4X4_50, cv2.aruco.DICT_APRILTAG_36h11)):
        return "a tag is found, but it is not of our strip; say how long its black side is, as --tag-mm 100"
    return "no tag of the strip is found; both must be whole, sharp, out of glare, with white paper around them"


def _seen(cv2: Any, image: NDArray[np.uint8], kind: int) -> dict[int, Points]:
    """Corners of each tag by its number, refined to a part of a pixel; a number that stands twice is left out."""
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(kind), cv2.aruco.DetectorParameters())
    quads, numbers, _ = detector.detectMarkers(image)
    out: dict[int, Points] = {}
    twice = set()
    for quad, number in zip(quads, [] if numbers is None else numbers.ravel().tolist(), strict=True):
        if number in out:
            twice.add(number)
        out[number] = _refined(cv2, image, quad.reshape(4, 2))
    return {number: c for number, c in out.items() if number not in twice}


def _refined(cv2: Any, image: NDArray[np.uint8], quad: NDArray[np.float32]) -> Points:
    """Corners as the crossings of the four sides. A corner that is looked for by itself is drawn inward by blur."""
    cell = float(np.linalg.norm(quad - np.roll(quad, 1, axis=0), axis=1).min()) / CELLS
    reach = min(max(cell * REACH_SHARE, LEAST_REACH), MOST_REACH)
    corners = np.asarray(quad, dtype=np.float64)
    for _ in range(ROUNDS):
        sides = [_side(cv2, image, corners[i], corners[(i + 1) % 4], reach) for i in range(4)]
        if any(side is None for side in sides):
            return np.asarray(quad, dtype=np.float64)
        lines = np.array(sides)
        crossed = np.cross(np.roll(lines, 1, axis=0), lines)
        made = crossed[:, :2] / crossed[:, 2:]
        if not np.isfinite(made).all() or np.abs(made - quad).max() > cell:
            return np.asarray(quad, dtype=np.float64)
        corners = made
    return corners


def _side(cv2: Any, image: NDArray[np.uint8], a: Points, b: Points, reach: float) -> Points | None:
    """One side as a line (a, b, c): where brightness changes most, looked for across it at many places."""
    along = (b - a) / np.linalg.norm(b - a)
    normal = np.array([along[1], -along[0]])  # outward: corners run clockwise in a picture whose y runs down
    share, step = np.linspace(1 - INNER, INNER, PLACES), np.arange(-reach, reach + STEP, STEP)
    at = (a + share[:, None] * (b - a))[:, None] + step[None, :, None] * normal
    grey = cv2.remap(image, at.astype(np.float32)[..., 0], at.astype(np.float32)[..., 1], cv2.INTER_LINEAR,
                     borderMode=cv2.BORDER_REPLICATE).astype(np.float64)  # fmt: skip
    rise = np.clip(np.diff(grey, axis=1), 0, None)
    rise[rise < rise.max(axis=1, keepdims=True) * FLOOR] = 0
    weight = rise.sum(axis=1)
    if (weight < LEAST_RISE).sum() > PLACES / 2:
        return None
    good = weight >= LEAST_RISE
    middle = (rise @ (step[:-1] + STEP / 2))[good] / weight[good]
    points = (a + share[:, None] * (b - a))[good] + middle[:, None] * normal
    off = middle - np.polyval(np.polyfit(share[good], middle, 1), share[good])
    points = points[np.abs(off) <= max(SURE_PX, 2 * float(np.median(np.abs(off))))]
    centre = points.mean(axis=0)
    across = np.linalg.svd(points - centre)[2][-1]
    return np.array([*across, -across @ centre])
