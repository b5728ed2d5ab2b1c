"""Who waits for a record does not have it made twice: a run that will hold everything is waited for, as it is."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from kingpost.desk import judging
from kingpost.desk.judging import Judging
from kingpost.desk.store import Store
from kingpost.visit.journal_writer import Writer
from tests.visit.journals import NINE


def runs_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, second: bool) -> tuple[int, int, int]:
    """A decision comes and somebody waits for its record; how often it was judged, and up to which event of how many.

    second  another decision comes while the first is judged, and is waited for too
    """
    monkeypatch.setattr(judging, "SETTLES_S", 0.0)
    monkeypatch.setattr(judging, "lay_out", lambda store, visit: None)
    store, pen = Store(tmp_path), Writer("aaaa0001")
    store.add_visit("v", "invented")

    def decide(made: Judging) -> None:
        store.take("v", [pen.write(NINE, "decision", subject="f1", verb="accept")])
        made.ask("v")

    async def through() -> int:
        ran, working, go = 0, asyncio.Event(), asyncio.Event()

        async def do(self: Any, asked: dict[str, Any], tell: Any) -> dict[str, Any]:
            nonlocal ran
            ran += 1
            working.set()
            await go.wait()
            return {"etag": str(ran)}

        monkeypatch.setattr(judging.Worker, "do", do)
        made = Judging(store, lambda visit, event, data: None)
        decide(made)
        early = asyncio.create_task(made.current("v"))  # before it is begun
        await working.wait()
        if second:
            decide(made)
        late = asyncio.create_task(made.current("v"))  # while it is judged
        await asyncio.sleep(0)
        go.set()
        await asyncio.gather(early, late)
        assert made.run("v").cursor == store.cursor("v")
        await made.end()
        return ran

    ran = asyncio.run(through())
    held = (ran, store.cursor("v"), len(store.events("v")))
    store.close()
    return held


def test_one_decision_that_two_wait_for_is_judged_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert runs_of(tmp_path, monkeypatch, second=False)[0] == 1


def test_what_comes_while_it_is_judged_is_judged_after_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ran, cursor, events = runs_of(tmp_path, monkeypatch, second=True)
    assert ran == 2 and events == 2 and cursor > 0
