"""A server that is killed at a random instant, again and again, while a phone sends: for test_desk_killed.py.

One process loads everything once and stays without threads; each point is a fork of it that runs the whole application
and is ended by its own alarm (SIGPROF, as sudden as SIGKILL: nothing is tidied up). What the phone was told is written
into a pipe the moment it is told, so that it is known however the server ends. Run as a program:

    python -m tests.desk.killable ROOT POINTS SEED     prints {"killed": 300, "told": 512, "ids": [...], "media": [...]}
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import hashlib
import json
import os
import signal
import sys
import tempfile
import threading
import time
from pathlib import Path
from random import Random
from typing import Any

import httpx

from kingpost.desk import app as desk_app
from kingpost.desk import judging
from kingpost.desk.layout import lay_out
from kingpost.visit.journal_form import Event
from kingpost.visit.journal_writer import Writer
from tests.conftest import HOUSE
from tests.visit.journals import NINE

from .conftest import V
from .serving import API, TUS, announced, at_offset

DEVICE = "aaaa0001"
LEAST_MS, MOST_MS, SESSIONS = 1.0, 100.0, 3.0  # a point lies at most so late, or after so many first arrivals
STEPS = 500
PICTURE, PIECE = 60_000, 12_000  # bytes


def content(step: int) -> bytes:
    """A picture or a piece of sound; another step, other bytes."""
    return Random(step).randbytes(PICTURE if step % 3 == 0 else PIECE)


def journal() -> list[list[Event]]:
    """What the phone keeps: a remark, then a picture or a piece of sound, step after step."""
    pen, out = Writer(DEVICE), []
    for step in range(STEPS):
        now, bytes_ = NINE + 1000 * step, content(step)
        said = pen.write(now, "word", text=f"remark {step}", place="attic")
        about: dict[str, Any] = {"media": hashlib.sha256(bytes_).hexdigest(), "bytes": len(bytes_)}
        kept = (
            pen.write(now + 1, "photo", type="image/jpeg", **about)
            if step % 3 == 0
            else pen.write(now + 1, "audio", take=f"{DEVICE}-1", piece=step - step // 3 - 1, type="audio/webm", **about)
        )
        out.append([said, kept])
    return out


async def phone(client: httpx.AsyncClient, steps: list[list[Event]], tell: Any, store: Any) -> None:
    """Sends what the server lacks, as it says itself, until something ends it."""
    held = (await client.get(f"/visits/{V}")).json()
    done = held["heads"].get(DEVICE, {"seq": 0})["seq"] // 2
    lacking = set(held["missing_media"])
    for step in [n for n, (_, e) in enumerate(steps[:done]) if e.body["media"] in lacking]:
        await sent(client, step, tell)
    for step in range(done, len(steps)):
        told = await client.post(f"/visits/{V}/events", json={"events": [e.whole for e in steps[step]]})
        assert told.status_code == 200, told.text
        tell(ids=[e.id for e in steps[step]])
        await sent(client, step, tell)
        await asyncio.to_thread(lay_out, store, V)


async def sent(client: httpx.AsyncClient, step: int, tell: Any) -> None:
    """The bytes of one step, in two pieces."""
    whole = content(step)
    made = await client.post("/uploads", headers=announced(whole))
    at = f"/uploads/{made.headers['location'].rsplit('/', 1)[1]}"
    half = len(whole) // 2
    for start, part in ((0, whole[:half]), (half, whole[half:])):
        offset = int((await client.head(at, headers=TUS)).headers["upload-offset"])
        assert offset == start
        told = await client.patch(at, content=part, headers=at_offset(start))
        assert told.status_code == 204, told.text
    tell(media=hashlib.sha256(whole).hexdigest())


async def session(root: Path, steps: list[list[Event]], tell: Any) -> None:
    """The application from its start on, and a phone that sends to it."""
    app = desk_app.make(root)
    async with app.router.lifespan_context(app):
        wire = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=wire, base_url=f"http://127.0.0.1{API}") as client:
            if not (await client.get("/visits")).json()["visits"]:
                await client.post("/visits", json={"id": V, "toml": HOUSE})
            await phone(client, steps, tell, app.state.desk.store)


def point(root: Path, steps: list[list[Event]], after_s: float) -> tuple[bool, list[dict[str, Any]]]:
    """One fork, ended after so long of the processor's time: whether its alarm did it, and what the phone was told."""
    come, go = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(come)
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_PROF, after_s)  # of the processor, so that a busy machine changes nothing
        try:
            asyncio.run(session(root, steps, lambda **said: os.write(go, json.dumps(said).encode() + b"\n")))
        finally:
            os._exit(3)  # it came to an end by itself: that is no point
    os.close(go)
    with os.fdopen(come, "rb") as pipe:
        told = [json.loads(line) for line in pipe.read().splitlines()]
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGPROF, told


class Enough(Exception):
    """The first session was only there to load what is loaded at first use."""


def warmed(steps: list[list[Event]]) -> float:
    """Loads what is loaded at first use; how long the processor takes until the first bytes have arrived."""

    def enough(**said: Any) -> None:
        if "media" in said:
            raise Enough

    began = time.process_time()
    with tempfile.TemporaryDirectory() as scratch, contextlib.suppress(Enough):
        asyncio.run(session(Path(scratch), steps, enough))
    return time.process_time() - began


def main() -> None:
    root, points, dice = Path(sys.argv[1]), int(sys.argv[2]), Random(int(sys.argv[3]))
    judging.SETTLES_S = 3600.0  # nothing is judged here
    steps, killed, told = journal(), 0, list[dict[str, Any]]()
    warmed(steps)
    most = max(MOST_MS / 1000, SESSIONS * warmed(steps))  # so that a slow machine's points are not all too early
    gc.collect()
    gc.disable()
    gc.freeze()  # a fork copies what it touches
    assert threading.active_count() == 1, "a fork of a process with threads may stand still"
    for _ in range(points):
        ended, said = point(root, steps, dice.uniform(LEAST_MS / 1000, most))
        killed, told = killed + ended, told + said
    ids = [i for t in told for i in t.get("ids", ())]
    print(
        json.dumps(
            {"killed": killed, "told": len(told), "ids": ids, "media": [t["media"] for t in told if "media" in t]}
        )
    )


if __name__ == "__main__":
    main()
