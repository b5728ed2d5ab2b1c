"""record.json: the contract's shape, the published schema, the same bytes from two fresh interpreters."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from kingpost.tell.record_json import dump, schema, shape

from .invented_house import house

ROOT = Path(__file__).parents[2]
CONTRACT = {  # docs/contract.md, "record.json"
    "remarks": "id source start end text place use why_set_aside into",
    "readings": "id quantity value unit uncertainty place component",
    "findings": "id condition title system component place standing when at_stake narrative readings checks evidence "
    "state confidence cost cautions",
    "checks": "id check inputs computed required verdict probability in_force_when_built sources",
    "limitations": "id text clause evidence",
    "as_found": "id text opened_at closed_at put_back evidence",
    "causes": "id story findings links",
    "trouble": "file line problem mend",
}


def faults(record: Any) -> list[str]:
    return [e.message for e in Draft202012Validator(schema()).iter_errors(record)]


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("findings", [0, 5, 40])
def test_a_record_keeps_to_the_schema(findings: int) -> None:
    assert faults(shape(house(findings))) == []


@pytest.mark.parametrize("part", CONTRACT)
def test_each_field_of_the_contract_is_there_and_asked_for(part: str) -> None:
    made = shape(house(40))[part][0]
    for field in CONTRACT[part].split():
        assert field in made
        bad = json.loads(dump(house(40)))
        del bad[part][0][field]
        assert faults(bad), f"the schema lets {part} without {field} pass"


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("findings", 0, "standing"), "major"),
        (("findings", 0, "when"), "soon"),
        (("findings", 0, "at_stake"), ["money"]),
        (("findings", 0, "confidence"), 1.2),
        (("findings", 0, "evidence"), []),
        (("checks", 0, "verdict"), "pass"),
        (("checks", 0, "sources", 0, "basis"), "guess"),
        (("remarks", 0, "use"), "lost"),
        (("schema",), "kingpost-record/2"),
    ],
)
def test_a_word_outside_the_contract_is_refused(path: tuple[str | int, ...], value: Any) -> None:
    bad: Any = shape(house(40))
    here = bad
    for step in path[:-1]:
        here = here[step]
    here[path[-1]] = value
    assert faults(bad)


def test_added_fields_are_allowed() -> None:
    made = shape(house(5))
    made["findings"][0]["colour_of_the_door"] = "green"
    made["later"] = {}
    assert faults(made) == []


def test_a_reading_names_only_where_it_comes_from() -> None:
    by = {r["id"]: r for r in shape(house(40))["readings"]}
    assert "row" in by["q-drain"]
    assert not {"remark", "photo"} & set(by["q-drain"])


def test_a_number_that_json_cannot_hold_is_null() -> None:
    record = house(40)
    check = replace(record.checks[0], computed={"span": float("inf"), "slope": float("nan")})
    made = json.loads(dump(replace(record, checks=(check,))))
    assert made["checks"][0]["computed"] == {"span": None, "slope": None}


MAKE = """
import sys
sys.path.insert(0, sys.argv[1])
from tests.tell.invented_house import house
from kingpost.tell.record_json import dump
sys.stdout.buffer.write(dump(house(40)))
"""


def test_the_bytes_are_the_same_from_two_fresh_interpreters(tmp_path: Path) -> None:
    made = []
    for seed, zone, tongue, place in (("1", "UTC", "C", ROOT), ("2", "Asia/Kolkata", "C.UTF-8", tmp_path)):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": tongue}
        command = [sys.executable, "-c", MAKE, str(ROOT)]
        made.append(subprocess.run(command, env=env, cwd=place, check=True, capture_output=True).stdout)
    assert made[0] == made[1]
    assert made[0] == dump(house(40))
    assert made[0].endswith(b"}\n")
    assert json.loads(made[0])["visit"]["name"] == "Alder Row"
