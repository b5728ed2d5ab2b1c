"""An invented walk with truth: what was said where, and pictures of two cameras, each with its place and finding.

Nothing in it is real. Its habits (how late a picture follows its words, how often) are drawn with other shapes and
numbers than look/filing_words.py assumes, so that filing is not measured against itself.
"""

from __future__ import annotations

import hashlib
import random
from dataclasses import dataclass, field
from pathlib import Path

from PIL import Image, ImageDraw, ImageFilter

from kingpost.look.filing_words import Said
from kingpost.visit.facts import Photo

PLACES = (
    "exterior, front|exterior, west side|exterior, rear|exterior, deck|exterior, east side|roof|roof, chimney|garage"
    "|interior, laundry|attic|knee-wall attic|interior, hall|interior, bathroom|interior, bedroom one"
    "|interior, bedroom two|interior, living room|interior, kitchen|interior, addition|basement|crawl space"
).split("|")
AGAIN = ("interior, hall", "exterior, front")  # visited a second time, at the end
CAMERAS = ("Northlamp Pocket 3", "Northlamp Torchcam 1")
LATE_S = 5.0  # after the first word


@dataclass
class Truth:
    """One picture as it really was."""

    place: str
    finding: str  # "" where it is of no finding
    at: float  # seconds, true
    device: str
    close: bool
    seed: int


@dataclass
class Walk:
    """The walk, its pictures and the truth by picture id."""

    said: list[Said] = field(default_factory=list)
    photos: list[Photo] = field(default_factory=list)
    truth: dict[str, Truth] = field(default_factory=dict)
    offsets: dict[str, float] = field(default_factory=dict)


def make(
    seed: int = 1, pictures: int = 250, offsets: tuple[float, float] = (-3600.0, 40.0), late_s: float = LATE_S
) -> Walk:
    """A walk of about three hours; the cameras run ahead by `offsets` s, pictures come about `late_s` late."""
    rng = random.Random(seed)
    walk = Walk(offsets=dict(zip(CAMERAS, offsets, strict=True)))
    shots: list[Truth] = []
    at = 30.0
    for visit, place in enumerate((*PLACES, *AGAIN)):
        at = _stay(rng, walk, shots, place, visit, at, late_s)
    rng.shuffle(shots)
    for shot in sorted(shots[:pictures], key=lambda s: s.at):
        name = "p" + hashlib.sha256(f"{seed}|{shot.at}|{shot.seed}".encode()).hexdigest()[:12]
        shown = round(shot.at + walk.offsets[shot.device], 3)
        walk.truth[name] = shot
        walk.photos.append(Photo(name, f"photos/{name}.png", name * 4, None, shown, 320, 240, 1, shot.device, "exif"))
    return walk


def person(seed: int) -> tuple[float, tuple[float, float]]:
    """How late somebody takes pictures, and how far ahead the clocks of two cameras run, s: another of each seed.

    Half of the clocks are set by a network, a quarter by hand, a fifth so but for the hour, a few not at all.
    """
    rng = random.Random(f"person {seed}")

    def clock() -> float:
        kind = rng.random()
        if kind < 0.5:
            return round(rng.gauss(0, 0.5), 1)
        if kind < 0.75:
            return round(rng.choice((-1, 1)) * rng.uniform(3, 90), 1)
        if kind < 0.95:
            return round(rng.choice((-3600, 3600, -1800, 7200)) + rng.gauss(0, 0.5), 1)
        return round(rng.uniform(-20_000, 20_000), 1)

    late = min(9.0, max(0.5, rng.gauss(4.5, 2.0)))
    return late, (clock(), clock())


