"""The field screen with 2,000 events and 600 pictures, and killed at random points. `python -m bench.field`.

Needs chromium. Measured, never asserted, but that nothing kept is lost. The table that is kept: bench/field.md.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import shutil
import signal
import subprocess
import tempfile
import time
from functools import partial
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Error, Page, Playwright, sync_playwright
from tests.web.conftest import FLAGS, PHONE, begin, shoot, tone
from tests.web.kills import lanes, seconds_lost, whole
from tests.web.little_server import Holder, serving

from kingpost.visit.facts import Facts

FILL = """async ([events, pictures]) => {
    const asked = indexedDB.open("kingpost");
    await new Promise(done => { asked.onsuccess = done; });
    const db = asked.result;
    const visit = "big", tx = db.transaction(["events", "media"], "readwrite");
    for (let n = 1; n <= events; n++) {
        const kind = n <= pictures ? "photo" : n % 5 ? "word" : "tick", sha = `${n}`.padStart(64, "0");
        const hlc = String(1778594400000 + n).padStart(15, "0") + "-00000", at = "2026-05-12T09:14:03.250-05:00";
        const event = { v: 1, device: "otherone", seq: n, id: `otherone.${n}`, prev: "", hlc, at, kind,
            text: "joists dry at the rear wall", subject: `part${n}`, media: sha };
        tx.objectStore("events").put({ visit, device: "otherone", seq: n, event, digest: `d${n}`, there: true });
        const bytes = new ArrayBuffer(200000);
        if (kind === "photo") tx.objectStore("media").put({ sha, visit, type: "image/jpeg", bytes, there: true });
    }
    await new Promise(done => { tx.oncomplete = done; });
    db.close();
}"""


def round_of(phone: BrowserContext, holder: Holder, chance: random.Random, n: int) -> tuple[dict[str, Any], Page]:
    """Opens the walk and begins something; what the screen says is kept, and when speaking began."""
    page, told = phone.pages[0], {"what": ("photo", "talk", "remark")[n % 3], "said": "", "held_s": 0.0}
    page.goto(f"{holder.base}/field.html")
    page.locator(".keys").wait_for()
    if told["what"] == "photo":
        shoot(page, f"round-{n}.jpg", chance.randbytes(100_000))
        page.wait_for_timeout(chance.randrange(120))
        told["said"] = f"round-{n}.jpg" if page.get_by_text("Picture kept").count() else ""
    elif told["what"] == "talk":
        page.locator(".talk").focus()
        page.keyboard.down(" ")
        page.locator(".talk").get_by_text("Listening").wait_for()
        told["began"] = time.time()
        page.wait_for_timeout(chance.randrange(3500))
    else:
        page.get_by_role("button", name="More", exact=True).click()
        page.get_by_role("button", name="Type a remark").click()
        page.get_by_label("What do you see?").fill(f"remark {n}")
        page.get_by_role("button", name="Keep", exact=True).click()
        page.wait_for_timeout(chance.randrange(80))
        told["said"] = f"remark {n}" if page.locator(".became", has_text=f"remark {n}").count() else ""
    return told, page


def killed(phone: BrowserContext, at: Path) -> None:
    """The whole browser of one profile ends without a goodbye; found by the profile's own folder."""
    out = subprocess.run(["ps", "-e", "-o", "pid=,args="], capture_output=True, text=True, check=True).stdout
    pids = [int(row.split()[0]) for row in out.splitlines() if f"--user-data-dir={at}" in row]
    for pid in pids:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    with contextlib.suppress(Error):
        phone.close()


