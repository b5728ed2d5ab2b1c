"""The few words of docs/listening.md by which an inspector can steer. None are needed; these do what they promise."""

from __future__ import annotations

from pathlib import Path

import pytest

from kingpost.inspection import inspect
from kingpost.visit.facts import Cue, Facts, Visit, Walk
from kingpost.visit.record import Record


def heard(*told: str) -> Record:
    cues = tuple(Cue("walk/walk.vtt", n + 1, n * 8.0, n * 8.0 + 6.0, text) for n, text in enumerate(told))
    return inspect(Visit(Path(), Facts(), (Walk("walk/walk.vtt", cues),)))


@pytest.mark.parametrize(
    ("place", "level"),
    [("Attic.", "attic"), ("Crawl space.", "underfloor"), ("Up on the roof.", "roof"), ("Garage.", "garage")],
)
def test_a_place_by_itself_moves(place: str, level: str) -> None:
    record = heard(
        "Kitchen.", "The faucet is dripping.", place, "There is an open junction box with no cover, wires hanging out."
    )
    last = max(record.findings, key=lambda f: f.evidence[0]["remark"] == record.remarks[-1].id)
    assert last.level == level, (last.title, last.place, last.level)


@pytest.mark.parametrize("back", ["Scratch that.", "Leave that out."])
def test_what_is_taken_back_is_no_finding_and_is_kept(back: str) -> None:
    record = heard("Kitchen.", f"The outlet by the sink has no ground. {back} It does have one, my tester was off.")
    assert not [f for f in record.findings if "ground" in f.title.lower()]
    assert any("no ground" in r.text for r in record.remarks)


def test_which_one_is_put_right_without_losing_the_finding() -> None:
    record = heard("Hall.", "The outlet by the left door has no ground. Scratch that, the right door.")
    assert [f.condition for f in record.findings] == ["receptacle_open_ground"]


def test_like_i_said_is_one_finding() -> None:
    record = heard(
        "At the panel there are two wires under one breaker, that is a double tap.",
        "The dryer runs fine.",
        "Back at the panel, like I said, two wires under one breaker screw, double tapped.",
    )
    assert [f.condition for f in record.findings] == ["panel_double_tap"]


def test_could_not_see_because_is_a_limit_with_its_reason() -> None:
    record = heard("Attic.", "I couldn't see the far end because it's stacked with boxes.")
    assert any("boxes" in x.reason or "boxes" in x.item for x in record.limitations)


def test_opened_and_put_back_closes() -> None:
    open_one = heard("Panel.", "I took the cover off the panel.")
    assert [a for a in open_one.as_found if not a.put_back]
    closed = heard("Panel.", "I took the cover off the panel.", "Panel cover is back on, all the screws in.")
    assert closed.as_found and all(a.put_back for a in closed.as_found)


@pytest.mark.parametrize(
    ("words", "standing"),
    [
        ("Write that up.", "deficiency"),
        ("Nothing requires it.", "recommendation"),
        ("Just so you know.", "information"),
    ],
)
def test_how_it_stands_is_as_said(words: str, standing: str) -> None:
    record = heard("Kitchen.", f"The faucet at the kitchen sink is dripping from the handle. {words}")
    assert [f.standing for f in record.findings] == [standing]
