"""The thermal sheet: what would settle a patch and what is dangerous is said once, with the letters it is true of."""

from __future__ import annotations

from kingpost.tell.heat import _settle
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
