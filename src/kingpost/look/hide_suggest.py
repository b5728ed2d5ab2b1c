"""Papers and screens in pictures, for the inspector to hide: where many lines of lettering stand close together.

Asked for in visit.toml (`[pictures] look_for_papers = true`), because it takes up to a processor second a picture.
Nothing is hidden by it: a suggestion stands in the record until a decision takes it or leaves it. It finds no faces: no
detector of faces ships with what we install, and none is fetched. Plates are left out: their lettering is what they are
for.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kingpost.visit.facts import Photo, Trouble, Visit

from .ingest import ingest, store
from .ingest_worker import upright
from .plates import MEND, likely

EDITION = 1  # raise it when what is found changes
FIND = 960  # px of the longer side: lettering that cannot be found at it cannot be read in the report's copies
LINES = 5  # of lettering, close together, from which it may be a paper or a screen; our choice
NEAR = 1.5  # heights of a line within which the next one belongs to it
Box = tuple[float, float, float, float]  # left, top, width, height in shares of the upright picture


def look(visit: Visit, tell: Callable[[str], None] | None = None) -> Visit:
    """The visit with the boxes that may show papers or screens, where visit.toml asks for it."""
    if visit.facts.more.get("pictures", {}).get("look_for_papers") is not True:
        return visit
    plates = {p.id for p in likely(visit)}
    photos = [p for p in visit.photos if p.id not in plates]
    copies = ingest(visit.folder, photos, tell)
    found: dict[str, tuple[Box, ...]] = {}
    finder: Finder | None = None
    for number, photo in enumerate((p for p in photos if p.id in copies.seen), 1):
        boxes = _kept(photo)
        if boxes is None:
            if tell and number % 10 == 1:
                tell(f"looking for papers and screens, {number} of {len(photos)}")
            try:
                finder = finder or Finder()
                image = upright(copies.copy(photo) or visit.folder / photo.file)
            except ImportError:
                odd = Trouble("photos/", None, "papers and screens are not looked for: no RapidOCR", MEND)
                return replace(visit, trouble=(*visit.trouble, odd))
            except OSError:
                continue
            boxes = papers(finder.lines(np.asarray(image)))
            keep(photo, boxes)
        if boxes:
            found[photo.id] = boxes
    return replace(visit, papers=found)


def papers(lines: Sequence[Box]) -> tuple[Box, ...]:
    """Boxes around lines of lettering that stand close together, from top to bottom.

    >>> papers([(0.2, 0.1 + 0.03 * n, 0.3, 0.02) for n in range(6)] + [(0.8, 0.9, 0.1, 0.02)])
    ((0.18, 0.08, 0.34, 0.21),)
    """
    groups: list[list[Box]] = []
    for line in sorted(lines, key=lambda b: (b[1], b[0])):
        mine = [g for g in groups if any(_near(line, other) for other in g)]
        groups = [g for g in groups if g not in mine] + [[line, *(b for g in mine for b in g)]]
    out = []
    for group in (g for g in groups if len(g) >= LINES):
        edge = float(np.median([b[3] for b in group]))  # a line's height more on every side
        left, top = (max(0.0, min(b[k] for b in group) - edge) for k in (0, 1))
        right, low = (min(1.0, max(b[k] + b[k + 2] for b in group) + edge) for k in (0, 1))
        out.append((round(left, 3), round(top, 3), round(right - left, 3), round(low - top, 3)))
    return tuple(sorted(out, key=lambda b: (b[1], b[0])))


def _near(one: Box, other: Box) -> bool:
    gap = NEAR * min(one[3], other[3])
    across = max(one[0], other[0]) - min(one[0] + one[2], other[0] + other[2])
    down = max(one[1], other[1]) - min(one[1] + one[3], other[1] + other[3])
    return across <= gap and down <= gap


class Finder:
    """The part of RapidOCR that finds lines and does not read them. Raises ImportError where it is not installed."""

    def __init__(self) -> None:
        from rapidocr import RapidOCR

        logging.getLogger("RapidOCR").setLevel(logging.ERROR)
        sizes = {"Det.limit_type": "max", "Det.limit_side_len": FIND}
        self._engine: Any = RapidOCR(params={"Global.log_level": "error", **sizes})

    def lines(self, image: NDArray[np.uint8]) -> list[Box]:
        """Boxes of lines of lettering, level around those that are aslant."""
        made = self._engine(np.ascontiguousarray(image[:, :, ::-1]), use_det=True, use_cls=False, use_rec=False)
        high, wide = image.shape[:2]
        out = []
        for corners in made.boxes if made.boxes is not None else ():
            xs, ys = [float(x) / wide for x, _ in corners], [float(y) / high for _, y in corners]
            out.append((min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)))
        return out


def _path(photo: Photo) -> Path:
    return store().parent / f"papers-{EDITION}" / photo.digest[:2] / f"{photo.digest}.json"


def _kept(photo: Photo) -> tuple[Box, ...] | None:
    try:
        rows = json.loads(_path(photo).read_text(encoding="utf-8"))
        return tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in rows)
    except (OSError, ValueError, TypeError):
        return None


def keep(photo: Photo, boxes: Sequence[Box]) -> None:
    """Remember what was found in a picture, by its content; the next run looks no more."""
    path = _path(photo)
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        part = path.with_suffix(".part")
        part.write_text(json.dumps(boxes), encoding="utf-8")
        part.replace(path)
    except OSError:
        return  # it is looked at again next time
