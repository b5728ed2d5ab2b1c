"""When to judge which visit: soon after the last change, one run at a time for a visit, in worker processes."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from .layout import lay_out
from .store import Store

SETTLES_S = 0.03  # a burst of events is judged once; who decides waits for it, so it is short
LONGEST_S = 3600.0  # a run that says nothing for so long is given up: sound can take a while
LINE_BYTES = 1 << 20

Tell = Callable[[str, str, Any], None]  # visit, event, data


@dataclass(slots=True)
class Run:
    """How the judging of one visit stands."""

    state: str = "none"
    step: str = ""
    asked: int = 0  # how often it was asked for
    done: int = 0  # up to which asking the record is
    cursor: int = 0  # the last event that is in the record
    doing: int = 0  # up to which asking the run under way will be
    begun: int = 0  # the last event that the run under way has read
    etag: str = ""
    seconds: float = 0.0
    trouble: str = ""
    settled: asyncio.Event = field(default_factory=asyncio.Event)
    task: asyncio.Task[None] | None = None

    def as_json(self) -> dict[str, Any]:
        names = ("state", "step", "asked", "done", "cursor", "etag", "seconds", "trouble")
        return {name: getattr(self, name) for name in names}


class Worker:
    """One process that judges or writes reports; begun when it is first needed, and again where it ended.

    gentle  it leaves the machine to whatever else wants it
    """

    def __init__(self, gentle: bool = False) -> None:
        self._gentle = gentle
        self._process: asyncio.subprocess.Process | None = None

    async def do(self, asked: dict[str, Any], tell: Callable[[str], None]) -> dict[str, Any]:
        """Raises RuntimeError with what a person should know."""
        try:
            process = await self._begun()
            assert process.stdin is not None and process.stdout is not None
            process.stdin.write(json.dumps(asked).encode() + b"\n")
            await process.stdin.drain()
            while True:
                line = await asyncio.wait_for(process.stdout.readline(), LONGEST_S)
                said: dict[str, Any] = json.loads(line) if line else {"ended": True}
                if "step" in said:
                    tell(str(said["step"]))
                elif "done" in said:
                    return dict(said["done"])
                elif "failed" in said:
                    raise RuntimeError("\n".join(said["failed"]))
                elif "ended" in said:
                    await self.end()
                    raise RuntimeError("the process that does it ended; it is begun again with the next change")
        except (TimeoutError, OSError, ValueError) as err:
            await self.end()
            raise RuntimeError(f"the process that does it cannot be reached ({type(err).__name__})") from None

    async def _begun(self) -> asyncio.subprocess.Process:
        if self._process is None or self._process.returncode is not None:
            self._process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "kingpost.desk.worker", *(["--gently"] if self._gentle else []),
                stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE, limit=LINE_BYTES, start_new_session=True,
            )  # fmt: skip
        return self._process

    async def end(self) -> None:
        process, self._process = self._process, None
        if process is None or process.returncode is not None:
            return
        with contextlib.suppress(ProcessLookupError):
            process.terminate()
        try:
            await asyncio.wait_for(process.wait(), 5)
        except TimeoutError:
            process.kill()
            await process.wait()


class Judging:
    """The runs of all visits. Methods are called on the event loop."""

    def __init__(self, store: Store, tell: Tell, workers: int | None = None) -> None:
        self._store, self._tell = store, tell
        count = workers or int(os.environ.get("KINGPOST_WORKERS", "0") or 0) or 1
        self._workers = [Worker() for _ in range(count)]
        self._free: asyncio.Queue[Worker] = asyncio.Queue()
        for worker in self._workers:
            self._free.put_nowait(worker)
        self._runs: dict[str, Run] = {}
        self._mine: dict[str, Worker] = {}  # which worker remembers which visit

    def run(self, visit: str) -> Run:
        return self._runs.setdefault(visit, Run())

    def ask(self, visit: str) -> Run:
        """Judge a visit soon; what is asked for while it runs is done after it."""
        run = self.run(visit)
        run.asked += 1
        run.settled.clear()
        if run.task is None or run.task.done():
            run.state = "waiting"
            run.task = asyncio.get_running_loop().create_task(self._judge(visit, run))
        return run

    async def current(self, visit: str) -> Run:
        """A run that holds all that is there now."""
        run, last = self.run(visit), self._store.cursor(visit)
        if run.task is not None and not run.task.done():
            if run.doing == run.asked and run.begun < last:  # else it will hold everything without being asked again
                self.ask(visit)
        elif run.done < run.asked or run.state in ("none", "failed") or run.cursor < last:
            self.ask(visit)
        if run.task is not None and not run.task.done():
            await run.settled.wait()
        return run

    async def _judge(self, visit: str, run: Run) -> None:
        try:
            while run.done < run.asked:
                await asyncio.sleep(SETTLES_S)
                await self._once(visit, run)
        finally:
            run.settled.set()

    async def _once(self, visit: str, run: Run) -> None:
        asked = run.doing = run.asked
        run.state, run.trouble = "working", ""
        cursor, begun = self._store.cursor(visit), time.perf_counter()
        run.begun = cursor

        def step(words: str) -> None:
            run.step = words
            self._tell(visit, "judging", run.as_json())

        worker = await self._free.get()
        try:
            step("bringing the folder up to date")
            await asyncio.to_thread(lay_out, self._store, visit)
            out = self._store.folder(visit).parent
            told = await worker.do({"folder": str(self._store.folder(visit)), "out": str(out), "n": asked}, step)
        except (RuntimeError, OSError) as err:
            run.state, run.trouble, run.done = "failed", str(err), asked
            self._tell(visit, "judging", run.as_json())
            return
        finally:
            self._free.put_nowait(worker)
        run.state, run.step, run.done, run.cursor, run.etag = "done", "", asked, cursor, str(told["etag"])
        run.seconds = round(time.perf_counter() - begun, 3)
        self._tell(visit, "judging", run.as_json())
        self._tell(visit, "judged", {"etag": run.etag, "cursor": cursor, "seconds": run.seconds})

    async def end(self) -> None:
        for run in self._runs.values():
            if run.task is not None and not run.task.done():
                run.task.cancel()
                with contextlib.suppress(asyncio.CancelledError):
                    await run.task
        for worker in self._workers:
            await worker.end()