def kills(playwright: Playwright, at: Path, flags: list[str], holder: Holder, rounds: int) -> None:
    """The browser killed (SIGKILL) at random points, one profile all along; at the end everything must be there."""

    def phone() -> BrowserContext:
        for mark in at.glob("Singleton*"):
            mark.unlink()  # a killed browser leaves its lock
        made = playwright.chromium.launch_persistent_context(
            at, executable_path=shutil.which("chromium"), args=flags, viewport=PHONE, has_touch=True, is_mobile=True,
            service_workers="block",
        )  # fmt: skip
        made.set_default_timeout(60_000)
        made.route("**/py/*", lambda route: route.abort())
        return made

    first = phone()
    begin(first, holder.base).close()
    first.close()
    chance, told, began = random.Random(1964), list[dict[str, Any]](), time.perf_counter()
    for n in range(rounds):
        holder.cut_uploads += n % 3 == 0
        one = phone()
        came, _ = round_of(one, holder, chance, n)
        if came["what"] == "talk":
            came |= {"held_s": time.time() - came["began"], "ended": time.time() * 1000}
        killed(one, at)
        told.append(came)
    last = phone()
    page = last.new_page()
    page.goto(f"{holder.base}/field.html")
    page.wait_for_function("document.querySelector('.state')?.innerText.includes('All ')", timeout=120_000)
    rows, media = whole(page, holder, "sample", told)  # raises where anything is lost
    lost = sorted(seconds_lost(t, rows) for t in told if t["what"] == "talk")
    said = sum(bool(t["said"]) for t in told)
    print(f"browser killed (SIGKILL) at {rounds} random points in {time.perf_counter() - began:.0f} s: {said} times")
    print(f"something was shown as kept, none of it lost; {len(rows)} events and {len(media)} files, all on the server")
    print(f"sound lost: middle {lost[len(lost) // 2]:.2f} s, most {lost[-1]:.2f} s of {len(lost)} takes")
    last.close()


def closings(phone: BrowserContext, holder: Holder, rounds: int) -> None:
    """The page closed at random points, as in tests/web/test_killed.py."""
    if not rounds:
        return
    began = time.perf_counter()
    came = lanes(phone, holder, 4, rounds, 1964, 2600)
    print(f"page closed at {came.points} random points in {time.perf_counter() - began:.0f} s: {came.said} times")
    print(f"something was shown as kept, none of it lost; {came.events} events and {came.files} files")
    print(f"sound lost: middle {came.lost_s[len(came.lost_s) // 2]:.2f} s, most {came.lost_s[-1]:.2f} s")


def large(phone: BrowserContext, holder: Holder) -> None:
    holder.add("big", "Large visit")
    page = begin(phone, holder.base, "Large visit")
    page.evaluate(FILL, [2000, 600])
    began = time.perf_counter()
    page.reload()
    page.locator(".keys").wait_for()
    print(f"2,000 events and 600 pictures: keys there after {time.perf_counter() - began:.2f} s")
    took = page.evaluate("""async () => {
        const out = [];
        for (let n = 0; n < 20; n++) {
            const began = performance.now();
            [...document.querySelectorAll('.key')].find(k => k.innerText.includes('Reading')).click();
            await new Promise(done => requestAnimationFrame(() => setTimeout(done)));
            out.push(performance.now() - began);
            document.querySelector('.square').click();
            await new Promise(done => setTimeout(done, 30));
        }
        return out.sort((a, b) => a - b);
    }""")
    print(f"press to drawn: middle {took[10]:.0f} ms, longest of 20 {took[-1]:.0f} ms")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=300, help="browsers killed")
    parser.add_argument("--closings", type=int, default=300, help="pages closed")
    args = parser.parse_args()
    holder = Holder(Facts(name="bench", built=1964))
    holder.add("sample", "214 Tannery Bend")
    with tempfile.TemporaryDirectory() as place, serving(holder), sync_playwright() as playwright:
        sound = tone(Path(place) / "tone.wav")
        flags = [*FLAGS, f"--use-file-for-fake-audio-capture={sound}"]
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=flags)
        for act in (large, partial(closings, rounds=args.closings)):
            phone = browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True, service_workers="block")
            phone.route("**/py/*", lambda route: route.abort())
            act(phone, holder)
            phone.close()
        browser.close()
        if args.kills:
            kills(playwright, Path(place) / "profile", flags, holder, args.kills)
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
