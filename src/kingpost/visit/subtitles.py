"""Cues written out as WebVTT."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from webvtt import Caption, WebVTT

from .facts import Cue


def as_vtt(cues: Iterable[Cue], started: datetime | None = None) -> str:
    """The text of a WebVTT file that reads back as the same cues.

    >>> print(as_vtt([Cue("walk/a.txt", 0, 0.0, 1.5, "less than < 3 in", "Pat")]))
    WEBVTT
    <BLANKLINE>
    00:00:00.000 --> 00:00:01.500
    <v Pat>less than &lt; 3 in</v>
    """
    captions = [Caption(_clock(cue.start), _clock(cue.end), _spoken(cue)) for cue in cues]
    text = str(WebVTT(captions=captions).content).rstrip("\n")
    if started is not None:
        text = text.replace("WEBVTT", f"WEBVTT\n\nNOTE started {started.isoformat()}", 1)
    return text


def _clock(seconds: float) -> str:
    whole = max(0, round(seconds * 1000))
    return f"{whole // 3_600_000:02d}:{whole // 60_000 % 60:02d}:{whole // 1000 % 60:02d}.{whole % 1000:03d}"


def _spoken(cue: Cue) -> str:
    words = cue.text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    voice = cue.speaker.replace("&", "and").replace("<", "").replace(">", "")
    return f"<v {voice}>{words}</v>" if voice else words
