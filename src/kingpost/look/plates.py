"""Rating plates: which photos show one, and the lettering in them. Needs RapidOCR (`kingpost[look]`).

A photo is read where its name or the words said about then speak of a plate or a label: reading takes a second or two,
so not every photo is. What was read is kept by the photo's content beside the small copies, and used again.
"""

from __future__ import annotations

import json
import logging
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kingpost.trade.looking import table
from kingpost.visit.facts import Lettering, Photo, Trouble, Visit

from .ingest import store
from .ingest_worker import upright

EDITION = 1  # raise it when what is read changes
LONGEST = 1600  # px of the longer side; the reader finds no more in a larger one, and takes longer
UPRIGHT_SHARE = 0.5  # of the lines, that must lie level
TRUST = 0.5  # below it a line is no lettering
MEND = "install it with: pip install 'kingpost[look]'"


def likely(visit: Visit) -> list[Photo]:
    """The photos to read: named after a plate, or taken while words tell of one."""
    data = table("plates.toml")
    names, words, limits = data["photos"]["names"], data["photos"]["words"], data["limits"]
    said = re.compile(r"\b(?:" + "|".join(map(re.escape, words)) + r")s?\b", re.IGNORECASE)
    start = visit.facts.started
    spoken: list[tuple[float, float]] = []
    for walk in visit.walks:
        shift = (walk.started - start).total_seconds() if walk.started and start else 0.0
        spoken += [(c.start + shift, c.end + shift) for c in walk.cues if said.search(c.text)]
    out = []
    for photo in visit.photos:
        base = photo.file.rpartition("/")[2].lower()
        at = photo.seconds
        told = at is not None and any(a - limits["after_s"] <= at <= b + limits["near_s"] for a, b in spoken)
        if told or any(name in base for name in names):
            out.append(photo)
    return out[: int(limits["most"])]


def read_visit(visit: Visit, tell: Callable[[str], None] | None = None) -> Visit:
    """The visit with the lettering of its plates; without RapidOCR, with a trouble that says what to install."""
    photos = likely(visit)
    if not photos:
        return visit
    found: list[Lettering] = []
    reader: Reader | None = None
    odd: list[Trouble] = []
    for number, photo in enumerate(photos, 1):
        kept = _kept(photo.digest)
        if kept is None:
            if tell:
                tell(f"reading plates, {number} of {len(photos)}")
            try:
                reader = reader or Reader()
                kept = reader.read(np.asarray(upright(visit.folder / photo.file, LONGEST)))
            except ImportError:
                odd.append(Trouble("photos/", None, f"{len(photos)} photos of plates are not read: no RapidOCR", MEND))
                break
            except OSError:
                continue  # ingest names it
            _keep(photo.digest, kept)
        found += [replace(one, photo=photo.id) for one in kept]
    return replace(visit, lettering=tuple(found), trouble=(*visit.trouble, *odd))


def _path(digest: str) -> Path:
    return store().parent / f"plates-{EDITION}" / digest[:2] / f"{digest}.json"


def _kept(digest: str) -> list[Lettering] | None:
    try:
        rows = json.loads(_path(digest).read_text(encoding="utf-8"))
        return [Lettering("", str(t), float(s), tuple((float(x), float(y)) for x, y in c)) for t, s, c in rows]
    except (OSError, ValueError, TypeError):
        return None


def _keep(digest: str, found: Iterable[Lettering]) -> None:
    path = _path(digest)
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        part = path.with_suffix(".part")
        part.write_text(json.dumps([[f.text, f.sure, f.corners] for f in found]), encoding="utf-8")
        part.replace(path)
    except OSError:
        return  # it is read again next time


class Reader:
    """RapidOCR, loaded once. Raises ImportError where it is not installed."""

    def __init__(self) -> None:
        from rapidocr import RapidOCR

        logging.getLogger("RapidOCR").setLevel(logging.ERROR)
        self._engine: Any = RapidOCR(params={"Global.log_level": "error"})

    def read(self, image: NDArray[np.uint8]) -> list[Lettering]:
        """The lines of a picture (RGB), turned so that most lie level; corners in px of the turned picture."""
        lines = self._lines(image)
        level = sum(_level(one) for one in lines)
        if lines and level < UPRIGHT_SHARE * len(lines):
            turned = [self._lines(np.ascontiguousarray(np.rot90(image, k))) for k in (1, 3)]
            lines = max(turned, key=_worth)
        return lines

    def _lines(self, image: NDArray[np.uint8]) -> list[Lettering]:
        made = self._engine(np.ascontiguousarray(image[:, :, ::-1]))
        if made.txts is None or made.boxes is None:
            return []
        return [
            Lettering(
                "", str(t).strip(), round(float(s), 4), tuple((round(float(x), 1), round(float(y), 1)) for x, y in b)
            )
            for t, s, b in zip(made.txts, made.scores, made.boxes, strict=True)
            if s >= TRUST and str(t).strip()
        ]


def _level(one: Lettering) -> bool:
    (ax, ay), (bx, by), *_ = one.corners
    return abs(bx - ax) >= abs(by - ay) and _wide(one)


def _wide(one: Lettering) -> bool:
    xs, ys = [x for x, _ in one.corners], [y for _, y in one.corners]
    return len(one.text) < 3 or max(xs) - min(xs) >= max(ys) - min(ys)


def _worth(lines: Sequence[Lettering]) -> float:
    return sum(one.sure * len(one.text) for one in lines)


def by_photo(lettering: Sequence[Lettering]) -> Mapping[str, list[Lettering]]:
    """The lines of each photo."""
    out: dict[str, list[Lettering]] = {}
    for one in lettering:
        out.setdefault(one.photo, []).append(one)
    return out
