"""Times and scores the hearing of sound.

python -m bench.audio                 words by condition, speed, memory
python -m bench.audio --only words    one part of it; with `--conditions wind muffled` those rows alone
python -m bench.audio --write         what was measured takes its place in bench/audio.md; the rest stays

Trade words: the share of the sentences' trade words that are heard wrong (substituted or left out, by jiwer's
alignment), with the catalogue in mind (ours) and without (bare faster-whisper, the same weights, its own defaults).
Speed: the same file, the same run, both warm; ours includes both hearings, the joining and the writing down.
Memory: `kingpost listen` on ten minutes and on an hour, each in a process of its own.
"""

from __future__ import annotations

import argparse
import os
import platform
import re
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from . import spoken
from .__main__ import child

if TYPE_CHECKING:
    from kingpost.visit.facts import Walk

HERE = Path(__file__).parent
MINUTES = 3  # of sound, for speed
WALKS = ((10, 1), (60, 5))  # minutes of sound, and how often two voices say everything in them, for memory
PARTS = ("words", "person", "speed", "memory")


def plain(text: str) -> str:
    """A text as it is compared: small letters, hyphens as spaces, no punctuation."""
    return " ".join(re.sub(r"[^a-z0-9 ]+", "", text.lower().replace("-", " ").replace("'", "")).split())


@dataclass(frozen=True)
class Score:
    """Shares of all words and of trade words heard wrong, and how many trade words were said."""

    wrong: float
    trade_wrong: float
    trade: int


def wrong(heard: str, sentences: Sequence[str]) -> Score:
    """How a hearing of some sentences compares with them."""
    import jiwer

    found = jiwer.process_words(plain(" ".join(sentences)), plain(heard))
    said = found.references[0]
    right = {
        k for part in found.alignments[0] if part.type == "equal" for k in range(part.ref_start_idx, part.ref_end_idx)
    }
    trade = [k for k, word in enumerate(said) if word in spoken.TRADE]
    return Score(found.wer, 1 - sum(k in right for k in trade) / max(1, len(trade)), len(trade))


class Bare:
    """faster-whisper as it comes, with the same weights and word times."""

    def __init__(self) -> None:
        os.environ["HF_HUB_OFFLINE"] = "1"
        from faster_whisper import WhisperModel

        from kingpost.listen.audio.speech import THREADS, model_folder

        threads = min(THREADS, os.cpu_count() or 1)
        self._model = WhisperModel(str(model_folder()), device="cpu", compute_type="int8", cpu_threads=threads)

    def __call__(self, path: Path) -> str:
        segments, _ = self._model.transcribe(str(path), language="en", vad_filter=True, word_timestamps=True)
        return " ".join(s.text.strip() for s in segments)


class Ours:
    """The hearing that a visit gets, kept nowhere."""

    def __init__(self) -> None:
        from kingpost.listen.audio.run import Listener
        from kingpost.trade.load import trade

        self._listener = Listener(trade())

    def walk(self, path: Path) -> Walk:
        """The words, cut into cues."""
        from kingpost.listen.audio.pauses import cues
        from kingpost.visit.facts import Walk

        pieces = list(self._listener.pieces(path, ()))
        return Walk(path.name, cues([w for piece in pieces for w in piece.words], path.name))

    def __call__(self, path: Path) -> str:
        return " ".join(c.text for c in self.walk(path).cues)


def mended(walk: Walk) -> str:
    """What is understood: the words with misheard trade names mended by sound and context."""
    from kingpost.listen.catalogue import catalogue
    from kingpost.listen.heard import prepare
    from kingpost.listen.words import stream
    from kingpost.trade.load import trade

    heard = prepare(stream(walk), catalogue(trade()))
    meant = {slip.at: slip.meant for slip in heard.slips}
    return " ".join(meant.get(k, norm) for k, norm in enumerate(heard.norms))


