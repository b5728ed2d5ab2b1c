"""Editions: each one that was delivered is kept in the visit folder, and a re-issue says what changed, in words.

`VISIT/editions/001/` holds `record.json` as it was delivered and `edition.toml` with number, date, reason and the
SHA-256 of that record. Only `keep` writes there, with a date that a person gives: so the same folder, the same bytes.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

from kingpost.visit.record import Record

from . import record_json
from .changes import Change, changes

FOLDER = "editions"


class EditionError(ValueError):
    """A kept edition cannot be used, or a new one not be kept; the text says which, why and how to mend it."""


@dataclass(frozen=True, slots=True)
class Edition:
    """One delivered report, or the one being made: then `issued` is None."""

    number: int
    issued: date | None
    why: str = ""
    changes: tuple[Change, ...] = ()  # against the edition before it
    record: dict[str, Any] = field(default_factory=dict)


def read(folder: Path) -> tuple[Edition, ...]:
    """The editions kept in a visit folder, oldest first, each with what it changed.

    Raises EditionError where one is damaged, missing or out of order.
    """
    at = folder / FOLDER
    if not at.is_dir():
        return ()
    out: list[Edition] = []
    for path in sorted(p for p in at.iterdir() if p.is_dir()):
        one = _read(path, len(out) + 1)
        if out and one.issued and out[-1].issued and one.issued < out[-1].issued:
            raise EditionError(
                f"{_told(path)}/edition.toml: is dated {one.issued}, before the edition it follows ({out[-1].issued}); "
                "put the right date in"
            )
        made = changes(out[-1].record, one.record) if out else ()
        out.append(Edition(one.number, one.issued, one.why, made, one.record))
    return tuple(out)


def _told(path: Path) -> str:
    return f"{FOLDER}/{path.name}"


def _read(path: Path, number: int) -> Edition:
    mend = "put back the folder as it was delivered, or take it out with all that follow it"
    try:
        about = tomllib.loads((path / "edition.toml").read_text(encoding="utf-8"))
        raw = (path / "record.json").read_bytes()
        record = json.loads(raw)
    except (OSError, UnicodeDecodeError, ValueError) as err:
        raise EditionError(f"{_told(path)}: cannot be read ({str(err) or type(err).__name__}); {mend}") from err
    if about.get("number") != number or path.name != f"{number:03d}":
        raise EditionError(f"{_told(path)}: is not edition {number}, which comes next; {mend}")
    if not isinstance(about.get("issued"), date) or not isinstance(record, dict):
        raise EditionError(f"{_told(path)}/edition.toml: has no date as in issued = 2026-05-14; {mend}")
    if about.get("record_sha256") != sha256(raw).hexdigest():
        raise EditionError(f"{_told(path)}/record.json: is not what was delivered (its SHA-256 differs); {mend}")
    return Edition(number, about["issued"], str(about.get("why", "")), (), record)


def line(kept: tuple[Edition, ...], record: Record) -> tuple[Edition, ...]:
    """The kept editions, and after them the one that this record would be where it differs from the last."""
    if not kept:
        return ()
    made = changes(kept[-1].record, record_json.shape(record))
    return (*kept, Edition(kept[-1].number + 1, None, "", made)) if made else kept


def keep(folder: Path, record: Record, issued: date, why: str = "") -> tuple[Edition, ...]:
    """Keeps this record as the next edition of the visit and returns all of them.

    A record that tells the same as the last edition is that edition: nothing is written.
    Raises EditionError for a date before the last edition's, OSError where the folder cannot be written.
    """
    kept = read(folder)
    if kept and len(line(kept, record)) == len(kept):
        return kept
    if kept and kept[-1].issued and issued < kept[-1].issued:
        raise EditionError(
            f"--issued {issued} lies before edition {kept[-1].number} of {kept[-1].issued}; "
            "give the day of this edition"
        )
    number = len(kept) + 1
    at = folder / FOLDER / f"{number:03d}"
    at.mkdir(parents=True, exist_ok=True)
    raw = record_json.dump(record)
    (at / "record.json").write_bytes(raw)
    about = [
        "# Written by Kingpost when this edition was delivered. The next edition is compared with it.",
        f"number = {number}",
        f"issued = {issued.isoformat()}",
        f"why = {json.dumps(why, ensure_ascii=False)}",
        f'record_sha256 = "{sha256(raw).hexdigest()}"',
    ]
    (at / "edition.toml").write_text("\n".join(about) + "\n", encoding="utf-8", newline="\n")
    return read(folder)
