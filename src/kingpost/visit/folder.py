"""Reads a visit folder: everything that can be used, and by name what could not be."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from . import files, fold_visit, house, journal, panel, photos, readings, sound, thermal, walks
from .errors import Troubles, VisitError
from .facts import Facts, Row, Visit
from .fold import fold
from .text import read_text


def read(folder: Path, hearings: Path | None = None) -> Visit:
    """The visit in a folder.

    hearings  where `kingpost.listen.audio` keeps what it heard in sound, if not beside the visit

    Raises VisitError, with every trouble found, where the folder or visit.toml cannot be read, or where no walk, no
    picture and no reading can be used.
    """
    told = Troubles()
    folder = Path(folder)
    if not files.is_folder(folder):
        problem = "is not a folder" if files.there(folder) else "is not there"
        told.add(files.shown(str(folder)), None, problem, "give the folder of a visit; `kingpost new DIR` makes one")
        raise VisitError(told.all())
    facts = house.read(folder, told)
    held = journal.load(_journals(folder, told), told)
    folded = fold(held.events, held.decisions)
    told.more(folded.trouble)
    facts = fold_visit.with_times(facts, folded)
    talk = files.inside(folder, "walk", told, (walks.SOUND,))
    heard = walks.read(talk, facts, told, hearings or folder / sound.FOLDER)
    if not heard:  # what was typed on a device has no sound
        walks.wants_transcript(folder, told)
    facts = _started(facts, [w.started for w in heard if w.started is not None])
    facts = facts if facts.started is not None else replace(facts, started=fold_visit.started(folded))
    pictures = photos.read(files.inside(folder, "photos", told), facts, told)
    if folded.events:
        fold_visit.told_of_media(folded, pictures, {name for _, name in talk}, told)
    visit = Visit(
        folder=folder,
        facts=facts,
        walks=(*heard, *fold_visit.walks(folded, facts.started)),
        photos=pictures,
        frames=thermal.read(files.inside(folder, "thermal", told), facts, told),
        rows=(*_rows(folder, facts, told), *fold_visit.rows(folded, facts.started)),
        panel=panel.read(folder, told),
        decisions=tuple(sorted((*folded.decisions, *fold_visit.filed(folded, pictures)), key=lambda d: d.order)),
        journal=folded if folded.events else None,
    )
    files.strangers(folder, told)
    if facts.started is None and (visit.photos or visit.rows):
        told.add(
            house.NAME,
            None,
            "says no start, so pictures and readings cannot be placed against the words",
            "add started = 2026-05-12T09:00:00-05:00, as it was, under [visit]",
        )
    if not (visit.walks or visit.photos or visit.rows or visit.panel):
        told.add(
            files.shown(folder.name) or ".",
            None,
            "holds no words, no pictures and no readings that can be used",
            "put a transcript in walk/, pictures in photos/, or readings in readings.csv",
        )
        raise VisitError(told.all())
    return replace(visit, trouble=told.all())


def _started(facts: Facts, walks: list[datetime]) -> Facts:
    """Facts with a start: the visit's own, else the earliest walk's."""
    return replace(facts, started=min(walks, key=str)) if walks and facts.started is None else facts


def _rows(folder: Path, facts: Facts, told: Troubles) -> tuple[Row, ...]:
    path = folder / "readings.csv"
    if not files.there(path):
        return ()
    text = read_text(path, path.name, told)
    return () if text is None else readings.read(text, path.name, facts.started, told)


def _journals(folder: Path, told: Troubles) -> list[tuple[Path, str]]:
    at = folder / "decisions.jsonl"
    own = [(at, at.name)] if files.there(at) else []
    return own + files.inside(folder, "journal", told)
