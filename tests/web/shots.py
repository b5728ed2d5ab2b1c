"""Pictures of every main state, to be looked at: `python -m tests.web.shots FOLDER [--only bright|dark|desk]`.

Not a test: nothing is asserted. The field at 390 by 844 in the sun and in the dark, the desk at 1440 by 900 in both.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, TimeoutError, sync_playwright

from kingpost.look import hide_suggest
from kingpost.visit import read as read_visit
from kingpost.visit.errors import Troubles
from kingpost.visit.house import read
from tests.desk.serving import Served, served

from .conftest import FLAGS, PHONE, SAMPLE, begin, go, picture, settled, shoot, tone
from .desk_visits import at_desk, folder, pictured, press, record
from .little_server import Holder, serving
from .test_desk_hide import LOWER, UPPER
from .test_desk_screens import STATES
from .test_screens import SCREENS, opened
from .test_twice import SAID, told

READINGS: dict[str, tuple[str, ...]] = {
    "falls short": ("Reading", "Stair riser", "8", ".", "5"),
    "meets": ("Reading", "Stair riser", "7"),
    "cannot tell": ("Reading", "Stair riser", "8", ".", "2", "5"),
    "asked more": ("Reading", "Bearing of a girder", "2", "wood"),
    "is that right": ("Reading", "Stair riser", "8", "5"),
    "how we know": ("Reading", "Hot water at a tap", "1", "3", "7", "WHY"),
    "ticked through": (
        "More",
        "Before you go up",
        "Crawl space",
        "Someone knows",
        "Way out",
        "Looked first",
        "Dressed",
    ),
}


def field(browser: Browser, to: Path, light: str) -> None:
    holder = Holder(read(SAMPLE, Troubles()))
    holder.add("sample", "214 Tannery Bend")
    with serving(holder):
        phone = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True, device_scale_factor=1.5)
        phone.set_default_timeout(20_000)
        _walked(phone, holder, to, light)
        phone.close()


def _walked(phone: BrowserContext, holder: Holder, to: Path, light: str) -> None:
    page = begin(phone, holder.base)
    settled(page)

    def shot(name: str) -> None:
        page.wait_for_timeout(150)
        page.screenshot(path=to / f"field-{light}-{name.replace(' ', '-')}.png")

    def back() -> None:
        page.get_by_label("Back to the walk").click()

    shot("first")
    if light == "dark":
        go(page, "More", "Dark, for attic")
        back()
    page.locator(".where").click()
    go(page, "Main floor", "Living room")
    for name, path in {**SCREENS, **READINGS}.items():
        page.reload()
        page.locator(".keys").wait_for()
        ready = name in READINGS
        opened(page, tuple(p for p in path if p != "WHY"))
        try:
            if ready and "Reading" in path:
                page.locator(".verd b").wait_for(timeout=60_000)
            if "WHY" in path:
                page.locator(".why").click()
        except TimeoutError:
            print(f"no verdict at {name}")
        shot(name)
    page.reload()
    page.locator(".keys").wait_for()
    _used(page, shot, back)
    phone.set_offline(True)
    page.reload()
    page.locator(".keys").wait_for()
    shot("no signal")
    go(page, "More", "Hand, light, text", "Left hand")
    back()
    shot("left hand")
    go(page, "More", "Hand, light, text", "Twice as large")
    back()
    shot("twice as large")


def _used(page: Page, shot: Callable[[str], None], back: Callable[[], None]) -> None:
    page.locator(".talk").focus()
    page.keyboard.down(" ")
    page.locator(".talk").get_by_text("Listening").wait_for()
    page.wait_for_timeout(1200)
    shot("talking")
    page.keyboard.up(" ")
    page.get_by_text("Sound kept").wait_for()
    shot("sound kept")
    shoot(page, "one.jpg", picture("teal"))
    page.get_by_text("Picture kept").wait_for()
    shot("picture kept")
    for thing, with_picture in (("Tub", True), ("Thermostat", False)):
        page.locator(".loops").click()
        go(page, "I changed something", thing)
        if with_picture:
            shoot(page, "found.jpg", picture("navy"))
        else:
            go(page, "No picture")
        page.locator(".keys").wait_for()
    page.locator(".loops").click()
    shot("rings open")
    page.locator(".pb").first.dispatch_event("pointerdown")
    page.get_by_role("heading", name="As left").wait_for()
    shot("as left")
    shoot(page, "left.jpg", picture("olive"))
    page.get_by_text("1 put back").wait_for()
    shot("one put back")
    back()
    go(page, "Come back")
    page.get_by_text("Kept to come back to").wait_for()
    shot("come back")
    go(page, "More", "To come back to")
    shot("holds")
    back()
    go(page, "More", "Second pass outside")
    page.locator(".keys").wait_for()
    shot("second pass")
    go(page, "More", "End the visit")
    shot("end with a ring")
    back()
    go(page, "More", "Still to see", "Right side")
    page.locator(".keys").wait_for()
    go(page, "Seen")
    page.locator(".rows button").first.click()
    shot("all but")
    page.locator(".dock .big").click()
    page.locator(".keys").wait_for()
    shot("after seen")


def papered(at: Path) -> Path:
    """The desk's small visit with a card, a doubtful plate, and two boxes suggested for hiding."""
    pictured(at)
    with (at / "visit.toml").open("a") as facts:
        facts.write("\n[pictures]\nlook_for_papers = true\n")
    for photo in read_visit(at).photos:
        hide_suggest.keep(photo, [UPPER, LOWER] if photo.file.endswith("a.jpg") else [])
    return at


