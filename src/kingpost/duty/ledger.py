"""The coverage ledger: what the standards of a visit ask for, and what shows that it was done.

`ledger(...)` gives the ledger; `as_record` its form in record.json. Before leaving, its gaps stand in walking order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from kingpost.listen.sweeps import Swept, sweep
from kingpost.trade.duties import LawNumber
from kingpost.trade.model import LEVELS, Trade
from kingpost.trade.standards import Clause, Standard, Standards
from kingpost.visit.facts import Facts, Trouble
from kingpost.visit.record import Finding, Limitation, PhotoRef, Reading, Remark

from .cells import SHOWN, Cell, Ground, cells, met
from .described import Described, described
from .evidence import Tick, passes, rests, sights
from .house import Evidence, House, house
from .permits import bars, sizes
from .tour import Tour, graph, tour

ORDER = ("not_done", "limited", "done", "not_present")  # what a clause is, by the first of these that a cell of it is
DOES = {
    "inspect": "look at",
    "describe": "say what kind, or where:",
    "report_condition": "look at",
    "report_deficiency": "look at",
    "operate": "try",
    "measure": "measure",
    "notify": "look at",
    "second_pass": "go through it again",
}
TRIES = {  # a closer word for what has to be shown
    "ran": "run",
    "cooled": "run to cool",
    "tested": "test",
    "opened_closed": "open and close",
    "ran_water": "run water at",
    "flowed": "run water at",
    "drained": "let water run off at",
    "probed": "probe",
    "entered": "go into",
    "method": "say how it was looked at:",
    "walked": "walk",
    "opened": "take the owner's cover off:",
    "located": "say where:",
    "reversed": "try the reversing of",
    "moved": "move aside",
}
VERBS = sorted({*DOES.values(), *TRIES.values(), "is there any"}, key=len, reverse=True)  # how a gap begins
STRENGTH = ("operate", "measure", "inspect", "second_pass", "describe")  # trying takes in looking
ANYWHERE = "house"
SWEPT_KEPT = 4  # visits whose sweep is kept while the desk judges them again
COUNTED = {
    "windows": "window",
    "receptacles": "receptacle",
    "inner_doors": "interior_door",
    "entry_doors": "exterior_door",
}


@dataclass(frozen=True, slots=True)
class Gap:
    """A silent gap: something required of which nothing shows that it was done."""

    place: str  # node of the tour: a room, a side or a level
    label: str
    part: str
    duty: str
    says: str
    why: str
    clauses: tuple[str, ...]
    unverified: bool  # no clause behind it was read; all are from memory
    asks: bool  # the house may well have none: the question is whether there is one


@dataclass
class Ledger:
    """All cells of a visit, by standard and clause, with the gaps and the way past them."""

    laws: list[Standard] = field(default_factory=list)
    cells: list[Cell] = field(default_factory=list)
    elsewhere: list[Clause] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)
    described: list[Described] = field(default_factory=list)
    states: list[Clause] = field(default_factory=list)  # what the report has to state
    tour: Tour = field(default_factory=lambda: Tour((), 0.0))
    house: House = field(default_factory=House)
    trouble: list[Trouble] = field(default_factory=list)

    def of(self, clause: str) -> list[Cell]:
        """The cells of one clause."""
        return [c for c in self.cells if c.clause.key == clause]


@dataclass(frozen=True, slots=True)
class Told:
    """What the record of a visit holds that can show looking."""

    facts: Facts
    remarks: Sequence[Remark] = ()
    findings: Sequence[Finding] = ()
    readings: Sequence[Reading] = ()
    limitations: Sequence[Limitation] = ()
    photos: Sequence[PhotoRef] = ()
    ticks: Sequence[Tick] = ()
    beside: Mapping[str, Sequence[str]] = field(default_factory=dict)  # remark -> pictures taken with it
    numbers: Mapping[str, LawNumber] = field(default_factory=dict)  # how the laws name what is measured


def ledger(told: Told, trade: Trade, standards: Standards) -> Ledger:
    """The ledger of a visit. The order in which remarks of different walks, findings or ticks come does not matter."""
    out = Ledger(laws=standards.chosen(told.facts.standards, told.facts.jurisdiction))
    for one in standards.unknown(told.facts.standards):
        known = ", ".join(standards.laws)
        out.trouble.append(Trouble("visit.toml", None, f'standard "{one}" is not known', f"write one of {known}"))
    if not out.laws:
        return out
    remarks = sorted(told.remarks, key=lambda r: (r.source, r.start, r.end, r.id))
    swept = _swept(tuple(remarks), trade, standards)
    out.house = house(told.facts, remarks, swept, trade, standards)
    out.trouble += out.house.trouble
    ground = Ground(
        trade,
        standards,
        out.laws,
        told.facts,
        out.house,
        sights(swept, told.findings, told.readings, told.photos, remarks, told.beside, trade, standards),
        rests(swept, told.beside, standards),
        bars(told.limitations, told.facts, out.laws, trade, standards),
        sizes(told.readings, out.laws, trade, standards, told.numbers),
        told.ticks,
        passes(remarks),
    )
    for law in out.laws:
        for clause in standards.of(law.id):
            if clause.home == "house":
                out.cells += cells(clause, ground)
            elif clause.home != "exempts":
                out.elsewhere.append(clause)
    found = {f.condition for f in told.findings}
    mine = [c for law in out.laws for c in standards.of(law.id) if c.states]
    out.states = [c for c in mine if not c.states_with or found & set(c.states_with)]
    _instead(out)
    out.described = described(out.cells, ground, remarks)
    _gaps(out, _start(remarks, out.house, ground), ground)
    return out


_SWEPT: list[tuple[Trade, Standards, tuple[Remark, ...], Swept]] = []  # the last few, newest last


def _swept(remarks: tuple[Remark, ...], trade: Trade, standards: Standards) -> Swept:
    """What the remarks show; kept, because most decisions change no remark."""
    for known, laws, told, swept in _SWEPT:
        if known is trade and laws is standards and told == remarks:
            return swept
    made = sweep(remarks, trade, standards)
    _SWEPT[:] = [*_SWEPT[1 - SWEPT_KEPT :], (trade, standards, remarks, made)]
    return made


def _instead(out: Ledger) -> None:
    """A duty that stands in for another falls due only where that one was not done."""
    keep = []
    for c in out.cells:
        first = [o.state for o in out.cells if o.clause.key == c.clause.instead_of] if c.clause.instead_of else []
        if first and all(s == "done" for s in first) and c.state == "not_done":
            c = Cell(c.clause, c.spot, c.parts, "not_present", (), f"Not due: {c.clause.instead_of} was done.")
        keep.append(c)
    out.cells = keep


def _start(remarks: Sequence[Remark], house: House, g: Ground) -> str:
    """Where the inspector is when the walk ends."""
    last = max(remarks, key=lambda r: (r.source, r.end), default=None)
    return (house.key(last.place) if last else "") or "grounds"


def _gaps(out: Ledger, start: str, g: Ground) -> None:
    groups: dict[tuple[str, tuple[str, ...], bool], list[Cell]] = {}
    for c in out.cells:
        if c.state == "not_done":
            groups.setdefault((_node(c, g), c.parts, c.clause.duty == "describe"), []).append(c)
    made = [_gap(node, sorted(found, key=_strength), g) for (node, _, _), found in groups.items()]
    nodes = {gap.place for gap in made if not gap.asks and gap.place != ANYWHERE}
    walk = sorted(nodes, key=lambda n: _rank(n, out.house))
    out.tour = tour(graph(out.house, g.standards.ways), start, walk)
    at = {node: n for n, node in enumerate(out.tour.stops)}

    def order(x: Gap) -> tuple[bool, int, tuple[int, str], str, str]:
        return (
            x.asks,
            at.get(x.place, -1 if x.place == ANYWHERE else len(at)),
            _rank(x.place, out.house),
            x.part,
            x.duty,
        )

    out.gaps = sorted(made, key=order)


def _strength(c: Cell) -> tuple[int, bool]:
    duty = c.clause.duty
    return STRENGTH.index(duty) if duty in STRENGTH else STRENGTH.index("inspect"), not c.clause.words


def _rank(node: str, house: House) -> tuple[int, str]:
    levels = {r.key: r.level for r in house.rooms} | {s.key: s.level for s in house.sides}
    return LEVELS.index(levels.get(node, node if node in LEVELS else "house")), node


def _node(c: Cell, g: Ground) -> str:
    """The node of the tour at which a gap is closed: its room or side, else where such a part is usually met."""
    if c.spot.kind in ("room", "side"):
        return c.spot.key
    if c.spot.kind == "level":
        return c.spot.level
    often = Counter(
        s.place_id
        for part in c.parts
        for k in g.standards.components((part,))
        for s in g.by_part.get(k, ())
        if s.place_id and met(g.standards.parts[part].found, s, g)
    )
    usual = [p for part in c.parts for i in g.standards.parts[part].components for p in g.trade.components[i].places]
    levels = {g.trade.places[p].level for p in usual}  # a place where such a part is never met was misheard
    seen = sorted(often, key=lambda p: (g.trade.places[p].level not in levels, -often[p], p))
    lived = {r.level for r in g.house.rooms}
    for place in (*c.clause.places, *seen, *usual):
        level = g.trade.places[place].level
        if place in g.house.absent_places or (level in ("upper", "main", "lower") and level not in lived):
            continue
        room = [r.key for r in g.house.rooms if r.place_id == place]
        return room[0] if room else level
    return ANYWHERE


def _gap(node: str, found: Sequence[Cell], g: Ground) -> Gap:
    first = found[0]
    parts = " or ".join(g.standards.parts[p].name for p in first.parts)
    label = first.spot.label if first.spot.kind != "house" else (g.house.key(node) or node)
    some = {"some": "", "sample": "one of the ", "every": "all the "}[first.clause.amount]
    if many := g.house.count(first.spot, first.clause.counts or COUNTED.get("".join(first.parts[:1]), "")):
        some = f"{some}{many} " if many > 1 and some else some
    if not parts.endswith("s"):
        some = ""
    does = TRIES.get(first.clause.words, DOES[first.clause.duty])
    says = f"{does} {some}{parts}".strip() if parts else first.clause.says
    asks = all(c.asks for c in found)
    return Gap(
        node,
        label,
        parts,
        first.clause.duty,
        f"is there any {parts}?" if asks else says,
        first.why,
        tuple(dict.fromkeys(c.clause.key for c in found)),
        all(c.clause.unverified for c in found),
        asks,
    )


def clause_state(found: Sequence[Cell]) -> str:
    """What a clause is, by its cells: a gap anywhere is a gap; what is not there counts where nothing else does."""
    states = {c.state for c in found}
    return next((s for s in ORDER if s in states), "not_present")


def as_record(out: Ledger) -> dict[str, Any]:
    """The ledger as record.json holds it: `standard` and `clauses` as the contract has them, the rest added."""
    if not out.laws:
        return {}
    per: dict[str, list[Cell]] = {}
    for c in out.cells:
        per.setdefault(c.clause.key, []).append(c)
    made: dict[str, Any] = {"standard": out.laws[0].id, "standards": [law.id for law in out.laws]}
    made["clauses"] = [_clause(found) for found in per.values()]
    made["elsewhere"] = [{"id": c.key, "standard": c.standard, "home": c.home, "says": c.says} for c in out.elsewhere]
    made["notices"] = [
        {"clause": c.key, "citation": c.citation, "text": c.notice}
        for c in out.elsewhere
        if c.notice and c.home == "report"
    ]
    made["statements"] = [{"clause": c.key, "citation": c.citation, "text": c.states} for c in out.states]
    made["described"] = [_told(d) for d in out.described]
    made["cells"] = [_cell(c) for c in out.cells]
    made["gaps"] = [
        {
            "place": x.place,
            "label": x.label,
            "part": x.part,
            "duty": x.duty,
            "says": x.says,
            "why": x.why,
            "clauses": list(x.clauses),
            "unverified": x.unverified,
            "asks": x.asks,
        }
        for x in out.gaps
    ]
    made["tour"] = {"stops": list(out.tour.stops), "seconds": out.tour.seconds}
    made["house"] = {
        "rooms": [
            {"name": r.key, "level": r.level, "place": r.place_id, "counts": dict(r.counts)} for r in out.house.rooms
        ],
        "sides": [s.key for s in out.house.sides],
        "facing": out.house.facing,
        "strays": sorted(set(out.house.strays)),
        "absent": sorted(out.house.absent),
        "absent_places": sorted(out.house.absent_places),
    }
    return made


def _told(d: Described) -> dict[str, Any]:
    return {
        "clauses": list(d.clauses),
        "about": d.about,
        "system": d.system,
        "said": list(d.said),
        "fact": d.fact,
        "place": d.place,
        "evidence": list(d.evidence),
    }


def _clause(found: Sequence[Cell]) -> dict[str, Any]:
    c = found[0].clause
    state = clause_state(found)
    telling = [x for x in found if x.state == state]
    shown = {str(sorted(e.items())): e for x in telling for e in x.evidence}
    evidence: list[Evidence] = [shown[k] for k in sorted(shown)][:SHOWN]
    return {
        "id": c.key,
        "standard": c.standard,
        "state": state,
        "evidence": evidence,
        "why": _why(state, telling, found),
        "about": c.about,
        "duty": c.duty,
        "system": c.system,
        "citation": "" if c.unverified else c.citation,  # a memory clause is never cited to a client
        "unverified": c.unverified,
        "permits": sorted({x.permits for x in telling if x.permits}),
        "done": sum(x.state == "done" for x in found),
        "of": sum(x.state != "not_present" for x in found),
    }


def _why(state: str, telling: Sequence[Cell], found: Sequence[Cell]) -> str:
    if state == "done":
        return ""
    whys = list(dict.fromkeys(x.why for x in telling if x.why))
    if len(found) == 1:
        return " ".join(whys)
    where = ", ".join(dict.fromkeys(x.spot.label for x in telling if x.spot.kind != "house"))
    return f"{where[:1].upper()}{where[1:]}: {' '.join(whys)}" if where else " ".join(whys)


def _cell(c: Cell) -> dict[str, Any]:
    return {
        "clause": c.clause.key,
        "place": c.spot.key,
        "parts": list(c.parts),
        "state": c.state,
        "evidence": list(c.evidence),
        "why": c.why,
        "permits": c.permits,
        "seen": c.seen,
        "of": c.of,
    }
