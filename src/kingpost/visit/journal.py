"""Journals: lines of JSON, one file per device, only ever added to. Merging them is a union (docs/journal.md).

Two kinds of lines are read for ever: events (version 1 and up), and decisions from before there were events.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .errors import Troubles
from .facts import Decision
from .journal_clock import from_at
from .journal_form import Event, NoEvent, event, loads
from .text import MOST_TEXT_BYTES, decode, plain, read_bytes

VERBS = (
    *("accept", "reword", "merge", "split", "set_aside", "move", "standing", "use", "draft", "restore", "blur", "tick"),
    *("open", "put_back", "leave", "told", "answer"),  # the house as found, what was told, what preflight asked
)
NEEDS = ("id", "subject", "verb", "at")
MOST_LINES = 200_000  # a person decides on hundreds of things; noise has millions of lines
_OURS = (*NEEDS, "device")


@dataclass(frozen=True, slots=True)
class Journal:
    """What journals hold: events in order, and the decisions of lines without a version."""

    events: tuple[Event, ...] = ()
    decisions: tuple[Decision, ...] = ()


def load(files: Sequence[tuple[Path, str]], told: Troubles) -> Journal:
    """Every event and every decision of every file, merged."""
    events: list[Event] = []
    journals: list[list[Decision]] = []
    for path, name in files:
        if path.suffix.lower() != ".jsonl":
            told.add(name, None, "is no journal", "a journal is a .jsonl file, one JSON object a line")
            continue
        content = read_bytes(path, name, told, MOST_TEXT_BYTES, empty=True)
        text = None if content is None else _text(content, name, told)
        if text is not None:
            own, theirs = lines(text, name, path.stem if name.startswith("journal/") else "", told)
            events += own
            journals.append(theirs)
    _twice(journals, told)
    return Journal(union(events), merge(*journals))


def read(files: Sequence[tuple[Path, str]], told: Troubles) -> tuple[Decision, ...]:
    """Every decision of every file, merged: those of lines without a version."""
    return load(files, told).decisions


def union(*journals: Iterable[Event]) -> tuple[Event, ...]:
    """The union of events by digest, in order of the hybrid clock: the same whatever their order, repeats and gaps."""
    kept: dict[str, Event] = {}
    for one in (e for journal in journals for e in journal):
        other = kept.get(one.digest)
        if other is None or (one.file, one.line or 0) < (other.file, other.line or 0):
            kept[one.digest] = one
    return tuple(sorted(kept.values(), key=lambda e: e.order))


def merge(*journals: Iterable[Decision]) -> tuple[Decision, ...]:
    """The union of journals by id, in order of (clock, id): the same whatever their order, repeats and gaps.

    Where one id stands with two contents, the later one is kept; a person's words are in both files still.
    """
    kept: dict[str, Decision] = {}
    for decision in (one for journal in journals for one in journal):
        other = kept.get(decision.id)
        if other is None or _order(decision) > _order(other):
            kept[decision.id] = decision
    return tuple(sorted(kept.values(), key=_order))


def _order(decision: Decision) -> tuple[str, str, str]:
    """By the instant, whatever offset it is written with; then by id; then by content, so that no tie is left open."""
    rest = json.dumps(
        [decision.at, decision.subject, decision.verb, decision.device, decision.fields], sort_keys=True, default=str
    )
    clock = decision.clock or from_at(decision.at)
    return clock, decision.id, f"{rest} {decision.file} {decision.line or 0:09d}"


def _text(content: bytes, name: str, told: Troubles) -> str | None:
    """The text of a journal. A last line that was cut within a letter does not take the other lines with it."""
    body, end, last = content.rpartition(b"\n")
    try:
        content.decode()
    except UnicodeDecodeError:
        try:
            return (body + end).decode() + last.decode(errors="replace")
        except UnicodeDecodeError:
            pass
    return decode(content, name, told)


def lines(text: str, name: str, device: str, told: Troubles) -> tuple[list[Event], list[Decision]]:
    """The events, and the decisions without a version, of one text."""
    events: list[Event] = []
    decisions: list[Decision] = []
    rows = text.replace("\r\n", "\n").split("\n")
    for number, line in enumerate(rows, 1):
        if number > MOST_LINES:
            told.add(name, number, f"has more than {MOST_LINES:,} lines; the rest is not read", "split the file")
            break
        if not line.strip():
            continue
        try:
            said = loads(line)
            if "v" in said:
                events.append(event(said, name, number))
            else:
                decisions.append(_decision(said, name, number, device))
        except ValueError as err:
            problem, mend = str(err), 'write {"id": ..., "subject": ..., "verb": ..., "at": ...}'
            if number == len(rows) and '"v":' in line and isinstance(err, NoEvent):
                problem = f"is cut short: {problem}"
                mend = "the other lines are used; the device may hold this one still, so sync it again"
            told.add(name, number, problem, mend, "bad lines")
    return events, decisions


def _decision(said: dict[str, Any], name: str, number: int, device: str) -> Decision:
    """One line as a decision. Raises ValueError with what is wrong, for a person."""
    try:
        json.dumps(said, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        raise ValueError("holds half a character (a lone surrogate)") from None
    for key in NEEDS:
        if not isinstance(said.get(key), str) or not said[key].strip():
            raise ValueError(f"has no {key}")
    if said["verb"] not in VERBS:
        raise ValueError(f'verb "{plain(said["verb"])[:40]}" is not one of {", ".join(VERBS)}')
    try:
        clock = from_at(said["at"])
    except (ValueError, OverflowError):
        raise ValueError(f'at "{plain(said["at"])[:40]}" is not a time such as 2026-05-12T18:03:00-05:00') from None
    return Decision(
        id=plain(said["id"]),
        subject=plain(said["subject"]),
        verb=said["verb"],
        at=said["at"].strip(),
        fields={key: value for key, value in said.items() if key not in _OURS},
        device=plain(str(said.get("device") or device)),
        file=name,
        line=number,
        clock=clock,
    )


def _twice(journals: Sequence[Sequence[Decision]], told: Troubles) -> None:
    """Names an id that stands with two contents: no device does that, somebody edited a journal."""
    first: dict[str, Decision] = {}
    for one in (d for journal in journals for d in journal):
        other = first.setdefault(one.id, one)
        if (one.subject, one.verb, one.at, one.fields) != (other.subject, other.verb, other.at, other.fields):
            told.add(
                one.file,
                one.line,
                f'id "{one.id[:40]}" also stands at {other.file}:{other.line} with other content; the later one counts',
                "give each decision its own id",
                "ids that stand twice",
            )
