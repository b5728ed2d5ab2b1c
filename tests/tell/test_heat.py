"""The thermal sheet: what would settle a patch and what is dangerous is said once, with the letters it is true of."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest

from kingpost.tell.heat import _letters, _settle, _spots, extent
from kingpost.visit.record import HeatCause, HeatSpot

HOT = HeatCause("hot_connection", "a hot electrical part", ("here",), (), "Measure it.", "Do not touch it.")
PIPE = HeatCause("pipe_or_duct", "a pipe", ("a line",), (), "Run the water.")


def spot(letter: str, *causes: HeatCause) -> HeatSpot:
    return HeatSpot(letter, "middle", "blot", 1, (0.1, 0.1, 0.2, 0.2), (), 0.04, 9.0, 20.0, 40.0, 22.0, None, causes)


def test_it_is_said_once_for_all_patches_alike() -> None:
    assert _settle([spot("A", HOT), spot("B", HOT), spot("C", PIPE)]) == (
        ("A and B", "Do not touch it. Measure it."),
        ("C", "Run the water."),
    )


def test_a_danger_is_told_where_its_cause_is_only_the_second() -> None:
    assert _settle([spot("A", PIPE, HOT)]) == (("A", "Run the water."), ("A", "Do not touch it."))


def test_a_patch_without_a_cause_asks_nothing() -> None:
    assert _settle([spot("A")]) == ()


def test_patches_in_a_row_for_the_same_reasons_are_told_together_and_none_is_lost() -> None:
    told = _spots([spot("A", HOT), spot("B", HOT), spot("C", PIPE), spot("D", HOT)])
    assert [[letter for letter, _ in one.seen] for one in told] == [["A", "B"], ["C"], ["D"]]
    assert told[0].causes == (("a hot electrical part", "here", ""),)


# The panel of the sample: a hot part, three warm ones close by, and two patches that hold them all.
BOXES = [
    (0.28, 0.39, 0.2, 0.07), (0.51, 0.31, 0.18, 0.23), (0.51, 0.71, 0.18, 0.15), (0.31, 0.49, 0.18, 0.12),
    (0.2, 0.05, 0.61, 0.61), (0.19, 0.0, 0.62, 0.9),
]  # fmt: skip


def test_every_letter_can_be_read_and_none_hides_the_hot_part() -> None:
    discs = _letters([replace(spot("A"), box=box) for box in BOXES], 640, 480, 32)
    assert all(32 <= x <= 608 and 32 <= y <= 448 for x, y in discs)
    assert all(hypot(a[0] - b[0], a[1] - b[1]) >= 64 for n, a in enumerate(discs) for b in discs[:n])
    left, top, wide, high = BOXES[0]
    for x, y in discs:
        near = min(max(x, left * 640), (left + wide) * 640), min(max(y, top * 480), (top + high) * 480)
        assert hypot(x - near[0], y - near[1]) > 31


def test_a_lone_patch_has_its_letter_above_it() -> None:
    (at,) = _letters([replace(spot("A"), box=(0.4, 0.5, 0.2, 0.2))], 640, 480, 32)
    assert at == pytest.approx((320, 208))


def test_a_size_is_told_in_feet_first() -> None:
    assert extent(0.4064, 2.4384) == "1.3 by 8.0\xa0ft (0.41 by 2.44\xa0m)"