def two(one: Served) -> None:
    for device in SAID:
        one.client.post("/visits/two/events", json={"events": [e.whole for e in told(device)]})
    record(one, "two")


def desk(browser: Browser, to: Path) -> None:
    with tempfile.TemporaryDirectory() as held:
        at = Path(held)
        lists = folder(at / "all-lists", sound=True)
        text = (lists / "visit.toml").read_text()
        (lists / "visit.toml").write_text(text.replace("[visit]", 'jurisdiction = "us-nc"\n[visit]'))
        both = folder(at / "two")
        for gone in (*(both / "photos").iterdir(), both / "walk" / "walk.vtt"):
            gone.unlink()
        (both / "journal").mkdir()
        folders = [SAMPLE, lists, both, papered(at / "pictured")]
        with served(at / "data", *(x for f in folders for x in ("--sample", str(f)))) as one:
            two(one)
            for dark in (False, True):
                made = browser.new_context(
                    viewport={"width": 1440, "height": 900}, service_workers="block",
                    color_scheme="dark" if dark else "light",
                )  # fmt: skip
                made.set_default_timeout(180_000)
                _sat(made, one, to, "dark" if dark else "light")
                made.close()


def _sat(made: BrowserContext, one: Served, to: Path, theme: str) -> None:
    def shot(page: Page, name: str) -> None:
        page.wait_for_timeout(400)
        page.screenshot(path=to / f"desk-{theme}-{name.replace(' ', '-')}.png")

    page = at_desk(made, one.address, SAMPLE.name)
    page.frame_locator("iframe").locator("body").wait_for()
    shot(page, "sample first")
    for name, keys in STATES.items():
        page.reload()
        page.locator(".draft.on").wait_for()
        page.locator(".map svg").first.wait_for()
        if keys == ("PICTURE",):
            page.locator(".draft.on .pic, .tape .pic").first.click()
            page.locator("dialog.picture[open]").wait_for()
            page.locator("dialog.picture img").evaluate("i => i.decode()")
        else:
            press(page, *keys)
        shot(page, f"sample {name}")
    page.close()
    page = at_desk(made, one.address, "two")
    press(page, "d", "j")
    shot(page, "two duplicates")
    page.close()
    page = at_desk(made, one.address, "all-lists")
    for name in ("drafts and report", "to put back", "other blocks", "loose ends"):
        press(page, "Escape", *STATES[name])
        shot(page, f"small {name}")
    page.close()
    _pictures(made, one, lambda page, name: shot(page, name))
    page = made.new_page()
    page.goto(f"{one.address}/desk.html")
    page.get_by_role("button", name="Alder Row").first.wait_for()
    shot(page, "visits")
    page.goto(one.address)
    shot(page, "door")
    page.close()


def _pictures(made: BrowserContext, one: Served, shot: Callable[[Page, str], None]) -> None:
    page = at_desk(made, one.address, "pictured")
    press(page, "3")
    shot(page, "plate and hiding doubts")
    for row in page.locator(".list [data-item]").all():
        if "plate" in row.inner_text():
            row.click()
            press(page, "o")
            page.locator("dialog.picture[open]").wait_for()
            shot(page, "plate field")
            press(page, "Escape")
            break
    page.locator('.pic img[src*="card.jpg"]').first.click()
    page.get_by_label("Line, with its length").check()
    page.locator("dialog.picture img").evaluate("i => i.decode()")
    canvas = page.locator("dialog.picture .canvas")
    box = canvas.bounding_box()
    assert box
    for x, y in ((0.4, 0.5), (0.6, 0.5)):
        canvas.click(position={"x": box["width"] * x, "y": box["height"] * y})
    page.locator("dialog .tools [role=status]", has_text="in").wait_for()
    shot(page, "length beside the card")
    press(page, "Escape", "Escape")
    page.locator('.pic img[src*="/a.jpg"]').first.click()
    page.locator("dialog.picture img").evaluate("i => i.decode()")
    shot(page, "suggested hiding")
    page.close()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("to", type=Path)
    parser.add_argument("--only", choices=("bright", "dark", "desk"))
    args = parser.parse_args()
    args.to.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        sound = tone(Path(place) / "tone.wav")
        flags = [*FLAGS, f"--use-file-for-fake-audio-capture={sound}"]
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=flags)
        for light in ("bright", "dark"):
            if args.only in (None, light):
                field(browser, args.to, light)
        if args.only in (None, "desk"):
            desk(browser, args.to)
        browser.close()


if __name__ == "__main__":
    main()
