"""Subtitles (WebVTT, SubRip) and plain transcripts as cues. Every word of every cue is kept.

webvtt-py 0.6.0 checks and writes the times. It does not split the file, because it drops in silence what a report
must not lose: a cue with a bad time, words before the first time, SubRip without numbers, and everything between
"<" and ">" ("less than < 3 in and > 2 in"). The tests hold our splitting against its own on well-formed files.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise

from webvtt import Caption
from webvtt.errors import MalformedCaptionError

from .errors import Troubles
from .facts import Cue
from .text import plain

WORDS_PER_SECOND = 140 / 60  # a calm narrator; places words in time where a file gives none
DAY_OF_WORDS = 24 * 60 * 140  # more than a day of talk is no transcript of a visit
LONG_WORD = 400  # signs; longer than any address, and no word
LONG_LINE = 60  # words at which an unbroken plain text is cut
OVERLAP_S = 1.0  # one voice cannot talk over itself by more than a recogniser's slack

_CLOCK = r"(?:\d{1,4}:)?\d{1,3}:\d{1,2}(?:[.,]\d{1,9})?"
_TIMING = re.compile(rf"^\s*({_CLOCK})\s*-{{1,3}}>\s*({_CLOCK})(?:\s.*)?$")
_TAG = re.compile(  # only what WebVTT and SubRip define: "<" and ">" are signs of measuring, too
    r"</?(?:c|i|b|u|s|ruby|rt)(?:\.[\w.-]{1,80})?>|</?(?:v|lang|font)(?:[.\s][^<>]{0,300})?>"
    r"|<(?:\d{1,4}:)?\d{1,3}:\d\d\.\d{3}>|\{\\an?\d\}",
    re.I,
)
_VOICE = re.compile(r"<v(?:\.[\w.-]{1,80})?\s+([^<>]{1,200})>|(</v>)", re.I)
_STARTED = re.compile(
    r"\bstarted\s{0,4}[:=]?\s{0,4}(\d{4}-\d\d-\d\d[T ]\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:Z|[+-]\d\d:?\d\d)?)", re.I
)
_STAMP = re.compile(rf"^\s*([\[(]?)({_CLOCK})[\])]?(?:\s*[-–—:]\s+|\s+|$)(.*)$")
_SENTENCE = re.compile(r"(?:(?<=[.!?])|(?<=[.!?][\"')]))\s+(?=[A-Z\"'(])")
_ENTITY = re.compile(r"&(?:amp|lt|gt|quot|apos|nbsp|lrm|rlm|#\d{1,7}|#x[0-9a-f]{1,6});", re.I)


@dataclass(slots=True)
class _Block:
    """A timing line and the lines of words under it."""

    line: int
    start: float
    end: float
    words: list[str] = field(default_factory=list)
    timed: bool = True


@dataclass(slots=True)
class Heard:
    """What one transcript gave."""

    cues: tuple[Cue, ...] = ()
    started: datetime | None = None


def seconds(clock: str) -> float:
    """Seconds of a subtitle's time, through webvtt-py. Raises MalformedCaptionError.

    >>> seconds("00:01:02,5"), seconds("1:02.250")
    (62.5, 62.25)
    """
    whole, _, part = clock.replace(",", ".").partition(".")
    time = Caption(start=f"{whole}.{(part + '000')[:3]}").start_time
    return float(time.in_milliseconds()) / 1000


def started_in(text: str) -> datetime | None:
    """The moment time 0 is, where a header, a NOTE or a first line says "started 2026-05-12T09:00:00-05:00"."""
    if not (found := _STARTED.search(text)):
        return None
    try:
        return datetime.fromisoformat(found[1].replace(" ", "T"))
    except ValueError:
        return None


def read(text: str, name: str, told: Troubles) -> Heard:
    """The cues of a transcript by what it holds: subtitle times, times at the head of lines, or plain words."""
    if count_words(text, 4 * DAY_OF_WORDS) >= 4 * DAY_OF_WORDS:
        _too_long(name, told)
        return Heard()
    if long := re.search(rf"\S{{{LONG_WORD}}}\S*", text):
        told.add(name, None, f"holds a word of {len(long[0]):,} signs, so it is no transcript", "take it out")
        return Heard()
    lines = text.replace("\ufeff", "").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if any(_TIMING.match(line) for line in lines):
        blocks, started = _subtitles(lines, name, told)
        heard = Heard(_order(blocks, name, told), started)
    else:
        if name.lower().endswith((".vtt", ".srt")):
            told.add(
                name,
                None,
                "no line in it gives a time; read as plain words with estimated times",
                "write each time as 00:01:02.000 --> 00:01:05.000 above its words",
            )
            lines = _without_header(lines)
        started = started_in("\n".join(lines[:5]))
        heard = Heard(_plain(lines, name), started)
    if sum(len(c.text.split()) for c in heard.cues) > DAY_OF_WORDS:
        _too_long(name, told)
        return Heard()
    return heard


def count_words(text: str, most: int) -> int:
    """Words of a text, counted up to `most`, in bounded memory."""
    return sum(1 for _ in zip(range(most), re.finditer(r"\S+", text), strict=False))


def _too_long(name: str, told: Troubles) -> None:
    told.add(
        name,
        None,
        f"holds more than {DAY_OF_WORDS:,} words, a day and a night of talk, so it is no transcript of a visit",
        "take it out, or split it into the walks it holds",
    )


def _without_header(lines: list[str]) -> list[str]:
    return lines[1:] if lines and lines[0].startswith("WEBVTT") else lines


# --- subtitles -------------------------------------------------------------------------------------------------


def _subtitles(lines: list[str], name: str, told: Troubles) -> tuple[list[_Block], datetime | None]:
    """Blocks of a subtitle file, and when its time 0 was."""
    vtt = lines[0].startswith("WEBVTT")
    if name.lower().endswith(".vtt") and not vtt:
        told.add(name, 1, "does not begin with WEBVTT; read all the same", "write WEBVTT in the first line")
    notes: list[str] = []
    blocks: list[_Block] = []
    at = 0
    if vtt:
        while at < len(lines) and lines[at].strip() and not _TIMING.match(lines[at]):
            notes.append(lines[at])
            at += 1
    fresh = True  # at the start of a block, after a blank line
    while at < len(lines):
        line = lines[at]
        if not line.strip():
            fresh = True
        elif timing := _TIMING.match(line):
            blocks.append(_timed(timing, at + 1, name, told, blocks))
            fresh = False
        elif _arrow_gone_wrong(line):
            blocks.append(_untimed(at + 1, name, told, blocks, f'time "{plain(line)[:60]}" cannot be read'))
            fresh = False
        elif vtt and fresh and line.split(maxsplit=1)[0] in ("NOTE", "STYLE", "REGION") and not _before_time(lines, at):
            at = _aside(lines, at, notes)
            continue
        elif _is_label(lines, at, fresh, vtt):
            pass
        else:
            if fresh or not blocks:
                _stray(at + 1, name, told, blocks, vtt)
            blocks[-1].words.append(line)
            fresh = False
        at += 1
    return blocks, started_in("\n".join(notes))


def _before_time(lines: Sequence[str], at: int) -> bool:
    return at + 1 < len(lines) and bool(_TIMING.match(lines[at + 1]))


def _arrow_gone_wrong(line: str) -> bool:
    return "-->" in line and bool(re.search(r"\d", line))


def _aside(lines: Sequence[str], at: int, notes: list[str]) -> int:
    """Skips a NOTE, STYLE or REGION block; returns the line after it."""
    while at < len(lines) and lines[at].strip() and "-->" not in lines[at]:
        notes.append(lines[at])
        at += 1
    return at


def _is_label(lines: Sequence[str], at: int, fresh: bool, vtt: bool) -> bool:
    """Is this line a cue's name or number, which nobody spoke? Four words and more are taken for speech."""
    if not _before_time(lines, at):
        return False
    bare = lines[at].strip()
    if bare.isdigit() and (fresh or not vtt):
        return True
    return fresh and vtt and len(bare.split()) < 4


