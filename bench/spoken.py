"""Made speech to listen to: our own sentences, read by espeak-ng's voices, in rooms and weather made with sox.

Invented, and far from a person's voice: it says what a part can do, not how it does on site.
"""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True)
class Condition:
    """What is done to the voice, what is laid under it, and that in words."""

    voice: str = ""  # sox effects
    noise: str = ""  # sox effects on no sound; {s} is its length in seconds
    about: str = ""


CONDITIONS = {
    "quiet": Condition(about="the voice alone"),
    "fan": Condition("", "synth {s} brownnoise vol 0.10 lowpass 900", "even brown noise"),
    "tiled room": Condition("reverb 60 40 60", "", "an echo of bare walls"),
    "wind": Condition(
        "",
        "synth {s} brownnoise lowpass 500 tremolo 0.23 90 tremolo 0.61 60 vol 0.25",
        "brown noise in gusts that come and go unevenly",
    ),
    "muffled": Condition(
        "lowpass 900 vol 0.06", "synth {s} whitenoise vol 0.0006", "as from a pocket: dull above 900 Hz, far off, hiss"
    ),
    "ladder": Condition(
        "",
        "synth 0.16 brownnoise synth 0.16 sine mix 420 synth 0.16 sine mix 1130 fade l 0 0.16 0.15 pad 0.01 0.47"
        " repeat - vol 0.7 trim 0 {s}",
        "a thud with a ring of metal at every step, three in two seconds",
    ),
}
PERSON = "moonshine_voice", "two_cities*.wav"  # a package whose wheel ships a recording of a person (MIT), and its name
READ = (  # what that person reads: the opening of a novel of 1859, long out of copyright
    "It was the best of times, it was the worst of times, it was the age of wisdom, it was the age of foolishness, "
    "it was the epoch of belief, it was the epoch of incredulity, it was the season of Light, it was the season of "
    "Darkness, it was the spring of hope, it was the winter of despair, we had everything before us, we had nothing "
    "before us, we were all going direct to Heaven, we were all going direct the other way, in short, the period was "
    "so far like the present period, that some of its noisiest authorities insisted on its being received, for good "
    "or for evil, in the superlative degree of comparison only.",
)
TOOLS = ("espeak-ng", "sox")


def lacking() -> list[str]:
    """Tools that are not on this machine."""
    return [tool for tool in TOOLS if shutil.which(tool) is None]


def person() -> Path | None:
    """The recording of a person, where the package that ships it is installed; it is not in the lock."""
    spec = importlib.util.find_spec(PERSON[0])
    if spec is None or spec.origin is None:
        return None
    return next(iter(sorted(Path(spec.origin).parent.rglob(PERSON[1]))), None)


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True)


def make(to: Path, sentences: Sequence[str] = SENTENCES, voice: str = "en-us", condition: str = "quiet") -> Path:
    """Writes the sentences, read by a voice under a condition, into a sound file; the same file every time."""
    with tempfile.TemporaryDirectory() as made:
        parts = []
        for n, sentence in enumerate(sentences):
            raw, part = f"{made}/{n}.wav", f"{made}/{n}-16.wav"
            _run("espeak-ng", "-v", voice, "-s", "155", "-w", raw, sentence)
            _run("sox", "-R", raw, "-r", str(RATE), "-c", "1", part, "pad", "0.1", str(PAUSE_S))
            parts.append(part)
        said = f"{made}/said.wav"
        _run("sox", "-R", *parts, said)
        return under(to, Path(said), condition)


def under(to: Path, said: Path, condition: str) -> Path:
    """A recording of a voice as it would be under a condition."""
    what = CONDITIONS[condition]
    with tempfile.TemporaryDirectory() as made:
        voice, noise = f"{made}/voice.wav", f"{made}/noise.wav"
        _run("sox", "-R", str(said), "-r", str(RATE), "-c", "1", voice, "norm", "-6", *what.voice.split())
        if not what.noise:
            _run("sox", "-R", voice, str(to))
            return to
        laid = what.noise.format(s=length_s(Path(voice))).split()
        _run("sox", "-R", "-n", "-r", str(RATE), "-c", "1", noise, *laid)
        _run("sox", "-R", "-m", "-v", "1", voice, "-v", "1", noise, "-c", "1", str(to))
    return to


def length_s(path: Path) -> float:
    """The length of a sound file in seconds."""
    return float(subprocess.run(["soxi", "-D", str(path)], check=True, capture_output=True, text=True).stdout)


def repeated(to: Path, of: Sequence[Path], minutes: float) -> Path:
    """One long sound file of shorter ones, over and over, at least so many minutes."""
    times = int(minutes * 60 / sum(map(length_s, of))) + 1
    _run("sox", *[str(p) for _ in range(times) for p in of], str(to))
    return to


def walked(to: Path, of: Sequence[Path], minutes: float, times: int) -> Path:
    """One long sound file: the shorter ones one after another, then a still room, all of it so many times.

    minutes  how long the file becomes; raises ValueError where that is too short
    """
    still_s = minutes * 60 / times - sum(map(length_s, of))
    if still_s < 0:
        raise ValueError(f"{times} times what is said takes more than {minutes} min")
    with tempfile.TemporaryDirectory() as made:
        still = f"{made}/still.wav"
        _run("sox", "-R", "-n", "-r", str(RATE), "-c", "1", still, "synth", str(still_s), "whitenoise", "vol", "0.001")
        _run("sox", "-R", *[str(p) for _ in range(times) for p in (*of, still)], str(to))
    return to
