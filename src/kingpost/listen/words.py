"""One stream of words per walk, each with its time, its cue and its speaker.

Nothing is dropped here: joining the words of all cues gives back everything that was said.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from kingpost.visit.facts import Walk

SPACE = re.compile(r"\S+")
BARE = re.compile(r"[^a-z0-9./%#°+]+")
RANGE = re.compile(r"(?<=\d)[-–](?=\d+/\d)")
HYPHEN = re.compile(r"(?<=[A-Za-z])[-–](?=[A-Za-z])")
STOP = re.compile(r"([.!?…]+|[,;:—–]+|-)[\"')\]]*$")


@dataclass(frozen=True, slots=True)
class Word:
    """A word as heard (`text`) and as compared (`norm`: small letters, no punctuation or apostrophe)."""

    text: str
    norm: str
    start: float
    end: float
    cue: int  # index into walk.cues
    speaker: str = ""
    stop: str = ""  # the punctuation that follows: "", ",", "." ...
    gap: float = 0.0  # silence before it, seconds
    line: int | None = None
    timed: bool = True
    sure: float = 1.0  # how sure the recogniser was of it, 0 to 1
    other: str = ""  # what a second hearing made of it


def norm(text: str) -> str:
    """A word as it is compared.

    >>> norm("Won't,"), norm("flat-bar"), norm("26.2.")
    ('wont', 'flatbar', '26.2')
    """
    plain = RANGE.sub("+", text.lower().replace("’", "'"))
    return BARE.sub("", plain).strip(".+")


def _pieces(text: str) -> list[tuple[int, int, str, int]]:
    """Spans of words; a hyphen parts two words, but a hyphen alone or a fraction does not. Last, the word's number."""
    out = []
    for number, hit in enumerate(SPACE.finditer(text)):
        start = hit.start()
        for part in HYPHEN.split(hit[0]):
            out.append((start, start + len(part), part, number))
            start += len(part) + 1
    return out


def stream(walk: Walk) -> list[Word]:
    """The words of one walk in order, each at its own time where one was heard, else spread evenly over its cue."""
    out: list[Word] = []
    last = None
    for number, cue in enumerate(walk.cues):
        length = max(1, len(cue.text))
        span = max(0.0, cue.end - cue.start)
        for a, b, text, nth in _pieces(cue.text):
            start, end = cue.start + span * a / length, cue.start + span * b / length
            sure, other = 1.0, ""
            if cue.words:
                heard = cue.words[nth]
                start, end, sure, other = heard.start, heard.end, heard.sure, heard.other
            plain, stop, gap = norm(text), text, 0.0
            if not plain and out:  # a lone dash is a stop of the word before it
                out[-1] = replace(out[-1], text=f"{out[-1].text} {text}", stop=text[0])
                continue
            if plain:
                hit = STOP.search(text)
                stop = hit[1] if hit else ""
                gap = max(0.0, start - last) if last is not None else 0.0
                last = end
            out.append(Word(text, plain, start, end, number, cue.speaker, stop, gap, cue.line, cue.timed, sure, other))
    return out


def said(words: list[Word]) -> str:
    """The words as they were said."""
    return " ".join(w.text for w in words)
