"""Thermal frames: listed with what their TOML says; colours, cuts and missing units are named."""

from __future__ import annotations

import io
from datetime import datetime

import pytest
from PIL import Image

from kingpost.visit import read
from kingpost.visit.facts import Visit
from tests.conftest import MakeVisit

ABOUT = 'unit = "centikelvin"\nemissivity = 0.95\ntaken = 2026-05-12T10:38:20-05:00\n'


def tiff(mode: str = "I;16") -> bytes:
    out = io.BytesIO()
    Image.new(mode, (8, 6), 29_500 if mode == "I;16" else 0).save(out, "TIFF")
    return out.getvalue()


def thermal(make_visit: MakeVisit, **files: str | bytes) -> Visit:
    return read(make_visit({f"thermal/{name.replace('__', '.')}": content for name, content in files.items()}))


def test_frames_are_listed_with_what_their_toml_says(make_visit: MakeVisit) -> None:
    visit = thermal(
        make_visit, t1__tif=tiff(), t1__toml=ABOUT, t2__csv="20.1,20.2\n20.3,20.4\n", t2__toml='unit = "celsius"\n'
    )
    assert [(f.file, f.about.get("unit")) for f in visit.frames] == [
        ("thermal/t1.tif", "centikelvin"),
        ("thermal/t2.csv", "celsius"),
    ]
    assert visit.frames[0].taken == datetime.fromisoformat("2026-05-12T10:38:20-05:00")
    assert visit.frames[0].id == f"t{visit.frames[0].digest[:12]}"
    assert visit.trouble == ()


BAD: dict[str, tuple[dict[str, str | bytes], str, int]] = {
    "no toml": ({"a__tif": tiff()}, "thermal/a.tif: no TOML beside it says its unit", 1),
    "toml alone": ({"a__toml": ABOUT}, "thermal/a.toml: has no frame of the same name beside it", 0),
    "no unit": ({"a__tif": tiff(), "a__toml": "x = 1\n"}, "thermal/a.toml: has no unit; write one of kelvin", 1),
    "odd unit": ({"a__tif": tiff(), "a__toml": 'unit = "K"\n'}, 'thermal/a.toml: unit "K" is not known', 1),
    "broken toml": ({"a__tif": tiff(), "a__toml": "x = y\n"}, "thermal/a.toml: is not TOML", 1),
    "a picture": ({"a__tif": tiff("RGB"), "a__toml": ABOUT}, "thermal/a.tif: holds colours (RGB), not temperatures", 0),
    "cut": ({"a__tif": tiff()[:60], "a__toml": ABOUT}, "thermal/a.tif: is not a TIFF, or is damaged", 0),
    "text": ({"a__tif": b"warm", "a__toml": ABOUT}, "thermal/a.tif: is not a TIFF, or is damaged", 0),
    "words in a matrix": ({"a__csv": "20,warm\n", "a__toml": ABOUT}, 'thermal/a.csv:1: "warm" is not a temperature', 0),
    "uneven": ({"a__csv": "20,21\n20\n", "a__toml": ABOUT}, "thermal/a.csv:2: has 1 cells where the line before", 0),
    "another kind": ({"a__jpg": b"x"}, "thermal/a.jpg: is no thermal frame that Kingpost reads", 0),
}


@pytest.mark.parametrize(("files", "said", "kept"), BAD.values(), ids=BAD)
def test_what_cannot_be_used_is_named(
    make_visit: MakeVisit, files: dict[str, str | bytes], said: str, kept: int
) -> None:
    visit = thermal(make_visit, **files)
    assert [t for t in map(str, visit.trouble) if t.startswith(said)], [str(t) for t in visit.trouble]
    assert len(visit.frames) == kept
