"""The visits that the server has are listed at once, whatever else takes long or failed before."""

from __future__ import annotations

from playwright.sync_api import BrowserContext, expect

from .little_server import Holder


def test_visits_are_listed_while_the_kit_is_still_being_made(quick: BrowserContext, holder: Holder) -> None:
    quick.route("**/api/1/kit", lambda route: None)  # never answered
    quick.route("**/api/1/visits/*/kit", lambda route: None)
    page = quick.new_page()
    page.goto(f"{holder.base}/field.html")
    expect(page.locator(".head p")).to_have_text("The server is there")
    page.get_by_role("button", name="214 Tannery Bend").click()
    expect(page.locator(".keys")).to_be_visible()


def test_a_server_that_comes_later_is_found_without_a_reload(quick: BrowserContext, holder: Holder) -> None:
    asked: list[str] = []

    def first_not(route: object) -> None:
        asked.append("")
        getattr(route, "abort" if len(asked) < 3 else "fallback")()

    quick.route("**/api/1/visits", first_not)
    page = quick.new_page()
    page.goto(f"{holder.base}/field.html")
    expect(page.get_by_role("button", name="214 Tannery Bend")).to_be_visible(timeout=30_000)
    assert len(asked) >= 3
