"""The page is closed at random points while it keeps and sends; what was kept stays whole, and goes on.

Here a few dozen points; `python -m bench.field` does three hundred.
"""

from __future__ import annotations

import random

from playwright.sync_api import BrowserContext

from .conftest import begin, kept, on_phone
from .kills import ROUNDS, one_round
from .little_server import Holder
from .test_offline import chained


def test_closed_at_random_points(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    page.close()
    chance = random.Random(1964)
    said: set[str] = set()
    for n in range(ROUNDS):
        holder.cut_uploads += n % 3 == 0
        said |= one_round(quick, holder, chance, n)
    page = quick.new_page()
    page.goto(f"{holder.base}/field.html")
    page.locator(".keys").wait_for()
    page.wait_for_function("document.querySelector('.state').innerText.includes('All ')", timeout=60_000)
    rows, media = kept(page, "sample"), on_phone(page)
    chained(rows)
    assert said <= {r["event"].get("text") or r["event"].get("name") for r in rows}, "what was shown as kept is lost"
    named = {r["event"]["media"] for r in rows if "media" in r["event"]}
    assert named <= set(media), "an event names bytes that are not there"
    there = {e["id"]: e for e in holder.events["sample"]}
    assert {r["event"]["id"]: r["event"] for r in rows} == there, "the server holds another journal than the phone"
    assert named <= set(holder.media)
