"""Live updates: server-sent events for whoever looks at a visit."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

from .store import Store, now_ms

PING_S = 15.0
MOST_WAITING = 1000  # messages to a listener that does not read; then it is cut off, and comes again by its cursor
AT_ONCE = 500


class Hub:
    """Who listens to which visit. Called on the event loop."""

    def __init__(self) -> None:
        self._queues: dict[str, set[asyncio.Queue[tuple[str, Any] | None]]] = {}

    def tell(self, visit: str, event: str, data: Any) -> None:
        for queue in list(self._queues.get(visit, ())):
            try:
                queue.put_nowait((event, data))
            except asyncio.QueueFull:
                self._queues[visit].discard(queue)
                while not queue.empty():
                    queue.get_nowait()
                queue.put_nowait(None)

    def close(self) -> None:
        """The server ends: every listener is let go."""
        for visit in list(self._queues):
            for queue in list(self._queues[visit]):
                while not queue.empty():
                    queue.get_nowait()
                queue.put_nowait(None)

    async def stream(self, store: Store, visit: str, after: int, state: Any) -> AsyncIterator[str]:
        """Everything after a cursor, then whatever happens."""
        queue: asyncio.Queue[tuple[str, Any] | None] = asyncio.Queue(MOST_WAITING)
        self._queues.setdefault(visit, set()).add(queue)
        try:
            yield message("judging", state)
            while rows := await asyncio.to_thread(store.events, visit, after, AT_ONCE):
                for n, event in rows:
                    yield message("event", {"n": n, "event": event.whole}, n)
                after = rows[-1][0]
            while True:
                try:
                    told = await asyncio.wait_for(queue.get(), PING_S)
                except TimeoutError:
                    yield message("ping", {"now_ms": now_ms()})
                    continue
                if told is None:
                    return
                event_name, data = told
                if event_name == "event":
                    if data["n"] <= after:
                        continue
                    after = data["n"]
                    yield message("event", data, data["n"])
                else:
                    yield message(event_name, data)
        finally:
            self._queues[visit].discard(queue)


def message(event: str, data: Any, cursor: int | None = None) -> str:
    """One server-sent event."""
    head = f"id: {cursor}\n" if cursor is not None else ""
    return f"{head}event: {event}\ndata: {json.dumps(data, ensure_ascii=False)}\n\n"
