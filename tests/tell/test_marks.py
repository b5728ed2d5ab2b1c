"""Marks on pictures: where they stand, the photo below untouched, two at most, and words for who cannot see."""

from __future__ import annotations

from base64 import b64decode
from collections.abc import Mapping
from typing import Any
from xml.etree import ElementTree

from kingpost.tell.marks import CASING, INK, marked, says
from kingpost.tell.pictures import Picture

PHOTO = Picture("data:image/jpeg;base64,AAAA", 400, 300)
RING = {"shape": "ring", "points": [[0.25, 0.5], [0.75, 0.75]], "label": "crack <1>", "length": ""}
LINE = {"shape": "line", "points": [[0.1, 0.2], [0.9, 0.2]], "label": "", "length": "22.5 ± 0.2 in"}
ARROW = {"shape": "arrow", "points": [[0.1, 0.9], [0.5, 0.5]], "label": "", "length": ""}
SVG = "{http://www.w3.org/2000/svg}"


def drawn(*marks: Mapping[str, Any]) -> ElementTree.Element:
    made = marked(PHOTO, marks)
    assert (made.width, made.height) == (PHOTO.width, PHOTO.height)
    return ElementTree.fromstring(b64decode(made.uri.partition(",")[2]))


def test_the_photo_lies_below_untouched_and_without_marks_nothing_is_made() -> None:
    assert marked(PHOTO, ()) is PHOTO
    image = drawn(RING).find(f"{SVG}image")
    assert image is not None
    assert image.get("{http://www.w3.org/1999/xlink}href") == PHOTO.uri


def test_a_mark_stands_where_it_was_drawn_white_below_ink() -> None:
    casing, ink = drawn(RING).findall(f"{SVG}path")
    assert (casing.get("stroke"), ink.get("stroke")) == (CASING, INK)
    assert float(casing.get("stroke-width", 0)) > float(ink.get("stroke-width", 0))
    assert casing.get("d") == ink.get("d")
    assert str(ink.get("d")).startswith("M100.0,187.5a100.0,37.5")  # the ellipse in the box 100..300, 150..225
    line = drawn(LINE).findall(f"{SVG}path")[1]
    assert str(line.get("d")).startswith("M40.0,60.0L360.0,60.0")


def test_words_lie_within_the_picture_and_are_escaped() -> None:
    for one in (RING, LINE, {**LINE, "points": [[0.0, 0.0], [0.02, 0.01]]}):
        for text in drawn(one).findall(f"{SVG}text"):
            assert 0 <= float(text.get("x", -1)) < 400 and 0 < float(text.get("y", -1)) <= 300
    assert drawn(RING).findall(f"{SVG}text")[0].text == "crack <1>"


def test_two_marks_at_most_and_the_words_tell_them() -> None:
    assert len(drawn(RING, LINE, ARROW).findall(f"{SVG}path")) == 4
    assert says((RING, LINE, ARROW)) == "Marked: ring, crack <1>; line, 22.5 ± 0.2 in."
    assert says(()) == ""
