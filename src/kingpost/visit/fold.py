"""A visit's journals folded: what is in force, what was taken back, what has not come (docs/journal.md).

The fold is a pure function of the set of events: order, repeats and holders do not matter.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import PurePosixPath
from typing import Any

from .errors import Troubles
from .facts import Decision, Trouble
from .fold_chain import chained
from .fold_kinds import NEEDS, amount, fault, words
from .journal_form import Event, moment

ENDINGS = {"audio/webm": "webm", "audio/ogg": "ogg", "audio/wav": "wav", "audio/mp4": "m4a", "audio/mpeg": "mp3"}
PICTURES = {"image/jpeg": "jpg", "image/png": "png", "image/heic": "heic", "image/heif": "heic"}
NOTED = ("hold", "gate", "pass", "mark", "limit", "tick")
SHORT = 16  # digits of a picture's name


@dataclass(frozen=True, slots=True)
class Noted:
    """One event in force, on the visit's clock."""

    id: str
    kind: str
    at: datetime
    device: str
    who: str
    place: str
    body: dict[str, Any]
    file: str = ""
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Take:
    """One recording: its pieces in order, and which of them have not come."""

    id: str
    file: str  # walk/NAME
    device: str
    who: str
    started: datetime
    pieces: tuple[tuple[int, str, int], ...]  # (number, digest, bytes)
    missing: tuple[int, ...]
    seconds: float
    ended: bool


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture that a device took."""

    id: str
    file: str  # photos/NAME
    media: str
    taken: datetime | None
    place: str
    device: str
    who: str
    loop: str = ""
    role: str = ""
    finding: str = ""


@dataclass(frozen=True, slots=True)
class Loop:
    """Something changed for the visit, until it is put back."""

    id: str
    thing: str
    text: str
    place: str
    device: str
    opened: datetime
    closed: datetime | None = None
    put_back: bool = False
    why: str = ""
    again_s: float | None = None


@dataclass(frozen=True, slots=True)
class Folded:
    """The fold of a visit's journals."""

    events: tuple[Event, ...] = ()
    decisions: tuple[Decision, ...] = ()
    words: tuple[Noted, ...] = ()
    places: tuple[Noted, ...] = ()
    readings: tuple[Noted, ...] = ()
    takes: tuple[Take, ...] = ()
    shots: tuple[Shot, ...] = ()
    loops: tuple[Loop, ...] = ()
    noted: tuple[Noted, ...] = ()  # holds, gates, passes, marks, limits and ticks
    devices: dict[str, dict[str, Any]] = field(default_factory=dict)  # id: name, who, ahead_s, events
    undone: frozenset[str] = frozenset()
    trouble: tuple[Trouble, ...] = ()

    def of(self, kind: str) -> tuple[Noted, ...]:
        return tuple(n for n in self.noted if n.kind == kind)


def fold(events: Sequence[Event], older: Sequence[Decision] = ()) -> Folded:
    """Fold a union of events, as `journal.union` makes it.

    older  decisions from lines without a version
    """
    told = Troubles()
    chained(events, told)
    undone = taken_back(events)
    good: list[Event] = []
    strange: dict[str, list[Event]] = {}
    for e in events:
        if e.kind not in NEEDS:
            strange.setdefault(e.kind, []).append(e)
        elif problem := fault(e):
            told.add(e.file or e.device, e.line, problem, "the event is kept and not used", "events of odd form")
        elif e.id not in undone:
            good.append(e)
    for kind, them in sorted(strange.items()):
        many = f"{len(them)} events of kind" if len(them) > 1 else "an event of kind"
        where = min(them, key=lambda e: (e.file, e.line or 0))
        told.add(where.file or where.device, where.line, f'{many} "{kind}", which this version does not know',
                 "they are kept; a newer Kingpost reads them")  # fmt: skip
    devices = _devices(events, good)
    noted = [_noted(e, devices) for e in good]
    kept = [n for n in noted if n.kind in NOTED]
    return Folded(
        events=tuple(events),
        decisions=_decisions(good, [d for d in older if d.id not in undone], kept),
        words=tuple(n for n in noted if n.kind == "word"),
        places=tuple(n for n in noted if n.kind == "place"),
        readings=tuple(n for n in noted if n.kind == "reading"),
        takes=_takes([n for n in noted if n.kind == "audio"], told),
        shots=tuple(_shot(n, devices[n.device]["ahead_s"]) for n in noted if n.kind == "photo"),
        loops=_loops(noted, told),
        noted=tuple(kept),
        devices=devices,
        undone=undone,
        trouble=told.all(),
    )


def taken_back(events: Iterable[Event]) -> frozenset[str]:
    """The ids that an undo in force names. An undo counts only for what came before it, so from the newest back."""
    gone: set[str] = set()
    for e in sorted(events, key=lambda e: e.order, reverse=True):
        if e.kind == "undo" and e.id not in gone and words(e.body.get("event")):
            gone.add(e.body["event"])
    return frozenset(gone)