def timed(hear: Callable[[Path], str], path: Path) -> tuple[str, float, float]:
    """What is heard, in how many seconds of the clock and of all cores."""
    used, began = resource.getrusage(resource.RUSAGE_SELF), time.perf_counter()
    heard = hear(path)
    now = resource.getrusage(resource.RUSAGE_SELF)
    return heard, time.perf_counter() - began, now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime


def words_table(
    folder: Path, bare: Bare, ours: Ours, args: argparse.Namespace, tell: Callable[[str], None]
) -> list[str]:
    """Words heard wrong by condition, over the voices."""
    voices, sentences = spoken.VOICES[: args.voices], spoken.SENTENCES[:: args.every]
    rows = [
        f"{len(voices)} voices, {len(sentences)} sentences each; mended: trade names mended by sound and context.",
        "",
        "| condition | what it is | trade words | wrong, bare | ours | ours, mended | all words wrong, bare | ours |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for condition in args.conditions:
        sums, trade = [0.0] * 5, 0
        for voice in voices:
            tell(f"{condition}, {voice}")
            path = spoken.make(folder / "said.wav", sentences, voice, condition=condition)
            plainly, walk = wrong(bare(path), sentences), ours.walk(path)
            heard = wrong(" ".join(c.text for c in walk.cues), sentences)
            meant = wrong(mended(walk), sentences)
            trade += plainly.trade
            shares = (plainly.trade_wrong, heard.trade_wrong, meant.trade_wrong, plainly.wrong, heard.wrong)
            sums = [a + b for a, b in zip(sums, shares, strict=True)]
        told = " | ".join(f"{100 * s / len(voices):.0f} %" for s in sums)
        rows.append(f"| {condition} | {spoken.CONDITIONS[condition].about} | {trade} | {told} |")
        tell(rows[-1])
    return rows


def person_table(
    folder: Path, bare: Bare, ours: Ours, args: argparse.Namespace, tell: Callable[[str], None]
) -> list[str]:
    """All words heard wrong of a person's voice, by condition; no trade word is in it."""
    if (recording := spoken.person()) is None:
        return [f"Not measured: needs {spoken.PERSON[0]}, whose wheel ships the recording."]
    rows = [
        f"One person reads {len(plain(spoken.READ[0]).split())} words of a novel of 1859, no trade word among them.",
        "",
        "| condition | words wrong, bare | ours |",
        "|---|---|---|",
    ]
    for condition in args.conditions:
        path = spoken.under(folder / "read.wav", recording, condition)
        plainly, heard = wrong(bare(path), spoken.READ), wrong(ours(path), spoken.READ)
        rows.append(f"| {condition} | {100 * plainly.wrong:.1f} % | {100 * heard.wrong:.1f} % |")
        tell(rows[-1])
    return rows


def speed_table(folder: Path, bare: Bare, ours: Ours) -> list[str]:
    """Seconds for the same file, taken in turn, the quicker of two each."""
    path = spoken.repeated(folder / "long.wav", [spoken.make(folder / "one.wav", voice="en-us")], MINUTES)
    minutes = spoken.length_s(path) / 60
    runs: dict[str, list[tuple[float, float]]] = {"bare": [], "ours": []}
    for _ in range(2):
        for name, hear in (("bare", bare), ("ours", ours)):
            runs[name].append(timed(hear, path)[1:])
    best = {name: tuple(map(min, zip(*many, strict=True))) for name, many in runs.items()}
    rows = ["| what | sound | seconds | seconds of all cores | times real time |", "|---|---|---|---|---|"]
    for name, label in (("bare", "bare faster-whisper"), ("ours", "Kingpost, two hearings")):
        wall, cores = best[name]
        rows.append(f"| {label} | {minutes:.1f} min | {wall:.1f} | {cores:.1f} | {minutes * 60 / wall:.1f} |")
    ratio = [a / b for a, b in zip(best["ours"], best["bare"], strict=True)]
    return [*rows, "", f"Ours takes {ratio[0]:.2f} of the time and {ratio[1]:.2f} of the work of bare faster-whisper."]


def memory_table(folder: Path) -> list[str]:
    """Peak memory of `kingpost listen` on ten minutes and on an hour, each in a process of its own."""
    parts = [spoken.make(folder / f"{n}.wav", voice=voice) for n, voice in enumerate(spoken.VOICES[:2])]
    said = sum(map(spoken.length_s, parts)) / 60
    rows = ["| sound | said in it | seconds | peak MB |", "|---|---|---|---|"]
    for minutes, times in WALKS:
        path = spoken.walked(folder / f"{minutes}.flac", parts, minutes, times)
        os.environ["KINGPOST_CACHE"] = str(folder / "cache")
        seconds, peak = child(sys.executable, "-m", "kingpost.cli", "listen", str(path))
        rows.append(f"| {minutes} min | {said * times:.1f} min | {seconds:.0f} | {peak:,.0f} |")
    return rows


def page(old: str, fresh: dict[str, list[str]]) -> str:
    """The page with the parts that were measured now; the others stay as they were measured."""
    head = (
        "# Measured: sound\n\nMade by `python -m bench.audio --write`, part by part. Made speech (bench/spoken.py): "
        "espeak-ng voices,\nrooms, weather and steps by sox. No person speaks in it, but under Person. "
        '"Bare" is faster-whisper with the same weights and its own defaults.\n'
    )
    parts = dict(part.split("\n", 1) for part in ("\n" + old).split("\n## ")[1:])
    parts |= {name.capitalize(): "\n".join([*rows, "", machine()]) for name, rows in fresh.items()}
    return "\n".join([head, *(f"## {name}\n{text.strip()}\n" for name, text in parts.items())])


def machine() -> str:
    """What measured, how busy it was, and when."""
    load, today = os.getloadavg()[0], time.strftime("%Y-%m-%d")
    return (
        f"{today}, Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores, load {load:.0f}."
    )


def measured(args: argparse.Namespace, folder: Path, tell: Callable[[str], None]) -> dict[str, list[str]]:
    """The parts that are asked for, as lines."""
    out: dict[str, list[str]] = {}
    if {"words", "person", "speed"} & set(args.only):
        bare, ours = Bare(), Ours()
        if "words" in args.only:
            out["words"] = words_table(folder, bare, ours, args, tell)
        if "person" in args.only:
            out["person"] = person_table(folder, bare, ours, args, tell)
        if "speed" in args.only:
            tell("speed")
            out["speed"] = speed_table(folder, bare, ours)
    if "memory" in args.only:
        tell("memory")
        out["memory"] = memory_table(folder)
    return out


def main() -> int:
    """Measure, print, and keep where asked."""
    parser = argparse.ArgumentParser(prog="python -m bench.audio", description="Time and score the hearing of sound.")
    parser.add_argument("--only", nargs="+", choices=PARTS, default=list(PARTS), help="these parts alone")
    named = list(spoken.CONDITIONS)
    parser.add_argument("--conditions", nargs="+", choices=named, default=named, help="words under these alone")
    parser.add_argument("--voices", type=int, default=2, help="how many voices; fewer are quicker")
    parser.add_argument("--every", type=int, default=1, help="take every so many of the sentences; 2 is twice as quick")
    parser.add_argument("--write", action="store_true", help="keep what was measured in bench/audio.md")
    args = parser.parse_args()
    if lacking := spoken.lacking():
        print(f"needs {' and '.join(lacking)}; apt-get install {' '.join(lacking)}", file=sys.stderr)
        return 2

    def tell(step: str) -> None:
        print(step, "...", file=sys.stderr, flush=True)

    with tempfile.TemporaryDirectory() as made:
        found = measured(args, Path(made), tell)
    for name, rows in found.items():
        print(f"## {name.capitalize()}\n", *rows, "", sep="\n")
    if args.write:
        at = HERE / "audio.md"
        at.write_text(page(at.read_text(encoding="utf-8") if at.exists() else "", found), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
