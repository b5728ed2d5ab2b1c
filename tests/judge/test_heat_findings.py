"""A thermal frame beside findings: of the same place, and only where one of its causes bears on them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kingpost.judge import heat_findings
from kingpost.visit.record import Finding, FrameRef, HeatCause, HeatSpot, Narrative


def finding(name: str, condition: str, place: str) -> Finding:
    told = Narrative("", "", "", "", "")
    return Finding(name, condition, condition, "", "", place, "deficiency", "this_year", (), told)


def frame(place: str, *causes: str) -> FrameRef:
    known = tuple(HeatCause(c, c, ("so",), (), "look") for c in causes)
    spot = HeatSpot("A", "middle", "blot", 1, (0.0, 0.0, 1.0, 1.0), (), 0.1, -2.0, 15.0, 17.0, 19.0, None, known)
    return FrameRef("t1", "thermal/t1.tif", None, place, spots=(spot,))


FOUND = [
    finding("f1", "ceiling_stain_dry", "interior, living room"),
    finding("f2", "toilet_leaks_base", "interior, bathroom"),
    finding("f3", "smoke_alarm_missing", "interior, living room"),
    finding("f4", "panel_double_tap", "basement"),
    finding("f5", "ceiling_stain_dry", "interior, bedroom two"),
]


@pytest.mark.parametrize(
    ("place", "causes", "expected"),
    [
        ("living room ceiling under the hall bathroom", ["damp"], ("f1", "f2")),
        ("living room ceiling", ["framing"], ()),
        ("basement, service panel", ["hot_connection"], ("f4",)),
        ("Bedroom 2, north wall", ["damp"], ("f5",)),
        ("", ["damp"], ()),
        ("living room", ["air_leak", "missing_insulation", "damp"], ()),  # damp comes third: it speaks of anything
    ],
)
def test_a_frame_goes_beside_what_its_causes_bear_on_in_its_place(
    place: str, causes: list[str], expected: tuple[str, ...]
) -> None:
    assert heat_findings.beside(frame(place, *causes), FOUND).findings == expected


def test_it_becomes_evidence_once_and_changes_nothing_else() -> None:
    shown = heat_findings.beside(frame("living room", "damp"), FOUND)
    once = heat_findings.evidence(FOUND[0], [shown])
    assert once == replace(FOUND[0], evidence=({"thermal": "t1"},))
    assert heat_findings.evidence(once, [shown]) == once
    assert heat_findings.evidence(FOUND[2], [shown]) is FOUND[2]


def test_a_frame_makes_no_finding() -> None:
    assert heat_findings.beside(frame("attic", "damp", "air_leak"), []).findings == ()
