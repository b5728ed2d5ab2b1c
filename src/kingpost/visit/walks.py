"""The walk files: which transcript to read, and which audio still waits for one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from . import cues, sound
from .clocks import between, on_clock_of
from .errors import Troubles
from .facts import Facts, Trouble, Walk
from .files import is_folder, names, shown
from .text import read_text

TRANSCRIPTS = (".vtt", ".srt", ".txt")  # the first of one stem is read: recognisers write all three
AUDIO = (".wav", ".ogg", ".m4a", ".mp3", ".webm", ".opus", ".flac", ".aac")
SOUND = "audio"  # walk/audio/: the sound behind a transcript, in as many pieces as the recorder made
WAITS = "is sound that nobody has listened to"
WAITS_MEND = "`kingpost report` listens where pip install 'kingpost[listen]' was run; or save its words as {stem}.vtt"


def read(
    files: Sequence[tuple[Path, str]], facts: Facts, told: Troubles, hearings: Path | None = None
) -> tuple[Walk, ...]:
    """Every walk in order of its start and name.

    hearings  the folder that holds what Kingpost heard in sound without a transcript
    """
    chosen: dict[str, tuple[Path, str]] = {}
    sounds: list[tuple[Path, str]] = []
    for path, name in sorted(files, key=lambda f: (f[0].stem, _rank(f[0]), f[1])):
        ending = path.suffix.lower()
        if ending in AUDIO:
            sounds.append((path, name))
        elif ending not in TRANSCRIPTS:
            told.add(name, None, "is no transcript and no sound that Kingpost knows", "save it as .vtt, .srt or .txt")
        elif path.stem in chosen:
            used = chosen[path.stem][1]
            told.add(
                name,
                None,
                f"has the name of {used}, which is read; this one is not",
                "rename it if it holds other words",
            )
        else:
            chosen[path.stem] = (path, name)
    walks = [walk for path, name in chosen.values() if (walk := one(path, name, told)) is not None]
    waiting = [(path, name) for path, name in sounds if path.stem not in chosen]
    walks += [walk for path, name in waiting if (walk := listened(path, name, hearings, told)) is not None]
    return _placed(walks, facts, told)


def wants_transcript(folder: Path, told: Troubles) -> None:
    """Says so where walk/audio/ holds the sound of a walk whose words nobody wrote down."""
    at = folder / "walk" / SOUND
    if is_folder(at) and any(Path(name).suffix.lower() in AUDIO for name in names(at, told, f"walk/{SOUND}/")):
        told.add(
            f"walk/{SOUND}", None, WAITS, "put its files directly into walk/, and `kingpost report` listens to them"
        )


def _rank(path: Path) -> int:
    ending = path.suffix.lower()
    return TRANSCRIPTS.index(ending) if ending in TRANSCRIPTS else len(TRANSCRIPTS)


def one(path: Path, name: str, told: Troubles) -> Walk | None:
    """One transcript; None, and a trouble, where it holds no words."""
    before = len(told.all())
    text = read_text(path, name, told)
    if text is None:
        return None
    heard = cues.read(text, name, told)
    if not heard.cues:
        if len(told.all()) == before:
            told.add(name, None, "holds no words", "check that the recogniser wrote its words into it")
        return None
    return Walk(name, heard.cues, heard.started)


def listened(path: Path, name: str, hearings: Path | None, told: Troubles) -> Walk | None:
    """What Kingpost heard in a sound file, where it has listened; None, and a trouble, where there are no words."""
    try:
        found = sound.kept(hearings, sound.digest(path)) if hearings is not None else None
        heard = sound.cues(found, name) if found is not None else ()
    except OSError as err:
        told.add(name, None, f"cannot be read ({(err.strerror or '').lower()})", "check the file and who may read it")
        return None
    except ValueError as err:
        told.add(name, None, f"what was heard of it cannot be read ({err})", f"take {hearings} away and run again")
        return None
    if found is None:
        told.add(name, None, WAITS, WAITS_MEND.format(stem=path.stem))
        return None
    if problem := str(found.get("problem", "")):
        told.add(name, None, problem, str(found.get("mend", "play it")))
    return Walk(name, heard) if heard else None


def transcript(path: Path, hearings: Path | None = None) -> tuple[Walk | None, tuple[Trouble, ...]]:
    """One transcript, or sound that was listened to, by itself, with what could not be used of it."""
    told, name = Troubles(), shown(path.name)
    read_one = listened(path, name, hearings, told) if is_sound(path) else one(path, name, told)
    return read_one, told.all()


def is_sound(path: Path) -> bool:
    """Does a file's name say that it is sound?"""
    return path.suffix.lower() in AUDIO


def _placed(walks: Sequence[Walk], facts: Facts, told: Troubles) -> tuple[Walk, ...]:
    """Each walk with the moment its time 0 is: its own word, else visit.toml's word on it, else the visit's start."""
    said: dict[str, datetime] = {}
    for entry in facts.more.get("walk", ()):
        said[str(entry["file"]).removeprefix("walk/")] = entry["started"]
    placed: list[Walk] = []
    unsaid: list[Walk] = []
    for walk in walks:
        own = walk.started or said.get(walk.source.removeprefix("walk/"))
        if own is not None and facts.started is not None:
            own = on_clock_of(own, facts.started)
        placed.append(Walk(walk.source, walk.cues, own or facts.started))
        if own is not None:
            continue
        if any(one.cues[0].start < walk.cues[-1].end and walk.cues[0].start < one.cues[-1].end for one in unsaid):
            told.add(
                walk.source,
                None,
                f"does not say when it began, nor does {unsaid[0].source}; both are taken to begin with the visit",
                f'add [[walk]] file = "{walk.source}" and started = a date and time to visit.toml',
            )
        unsaid.append(walk)
    return tuple(sorted(placed, key=lambda w: (between(facts.started, w.started) or 0.0, w.source)))
