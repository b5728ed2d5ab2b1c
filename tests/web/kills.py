"""One round of a kill test: something is kept, and the page is closed within it."""

from __future__ import annotations

import random

from playwright.sync_api import BrowserContext, Error

from .conftest import hold, picture, shoot
from .little_server import Holder

ROUNDS = 24
MOST_MS = 900


def one_round(phone: BrowserContext, holder: Holder, chance: random.Random, n: int) -> set[str]:
    """Opens the walk, does something and closes within it. What the screen had said to be kept comes back."""
    page = phone.new_page()
    page.goto(f"{holder.base}/field.html")
    page.locator(".keys").wait_for()
    said: set[str] = set()
    try:
        what = n % 3
        if what == 0:
            name = f"round-{n}.jpg"
            shoot(page, name, picture(f"rgb({n % 256},{(n * 7) % 256},90)"))
            page.wait_for_timeout(chance.randrange(120))
            if page.get_by_text("Picture kept").count():
                said.add(name)
        elif what == 1:
            hold(page, ".talk", 100 + chance.randrange(MOST_MS))
        else:
            page.get_by_role("button", name="More", exact=True).click()
            page.get_by_role("button", name="Type a remark").click()
            page.get_by_label("What do you see?").fill(f"remark {n}")
            page.get_by_role("button", name="Keep", exact=True).click()
            page.wait_for_timeout(chance.randrange(80))
            if page.locator(".became", has_text=f"remark {n}").count():
                said.add(f"remark {n}")
        page.wait_for_timeout(chance.randrange(60))
    except Error:
        pass  # the page went before the press did
    page.close(run_before_unload=False)
    return said
