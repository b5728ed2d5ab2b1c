"""Where a picture was taken, by which camera, and its thumbnail never reach an output of a report."""

from __future__ import annotations

import io
import re
from base64 import b64decode
from pathlib import Path

from PIL import Image

from kingpost.inspection import inspect
from kingpost.tell.pictures import Pictures
from kingpost.tell.write import write
from kingpost.visit import read
from kingpost.visit.record import PhotoRef
from tests.conftest import MakeVisit

from .test_ingest import linear_profile, scene, with_secrets

PICTURE = re.compile(rb"data:image/\w+;base64,([A-Za-z0-9+/=]+)")
SECRETS = (b"SERIAL-0042", b"maker secrets", b"GPSLatitude")


def test_no_output_tells_where_or_by_which_camera(make_visit: MakeVisit, tmp_path: Path) -> None:
    content = with_secrets(scene((900, 600)), 6).replace(b"2026:05:12 09:44:10", b"2026:05:12 09:00:12")
    assert SECRETS[0] in content and SECRETS[1] in content
    folder = make_visit({"photos/a.jpg": content})
    record = inspect(read(folder))
    assert len(record.photos) == 1 and record.findings
    write(record, folder, tmp_path / "out", pdf=False)
    written = [p for p in (tmp_path / "out").rglob("*") if p.is_file()]
    pictures = [b64decode(m) for p in written for m in PICTURE.findall(p.read_bytes())]
    jpegs = [p for p in pictures if p.startswith(b"\xff\xd8")]
    assert jpegs, "the report shows the picture"
    for one in (*jpegs, *(p.read_bytes() for p in written)):
        assert not [s for s in SECRETS if s in one]
    for one in jpegs:
        with Image.open(io.BytesIO(one)) as image:
            assert not image.getexif() and not {"exif", "comment", "xmp", "icc_profile"} & set(image.info)


def test_colours_of_another_profile_are_right_in_the_report(tmp_path: Path) -> None:
    """Telephones write other colours than sRGB; a linear 0.5 is 188 there (IEC 61966-2-1, formula from memory)."""
    (tmp_path / "photos").mkdir()
    Image.new("RGB", (64, 48), (128, 128, 128)).save(tmp_path / "photos/a.png", icc_profile=linear_profile())
    shown = Pictures(tmp_path).of(PhotoRef("p1", "photos/a.png", None, None))
    assert shown is not None
    with Image.open(io.BytesIO(b64decode(shown.uri.partition(",")[2]))) as picture:
        pixel = picture.getpixel((30, 20))
    assert isinstance(pixel, tuple) and all(abs(v - 188) <= 2 for v in pixel)
