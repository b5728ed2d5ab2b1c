"""The server under load: `python -m bench.server [--seconds 60] [--devices 20] [--rate 50] [--rounds 1000] [--write]`.

Each device sends its events as a phone does, some each second, to a server of its own process on this machine; at the
end every event must be there, with whole chains. Then seeded rounds of two devices with cut-offs (tests/desk), and how
long a decision takes until the new record is there. `--write` keeps the table as bench/server.md.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import platform
import tempfile
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from random import Random
from typing import Any

import httpx
from tests.conftest import HOUSE
from tests.desk.conftest import V
from tests.desk.serving import API, Served, served
from tests.desk.test_desk_sync import Straight, emptied, round_of
from tests.visit.journals import NINE, scribble

from kingpost.desk.store import Store
from kingpost.visit.journal_writer import Writer

HERE = Path(__file__).parent
SAMPLE = HERE.parent / "examples" / "split-level-1964"
TURN_S = 1.0  # a phone that is in reach sends what it has once a second


async def device(client: httpx.AsyncClient, name: str, seconds: float, rate: float, waits: list[float]) -> int:
    """One device: events written at a rate, sent each second; how many it was told were taken."""
    pen, dice = Writer(name), Random(name)
    begun, written, taken = time.perf_counter(), 0, 0
    unsent: list[dict[str, Any]] = []
    while written < int(seconds * rate) or unsent:
        gone = time.perf_counter() - begun
        due = int(min(gone, seconds) * rate)
        unsent += [scribble(pen, dice, NINE + int(gone * 1000)).whole for _ in range(due - written)]
        written = max(written, due)
        if unsent:
            batch, sent = unsent[:1000], time.perf_counter()
            told = (await client.post(f"/visits/{V}/events", json={"events": batch})).json()
            waits.append(time.perf_counter() - sent)
            taken += told["took"]
            unsent = unsent[len(batch) :]
        await asyncio.sleep(max(0.0, TURN_S - (time.perf_counter() - begun - gone)))
    return taken


async def load(one: Served, devices: int, rate: float, seconds: float) -> tuple[int, list[float]]:
    waits: list[float] = []
    async with httpx.AsyncClient(base_url=one.address + API, timeout=60, trust_env=False) as client:
        names = [f"device{n:04d}" for n in range(devices)]
        taken = await asyncio.gather(*(device(client, name, seconds, rate / devices, waits) for name in names))
    return sum(taken), waits


def kept(one: Served) -> tuple[int, int]:
    """How many events the server holds, and how many are missing within the chains."""
    told = one.client.get(f"/visits/{V}").json()
    lost = sum(last - first + 1 for h in told["heads"].values() for first, last in h["missing"])
    return told["events"], lost


def decisions(count: int) -> tuple[list[float], list[float], list[float]]:
    """Seconds from sending a decision about the sample visit until its record is there; the first hearing left out.

    First with nothing beside it, then while the paper report is written; and what the judging itself took each time.
    """
    quiet, beside, judged = list[float](), list[float](), list[float]()
    with tempfile.TemporaryDirectory() as root, served(Path(root), "--sample", str(SAMPLE)) as one:
        door, pen = f"/visits/{SAMPLE.name}", Writer("desk00001")
        record = one.client.get(f"{door}/record", params={"wait": True}, timeout=600).json()
        with ThreadPoolExecutor(1) as aside:
            paper: Future[httpx.Response] | None = None
            for n in range(2 * count):
                if n >= count and (paper is None or paper.done()):
                    at = one.client.base_url.join(f"{door[1:]}/report.pdf")
                    paper = aside.submit(httpx.get, at, timeout=600, trust_env=False)
                    time.sleep(1)
                subject = record["findings"][n % len(record["findings"])]["id"]
                began = time.perf_counter()
                made = pen.write(NINE + n, "decision", subject=subject, verb="accept").whole
                one.client.post(f"{door}/events", json={"events": [made]})
                one.client.get(f"{door}/record", params={"wait": True}, timeout=600)
                (quiet if n < count else beside).append(time.perf_counter() - began)
                judged.append(one.client.get(f"{door}/judging").json()["seconds"])
    return sorted(quiet), sorted(beside), sorted(judged)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--devices", type=int, default=20)
    parser.add_argument("--rate", type=float, default=50, help="events a second of all devices together")
    parser.add_argument("--rounds", type=int, default=1000)
    parser.add_argument("--decisions", type=int, default=10)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    lines = []
    if args.seconds:
        with tempfile.TemporaryDirectory() as root, served(Path(root)) as one:
            one.client.post("/visits", json={"id": V, "toml": HOUSE})
            taken, waits = asyncio.run(load(one, args.devices, args.rate, args.seconds))
            held, lost = kept(one)
        waits.sort()
        lines.append(
            f"| {args.devices} devices, {args.rate:.0f} events/s together, {args.seconds:.0f} s | {taken} taken, "
            f"{held} held, {taken - held + lost} lost; an answer in {waits[len(waits) // 2] * 1000:.0f} ms (middle), "
            f"{waits[int(len(waits) * 0.99)] * 1000:.0f} ms (99 of 100) |"
        )
    if args.rounds:
        with tempfile.TemporaryDirectory() as root:
            store, began = Store(Path(root)), time.perf_counter()
            store.add_visit(V, "invented")
            for seed in range(args.rounds):
                emptied(store)
                round_of(Straight(store), seed)
            store.close()
        lines.append(
            f"| two devices, random edits and cut-offs, {args.rounds} seeded rounds "
            f"| the same result everywhere in all; {time.perf_counter() - began:.0f} s |"
        )
    if args.decisions:
        quiet, beside, judged = decisions(args.decisions)
        for took, says in (
            (quiet, f"a decision until its record, sample visit, {args.decisions} times"),
            (beside, "the same while the paper report is written"),
            (judged, "of this, laying out the folder and judging"),
        ):
            lines.append(
                f"| {says} | {took[len(took) // 2]:.2f} s (middle), {took[0]:.2f} s (least), {took[-1]:.2f} s (most) |"
            )
    where = f"{platform.system()} {platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
    table = "\n".join(
        ["| what | came of it |", "|---|---|", *lines, "", f"{where}; Python {platform.python_version()}."]
    )
    print(table)
    if args.write:
        text = f"# The server under load\n\nWritten by `python -m bench.server --write`.\n\n{table}\n"
        (HERE / "server.md").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
