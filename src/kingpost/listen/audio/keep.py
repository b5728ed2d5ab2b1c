"""Hearings on disk: pieces as they come, so that a broken run goes on, and the finished hearing beside the visit."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kingpost.visit import sound
from kingpost.visit.facts import Said

CACHE = "KINGPOST_CACHE"  # a folder for what was heard where it cannot stand beside the visit
VERSION = 2  # of the way in which a hearing is made of a sound: raise it and every sound is heard again

Timed = tuple[str, Said]


@dataclass(frozen=True, slots=True)
class By:
    """What made a hearing: of another model, other trade words or another way, a sound is heard again."""

    model: str
    words: str

    def as_json(self) -> dict[str, Any]:
        return {"model": self.model, "words": self.words, "version": VERSION}


@dataclass(frozen=True, slots=True)
class Piece:
    """What was heard up to `end`, the sample at which the next piece begins, and the place of the speaker there."""

    end: int
    place: str
    last: tuple[str, ...]  # the last words heard, for what they name
    words: tuple[Timed, ...]
    aside: tuple[tuple[float, str], ...] = ()  # words the recogniser itself takes for no speech, with their time


def folder_for(visit: Path | None) -> Path:
    """Where hearings are kept: beside the visit where that can be written, else in the user's own cache folder."""
    if visit is not None and not os.environ.get(CACHE):
        beside = visit / sound.FOLDER
        try:
            beside.mkdir(parents=True, exist_ok=True)
            if os.access(beside, os.W_OK):
                return beside
        except OSError:
            pass
    named = os.environ.get(CACHE) or os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    own = Path(named) / ("heard" if os.environ.get(CACHE) else "kingpost/heard")
    own.mkdir(parents=True, exist_ok=True)
    return own


def fits(found: dict[str, Any] | None, by: By) -> bool:
    """Is this kept hearing the one that would be made now?"""
    return found is not None and found.get("by") == by.as_json()


def finish(folder: Path, name: str, by: By, told: dict[str, Any]) -> None:
    """Keeps a finished hearing: all of it or nothing, so that a cut wire never leaves half a file."""
    text = json.dumps({"schema": sound.SCHEMA, "by": by.as_json(), **told}, ensure_ascii=False, indent=None)
    at = sound.kept_at(folder, name)
    fresh = at.with_suffix(f".{os.getpid()}.new")
    fresh.write_text(text + "\n", encoding="utf-8")
    fresh.replace(at)
    _part(folder, name).unlink(missing_ok=True)


def _part(folder: Path, name: str) -> Path:
    return folder / f"{name}.part"


def pieces(folder: Path, name: str, by: By) -> list[Piece]:
    """Pieces that a broken run wrote; none where they were made by something else. A line cut short is left out."""
    try:
        lines = _part(folder, name).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return []
    found = list(_read(lines))
    return [_piece(one) for one in found[1:]] if found and found[0] == by.as_json() else []


def _read(lines: Sequence[str]) -> Iterator[Any]:
    for line in lines:
        try:
            yield json.loads(line)
        except ValueError:
            return


def _piece(one: dict[str, Any]) -> Piece:
    words = tuple((str(t), Said(a, b, sure, other)) for t, a, b, sure, other in one["words"])
    return Piece(one["end"], one["place"], tuple(one["last"]), words, tuple((a, t) for a, t in one["aside"]))


class Notebook:
    """Writes pieces down as they come; each is on disk before the next is heard."""

    def __init__(self, folder: Path, name: str, by: By, known: Sequence[Piece]) -> None:
        self._at = _part(folder, name)
        lines = [by.as_json(), *map(_as_json, known)]
        self._at.write_text("".join(json.dumps(one) + "\n" for one in lines), encoding="utf-8")

    def add(self, piece: Piece) -> None:
        with self._at.open("a", encoding="utf-8") as file:
            file.write(json.dumps(_as_json(piece)) + "\n")
            file.flush()
            os.fsync(file.fileno())


def _as_json(piece: Piece) -> dict[str, Any]:
    words = [[text, w.start, w.end, w.sure, w.other] for text, w in piece.words]
    aside = [list(one) for one in piece.aside]
    return {"end": piece.end, "place": piece.place, "last": list(piece.last), "words": words, "aside": aside}
