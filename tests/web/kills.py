"""Kill tests of the field screen: it is closed at random points while it opens, keeps and sends.

Each lane is a phone of its own (an origin of its own, so a storage of its own). Its host page opens the app in a frame,
does something in it, and takes the frame away within it: what ran in it ends at once, as when a tab is closed. All of a
lane happens in the browser, so that a round takes a fraction of a second.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page

from .conftest import kept, on_phone
from .little_server import Holder
from .test_offline import chained

MOST_LOST_S = 2.0
HOST = "<!doctype html><title>A phone</title><body style='margin:0'>"
LANE = (Path(__file__).parent / "lane.js").read_text(encoding="utf-8").partition("\n")[2].strip()


@dataclass(frozen=True, slots=True)
class Came:
    """What came of some lanes."""

    points: int
    said: int  # how often the screen had said that something is kept
    events: int
    files: int
    lost_s: list[float]  # sound that is not kept, of each take, least first


def lanes(phone: BrowserContext, holder: Holder, count: int, points: int, seed: int, longest_ms: int) -> Came:
    """So many phones side by side, so many closings together. Raises AssertionError where something is lost or broken.

    longest_ms  of a take
    """
    pages: list[Page] = []
    phone.route("**/host.html", lambda route: route.fulfill(body=HOST, content_type="text/html"))
    for n in range(count):
        visit, page = f"Lane {n}", phone.new_page()
        holder.add(f"lane{n}", visit)
        page.goto(f"{holder.base.replace('localhost', f'lane{n}.localhost')}/host.html")
        args = [visit, points // count + (n < points % count), seed + n, longest_ms]
        page.evaluate(f"given => {{ ({LANE})(given).then(r => window.came = r, e => window.came = String(e)); }}", args)
        pages.append(page)
    came, said, events, files, lost = 0, 0, 0, 0, list[float]()
    for n, page in enumerate(pages):
        page.wait_for_function("window.came", timeout=600_000)
        told: Any = page.evaluate("window.came")
        assert isinstance(told, list), told
        rows, media = whole(page, holder, f"lane{n}", told)
        came, events, files = came + len(told), events + len(rows), files + len(media)
        said += sum(bool(t["said"]) for t in told)
        lost += [seconds_lost(t, rows) for t in told if t["what"] == "talk"]
        page.close()
    return Came(came, said, events, files, sorted(lost))


def whole(page: Page, holder: Holder, visit: str, told: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], set[str]]:
    """Nothing of a lane is lost or broken, here and on the server; its events, and the digests of its files."""
    rows, media = kept(page, visit), on_phone(page)
    chained(rows)
    there = {str(r["event"].get("text") or r["event"].get("name")) for r in rows}
    assert {t["said"] for t in told if t["said"]} <= there, "what was shown as kept is lost"
    named = {r["event"]["media"] for r in rows if "media" in r["event"]}
    assert named <= set(media), "an event names bytes that are not there"
    held = {e["id"]: e for e in holder.events[visit]}
    assert {r["event"]["id"]: r["event"] for r in rows} == held, "the server holds another journal than the phone"
    assert named <= set(holder.media), "pictures or sound did not reach the server"
    return rows, named


def seconds_lost(told: dict[str, Any], rows: list[dict[str, Any]]) -> float:
    """How much of what was said in a round is not kept, in seconds."""
    began = told["ended"] / 1000 - told["held_s"]
    takes: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        if row["event"]["kind"] == "audio":
            takes.setdefault(row["event"]["take"], []).append(row["event"])
    mine = [t for t in takes.values() if abs(start(t) - began) < 1.0]
    assert len(mine) < 2, "two takes began in one round"
    return float(told["held_s"] - sum(p["seconds"] for p in mine[0])) if mine else float(told["held_s"])


def start(take: list[dict[str, Any]]) -> float:
    return min(datetime.fromisoformat(p["at"]).timestamp() for p in take)
