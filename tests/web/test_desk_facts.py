"""A fact that the law wants is written at the desk: the matter goes, and the exported folder says it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.serving import Served, served

from .desk_visits import at_desk, by_command, folder, press, record

SIGNED = "The report carries no signature"


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    at = folder(tmp_path_factory.mktemp("visits") / "facts")
    text = (at / "visit.toml").read_text()
    (at / "visit.toml").write_text(text.replace("[visit]", 'jurisdiction = "us-nc"\n[visit]  # by hand'))
    with served(tmp_path_factory.mktemp("data") / "data", "--sample", str(at)) as made:
        yield made


def to_row(page: Page, words: str) -> None:
    for _ in range(page.locator(".list [data-item]").count()):
        if words in page.locator(".list li.on").inner_text():
            return
        press(page, "j")
    raise AssertionError(f"no row with {words}")


def missing(one: Served) -> list[str]:
    return [m["says"] for m in record(one, "facts")["owed"]["matters"] if m["kind"] == "formal"]


def test_a_signature_is_written_by_keyboard_and_may_be_put_right(
    one: Served, desk: BrowserContext, tmp_path: Path
) -> None:
    assert SIGNED in " ".join(missing(one))
    page = at_desk(desk, one.address, "facts")
    press(page, "6")
    page.get_by_role("heading", name="Facts of the visit").wait_for()
    to_row(page, SIGNED)
    press(page, "a")
    page.get_by_label("A name signed, or the file of a signature").wait_for()
    page.keyboard.type("R. Invented")
    press(page, "Enter")
    expect(page.locator(".foot [role=status]")).to_contain_text("Signature: written. On the server")
    expect(page.locator(".list", has_text=SIGNED)).to_have_count(0)
    assert SIGNED not in " ".join(missing(one))
    assert by_command(one, "facts", tmp_path) == one.client.get("/visits/facts/record").content
    toml = (tmp_path / "out" / "facts" / "visit.toml").read_text()
    assert 'signature = "R. Invented"' in toml and "# by hand" in toml

    row = page.locator(".facts-of li", has_text="Signature")
    row.get_by_role("button", name="Change it").click()
    page.get_by_label("A name signed, or the file of a signature").click()  # the form stays where it is clicked into
    page.get_by_label("A name signed, or the file of a signature").fill("R. M. Invented")
    page.get_by_role("button", name="Keep").click()
    expect(row).to_contain_text("R. M. Invented")


def test_a_day_and_hour_is_the_hour_at_the_house(one: Served, desk: BrowserContext) -> None:
    page = at_desk(desk, one.address, "facts")
    press(page, "6")
    page.get_by_role("heading", name="Facts of the visit").wait_for()
    to_row(page, "No signed agreement")
    press(page, "a")
    page.get_by_label("Day and hour, at the house").fill("2026-05-12T08:15")
    press(page, "Enter")
    expect(page.locator(".list", has_text="No signed agreement")).to_have_count(0)
    expect(page.locator(".facts-of")).to_contain_text("2026-05-12, 08:15")
    assert "after the inspection began" not in " ".join(missing(one))
