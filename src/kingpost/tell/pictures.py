"""Photographs for the report: turned upright, made small, freed of everything but the picture."""

from __future__ import annotations

from base64 import b64decode, b64encode
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from PIL import Image

from kingpost.look import heic
from kingpost.look.ingest_hide import hide
from kingpost.look.ingest_worker import upright
from kingpost.visit.record import PhotoRef

from .marks import marked

WIDE = 900  # px: 49 mm in print at more than 300 dpi, a phone's whole width at two dots a pixel
QUALITY = 78
PAPER, PAPER_QUALITY = 440, 74  # px: 46 mm in print at 240 dpi
SMALL, SMALL_QUALITY = 300, 68  # px: a picture of the contact sheet, 33 mm at more than 220 dpi


@dataclass(frozen=True, slots=True)
class Picture:
    """A photograph ready for the page."""

    uri: str
    width: int
    height: int

    @property
    def upright(self) -> bool:
        """Taller than wide: it gets less width, so that it does not push its finding over a page."""
        return self.height > self.width


class Pictures:
    """Reads photographs of one visit folder; each is made once and kept while the report is written."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.notes: list[str] = []
        self._made: dict[tuple[str, int], Picture | None] = {}

    def of(self, photo: PhotoRef) -> Picture | None:
        """The picture, or None where the file cannot be read; `notes` then says which and how to mend it."""
        return self._marked(photo, self._kept(photo, WIDE, QUALITY))

    def on_paper(self, photo: PhotoRef) -> Picture | None:
        """The same at the size of print, so that the PDF engine has nothing to shrink."""
        return self._marked(photo, self._kept(photo, PAPER, PAPER_QUALITY))

    def small(self, photo: PhotoRef) -> Picture | None:
        """The same for the contact sheet."""
        return self._kept(photo, SMALL, SMALL_QUALITY)

    def _marked(self, photo: PhotoRef, picture: Picture | None) -> Picture | None:
        return marked(picture, photo.marks) if picture else None

    def _kept(self, photo: PhotoRef, most: int, quality: int) -> Picture | None:
        file = photo.file
        if (file, most) not in self._made:
            larger = next((p for (f, m), p in self._made.items() if f == file and m > most), None)
            self._made[file, most] = _shrunk(larger, most, quality) if larger else self._make(photo, most, quality)
        return self._made[file, most]

    def _make(self, photo: PhotoRef, most: int, quality: int) -> Picture | None:
        file = photo.file
        path = self.folder / file
        try:
            image = heic.opened(path, most) if heic.holds(path) else upright(path, most)  # in sRGB, as ingest makes it
            image = hide(image.convert("RGB"), photo.blur)
        except (OSError, ValueError, SyntaxError) as err:
            why = "is not in the visit folder" if isinstance(err, FileNotFoundError) else "cannot be read as a picture"
            note = f"{file}: {why}, so the report shows its caption alone; put a readable copy there"
            self.notes += [] if note in self.notes else [note]
            return None
        wide = min(most, round(most * image.width / max(image.size)))
        if image.width > wide:
            image = image.resize((wide, max(1, round(image.height * wide / image.width))), Image.Resampling.LANCZOS)
        out = BytesIO()
        image.info.clear()  # Pillow would carry a comment over
        image.save(out, "JPEG", quality=quality, optimize=True)  # a new file: no EXIF, no place, no device
        return Picture("data:image/jpeg;base64," + b64encode(out.getvalue()).decode(), *image.size)


def _shrunk(larger: Picture, most: int, quality: int) -> Picture:
    """A smaller one made of what is already upright and clean; the photograph itself is not read again."""
    with Image.open(BytesIO(b64decode(larger.uri.partition(",")[2]))) as image:
        image.thumbnail((most, most), Image.Resampling.LANCZOS)
        out = BytesIO()
        image.save(out, "JPEG", quality=quality, optimize=True)
        return Picture("data:image/jpeg;base64," + b64encode(out.getvalue()).decode(), *image.size)
