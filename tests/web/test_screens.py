"""Every screen: for everyone (axe), for gloves (72 px), for old eyes (18 px), for a narrow phone and large text."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Page

from .conftest import begin, go, picture, shoot
from .little_server import Holder

SCREENS: dict[str, tuple[str, ...]] = {
    "walk": (),
    "place": ("Where",),
    "room": ("Where", "Main floor"),
    "gate": ("Where", "Underfloor"),
    "not going in": ("Where", "Attic", "Not going in"),
    "choose a reading": ("Reading",),
    "reading": ("Reading", "Stair riser", "8"),
    "asks": ("Reading", "Bearing of a girder", "2"),
    "cannot see": ("Can’t see",),
    "why not": ("Can’t see", "All of it"),
    "seen": ("Seen",),
    "rings": ("0 to put back",),
    "changed": ("0 to put back", "I changed something"),
    "as found": ("0 to put back", "I changed something", "Tub"),
    "more": ("More",),
    "gaps": ("More", "Still to see"),
    "to come back to": ("More", "To come back to"),
    "gates": ("More", "Before you go up"),
    "safe": ("More", "What is safe where"),
    "settings": ("More", "Hand, light, text"),
    "type": ("More", "Type a remark"),
    "end": ("More", "End the visit"),
    "visits": ("More", "Another visit"),
}
IN_THE_DARK = (
    "walk",
    "gate",
    "reading",
    "seen",
    "rings",
    "gaps",
    "safe",
    "type",
)  # the parts are the same; colours differ
SMALL_KEYS = """() => [...document.querySelectorAll('button, summary, input:not(.away), textarea')]
    .filter(e => e.getClientRects().length).map(e => [e.innerText.slice(0, 30), e.getBoundingClientRect()])
    .filter(([, r]) => r.width < 72 || r.height < 72).map(([t, r]) => `${t}: ${r.width} x ${r.height}`)"""
SMALL_TEXT = """() => {
    const out = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const text = walk.currentNode, at = text.parentElement;
        if (!text.data.trim() || !at.getClientRects().length || at.closest('.away')) continue;
        const scale = at.ownerSVGElement ? at.getScreenCTM().a : 1;
        const size = parseFloat(at.getAttribute('font-size') || getComputedStyle(at).fontSize) * scale;
        if (size < 17.95) out.push(`${text.data.trim().slice(0, 30)}: ${size}`);
    }
    return out;
}"""
WIDE = "() => document.documentElement.scrollWidth > document.documentElement.clientWidth"


def opened(page: Page, path: tuple[str, ...]) -> None:
    for name in path:
        if name == "Where":
            page.locator(".where").click()
        else:
            go(page, name)


@pytest.mark.parametrize("light", ["bright", "dark"])
def test_every_screen(quick: BrowserContext, holder: Holder, light: str) -> None:
    page = begin(quick, holder.base)
    page.locator(".where").click()
    go(page, "Main floor", "Living room")
    if light == "dark":
        go(page, "More", "Dark, for attic")
        page.get_by_label("Back to the walk").click()
    axe, wrong = Axe(), []
    for name, path in SCREENS.items():
        if light == "dark" and name not in IN_THE_DARK:
            continue
        page.reload()
        page.locator(".keys").wait_for()
        opened(page, path)
        page.wait_for_timeout(60)
        page.evaluate("scrollTo(0, document.body.scrollHeight)")  # so that no row lies half under the keys
        found = axe.run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
        wrong += [f"{name}: {v['id']}: {v['nodes'][0]['html'][:120]}" for v in found.response["violations"]]
        wrong += [f"{name}: a small key: {t}" for t in page.evaluate(SMALL_KEYS)]
        wrong += [f"{name}: small text: {t}" for t in page.evaluate(SMALL_TEXT)]
        if page.evaluate(WIDE):
            wrong.append(f"{name}: scrolls sideways")
        if name not in ("visits", "type"):
            strip = page.locator(".loops")
            assert strip.is_visible(), f"{name}: the strip of open rings is not there"
    assert not wrong, "\n".join(wrong)


def test_text_twice_as_large_on_a_narrow_phone(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    go(page, "More", "Hand, light, text", "Twice as large", "Left hand")
    page.set_viewport_size({"width": 320, "height": 640})
    wrong = []
    for name, path in SCREENS.items():
        page.reload()
        page.locator(".keys").wait_for()
        opened(page, path)
        if page.evaluate(WIDE):
            wrong.append(name)
    assert not wrong, f"scrolls sideways: {wrong}"


def test_left_hand_mirrors_the_keys(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    first = page.locator(".keys .key").first
    right = first.bounding_box()
    go(page, "More", "Hand, light, text", "Left hand")
    page.get_by_label("Back to the walk").click()
    left = first.bounding_box()
    assert right and left
    assert abs((390 - right["x"] - right["width"]) - left["x"]) < 1


def test_keys_lie_in_the_lower_half_3_mm_apart(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    boxes = [b for k in page.locator(".keys .key").all() if (b := k.bounding_box())]
    assert len(boxes) == 6
    assert min(b["y"] for b in boxes) >= 844 * 0.5
    row = sorted(boxes, key=lambda b: (round(b["y"]), b["x"]))[:3]
    gaps = [row[n + 1]["x"] - row[n]["x"] - row[n]["width"] for n in range(2)]
    assert min(gaps) >= 17.9  # 3 mm at 6 px a millimetre
    assert min(b["width"] for b in boxes) >= 108  # 18 mm and more


def test_by_keyboard_alone(quick: BrowserContext, holder: Holder) -> None:
    """From the first key to a kept remark and a closed ring without touching the screen."""
    page = begin(quick, holder.base)

    def press(name: str) -> None:
        for _ in range(80):
            page.keyboard.press("Tab")
            label = page.evaluate(
                "(e => (e?.getAttribute('aria-label') || e?.innerText || '').trim())(document.activeElement)"
            )
            if label.startswith(name):
                page.keyboard.press("Enter")
                return
        raise AssertionError(f"{name} cannot be reached by Tab")

    press("0 to put back")
    press("I changed something")
    press("Tub")
    press("No picture")
    press("1 to put back")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.classList.contains('pb')"):
            break
    page.keyboard.down("Enter")
    page.wait_for_timeout(800)
    page.keyboard.up("Enter")
    page.get_by_role("heading", name="As left").wait_for()


def test_a_tap_does_not_close_a_ring(quick: BrowserContext, holder: Holder) -> None:
    page = begin(quick, holder.base)
    page.locator(".loops").click()
    go(page, "I changed something", "Tub")
    shoot(page, "f.jpg", picture("gray"))
    page.locator(".loops").click()
    page.locator(".pb").click()
    page.wait_for_timeout(900)
    assert page.get_by_role("heading", name="1 to put back").is_visible()
    page.get_by_label("Back to the walk").click()
    go(page, "More", "End the visit")
    assert page.get_by_role("button", name="Hold to end the visit").count() == 0