def _timed(timing: re.Match[str], line: int, name: str, told: Troubles, before: list[_Block]) -> _Block:
    try:
        start, end = seconds(timing[1]), seconds(timing[2])
    except MalformedCaptionError:
        return _untimed(line, name, told, before, f'time "{plain(timing[0])[:60]}" is no time')
    return _Block(line, start, end)


def _untimed(line: int, name: str, told: Troubles, before: list[_Block], problem: str) -> _Block:
    told.add(
        name,
        line,
        f"{problem}; its words stand after those before it",
        "write 00:01:02.000 --> 00:01:05.000",
        "no time",
    )
    at = max(before[-1].start, before[-1].end) if before else 0.0
    return _Block(line, at, at, timed=False)


def _stray(line: int, name: str, told: Troubles, blocks: list[_Block], vtt: bool) -> None:
    """Words that no time stands above. After a cue they belong to it, before the first they open one without a time."""
    if not blocks:
        blocks.append(_untimed(line, name, told, blocks, "words before the first time"))
    elif vtt:
        told.add(name, line, "words without a time; kept with the words before", "put a time above them", "stray words")


def _order(blocks: list[_Block], name: str, told: Troubles) -> tuple[Cue, ...]:
    """Cues by start, each with its whole text; what the times get wrong is told."""
    latest = 0.0
    for block in blocks:
        if block.end < block.start:
            told.add(
                name,
                block.line,
                f"ends at {block.end:g} s, before its start at {block.start:g} s; its length is estimated",
                "write the earlier time first",
                "an end before the start",
            )
            block.end = block.start + len(" ".join(block.words).split()) / WORDS_PER_SECOND
        if block.start < latest:
            told.add(
                name,
                block.line,
                f"starts at {block.start:g} s, after words that start at {latest:g} s; put in order of start",
                "nothing need be done if the order is now right",
                "a start out of order",
            )
        latest = max(latest, block.start)
    cues: list[Cue] = []
    for block in sorted(blocks, key=lambda b: b.start):
        for speaker, text, start, end in _voices(block):
            cues.append(Cue(name, len(cues), start, end, text, speaker, block.line, block.timed))
    _overlaps(cues, name, told)
    return tuple(cues)


