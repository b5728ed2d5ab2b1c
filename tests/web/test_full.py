"""A phone whose storage is full: what could not be kept is told at once, what was kept stays, and it goes on after."""

from __future__ import annotations

from playwright.sync_api import BrowserContext, Page

from .conftest import begin, go, hold, kept, on_phone, picture, shoot
from .little_server import Holder
from .test_offline import chained

FULL = """() => {
    for (const name of ["add", "put"])
        IDBObjectStore.prototype[name] = () => { throw new DOMException("no space is left", "QuotaExceededError"); };
}"""


def told(page: Page, words: str) -> None:
    page.get_by_text(words).first.wait_for()


def test_a_full_phone_says_what_was_not_kept(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    shoot(page, "one.jpg", picture("teal"))
    told(page, "Picture kept")
    before = len(kept(page, "sample"))
    page.evaluate(FULL)
    shoot(page, "two.jpg", picture("navy"))
    told(page, "The picture was not kept")
    go(page, "Reading", "Wood moisture", "2", "6", "Keep")
    told(page, "Not kept: no space is left")
    page.reload()  # somebody made room
    page.locator(".keys").wait_for()
    page.evaluate(FULL)
    hold(page, ".talk", 1500, says="Listening")
    told(page, "A second of sound was not kept")
    page.reload()
    page.locator(".keys").wait_for()
    assert len(kept(page, "sample")) == before
    shoot(page, "three.jpg", picture("olive"))
    told(page, "Picture kept")
    mine = kept(page, "sample")
    chained(mine)
    named = {k["event"]["media"] for k in mine if "media" in k["event"]}
    assert named <= set(on_phone(page))
    assert len(mine) == before + 1
