"""A visit recorded without a network, in a real browser, and then brought together with a real server."""

from __future__ import annotations

import hashlib
import io
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import BrowserContext, Page

from kingpost.visit.journal_form import digest, event
from tests.desk.serving import Served, served

from .conftest import SAMPLE, TONE_HZ, begin, go, hold, kept, on_phone, picture, settled, shoot

VISIT = "split-level-1964"
WAIT_S = 60.0


def chained(rows: list[dict[str, Any]]) -> None:
    """Every event is one by the reader's own rules, and each names the digest of the one before."""
    by: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        by.setdefault(row["device"], []).append(row["event"])
    for events in by.values():
        events.sort(key=lambda e: e["seq"])
        assert [e["seq"] for e in events] == list(range(1, len(events) + 1))
        before, clock = "", ""
        for one in events:
            event(one)  # raises where it is none
            assert one["prev"] == before
            assert one["hlc"] > clock
            before, clock = digest(one), one["hlc"]


def record(page: Page) -> None:
    """A bit of a walk: a place behind its gate, a word of sound, pictures, a reading, a loop, ticks, a limit."""
    page.locator(".where").click()
    go(page, "Underfloor", "Someone knows", "Way out", "Looked first", "Dressed", "Going in")
    hold(page, ".talk", 2800, says="Listening")
    page.get_by_text("Sound kept").wait_for()
    shoot(page, "one.jpg", picture("teal"))
    page.get_by_text("Picture kept").wait_for()
    go(page, "Reading", "Wood moisture", "2", "6", "Keep")
    page.locator(".loops").click()
    go(page, "I changed something", "Tub")
    shoot(page, "found.jpg", picture("navy"))
    page.get_by_role("button", name="1 to put back").click()
    hold(page, ".pb", 800)
    page.get_by_role("heading", name="As left").wait_for()
    shoot(page, "left.jpg", picture("olive"))
    page.get_by_text("1 put back").wait_for()
    page.get_by_label("Back to the walk").click()
    go(page, "Can’t see", "All of it", "Too low")
    go(page, "Come back")
    page.get_by_text("Kept to come back to").wait_for()


def until(what: Any, says: str, wait_s: float = WAIT_S) -> Any:
    stop = time.monotonic() + wait_s
    while time.monotonic() < stop:
        if found := what():
            return found
        time.sleep(0.2)
    raise AssertionError(says)


def events_of(server: Served) -> list[dict[str, Any]]:
    said = server.client.get(f"/visits/{VISIT}/events").json()
    return [row["event"] for row in said["events"]]


def test_offline_reload_sync(phone: BrowserContext, tmp_path: Path) -> None:
    with served(tmp_path, "--sample", str(SAMPLE)) as server:
        page = begin(phone, server.address)
        settled(page)
        phone.set_offline(True)
        page.reload()
        page.locator(".keys").wait_for()
        assert "No signal" in page.locator(".state").inner_text()
        record(page)
        page.reload()  # still without a network: everything is there again
        page.locator(".keys").wait_for()
        mine, bytes_here = kept(page, VISIT), on_phone(page)
        chained(mine)
        kinds = [k["event"]["kind"] for k in mine]
        assert kinds[0] == "begin"
        assert {"place", "gate", "audio", "photo", "reading", "open", "close", "limit", "hold"} <= set(kinds)
        named = {k["event"]["media"] for k in mine if "media" in k["event"]}
        assert named <= set(bytes_here), "an event names bytes that are not on the phone"

        phone.set_offline(False)
        digests = {k["digest"] for k in mine}
        until(lambda: digests <= {digest(e) for e in events_of(server)}, "the events did not reach the server")
        until(
            lambda: not server.client.post("/media/have", json={"media": sorted(named)}).json()["missing"],
            "pictures or sound did not reach the server",
        )
        page.get_by_text("on the server").first.wait_for()
        until(lambda: "All " in page.locator(".state").inner_text(), "the screen does not say that all is safe")
        photos = [k["event"] for k in kept(page, VISIT) if k["event"]["kind"] == "photo"]
        assert {p["media"] for p in photos} >= {
            hashlib.sha256(picture(c)).hexdigest() for c in ("teal", "navy", "olive")
        }
        pair = [p for p in photos if p.get("loop")]
        assert [p["role"] for p in pair] == ["as_found", "as_left"]
        assert pair[0]["loop"] == pair[1]["loop"]
        heard(server, [k["event"] for k in mine if k["event"]["kind"] == "audio"])


def heard(server: Served, pieces: list[dict[str, Any]]) -> None:
    """The joined pieces are the microphone's own tone, not silence, and as long as the key was held."""
    av = pytest.importorskip("av")
    pieces.sort(key=lambda p: int(p["piece"]))
    assert [p["piece"] for p in pieces] == list(range(len(pieces)))
    assert pieces[-1].get("last") is True
    sound = b"".join(server.client.get(f"/media/{p['media']}").content for p in pieces)
    with av.open(io.BytesIO(sound)) as opened:
        rate = opened.streams.audio[0].rate
        frames = [
            f.to_ndarray().mean(axis=0) if f.format.is_planar else f.to_ndarray()[0] for f in opened.decode(audio=0)
        ]
    wave = np.concatenate(frames)
    assert 1.5 < len(wave) / rate < 6
    strength = np.abs(np.fft.rfft(wave))
    loudest = float(np.fft.rfftfreq(len(wave), 1 / rate)[int(strength.argmax())])
    assert abs(loudest - TONE_HZ) < 5
