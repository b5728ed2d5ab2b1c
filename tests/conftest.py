"""Small visits for tests: an invented house, pictures of one colour, a few words."""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest
from hypothesis import settings
from PIL import Image
from playwright.sync_api import Playwright, sync_playwright

os.environ["KINGPOST_CACHE"] = str(
    Path(tempfile.gettempdir()) / "kingpost-test-cache"
)  # copies of pictures, by content
settings.register_profile("house", deadline=None, derandomize=True)  # two shared cores; the same cases every run
settings.load_profile("house")

HOUSE = """[house]
name = "Alder Row"
built = 1964
invented = true
[visit]
started = 2026-05-12T09:00:00-05:00
"""
WALK = """WEBVTT

00:00:10.000 --> 00:00:16.000
Crawl space. The sill plate on the north wall is rotted through.

00:00:20.000 --> 00:00:24.000
I could push the screwdriver in two inches.
"""


def jpeg(
    taken: str = "2026:05:12 09:00:12",
    *,
    size: tuple[int, int] = (48, 32),
    colour: tuple[int, int, int] = (150, 140, 120),
    orientation: int = 1,
    model: str = "Northlamp Pocket 3",
    offset: str = "",
    subsec: str = "",
) -> bytes:
    """A picture of one colour, with the EXIF a camera would write."""
    image = Image.new("RGB", size, colour)
    exif = image.getexif()
    exif[0x0112], exif[0x0110] = orientation, model
    detail = exif.get_ifd(0x8769)
    detail.update({tag: text for tag, text in ((0x9003, taken), (0x9291, subsec), (0x9011, offset)) if text})
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif)
    return out.getvalue()


MakeVisit = Callable[[Mapping[str, str | bytes]], Path]


@pytest.fixture
def make_visit(tmp_path: Path) -> MakeVisit:
    """Writes a folder of the given files over a small good visit; a content of "" takes the file out."""

    def make(files: Mapping[str, str | bytes]) -> Path:
        folder = tmp_path / "visit"
        for name, content in {"visit.toml": HOUSE, "walk/walk.vtt": WALK, **files}.items():
            if content == "":
                continue
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return folder

    return make


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """One for all browsers of a process: a second one beside it cannot start."""
    with sync_playwright() as one:
        yield one
