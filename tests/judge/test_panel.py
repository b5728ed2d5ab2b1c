"""The audit of a panel: one invented panel with a slip in most rows, and each slip by itself."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kingpost.judge import ask
from kingpost.judge.panel import leg, row


def audit(rows: list[dict[str, Any]], *more: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(ask.run("panel-schedule-audit", [f"rows={json.dumps(rows)}", *more]).as_json())
    assert "…" not in told["says"]
    return told


def kinds(rows: list[dict[str, Any]], *more: str) -> list[tuple[str, str]]:
    return [(f["position"], f["finding"]) for f in audit(rows, *more)["computed"]["findings"]]


HEATER = {"name": "water heater", "watts": 4500, "volts": 240, "continuous": True}
CONDENSER = {"name": "condenser", "mca_a": 26.2, "mop_a": 45}


@pytest.mark.parametrize(
    ("one", "found"),
    [
        ({"rating_a": 20, "conductor": "14 Cu"}, ["overfused"]),
        ({"rating_a": 20, "conductor": "12 Al"}, ["overfused"]),
        ({"rating_a": 20, "conductor": "12"}, ["wire_unsure"]),  # copper or aluminum?
        ({"rating_a": 20, "conductor": "12 Cu"}, []),
        ({"poles": 2, "rating_a": 25, "nameplate": CONDENSER}, ["undersized"]),
        ({"poles": 2, "rating_a": 30, "nameplate": CONDENSER}, []),
        ({"poles": 2, "rating_a": 50, "nameplate": CONDENSER}, ["over_plate"]),
        ({"poles": 2, "rating_a": 45, "conductor": "10 Cu", "nameplate": CONDENSER}, []),  # its plate rules
        ({"poles": 2, "rating_a": 30, "conductor": "12 Cu", "nameplate": CONDENSER}, ["thin_for_plate"]),
        ({"poles": 2, "rating_a": 20, "nameplate": HEATER}, ["undersized"]),
        ({"poles": 2, "rating_a": 20, "label": "dryer"}, ["undersized"]),
        ({"rating_a": 20, "wires_under_lug": 2}, ["double_tap"]),
        ({"rating_a": 20, "wires_under_lug": 2, "lug_for": 2}, []),
        ({"open": True}, ["open_space"]),
        ({"rating_a": 20, "type_listed": False}, ["wrong_type"]),
        ({"rating_a": 20, "voltage_v": 240}, ["one_pole"]),
        ({"rating_a": 20, "label": ""}, ["no_label"]),
        ({"rating_a": 20, "label": "plugs & lights".replace("& ", "")}, ["no_label"]),
        ({"label": "spare", "rating_a": 20}, []),
        ({"rating_a": 20, "label": "dishwasher", "dead": ["garage receptacles"]}, ["label_wrong"]),
        ({"rating_a": 20, "label": "Kitchen counter", "dead": ["counter by the sink"]}, []),
        ({"poles": 2, "rating_a": 40, "afci": True, "nameplate": CONDENSER}, ["arc_nuisance"]),
        ({"rating_a": 20, "gfci": True, "dead": ["freezer in the garage"]}, ["ground_nuisance"]),
        ({"rating_a": 15, "afci": False, "label": "primary bedroom"}, ["arc_missing"]),
        ({"rating_a": 15, "afci": False, "label": "garage"}, []),
        ({"rating_a": 20, "gfci": False, "label": "bathroom"}, []),  # may sit at the outlet
        ({"rating_a": 20, "protected": False, "label": "bathroom"}, ["ground_missing"]),
    ],
)  # fmt: skip
def test_one_row(one: dict[str, Any], found: list[str]) -> None:
    assert [k for _, k in kinds([{"position": 1, **one}])] == found


def test_the_least_breaker_of_a_condenser_of_26_point_2_a_is_30() -> None:
    told = audit([{"position": 5, "poles": 2, "rating_a": 25, "nameplate": CONDENSER}])
    assert told["computed"]["least_breaker_a"] == {"5": 30.0}
    assert "takes no breaker under 30 A" in told["says"]


def test_the_circuit_that_an_appliance_is_really_on() -> None:
    rows = [
        {"position": 5, "rating_a": 20, "label": "dishwasher"},
        {"position": 7, "rating_a": 20, "label": "disposer", "dead": ["disposer", "dishwasher"]},
    ]
    assert kinds(rows) == [("5", "elsewhere")]
    told = audit(rows)["computed"]
    assert told["circuits"] == {"disposer": "7", "dishwasher": "7"}
    assert told["findings"][0]["says"] == (
        'Position 5: the label says "dishwasher", but the dishwasher went dead at position 7.'
    )


def test_a_room_on_two_circuits_is_no_contradiction() -> None:
    rows = [
        {"position": 5, "rating_a": 20, "label": "kitchen"},
        {"position": 7, "rating_a": 20, "label": "dining room", "dead": ["dining room", "kitchen wall"]},
    ]
    assert kinds(rows) == []


def test_a_shared_neutral_on_one_leg_is_a_hazard_and_the_pair_is_told_once() -> None:
    rows = [
        {"position": 1, "rating_a": 15, "multiwire_with": 5},
        {"position": 5, "rating_a": 15, "multiwire_with": 1},
    ]
    assert kinds(rows) == [("1", "same_leg")]
    assert audit(rows, "built=1970")["standing"] == "deficiency"
    rows[1]["position"], rows[0]["multiwire_with"] = 3, 3
    assert kinds(rows) == []


def test_legs_go_two_and_two_down_the_panel() -> None:
    assert [leg(row({"position": p}, 0)) for p in (1, 2, 3, 4, 5)] == ["B", "B", "A", "A", "B"]


def test_arc_fault_by_the_year_of_the_house() -> None:
    rows = [{"position": 1, "rating_a": 15, "afci": False, "label": "bedroom"}]
    assert audit(rows, "built=1990")["standing"] == "recommendation"
    assert audit(rows, "built=2015")["standing"] == "deficiency"


def test_the_panel_as_a_whole() -> None:
    rows = [{"position": p, "rating_a": 20, "service_disconnect": True} for p in range(1, 8)]
    assert kinds(rows, "main_present=no", "spaces=6") == [("", "too_many_poles"), ("", "throws")]
    assert kinds(rows[:6], "main_present=no", "spaces=6") == []
    assert kinds(rows, "main_present=yes") == []


def test_the_sum_of_the_breakers_is_not_held_against_the_main() -> None:
    rows: list[dict[str, Any]] = [{"position": 1, "poles": 2, "rating_a": 100}]
    rows += [{"position": p, "rating_a": 20} for p in range(3, 40)]
    assert kinds(rows) == []


def test_rows_from_a_file(tmp_path: Path) -> None:
    file = tmp_path / "panel.toml"
    file.write_text('[[row]]\nposition = [2, 4]\npoles = 2\nrating_a = 40\nconductor = "12 Cu"\nlabel = "range"\n')
    told = json.loads(ask.run("panel-schedule-audit", [f"panel={file}"]).as_json())
    assert [(f["position"], f["finding"]) for f in told["computed"]["findings"]] == [("2/4", "overfused")]


@pytest.mark.parametrize(
    ("rows", "reason"),
    [
        ([], "the panel has no rows; write one for each breaker"),
        ([{"amps": 20}], 'row 1 has "amps"; known are position'),
        ([{"rating_a": "20"}], "row 1 has a rating of 20; write amps, like 20"),
        ([{"poles": 4}], "row 1 has 4 poles; write 1 or 2"),
        ([{"position": 1}, {"position": 1}], "position 1 stands twice"),
        ([7], "row 1 is not a table"),
        ([{"nameplate": "26.2 A"}], "row 1 has a nameplate that cannot be read"),
        ({"position": 1}, "the panel has no rows"),
    ],
)
def test_a_wrong_row_is_refused_in_one_sentence(rows: Any, reason: str) -> None:
    told = audit(rows)
    assert told["verdict"] == "cannot_tell" and reason in told["says"]


def test_a_file_that_is_not_there_is_refused() -> None:
    told = json.loads(ask.run("panel-schedule-audit", ["panel=nowhere.toml"]).as_json())
    assert told["verdict"] == "cannot_tell" and "nowhere.toml cannot be read" in told["says"]
