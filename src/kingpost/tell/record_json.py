"""record.json: the record as docs/contract.md fixes it, the same bytes for the same record."""

from __future__ import annotations

import json
from functools import cache
from math import isfinite
from pathlib import Path
from typing import Any

from kingpost.visit.record import Record, plain

SCHEMA_FILE = Path(__file__).parent / "record.schema.json"
FROM = ("remark", "photo", "row")  # a reading names where it comes from, and only that


def shape(record: Record) -> dict[str, Any]:
    """The record as plain data, in the contract's shape.

    A number that JSON cannot hold (infinite, not a number) becomes null.
    """
    made: dict[str, Any] = _holdable(plain(record))
    for reading in made["readings"]:
        for key in FROM:
            if reading[key] is None:
                del reading[key]
    return made


def dump(record: Record) -> bytes:
    """The bytes of record.json: UTF-8, sorted keys, one line end at the end."""
    text = json.dumps(shape(record), sort_keys=True, ensure_ascii=False, indent=1, allow_nan=False)
    return (text + "\n").encode("utf-8", "backslashreplace")


@cache
def schema() -> dict[str, Any]:
    """The published JSON Schema (draft 2020-12) of record.json."""
    made: dict[str, Any] = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    return made


def _holdable(thing: Any) -> Any:
    if isinstance(thing, dict):
        return {k: _holdable(v) for k, v in thing.items()}
    if isinstance(thing, list):
        return [_holdable(v) for v in thing]
    if isinstance(thing, float) and not isfinite(thing):
        return None
    return thing
