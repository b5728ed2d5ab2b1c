"""One sound file, or all sound of a visit, heard, kept, and gone on with where a run was broken off."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from kingpost.trade.load import trade as load_trade
from kingpost.trade.model import Trade
from kingpost.visit import sound
from kingpost.visit.facts import Said, Trouble, Walk
from kingpost.visit.walks import AUDIO, TRANSCRIPTS

from ..words import norm
from . import keep, pauses
from .decode import RATE, CannotDecode, Sound, length_s
from .keep import By, Piece, Timed
from .reconcile import Joined, joined
from .speech import Hearing, Recogniser, SpeechMissing, both, model_folder, model_name, seconds
from .terms import Terms
from .windows import Stretch, Window, packed, padded, settled, voices

BLOCK_S = 150  # looked at for voices at once; four to five windows, heard together
TOGETHER = 4  # windows heard at once
LAST = 80  # words carried on to the next piece
SPEECHLESS = "holds no speech"
SPEECHLESS_MEND = "check that it is the right file and that the microphone was on"
NO_SOUND_MEND = "play it; if it plays, save it as .wav or .flac; if not, copy it again from the recorder"
DISK_MEND = f"free some room, or give {keep.CACHE} a folder that can be written"

Progress = Callable[[str], None]


class Listener:
    """A model and the trade words, loaded when the first sound needs them."""

    def __init__(self, trade: Trade) -> None:
        self._terms = Terms(trade)
        self.by = By(model_name(model_folder()), self._terms.version)
        self._model: Recogniser | None = None

    def pieces(self, path: Path, known: Sequence[Piece]) -> Iterator[Piece]:
        """What is heard of a sound beyond what is known of it, piece by piece. Raises CannotDecode, SpeechMissing."""
        piece = known[-1] if known else Piece(0, "", (), ())
        heard = Sound(path, piece.end)
        if self._model is None:
            self._model = Recogniser()
        while len(samples := heard.fill(BLOCK_S * RATE)):
            spoken = voices(samples)
            windows, end = _whole(packed(padded(spoken, len(samples))), len(samples), heard.ended)
            words, aside = list[Timed](), list[tuple[float, str]]()
            place, last = piece.place, piece.last
            for n in range(0, len(windows), TOGETHER):
                few = windows[n : n + TOGETHER]
                for window, (plain, careful) in zip(few, self._both(few, samples, place, last), strict=True):
                    norms = [norm(w.text) for w in plain.words]
                    place, last = self._terms.place(norms, place), (*last, *norms)[-LAST:]
                    if plain.speechless and careful.speechless:
                        aside.append((round(heard.at / RATE + window.back(0.0), 2), plain.text))
                    else:
                        words += _timed(joined(plain.words, careful.words), window, spoken, heard.at / RATE)
            piece = Piece(heard.at + end, place, last, tuple(words), tuple(aside))
            heard.drop(end)
            yield piece

    def _both(
        self, windows: Sequence[Window], samples: Any, place: str, last: tuple[str, ...]
    ) -> list[tuple[Hearing, Hearing]]:
        def expecting(plain: list[Hearing]) -> list[list[str]]:
            here, before, out = place, last, list[list[str]]()
            for one in plain:
                norms = tuple(norm(w.text) for w in one.words)
                out.append(self._terms.near(norms, before, here))
                here, before = self._terms.place(norms, here), norms
            return out

        assert self._model is not None
        return both(self._model.encoded([w.cut(samples) for w in windows]), expecting)


def _whole(windows: list[Window], length: int, ended: bool) -> tuple[list[Window], int]:
    """The windows of a block that can be heard now, and where the next block begins: what may go on opens that one.

    >>> said = [Window((Stretch(0, 5), Stretch(7, 10)))]
    >>> _whole(said, 10, ended=False), _whole(said, 10, ended=True)[1]
    (([Window(stretches=(Stretch(start=0, end=5),))], 7), 10)
    """
    if ended or not windows:
        return windows, length
    if len(windows) > 1:
        return windows[:-1], windows[-2].stretches[-1].end
    *before, last = windows[0].stretches
    if last.end < length or not last.start:
        return windows, last.end
    return ([Window(tuple(before))] if before else []), last.start


def _timed(words: Sequence[Joined], window: Window, spoken: list[Stretch], at: float) -> list[Timed]:
    """The joined words of a window with their times in the file."""
    out = []
    for word, other in words:
        start, end = settled(window.back(word.start), window.back(word.end), spoken)
        out.append((word.text, Said(round(at + start, 2), round(at + max(start, end), 2), round(word.sure, 3), other)))
    return out


def _hear(path: Path, source: str, folder: Path, listener: Listener, tell: Progress) -> None:
    """Hears one sound and keeps what was heard, or why it could not be heard. Raises SpeechMissing, OSError."""
    name = sound.digest(path)
    if keep.fits(sound.kept(folder, name), listener.by):
        return
    known = keep.pieces(folder, name, listener.by)
    notes = keep.Notebook(folder, name, listener.by, known)
    length = length_s(path)
    of = f" of {length / 60:.0f}" if length else ""
    tell(f"hearing {source}")
    damage = ""
    try:
        for piece in listener.pieces(path, known):
            notes.add(piece)
            known.append(piece)
            tell(f"hearing {source}: {seconds(piece.end) / 60:.0f}{of} min")
    except CannotDecode as err:
        damage = f"{err} after {seconds(known[-1].end) / 60:.1f} min; what comes before is heard" if known else str(err)
    words = [word for piece in known for word in piece.words]
    told: dict[str, Any] = {"cues": sound.as_json(pauses.cues(words, source))}
    if aside := [one for piece in known for one in piece.aside]:
        told["aside"] = aside
    if damage:
        told |= {"problem": damage, "mend": NO_SOUND_MEND}
    elif not words:
        told |= {"problem": SPEECHLESS, "mend": SPEECHLESS_MEND}
    keep.finish(folder, name, listener.by, told)


def waiting(folder: Path) -> list[Path]:
    """Sound in walk/ of a visit that has no transcript of its own beside it."""
    try:
        found = sorted(p for p in (folder / "walk").iterdir() if not p.name.startswith("."))
    except OSError:
        return []
    written = {p.stem for p in found if p.suffix.lower() in TRANSCRIPTS}
    return [p for p in found if p.suffix.lower() in AUDIO and p.stem not in written and p.is_file()]


def hear_visit(
    folder: Path, over: Iterable[Path] = (), tell: Progress | None = None
) -> tuple[Path, tuple[Trouble, ...]]:
    """Hears all sound of a visit that nobody has written down; `kingpost.visit.read` then finds it.

    folder  the visit
    over    folders of trade data laid over ours
    tell    called with a few words as the hearing goes on

    Returns the folder in which the hearings are kept, and why there are none.
    """
    if not (sounds := waiting(folder)):
        return folder / sound.FOLDER, ()
    own, at = folder / "trade", folder / sound.FOLDER
    try:
        at = keep.folder_for(folder)
        listener = Listener(load_trade(*over, *((own,) if own.is_dir() else ())))
        for path in sounds:
            _hear(path, f"walk/{path.name}", at, listener, tell or (lambda _: None))
    except SpeechMissing as err:
        return at, (Trouble("walk/", None, err.problem, err.mend),)
    except OSError as err:
        why = (err.strerror or type(err).__name__).lower()
        return at, (Trouble("walk/", None, f"{err.filename or at} cannot be used ({why})", DISK_MEND),)
    return at, ()


def hear_file(path: Path, over: Iterable[Path] = (), tell: Progress | None = None) -> tuple[Walk | None, Path]:
    """One sound file, heard and kept, as a walk, with the folder that keeps it; None where it holds no words.

    Raises SpeechMissing, OSError.
    """
    visit = path.parent.parent if path.parent.name == "walk" and (path.parent.parent / "visit.toml").exists() else None
    at = keep.folder_for(visit)
    _hear(path, path.name, at, Listener(load_trade(*over)), tell or (lambda _: None))
    found = sound.kept(at, sound.digest(path))
    heard = sound.cues(found, path.name) if found is not None else ()
    return (Walk(path.name, heard) if heard else None), at
