"""A panel.toml in a visit folder becomes findings that point to its lines. The house is invented."""

from __future__ import annotations

from pathlib import Path

from kingpost.inspection import inspect
from kingpost.visit.folder import read
from kingpost.visit.record import Record

HOUSE = "[house]\nname = 'Invented'\nbuilt = 1964\n[visit]\nstarted = 2026-05-12T09:00:00-05:00\n"
PANEL = """[panel]
place = "garage"

[[row]]
position = 1
rating_a = 20
conductor = "14 Cu"
label = "bedroom"

[[row]]
position = 3
rating_a = 20
label = "dishwasher"

[[row]]
position = 5
rating_a = 20
label = "disposer"
observed = ["disposer", "dishwasher"]

[[row]]
position = 7
rating_a = 20
conductor = "14 Cu"
label = "hall"
"""


def visited(folder: Path, panel: str, **more: str) -> Record:
    (folder / "visit.toml").write_text(HOUSE)
    (folder / "panel.toml").write_text(panel)
    for name, text in more.items():
        (folder / "walk").mkdir(exist_ok=True)
        (folder / "walk" / f"{name}.txt").write_text(text)
    return inspect(read(folder))


def test_two_rows_with_one_fault_are_one_finding_with_both_lines(tmp_path: Path) -> None:
    record = visited(tmp_path, PANEL)
    one = next(f for f in record.findings if f.condition == "panel_overfused")
    assert [e["row"] for e in one.evidence] == ["panel.toml:4", "panel.toml:21"]
    assert one.standing == "deficiency" and one.place == "garage"
    assert "Position 1: the 20 A breaker guards a 14 wire good for 15 A" in one.narrative.saw
    assert any("gloves" in c for c in one.cautions)


def test_an_appliance_elsewhere_points_to_both_rows(tmp_path: Path) -> None:
    record = visited(tmp_path, PANEL)
    one = next(f for f in record.findings if f.title == "An appliance is on another breaker than the labels say")
    assert [e["row"] for e in one.evidence] == ["panel.toml:10", "panel.toml:15"]


def test_every_finding_rests_on_its_part_of_the_check_and_on_readings_that_are_there(tmp_path: Path) -> None:
    record = visited(tmp_path, PANEL)
    whole, *parts = [c for c in record.checks if c.check == "panel-schedule-audit"]
    ids, by_id = {r.id for r in record.readings}, {c.id: c for c in parts}
    assert record.findings and whole.verdict == "falls_short" and len(parts) == len(record.findings)
    for finding in record.findings:
        (mine,) = finding.checks
        assert by_id[mine].says == finding.narrative.saw and by_id[mine].readings == finding.readings
        assert set(finding.readings) <= ids and finding.evidence


def test_what_was_said_of_it_stays_one_finding_and_gains_the_row(tmp_path: Path) -> None:
    said = "Garage. The twenty amp breaker in the electrical panel is on fourteen gauge wire, it's overfused.\n"
    record = visited(tmp_path, PANEL, a=said)
    (one,) = [f for f in record.findings if f.condition == "panel_overfused"]
    assert any("remark" in e for e in one.evidence) and {"row": "panel.toml:4"} in one.evidence


def test_a_panel_younger_than_the_house_is_judged_by_its_own_year(tmp_path: Path) -> None:
    def standing(text: str) -> str:
        record = visited(tmp_path, text)
        return next(f.standing for f in record.findings if f.condition == "afci_missing")

    row = '[[row]]\nposition = 1\nrating_a = 15\nafci = false\nlabel = "bedroom"\n'
    assert standing(row) == "recommendation"
    assert standing("[panel]\nyear = 2019\n" + row) == "deficiency"


def test_a_panel_with_nothing_against_it_makes_no_finding(tmp_path: Path) -> None:
    record = visited(tmp_path, '[[row]]\nposition = 1\nrating_a = 20\nconductor = "12 Cu"\nlabel = "garage"\n')
    assert record.findings == () and [c.verdict for c in record.checks] == ["meets"]
