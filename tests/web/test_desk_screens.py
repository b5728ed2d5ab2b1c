"""Every state of the desk, for everyone: axe (WCAG 2.2 AA) in both themes, large text, a narrow window, tab order."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page

from tests.desk.serving import Served, served

from .conftest import LONG_MS
from .desk_visits import at_desk, folder, press

STATES: dict[str, tuple[str, ...]] = {
    "drafts and report": (),
    "drafts to decide": ("1",),
    "loose ends": ("2",),
    "loose end aside": ("2", "j", "x"),
    "loose end used": ("2", "j", "a"),
    "loose end made a finding": ("2", "j", "f", "d", "o"),
    "doubts": ("3",),
    "picture to another draft": ("3", "j", "m"),
    "gaps": ("4",),
    "gap not seen": ("4", "j", "s"),
    "to put back": ("5",),
    "stays changed": ("5", "j", "x"),
    "other blocks": ("6",),
    "answer": ("6", "j", "r"),
    "fact to write": ("6", "a"),
    "find": ("/", "g", "u", "t"),
    "decided": ("h",),
    "two people": ("d",),
    "reword": ("r",),
    "standing": ("s",),
    "place": ("p",),
    "merge": ("m",),
    "split": ("b",),
    "set aside": ("x",),
    "keys": ("?",),
    "report wide": ("v",),
    "picture": ("PICTURE",),
}
IN_THE_DARK = (
    "drafts and report",
    "loose end aside",
    "gaps",
    "find",
    "standing",
    "merge",
    "keys",
    "picture",
    "report wide",
)
REPORT = "<!doctype html><html lang='en'><title>A report</title><p>It has tests of its own."
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
SMALL_TEXT = """() => {
    const out = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const text = walk.currentNode, at = text.parentElement;
        if (!text.data.trim() || !at.getClientRects().length || at.closest('.away, .map > div, noscript')) continue;
        const scale = at.ownerSVGElement ? at.getScreenCTM().a : 1;
        const size = parseFloat(getComputedStyle(at).fontSize) * scale;
        if (size < 12.45 && !at.closest('.mk')) out.push(`${text.data.trim().slice(0, 30)}: ${size}`);
    }
    return out;
}"""
WIDE = """() => document.documentElement.scrollWidth > document.documentElement.clientWidth
    ? [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
        .slice(0, 4).map(e => e.tagName + '.' + e.className) : []"""


FOCUSED = """() => {
    const at = document.activeElement, style = getComputedStyle(at);
    const says = at.tagName === 'IFRAME' ? 'frame' : at.ariaLabel || at.innerText || at.title || '';
    const name = says.trim().slice(0, 24);
    return [name, style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2, at === document.body];
}"""
WANTED = (
    *("Skip to the drafts", "Play", "drafts to decide", "loose end", "Accept", "Reword", "Standing", "Place", "Merge"),
    *("Split", "Set aside", "PDF", "undo", "all keys"),
)


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    sample = folder(tmp_path_factory.mktemp("visits") / "all-lists")
    text = (sample / "visit.toml").read_text()
    (sample / "visit.toml").write_text(text.replace("[visit]", 'jurisdiction = "us-nc"\n[visit]'))
    with served(tmp_path_factory.mktemp("data") / "data", "--sample", str(sample)) as made:
        yield made


def context(browser: Browser, dark: bool = False, width: int = 1440, height: int = 900) -> BrowserContext:
    made = browser.new_context(
        viewport={"width": width, "height": height}, service_workers="block", color_scheme="dark" if dark else "light"
    )
    made.set_default_timeout(LONG_MS)
    made.route("**/report.html*", lambda route: route.fulfill(body=REPORT, content_type="text/html"))
    return made


def opened(page: Page, keys: tuple[str, ...]) -> None:
    """The state that these keys open, from the drafts."""
    page.reload()
    page.locator(".draft.on").wait_for()
    page.locator(".map svg").first.wait_for()
    if keys == ("PICTURE",):
        page.locator(".draft.on .pic, .tape .pic").first.click()
        page.locator("dialog.picture[open]").wait_for()
        return
    press(page, *keys)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_state(one: Served, browser: Browser, theme: str) -> None:
    made = context(browser, theme == "dark")
    page = at_desk(made, one.address, "all-lists")
    axe, wrong = Axe(), []
    for name, keys in STATES.items():
        if theme == "dark" and name not in IN_THE_DARK:
            continue
        opened(page, keys)
        page.wait_for_timeout(80)
        page.evaluate("document.querySelectorAll('iframe').forEach(f => f.remove())")  # the report has tests of its own
        told = axe.run(page, options=RULES).response
        wrong += [
            f"{name}: {v['id']}: {n['html'][:140]} {(n['any'] or n['all'] or [{}])[0].get('message', '')[:140]}"
            for v in told["violations"]
            for n in v["nodes"][:3]
        ]
        wrong += [f"{name}: small text: {t}" for t in page.evaluate(SMALL_TEXT)]
        wrong += [f"{name}: wider than the window: {t}" for t in page.evaluate(WIDE)]
        if page.evaluate("document.documentElement.scrollHeight > innerHeight + 1"):
            wrong.append(f"{name}: the frame scrolls at 1440 by 900")
    page.goto(f"{one.address}/desk.html")
    page.get_by_role("button", name="Alder Row").wait_for()
    wrong += [f"visits: {v['id']}" for v in axe.run(page, options=RULES).response["violations"]]
    made.close()
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(("width", "height", "text"), [(1440, 900, 200), (320, 640, 100)])
def test_large_text_and_a_narrow_window_lose_nothing(
    one: Served, browser: Browser, width: int, height: int, text: int
) -> None:
    made = context(browser, width=width, height=height)
    made.add_init_script(
        f"addEventListener('DOMContentLoaded', () => document.documentElement.style.fontSize = '{text}%')"
    )
    page = at_desk(made, one.address, "all-lists")
    wrong = []
    for name, keys in STATES.items():
        opened(page, keys)
        wrong += [f"{name}: {t}" for t in page.evaluate(WIDE)]
        for part in (".tape", ".drafts", ".side", ".counts"):
            if name != "report wide" and not page.locator(part).is_visible():
                wrong.append(f"{name}: {part} is gone")
    made.close()
    assert not wrong, "\n".join(wrong)


def test_tab_reaches_every_control_in_view_and_focus_is_seen(one: Served, browser: Browser) -> None:
    made = context(browser)
    page = at_desk(made, one.address, "all-lists")
    seen = set()
    for _ in range(120):
        page.keyboard.press("Tab")
        told = page.evaluate(FOCUSED)
        if told[2]:
            break
        assert told[1] or told[0] == "frame", f"no focus ring on {told[0]}"
        seen.add(told[0])
    names = " | ".join(seen)
    for wanted in WANTED:
        assert wanted in names, f"Tab does not come to {wanted}: {names}"
    made.close()


def test_with_large_text_no_mark_lies_on_a_word(one: Served, browser: Browser) -> None:
    for width, text in ((1440, 200), (320, 100)):
        made = context(browser, width=width)
        larger = f"document.documentElement.style.fontSize = '{text}%'"
        made.add_init_script(f"addEventListener('DOMContentLoaded', () => {{ {larger} }})")
        page = at_desk(made, one.address, "all-lists")
        told = page.evaluate(
            """() => [...document.querySelectorAll('.tape li')].flatMap(li => {
                const box = at => li.querySelector(at).getBoundingClientRect();
                const words = [...li.querySelectorAll('.tx span')].map(w => w.getBoundingClientRect());
                const [left, right] = [box('.time').right - 1, box('.dst').left + 1];
                return words.some(w => w.right > right || w.left < left) ? [li.innerText] : [];
            })"""
        )
        made.close()
        assert not told, f"{width} px, text at {text} %: {told}"
