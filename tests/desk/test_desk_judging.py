"""A visit that came in over the doors is judged as the command line judges its folder, byte for byte."""

from __future__ import annotations

import io
import json
import math
import os
import shutil
import signal
import struct
import subprocess
import sys
import time
import wave
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from copy import copy
from itertools import count
from pathlib import Path
from typing import Any

import httpx
import pytest

from kingpost.visit.journal_form import Event
from kingpost.visit.journal_writer import Writer
from tests.conftest import HOUSE, WALK, jpeg
from tests.visit.journals import NINE

from .conftest import V
from .serving import Served, served, upload

LONGEST_S = 120.0
VISITS = 5
_next = count()


def tone(seconds: float = 2.0, rate: int = 8000) -> bytes:
    """A hum in which nobody speaks, as WAV."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        steps = (round(6000 * math.sin(2 * math.pi * 110 * n / rate)) for n in range(int(seconds * rate)))
        file.writeframes(b"".join(struct.pack("<h", s) for s in steps))
    return out.getvalue()


def send(one: Served, *events: Event) -> dict[str, Any]:
    told = one.client.post(f"/visits/{one.visit}/events", json={"events": [e.whole for e in events]})
    assert told.status_code == 200, told.text
    return dict(told.json())


def judged(one: Served) -> dict[str, Any]:
    """The record, once it holds all that was sent."""
    until = time.monotonic() + LONGEST_S
    while time.monotonic() < until:
        told = one.client.get(f"/visits/{one.visit}/record", params={"wait": True}, timeout=LONGEST_S)
        assert told.status_code == 200, told.text
        if int(told.headers["x-kingpost-cursor"]) == one.client.get(f"/visits/{one.visit}").json()["cursor"]:
            return dict(told.json())
        time.sleep(0.1)
    raise AssertionError("the record does not come up to date")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One for this file, with a visit for each test: what is loaded at the first judging is loaded once."""
    at = tmp_path_factory.mktemp("judging")
    for n in range(VISITS):
        (at / f"{V}-{n}" / "walk").mkdir(parents=True)
        (at / f"{V}-{n}" / "visit.toml").write_text(HOUSE)
        (at / f"{V}-{n}" / "walk" / "walk.vtt").write_text(WALK)
    samples = [x for n in range(VISITS) for x in ("--sample", str(at / f"{V}-{n}"))]
    with served(at / "data", *samples, cache=at / "cache") as made:
        yield made


@pytest.fixture
def one(server: Served) -> Served:
    """The server with a visit that no other test has touched."""
    mine = copy(server)
    mine.visit = f"{V}-{next(_next)}"
    return mine