def _stay(
    rng: random.Random, walk: Walk, shots: list[Truth], place: str, visit: int, at: float, late_s: float
) -> float:
    """One stay in one place: wide views on arriving, words with pictures, now and then a long silence."""
    dark = place in ("attic", "knee-wall attic", "crawl space", "basement")

    def shoot(when: float, finding: str, close: bool, count: int = 1) -> None:
        device = CAMERAS[rng.random() < (0.85 if dark else 0.3)]
        seed = rng.randrange(1 << 30)
        for n in range(count):
            shots.append(Truth(place, finding, round(when + n * rng.uniform(0.5, 1.6), 2), device, close, seed))

    for _ in range(rng.choice((0, 1, 1, 2))):
        shoot(at - rng.uniform(1, 14), "", False)
    heard = place
    for n in range(rng.randint(8, 15)):
        length = rng.uniform(2.0, 10.0)
        found = f"f{visit:02d}{n:02d}" if rng.random() < 0.5 else ""
        if found and rng.random() < 0.1 and walk.said and walk.said[-1].findings:
            found = walk.said[-1].findings[0]  # goes on about the same thing
        use = "finding" if found else rng.choice(("information", "set_aside", "set_aside", "limitation", "reading"))
        pointed = bool(found) and rng.random() < 0.3
        words = "right here, look at this" if pointed else "something about it"
        walk.said.append(
            Said(
                f"r{visit:02d}{n:02d}",
                at,
                at + length,
                heard,
                (found,) if found else (),
                heard if found else "",
                use,
                words,
            )
        )
        mean = (2.2 if pointed else 1.3) if found else 0.25 if use != "set_aside" else 0.05
        for _ in range(_count(rng, mean)):
            late = rng.gauss(late_s, 2.5) if rng.random() < 0.85 else -rng.uniform(1, 7)
            when = at + (min(late, length + 6) if late > 0 else late)
            shoot(when, found, rng.random() < 0.7, rng.choice((2, 3, 4)) if rng.random() < 0.08 else 1)
        at += length + (rng.uniform(0.3, 3.0) if rng.random() < 0.45 else rng.uniform(8, 60))
    pause = rng.uniform(8, 40) if rng.random() < 0.75 else rng.uniform(120, 420)
    if pause > 100:
        for _ in range(rng.choice((0, 1, 2))):
            shoot(at + rng.uniform(5, 40), "", False)
    return at + pause


def _count(rng: random.Random, mean: float) -> int:
    """A whole number with about this mean, never many."""
    return min(4, sum(1 for _ in range(8) if rng.random() < mean / 8))


def picture(shot: Truth) -> Image.Image:
    """A small picture that shows the colours of its place: wide with its things, or close on one of them."""
    ground = random.Random(shot.place)
    wall, floor = _colour(ground, shot.place), _colour(ground, shot.place)
    things = [(_colour(ground, "thing"), ground.random(), ground.random()) for _ in range(6)]
    if shot.finding:  # a close view of a finding shows its own thing
        own = random.Random(shot.place + shot.finding)
        things[0] = (_colour(own, "thing"), own.random(), own.random())
    rng = random.Random(shot.seed)
    image = Image.new("RGB", (320, 240), wall)
    draw = ImageDraw.Draw(image)
    horizon = int(240 * rng.uniform(0.5, 0.8))
    draw.rectangle((0, horizon, 320, 240), fill=floor)
    zoom, shift = (rng.uniform(2.0, 3.5), rng.uniform(0, 1)) if shot.close else (1.0, rng.uniform(-0.2, 0.2))
    for colour, x, y in things if not shot.close else [things[0] if shot.finding else rng.choice(things)]:
        size = 34 * zoom * rng.uniform(0.8, 1.2)
        left, top = 320 * (x + shift) % 300 - 10, 200 * y
        draw.rectangle((left, top, left + size, top + size * 0.8), fill=colour)
        draw.line((left, top, left + size, top + size * 0.8), fill=(30, 30, 30), width=2)
    gain = rng.uniform(0.75, 1.2)
    noise = Image.effect_noise((320, 240), 14).convert("RGB")
    return Image.blend(image.point(lambda v: min(255, v * gain)), noise, 0.06).filter(ImageFilter.GaussianBlur(0.4))


def _colour(rng: random.Random, place: str) -> tuple[int, int, int]:
    """Rooms are mostly pale and much alike; outside is green and brown, below is dim."""
    if place.startswith("interior"):
        base = rng.choice(((225, 222, 212), (215, 212, 206), (205, 196, 180), (150, 120, 90)))
    elif place.startswith(("exterior", "roof")):
        base = rng.choice(((120, 150, 90), (150, 95, 75), (175, 175, 170), (110, 110, 115)))
    elif place == "thing":
        base = (rng.randrange(30, 230), rng.randrange(30, 230), rng.randrange(30, 230))
    else:
        base = rng.choice(((90, 75, 60), (120, 110, 100), (70, 66, 62), (140, 115, 85)))
    r, g, b = (max(0, min(255, c + rng.randrange(-14, 15))) for c in base)
    return r, g, b


def write(walk: Walk, folder: Path) -> None:
    """The pictures as files, for whoever wants to look at them."""
    (folder / "photos").mkdir(parents=True, exist_ok=True)
    for name, shot in walk.truth.items():
        picture(shot).save(folder / "photos" / f"{name}.png")
