"""The server is killed at 300 random instants while a phone sends to it: what it said it holds, it holds."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kingpost.desk import app as desk_app
from kingpost.desk.layout import lay_out

from .conftest import V
from .killable import DEVICE, content, journal

POINTS = 300
ROOT = Path(__file__).parents[2]


def test_killed_at_300_random_points(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kingpost.desk.judging.SETTLES_S", 3600.0)
    root = tmp_path / "data"
    done = subprocess.run(
        [sys.executable, "-m", "tests.desk.killable", str(root), str(POINTS), "1964"],
        cwd=ROOT, capture_output=True, text=True, timeout=600,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["killed"] == POINTS, done.stderr
    assert len(told["media"]) > POINTS // 10, "hardly anything arrived: the points lie too early to tell"
    app = desk_app.make(root)
    with TestClient(app) as client:  # it starts once more, and files what was complete
        store = app.state.desk.store
        assert store.ask("PRAGMA integrity_check") == [("ok",)]
        events = {e.id: e for _, e in store.events(V)}
        assert set(told["ids"]) <= set(events), "events that it had taken are lost"
        assert all(store.has_media(m) for m in told["media"]), "bytes that it had taken are lost"
        wrote = {e.id: e for step in journal() for e in step}
        assert all(events[name].digest == wrote[name].digest for name in events)
        for path in (p for p in (root / "media").rglob("*") if p.is_file()):
            assert hashlib.sha256(path.read_bytes()).hexdigest() == path.name, "bytes under a digest that is not theirs"
        assert client.get(f"/api/1/visits/{V}").json()["heads"][DEVICE]["missing"] == []
        folded = lay_out(store, V)
        folder = store.folder(V)
    lines = (folder / "journal" / f"{DEVICE}.jsonl").read_text().splitlines()
    assert [json.loads(line)["id"] for line in lines] == sorted(events, key=lambda i: int(i.partition(".")[2]))
    assert not folded.trouble
    for shot in folded.shots:
        if (path := folder / shot.file).exists():
            assert hashlib.sha256(path.read_bytes()).hexdigest() == shot.media
    steps = {hashlib.sha256(content(n)).hexdigest(): n for n in range(len(wrote) // 2)}
    pieces = [e.body["media"] for e in wrote.values() if e.kind == "audio" and e.id in events]
    here = [content(steps[m]) for m in pieces if (root / "media" / m[:2] / m).exists()]
    assert (folder / "walk" / f"{DEVICE}-1.webm").read_bytes() == b"".join(here)
