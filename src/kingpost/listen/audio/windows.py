"""Where somebody speaks, and those stretches packed into windows of the recogniser's 30 seconds.

Voice activity is silero's, inside faster-whisper, set to let through rather than to keep out: a word wrongly let
through costs a doubtful word, one kept out is lost.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from .decode import RATE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

LONGEST_S = 30  # what the recogniser hears at once
VOICE = 0.35  # chance of a voice from which a stretch is listened to
PAUSE_MS = 200  # silence that shows between two words
PAD = RATE * 3 // 10  # silence kept on either side of a stretch
SYLLABLE_S = 0.08
BRIDGE = RATE // 10  # silence between two padded stretches that is kept, too


@dataclass(frozen=True, slots=True)
class Stretch:
    """Speech between two samples of a block."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Window:
    """Stretches that are heard as one, their silences taken out."""

    stretches: tuple[Stretch, ...]

    @property
    def length(self) -> int:
        return sum(s.end - s.start for s in self.stretches)

    def cut(self, samples: Floats) -> Floats:
        """The window's own samples out of its block."""
        return np.concatenate([samples[s.start : s.end] for s in self.stretches])

    def back(self, seconds: float) -> float:
        """A time inside the window as a time inside its block, in seconds.

        >>> Window((Stretch(0, RATE), Stretch(3 * RATE, 5 * RATE))).back(1.5)
        3.5
        """
        left = seconds
        for s in self.stretches:
            length = (s.end - s.start) / RATE
            if left < length:
                return s.start / RATE + left
            left -= length
        return self.stretches[-1].end / RATE


def voices(samples: Floats) -> list[Stretch]:
    """Where somebody speaks in a block of sound, to the syllable."""
    from faster_whisper.vad import VadOptions, get_speech_timestamps

    if not len(samples):
        return []
    options = VadOptions(
        threshold=VOICE, min_silence_duration_ms=PAUSE_MS, speech_pad_ms=0, max_speech_duration_s=LONGEST_S - 1
    )
    return [Stretch(int(s["start"]), int(s["end"])) for s in get_speech_timestamps(samples, options)]


def padded(spoken: list[Stretch], length: int) -> list[Stretch]:
    """Stretches of speech with a little silence around them, those that then nearly touch made one.

    >>> padded([Stretch(8000, 16000), Stretch(20000, 30000), Stretch(60000, 64000)], 64000)
    [Stretch(start=3200, end=34800), Stretch(start=55200, end=64000)]
    """
    out: list[Stretch] = []
    for s in spoken:
        start, end = max(0, s.start - PAD), min(length, s.end + PAD)
        if out and start - out[-1].end < BRIDGE and end - out[-1].start <= LONGEST_S * RATE:
            out[-1] = Stretch(out[-1].start, end)
        else:
            out.append(Stretch(max(start, out[-1].end) if out else start, end))
    return out


def settled(start: float, end: float, spoken: list[Stretch]) -> tuple[float, float]:
    """A word's times, in seconds, without the silence that the recogniser gave it.

    >>> settled(0.5, 2.0, [Stretch(0, RATE), Stretch(3 * RATE, 4 * RATE)])
    (0.5, 1.0)
    """
    for one, two in pairwise(spoken):
        quiet, again = one.end / RATE, two.start / RATE
        if quiet >= end:
            break
        if start + SYLLABLE_S <= quiet < end:
            return start, quiet
        if quiet < start + SYLLABLE_S and start < again < end:
            return again, end
    return start, end


def packed(stretches: list[Stretch]) -> list[Window]:
    """As few windows as hold them in order; a stretch is never cut, unless it is longer than a window.

    >>> said = [Stretch(0, 10 * RATE), Stretch(11 * RATE, 29 * RATE), Stretch(30 * RATE, 50 * RATE)]
    >>> [len(w.stretches) for w in packed(said)]
    [2, 1]
    """
    most, out, held = LONGEST_S * RATE, list[Window](), list[Stretch]()
    for long in stretches:
        for start in range(long.start, long.end, most):
            one = Stretch(start, min(long.end, start + most))
            if held and sum(s.end - s.start for s in held) + one.end - one.start > most:
                out.append(Window(tuple(held)))
                held = []
            held.append(one)
    return [*out, Window(tuple(held))] if held else out
