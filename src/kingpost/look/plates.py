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
from PIL import Image

from kingpost.trade.looking import table
from kingpost.visit.facts import Lettering, Photo, Trouble, Visit

from .ingest import ingest, store
from .ingest_worker import upright

EDITION = 2  # raise it when what is read changes
LONGEST = 1600  # px of the longer side; the reader finds no more in a larger one, and takes longer
UPRIGHT_SHARE = 0.5  # of the lines, that must lie level
FIND = 960  # px of the longer side in which lines are looked for; they are read at full size
SECOND, DIFFER = 0.75, 0.7  # size of the second look; what is left of a line's sureness where the two looks differ
CLEAR = 0.9  # mean sureness of letters that are the right way up
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
    # decoded in ingest's own processes, which a damaged file may end, and kept for it
    copies = ingest(visit.folder, [p for p in photos if _kept(p.digest) is None], tell)
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
                if photo.id not in copies.seen:
                    continue  # ingest names it
                kept = reader.read(_pixels(copies.copy(photo) or visit.folder / photo.file))
            except ImportError:
                odd.append(Trouble("photos/", None, f"{len(photos)} photos of plates are not read: no RapidOCR", MEND))
                break
            except OSError:
                continue  # a copy that went in the meantime: it is read next time
            _keep(photo.digest, kept)
        found += [replace(one, photo=photo.id) for one in kept]
    return replace(visit, lettering=tuple(found), trouble=(*visit.trouble, *odd))


def _pixels(path: Path) -> NDArray[np.uint8]:
    return np.asarray(upright(path, LONGEST))


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
    """RapidOCR, loaded once. Raises ImportError where it is not installed.

    threads  processors to use; 0 leaves it to the library
    """

    def __init__(self, threads: int = 0) -> None:
        from rapidocr import RapidOCR

        logging.getLogger("RapidOCR").setLevel(logging.ERROR)
        # without its own turning of single lines: it would read an upside-down plate and leave its rows upside down
        params: dict[str, Any] = {"Global.log_level": "error", "Global.use_cls": False}
        params |= {"Det.limit_type": "max", "Det.limit_side_len": FIND}
        for kind in ("intra", "inter") if threads else ():
            params[f"EngineConfig.onnxruntime.{kind}_op_num_threads"] = threads
        self._engine: Any = RapidOCR(params=params)

    def read(self, image: NDArray[np.uint8]) -> list[Lettering]:
        """The lines of a picture (RGB), turned so that most lie level; corners in px of the turned picture.

        It is looked at twice, the second time smaller: a line that is not read alike both times is doubted. What a
        reader guesses at an edge of a letter changes with the size; what stands there does not.
        """
        lines, k = self._turned(image)
        if not lines:
            return []
        smaller = Image.fromarray(np.ascontiguousarray(np.rot90(image, k)))
        size = (round(SECOND * smaller.width), round(SECOND * smaller.height))
        return agreed(lines, self._lines(np.asarray(smaller.resize(size, Image.Resampling.BICUBIC))), SECOND)

    def _turned(self, image: NDArray[np.uint8]) -> tuple[list[Lettering], int]:
        """The lines and how often the picture was turned left, by 90 degrees, to read them: most is read upright."""
        first = self._lines(image)
        level = sum(_level(one) for one in first) >= UPRIGHT_SHARE * len(first)
        if not first or (level and _clear(first)):
            return first, 0
        tries = [(first, 0)] if level else []
        for k in (2,) if level else (1, 3):
            tries.append((self._lines(np.ascontiguousarray(np.rot90(image, k))), k))
            if tries[-1][0] and _clear(tries[-1][0]):
                break
        return max(tries, key=lambda one: _worth(one[0]))

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


def agreed(first: Sequence[Lettering], second: Sequence[Lettering], scale: float) -> list[Lettering]:
    """The lines of a first look, those less sure that a second one does not hold the same where they stand.

    scale  of the second picture against the first
    """
    out = []
    for one in first:
        left, right, top, bottom = _box(one)
        row = []
        for other in second:
            a, b, c, d = (v / scale for v in _box(other))
            across = min(bottom, d) - max(top, c)
            if min(right, b) > max(left, a) and across > 0.5 * min(bottom - top, d - c):
                row.append((a, _squeezed(other.text)))
        there, mine = "".join(text for _, text in sorted(row)), re.escape(_squeezed(one.text))
        same = re.search(rf"(?<![\d.,]){mine}(?![\d.,]*\d)" if mine[:1].isdigit() else mine, there)
        out.append(one if same else replace(one, sure=round(DIFFER * one.sure, 4)))
    return out


def _box(one: Lettering) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in one.corners], [y for _, y in one.corners]
    return min(xs), max(xs), min(ys), max(ys)


def _squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text.upper()).strip(".:-=")


def _level(one: Lettering) -> bool:
    (ax, ay), (bx, by), *_ = one.corners
    return abs(bx - ax) >= abs(by - ay) and _wide(one)


def _wide(one: Lettering) -> bool:
    xs, ys = [x for x, _ in one.corners], [y for _, y in one.corners]
    return len(one.text) < 3 or max(xs) - min(xs) >= max(ys) - min(ys)


def _clear(lines: Sequence[Lettering]) -> bool:
    """Is it lettering the right way up? Upside down, most of it is guessed."""
    letters = sum(len(one.text) for one in lines)
    return _worth(lines) >= CLEAR * letters


def _worth(lines: Sequence[Lettering]) -> float:
    return sum(one.sure * len(one.text) for one in lines)


def by_photo(lettering: Sequence[Lettering]) -> Mapping[str, list[Lettering]]:
    """The lines of each photo."""
    out: dict[str, list[Lettering]] = {}
    for one in lettering:
        out.setdefault(one.photo, []).append(one)
    return out
