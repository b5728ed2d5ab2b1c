"""On a disk that takes its time: what was begun meanwhile stays as it is."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import BrowserContext, expect

from tests.desk.serving import served

from .desk_visits import at_desk, decisions, folder, press, settled
from .test_desk_hide import HELD

V = "slow-disk"


def test_a_form_opened_while_the_decision_before_is_kept_stays_open(desk: BrowserContext, tmp_path: Path) -> None:
    with served(tmp_path / "data", "--sample", str(folder(tmp_path / V))) as one:
        page = at_desk(desk, one.address, V)
        page.evaluate(HELD, 0)
        press(page, "a", "r", "Control+a")
        page.keyboard.type("Words that he is typing")
        expect(page.locator(".foot")).to_contain_text("Being kept here")
        page.evaluate("window.letGo()")
        settled(page)
        expect(page.get_by_label("Title")).to_have_value("Words that he is typing")
        press(page, "Control+Enter")
        settled(page)
        assert [e["verb"] for e in decisions(one, V)] == ["accept", "reword"]
