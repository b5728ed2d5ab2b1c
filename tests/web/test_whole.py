"""A visit from end to end in a real browser: spoken without a network, heard, decided, reported, exported."""

from __future__ import annotations

import shutil
import subprocess
import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.desk.serving import Served, served

from .conftest import FLAGS, PHONE, begin, go, hold, picture, settled, shoot
from .desk_visits import at_desk, by_command, folder, found, press, record
from .desk_visits import settled as at_rest
from .test_offline import until

V = "whole"
SAYS = "Kitchen. The faucet at the sink is leaking."
HEARS_S = 400  # a busy machine listens slowly; nobody waits for it but this test


@pytest.fixture(scope="module")
def spoken(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A made voice as the microphone hears it: a breath before, and quiet after."""
    if not (shutil.which("espeak-ng") and shutil.which("sox")):
        pytest.skip("espeak-ng or sox is not on this machine")
    at = tmp_path_factory.mktemp("voice")
    subprocess.run(["espeak-ng", "-v", "en-us", "-s", "140", "-w", str(at / "raw.wav"), SAYS], check=True)
    shaped = ["sox", str(at / "raw.wav"), "-r", "48000", "-b", "16", "-c", "1", str(at / "said.wav"), "pad", "0.4", "6"]
    subprocess.run(shaped, check=True)
    return at / "said.wav"


@pytest.fixture(scope="module")
def inspector(playwright: Playwright, chromium: str, spoken: Path) -> Iterator[BrowserContext]:
    """A phone whose microphone hears that voice."""
    flags = [*FLAGS, f"--use-file-for-fake-audio-capture={spoken}"]
    browser = playwright.chromium.launch(executable_path=chromium, args=flags)
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True, service_workers="allow")
    context.set_default_timeout(60_000)
    yield context
    browser.close()


def heard(one: Served) -> dict[str, Any] | None:
    """The record, once it holds the words of a recording."""
    told = one.client.get(f"/visits/{V}/record")
    if told.status_code != 200:
        return None
    made: dict[str, Any] = told.json()
    return made if any(r["source"].endswith(".webm") for r in made["remarks"]) else None


def walk(page: Page, spoken: Path) -> None:
    """What he does without a network: says it, takes a picture, types a reading, changes something."""
    with wave.open(str(spoken)) as sound:
        long_ms = int(1000 * sound.getnframes() / sound.getframerate()) - 4500
    hold(page, ".talk", long_ms, says="Listening")
    page.get_by_text("Sound kept").wait_for()
    shoot(page, "tap.jpg", picture("teal"))
    page.get_by_text("Picture kept").wait_for()
    go(page, "Reading", "Wood moisture", "2", "6", "Keep")
    page.locator(".loops").click()
    go(page, "I changed something", "Thermostat", "No picture")
    page.get_by_role("button", name="1 to put back").wait_for()


def test_from_the_spoken_word_to_the_same_record_on_the_command_line(
    inspector: BrowserContext, desk: BrowserContext, spoken: Path, tmp_path: Path
) -> None:
    pytest.importorskip("faster_whisper")
    sample = folder(tmp_path / "visits" / V)
    with served(tmp_path / "data", "--sample", str(sample), cache=tmp_path / "cache") as one:
        page = begin(inspector, one.address, "Alder Row")
        settled(page)
        inspector.set_offline(True)
        page.reload()
        page.locator(".keys").wait_for()
        walk(page, spoken)
        page.reload()  # still without a network
        page.get_by_role("button", name="1 to put back").wait_for()
        inspector.set_offline(False)
        until(lambda: "All " in page.locator(".state").inner_text(), "the screen does not say that all is safe")

        told = until(lambda: heard(one), "what was said was not written down", HEARS_S)
        mine = next(r for r in told["remarks"] if r["source"].endswith(".webm") and r["into"])
        assert "faucet" in mine["text"].lower()
        draft = next(f for f in told["findings"] if f["id"] in mine["into"])
        assert (draft["state"], draft["place"]) == ("pencil", "interior, kitchen")
        assert any(q["quantity"] == "moisture_content" and q["value"] == 26 for q in told["readings"])
        assert len(told["photos"]) == 3 and "open" in {x["state"] for x in told["owed"]["loops"]}

        sat = at_desk(desk, one.address, V)
        sat.get_by_role("button", name=draft["title"]).first.click()
        press(sat, "a")
        at_rest(sat)
        expect(sat.locator(".draft.on")).to_have_class("draft ink on ")
        assert found(record(one, V), draft["title"])["state"] == "ink"
        sat.frame_locator("iframe").get_by_text(draft["title"]).first.wait_for(state="attached")
        assert by_command(one, V, tmp_path) == one.client.get(f"/visits/{V}/record").content
