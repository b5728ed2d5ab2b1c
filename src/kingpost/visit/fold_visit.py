"""The fold of the journals as parts of a visit: words as walks, readings as rows, times of recordings and pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from .clocks import between, on_clock_of
from .errors import Troubles
from .facts import Cue, Decision, Facts, Photo, Row, Walk
from .files import shown
from .fold import Folded, Noted
from .fold_kinds import amount, words
from .text import plain

WORDS_A_MINUTE = 140.0  # as for plain text in walk/
LEAST_S = 0.2
COME = "sync the device that made it, or copy the file there"


def started(folded: Folded) -> datetime | None:
    """When the earliest event of the visit happened."""
    times = [n.at for n in (*folded.words, *folded.places, *folded.readings, *folded.noted)]
    times += [t.started for t in folded.takes] + [loop.opened for loop in folded.loops]
    return min(times, default=None)


def with_times(facts: Facts, folded: Folded) -> Facts:
    """Facts that know when the recordings and pictures of the journals were made; visit.toml has the last word."""
    more = dict(facts.more)
    own = [*more.get("walk", ())]
    have = {str(e["file"]).removeprefix("walk/") for e in own}
    own += [{"file": t.file, "started": t.started} for t in folded.takes if t.file.removeprefix("walk/") not in have]
    given = [*more.get("photo", ())]
    have = {str(e["file"]).removeprefix("photos/") for e in given}
    given += [
        {"file": s.file, "taken": s.taken}
        for s in folded.shots
        if s.taken is not None and s.file.removeprefix("photos/") not in have
    ]
    return replace(
        facts, more=more | ({"walk": tuple(own)} if own else {}) | ({"photo": tuple(given)} if given else {})
    )


def walks(folded: Folded, start: datetime | None) -> tuple[Walk, ...]:
    """What was typed on each device, as a walk of that journal. A place that was tapped is a cue of its own: the tap
    is all that was said of it."""
    out = []
    for device in sorted({n.device for n in folded.words}):
        said = sorted((n for n in (*folded.words, *folded.places) if n.device == device), key=lambda n: (n.at, n.id))
        first = said[0].at
        source = f"journal/{device}.jsonl"
        cues = list(_cues(said, first, source))
        out.append(
            Walk(source, tuple(replace(c, index=i) for i, c in enumerate(cues)), on_clock_of(first, start or first))
        )
    return tuple(out)


def _cues(said: Sequence[Noted], first: datetime, source: str) -> Iterator[Cue]:
    here, floor = "", 0.0
    for n in said:
        begins = max((n.at - first).total_seconds(), floor)
        if n.place and n.place.casefold() != here:
            here = n.place.casefold()
            yield Cue(source, 0, begins, begins + LEAST_S, plain(n.place).rstrip(".") + ".", n.who, n.line)
            begins += LEAST_S
        if n.kind == "word":
            text = plain(n.body["text"])
            length = max(LEAST_S, len(text.split()) / WORDS_A_MINUTE * 60)
            speaker = n.body.get("speaker")
            yield Cue(source, 0, begins, begins + length, text, speaker if words(speaker) else n.who, n.line)
        floor = begins


def rows(folded: Folded, start: datetime | None) -> tuple[Row, ...]:
    """Readings taken on devices, as rows of readings.csv."""
    out = []
    for n in folded.readings:
        value, doubt = n.body["value"], n.body.get("uncertainty")
        texts = {key: plain(str(n.body.get(key) or "")) for key in ("component", "unit", "instrument")}
        note = ", ".join(plain(n.body[key]) for key in ("text", "note") if words(n.body.get(key)))
        out.append(
            Row(
                file=n.file or f"journal/{n.device}.jsonl",
                line=n.line or 0,
                time=between(start, n.at),
                place=plain(n.place),
                component=texts["component"],
                quantity=plain(n.body["quantity"]),
                value=float(value) if amount(value) else plain(value),
                unit=texts["unit"],
                uncertainty=float(doubt) if amount(doubt) and doubt >= 0 else None,
                instrument=texts["instrument"],
                note=note,
            )
        )
    return tuple(out)


def filed(folded: Folded, photos: Sequence[Photo]) -> tuple[Decision, ...]:
    """Where the person who took a picture said that it belongs, as decisions that a later one overrides."""
    at = {p.digest: p.id for p in photos}
    events = {e.id: e for e in folded.events}
    out = []
    for s in folded.shots:
        if s.media in at and (s.place or s.finding):
            e = events[s.id]
            fields = {k: v for k, v in (("place", s.place), ("finding", s.finding)) if v}
            out.append(Decision(s.id, at[s.media], "move", e.at, fields, s.device, e.file, e.line, e.hlc))
    return tuple(out)


def told_of_media(folded: Folded, photos: Sequence[Photo], sounds: set[str], told: Troubles) -> None:
    """Names the recordings and pictures whose bytes are not in the folder.

    sounds  names of the files in walk/, as "walk/NAME"
    """
    have = {p.digest for p in photos}
    events = {e.id: e for e in folded.events}
    for s in folded.shots:
        if s.media not in have:
            e = events[s.id]
            told.add(
                e.file or s.device, e.line, f"the picture {s.file} has not come, or cannot be used", COME, "pictures"
            )
    for t in folded.takes:
        if t.file not in sounds:
            told.add(shown(t.file), None, f"the recording of {t.device} has not come", COME)
