"""What a law wants described stands in the report in the inspector's words, and never in somebody else's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from kingpost.duty.ledger import as_record
from kingpost.visit.record import Remark

from .test_ledger import heard, owed, ranch

UNCLEAR = "unclear: nothing in it was recognised"


def told(remarks: Sequence[Remark], *standards: str) -> dict[str, Any]:
    """What is described, by clause."""
    made = as_record(owed(remarks, standards=standards))
    return {k: d for d in made["described"] for k in d["clauses"]}


def remark(text: str, place: str, use: str = "information") -> Remark:
    return Remark("r-new", "walk/walk.vtt", 1.0, 2.0, text, place, use)


def test_the_ranch_as_its_walk_tells_it() -> None:
    found = told(heard())
    assert found["nc.1106.b.1"]["fact"] == ranch().facts.foundation
    assert found["nc.1108.b.1"]["said"] == ["asphalt shingles lie flat."]  # 11 NCAC 08 .1108(b)(1)
    assert found["nc.1108.b.2"]["said"] == ["I walked the roof end to end"]  # (b)(2): how the roof was inspected
    assert found["nc.1109.b.4"]["place"] == "garage"  # .1109(b)(4): where the main shutoff is
    assert found["nc.1109.b.1"]["said"] == ["Supply pipes are copper, no leaks."]


def test_one_thing_that_two_laws_ask_for_is_told_once() -> None:
    found = told(heard(), "us-nc", "us-ny")
    assert found["nc.1110.b.1"] is found["ny.197-5.9.b.1"]


def test_what_somebody_else_did_tells_nothing() -> None:
    """ "Somebody went up the line with a bucket" is no way in which the roof was looked at."""
    rest = [r for r in heard() if "roof" not in r.place and "roof" not in r.text.lower()]
    assert "nc.1108.b.2" not in told([*rest, remark("Somebody walked the roof with a bucket.", "roof")])
    assert told([*rest, remark("I walked the roof.", "roof")])["nc.1108.b.2"]["said"] == ["I walked the roof."]


def test_a_sentence_about_another_thing_comes_after_one_about_the_thing_itself() -> None:
    rest = [r for r in heard() if "siding" not in r.text.lower() and "brick" not in r.text.lower()]
    walk = remark("Front walk is brick.", "exterior, front")
    siding = replace(remark("Lap siding is tight.", "exterior, front"), id="r-other")
    assert told([*rest, walk, siding])["nc.1107.b.1"]["said"] == ["Lap siding is tight."]
