"""The sample visit cut to so many findings, with everything else that was said, read and photographed still in it.

A cut is harder on the layout than a small visit is: fifteen findings carry the pictures and readings of sixty.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from kingpost.inspection import inspect
from kingpost.visit import read
from kingpost.visit.record import Record

SAMPLE = Path(__file__).parent.parent / "examples" / "split-level-1964"


@cache
def whole() -> Record:
    """The record of the sample visit."""
    return inspect(read(SAMPLE))


def cut(record: Record, count: int) -> Record:
    """So many of its findings, spread evenly from ridge to ground; checks of the others and their ties go."""
    every = len(record.findings)
    if count >= every:
        return record
    kept = tuple(record.findings[n * every // count] for n in range(count))
    ids = {f.id for f in kept}
    dropped = {c for f in record.findings if f.id not in ids for c in f.checks} - {c for f in kept for c in f.checks}
    causes = (
        replace(
            c,
            findings=tuple(f for f in c.findings if f in ids),
            links=tuple(link for link in c.links if link[0] in ids and link[1] in ids),
        )
        for c in record.causes
    )
    return replace(
        record,
        findings=kept,
        checks=tuple(c for c in record.checks if c.id not in dropped),
        causes=tuple(c for c in causes if c.links),  # else its story tells of what is gone
        trouble=tuple(t for t in record.trouble if not t.file.startswith("decisions")),  # of findings that are gone
    )
