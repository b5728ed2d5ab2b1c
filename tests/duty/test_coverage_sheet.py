"""The coverage sheet: a square for each thing asked for, a reason beside every exception, no citation from memory."""

from __future__ import annotations

import re
from typing import Any

from kingpost.duty.ledger import as_record
from kingpost.tell.coverage import Coverage, coverage
from kingpost.tell.index import Index
from kingpost.tell.words import small
from kingpost.visit.record import Record
from tests.duty.test_ledger import KNOWN, TRADE, heard, owed, ranch


def sheet(remarks: int, *standards: str) -> tuple[Coverage, dict[str, Any]]:
    made = as_record(owed(heard()[:remarks], standards=standards))
    view = coverage(Index(Record(kingpost="0", visit=ranch().facts, coverage=made), TRADE))
    assert view is not None
    return view, made


def test_one_square_for_each_thing_and_a_reason_for_each_exception() -> None:
    made, record = sheet(40)
    squares = [s for row in made.rows for s in row.squares]
    assert sorted(s.id for s in squares) == sorted(c["id"] for c in record["clauses"])
    odd = {c["id"] for c in record["clauses"] if c["state"] in ("not_done", "limited")}
    lacks = [lack for row in made.rows for lack in row.lacks]
    assert sorted(t.id for lack in lacks for t in lack.things) == sorted(odd)
    assert all(lack.why and lack.word and lack.what for lack in lacks)


def test_a_clause_from_memory_is_never_cited_to_a_client() -> None:
    made, _ = sheet(0, "us-wa")
    cited = {t.id: t.cited for row in made.rows for lack in row.lacks for t in lack.things}
    for key, text in cited.items():
        assert bool(text) is not KNOWN.clauses[key].unverified, key
    assert re.search(r"written from memory", made.unverified)


def test_no_standard_no_sheet() -> None:
    record = Record(kingpost="0", visit=ranch().facts)
    assert coverage(Index(record, TRADE)) is None


def test_a_citation_is_short_and_an_i_stays_large() -> None:
    """How the copy was numbered that was read is told once, not beside each number; things called alike stand once."""
    made, _ = sheet(0, "us-wa")
    shown = [lack.what for row in made.rows for lack in row.lacks]
    assert shown and not any("secondary" in what or "as listed" in what for what in shown)
    assert "numbered as a copy had them" in made.unverified
    texas, _ = sheet(0, "us-tx")
    assert [lack.what.count("dishwasher") for row in texas.rows if row.name == "Appliances" for lack in row.lacks] == [
        1
    ]
    assert small("I'm not going") == "I'm not going" and small("It is") == "it is"
