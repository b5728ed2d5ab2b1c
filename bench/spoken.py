"""Made speech to listen to: our own sentences, read by espeak-ng's voices, in rooms and weather made with sox.

Invented, and far from a person's voice: it says what a part can do, not how it does on site.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

RATE = 16_000
VOICES = ("en-us", "en-gb", "en-us+f3", "en-gb-scotland")
PAUSE_S = 0.9
SENTENCES = (
    "Okay, starting outside at the front. The soffit at the corner is open and the fascia behind the gutter is rotted.",
    "The downspout at the north corner dumps right next to the foundation.",
    "Up on the roof. The flue boot is cracked and the flashing at the chimney is loose.",
    "Shingles along the eave are curled and the valley has a hole in it.",
    "Going into the attic. The bath fan duct just blows into the attic, and the rafters are stained at the ridge.",
    "There is no insulation over the eave and the soffit vents are blocked.",
    "Now the kitchen. The P-trap under the sink is leaking, and the receptacle by the sink is dead.",
    "The range has no anti-tip bracket. The dishwasher drain has no high loop.",
    "Down in the crawl space. Two of the joists are split and the sill plate on the north wall is rotten.",
    "The vapor barrier is torn, and a piece of Romex is hanging below the girder.",
    "There is efflorescence on the foundation wall and the pier under the girder is leaning.",
    "At the panel there is a double tap on the neutral bus, and the breaker is too big for the wire.",
    "The water heater. The relief valve has no discharge pipe, and the flue draft hood is loose.",
    "Back upstairs in the hall bathroom, the toilet is loose at the flange and the grout is cracked at the tub.",
    "Living room. The damper in the fireplace is stuck and there is creosote in the smoke chamber.",
    "The handrail on the stairs is loose and one baluster is missing on the landing.",
)
TRADE = frozenset(
    "soffit fascia gutter downspout foundation flue boot flashing chimney shingles eave valley attic duct rafters "
    "ridge insulation vents trap receptacle range bracket dishwasher loop joists sill plate vapor barrier romex girder "
    "efflorescence pier panel neutral bus breaker relief valve discharge draft hood flange grout damper creosote "
    "chamber handrail baluster landing".split()
)
CONDITIONS: dict[str, tuple[tuple[str, ...], str]] = {  # effects on the voice, and the noise laid under it
    "quiet": ((), ""),
    "fan": ((), "brownnoise vol 0.10 lowpass 900"),
    "tiled room": (("reverb", "60", "40", "60"), ""),
    "wind": ((), "pinknoise vol 0.20 lowpass 500 tremolo 0.4 80"),
    "muffled": (("lowpass", "1500"), ""),
}
TOOLS = ("espeak-ng", "sox")


def lacking() -> list[str]:
    """Tools that are not on this machine."""
    return [tool for tool in TOOLS if shutil.which(tool) is None]


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True)


def make(to: Path, sentences: Sequence[str] = SENTENCES, voice: str = "en-us", condition: str = "quiet") -> Path:
    """Writes the sentences, read by a voice under a condition, into a sound file; the same file every time."""
    effects, noise = CONDITIONS[condition]
    with tempfile.TemporaryDirectory() as made:
        parts = []
        for n, sentence in enumerate(sentences):
            raw, part = f"{made}/{n}.wav", f"{made}/{n}-16.wav"
            _run("espeak-ng", "-v", voice, "-s", "155", "-w", raw, sentence)
            _run("sox", "-R", raw, "-r", str(RATE), "-c", "1", part, "pad", "0.1", str(PAUSE_S))
            parts.append(part)
        voice_at, noise_at = f"{made}/voice.wav", f"{made}/noise.wav"
        _run("sox", "-R", *parts, "-c", "1", voice_at, "norm", "-6", *effects)
        if not noise:
            _run("sox", "-R", voice_at, "-c", "1", str(to))
            return to
        kind, *rest = noise.split()
        length = length_s(Path(voice_at))
        _run("sox", "-R", "-n", "-r", str(RATE), "-c", "1", noise_at, "synth", str(length), kind, *rest)
        _run("sox", "-R", "-m", "-v", "1", voice_at, "-v", "1", noise_at, "-c", "1", str(to))
    return to


def length_s(path: Path) -> float:
    """The length of a sound file in seconds."""
    return float(subprocess.run(["soxi", "-D", str(path)], check=True, capture_output=True, text=True).stdout)


def repeated(to: Path, of: Sequence[Path], minutes: float) -> Path:
    """One long sound file of shorter ones, over and over, at least so many minutes."""
    times = int(minutes * 60 / sum(map(length_s, of))) + 1
    _run("sox", *[str(p) for _ in range(times) for p in of], str(to))
    return to
