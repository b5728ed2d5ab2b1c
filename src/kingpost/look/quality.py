"""What a picture is like: sharp, dark, washed out, covered by a finger; and the marks by which pictures are compared.

Every limit here is our own choice, tried on rendered pictures and on pictures blurred, darkened and covered by us
(bench/photos.py); none comes from a standard (basis: common practice at best). They warn, they never drop a picture.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Pixels = NDArray[np.float32]
Grey = NDArray[np.int16]

TILES = 8  # a picture is judged in 8 x 8 tiles
GRID = 4  # colours are compared in 4 x 4 fields
LUMA, CHROMA = 8, 6  # steps of the two histograms
SOFT = 0.4  # sharpest edge below which the whole picture is blurred; 1 is a line drawn between two pixels
DARK, DARK_LIGHT = 38.0, 90.0  # mean and 95th percentile of brightness, 0 to 255, below which nothing can be seen
WHITE, BLOWN = 252, 0.12  # a channel at this value has no drawing left; share of the picture that may be so
COVERED = 0.10  # share of the picture that a smooth, unsharp, skin-coloured patch at its edge may take
EDGE = 24.0  # steps of brightness between neighbours that count as an edge of a thing, at 800 px


@dataclass(frozen=True, slots=True)
class Seen:
    """What was measured on one picture. Whole numbers and few digits, so that the same picture gives the same bytes."""

    hash: str  # 64-bit difference hash of the upright picture, 16 hex digits
    fields: tuple[int, ...]  # mean colour of 4 x 4 fields: Y, Cb, Cr, 0 to 255
    tones: tuple[int, ...]  # histogram of brightness, then of colour, in thousandths
    sharp: float  # steepness of the sharpest edges, 0 to about 1
    bright: float  # mean brightness, 0 to 255
    light: float  # 95th percentile of brightness
    white: float  # share without any drawing left
    covered: float  # share that a finger may cover

    def as_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def of_json(cls, said: Mapping[str, Any]) -> Seen:
        """Raises KeyError, TypeError or ValueError where it is not what `as_json` wrote."""
        numbers = {k: float(said[k]) for k in ("sharp", "bright", "light", "white", "covered")}
        fields, tones = tuple(map(int, said["fields"])), tuple(map(int, said["tones"]))
        if len(fields) != 3 * GRID * GRID or len(tones) != LUMA + CHROMA * CHROMA:
            raise ValueError("not the marks of a picture")
        return cls(f"{int(said['hash'], 16):016x}", fields, tones, **numbers)


def measure(upright: Image.Image) -> Seen:
    """Measure one picture (RGB, upright, at most some 1600 px long)."""
    edges = np.asarray(shrunk(upright.convert("L"), 800), dtype=np.int16)
    small = shrunk(upright, 320)
    ycc = np.asarray(small.convert("YCbCr"), dtype=np.float32)
    luma = ycc[:, :, 0]
    return Seen(
        hash=difference_hash(small),
        fields=_fields(small),
        tones=_tones(ycc),
        sharp=round(_sharpness(edges), 3),
        bright=round(float(luma.mean(dtype=np.float64)), 1),
        light=round(float(np.percentile(luma, 95)), 1),
        white=round(float((np.asarray(small).min(axis=2) >= WHITE).mean()), 3),
        covered=round(_covered(ycc), 3),
    )


def within(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """The size with its longer side at most `longest`, in the same proportions; never larger than it was."""
    scale = min(1.0, longest / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def shrunk(image: Image.Image, longest: int) -> Image.Image:
    """The picture with its longer side at most `longest`, each pixel the mean of those it stands for.

    >>> shrunk(Image.new("L", (1600, 1200)), 320).size, shrunk(Image.new("L", (500, 90)), 320).size
    ((320, 240), (320, 58))
    """
    size = within(image.size, longest)
    factor = image.width // size[0]
    if image.size == (size[0] * factor, size[1] * factor):
        return image.reduce(factor)  # the same means, three times as fast
    return image.resize(size, Image.Resampling.BOX)


def difference_hash(upright: Image.Image) -> str:
    """64 bits: is each of 9 x 8 fields brighter than its left neighbour? Turn the picture upright first."""
    grey = np.asarray(upright.convert("L").resize((9, 8), Image.Resampling.BOX), dtype=np.int16)
    bits = (grey[:, 1:] > grey[:, :-1]).flatten()
    return f"{int(''.join('1' if b else '0' for b in bits), 2):016x}"


def _fields(picture: Image.Image) -> tuple[int, ...]:
    small = picture.convert("YCbCr").resize((GRID, GRID), Image.Resampling.BOX)
    return tuple(int(v) for v in np.asarray(small).flatten())


def _tones(ycc: Pixels) -> tuple[int, ...]:
    luma = np.histogram(ycc[:, :, 0], bins=LUMA, range=(0, 256))[0]
    cb = np.clip((ycc[:, :, 1] - 128) / 16 + CHROMA / 2, 0, CHROMA - 1).astype(int)
    cr = np.clip((ycc[:, :, 2] - 128) / 16 + CHROMA / 2, 0, CHROMA - 1).astype(int)
    colour = np.bincount((cb * CHROMA + cr).flatten(), minlength=CHROMA * CHROMA)
    count = ycc.shape[0] * ycc.shape[1]
    return tuple(round(1000 * int(n) / count) for n in (*luma, *colour))


def _sharpness(luma: Grey) -> float:
    """How much of a step in brightness falls between two neighbours, at the sharpest edges: independent of contrast.

    Over a step of h, drawn between two pixels, the largest difference is h; smeared over n pixels it is h / n.
    """
    if min(luma.shape) < 24:
        return 1.0
    best: list[float] = []
    for picture in (luma, np.ascontiguousarray(luma.T)):
        near = np.abs(np.diff(picture, axis=1))
        wide = _span(picture, 9)
        middle = near[:, 4 : 4 + wide.shape[1]]
        strong = wide >= EDGE
        if strong.sum() >= 50:
            best.append(float(np.percentile(middle[strong] / wide[strong], 95)))
    return max(best, default=0.0)


def _span(picture: Grey, width: int) -> Grey:
    """Largest less smallest value among `width` neighbours in a row, centred between pixels."""
    count = picture.shape[1] - width
    most, least = picture[:, :count].copy(), picture[:, :count].copy()
    for at in range(1, width + 1):
        np.maximum(most, picture[:, at : at + count], out=most)
        np.minimum(least, picture[:, at : at + count], out=least)
    return most - least


def _covered(ycc: Pixels) -> float:
    """Share of smooth, skin-coloured tiles that hang together and reach a border, where the rest is detailed."""
    height, width = (n // TILES * TILES for n in ycc.shape[:2])
    if not height or not width:
        return 0.0
    tiles = ycc[:height, :width].reshape(TILES, height // TILES, TILES, width // TILES, 3)
    grain = np.abs(np.diff(tiles[..., 0], axis=3)).mean(axis=(1, 3))
    mean = tiles.mean(axis=(1, 3))
    skin = (mean[..., 2] > 138) & (mean[..., 1] < 124) & (mean[..., 0] > 30)
    patch = skin & (grain < 1.2)
    if not patch.any() or float(np.median(grain[~patch], axis=0) if (~patch).any() else 0.0) < 1.2:
        return 0.0
    return _from_border(patch) / (TILES * TILES)


def _from_border(patch: NDArray[np.bool_]) -> int:
    """Tiles of the largest patch that touches a border."""
    left = {(int(r), int(c)) for r, c in np.argwhere(patch)}
    most = 0
    while left:
        todo, group = [left.pop()], []
        while todo:
            r, c = todo.pop()
            group.append((r, c))
            for near in ((r - 1, c), (r + 1, c), (r, c - 1), (r, c + 1)):
                if near in left:
                    left.remove(near)
                    todo.append(near)
        if any(r in (0, TILES - 1) or c in (0, TILES - 1) for r, c in group):
            most = max(most, len(group))
    return most


def faults(seen: Seen) -> tuple[str, ...]:
    """What is wrong with a picture, in words for the person who can take it again.

    >>> good = Seen("0" * 16, (90,) * 48, (0,) * 44, 0.9, 110.0, 200.0, 0.01, 0.0)
    >>> from dataclasses import replace
    >>> faults(good), faults(replace(good, sharp=0.1)), faults(replace(good, bright=9.0, light=31.0, sharp=0.0))
    ((), ('blurred',), ('too dark',))
    """
    dark = seen.bright < DARK and seen.light < DARK_LIGHT
    out = []
    if dark:
        out.append("too dark")
    elif seen.sharp < SOFT:
        out.append("blurred")
    if seen.white > BLOWN:
        out.append(f"glare or too bright: {round(100 * seen.white)} % is plain white")
    if seen.covered >= COVERED:
        out.append("perhaps a finger over the lens")
    return tuple(out)


def apart(one: Seen, other: Seen) -> int:
    """In how many of 64 bits two difference hashes differ."""
    return (int(one.hash, 16) ^ int(other.hash, 16)).bit_count()


def likeness(one: Seen, other: Seen) -> float:
    """How alike two pictures are in colours and their layout: 0 nothing in common, 1 the same."""
    tones = sum(map(min, one.tones[:LUMA], other.tones[:LUMA])) / 1000
    colours = sum(map(min, one.tones[LUMA:], other.tones[LUMA:])) / 1000
    layout = sum(abs(a - b) for a, b in zip(one.fields, other.fields, strict=True)) / len(one.fields)
    return round(0.35 * tones + 0.35 * colours + 0.3 * max(0.0, 1 - layout / 40), 4)


def sharpest(group: Sequence[tuple[str, Seen]]) -> str:
    """The id to keep of a burst: no fault first, then the sharpest, then the earlier id."""
    return min(group, key=lambda one: (len(faults(one[1])), -one[1].sharp, one[0]))[0]
