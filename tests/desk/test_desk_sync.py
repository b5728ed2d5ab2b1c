"""Two devices and the server, random edits and cut-offs: the same result everywhere (bench/server.py: more rounds)."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from typing import Any

import pytest

from kingpost.desk import doors
from kingpost.desk.store import Store
from kingpost.visit.fold import fold
from kingpost.visit.journal import union
from kingpost.visit.journal_form import Event, event
from kingpost.visit.journal_writer import Writer
from tests.visit.journals import NINE, lines, scribble

from .conftest import V

ROUNDS, OVER_HTTP = 200, 20


class CutOff(Exception):
    """The line went dead: before the request arrived, or before its answer did."""


class Phone:
    """A device as docs/journal.md has it: it keeps its journal, sends what the server lacks, takes the rest."""

    def __init__(self, device: str, ahead_ms: int) -> None:
        self.pen, self.ahead_ms = Writer(device), ahead_ms
        self.held: dict[str, Event] = {}
        self.cursor, self.sure = 0, 0  # what it has read; up to which number the server said it holds its journal

    def do(self, dice: Random, now: int) -> None:
        made = scribble(self.pen, dice, now + self.ahead_ms, list(self.held.values()))
        self.held[made.digest] = made

    def sync(self, line: Any, now: int) -> None:
        own = sorted((e for e in self.held.values() if e.device == self.pen.device and e.seq > self.sure),
                     key=lambda e: e.seq)  # fmt: skip
        if own:
            told = line("POST", f"/api/1/visits/{V}/events", {"events": [e.whole for e in own]})
            head = told["heads"][self.pen.device]
            if not head["missing"]:
                self.sure = head["seq"]
        more = True
        while more:
            told = line("GET", f"/api/1/visits/{V}/events?after={self.cursor}&most=7", None)
            for row in told["events"]:
                one = event(row["event"])
                self.held[one.digest] = one
                self.pen.saw(one.hlc, now + self.ahead_ms)
            self.cursor, more = told["cursor"], told["more"]


class Straight:
    """The doors of events without the sending: what they call, called."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def request(self, method: str, path: str, body: Any) -> Any:
        sent = json.loads(json.dumps(body))
        if method == "POST":
            good, odd = doors.sorted_out(sent["events"])
            assert not odd
            self.store.take(V, good)
            return {"heads": self.store.heads(V, {e.device for e in good})}
        after, most = (int(part.split("=")[1]) for part in path.split("?")[1].split("&"))
        rows = self.store.events(V, after, most + 1)
        shown = rows[:most]
        events = [{"n": n, "event": e.whole} for n, e in shown]
        return {"events": events, "cursor": shown[-1][0] if shown else after, "more": len(rows) > most}


class Wire:
    """The doors themselves."""

    def __init__(self, client: Any) -> None:
        self.client, self.store = client, client.app.state.desk.store

    def request(self, method: str, path: str, body: Any) -> Any:
        told = self.client.request(method, path, json=body) if body else self.client.request(method, path)
        assert told.status_code == 200, told.text
        return told.json()


def round_of(server: Straight | Wire, seed: int) -> None:
    """One seeded round: edits and syncs by chance, the line cut by chance, then all meet."""
    dice = Random(seed)
    phones = [Phone("aaaa0001", 0), Phone("bbbb0002", dice.choice((0, 3_600_000, -3_600_000)))]
    cut = 0.3

    def line(method: str, path: str, body: Any) -> Any:
        if dice.random() < cut / 2:
            raise CutOff
        told = server.request(method, path, body)
        if dice.random() < cut / 2:
            raise CutOff
        return told

    now = NINE
    for _ in range(12):
        now += dice.choice((1, 900, 60_000))
        phone = dice.choice(phones)
        for _ in range(dice.randrange(4)):
            phone.do(dice, now)
        if dice.random() < 0.5:
            try:
                phone.sync(line, now)
            except CutOff:
                continue
    cut = 0.0
    for phone in (*phones, *phones):
        phone.sync(line, now)
    held = [union(phone.held.values()) for phone in phones]
    store = server.store
    at_server = union([e for _, e in store.events(V)])
    assert held[0] == held[1] == at_server
    folds = [fold(events) for events in (*held, at_server)]
    assert folds[0] == folds[1] == folds[2]
    assert [t for t in folds[0].trouble if "come" in t.problem or "follow" in t.problem or "stands" in t.problem] == []
    wrote = {p.pen.device: p.pen.seq for p in phones if p.pen.seq}
    assert {d: h["seq"] for d, h in store.heads(V).items()} == wrote
    for device, own in store.lines(V).items():  # and the folder's files are the devices' own journals
        mine = sorted((e for e in held[0] if e.device == device), key=lambda e: e.seq)
        assert "".join(f"{one}\n" for one in own).encode() == lines(mine)


def emptied(store: Store) -> None:
    """A server without events, that does not wait for the disk: no test here pulls the plug."""
    store.ask("PRAGMA synchronous=OFF")
    with store.change() as db:
        db.execute("DELETE FROM events")


@pytest.mark.parametrize("part", range(4))
def test_two_devices_and_the_server_agree(tmp_path: Path, part: int) -> None:
    store = Store(tmp_path)
    store.add_visit(V, "invented")
    for seed in range(part * ROUNDS // 4, (part + 1) * ROUNDS // 4):
        emptied(store)
        round_of(Straight(store), seed)
    store.close()


def test_and_they_agree_over_the_wire(client: Any) -> None:
    for seed in range(1000, 1000 + OVER_HTTP):
        emptied(client.app.state.desk.store)
        round_of(Wire(client), seed)
