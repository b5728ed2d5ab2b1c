"""What the doors share."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass

from kingpost.visit import VisitError
from kingpost.visit.errors import Troubles
from kingpost.visit.house import read as read_house

from . import peaks
from .guard import Pairing
from .judging import Judging
from .live import Hub
from .reports import Reports
from .store import Store


@dataclass(slots=True)
class Desk:
    """One server."""

    store: Store
    hub: Hub
    judging: Judging
    reports: Reports
    pairing: Pairing
    local: bool
    address: str  # as a phone would open it

    def started(self, visit: str) -> str | None:
        try:
            started = read_house(self.store.folder(visit), Troubles()).started
        except VisitError:
            return None
        return started.isoformat() if started else None

    def arrived(self, digest: str) -> None:
        """Bytes came in: whoever waits for them is told, and the visit is judged again."""
        for visit in self.store.visits_with(digest):
            self.hub.tell(visit, "media", {"media": digest})
            self.judging.ask(visit)

    async def end(self) -> None:
        self.hub.close()
        await self.judging.end()
        await self.reports.end()
        await peaks.end()
        await asyncio.to_thread(self.store.close)