def _devices(events: Sequence[Event], good: Sequence[Event]) -> dict[str, dict[str, Any]]:
    out: dict[str, dict[str, Any]] = {}
    for e in events:
        about = out.setdefault(e.device, {"name": "", "who": "", "ahead_s": 0.0, "events": 0, "last": 0})
        about["events"] += 1
        about["last"] = max(about["last"], e.seq)
    for e in good:
        if e.kind == "begin":
            out[e.device] |= {"name": str(e.body["name"]), "who": str(e.body.get("who", ""))}
        elif e.kind == "clock" and abs(e.body["ahead_s"]) < 10 * 366 * 86_400:
            out[e.device]["ahead_s"] = float(e.body["ahead_s"])
    return dict(sorted(out.items()))


def _noted(e: Event, devices: dict[str, dict[str, Any]]) -> Noted:
    about = devices[e.device]
    at = moment(e.at) - timedelta(seconds=about["ahead_s"])
    said = e.body.get("place")
    place = said.strip() if isinstance(said, str) else ""
    who = str(about["who"] or about["name"])
    return Noted(e.id, e.kind, at, e.device, who, place, e.body, e.file, e.line)


def _decisions(good: Sequence[Event], older: Sequence[Decision], kept: Sequence[Noted]) -> tuple[Decision, ...]:
    """Decisions, and ticks as decisions, with those of older lines, in clock order."""
    out = list(older)
    for e in good:
        if e.kind not in ("decision", "tick"):
            continue
        rest = {k: v for k, v in e.body.items() if k not in ("subject", "verb")}
        verb = "tick" if e.kind == "tick" else str(e.body["verb"])
        if e.kind == "tick" and words(e.body.get("place")) and "@" not in e.body["subject"]:
            subject = f"{e.body['subject']}@{e.body['place']}"
        else:
            subject = str(e.body["subject"])
        out.append(Decision(e.id, subject, verb, e.at, rest, e.device, e.file, e.line, e.hlc))
    return tuple(sorted(out, key=lambda d: d.order))


def _takes(pieces: Sequence[Noted], told: Troubles) -> tuple[Take, ...]:
    by: dict[tuple[str, str], dict[int, Noted]] = {}
    for n in pieces:
        by.setdefault((n.device, n.body["take"]), {})[n.body["piece"]] = n  # of one number the newest counts
    out = []
    for (device, name), mine in sorted(by.items()):
        first, last = mine[min(mine)], mine[max(mine)]
        missing = tuple(n for n in range(max(mine)) if n not in mine)
        ended = any(n.body.get("last") is True for n in mine.values())
        if missing:
            told.add(first.file or device, first.line, f"recording {name}: {len(missing)} of its pieces have not come, "
                     f"the first is {missing[0]}", "sync the device that made it; the rest is used")  # fmt: skip
        kind = ENDINGS.get(str(first.body["type"]).partition(";")[0].strip().lower(), "webm")
        out.append(
            Take(
                id=name,
                file=f"walk/{_safe(name, device)}.{kind}",
                device=device,
                who=first.who,
                started=first.at - timedelta(seconds=_number(first.body.get("start_s"))),
                pieces=tuple((n, mine[n].body["media"], mine[n].body["bytes"]) for n in sorted(mine)),
                missing=missing,
                seconds=round(_number(last.body.get("start_s")) + _number(last.body.get("seconds")), 3),
                ended=ended,
            )
        )
    return tuple(sorted(out, key=lambda t: (t.started, t.file)))


def _safe(name: str, device: str) -> str:
    """A recording's name as a file's: the device always in it, so that two devices never share one."""
    own = "".join(c if c.isascii() and (c.isalnum() or c in "-_") else "-" for c in name)[:60]
    return own if own.startswith(device) and own == name else f"{device}-{own}"


def _number(value: Any) -> float:
    return float(value) if amount(value) and 0 <= value < 1e6 else 0.0


def _shot(n: Noted, ahead_s: float) -> Shot:
    kind = PICTURES.get(str(n.body["type"]).partition(";")[0].strip().lower()) or (
        PurePosixPath(str(n.body.get("name", ""))).suffix.lower().lstrip(".") or "jpg"
    )
    kind = kind if kind.isascii() and kind.isalnum() else "jpg"
    taken: datetime | None = None
    if words(n.body.get("taken")):
        try:
            taken = moment(n.body["taken"]) - timedelta(seconds=ahead_s)
        except ValueError:
            taken = None
    more = {key: str(n.body.get(key, "")) for key in ("loop", "role", "finding")}
    media = n.body["media"]
    return Shot(n.id, f"photos/{media[:SHORT]}.{kind}", media, taken, n.place, n.device, n.who, **more)


def _loops(noted: Sequence[Noted], told: Troubles) -> tuple[Loop, ...]:
    out: dict[str, Loop] = {}
    for n in noted:
        if n.kind == "open":
            again = n.body.get("again_s")
            out[n.id] = Loop(n.id, str(n.body["thing"]), str(n.body.get("text", "")), n.place, n.device, n.at,
                             again_s=_number(again) or None)  # fmt: skip
    for n in noted:
        if n.kind != "close":
            continue
        if (one := out.get(n.body["loop"])) is None:
            told.add(n.file or n.device, n.line, f'closes "{n.body["loop"]}", which was not opened here',
                     "sync the device that opened it")  # fmt: skip
            continue
        back = n.body.get("put_back", True) is not False
        out[one.id] = Loop(one.id, one.thing, one.text, one.place, one.device, one.opened, n.at, back,
                           str(n.body.get("why", "")), one.again_s)  # fmt: skip
    return tuple(sorted(out.values(), key=lambda loop: (loop.opened, loop.id)))
