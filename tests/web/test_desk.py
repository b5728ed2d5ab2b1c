"""The desk in a real browser on a real server: decided by keyboard, kept, taken back, the same on the command line."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from kingpost.visit.journal_writer import Writer
from tests.desk.serving import Served, served
from tests.visit.journals import NINE

from .conftest import LONG_MS
from .desk_visits import (
    at_desk,
    by_command,
    card_ends,
    decisions,
    folder,
    found,
    pictured,
    press,
    record,
    settled,
)

VISITS = ("keyed", "kinds", "listed", "heard", "by-hand", "by-line")


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    at = tmp_path_factory.mktemp("visits")
    folders = [folder(at / name, sound=name == "heard") for name in VISITS] + [pictured(at / "pictured")]
    samples = [x for path in folders for x in ("--sample", str(path))]
    with served(tmp_path_factory.mktemp("data") / "data", *samples) as made:
        yield made


def state(page: Page) -> str:
    return page.locator(".draft.on").get_attribute("class") or ""


def test_decided_by_keyboard_alone_it_stays_and_the_command_line_says_the_same(
    one: Served, desk: BrowserContext, tmp_path: Path
) -> None:
    page = at_desk(desk, one.address, "keyed")
    before = record(one, "keyed")
    press(page, "n", "a")
    title = page.locator(".draft.on .t").inner_text()
    settled(page)
    assert "ink" in state(page)
    assert page.locator(".counts b").first.inner_text() == str(len(before["findings"]) - 1)
    assert "On the server" in page.locator(".foot [role=status]").inner_text()

    page.reload()
    page.locator(".draft.on").wait_for()
    press(page, "k")
    expect(page.locator(".draft.ink .t")).to_have_text(title)
    told = record(one, "keyed")
    assert found(told, title)["state"] == "ink"
    raw = one.client.get("/visits/keyed/record").content
    assert by_command(one, "keyed", tmp_path) == raw

    press(page, "u")
    settled(page)
    assert page.locator(".draft.ink").count() == 0
    after = record(one, "keyed")
    assert [f["state"] for f in after["findings"]] == [f["state"] for f in before["findings"]]
    assert [e["kind"] for e in decisions(one, "keyed")] == ["decision", "undo"]


def on(page: Page, words: str) -> None:
    """Goes to a draft: up with K, then down with J."""
    press(page, *"kkkkkkk")
    for _ in range(8):
        if words in page.locator(".draft.on .t").inner_text():
            return
        press(page, "j")
    raise AssertionError(f"no draft with {words}")


def test_every_kind_of_decision_by_keyboard(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "kinds")
    on(page, "gutters")
    press(page, "r", "Control+a")
    page.keyboard.type("The gutters need a cleaning")
    press(page, "Control+Enter")
    settled(page)
    assert found(record(one, "kinds"), "need a cleaning")["decided"] == "reword"

    on(page, "need a cleaning")
    press(page, "s", "ArrowRight", "ArrowRight")  # standing: for your information
    for _ in range(7):
        press(page, "Tab")
        if page.evaluate("document.activeElement.name") == "why":
            break
    page.keyboard.type("he cleans them each fall")
    press(page, "Enter")
    settled(page)
    told = found(record(one, "kinds"), "need a cleaning")
    assert (told["standing"], told["decided"]) == ("information", "standing")

    on(page, "need a cleaning")
    press(page, "p")
    page.keyboard.type("north eave")
    press(page, "Enter")
    settled(page)
    assert found(record(one, "kinds"), "need a cleaning")["place"] == "north eave"

    on(page, "handrail")
    press(page, "x", "2")
    settled(page)
    assert not [f for f in record(one, "kinds")["findings"] if "handrail" in f["title"]]

    on(page, "garage")
    press(page, "m")
    page.keyboard.type("cleaning")
    press(page, "Enter")
    settled(page)
    told = record(one, "kinds")
    assert not [f for f in told["findings"] if "garage" in f["title"]]
    assert len([e for e in found(told, "need a cleaning")["evidence"] if "remark" in e]) == 2

    on(page, "need a cleaning")
    press(page, "b", "Tab", "Space", "Tab")
    page.keyboard.type("A door of its own")
    press(page, "Enter")
    settled(page)
    told = record(one, "kinds")
    assert found(told, "A door of its own")["state"] == "pencil"
    verbs = [str(e.get("verb", e["kind"])) for e in decisions(one, "kinds")]
    assert verbs == ["reword", "standing", "move", "set_aside", "merge", "split"]
    reasons = {str(e["verb"]): e.get("why") for e in decisions(one, "kinds")}
    assert (reasons["set_aside"], reasons["standing"]) == ("said twice", "he cleans them each fall")

    press(page, "h")  # what was set aside comes back by taking that decision back
    for _ in range(6):
        if "Set aside" in page.locator(".list li.on").inner_text():
            break
        press(page, "j")
    press(page, "u")
    settled(page)
    assert found(record(one, "kinds"), "handrail")["state"] == "pencil"


def test_lists_go_to_zero(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "listed")
    loose = page.locator(".counts button").nth(1).locator("b")
    before = int(loose.inner_text())
    first = next(r for r in record(one, "listed")["remarks"] if "grommet" in r["text"])
    unsure = Writer("cccc0003").write(
        NINE, "decision", subject=first["id"], verb="set_aside", why="unclear: said on another device"
    )
    one.client.post("/visits/listed/events", json={"events": [unsure.whole]})
    now = before if first["why_set_aside"].startswith("unclear:") else before + 1
    expect(loose).to_have_text(str(now), timeout=LONG_MS)  # what another device says comes by itself
    press(page, "2")
    for _ in range(now):
        if "grommet" in page.locator(".list li.on").inner_text():
            break
        press(page, "j")
    press(page, "x", "3")
    settled(page)
    expect(loose).to_have_text(str(now - 1))
    told = record(one, "listed")
    assert [r["why_set_aside"] for r in told["remarks"] if r["id"] == first["id"]] == ["to myself"]

    loops = page.locator(".counts button").nth(4)
    expect(loops).to_contain_text("1")
    press(page, "5", "j", "x")
    page.keyboard.type("the owner asked for it")
    press(page, "Enter")
    settled(page)
    expect(loops).to_contain_text("0")
    expect(page.locator(".zero")).to_be_visible()
    assert [(x["state"], x["why"]) for x in record(one, "listed")["owed"]["loops"]] == [
        ("left", "the owner asked for it")
    ]

    press(page, "Escape", "1")
    for _ in range(page.locator(".list li").count()):
        press(page, "a")
        settled(page)
    assert {f["state"] for f in record(one, "listed")["findings"]} == {"ink"}
    expect(page.locator(".counts button").first).to_contain_text("0")


def row_with(page: Page, words: str) -> None:
    """Goes down the open list with J to the row that says this."""
    for _ in range(page.locator(".list [data-item]").count() + 1):
        if words in page.locator(".list li.on").inner_text():
            return
        press(page, "j")
    raise AssertionError(f"no row with {words}")


def test_a_loose_remark_becomes_a_finding_by_keyboard(one: Served, desk: BrowserContext, tmp_path: Path) -> None:
    page = at_desk(desk, one.address, "by-hand")
    said = next(r for r in record(one, "by-hand")["remarks"] if "grommet" in r["text"])
    unsure = Writer("cccc0003").write(
        NINE, "decision", subject=said["id"], verb="set_aside", why="unclear: on another device"
    )
    one.client.post("/visits/by-hand/events", json={"events": [unsure.whole]})
    press(page, "2")
    page.locator(".list [data-item]", has_text="grommet").wait_for(timeout=LONG_MS)
    row_with(page, "grommet")
    press(page, "f")
    page.get_by_label("The part, or what is wrong with it").wait_for()
    page.keyboard.type("doorbell not")
    expect(page.locator(".choose li").first).to_contain_text("Doorbell")
    press(page, "Enter")
    settled(page)
    told = record(one, "by-hand")
    (made,) = [f for f in told["findings"] if f["condition"].startswith("doorbell")]
    assert (made["state"], made["decided"]) == ("ink", "draft")
    assert {"remark": said["id"]} in made["evidence"]
    assert [r["use"] for r in told["remarks"] if r["id"] == said["id"]] == ["finding"]
    expect(page.locator(".list", has_text="grommet")).to_have_count(0)
    assert by_command(one, "by-hand", tmp_path) == one.client.get("/visits/by-hand/record").content
    press(page, "u")
    settled(page)
    assert not [f for f in record(one, "by-hand")["findings"] if f["condition"].startswith("doorbell")]


def test_what_was_decided_on_the_command_line_is_listed_and_taken_back(
    one: Served, desk: BrowserContext, tmp_path: Path
) -> None:
    rail = found(record(one, "by-line"), "handrail")["id"]
    line = {"id": "d1", "subject": rail, "verb": "set_aside", "at": "2026-05-12T18:10:00-05:00", "why": "said twice"}
    folder_there = one.root / "visits" / "by-line" / "folder"
    (folder_there / "decisions.jsonl").write_text(json.dumps(line) + "\n")
    one.client.post("/visits/by-line/judge", json={})
    assert not [f for f in record(one, "by-line")["findings"] if f["id"] == rail]
    page = at_desk(desk, one.address, "by-line")
    press(page, "h")
    row = page.locator(".list [data-item]")
    expect(row).to_have_count(1)
    expect(row).to_contain_text("decisions.jsonl, line 1")
    expect(row).to_contain_text("Set aside")
    press(page, "j", "u")
    settled(page)
    expect(row).to_contain_text("Taken back")
    assert [f["state"] for f in record(one, "by-line")["findings"] if f["id"] == rail] == ["pencil"]
    assert by_command(one, "by-line", tmp_path) == one.client.get("/visits/by-line/record").content
    press(page, "a")  # and it counts again
    settled(page)
    assert not [f for f in record(one, "by-line")["findings"] if f["id"] == rail]


def test_a_length_is_marked_beside_the_marker_card(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "pictured")
    page.locator('.pic img[src*="card.jpg"]').first.click()
    page.get_by_label("Line, with its length").check()
    canvas = page.locator("dialog.picture .canvas")
    page.locator("dialog.picture img").evaluate("i => i.decode()")
    box = canvas.bounding_box()
    assert box
    first, second, inches = card_ends()
    for x, y in (first, second):
        canvas.click(position={"x": box["width"] * x, "y": box["height"] * y})
    page.locator("dialog .tools [role=status]", has_text="in").get_by_text("plane of the strip").wait_for()
    page.get_by_label("Words, four at most").fill("joist span")
    press(page, "Enter")
    page.locator("dialog .tools li", has_text="Line: joist span").wait_for()
    (mark,) = [e for e in decisions(one, "pictured") if e["kind"] == "mark"]
    told = mark["length"]
    assert (mark["shape"], told["unit"]) == ("line", "in")
    assert told["value"] == pytest.approx(inches, abs=4 * told["uncertainty"] + 0.05)  # a click is a pixel off
    assert 0 < told["uncertainty"] < 0.03 * inches
    drawn = [m for p in record(one, "pictured")["photos"] if p["file"].endswith("card.jpg") for m in p["marks"]]
    assert [(m["shape"], m["label"]) for m in drawn] == [("line", "joist span")]
    assert str(round(told["value"], 1))[:3] in drawn[0]["length"]
    page.keyboard.press("Escape")

    page.locator('.pic img[src*="/a.jpg"]').first.click()  # where there is no card that is said
    page.get_by_label("Line, with its length").check()
    for x in (0.2, 0.8):
        page.locator("dialog.picture .canvas").click(position={"x": 400 * x, "y": 100})
    page.locator("dialog .tools [role=status]", has_text="No length").wait_for()


def test_a_doubtful_value_of_a_plate_is_put_right(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "pictured")
    doubts = page.locator(".counts button").nth(2).locator("b")
    before = int(doubts.inner_text())
    press(page, "3")
    row_with(page, "What the plate says is doubtful")
    press(page, "o")
    value = page.get_by_label("As you read it")
    expect(value).to_have_value("30")
    value.fill("35")
    press(page, "Enter")
    value.wait_for(state="detached")
    settled(page)
    (read,) = [q for q in record(one, "pictured")["readings"] if q["quantity"] == "maximum_overcurrent"]
    assert (read["value"], read["unit"], read["component"]) == (35, "A", "air_conditioner")
    page.keyboard.press("Escape")
    expect(doubts).to_have_text(str(before - 1))


def test_without_the_server_it_is_kept_here_and_goes_there_later(
    tmp_path: Path, browser: Browser, desk: BrowserContext
) -> None:
    sample = folder(tmp_path / "cut-off")
    with served(tmp_path / "data", "--sample", str(sample)) as first:
        page = at_desk(desk, first.address, "cut-off")
        port = first.address.rsplit(":", 1)[1]
        first.end()
    press(page, "a")
    expect(page.locator(".foot [role=status]")).to_contain_text("Kept here; the server has not got it yet")
    assert "waits" in state(page)
    with served(tmp_path / "data", "--port", port) as again:
        expect(page.locator(".foot [role=status]")).to_contain_text("On the server")
        settled(page)
        assert [e["verb"] for e in decisions(again, "cut-off")] == ["accept"]
        assert "ink" in state(page)


def test_a_word_plays_from_itself_and_space_stops_it(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "heard")
    page.locator(".tape li", has_text="hollow core").get_by_text("hollow", exact=False).first.click()
    page.wait_for_function("() => document.querySelector('.play button').ariaLabel === 'Stop'")
    cue, words = 20.0, "Garage. The door to the house is hollow".split()
    due = cue + 4.0 * (len(words) - 1) / 13
    now = page.locator(".clock").inner_text()
    seconds = int(now[-2:]) + 60 * int(now[3:5])
    assert due - 1 <= seconds <= due + 3
    page.locator("body").press("Space")
    page.wait_for_function("() => document.querySelector('.play button').ariaLabel === 'Play'")
    page.wait_for_function("() => document.querySelectorAll('.wv path[d*=h]').length > 0")  # the waveform of /peaks


def test_letters_can_be_turned_off(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "heard")
    press(page, "?")
    page.locator("#keys input").uncheck()
    press(page, "Escape", "a", "2")
    assert page.locator("h2", has_text="The report as it will be").count() == 1
    assert not decisions(one, "heard")
    page.reload()
    page.locator(".draft.on").wait_for()
    press(page, "2")
    assert page.locator("h2", has_text="The report as it will be").count() == 1
    page.get_by_role("button", name="all keys").click()
    page.locator("#keys input").check()
    press(page, "Escape", "2")
    expect(page.locator("#h-side")).to_have_text("Loose ends")


def test_a_mark_drawn_by_keyboard_lies_on_the_picture_and_is_taken_back(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "heard")
    page.locator(".draft.on .pic, .tape .pic").first.focus()
    press(page, "Enter")
    page.locator("dialog.picture .canvas").focus()
    press(page, *["ArrowLeft"] * 10, "Enter", *["ArrowRight"] * 10, "Shift+ArrowRight", "Enter")
    page.get_by_label("Words, four at most").fill("leaves")
    press(page, "Enter")
    page.locator("dialog .tools li", has_text="Ring: leaves").wait_for()
    told = [p for p in record(one, "heard")["photos"] if p["marks"]]
    assert [(m["shape"], m["points"], m["label"]) for m in told[0]["marks"]] == [
        ("ring", [[0.4, 0.5], [0.55, 0.5]], "leaves")
    ]
    page.locator("dialog.picture .canvas").focus()
    press(page, "u")
    page.locator("dialog .tools li").wait_for(state="detached")
    assert not [p for p in record(one, "heard")["photos"] if p["marks"]]
    press(page, "Escape")
    page.locator("dialog.picture[open]").wait_for(state="detached")


def test_a_part_of_a_picture_is_hidden_in_the_report(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "listed")
    page.locator(".tape .pic").first.click()
    page.get_by_label("Hide a part").check()
    canvas = page.locator("dialog.picture .canvas")
    box = canvas.bounding_box()
    assert box
    for x, y in ((0.25, 0.25), (0.75, 0.5)):
        canvas.click(position={"x": box["width"] * x, "y": box["height"] * y})
    page.get_by_role("button", name="Hide it in the report").click()
    page.get_by_text("One part is hidden in the report").wait_for()
    settled(page)
    (hidden,) = [p["blur"] for p in record(one, "listed")["photos"] if p["blur"]]
    assert hidden[0] == pytest.approx([0.25, 0.25, 0.5, 0.25], abs=0.01)
    page.get_by_role("button", name="Show all again").click()
    page.get_by_text("One part is hidden in the report").wait_for(state="detached")
    settled(page)
    assert not [p for p in record(one, "listed")["photos"] if p["blur"]]
