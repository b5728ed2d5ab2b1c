"""Decisions: lines of JSON, one file per device, only ever added to. Merging them is a union."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from .errors import Troubles
from .facts import Decision
from .text import plain, read_text

VERBS = (
    *("accept", "reword", "merge", "set_aside", "move", "standing", "use", "restore", "blur", "tick"),
    *("open", "put_back", "leave", "told", "answer"),  # the house as found, what was told, what preflight asked
)
NEEDS = ("id", "subject", "verb", "at")
MOST_LINES = 200_000  # a person decides on hundreds of things; noise has millions of lines
_OURS = (*NEEDS, "device")


def read(files: Sequence[tuple[Path, str]], told: Troubles) -> tuple[Decision, ...]:
    """Every decision of every file, merged."""
    journals = []
    for path, name in files:
        if path.suffix.lower() != ".jsonl":
            told.add(name, None, "is no journal", "a journal is a .jsonl file, one JSON object a line")
            continue
        text = read_text(path, name, told, empty=True)
        if text is not None:
            journals.append(_lines(text, name, path.stem if name.startswith("journal/") else "", told))
    _twice(journals, told)
    return merge(*journals)


def merge(*journals: Iterable[Decision]) -> tuple[Decision, ...]:
    """The union of journals by id, in order of (at, id): the same whatever their order, repeats and gaps.

    Where one id stands with two contents, the later one is kept; a person's words are in both files still.
    """
    kept: dict[str, Decision] = {}
    for decision in (one for journal in journals for one in journal):
        other = kept.get(decision.id)
        if other is None or _order(decision) > _order(other):
            kept[decision.id] = decision
    return tuple(sorted(kept.values(), key=_order))


def _order(decision: Decision) -> tuple[datetime, str, str]:
    """By the instant, whatever offset it is written with; then by id; then by content, so that no tie is left open."""
    rest = json.dumps(
        [decision.at, decision.subject, decision.verb, decision.device, decision.fields], sort_keys=True, default=str
    )
    return _instant(decision.at), decision.id, f"{rest} {decision.file} {decision.line or 0:09d}"


def _instant(at: str) -> datetime:
    moment = datetime.fromisoformat(at)
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


def _lines(text: str, name: str, device: str, told: Troubles) -> list[Decision]:
    out: list[Decision] = []
    for number, line in enumerate(text.replace("\r\n", "\n").split("\n"), 1):
        if number > MOST_LINES:
            told.add(name, number, f"has more than {MOST_LINES:,} lines; the rest is not read", "split the file")
            break
        if not line.strip():
            continue
        try:
            out.append(_decision(line, name, number, device))
        except ValueError as err:
            told.add(name, number, str(err), 'write {"id": ..., "subject": ..., "verb": ..., "at": ...}', "bad lines")
    return out


def _decision(line: str, name: str, number: int, device: str) -> Decision:
    """One line as a decision. Raises ValueError with what is wrong, for a person."""
    said = _object(line)
    for key in NEEDS:
        if not isinstance(said.get(key), str) or not said[key].strip():
            raise ValueError(f"has no {key}")
    if said["verb"] not in VERBS:
        raise ValueError(f'verb "{plain(said["verb"])[:40]}" is not one of {", ".join(VERBS)}')
    try:
        _instant(said["at"])
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
    )


def _object(line: str) -> dict[str, Any]:
    def refuse(word: str) -> None:
        raise ValueError(f"{word} is no number")

    try:
        said = json.loads(line, parse_constant=refuse)
        json.dumps(said, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        raise ValueError("holds half a character (a lone surrogate)") from None
    except (ValueError, RecursionError):
        raise ValueError("is not a line of JSON") from None
    if not isinstance(said, dict):
        raise ValueError("is not a JSON object")
    return said


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
