"""The narrations and their labels: whole, fresh, and possible to get right."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from tools import make_walk

from . import SCORER

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
SOURCES = sorted(HERE.rglob("*.toml"))
UNITS = {
    "count",
    "Pa",
    "in_wc",
    "in",
    "ft",
    "psi",
    "A",
    "V",
    "degF",
    "%",
    "in/12",
    "in/ft",
    "AWG",
    "cfm",
    "min",
    "s",
    "gal",
    "ppm",
    "gpm",
}
PUT_TO = {"tip", "praise", "hypothetical", "safety talk", "corrected", "other house"}


def gold_of(source: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(source.with_suffix(".gold.json").read_text("utf-8"))
    return data


def all_spans(gold: dict[str, Any]) -> list[list[float]]:
    lists = [x["spans"] for k in ("findings", "limitations", "as_found", "not_findings") for x in gold[k]]
    lists += [[q["span"], *q.get("also_said", [])] for q in gold["readings"]]
    return [s for spans in lists for s in spans]


def oracle(gold: dict[str, Any]) -> dict[str, Any]:
    """The record of someone who heard everything and names it with the first words of the labels."""
    remarks, findings = [], []
    for n, g in enumerate(gold["findings"]):
        evidence = []
        for k, (start, end) in enumerate(g["spans"]):
            remarks.append({"id": f"r{n}.{k}", "start": start, "end": end, "text": ""})
            evidence.append({"remark": f"r{n}.{k}"})
        stake = ["people"] if g["people_hurt"] else []
        findings.append(
            {
                "id": f"f{n}",
                "title": g["component_any"][0] + ": " + g["condition_any"][0],
                "place": g["place_any"][0],
                "standing": g["standing"],
                "at_stake": stake,
                "evidence": evidence,
            }
        )
    return {"remarks": remarks, "findings": findings}


@pytest.mark.parametrize("source", SOURCES, ids=lambda p: p.stem)
def test_what_is_committed_is_what_the_source_makes(source: Path) -> None:
    for made, body in make_walk.make(source)[1].items():
        assert made.read_text("utf-8") == body, f"run tools/make_walk.py {source.name}"


@pytest.mark.parametrize("source", SOURCES, ids=lambda p: p.stem)
def test_labels_are_whole_and_lie_inside_the_narration(source: Path) -> None:
    gold, cues = gold_of(source), make_walk.make(source)[0]
    assert len({f["key"] for f in gold["findings"]}) == len(gold["findings"]) >= 20
    for start, end in all_spans(gold):
        assert cues[0].start <= start < end <= cues[-1].end + 0.1
    for f in gold["findings"]:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", f["key"])
        assert f["what"] and f["spans"] and f["component_any"] and f["condition_any"] and f["place_any"], f["key"]
        for term in f["component_any"] + f["condition_any"] + f["place_any"]:
            assert term == term.strip().lower(), (f["key"], term)
    assert {q["unit"] for q in gold["readings"]} <= UNITS
    assert {n["why"] for n in gold["not_findings"]} <= PUT_TO


@pytest.mark.parametrize("source", SOURCES, ids=lambda p: p.stem)
def test_a_careful_reader_can_get_every_finding(source: Path) -> None:
    gold = gold_of(source)
    got = SCORER.figures(SCORER.score(oracle(gold), gold)[0])
    assert (got["precision"], got["recall"], got["standing"], got["place"], got["people"]) == (1, 1, 1, 1, 1)


@pytest.mark.parametrize("source", SOURCES, ids=lambda p: p.stem)
def test_each_narration_has_the_hard_parts(source: Path) -> None:
    gold = gold_of(source)
    assert len(gold["limitations"]) >= 2
    assert {a["put_back"] for a in gold["as_found"]} == {True, False}
    assert len({n["why"] for n in gold["not_findings"]}) >= 4
    assert any(f["same_cause_as"] for f in gold["findings"])
    assert {f["standing"] for f in gold["findings"]} == {"deficiency", "recommendation", "information"}


def row(source: Path) -> str:
    """The line of a narration in README.md."""
    cues, gold = make_walk.make(source)[0], gold_of(source)
    found = gold["findings"]
    standings = [sum(f["standing"] == s for f in found) for s in ("deficiency", "recommendation", "information")]
    links = {tuple(sorted((f["key"], other))) for f in found for other in f["same_cause_as"]}
    cells = [
        source.relative_to(HERE).with_suffix("").as_posix(),
        gold["house"]["type"],
        gold["house"]["voice"],
        f"{sum(c.end - c.start for c in cues) / 60:.1f}",
        sum(len(c.text.split()) for c in cues),
        f"{len(found)} ({', '.join(map(str, standings))})",
        len(gold["not_findings"]),
        len(gold["readings"]),
        len(gold["limitations"]),
        f"{len(gold['as_found'])} ({sum(not a['put_back'] for a in gold['as_found'])})",
        len(links),
    ]
    return "| " + " | ".join(map(str, cells)) + " |"


@pytest.mark.parametrize("source", SOURCES, ids=lambda p: p.stem)
def test_the_readme_says_what_each_narration_holds(source: Path) -> None:
    assert row(source) in (HERE / "README.md").read_text("utf-8").splitlines()


def test_nothing_learns_from_what_is_kept_back() -> None:
    learn = re.search(r"^LEARN *:= *(.+)$", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE)
    assert learn
    given = [(ROOT / name).resolve() for name in learn[1].split()]
    kept = [p for p in SOURCES if p.parent.name.startswith("kept")]
    assert len(kept) == 9
    for path in kept:
        assert not any(path.is_relative_to(g) or path.with_suffix(".gold.json") == g for g in given), path
