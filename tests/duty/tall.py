"""The second scenario: an invented house in Washington, walked badly, scored against a key written from the law's text.

`scored()` runs the whole of Kingpost on the folder and holds what it owes against `tall-1952/key.toml`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from kingpost.inspection import inspect, plainly
from kingpost.trade.standards import standards
from kingpost.visit import read
from kingpost.visit.facts import Decision
from kingpost.visit.owed import Matter
from kingpost.visit.record import Finding, Record

from .by_hand import HERE, by_hand

Once = Callable[[str, object, Callable[[], Any]], Any]
AT = "2026-09-14T16:00:00-07:00"


@dataclass
class Score:
    """What was to be found and was; what was named and should not have been."""

    wanted: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    false: list[str] = field(default_factory=list)

    @property
    def share(self) -> float:
        """The share of the wanted that was found."""
        return 1 - len(self.missed) / len(self.wanted) if self.wanted else 1.0

    def ask(self, what: str, found: bool) -> None:
        """One of the key's units."""
        self.wanted.append(what)
        if not found:
            self.missed.append(what)


@cache
def key() -> dict[str, Any]:
    """The answer key."""
    return tomllib.loads((HERE / "key.toml").read_text("utf-8"))


@cache
def record(right: bool = False) -> Record:
    """The visit as decided: true drafts accepted, some with bad words; false ones set aside.

    right   as a perfect listener would have heard it (heard.toml), so that only what is owed is scored
    """
    visit = read(HERE)
    once: Once = by_hand if right else plainly
    first = inspect(visit, once=once)
    return inspect(replace(visit, decisions=tuple(_worded(first))), once=once)


def _worded(first: Record) -> list[Decision]:
    """True drafts accepted, some with words that say too much or nothing, one with the wrong side; others set aside."""
    words = [*key()["words"]["over"], *key()["words"]["vague"]]
    true = (*key()["planted"]["told"], *key()["planted"]["also_told"], *key()["planted"]["dropped"])
    made, n = list[Decision](), -1
    for f in sorted(first.findings, key=lambda f: f.id):
        if not any(plain(t) in plain(said_of(first, f)) for t in true):
            made.append(Decision(f"x{f.id}", f.id, "set_aside", AT, {"why": "misheard: he said that it is sound"}))
            continue
        n += 1
        fields: dict[str, Any] = {"do": words[n]} if n < len(words) else {}
        if "Right pane" in said_of(first, f):
            fields["title"] = "The left pane is cracked."
        made.append(Decision(f"d{n}", f.id, "reword" if fields else "accept", AT, fields))
    return made


def said_of(made: Record, f: Finding) -> str:
    """The words behind a finding."""
    ids = {str(e["remark"]) for e in f.evidence if "remark" in e}
    return " ".join(r.text for r in made.remarks if r.id in ids)


def plain(text: str) -> str:
    """Words as they are compared: listening writes a hyphen as a space."""
    return text.replace("-", " ")


def told(m: Matter, made: Record) -> str:
    """Everything that a matter says, with the words that it rests on."""
    ids = {str(v) for e in m.evidence for v in e.values()} | {m.subject}
    words = [r.text for r in made.remarks if r.id in ids]
    words += [f"{q.quantity} {q.component}" for q in made.readings if q.id in ids]
    return " ".join([m.says, *words])


def open_gaps(made: Record) -> list[tuple[str, str, str]]:
    """Clause, place and parts of every gap that stands in the ledger, by its cells."""
    names = {p.id: p.name for p in standards().parts.values()}
    asked = {c for g in made.coverage["gaps"] if g["asks"] for c in g["clauses"]}
    return [
        (c["clause"], c["place"], " ".join(names[p] for p in c["parts"]))
        for c in made.coverage["cells"]
        if c["state"] == "not_done" and c["clause"] not in asked
    ]


def _fits(unit: list[str], gap: tuple[str, str, str]) -> bool:
    clause, place, part = unit
    return clause == gap[0] and (place == gap[1] or not place or not gap[1]) and part in gap[2]


def gaps(made: Record) -> Score:
    """Gaps of the key found, and gaps named that are none."""
    out, units, either = Score(), key()["gaps"]["units"], key()["gaps"]["either"]
    stand = open_gaps(made)
    for u in units:
        out.ask(" ".join(u), any(_fits(u, g) for g in stand))
    out.false = [" ".join(g) for g in stand if not any(_fits(u, g) for u in (*units, *either))]
    return out


def loops(made: Record) -> Score:
    """Things left changed, and things named that were put back."""
    out, want = Score(), key()["loops"]
    stand = [x for x in made.owed.loops if x.state in ("open", "asked")]
    says = {
        x.id: x.says + " " + " ".join(r.text for r in made.remarks if {"remark": r.id} in x.evidence) for x in stand
    }
    for u in want["open"]:
        out.ask(u, any(u in says[x.id] for x in stand if x.kind != "implied"))
    for u in want["implied"]:
        out.ask(u, any(u in x.says for x in stand if x.kind == "implied"))
    right = (*want["open"], *want["implied"], *want["either"])
    out.false = [x.says for x in stand if x.kind != "implied" and not any(u in says[x.id] for u in right)]
    return out


