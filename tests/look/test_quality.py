"""What is wrong with a picture: said where it is spoilt, and not said where it is good."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from kingpost.look import quality
from kingpost.look.ingest_hide import hide
from kingpost.look.ingest_worker import upright

PHOTOS = Path(__file__).parent.parent.parent / "examples" / "split-level-1964" / "photos"
SPOILT = {"p27-attic-dark.jpg": ("too dark",), "p48-crawl-blurred.jpg": ("blurred",)}  # the two made so on purpose


@pytest.fixture(scope="module")
def street() -> Image.Image:
    return upright(PHOTOS / "p01-street.jpg")


def patch(image: Image.Image, box: tuple[int, int, int, int], colour: tuple[int, int, int]) -> Image.Image:
    mask = Image.new("L", image.size, 0)
    ImageDraw.Draw(mask).ellipse(box, fill=255)
    spoilt = image.copy()
    spoilt.paste(colour, mask=mask.filter(ImageFilter.GaussianBlur(20)))
    return spoilt


def test_of_the_sample_pictures_only_the_spoilt_ones_are_called_so() -> None:
    said = {path.name: quality.faults(quality.measure(upright(path))) for path in sorted(PHOTOS.glob("*.jpg"))}
    assert {name: words for name, words in said.items() if words} == SPOILT


def test_blur_is_heard_whatever_the_contrast(street: Image.Image) -> None:
    for contrast in (1.0, 0.5):
        low = street.point(lambda v, c=contrast: 128 + (v - 128) * c)
        assert quality.faults(quality.measure(low)) == ()
        assert quality.faults(quality.measure(low.filter(ImageFilter.GaussianBlur(3)))) == ("blurred",)


def test_sharpness_falls_with_every_step_of_blur(street: Image.Image) -> None:
    sharp = [quality.measure(street.filter(ImageFilter.GaussianBlur(r))).sharp for r in (0, 1, 2, 3, 5)]
    assert sharp == sorted(sharp, reverse=True) and len(set(sharp)) == len(sharp)


def test_glare_and_a_finger_are_said(street: Image.Image) -> None:
    assert "plain white" in " ".join(quality.faults(quality.measure(patch(street, (400, 200, 900, 750), (255,) * 3))))
    assert quality.faults(quality.measure(patch(street, (-250, 400, 420, 1200), (170, 95, 80)))) == (
        "perhaps a finger over the lens",
    )


def test_a_smooth_wall_is_no_finger() -> None:
    wall = Image.new("RGB", (1200, 900), (200, 160, 140))
    assert "finger" not in " ".join(quality.faults(quality.measure(wall)))


def test_the_hash_is_of_the_upright_picture_and_bears_shrinking_and_darkening(street: Image.Image) -> None:
    one = quality.measure(street)
    assert quality.apart(one, quality.measure(street.resize((600, 450)))) <= 2
    assert quality.apart(one, quality.measure(street.point(lambda v: v * 0.8))) <= 4
    assert quality.apart(one, quality.measure(street.rotate(90, expand=True))) > 20


def test_the_two_of_a_kind_are_more_alike_than_any_other_pair_of_the_sample() -> None:
    names = [
        "p17-chimney.jpg",
        "p18-chimney-again.jpg",
        "p37-water-heater.jpg",
        "p38-water-heater-b.jpg",
        "p02-front.jpg",
    ]
    seen = {n: quality.measure(upright(PHOTOS / n)) for n in names}
    alike = {(a, b): quality.likeness(seen[a], seen[b]) for a in names for b in names if a < b}
    best = sorted(alike, key=lambda pair: -alike[pair])[:2]
    assert set(best) == {(names[0], names[1]), (names[2], names[3])}


def test_the_sharpest_of_a_burst_is_proposed(street: Image.Image) -> None:
    shots = [("pa", quality.measure(street.filter(ImageFilter.GaussianBlur(2)))), ("pb", quality.measure(street))]
    assert quality.sharpest(shots) == quality.sharpest(shots[::-1]) == "pb"


def test_what_is_hidden_cannot_be_read_and_the_rest_is_untouched(street: Image.Image) -> None:
    marked = street.copy()
    ImageDraw.Draw(marked).text((400, 300), "A NAME ON A PAPER", fill=(0, 0, 0))
    hidden, other = hide(marked, [(0.25, 0.25, 0.25, 0.25)]), hide(street, [(0.25, 0.25, 0.25, 0.25)])
    box = (300, 225, 600, 450)
    away = np.asarray(ImageChops.difference(hidden.crop(box), other.crop(box)))
    assert int(away.max()) < 24  # only the mean of the ink is left
    assert ImageChops.difference(hidden.crop((0, 0, 1200, 225)), street.crop((0, 0, 1200, 225))).getbbox() is None
