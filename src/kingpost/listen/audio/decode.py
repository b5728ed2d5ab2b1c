"""Sound files of any kind as 16 kHz mono, block by block, so that an hour needs no more memory than a minute."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

RATE = 16_000  # samples a second, as the recogniser wants them
FULL = 32768.0


class CannotDecode(ValueError):
    """The file is no sound that can be decoded; the message says why, for a person."""


def _frames(container: Any) -> Iterator[Any]:
    """The frames of a sound; a damaged one is passed over, a file cut short ends where it was cut."""
    import av

    frames = container.decode(audio=0)
    while True:
        try:
            frame = next(frames)
        except (StopIteration, av.error.EOFError):
            return
        except av.error.InvalidDataError:
            continue
        frame.pts = None  # recorders write odd times; the samples themselves say when
        yield frame


def blocks(path: Path) -> Iterator[Floats]:
    """The samples of a sound file, -1 to 1, in pieces of about a second as the file gives them.

    Raises CannotDecode.
    """
    import av

    try:
        if not path.stat().st_size:
            raise CannotDecode("is empty (0 bytes)")
        with av.open(str(path), mode="r", metadata_errors="ignore") as container:
            if not container.streams.audio:
                raise CannotDecode("holds no sound")
            turn = av.audio.resampler.AudioResampler(format="s16", layout="mono", rate=RATE)
            for frame in itertools.chain(_frames(container), (None,)):
                for piece in turn.resample(frame):
                    yield piece.to_ndarray().reshape(-1).astype(np.float32) / FULL
    except (av.error.FFmpegError, OSError, ValueError) as err:
        if isinstance(err, CannotDecode):
            raise
        raise CannotDecode(f"cannot be decoded ({_reason(err)})") from None


def _reason(err: Exception) -> str:
    text = str(getattr(err, "strerror", "") or type(err).__name__)
    return text.lower()


def length_s(path: Path) -> float | None:
    """The length a sound file claims, in seconds, for telling how far one is; None where it does not say."""
    import av

    try:
        with av.open(str(path), mode="r", metadata_errors="ignore") as container:
            return container.duration / av.time_base if container.duration else None
    except (av.error.FFmpegError, OSError, ValueError):
        return None


class Sound:
    """A sound read forward: `fill` makes room for more, `drop` lets go of what was heard."""

    def __init__(self, path: Path, start: int = 0) -> None:
        self._blocks = blocks(path)
        self._parts: list[Floats] = []
        self.at = 0  # the sample of the file at which `samples` begins
        self.samples: Floats = np.zeros(0, np.float32)
        self.ended = False
        while self.at + len(self.samples) < start and not self.ended:  # goes on where a broken run stopped
            self.at += len(self.samples)
            self.samples = self._next()
        self.drop(max(0, start - self.at))

    def _next(self) -> Floats:
        block = next(self._blocks, None)
        self.ended = block is None
        return np.zeros(0, np.float32) if block is None else block

    def fill(self, count: int) -> Floats:
        """At least `count` samples from here, fewer where the file ends."""
        parts, have = [self.samples], len(self.samples)
        while have < count and not self.ended:
            parts.append(self._next())
            have += len(parts[-1])
        self.samples = np.concatenate(parts)
        return self.samples[:count]

    def drop(self, count: int) -> None:
        """Let go of the first `count` samples."""
        self.at += count
        self.samples = self.samples[count:].copy()
