"""Times and scores the hearing of sound: `python -m bench.audio`; `--write` keeps the tables in bench/audio.md.

Trade words: the share of the sentences' trade words that are heard wrong (substituted or left out, by jiwer's
alignment), with the catalogue in mind (ours) and without (bare faster-whisper, the same weights, its own defaults).
Speed: the same file, the same run, both warm; ours includes both hearings, the joining and the writing down.
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
from collections.abc import Callable
from pathlib import Path

from . import spoken
from .__main__ import child

HERE = Path(__file__).parent
HOUR, MINUTES = 60, 3  # of sound


def plain(text: str) -> str:
    """A text as it is compared: small letters, hyphens as spaces, no punctuation."""
    return " ".join(re.sub(r"[^a-z0-9 ]+", "", text.lower().replace("-", " ").replace("'", "")).split())


def wrong(heard: str) -> tuple[float, float, int]:
    """Shares of all words and of trade words heard wrong, and how many trade words were said."""
    import jiwer

    found = jiwer.process_words(plain(" ".join(spoken.SENTENCES)), plain(heard))
    said = found.references[0]
    right = {
        k for part in found.alignments[0] if part.type == "equal" for k in range(part.ref_start_idx, part.ref_end_idx)
    }
    trade = [k for k, word in enumerate(said) if word in spoken.TRADE]
    return found.wer, 1 - sum(k in right for k in trade) / len(trade), len(trade)


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

    def __call__(self, path: Path) -> str:
        from kingpost.listen.audio.pauses import cues

        pieces = list(self._listener.pieces(path, ()))
        heard = cues([w for piece in pieces for w in piece.words], path.name)
        return " ".join(c.text for c in heard)


def timed(hear: Callable[[Path], str], path: Path) -> tuple[str, float, float]:
    """What is heard, in how many seconds of the clock and of all cores."""
    used, began = resource.getrusage(resource.RUSAGE_SELF), time.perf_counter()
    heard = hear(path)
    now = resource.getrusage(resource.RUSAGE_SELF)
    return heard, time.perf_counter() - began, now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime


def words_table(folder: Path, bare: Bare, ours: Ours, voices: int, tell: Callable[[str], None]) -> list[str]:
    """Words heard wrong by condition, over the voices."""
    rows = [
        "| condition | trade words | trade words wrong, bare | ours | all words wrong, bare | ours |",
        "|---|---|---|---|---|---|",
    ]
    for condition in spoken.CONDITIONS:
        sums, trade = [0.0] * 4, 0
        for voice in spoken.VOICES[:voices]:
            tell(f"{condition}, {voice}")
            path = spoken.make(folder / "said.wav", voice=voice, condition=condition)
            (all_bare, trade_bare, count), (all_ours, trade_ours, _) = wrong(bare(path)), wrong(ours(path))
            trade += count
            sums = [a + b for a, b in zip(sums, (trade_bare, trade_ours, all_bare, all_ours), strict=True)]
        shares = " | ".join(f"{100 * s / voices:.0f} %" for s in sums)
        rows.append(f"| {condition} | {trade} | {shares} |")
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


def hour_table(folder: Path) -> list[str]:
    """Peak memory of `kingpost.listen.audio` on an hour, in a process of its own."""
    parts = [spoken.make(folder / f"{n}.wav", voice=voice) for n, voice in enumerate(spoken.VOICES)]
    path = spoken.repeated(folder / "hour.flac", parts, HOUR)
    code = "import sys, pathlib; from kingpost.listen.audio import hear_file; hear_file(pathlib.Path(sys.argv[1]))"
    os.environ["KINGPOST_CACHE"] = str(folder / "cache")
    seconds, peak = child(sys.executable, "-c", code, str(path))
    minutes = spoken.length_s(path) / 60
    rows = ["| what | sound | seconds | peak MB |", "|---|---|---|---|"]
    return [*rows, f"| hearing an hour | {minutes:.0f} min | {seconds:.0f} | {peak:,.0f} |"]


def main() -> int:
    """Measure, print, and keep where asked."""
    parser = argparse.ArgumentParser(prog="python -m bench.audio", description="Time and score the hearing of sound.")
    parser.add_argument("--short", action="store_true", help="leave the hour out")
    parser.add_argument("--voices", type=int, default=len(spoken.VOICES), help="how many voices; fewer are quicker")
    parser.add_argument("--write", action="store_true", help="keep the tables as bench/audio.md")
    args = parser.parse_args()
    if lacking := spoken.lacking():
        print(f"needs {' and '.join(lacking)}; apt-get install {' '.join(lacking)}", file=sys.stderr)
        return 2
    lines: list[str] = []
    with tempfile.TemporaryDirectory() as made:
        folder, bare, ours = Path(made), Bare(), Ours()

        def tell(step: str) -> None:
            print(step, "...", file=sys.stderr, flush=True)

        lines += ["## Words", "", *words_table(folder, bare, ours, args.voices, tell), ""]
        tell("speed")
        lines += ["## Speed", "", *speed_table(folder, bare, ours), ""]
        if not args.short:
            tell("an hour")
            lines += ["## Memory", "", *hour_table(folder), ""]
    print("\n".join(lines))
    if args.write:
        about = f"Python {platform.python_version()}, {os.cpu_count()} cores, {platform.machine()}."
        note = "Made speech (bench/spoken.py): espeak-ng voices, rooms and weather by sox. No person speaks in it."
        text = "\n".join([f"# Measured: sound\n\n{about} Made by `python -m bench.audio --write`. {note}\n", *lines])
        (HERE / "audio.md").write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
