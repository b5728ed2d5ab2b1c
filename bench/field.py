"""The field screen closed at 300 random points, and with 2,000 events and 600 pictures. `python -m bench.field [N]`.

Needs chromium. Measured, never asserted, but that nothing kept is lost.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import BrowserContext, sync_playwright
from tests.web.conftest import FLAGS, PHONE, begin, kept, on_phone, tone
from tests.web.kills import one_round
from tests.web.little_server import Holder, serving
from tests.web.test_offline import chained

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


def kills(phone: BrowserContext, holder: Holder, rounds: int) -> None:
    begin(phone, holder.base).close()
    chance, said, began = random.Random(1964), set(), time.perf_counter()
    for n in range(rounds):
        holder.cut_uploads += n % 3 == 0
        said |= one_round(phone, holder, chance, n)
    page = phone.new_page()
    page.goto(f"{holder.base}/field.html")
    page.wait_for_function("document.querySelector('.state')?.innerText.includes('All ')", timeout=120_000)
    rows, media = kept(page, "sample"), on_phone(page)
    chained(rows)
    lost = said - {r["event"].get("text") or r["event"].get("name") for r in rows}
    named = {r["event"]["media"] for r in rows if "media" in r["event"]}
    differs = {r["event"]["id"] for r in rows} ^ {e["id"] for e in holder.events["sample"]}
    lacking = len(named - set(media))
    print(f"{rounds} random points in {time.perf_counter() - began:.0f} s: {len(rows)} events, {len(media)} files")
    print(f"lost {len(lost)} of {len(said)} shown as kept; {lacking} without bytes; server differs in {len(differs)}")
    page.close()


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
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    holder = Holder(Facts(name="bench", built=1964))
    holder.add("sample", "214 Tannery Bend")
    with tempfile.TemporaryDirectory() as place, serving(holder), sync_playwright() as playwright:
        sound = tone(Path(place) / "tone.wav")
        flags = [*FLAGS, f"--use-file-for-fake-audio-capture={sound}"]
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=flags)
        for act in (large, lambda phone, held: kills(phone, held, rounds)):
            phone = browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True, service_workers="block")
            phone.route("**/py/*", lambda route: route.abort())
            act(phone, holder)
            phone.close()
        browser.close()


if __name__ == "__main__":
    main()
