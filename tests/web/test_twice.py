"""Two people, two devices, one loose handrail: proposed for merging at the desk, merged only when somebody says so."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser, expect

from kingpost.visit.journal_form import Event
from kingpost.visit.journal_writer import Writer
from tests.desk.serving import served
from tests.visit.journals import NINE

from .conftest import LONG_MS
from .desk_visits import at_desk, folder, press, record, settled

V = "two"
SAID = {
    "aaaa0001": [(0, "basement stair", "The handrail of the basement stair is loose.")],
    "bbbb0002": [
        (90, "basement stair", "The basement stair handrail is loose, it wobbles."),
        (120, "roof", "The gutters are full of leaves."),
    ],
}


def told(device: str) -> list[Event]:
    pen = Writer(device)
    out = [pen.write(NINE + 1_000, "begin", name=f"phone {device[-1]}", who=f"Invented Person {device[-1]}")]
    return out + [
        pen.write(NINE + 1000 * (100 + at), "word", text=text, place=place) for at, place, text in SAID[device]
    ]


def test_what_two_devices_saw_is_proposed_and_merged_by_a_person(tmp_path: Path, browser: Browser) -> None:
    sample = folder(tmp_path / V)
    for at in (*(sample / "photos").iterdir(), sample / "walk" / "walk.vtt"):
        at.unlink()
    (sample / "journal").mkdir()
    with served(tmp_path / "data", "--sample", str(sample)) as one:
        for device in SAID:
            sent = one.client.post(f"/visits/{V}/events", json={"events": [e.whole for e in told(device)]})
            assert sent.status_code == 200
        before = record(one, V)
        rails = [f for f in before["findings"] if "handrail" in f["title"]]
        assert len(rails) == 2, "listening made one draft of both by itself: take other words"
        context = browser.new_context(viewport={"width": 1440, "height": 900}, service_workers="block")
        context.set_default_timeout(LONG_MS)
        page = at_desk(context, one.address, V)
        press(page, "d")
        expect(page.locator(".list [data-item]")).to_have_count(1)
        press(page, "j", "a")
        settled(page)
        expect(page.locator(".list")).to_contain_text("No two drafts")
        after = [f for f in record(one, V)["findings"] if "handrail" in f["title"]]
        assert len(after) == 1
        who = {r["id"]: r["source"] for r in before["remarks"]}
        seen = {who[e["remark"]] for e in after[0]["evidence"] if "remark" in e}
        assert seen == {"journal/aaaa0001.jsonl", "journal/bbbb0002.jsonl"}  # who saw what is kept
        context.close()
