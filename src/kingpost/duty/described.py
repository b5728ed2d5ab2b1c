"""What the inspector told of the house where a standard asks for a description: his words, or the fact of visit.toml.

Laws ask the report to say what the roof covering is, how the attic was looked at, where the main shutoff is. The words
are quoted as they were said: one sentence that names the part and its kind, never what somebody else did.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kingpost.listen.patterns import longest
from kingpost.listen.sweeps import indexes
from kingpost.trade.standards import Clause
from kingpost.visit.record import Remark

from .cells import WHOLE_PLACES, Cell, Ground, evident
from .evidence import OTHERS, Sight
from .house import Evidence
from .words import normed, sentences

MEASURED = ("water_heater_kind", "amps", "whether_there")  # wordings whose bare word tells nothing: "gallons", "no"
WHERE = "located"  # the wording of a duty to say where a thing is
MOST = 2  # sentences quoted of one thing
FEW = 2  # words, below which a sentence tells little
FAULTS = ("finding", "limitation")  # remarks that tell what is wrong; those that tell how a thing is come first


@dataclass(frozen=True, slots=True)
class Described:
    """One thing that a law wants described, as it was told. `said` is quoted, `fact` is of visit.toml."""

    clauses: tuple[str, ...]
    about: str
    system: str
    said: tuple[str, ...] = ()
    fact: str = ""
    place: str = ""
    evidence: tuple[Evidence, ...] = ()


def described(cells: Sequence[Cell], ground: Ground, remarks: Sequence[Remark]) -> list[Described]:
    """Each thing told, once, however many laws ask for it."""
    told = {r.id: r for r in remarks}
    groups: dict[tuple[tuple[str, ...], str], list[Cell]] = {}
    for c in cells:
        if c.clause.duty == "describe" and c.state in ("done", "limited"):
            groups.setdefault((c.clause.parts, c.clause.words), []).append(c)
    made = [_one(found, ground, told) for found in groups.values()]
    return [d for d in made if d is not None]


def _one(found: Sequence[Cell], g: Ground, told: Mapping[str, Remark]) -> Described | None:
    clause = found[0].clause
    made = Described(tuple(dict.fromkeys(c.clause.key for c in found)), clause.about, clause.system)
    tick = next((c for c in found if any("tick" in e for e in c.evidence)), None)
    if tick is not None and tick.why:
        return replace(made, fact=tick.why, evidence=tick.evidence)
    if stated := _stated(clause, g):
        return replace(made, fact=stated, evidence=({"fact": f"house.{clause.fact}"},))
    barred = next((c for c in found if c.state == "limited" and clause.words in WHOLE_PLACES), None)
    if barred is not None:
        return replace(made, fact=barred.why, evidence=barred.evidence)
    good = [s for c in found for s in evident(c.clause, c.spot, c.parts, g)]
    if clause.words == WHERE:
        return _where(made, good, clause, g)
    best = sorted({k for s in good for k in _tellings(clause, s, g, told)})[:MOST] if clause.words else []
    both = best[:1] + [k for k in best[1:] if k[:3] == best[0][:3] and not k[1] and not {*k[-1]} <= {*best[0][-1]}]
    faulty = bool(both) and both[0][1] and clause.words not in MEASURED
    if faulty:  # only the words of a fault tell it: the kind stands, without the fault
        return replace(made, fact=", ".join(both[0][-1]), evidence=({"remark": both[0][-2]},))
    shown = tuple({"remark": remark} for *_, remark, _ in both)
    return replace(made, said=tuple(k[-3] for k in both), evidence=shown) if both else None


def _where(made: Described, good: Sequence[Sight], clause: Clause, g: Ground) -> Described | None:
    """The place where a thing was seen most often, of those where such a thing is met."""
    of = [c for p in clause.parts for c in g.standards.parts[p].components]
    usual = {p for c in of for p in g.trade.components[c].places}
    levels = {g.trade.places[p].level for p in usual}

    def rank(place: str) -> tuple[bool, int, int, str]:
        here = [s for s in good if s.place == place]
        strange = not any(s.place_id in g.trade.places and g.trade.places[s.place_id].level in levels for s in here)
        return strange, min(of.index(s.component) if s.component in of else len(of) for s in here), -len(here), place

    places = {s.place for s in good if s.place}
    if not places:
        return None
    place = min(places, key=rank)
    return replace(made, place=place, evidence=next(s.evidence for s in good if s.place == place)[:1])


def _stated(clause: Clause, g: Ground) -> str:
    more = g.facts.more.get("house", {})
    value = getattr(g.facts, clause.fact, None) or (more.get(clause.fact) if isinstance(more, dict) else None)
    return str(value) if clause.fact and value else ""


Telling = tuple[int, bool, bool, int, str, str, tuple[str, ...]]  # rank, length, words, remark, what tells the kind


def _tellings(clause: Clause, s: Sight, g: Ground, told: Mapping[str, Remark]) -> list[Telling]:
    """Sentences of a look that tell what is asked for, the best first: of the part itself, whole, plain, and short."""
    index = indexes(g.trade, g.standards)
    of = [g.standards.components((p,)) for p in clause.parts]
    here = any(s.component in names for names in of) or clause.words in WHOLE_PLACES
    out = list[Telling]()
    for r in (told[e["remark"]] for e in s.evidence if e.get("remark") in told):
        for text in sentences(r.text):
            words = normed(text)
            ways = sorted((h for h in index.ways.find(words) if h.key == clause.words), key=lambda h: h.start)
            kinds = tuple(dict.fromkeys(_bare(text, h.start, h.end) for h in ways))
            hits = longest(index.parts.find(words))
            start = min((h.start for h in hits), default=0)
            about = {h.key for h in hits if h.start == start}  # what the sentence is about: "front walk is brick"
            rank = next((n for n, names in enumerate(of) if about & names), len(of))
            if kinds and not OTHERS & set(words) and (rank < len(of) or here):
                whole = text.strip().rstrip(",;:")
                out.append((rank, r.use in FAULTS, len(words) < FEW, len(words), whole, r.id, kinds))
    return out


def _bare(text: str, start: int, end: int) -> str:
    """Words of a text by their place, as they would stand alone: "copper's" is copper."""
    words = [w for w in text.replace("-", " ").replace("–", " ").split() if normed(w)]
    return " ".join(re.sub(r"['’]s$|\W", "", w.strip(".,;:!?")).lower() for w in words[start:end])
