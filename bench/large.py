"""A large invented visit: 11,000 words and 600 pictures of 12 MP, made from our own trade data and from noise.

The sizes are about those of the largest house of our field research: 11,000 words, 620 pictures, three sentences in ten
not about a fault.
"""

from __future__ import annotations

import io
import random
import struct
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from PIL import Image

from kingpost.trade.load import trade

WORDS, PHOTOS, TEXTURES = 11_000, 600, 5
SIZE = (4032, 3024)  # 12 MP, as a phone takes it
QUALITY = 82
ASIDE = 0.3  # share of speech that is not about a fault
PAUSE_S, WORD_S = 14.0, 60 / 140
START = datetime.fromisoformat("2026-05-12T09:00:00-05:00")
TALK = (
    "Hold on, let me move the ladder over here before the next one.",
    "You can come in now, mind the step at the door.",
    "That is what I would expect for a house of this age.",
    "Water is running upstairs and I will come back to it.",
    "No, the left one, I said right and meant left.",
    "This one is fine, nothing to say about it.",
)
VISIT = """# An invented house, made to be measured against. Nobody lives in it.
[house]
name = "The large invented house"
built = 1925
form = "two-storey with additions"
storeys = 2
foundation = "full basement"
invented = true
[visit]
started = 2026-05-12T09:00:00-05:00
"""


def make(folder: Path, words: int = WORDS, photos: int = PHOTOS) -> Path:
    """Writes the visit once; a folder that is already complete is taken as it stands."""
    done = folder / f".done-{words}-{photos}"
    if done.exists():
        return folder
    for sub in ("walk", "photos"):
        (folder / sub).mkdir(parents=True, exist_ok=True)
    (folder / "visit.toml").write_text(VISIT, encoding="utf-8")
    (folder / "walk" / "walk.vtt").write_text(transcript(words), encoding="utf-8")
    _pictures(folder / "photos", photos)
    done.touch()
    return folder


def transcript(words: int) -> str:
    """So many words of an invented walk: what inspectors say of each condition, place by place, with talk between."""
    rng, at, said, out = random.Random(1925), 20.0, 0, ["WEBVTT\n"]
    for sentence in _speech(rng):
        piece = sentence.split()[: words - said]
        end = at + len(piece) * WORD_S
        out.append(f"{_clock(at)} --> {_clock(end)}\n{' '.join(piece)}\n")
        at, said = end + rng.random() * PAUSE_S, said + len(piece)
        if said >= words:
            break
    return "\n".join(out)


def _speech(rng: random.Random) -> Iterator[str]:
    ours = trade()
    conditions = [ours.conditions[name] for name in sorted(ours.conditions)]
    places = [place.name for name, place in sorted(ours.places.items()) if place.kind == "room"]
    while True:
        yield f"{rng.choice(places)}.".capitalize()
        for condition in rng.sample(conditions, 5):
            if rng.random() < ASIDE:
                yield rng.choice(TALK)
            yield f"{rng.choice(condition.said)}.".capitalize()


def _clock(seconds: float) -> str:
    whole = round(seconds * 1000)
    return f"{whole // 3_600_000:02d}:{whole // 60_000 % 60:02d}:{whole // 1000 % 60:02d}.{whole % 1000:03d}"


def _pictures(folder: Path, count: int) -> None:
    """A few textures, each written many times with its own time in EXIF, so that no two files are alike."""
    textures = [_texture(number) for number in range(TEXTURES)]
    for number in range(count):
        taken = START + timedelta(seconds=30 + number * 36)
        (folder / f"IMG_{number:04d}.jpg").write_bytes(_dated(textures[number % TEXTURES], taken))


def _texture(number: int) -> bytes:
    """A grey-brown surface with grain: about as large a file as a phone's picture of a wall."""
    grain = Image.effect_noise((SIZE[0] // 2, SIZE[1] // 2), 22.0).resize(SIZE)
    shade = Image.linear_gradient("L").rotate(90 * number).resize(SIZE)
    image = Image.merge("RGB", (Image.blend(grain, shade, 0.3), grain, Image.blend(grain, shade, 0.5)))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def _dated(jpeg: bytes, taken: datetime) -> bytes:
    """The picture with an EXIF segment put behind its first two bytes; the pixels are not touched."""
    exif = Image.Exif()
    exif[0x0110] = "Northlamp Pocket 3"
    exif.get_ifd(0x8769)[0x9003] = taken.strftime("%Y:%m:%d %H:%M:%S")
    body = exif.tobytes()
    return jpeg[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + jpeg[2:]
