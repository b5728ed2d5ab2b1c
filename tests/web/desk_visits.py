"""Small invented visits for the desk screen, a real server that has them, and what a tester does there."""

from __future__ import annotations

import hashlib
import io
import json
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import BrowserContext, Page

from kingpost.look import plates
from tests.conftest import HOUSE, jpeg
from tests.desk.serving import Served
from tests.look.test_plates import line
from tests.look.test_strip import TRUE_MM, ends
from tests.look.views import Camera, paper

from .conftest import LONG_MS, tone

WALK = """WEBVTT

00:00:05.000 --> 00:00:09.000
Roof. The gutters are full of leaves.

00:00:20.000 --> 00:00:24.000
Garage. The door to the house is hollow core, no fire rating on it.

00:00:30.000 --> 00:00:34.000
The handrail of the basement stair is loose.

00:00:50.000 --> 00:00:56.000
Crawl space. The sill plate on the north wall is rotted through.

00:01:00.000 --> 00:01:04.000
Flurb wibble the grommet thing there.

00:01:08.000 --> 00:01:12.000
Turned the hall thermostat up to eighty.
"""


def folder(at: Path, sound: bool = False) -> Path:
    """A visit folder with words, two pictures and, where asked for, the sound of the words."""
    (at / "walk").mkdir(parents=True)
    (at / "photos").mkdir()
    (at / "visit.toml").write_text(HOUSE)
    (at / "walk" / "walk.vtt").write_text(WALK)
    if sound:
        tone(at / "walk" / "walk.wav", seconds=80.0, rate=8000)
    (at / "photos" / "a.jpg").write_bytes(jpeg("2026:05:12 09:00:07", size=(480, 320)))
    (at / "photos" / "b.jpg").write_bytes(jpeg("2026:05:12 09:00:53", size=(480, 320), colour=(60, 90, 120)))
    return at


def pictured(at: Path) -> Path:
    """The same with a marker card drawn as a camera sees it, and a plate of which one value had to be guessed."""
    folder(at)
    camera = Camera(650, turn=28, tilt=8)
    pixels = camera.picture(paper(), np.random.default_rng(2), 0.7, 3)
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2026:05:12 09:00:26"
    Image.fromarray(pixels).save(at / "photos" / "card.jpg", quality=95, exif=exif)
    plate = jpeg("2026:05:12 09:00:40", size=(640, 480), colour=(170, 170, 160))
    (at / "photos" / "plate.jpg").write_bytes(plate)
    rows = (("CONDENSING UNIT", 0, 0), ("MAX FUSE", 0, 60), ("3O", 400, 60))
    plates._keep(hashlib.sha256(plate).hexdigest(), [line(text, x, y) for text, x, y in rows])
    return at


def card_ends() -> tuple[list[float], list[float], float]:
    """Two points of the drawn card's plane in shares of its picture, and how far apart they are in inches."""
    camera = Camera(650, turn=28, tilt=8)
    wide, high = camera.size
    first, second = ([(x + 0.5) / wide, (y + 0.5) / high] for x, y in ends(camera))
    return first, second, TRUE_MM / 25.4


def at_desk(context: BrowserContext, base: str, visit: str) -> Page:
    """The desk with a visit's drafts."""
    page = context.new_page()
    page.goto(f"{base}/desk.html#{visit}")
    page.locator(".draft.on, .foot .trouble[role=alert]").first.wait_for(timeout=LONG_MS)
    assert page.locator(".draft.on").count(), page.locator(".foot").inner_text()
    return page


def record(one: Served, visit: str) -> dict[str, Any]:
    """The record, once it holds every event."""
    until = time.monotonic() + LONG_MS / 1000
    while time.monotonic() < until:
        told = one.client.get(f"/visits/{visit}/record", params={"wait": True}, timeout=LONG_MS / 1000)
        if int(told.headers["x-kingpost-cursor"]) == one.client.get(f"/visits/{visit}").json()["cursor"]:
            return dict(told.json())
        time.sleep(0.1)
    raise AssertionError("the record does not come up to date")


def decisions(one: Served, visit: str) -> list[dict[str, Any]]:
    told = one.client.get(f"/visits/{visit}/events").json()["events"]
    return [e["event"] for e in told if e["event"]["kind"] not in ("begin",)]


def settled(page: Page) -> None:
    """Waits until nothing greyed is left, and everything is on the server."""
    page.wait_for_function(
        """() => !document.querySelector('.waits:not(iframe)')
            && /All on the server/.test(document.querySelector('.foot').innerText)""",
        timeout=LONG_MS,
    )


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)
        page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")


def by_command(one: Served, visit: str, at: Path) -> bytes:
    """The record that the command line makes of the exported folder."""
    packed = one.client.get(f"/visits/{visit}/export", timeout=LONG_MS / 1000)
    zipfile.ZipFile(io.BytesIO(packed.content)).extractall(at / "out")
    subprocess.run(
        [sys.executable, "-m", "kingpost.cli", "report", str(at / "out" / visit), "-o", str(at / "report"), "--no-pdf"],
        check=True, timeout=LONG_MS / 1000, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    return (at / "report" / "record.json").read_bytes()


def found(told: dict[str, Any], words: str) -> dict[str, Any]:
    """The finding whose title has these words."""
    return next(f for f in told["findings"] if words in f["title"])


def dumped(told: dict[str, Any]) -> str:
    return json.dumps(told, sort_keys=True)
