"""`kingpost preflight` as its user runs it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from kingpost import cli

RANCH = Path(__file__).parent / "ranch-1988"


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A visit of a few words: quick to hear."""
    folder = tmp_path_factory.mktemp("visit")
    shutil.copy(RANCH / "visit.toml", folder / "visit.toml")
    (folder / "walk").mkdir()
    (folder / "walk" / "walk.txt").write_text("Kitchen. The window opens and locks.\n", "utf-8")
    return folder


def test_it_ends_with_1_while_something_blocks(bare: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["preflight", str(bare), "--all", "--cards"]) == 1
    out = capsys.readouterr().out
    assert "Blocks delivery" in out and "licence number is missing. [11 NCAC 08 .1103(b)(3)(E)]" in " ".join(
        out.split()
    )
    assert "Before the roof:" in out and "they ask after 20 min" in out
    assert max(map(len, out.splitlines()[:-20])) <= 126


def test_an_answer_in_decisions_jsonl_quiets(bare: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["preflight", str(bare), "--json"]) == 1
    first = json.loads(capsys.readouterr().out)
    open_ones = [m for m in first["matters"] if m["blocks"] and not m["answer"]]
    assert first["ok"] is False and first["blocks"] == len(open_ones) > 60
    lines = [
        {"id": f"d{n}", "subject": m["id"], "verb": "answer", "at": "2026-06-03T18:00:00-04:00", "why": "a scenario"}
        for n, m in enumerate(open_ones)
    ]
    (bare / "decisions.jsonl").write_text("".join(json.dumps(line) + "\n" for line in lines), "utf-8")
    try:
        assert cli.main(["preflight", str(bare), "--json"]) == 0
        again = json.loads(capsys.readouterr().out)
    finally:
        (bare / "decisions.jsonl").unlink()
    assert again["ok"] is True and again["blocks"] == 0 and again["trouble"] == first["trouble"]
    assert {m["answer"] for m in again["matters"] if m["blocks"]} == {"a scenario"}


def test_a_folder_that_is_no_visit_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["preflight", str(tmp_path)]) == 2
    assert "visit.toml" in capsys.readouterr().err
