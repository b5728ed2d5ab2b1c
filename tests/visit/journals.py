"""Invented journals for tests: devices that write, with a clock of their own."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from random import Random

from kingpost.visit.journal_form import Event, canonical
from kingpost.visit.journal_writer import Writer

NINE = 1778594400000  # 2026-05-12T09:00:00-05:00
PLACES = ("attic", "hall bath", "crawl space", "kitchen")
THINGS = ("f0000000001", "f0000000002", "f0000000003")


def scribble(pen: Writer, dice: Random, now: int, known: Sequence[Event] = ()) -> Event:
    """One event of some kind, as a person with gloves would make it."""
    place = dice.choice(PLACES)
    match dice.randrange(9):
        case 0:
            return pen.write(now, "word", text=f"the joist is split {dice.randrange(99)}", place=place)
        case 1:
            return pen.write(
                now, "reading", quantity="riser_height", value=dice.choice((7, 8.25)), unit="in", place=place
            )
        case 2:
            return pen.write(now, "place", place=place)
        case 3:
            return pen.write(now, "open", thing=f"{place} hot tap", place=place)
        case 4:
            opened = [e.id for e in known if e.kind == "open"] or ["nobody.1"]
            return pen.write(now, "close", loop=dice.choice(opened), put_back=dice.random() < 0.9)
        case 5:
            return pen.write(now, "tick", subject=dice.choice(("windows", "roof_drainage")), place=place)
        case 6:
            return pen.write(now, "limit", text=f"{place} beyond the duct", why="no way in")
        case 7 if known:
            return pen.write(now, "undo", event=dice.choice(known).id)
        case _:
            return pen.write(
                now, "decision", subject=dice.choice(THINGS), verb=dice.choice(("accept", "set_aside")), why=place
            )


def lines(events: Sequence[Event]) -> bytes:
    return b"".join(canonical(e.whole).encode() + b"\n" for e in events)


def write(folder: Path, events: Sequence[Event]) -> None:
    """The journals of a visit folder."""
    at = folder / "journal"
    at.mkdir(exist_ok=True)
    for device in {e.device for e in events}:
        (at / f"{device}.jsonl").write_bytes(lines([e for e in events if e.device == device]))


def loose(event: Event) -> str:
    """The same event as another writer would put it: other order of keys, other blanks."""
    return json.dumps(dict(reversed(event.whole.items())), indent=None, separators=(" , ", ": "))