def _overlaps(cues: Sequence[Cue], name: str, told: Troubles) -> None:
    for one, two in pairwise(cues):
        if one.end - two.start > OVERLAP_S and one.speaker == two.speaker:
            told.add(
                name,
                two.line,
                f"starts at {two.start:g} s, while the words before it run to {one.end:g} s; both are kept",
                "check that the recogniser did not write the same words twice",
                "words that overlap",
            )


def _voices(block: _Block) -> Iterator[tuple[str, str, float, float]]:
    """Each voice's words with their share of the block's time."""
    parts: list[tuple[str, str]] = []
    raw, speaker, last = "\n".join(block.words), "", 0
    for tag in _VOICE.finditer(raw):
        parts.append((speaker, _words(raw[last : tag.start()])))
        speaker, last = (plain(tag[1]) if tag[1] else ""), tag.end()
    parts.append((speaker, _words(raw[last:])))
    parts = [(who, text) for who, text in parts if text]
    counts = [len(text.split()) for _, text in parts]
    total, done = max(1, sum(counts)), 0
    for (who, text), count in zip(parts, counts, strict=True):
        share = (block.end - block.start) / total
        start, end = block.start + done * share, block.start + (done + count) * share
        done += count
        yield who, text, round(start, 3), round(block.end if done == total else end, 3)


def _words(raw: str) -> str:
    return plain(_ENTITY.sub(lambda found: html.unescape(found[0]), _TAG.sub("", raw)))


# --- plain words -----------------------------------------------------------------------------------------------


def _plain(lines: Sequence[str], name: str) -> tuple[Cue, ...]:
    """One cue per line, or per sentence of a long line; a time at the head of most lines is taken as theirs."""
    filled = [(number, line) for number, line in enumerate(lines, 1) if line.strip() and not _is_comment(line)]
    stamped = [(number, _STAMP.match(line)) for number, line in filled]
    if filled and sum(1 for _, m in stamped if m) * 2 >= len(filled):
        return _stamped(filled, name)
    cues: list[Cue] = []
    said = 0
    for number, line in filled:
        for piece in _sentences(plain(line)):
            count = len(piece.split())
            start, end = said / WORDS_PER_SECOND, (said + count) / WORDS_PER_SECOND
            cues.append(Cue(name, len(cues), round(start, 3), round(end, 3), piece, "", number, timed=False))
            said += count
    return tuple(cues)


def _is_comment(line: str) -> bool:
    return line.lstrip().startswith("#") and bool(_STARTED.search(line))


def _sentences(line: str) -> Iterator[str]:
    for sentence in _SENTENCE.split(line):
        words = sentence.split()
        step = len(words) if len(words) <= 2 * LONG_LINE else LONG_LINE
        for at in range(0, len(words), step or 1):
            yield " ".join(words[at : at + step])


def _stamped(filled: Sequence[tuple[int, str]], name: str) -> tuple[Cue, ...]:
    """Lines such as "[00:12:30] The sill is soft": a line without a time goes on with the one before.

    A bare time that runs backwards is none: "6:12 is the pitch".
    """
    blocks: list[_Block] = []
    for number, line in filled:
        start = _stamp(line, blocks[-1].start if blocks else 0.0)
        if start is not None:
            blocks.append(_Block(number, start[0], start[0], [start[1]]))
            continue
        if not blocks:
            blocks.append(_Block(number, 0.0, 0.0, timed=False))
        blocks[-1].words.append(line)
    blocks.sort(key=lambda b: b.start)
    cues: list[Cue] = []
    for block, following in zip(blocks, [*blocks[1:], None], strict=True):
        text = plain(" ".join(block.words))
        end = block.start + len(text.split()) / WORDS_PER_SECOND
        if following is not None:
            end = min(end, following.start)
        if text:
            cues.append(Cue(name, len(cues), block.start, round(end, 3), text, "", block.line, block.timed))
    return tuple(cues)


def _stamp(line: str, latest: float) -> tuple[float, str] | None:
    """The time at the head of a line and the words after it."""
    if not (found := _STAMP.match(line)):
        return None
    try:
        start = seconds(found[2])
    except MalformedCaptionError:
        return None
    return (start, found[3]) if found[1] or start >= latest else None
