"""Remarks that nothing was made of: which of them have an end all the same, and what is asked about the rest.

Nothing said is lost. A remark whose words are all understood, and tell no fault, is a plain fact; one that denies, or
tells somebody, or answers a question has its end; one that names nothing of a house is listed with its like, to be read
once. Every other is asked about by itself: a fault that is told in the speaker's own words looks like this.
"""

from __future__ import annotations

from collections.abc import Sequence

from kingpost.judge.findings import digest
from kingpost.listen.catalogue import catalogue
from kingpost.listen.patterns import Hit, Index, longest
from kingpost.listen.sweeps import indexes
from kingpost.visit.owed import Matter, ToldNow
from kingpost.visit.record import Record, Remark

from .given import Given
from .ledger import Ledger
from .watch import settles
from .words import first, has, normed

UNCLEAR = "unclear"  # how `hear` begins the reason of a remark that it could not make out
DECIDE = "decide in decisions.jsonl"
NOTHING = "nothing"


def loose_ends(record: Record, settled: frozenset[str], given: Given) -> list[Matter]:
    """Remarks with no use and no reason, and remarks that became nothing though they have a use.

    settled     remarks that were not made out, and still have an end (`settled`), or are asked about already
    """
    mend = f"{DECIDE}: use, or set_aside with why"
    held = {f.id for f in record.findings} | {q.id for q in record.readings}
    held |= {x.id for x in record.limitations} | {a.id for a in record.as_found}
    out, talk = list[Matter](), list[Remark]()
    for r in record.remarks:
        if r.id in settled:
            continue
        loose = r.use == "set_aside" and (r.why_set_aside.startswith(UNCLEAR) or not r.why_set_aside)
        orphan = r.use in ("finding", "limitation", "reading", "as_found") and not held & set(r.into)
        if loose and names_nothing(r.text, given):
            talk.append(r)
        elif loose or orphan:
            says = f"“{r.text}”" if loose else f"“{r.text}” became nothing."
            out.append(
                Matter(digest("m", "loose", r.id), "loose", True, says, mend, r.place, r.id, ({"remark": r.id},))
            )
    return [*out, *_talk(talk)]


def _talk(some: Sequence[Remark]) -> list[Matter]:
    """What names nothing of a house, in one question; another remark makes it another question, asked anew."""
    if not some:
        return []
    says = " ".join(f"“{r.text}”" for r in some)
    mend = f"read them once: use what is meant of the house ({', '.join(r.id for r in some)}), then answer with why"
    name = digest("m", "talk", *sorted(r.id for r in some))
    return [Matter(name, "talk", False, says, mend, "", "", tuple({"remark": r.id} for r in some))]


def settled(record: Record, ledger: Ledger, given: Given, told: Sequence[ToldNow]) -> frozenset[str]:
    """Remarks that were not made out and still have an end: a denial, a telling, an answer, a plain fact."""
    out = {str(e["remark"]) for marks in ledger.house.absent.values() for e in marks if "remark" in e}
    out |= {str(e["remark"]) for t in told for e in t.evidence if "remark" in e}
    shows = {str(e["remark"]) for c in ledger.cells if c.state == "done" for e in c.evidence if "remark" in e}
    for r in record.remarks:
        if not r.why_set_aside.startswith(UNCLEAR) or r.id in out:
            continue
        if (r.id in shows and _sound(r.text, given)) or plain_fact(r.text, given) or _rules_out(r, given):
            out.add(r.id)
    return frozenset(out)


def _sound(text: str, given: Given) -> bool:
    """A plain word of a sound state, and none of a fault: of a sign only where it is one of a part that is named.

    "Ground falls away, nothing planted against it." denies plants; "nothing" alone may tell that a thing is dead.
    """
    words, ill, index = normed(text), catalogue(given.trade), indexes(given.trade, given.standards)
    weak = list(ill.weak_component_index.find(words))
    named = {h.key for h in (*longest(index.parts.find(words)), *weak)}
    denied = {h.start - 1 for h in weak if words[h.start - 1 : h.start] == [NOTHING]}
    dull = [h for h in ill.weak_fault_index.find(words) if not {*range(h.start, h.end)} <= denied]
    signs = _signs_of(named, words, given)
    faults = [*ill.fault_index.find(words), *dull, *signs]
    return _tells_plainly(text, given) and not faults and not _said(text, "but", given)


def _signs_of(named: set[str], words: Sequence[str], given: Given) -> list[str]:
    """Conditions of the parts named of which a sign is said."""
    signs = {h.key for h in catalogue(given.trade).sign_index.find(words)}
    return [c.id for c in given.trade.conditions.values() if c.id in signs and named & {c.component, *c.also}]


def _rules_out(r: Remark, given: Given) -> bool:
    """ "No aluminum in there": denies a thing of the watch list, also where the house is of another age."""
    return any(
        settles(w, r, given) and _said(first(r.text, w.settled), "denial", given) for w in given.duties.watch.values()
    )


def plain_fact(text: str, given: Given) -> bool:
    """Whether every word is understood, a part is named, and what is told of it is no fault.

    "Crawl vents are open." is one; "Mortar joints are open." is none, for an open joint is a sign of a fault of brick;
    "That vent's been got at." is none, for nobody knows what it tells. Only that a part is there is no plain fact, for
    that may be the fault ("There's a light in the shower."), unless it is one that is wanted just there.
    """
    words, ill, index = normed(text), catalogue(given.trade), indexes(given.trade, given.standards)
    parts, ways = longest(index.parts.find(words)), list(index.ways.find(words))
    told = _tells_plainly(text, given) or _said(text, "where_wanted", given)
    if _said(text, "but", given) or not (parts or ways) or not told:
        return False
    weak = list(ill.weak_component_index.find(words))
    if _signs_of({h.key for h in (*parts, *weak)}, words, given) or any(ill.fault_index.find(words)):
        return False
    known = [*parts, *ways, *index.rooms.find(words), *weak]
    known += [h for h in index.sweeps.find(words) if h.key in ("state", "told_plain", "small")]
    return _covered(len(words), known)


def names_nothing(text: str, given: Given) -> bool:
    """Whether no word is one of a house, its faults or its tests, and none points at something that was seen."""
    words, ill, index = normed(_own(text)), catalogue(given.trade), indexes(given.trade, given.standards)
    trade: tuple[Index[str], ...] = (index.parts, index.ways, index.rooms, ill.weak_component_index)
    faults = (ill.fault_index, ill.weak_fault_index, ill.sign_index)
    return not any(any(ix.find(words)) for ix in (*trade, *faults)) and not _said(text, "points", given)


def _own(text: str) -> str:
    """Without "we'll" and the like, which are read as other words."""
    return " ".join(w for w in text.replace("’", "'").split() if not w.lower().endswith(("'ll", "'d")))


def _tells_plainly(text: str, given: Given) -> bool:
    return _said(text, "state", given) or _said(text, "told_plain", given)


def _said(text: str, sweep: str, given: Given) -> bool:
    return has(text, given.standards.sweeps[sweep].said)


def _covered(words: int, hits: Sequence[Hit[str]]) -> bool:
    """Whether hits account for every word; what stands in the gap of a pattern is not understood by it."""
    hits = [h for h in hits if h.end - h.start == h.pattern.weight]
    return {k for h in hits for k in range(h.start, h.end)} >= set(range(words))