def clashes(made: Record) -> Score:
    """Contradictions of the key found; those named beside them."""
    out = Score()
    stand = [told(m, made) for m in made.owed.matters if m.kind == "contradiction"]
    used: set[str] = set()
    for u in key()["contradictions"]["units"]:
        fit = [s for s in stand if any(w in s for w in _either(u))]
        used |= set(fit)
        out.ask(u, bool(fit))
    out.false = [s for s in stand if s not in used]
    return out


def _either(unit: str) -> Iterable[str]:
    """The ways in which a question may name a unit that is about readings."""
    return {
        "age of the water heater": ("Two ages",),
        "volume of the water heater": ("tank_volume",),
        "main breaker": ("main_breaker_rating",),
        "furnace made after the visit": ("after the visit",),
        "range older than the house": ("older than the house",),
        "left pane": ("left pane", "says left"),
    }.get(unit, (unit,))


def slips(made: Record) -> Score:
    """Slipped numbers asked back with what they must have been."""
    out = Score()
    of = {q.id: q.quantity for q in made.readings}
    asked = {of[m.subject]: m.says for m in made.owed.matters if m.kind == "slip"}
    for quantity, value in key()["slips"].items():
        out.ask(quantity, f"was it {value:g} " in asked.get(quantity, ""))
    out.false = [s for q, s in asked.items() if q not in key()["slips"]]
    return out


def words(made: Record, kind: str) -> Score:
    """Sentences that say too much, or nothing."""
    out = Score()
    wanted = key()["words"]["over" if kind == "overreach" else "vague"]
    stand = [m.says for m in made.owed.matters if m.kind == kind]
    put = (*key()["words"]["over"], *key()["words"]["vague"])
    for w in wanted:
        out.ask(w, any(w in s for s in stand))
    out.false = [s for s in stand if not any(w in s for w in put)]
    return out


def told_now(made: Record) -> Score:
    """Hazards that cannot wait: told by words, or open."""
    out = Score()
    of = {f.id: said_of(made, f) for f in made.findings}
    for said, who in key()["told"]["units"]:
        mine = [t for t in made.owed.told if said in of[t.finding]]
        out.ask(
            said, bool(mine) and all((t.state == "told" and who in t.who) if who else t.state == "open" for t in mine)
        )
    wanted = [*(said for said, _ in key()["told"]["units"]), *key()["told"]["either"]]
    out.false = [of[t.finding] for t in made.owed.told if not any(w in of[t.finding] for w in wanted)]
    return out


def planted(made: Record) -> Score:
    """Each of the 28 problems ends somewhere that the inspector sees."""
    out, want = Score(), key()["planted"]
    found = " ".join(said_of(made, f) for f in made.findings)
    loose = " ".join(told(m, made) for m in made.owed.matters if m.kind == "loose")
    stand = {g[0] for g in open_gaps(made)}
    for said in want["told"]:
        out.ask(said, plain(said) in plain(found))
    for said in want["dropped"]:
        out.ask(said, said in loose or said in found)
    for what, clause in want["hidden"]:
        out.ask(what, clause in stand)
    return out


def nuisance(made: Record) -> list[str]:
    """Matters of the other kinds that nothing planted explains."""
    out = []
    for m in made.owed.matters:
        if m.kind == "formal" and m.clause not in key()["formal"]["clauses"]:
            out.append(f"{m.kind}: {m.says}")
        if m.kind == "watch" and not any(w in m.says.lower() for w in key()["formal"]["watch"]):
            out.append(f"{m.kind}: {m.says}")
        if m.kind == "loose" and not any(w in told(m, made) for w in key()["planted"]["dropped"]):
            out.append(f"{m.kind}: {m.says}")
        if m.kind in ("photo", "limit", "pencil", "talk"):
            out.append(f"{m.kind}: {m.says}")
    return out


def scored(right: bool = False) -> dict[str, Score]:
    """Every score of the key."""
    made = record(right)
    return {
        "gaps": gaps(made), "loops": loops(made), "contradictions": clashes(made), "slips": slips(made),
        "overreach": words(made, "overreach"), "vague": words(made, "vague"), "told": told_now(made),
        "planted": planted(made),
    }  # fmt: skip


if __name__ == "__main__":  # python -m tests.duty.tall
    for right in (False, True):
        print("heard by hand" if right else "the whole chain")
        for name, s in scored(right).items():
            print(f"  {name}: {len(s.wanted) - len(s.missed)} of {len(s.wanted)}, {len(s.false)} beside them")
            print(*(f"    missed {m}" for m in s.missed), *(f"    beside {m}" for m in s.false), sep="\n")
        print("nuisance", *nuisance(record(right)), sep="\n    ")
