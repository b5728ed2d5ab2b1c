"""Pictures: which can be used, when they were taken, how they lie. Pixels are not decoded here."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from PIL import ExifTags, Image, UnidentifiedImageError

from . import heif
from .clocks import between, exif_moment, name_moment, set_right
from .errors import Troubles
from .facts import Facts, Photo
from .text import plain, read_bytes

MOST_BYTES = 256 * 1024 * 1024
MOST_PIXELS = 89_478_485  # Pillow's own line: above it a small file may unpack to fill the memory
MOST_JPEG_PIXELS = 2 * MOST_PIXELS  # a plain JPEG is decoded at a half to an eighth of its size, and never whole
FORMATS = ("JPEG", "PNG")  # and HEIF, see heif.py; Pillow reads several pictures in one (MPO) as JPEG
ENDINGS = (".jpg", ".jpeg", ".png", ".heic", ".heif")
CLIPS = (".mov", ".mp4", ".avi", ".3gp", ".m4v")
ID_DIGITS = 12
FAR_H = 12.0  # a picture so far from the start of the visit was taken by a wrong clock, or of another house
_BAD_EXIF = (OSError, ValueError, SyntaxError, TypeError, LookupError, ArithmeticError, AttributeError, struct.error)


@dataclass(frozen=True, slots=True)
class _Look:
    """What the head of a picture says."""

    width: int
    height: int
    orientation: int
    device: str
    moment: datetime | None
    trouble: str = ""


class _Unusable(ValueError):
    """Why a picture cannot be used, and the mend."""

    def __init__(self, problem: str, mend: str) -> None:
        self.problem, self.mend = problem, mend
        super().__init__(problem)


def read(files: Sequence[tuple[Path, str]], facts: Facts, told: Troubles) -> tuple[Photo, ...]:
    """The pictures of a visit in order of time, those without one last, each content once."""
    given = {str(p["file"]): p["taken"] for p in facts.more.get("photo", ())}
    photos: dict[str, Photo] = {}
    for path, name in files:
        photo = _one(path, name, facts, given, told)
        if photo is None:
            continue
        if photo.id in photos:
            told.add(
                name, None, f"is the same picture as {photos[photo.id].file}, which is used", "take one of them out"
            )
            continue
        photos[photo.id] = photo
    _far(photos.values(), facts, told)
    return tuple(sorted(photos.values(), key=lambda p: (p.seconds is None, p.seconds or 0.0, p.file)))


def _one(path: Path, name: str, facts: Facts, given: Mapping[str, datetime], told: Troubles) -> Photo | None:
    ending = path.suffix.lower()
    if ending in CLIPS:
        told.add(name, None, "is a clip, which this version does not read", "keep it; put a still of it in photos/")
        return None
    if ending not in ENDINGS:
        told.add(name, None, "is no kind of picture that Kingpost reads", "save it as JPEG, HEIC or PNG")
        return None
    content = read_bytes(path, name, told, MOST_BYTES)
    if content is None:
        return None
    try:
        look = look_at(content)
    except _Unusable as err:
        told.add(name, None, err.problem, err.mend)
        return None
    if look.trouble:
        told.add(name, None, look.trouble, "the picture itself is used")
    moment, source = _when(path.name, name, look, given)
    if moment is None:
        told.add(
            name,
            None,
            "no time in the picture or its name, so it is tied to no words by time",
            f'add [[photo]] file = "{name}" and taken = a date and time to visit.toml',
        )
    digest = hashlib.sha256(content).hexdigest()
    taken = set_right(moment, look.device, facts.devices, facts.started) if moment and source != "given" else moment
    return Photo(
        id="p" + digest[:ID_DIGITS],
        file=name,
        digest=digest,
        taken=taken,
        seconds=between(facts.started, taken),
        width=look.width,
        height=look.height,
        orientation=look.orientation,
        device=look.device,
        time_from=source,
    )


def _when(base: str, name: str, look: _Look, given: Mapping[str, datetime]) -> tuple[datetime | None, str]:
    """A picture's time and where it is from: visit.toml, EXIF, its name, or nowhere."""
    if (said := given.get(name) or given.get(base)) is not None:
        return said, "given"
    if look.moment is not None:
        return look.moment, "exif"
    named = name_moment(base)
    return named, "name" if named else ""


def look_at(content: bytes) -> _Look:
    """Size, orientation, camera and time of a picture, from its head. Raises _Unusable with the reason."""
    if content[4:8] == b"ftyp":
        return _look_at_heif(content)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow warns of large pictures and odd EXIF; both are handled below
        try:
            image = Image.open(io.BytesIO(content), formats=FORMATS)
        except Image.DecompressionBombError:
            raise _too_large() from None
        except (UnidentifiedImageError, *_BAD_EXIF, EOFError, RuntimeError, MemoryError):
            raise _no_picture() from None
        with image:
            plain = image.format in ("JPEG", "MPO") and not image.info.get("progressive")
            _sized(image.width, image.height, MOST_JPEG_PIXELS if plain else MOST_PIXELS)
            if not whole(content, image.format or ""):
                raise _Unusable("is cut short: its end is missing", "copy it again from the camera, or take it out")
            orientation, device, moment, trouble = _exif(image.getexif)
    turned = orientation >= 5  # the four orientations that lay a picture on its side
    width, height = (image.height, image.width) if turned else image.size
    return _Look(width, height, orientation, device, moment, trouble)


