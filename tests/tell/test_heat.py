"""The thermal sheet: what would settle a patch and what is dangerous is said once, with the letters it is true of."""

from __future__ import annotations

from kingpost.tell.heat import _settle, _spots
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
