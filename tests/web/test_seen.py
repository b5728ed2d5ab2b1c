"""Sweeps: 'all but one' at a side of the house, what is of no place, and what each tick says in the journal."""

from __future__ import annotations

from playwright.sync_api import BrowserContext, expect

from .conftest import begin, go, kept
from .little_server import Holder


def test_a_side_of_the_house_is_swept_all_but_one(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    go(page, "More", "Still to see", "Right side")
    page.locator(".keys").wait_for()
    left = page.locator(".todo .n")
    assert int(left.inner_text()) >= 2
    go(page, "Seen")
    rows = page.locator(".rows button[aria-pressed]")
    asked, out = rows.count(), rows.first.inner_text()
    rows.first.click()
    go(page, f"{asked - 1} seen")
    expect(left).to_have_text("1")
    ticks = [k["event"] for k in kept(page, "sample") if k["event"]["kind"] == "tick"]
    assert len(ticks) == asked - 1
    assert {t["subject"].partition("@")[2] for t in ticks} == {
        "right side",
        "grounds",
    }  # its own, and all the outside's
    assert all(t["except"] == [out] for t in ticks)


def test_what_is_of_no_place_is_ticked_too(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    whole = page.locator(".todo .n")
    before = int(whole.inner_text())
    go(page, "More", "Still to see", "The house")
    asked = page.locator(".rows button[aria-pressed]").count()
    go(page, f"All {asked} seen")
    expect(whole).to_have_text(str(before - asked))
    assert all("@" not in k["event"]["subject"] for k in kept(page, "sample") if k["event"]["kind"] == "tick")
