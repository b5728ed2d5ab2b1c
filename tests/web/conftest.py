"""A browser with a made microphone, for the field screen. Everything that is started here is ended here."""

from __future__ import annotations

import io
import math
import shutil
import struct
import time
import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, ViewportSize

from kingpost.visit.errors import Troubles
from kingpost.visit.facts import Facts
from kingpost.visit.house import read

from .little_server import Holder, serving

SAMPLE = Path(__file__).parents[2] / "examples" / "split-level-1964"
TONE_HZ = 440.0
LONG_MS = 120_000
FLAGS = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"),
    *("--disable-component-update", "--disable-sync", "--use-fake-ui-for-media-stream"),
    "--use-fake-device-for-media-stream",
)
PHONE: ViewportSize = {"width": 390, "height": 844}


def tone(path: Path, seconds: float = 20.0, rate: int = 48_000) -> Path:
    """A pure tone as the microphone's sound, so that what was recorded can be told from silence."""
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(rate)
        turn = 2 * math.pi * TONE_HZ / rate
        out.writeframes(
            b"".join(struct.pack("<h", int(12000 * math.sin(turn * n))) for n in range(int(seconds * rate)))
        )
    return path


def picture(colour: str) -> bytes:
    """A small picture of one colour; another colour is another picture."""
    out = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture(scope="session")
def chromium() -> str:
    found = shutil.which("chromium")
    if not found:
        pytest.skip("chromium is not on this machine")
    return found


@pytest.fixture(scope="session")
def browser(chromium: str, playwright: Playwright, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    sound = tone(tmp_path_factory.mktemp("sound") / "tone.wav")
    flags = [*FLAGS, f"--use-file-for-fake-audio-capture={sound}"]
    one = playwright.chromium.launch(executable_path=chromium, args=flags)
    yield one
    one.close()


@pytest.fixture(scope="session")
def facts() -> Facts:
    return read(SAMPLE, Troubles())


@pytest.fixture
def holder(facts: Facts) -> Iterator[Holder]:
    held = Holder(facts)
    held.add("sample", "214 Tannery Bend")
    with serving(held):
        yield held


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True, service_workers="allow")
    context.set_default_timeout(30_000)
    yield context
    context.close()


@pytest.fixture
def quick(browser: Browser) -> Iterator[BrowserContext]:
    """A phone without Python for the page and without a service worker: it opens at once."""
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True, service_workers="block")
    context.set_default_timeout(30_000)
    context.route("**/py/*", lambda route: route.abort())
    yield context
    context.close()


def begin(context: BrowserContext, base: str, visit: str = "214 Tannery Bend") -> Page:
    """The walk of a visit that the server has."""
    page = context.new_page()
    page.goto(f"{base}/field.html")
    page.get_by_role("button", name=visit).first.click()
    page.locator(".keys").wait_for()
    page.locator(".drawing svg").first.wait_for()
    return page


def settled(page: Page) -> None:
    """Waits until the service worker holds everything, Python for the page included."""
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    until(
        page,
        """async () => {
        if (!navigator.serviceWorker.controller) return false;
        for (const name of await caches.keys())
            for (const kept of await (await caches.open(name)).keys())
                if (kept.url.includes("pyodide.asm.wasm")) return true;
        return false;
    }""",
    )


def until(page: Page, asked: str, most_s: float = 120.0) -> None:
    """Waits until a promise holds true. `wait_for_function` takes the promise itself for an answer and goes on."""
    began = time.monotonic()
    while not page.evaluate(asked):
        assert time.monotonic() - began < most_s, asked
        page.wait_for_timeout(100)


def go(page: Page, *path: str) -> None:
    """Presses keys and rows by what stands on them, one after the other."""
    for name in path:
        page.get_by_role("button", name=name, exact=name in EXACT).first.click()


EXACT = ("More", "Keep", "Seen", "Going in", "Back")


def kept(page: Page, visit: str) -> list[dict[str, Any]]:
    """What the phone's own storage holds of a visit, in order."""
    found: list[dict[str, Any]] = page.evaluate(
        """visit => new Promise((done, fail) => {
            const asked = indexedDB.open("kingpost");
            asked.onerror = () => fail(asked.error);
            asked.onsuccess = () => {
                const all = asked.result.transaction("events").objectStore("events").getAll();
                all.onsuccess = () => { asked.result.close(); done(all.result.filter(k => k.visit === visit)); };
            };
        })""",
        visit,
    )
    return found


def on_phone(page: Page) -> dict[str, int]:
    """The phone's bytes by their digest, the digest taken anew from what is read."""
    found: dict[str, int] = page.evaluate(
        """() => new Promise((done, fail) => {
            const asked = indexedDB.open("kingpost");
            asked.onerror = () => fail(asked.error);
            asked.onsuccess = () => {
                const all = asked.result.transaction("media").objectStore("media").getAll();
                all.onsuccess = async () => {
                    asked.result.close();
                    const out = {};
                    for (const m of all.result) {
                        const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", m.bytes));
                        out[Array.from(sum, b => b.toString(16).padStart(2, "0")).join("")] = m.bytes.byteLength;
                    }
                    done(out);
                };
            };
        })"""
    )
    return found


def hold(page: Page, selector: str, ms: int, says: str = "") -> None:
    """Presses and holds, as a thumb does; where the key `says` when it has begun, so long from then on."""
    box = page.locator(selector).first.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    if says:
        page.locator(selector).first.get_by_text(says).wait_for()
    page.wait_for_timeout(ms)
    page.mouse.up()


def shoot(page: Page, name: str, content: bytes) -> None:
    """A picture through the key's own file field."""
    page.locator('input[type="file"]').first.set_input_files(
        {"name": name, "mimeType": "image/jpeg", "buffer": content}
    )


@pytest.fixture
def desk(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport={"width": 1440, "height": 900}, service_workers="block")
    context.set_default_timeout(LONG_MS)
    yield context
    context.close()