def _look_at_heif(content: bytes) -> _Look:
    try:
        head = heif.head(content)
    except heif.Damaged:
        raise _no_picture() from None
    _sized(head.width, head.height)
    if not head.exif:
        return _Look(head.width, head.height, 1, "", None)

    def load() -> Image.Exif:
        exif = Image.Exif()
        exif.load(b"Exif\0\0" + head.exif)
        return exif

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        _, device, moment, trouble = _exif(load)  # HEIF turns by a property of its own; its EXIF orientation is void
    return _Look(head.width, head.height, 1, device, moment, trouble)


def _sized(width: int, height: int, most: int = MOST_PIXELS) -> None:
    if width * height > most:
        raise _too_large()
    if width < 1 or height < 1:
        raise _no_picture()


def _no_picture() -> _Unusable:
    return _Unusable("is not a picture, or is damaged", "copy it again from the camera, or take it out")


def _too_large() -> _Unusable:
    return _Unusable(f"has more than {MOST_PIXELS // 1_000_000} million pixels", "save a smaller copy of it")


def _exif(load: Callable[[], Image.Exif]) -> tuple[int, str, datetime | None, str]:
    """Orientation, camera, time, and what is wrong with the EXIF where it cannot be read."""
    try:
        base = load()
        detail: Mapping[int, Any] = base.get_ifd(ExifTags.IFD.Exif)
        orientation = base.get(ExifTags.Base.Orientation, 1)
        device = _device(_string(base.get(ExifTags.Base.Make)), _string(base.get(ExifTags.Base.Model)))
        moment = _moment(base, detail)
    except (*_BAD_EXIF, EOFError, RuntimeError):
        return 1, "", None, "its EXIF data cannot be read"
    return int(orientation) if orientation in range(1, 9) else 1, device, moment, ""


def _string(value: Any) -> str:
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return plain(value.partition("\0")[0]) if isinstance(value, str) else ""


def _device(make: str, model: str) -> str:
    return model if not make or model.lower().startswith(make.lower()) else f"{make} {model}".strip()


def _moment(base: Mapping[int, Any], detail: Mapping[int, Any]) -> datetime | None:
    """DateTimeOriginal, else DateTimeDigitized, else DateTime, each with its own fraction and offset."""
    tags = ExifTags.Base
    for table, when, part, offset in (
        (detail, tags.DateTimeOriginal, tags.SubsecTimeOriginal, tags.OffsetTimeOriginal),
        (detail, tags.DateTimeDigitized, tags.SubsecTimeDigitized, tags.OffsetTimeDigitized),
        (base, tags.DateTime, tags.SubsecTime, tags.OffsetTime),
    ):
        zone = _string(detail.get(offset)) or _string(detail.get(tags.OffsetTime))
        moment = exif_moment(_string(table.get(when)), _string(detail.get(part)), zone)
        if moment is not None:
            return moment
    return None


def whole(content: bytes, kind: str) -> bool:
    """Does the file reach its own end? A copy that broke off does not; no pixel is decoded to know it."""
    if kind in ("JPEG", "MPO"):
        return content.find(b"\xff\xd9", _scan_start(content)) >= 0
    return b"IEND" in content[-64 * 1024 :]


def _scan_start(content: bytes) -> int:
    """Where the main picture's scan begins: past the segments, so past the end of a thumbnail inside one.

    Source: ITU-T T.81 (1992) annex B: markers and segment lengths; FF in a scan is followed by 00 or RSTn
    """
    at = 2
    while at + 4 <= len(content) and content[at] == 0xFF:
        marker = content[at + 1]
        if marker == 0xFF:  # a fill byte
            at += 1
            continue
        at += 2 + struct.unpack(">H", content[at + 2 : at + 4])[0]
        if marker == 0xDA:
            break
    return at


def _far(photos: Any, facts: Facts, told: Troubles) -> None:
    """Names a camera whose pictures all lie far from the visit: its clock is wrong, or they are of another house."""
    by_device: dict[str, list[Photo]] = {}
    for photo in photos:
        if photo.seconds is not None:
            by_device.setdefault(photo.device, []).append(photo)
    for device, theirs in sorted(by_device.items()):
        hours = sorted((abs(p.seconds or 0.0) / 3600, p.file) for p in theirs)
        if hours[0][0] > FAR_H:
            told.add(
                hours[0][1],
                None,
                f"and {len(theirs) - 1} more of {device or 'an unnamed camera'} lie {hours[0][0]:.0f} hours or more "
                f"from the start of the visit",
                f'if that clock is wrong, add [[device]] name = "{device}" and clock_offset_s to visit.toml',
            )
