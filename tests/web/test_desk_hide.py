"""A suggestion to hide a part of a picture: a dashed box on it, taken or left by key and by pointer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from kingpost.look import hide_suggest
from kingpost.visit import read
from tests.desk.serving import Served, served

from .desk_visits import at_desk, folder, press, record, settled

UPPER, LOWER = (0.1, 0.1, 0.3, 0.2), (0.6, 0.7, 0.35, 0.25)


def papered(at: Path) -> Path:
    """A visit that asks for papers, with two boxes found in its first picture: findings are kept by content."""
    folder(at)
    with (at / "visit.toml").open("a") as facts:
        facts.write("\n[pictures]\nlook_for_papers = true\n")
    for photo in read(at).photos:
        hide_suggest.keep(photo, [UPPER, LOWER] if photo.file.endswith("a.jpg") else [])
    return at


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    at = tmp_path_factory.mktemp("visits")
    folders = [papered(at / name) for name in ("keys", "pointer", "slow", "two-boxes")]
    with served(tmp_path_factory.mktemp("data") / "data", *(x for f in folders for x in ("--sample", str(f)))) as made:
        yield made


def hidden(one: Served, visit: str) -> tuple[list[tuple[float, ...]], list[tuple[float, ...]]]:
    """The boxes hidden in the report and those still asked."""
    (photo,) = [p for p in record(one, visit)["photos"] if p["file"].endswith("a.jpg")]
    return [tuple(b) for b in photo["blur"]], [tuple(b) for b in photo["blur_suggested"]]


def opened(desk: BrowserContext, one: Served, visit: str) -> Page:
    """The picture, come to from the list of doubts by keys."""
    page = at_desk(desk, one.address, visit)
    press(page, "3")
    row = page.locator("[data-item^=hide-]")
    expect(row).to_have_count(1)
    for _ in range(page.locator(".list [data-item]").count()):
        if page.locator(".list li.on[data-item^=hide-]").count():
            break
        press(page, "j")
    press(page, "o")
    page.locator("dialog.picture img").evaluate("i => i.decode()")
    return page


def test_suggestions_are_taken_and_left_by_key(one: Served, desk: BrowserContext) -> None:
    assert hidden(one, "keys") == ([], [UPPER, LOWER])
    page = opened(desk, one, "keys")
    boxes = page.locator("dialog.picture svg .maybe")
    expect(boxes).to_have_count(2)
    assert boxes.first.evaluate("b => getComputedStyle(b).strokeDasharray") != "none"
    placed = boxes.first.evaluate(
        "b => { const p = b.getBBox(), v = b.ownerSVGElement.viewBox.baseVal;"
        " return [p.x / v.width, p.y / v.height, p.width / v.width, p.height / v.height]; }"
    )
    assert placed == pytest.approx(UPPER, abs=0.001)
    picture, lines = page.locator("dialog.picture img").bounding_box(), page.locator("dialog svg").bounding_box()
    assert picture and lines and picture == pytest.approx(lines, abs=1)
    press(page, "x")  # the first is left
    expect(boxes).to_have_count(1)
    settled(page)
    assert hidden(one, "keys") == ([], [LOWER])
    press(page, "y")  # the second is hidden
    expect(boxes).to_have_count(0)
    expect(page.locator("dialog.picture svg .hidden")).to_have_count(1)
    settled(page)
    assert hidden(one, "keys") == ([LOWER], [])
    press(page, "u")  # and asked again
    expect(boxes).to_have_count(1)
    settled(page)
    assert hidden(one, "keys") == ([], [LOWER])
    press(page, "Escape")
    expect(page.locator("[data-item^=hide-]")).to_have_count(1)


def test_suggestions_are_taken_and_left_by_pointer_and_one_hand_made_settles_none(
    one: Served, desk: BrowserContext
) -> None:
    page = opened(desk, one, "pointer")
    boxes = page.locator("dialog.picture svg .maybe")
    page.get_by_label("Hide a part").check()
    canvas = page.locator("dialog.picture .canvas")
    area = canvas.bounding_box()
    assert area
    for x, y in ((0.5, 0.45), (0.6, 0.6)):
        canvas.click(position={"x": area["width"] * x, "y": area["height"] * y})
    page.get_by_role("button", name="Hide it in the report").click()
    settled(page)
    (by_hand,), asked = hidden(one, "pointer")
    assert by_hand == pytest.approx([0.5, 0.45, 0.1, 0.15], abs=0.01) and asked == [UPPER, LOWER]
    ask = page.locator("dialog.picture .ask")
    for name in ("Hide it", "Leave it"):  # beside its box, within the picture, large enough
        button = ask.get_by_role("button", name=name).bounding_box()
        assert button and button["height"] >= 24
        assert area["x"] <= button["x"] and button["y"] + button["height"] <= area["y"] + area["height"]
    ask.get_by_role("button", name="Hide it").click()
    ask.get_by_role("button", name="Leave it").click()  # at once: the record does not know of the first yet
    expect(boxes).to_have_count(0)
    expect(page.locator("dialog.picture svg .first")).to_have_count(0)  # no point was set under the buttons
    settled(page)
    assert hidden(one, "pointer") == ([by_hand, UPPER], [])


# What is written to the disk takes its time on a busy machine; here it waits until it is let go.
HELD = """after => {
    const real = crypto.subtle.digest.bind(crypto.subtle), held = new Promise(done => { window.letGo = done; });
    crypto.subtle.digest = async (...all) => { if (after-- <= 0) await held; return real(...all); };
}"""


def test_what_is_still_being_written_down_is_not_told_as_done(one: Served, desk: BrowserContext) -> None:
    page = opened(desk, one, "slow")
    canvas, boxes = page.locator("dialog.picture .canvas"), page.locator("dialog.picture svg .maybe")
    page.evaluate(HELD, 2)  # the beginning of the journal, and the first answer, pass
    with page.expect_response(lambda told: told.url.endswith("/slow/record")):  # the record that knows of the first
        press(page, "y", "x")  # the second is being written while the first is judged
    press(page)
    expect(canvas).to_have_class(re.compile("waits"))
    expect(boxes).to_have_count(0)  # what was answered is not asked again
    expect(page.locator(".foot")).not_to_contain_text("All on the server")
    page.evaluate("window.letGo()")
    settled(page)
    assert hidden(one, "slow") == ([UPPER], [])


def test_two_parts_hidden_one_right_after_the_other_are_both_hidden(one: Served, desk: BrowserContext) -> None:
    page = opened(desk, one, "two-boxes")
    page.evaluate(HELD, 0)
    page.get_by_label("Hide a part").check()
    canvas = page.locator("dialog.picture .canvas")
    area = canvas.bounding_box()
    assert area
    for corners in (((0.5, 0.4), (0.6, 0.5)), ((0.7, 0.1), (0.8, 0.3))):
        for x, y in corners:
            canvas.click(position={"x": area["width"] * x, "y": area["height"] * y})
        page.get_by_role("button", name="Hide it in the report").click()
    expect(page.locator("dialog.picture svg .hidden")).to_have_count(2)
    page.evaluate("window.letGo()")
    settled(page)
    (first, second), asked = hidden(one, "two-boxes")
    assert first == pytest.approx([0.5, 0.4, 0.1, 0.1], abs=0.01)
    assert second == pytest.approx([0.7, 0.1, 0.1, 0.2], abs=0.01)
    assert asked == [UPPER, LOWER]
