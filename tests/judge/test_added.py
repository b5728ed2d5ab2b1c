"""A finding that the inspector makes from a remark of which listening made none: `draft` in decisions.jsonl."""

from __future__ import annotations

from pathlib import Path

from kingpost.inspection import inspect
from kingpost.visit.facts import Cue, Decision, Facts, Visit, Walk
from kingpost.visit.record import Record

TOLD = ("Front of the house.", "That one has been asleep since the last owner.", "Front door is fine.")
AT, LATER = "2026-05-12T18:10:01-05:00", "2026-05-12T18:12:01-05:00"


def visit(*decisions: Decision) -> Record:
    cues = tuple(Cue("walk/a.vtt", n + 1, n * 8.0, n * 8.0 + 5.0, text) for n, text in enumerate(TOLD))
    return inspect(Visit(Path(), Facts(), (Walk("walk/a.vtt", cues),), decisions=decisions))


def draft(subject: str, **fields: object) -> Decision:
    return Decision("d1", subject, "draft", AT, fields, "desk", "decisions.jsonl", 4)


def sleeping() -> str:
    """The remark from which nothing was drafted."""
    record = visit()
    (remark,) = [r for r in record.remarks if "asleep" in r.text]
    assert not record.findings and remark.use != "finding"
    return remark.id


def test_a_remark_becomes_a_finding_of_the_catalogue_with_its_words_as_evidence() -> None:
    name = sleeping()
    (made,) = visit(draft(name, condition="doorbell_dead")).findings
    assert made.condition == "doorbell_dead" and made.state == "ink" and made.decided == "draft"
    assert {"remark": name} in made.evidence and "asleep" in made.narrative.how_we_know


def test_the_remark_says_where_it_went() -> None:
    record = visit(draft(sleeping(), condition="doorbell_dead"))
    (remark,) = [r for r in record.remarks if "asleep" in r.text]
    assert remark.use == "finding" and record.findings[0].id in remark.into


def test_made_and_set_aside_again() -> None:
    name = sleeping()
    (made,) = visit(draft(name, condition="doorbell_dead")).findings
    aside = Decision("d2", made.id, "set_aside", LATER, {"why": "mine"})
    record = visit(draft(name, condition="doorbell_dead"), aside)
    assert not record.findings and not record.trouble


def test_what_set_the_remark_aside_before_counts_no_more() -> None:
    name = sleeping()
    aside = Decision("d0", name, "set_aside", "2026-05-12T18:09:00-05:00", {"why": "unclear: what was meant"})
    made = draft(name, condition="doorbell_dead")
    assert [r.use for r in visit(aside, made).remarks if r.id == name] == ["finding"]
    assert [r.use for r in visit(aside, draft(name, condition="no_such")).remarks if r.id == name] == ["set_aside"]


def test_what_cannot_be_drafted_is_named_with_its_line() -> None:
    record = visit(
        draft("r0000000000", condition="doorbell_dead"),
    )
    (odd,) = record.trouble
    assert (odd.file, odd.line) == ("decisions.jsonl", 4) and "remark" in odd.problem
    (odd,) = visit(draft(sleeping(), condition="no_such_thing")).trouble
    assert "condition" in odd.problem


def test_a_check_of_another_fault_that_cannot_tell_does_not_join() -> None:
    """A width that is said of no hatch is one side of an opening to attic and crawl space alike."""
    told = ("Basement.", "I make it twenty two and a half by seventeen.")
    cues = tuple(Cue("walk/a.vtt", n + 1, n * 8.0, n * 8.0 + 5.0, text) for n, text in enumerate(told))
    walks = (Walk("walk/a.vtt", cues),)
    plain = inspect(Visit(Path(), Facts(), walks))
    (said,) = [r.id for r in plain.remarks if "seventeen" in r.text]
    made = inspect(Visit(Path(), Facts(), walks, decisions=(draft(said, condition="crawl_access_too_small"),)))
    kinds = {c.id: c.check for c in made.checks}
    assert {"attic-access", "underfloor-access"} <= set(kinds.values())
    (finding,) = made.findings
    assert {kinds[c] for c in finding.checks} == {"underfloor-access"}
