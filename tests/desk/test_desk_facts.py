"""Single facts of visit.toml by their form: one line is written, the rest of the file stays letter for letter."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from kingpost.desk.errors import DeskError
from kingpost.desk.facts_form import asked, with_value
from kingpost.trade.duties import duties

from .conftest import V

FACTS = f"/api/1/visits/{V}/facts"


def said(client: Any) -> dict[str, Any]:
    folder = client.app.state.desk.store.folder(V)
    return tomllib.loads((folder / "visit.toml").read_text())


def test_every_fact_that_preflight_may_miss_has_a_form() -> None:
    of_the_file = {r.need for r in duties().formal.values() if r.need.split(".")[0] in ("visit", "house", "agreement")}
    assert set(asked()) == of_the_file - {"agreement.before"}  # an order of two facts, no fact


def test_a_fact_is_written_and_told(client: Any) -> None:
    before = said(client)
    told = client.put(f"{FACTS}/visit.signature", json={"value": " R. Invented "}).json()["facts"]
    assert {f["need"]: f["value"] for f in told}["visit.signature"] == "R. Invented"
    client.put(f"{FACTS}/agreement.environment", json={"value": True})
    before["visit"]["signature"] = "R. Invented"
    assert said(client) == {**before, "agreement": {"environment": True}}
    assert told == [{**f, "value": g["value"]} for f, g in zip(client.get(FACTS).json()["facts"], told, strict=True)]


def test_an_hour_is_the_hour_at_the_house(client: Any) -> None:
    """Signed at eight before an inspection that began at nine is before it, wherever the server's clock stands."""
    client.put(f"{FACTS}/agreement.signed", json={"value": "2026-05-12T08:00"})
    assert said(client)["agreement"]["signed"].isoformat() == "2026-05-12T08:00:00-05:00"
    assert said(client)["agreement"]["signed"] < said(client)["visit"]["started"]


@pytest.mark.parametrize(
    ("need", "value"),
    [
        ("visit.signature", ""),
        ("visit.signature", 3),
        ("visit.signature", "x" * 501),
        ("agreement.signed", "yesterday"),
        ("agreement.environment", "yes"),
        ("visit.name", "no fact of the form"),
    ],
)
def test_what_is_no_such_fact_is_refused_and_nothing_is_written(client: Any, need: str, value: Any) -> None:
    before = said(client)
    told = client.put(f"{FACTS}/{need}", json={"value": value})
    assert told.status_code in (400, 404) and set(told.json()["error"]) == {"code", "problem", "mend", "where"}
    assert said(client) == before


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("", '[visit]\nlicence = "7"\n'),
        ("[house]\nbuilt = 1964  # by the deed", '[house]\nbuilt = 1964  # by the deed\n\n[visit]\nlicence = "7"\n'),
        ('[visit] # ours\nclient = "A"\n', '[visit] # ours\nlicence = "7"\nclient = "A"\n'),
        ('[visit]\n  licence = "" # to come\n[house]\n', '[visit]\nlicence = "7"\n[house]\n'),
    ],
)
def test_the_rest_of_the_file_stays(before: str, after: str) -> None:
    assert with_value(before, "visit", "licence", '"7"') == after


@pytest.mark.parametrize("toml", ['visit = { client = "A" }\n', 'visit.client = "A"\n', '[visit]\n"licence" = "1"\n'])
def test_where_the_line_cannot_be_found_the_person_is_told_which_to_write(toml: str) -> None:
    with pytest.raises(DeskError, match="written in a way") as told:
        with_value(toml, "visit", "licence", '"7"')
    assert told.value.mend == 'write licence = "7" under [visit] yourself'
