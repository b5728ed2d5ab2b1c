"""A draft that says two things is split by a decision; what it becomes survives and can be decided on."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from kingpost.judge import decisions
from kingpost.visit.facts import Decision
from kingpost.visit.record import Finding, Narrative, Reading, Remark

RAIL = Remark("r1", "walk/walk.vtt", 10.0, 14.0, "The handrail is loose.", "stairs", "finding")
TREAD = Remark("r2", "walk/walk.vtt", 15.0, 19.0, "And the third tread is cracked, two inches.", "stairs", "finding")
SIZE = Reading("q1", "crack_length", 2.0, "in", 0.1, "stairs", "tread", remark="r2")
BOTH = Finding(
    "f1", "handrail_loose", "The handrail is loose", "interior", "handrail", "stairs", "deficiency", "this_season",
    ("people",), Narrative("The handrail moves.", "Somebody may fall.", "Fix it.", "A carpenter", "said"),
    readings=("q1",), checks=("c1",), evidence=({"remark": "r1"}, {"remark": "r2"}), state="ink",
)  # fmt: skip


def decided(verb: str, subject: str = "f1", at: int = 0, **fields: Any) -> Decision:
    return Decision(
        f"d{at}", subject, verb, f"2026-05-12T18:00:{at:02}-05:00", fields, "desk", "decisions.jsonl", at + 1
    )


OFF: dict[str, Any] = {"remarks": ["r2"], "title": "A tread is cracked"}


def test_remarks_and_their_readings_go_into_a_pencil_finding() -> None:
    (old, new), _, odd = decisions.apply([BOTH], [RAIL, TREAD], [decided("split", **OFF)], [SIZE])
    assert not odd
    assert (old.id, old.evidence, old.readings, old.checks, old.state) == (
        *("f1", ({"remark": "r1"},), ()),
        *(("c1",), "ink"),
    )
    assert (new.title, new.evidence, new.readings) == ("A tread is cracked", ({"remark": "r2"},), ("q1",))
    assert new.state == "pencil"
    assert "third tread" in new.narrative.how_we_know
    assert "third tread" not in old.narrative.how_we_know
    assert "The handrail is loose" in new.doubt


def test_what_was_split_off_can_be_decided_on_and_keeps_its_id() -> None:
    first = decisions.apply([BOTH], [RAIL, TREAD], [decided("split", **OFF)])[0][1]
    told = [decided("accept", first.id, 2), decided("split", remarks=["r2"], title="Another title", at=1)]
    found, _, odd = decisions.apply([BOTH], [TREAD, RAIL], told)
    assert [(f.id, f.state) for f in found] == [("f1", "ink"), (first.id, "ink")]
    assert not odd
    assert decisions.apply([BOTH], [RAIL, TREAD], told[:1])[2][0].problem.startswith(f"accept is about {first.id}")


def test_what_was_merged_can_be_split_again() -> None:
    rail = replace(BOTH, evidence=({"remark": "r1"},), readings=())
    tread = replace(BOTH, id="f2", evidence=({"remark": "r2"},))
    told = [
        decided("merge", "f2", 1, into="f1"),
        decided("reword", "f1", 0, title="Stair"),
        decided("split", at=2, **OFF),
    ]
    found, _, odd = decisions.apply([rail, tread], [RAIL, TREAD], told, [SIZE])
    assert [(f.title, f.evidence) for f in found] == [
        *[("Stair", ({"remark": "r1"},)), ("A tread is cracked", ({"remark": "r2"},))]
    ]
    assert not odd


def test_a_split_that_leaves_nothing_or_takes_nothing_is_named_and_changes_nothing() -> None:
    for wrong in ([], ["r1", "r2"], ["r9"], "r1"):
        found, _, odd = decisions.apply([BOTH], [RAIL, TREAD], [decided("split", remarks=wrong, title="x")])
        assert found == [BOTH]
        assert [(t.file, t.line) for t in odd] == [("decisions.jsonl", 1)]


def test_what_was_set_aside_comes_back_by_restore_with_its_remarks() -> None:
    aside = decided("set_aside", why="said twice")
    gone, notes, _ = decisions.apply([BOTH], [RAIL, TREAD], [aside])
    assert (gone, [r.use for r in notes]) == ([], ["set_aside", "set_aside"])
    back, notes, odd = decisions.apply([BOTH], [RAIL, TREAD], [aside, decided("restore", at=1)])
    assert (back, notes, odd) == ([BOTH], [RAIL, TREAD], [])
