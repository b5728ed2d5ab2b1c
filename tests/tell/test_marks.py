"""Marks on pictures: where they stand, the photo below untouched, two at most, and words for who cannot see."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Mapping
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from kingpost.tell.marks import CASING, INK, marked, says
from kingpost.tell.pictures import Picture

from .invented_house import house, told

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


def test_words_of_two_marks_do_not_lie_over_each_other() -> None:
    crack = {"shape": "ring", "points": [[0.3, 0.25], [0.7, 0.75]], "label": "step crack", "length": ""}
    wide = {"shape": "line", "points": [[0.35, 0.3], [0.62, 0.68]], "label": "", "length": "0.4 ± 0.1 in"}
    first, second = (drawn(crack, wide).findall(f"{SVG}text")[n] for n in (1, 3))
    letter = float(first.get("font-size", 0))
    assert abs(float(first.get("y", 0)) - float(second.get("y", 0))) >= letter


def test_what_an_arrow_says_stands_at_its_tail() -> None:
    arrow = {"shape": "arrow", "points": [[0.2, 0.9], [0.8, 0.2]], "label": "here", "length": ""}
    text = drawn(arrow).findall(f"{SVG}text")[1]
    assert float(text.get("x", 0)) < 200 and float(text.get("y", 0)) > 200


def test_the_words_for_who_cannot_see_tell_the_mark_in_the_report(tmp_path: Path) -> None:
    record = house(1)
    photos = tuple(replace(p, marks=(RING, ARROW)) for p in record.photos)
    made = told(replace(record, photos=photos), tmp_path, pdf=False).html
    told_of = [a for a in re.findall(r'alt="([^"]*)"', made) if "For finding 1:" in a]
    assert told_of and all(unescape(a).endswith(". Marked: ring, crack <1>; arrow.") for a in told_of)
