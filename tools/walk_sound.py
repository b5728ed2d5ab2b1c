"""The sound of a narration: cues spoken by espeak-ng and stretched to their times, as Opus files."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Protocol

PART_GAP_S = 45.0  # a longer silence starts a new file


class Spoken(Protocol):
    """What a cue must have to be spoken."""

    @property
    def start(self) -> float: ...
    @property
    def end(self) -> float: ...
    @property
    def said(self) -> str: ...
    @property
    def speaker(self) -> str: ...


def speak(cue: Spoken, voice: str, wav: Path) -> None:
    """One cue as sound, exactly as long as the cue."""
    raw = wav.with_suffix(".raw.wav")
    subprocess.run(["espeak-ng", "-v", voice, "-s", "165", "-w", str(raw), cue.said], check=True)
    head = subprocess.run(
        ["ffprobe", "-v", "error", "-show_entries", "format=duration", "-of", "csv=p=0", str(raw)],
        check=True,
        capture_output=True,
    )
    want = cue.end - cue.start
    tempo = min(2.0, max(0.5, float(head.stdout) / want))
    fit = f"atempo={tempo:.4f},apad=whole_dur={want:.3f},atrim=0:{want:.3f}"
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", str(raw), "-af", fit, "-ar", "16000", str(wav)], check=True)


def sound(cues: Sequence[Spoken], source: dict[str, Any], folder: Path) -> None:
    """The speech as part-NN.ogg and an index of when each part starts; a long silence ends a part."""
    parts: list[list[Spoken]] = []
    for c in cues:
        if parts and c.start - parts[-1][-1].end <= PART_GAP_S:
            parts[-1].append(c)
        else:
            parts.append([c])
    folder.mkdir(parents=True, exist_ok=True)
    voices = source.get("sound", {})
    index = ["# The sound of walk.vtt, made by tools/make_walk.py. start_s is seconds on the walk clock.", ""]
    for n, part in enumerate(parts, 1):
        name = f"part-{n:02d}.ogg"
        with tempfile.TemporaryDirectory() as tmp:
            args, mix = [], []
            for k, c in enumerate(part):
                wav = Path(tmp) / f"{k}.wav"
                speak(c, voices.get(c.speaker or "inspector", "en-us+f3"), wav)
                args += ["-i", str(wav)]
                mix.append(f"[{k}]adelay={round((c.start - part[0].start) * 1000)}[d{k}]")
            joined = "".join(f"[d{k}]" for k in range(len(part)))
            graph = ";".join(mix) + f";{joined}amix=inputs={len(part)}:normalize=0"
            opus = ["-c:a", "libopus", "-b:a", "20k", "-ac", "1", "-map_metadata", "-1", "-fflags", "+bitexact"]
            subprocess.run(
                ["ffmpeg", "-v", "error", "-y", *args, "-filter_complex", graph, *opus, str(folder / name)], check=True
            )
        index += ["[[part]]", f'file = "{name}"', f"start_s = {part[0].start}", f"end_s = {part[-1].end}", ""]
    (folder / "index.toml").write_text("\n".join(index), "utf-8")
