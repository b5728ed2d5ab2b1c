"""The watch list: what is rare and costly in houses of this age, place and kind, asked where it would show.

An item is silent once something settles it: a finding, words that answer it, the part's absence, or a decision.
"""

from __future__ import annotations

from kingpost.judge.findings import digest
from kingpost.listen.sweeps import indexes, place_of
from kingpost.trade.duties import WatchFor
from kingpost.visit.facts import Facts
from kingpost.visit.owed import Watched
from kingpost.visit.record import Record, Remark

from .given import Given
from .house import House
from .words import first, has

NEVER = 9999  # a year that no house is of
WIDE = ("addition", "remodel", "renovation", "rewired", "finished", "kitchen", "dormer")  # changes of walls
SPOKEN = ("finding", "reading", "information", "limitation", "as_found", "set_aside")
NOT_HERE = ("a tip, not about this house", "about another house", "what would be if, not what is", "a question")


def applies(one: WatchFor, facts: Facts) -> bool:
    """Whether a house of these facts may have it. What is not known keeps the item; a later change does too."""
    built, low, high = facts.built, one.since or 0, one.until or NEVER
    later = [a.year for a in facts.alterations if a.year is not None and has(a.what, WIDE)]
    if built is not None and not low <= built <= high and not (one.since and any(low <= y <= high for y in later)):
        return False
    if one.states and facts.jurisdiction and facts.jurisdiction.lower() not in one.states:
        return False
    kind = f"{facts.form} {facts.foundation}"
    return not one.kinds or not kind.strip() or has(kind, one.kinds)


def watch(record: Record, house: House, given: Given) -> list[Watched]:
    """The watch list of a visit, each item asked, found or ruled out."""
    return [_one(w, record, house, given) for w in given.duties.watch.values() if applies(w, record.visit)]


def settles(w: WatchFor, r: Remark, given: Given) -> bool:
    """Several words together answer anywhere; one word alone only where the item is looked for."""
    if has(r.text, [p for p in w.settled if " " in p]):
        return True
    if not has(r.text, [p for p in w.settled if " " not in p]):
        return False
    place = place_of(r.place, given.trade, indexes(given.trade, given.standards).rooms)
    return place is None or place.level in {given.trade.places[p].level for p in w.places}


def _one(w: WatchFor, record: Record, house: House, given: Given) -> Watched:
    state, evidence = "asked", tuple[dict[str, str], ...]()
    found = [f for f in record.findings if f.condition in w.conditions]
    words = [r for r in record.remarks if r.use in SPOKEN and r.why_set_aside not in NOT_HERE and settles(w, r, given)]
    excluded = next((x for x in record.visit.excluded if has(x, w.settled)), "")
    gone = w.components and all(c in house.absent for c in w.components)
    answers = given.of(digest("w", w.id), "answer")
    if found:
        state, evidence = "found", tuple({"finding": f.id} for f in found)
    elif answers:
        said = str(answers[-1].fields.get("state", "ruled_out"))
        state, evidence = ("found" if said == "found" else "ruled_out"), ({"decision": answers[-1].id},)
    elif words:
        state, evidence = "ruled_out", tuple({"remark": r.id, "words": first(r.text, w.settled)} for r in words[:2])
    elif gone:
        state, evidence = "ruled_out", tuple(house.absent[w.components[0]][:1])
    elif excluded:
        state, evidence = "ruled_out", ({"fact": "scope.excluded"},)
    sources = tuple(
        {"document": s.document, "section": s.section, "edition": s.edition, "basis": s.basis}
        for s in (given.trade.sources[i] for i in w.sources)
    )
    return Watched(digest("w", w.id), w.name, state, w.ask, w.why, w.places, sources, evidence)