def test_the_exported_folder_gives_the_same_record_on_the_command_line(one: Served, tmp_path: Path) -> None:
    picture, sound = jpeg("", colour=(90, 80, 70)), tone()
    pen = Writer("aaaa0001")
    send(one, pen.write(NINE, "begin", name="phone", who="Invented Person"))
    shot: dict[str, Any] = {"media": upload(one.client, picture), "bytes": len(picture), "type": "image/jpeg"}
    send(one, pen.write(NINE + 11_000, "photo", taken="2026-05-12T09:00:11-05:00", place="crawl space", **shot))
    half = len(sound) // 2
    for n, piece in enumerate((sound[:half], sound[half:])):
        media = upload(one.client, piece, name="a.wav", kind="audio/wav")
        send(one, pen.write(NINE + 30_000 + n, "audio", take="aaaa0001-1", piece=n, media=media, bytes=len(piece),
                            type="audio/wav", start_s=n, seconds=1.0, last=bool(n)))  # fmt: skip
    send(
        one,
        pen.write(NINE + 40_000, "word", text="The handrail of the basement stair is loose.", place="basement"),
        pen.write(NINE + 50_000, "reading", quantity="bearing_length", value=2, unit="in", component="girder",
                  place="crawl space"),
        pen.write(NINE + 60_000, "limit", text="Far end of the crawl space", why="boxes", place="crawl space"),
    )  # fmt: skip
    tap = pen.write(NINE + 61_000, "open", thing="hall bath hot tap", place="hall bath")
    send(
        one, tap, pen.write(NINE + 62_000, "close", loop=tap.id), pen.write(NINE + 63_000, "open", thing="attic light")
    )
    send(one, pen.write(NINE + 64_000, "gate", gate="roof", go=False, why="wet, 10 in 12"))
    record = judged(one)
    finding = record["findings"][0]["id"]
    send(one, pen.write(NINE + 70_000, "decision", subject=finding, verb="accept"))
    record = judged(one)
    raw = one.client.get(f"/visits/{one.visit}/record").content
    assert [f["state"] for f in record["findings"] if f["id"] == finding] == ["ink"]
    assert "journal/aaaa0001.jsonl" in {r["source"] for r in record["remarks"]}
    assert record["photos"][0]["place"] == "crawl space"
    loops = {a["text"]: (a["put_back"], a["opened_at"], a["closed_at"]) for a in record["as_found"]}
    assert loops["hall bath hot tap"] == (True, 61.0, 62.0)
    assert loops["attic light"] == (False, 63.0, None)
    limits = {x["text"] for x in record["limitations"]}
    assert {"Far end of the crawl space: boxes", "The roof was not entered: wet, 10 in 12"} <= limits
    assert any(q["quantity"] == "bearing_length" and q["value"] == 2 for q in record["readings"])

    packed = one.client.get(f"/visits/{one.visit}/export", timeout=LONGEST_S)
    zipfile.ZipFile(io.BytesIO(packed.content)).extractall(tmp_path / "out")
    folder = tmp_path / "out" / one.visit
    assert (folder / "walk" / "aaaa0001-1.wav").read_bytes() == sound
    env = {k: v for k, v in os.environ.items() if k != "KINGPOST_CACHE"} | {
        "XDG_CACHE_HOME": str(tmp_path / "elsewhere")
    }
    subprocess.run(
        [sys.executable, "-m", "kingpost.cli", "report", str(folder), "-o", str(tmp_path / "report"), "--no-pdf"],
        check=True, env=env, timeout=LONGEST_S, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    assert (tmp_path / "report" / "record.json").read_bytes() == raw


def test_a_decision_listens_to_nothing_again_and_survives(one: Served) -> None:
    record = judged(one)
    finding = record["findings"][0]
    pen = Writer("bbbb0002")
    steps: list[str] = []
    with httpx.stream(
        "GET", f"{one.client.base_url}visits/{one.visit}/live", timeout=LONGEST_S, trust_env=False
    ) as told:
        lines = told.iter_lines()
        assert next(lines) == "event: judging"
        send(one, pen.write(NINE, "decision", subject=finding["id"], verb="reword", title="The sill is rotten"))
        seen = []
        for line in lines:
            kind, _, data = line.partition(": ")
            if kind == "event":
                seen.append(data)
            elif kind == "data" and seen and seen[-1] == "judging":
                steps.append(json.loads(data)["step"])
            if seen and seen[-1] == "judged" and kind == "data":
                break
    assert "event" in seen
    assert steps and not [s for s in steps if s.startswith(("listening", "hearing"))]
    changed = judged(one)["findings"][0]
    assert (changed["title"], changed["state"]) == ("The sill is rotten", "ink")
    undo = pen.write(NINE + 1, "undo", event="bbbb0002.1")
    send(one, undo)
    assert judged(one)["findings"][0] == finding


def test_what_is_remembered_gives_what_a_fresh_run_gives(one: Served, tmp_path: Path) -> None:
    pen = Writer("bbbb0002")
    finding = judged(one)["findings"][0]["id"]
    send(one, pen.write(NINE, "decision", subject=finding, verb="set_aside", why="seen again, it is paint"))
    judged(one)
    warm = one.client.get(f"/visits/{one.visit}/record").content
    sample = shutil.copytree(one.root / "visits" / one.visit / "folder", tmp_path / one.visit)
    with served(tmp_path / "data", "--sample", str(sample), cache=tmp_path / "cache") as other:
        other.visit = one.visit
        judged(other)
        assert other.client.get(f"/visits/{one.visit}/record").content == warm


def test_words_files_and_waveform_for_the_time_axis(one: Served) -> None:
    sound = tone(3.0)
    pen = Writer("aaaa0001")
    media = upload(one.client, sound, name="a.wav", kind="audio/wav")
    send(one, pen.write(NINE + 30_000, "audio", take="aaaa0001-1", piece=0, media=media, bytes=len(sound),
                        type="audio/wav", start_s=0, seconds=3.0, last=True))  # fmt: skip
    judged(one)
    walks = one.client.get(f"/visits/{one.visit}/words").json()["walks"]
    assert walks[0]["source"] == "walk/walk.vtt"
    assert walks[0]["cues"][0]["text"].startswith("Crawl space.")
    part = one.client.get(f"/visits/{one.visit}/files/walk/aaaa0001-1.wav", headers={"Range": "bytes=0-3"})
    assert (part.status_code, part.content) == (206, b"RIFF")
    pytest.importorskip("av")
    told = one.client.get(f"/visits/{one.visit}/peaks/walk/aaaa0001-1.wav", params={"per_s": 10}).json()
    assert told["seconds"] == pytest.approx(3.0, abs=0.05)
    assert max(told["peaks"]) == pytest.approx(6000 / 32768, abs=0.02)


def writers(one: Served) -> list[int]:
    """The processes of this server that write reports."""
    told = subprocess.run(["ps", "-o", "pid=,args=", "--ppid", str(one.process.pid)], capture_output=True, text=True)
    return [int(row.split()[0]) for row in told.stdout.splitlines() if "--gently" in row]


def test_the_report_can_be_looked_at_and_no_decision_waits_for_it(one: Served) -> None:
    page = f"/visits/{one.visit}/report.html"
    told = one.client.get(page, timeout=LONGEST_S)
    assert told.status_code == 200
    assert "Alder Row" in told.text
    finding = judged(one)["findings"][0]["id"]
    (writer,) = writers(one)
    assert os.getpriority(os.PRIO_PROCESS, writer) > 0
    os.kill(writer, signal.SIGSTOP)  # a report that takes for ever
    pen = Writer("bbbb0002")
    with ThreadPoolExecutor(1) as aside:
        try:
            send(one, pen.write(NINE, "decision", subject=finding, verb="reword", title="First words"))
            asked = aside.submit(httpx.get, f"{one.client.base_url}{page[1:]}", timeout=LONGEST_S, trust_env=False)
            assert judged(one)["findings"][0]["title"] == "First words"
            send(one, pen.write(NINE + 1, "decision", subject=finding, verb="reword", title="Last words"))
            assert judged(one)["findings"][0]["title"] == "Last words"
            assert not asked.done()
        finally:
            os.kill(writer, signal.SIGCONT)
        assert asked.result().status_code == 200
    assert "Last words" in one.client.get(page, timeout=LONGEST_S).text
