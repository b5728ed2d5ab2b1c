"""The report as it would be now, written by processes of their own: a decision never waits for a report.

One writes the page, another the paper, so that the page at the desk's side never waits for the paper either.
"""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from pathlib import Path

from .judging import Judging, Worker
from .store import Store

FOLDERS = {False: "report", True: "paper"}  # a page that is written anew takes the paper beside it away


class NoReport(Exception):
    """There is none; the text says why, for a person."""


@dataclass(slots=True)
class Writer:
    """One process that writes, and up to which run of the judging the report of each visit is."""

    worker: Worker = field(default_factory=lambda: Worker(gentle=True))
    busy: asyncio.Lock = field(default_factory=asyncio.Lock)
    made: dict[str, int] = field(default_factory=dict)


class Reports:
    """The reports of all visits. Methods are called on the event loop."""

    def __init__(self, store: Store, judging: Judging) -> None:
        self._store, self._judging = store, judging
        self._writers = {pdf: Writer() for pdf in FOLDERS}

    async def current(self, visit: str, pdf: bool) -> Path:
        """The file of a report that holds all that was there when it was asked for. Raises NoReport."""
        run = await self._judging.current(visit)
        if run.state == "failed":
            raise NoReport(run.trouble)
        wanted, one = run.done, self._writers[pdf]
        folder = self._store.folder(visit)
        to = folder.parent / FOLDERS[pdf]
        at = to / ("report.pdf" if pdf else "report.html")
        async with one.busy:
            if one.made.get(visit, -1) >= wanted and at.exists():
                return at
            asked = {"folder": str(folder), "out": str(folder.parent), "write": str(to), "pdf": pdf}
            try:
                told = await one.worker.do(asked, lambda _: None)
            except (RuntimeError, OSError) as err:
                raise NoReport(str(err)) from None
            one.made[visit] = int(told["n"])
        if not at.exists():
            raise NoReport("; ".join(told["notes"]) or f"{at.name} could not be made on this machine")
        return at

    async def end(self) -> None:
        """The server stops: what is being written is given up."""
        for one in self._writers.values():
            await one.worker.end()
