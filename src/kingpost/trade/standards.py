"""Standards of practice as data: laws cut into single duties, each with a home in the house or outside it.

A clause's home says where its duty is met: `house` (something to look at), `agreed` (only if the client asked for it),
`exempts` (a lawful ground for leaving something out), `report`, `agreement`, `practice` (not about the house).
A firm lays its own clauses over ours with the same files in its trade folder; see docs/standards.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, ClassVar

from .layers import Layers
from .load import trade as load_trade
from .model import LEVELS, Trade
from .reading import TradeError

HOMES = ("house", "agreed", "exempts", "report", "agreement", "practice")
DUTIES = (
    *("inspect", "describe", "report_condition", "report_deficiency", "operate", "measure", "notify", "not_required"),
    "second_pass",  # no law's word: a firm may ask that every room is gone through twice
)
OTHER_SYSTEMS = ("report", "general", "safety")  # systems of the laws that are no system of ours
NEEDS = (
    *("fabric", "habitable", "window", "receptacle", "wet_receptacle", "gfci", "faucet", "exhaust"),
    *("exterior_door", "interior_door", "smoke_alarm", "co_alarm", "light", "switch"),
)
_FOLDER = "standards"


@dataclass(frozen=True, slots=True)
class Standard:
    """One law, or a firm's own list."""

    id: str
    title: str
    jurisdiction: str = ""  # us-nc; empty for a firm's own
    citation: str = ""
    in_force: str = ""
    source_note: str = ""
    missing: tuple[str, ...] = ()
    adds: bool = False  # a firm's list that lies over whatever law applies
    sample: str = "room"  # what a representative number is counted as, where a clause asks for one
    sample_note: str = ""
    sample_basis: str = "common_practice"
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "sample": ("room", "level", "house"),
        "sample_basis": ("text", "common_practice", "memory"),
    }


@dataclass(frozen=True, slots=True)
class Clause:
    """One duty of one standard, in our own words."""

    key: str
    standard: str
    system: str
    about: str
    duty: str
    says: str
    home: str
    basis: str
    citation: str = ""
    seen: str = "none"  # official, register, mirror, secondary, none
    older_text: bool = False
    parts: tuple[str, ...] = ()
    all_parts: bool = False  # each part is looked at by itself; else one of them will do
    spread: Mapping[str, Any] = field(
        default_factory=dict
    )  # of all_parts: part -> room, side or level, where not `per`
    places: tuple[str, ...] = ()
    per: str = "house"
    also: tuple[str, ...] = ()  # levels at which the law wants it shown beside: outdoors
    needs: str = ""  # only rooms and sides that have it
    amount: str = "some"
    counts: str = ""  # what `every` counts
    words: str = ""  # a wording without which the duty is not shown to be done
    fact: str = ""  # key of [house] that states it
    quantities: tuple[str, ...] = ()
    when: str = ""  # falls due only when this shows; its absence is no gap
    only_if: str = ""  # the law's own condition
    instead_of: str = ""  # falls due only when that clause is not done
    reason: str = ""
    measure: Mapping[str, Any] = field(default_factory=dict)
    notice: str = ""  # words that the law wants printed as they are
    states: str = ""  # what the law wants the report to state, in our own words
    states_with: tuple[str, ...] = ()  # conditions of which one must be found; always where there is none
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "home": HOMES,
        "duty": DUTIES,
        "basis": ("text", "memory", "firm"),
        "seen": ("official", "register", "mirror", "secondary", "none"),
        "per": ("house", "room", "side", "level"),
        "amount": ("some", "sample", "every"),
        "needs": ("", *NEEDS),
    }

    @property
    def id(self) -> str:
        """The key: stable, and made of the law's own outline."""
        return self.key

    @property
    def unverified(self) -> bool:
        """Written from memory: shown to the inspector as such, never cited to a client."""
        return self.basis == "memory"


@dataclass(frozen=True, slots=True)
class Part:
    """A part as the laws name it: a group of our components."""

    id: str
    name: str
    components: tuple[str, ...]
    said: tuple[str, ...] = ()
    optional: bool = False
    found: str = ""  # inside, outside or a place: what is named elsewhere by the same word is another thing
    stands_on: tuple[str, ...] = ()  # components without any of which it is not there; the first of all unless said
    floors: int = 0  # no question any more where the house has rooms on so many floors
    there_with: tuple[str, ...] = ()  # nor where it has one of these places
    here: Mapping[str, Any] = field(default_factory=dict)  # place or level -> patterns that mean it there: "the vents"


@dataclass(frozen=True, slots=True)
class RoomKind:
    """What a kind of room usually has; `id` is a place."""

    id: str
    has: tuple[str, ...]
    usual: Mapping[str, Any] = field(default_factory=dict)  # how many it usually has of what is counted: { gfci = 1 }
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"has": NEEDS}


@dataclass(frozen=True, slots=True)
class Wording:
    """Words by which a duty shows as done, or a kind as told; and readings that cannot be had without doing it."""

    id: str
    said: tuple[str, ...]
    quantities: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reason:
    """A lawful ground for leaving something out."""

    id: str
    name: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Absence:
    """A house fact that shows parts or places to be absent."""

    id: str
    fact: str
    said: tuple[str, ...]
    unless: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """Seconds from one level to the next ("main-upper"), to a room from its level, or round a corner outside."""

    id: str
    seconds: float


@dataclass(frozen=True, slots=True)
class Sweep:
    """How many things are told in one breath, or that nothing was done yet."""

    id: str
    said: tuple[str, ...]
    covers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """What one jurisdiction says to a question on which they differ."""

    jurisdiction: str
    value: Any
    says: str
    citation: str
    basis: str
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"basis": ("text", "memory")}


@dataclass(frozen=True, slots=True)
class Switch:
    """One question on which jurisdictions differ."""

    id: str
    question: str
    answers: tuple[Answer, ...] = ()


@dataclass(frozen=True, slots=True)
class Standards:
    """All standards with what it takes to count them, cross-checked."""

    laws: dict[str, Standard]
    clauses: dict[str, Clause]
    parts: dict[str, Part]
    rooms: dict[str, RoomKind]
    wordings: dict[str, Wording]
    reasons: dict[str, Reason]
    absences: dict[str, Absence]
    ways: dict[str, Way]
    sweeps: dict[str, Sweep]
    switches: dict[str, Switch]

    def of(self, standard: str) -> list[Clause]:
        """The clauses of one standard, in the order of its file."""
        return [c for c in self.clauses.values() if c.standard == standard]

    def chosen(self, asked: Iterable[str], jurisdiction: str | None) -> list[Standard]:
        """The standards that apply: those asked for, else that of the jurisdiction; a firm's own lie over them.

        `asked` may name a standard by its id or by its jurisdiction ("us-nc").
        """
        by_place = {s.jurisdiction: s for s in self.laws.values() if s.jurisdiction}
        named = [self.laws.get(a) or by_place.get(a.lower()) for a in asked]
        first = [s for s in named if s is not None]
        if not first and jurisdiction and (one := by_place.get(jurisdiction.lower())):
            first = [one]
        return list(dict.fromkeys([*first, *(s for s in self.laws.values() if s.adds)]))

    def unknown(self, asked: Iterable[str]) -> list[str]:
        """Those asked for that we do not hold."""
        places = {s.jurisdiction for s in self.laws.values()}
        return [a for a in asked if a not in self.laws and a.lower() not in places]

    def answer(self, switch: str, jurisdiction: str | None) -> Answer | None:
        """What a jurisdiction says to one question; None where nothing was read."""
        one = self.switches.get(switch)
        here = (jurisdiction or "").lower()
        return next((a for a in one.answers if a.jurisdiction == here), None) if one else None

    def components(self, parts: Iterable[str]) -> frozenset[str]:
        """All components of some parts, and each part as "part:ID" for what is named by words of its own."""
        return frozenset(c for p in parts for c in (*self.parts[p].components, f"part:{p}"))


def load_standards(*over: Path, trade: Trade | None = None) -> Standards:
    """Our standards with the given folders laid over them. Raises TradeError with every fault of every file."""
    known, layers = trade or load_trade(*over), Layers(over)

    def laid(name: str, head: str, cls: type[Any], inner: dict[str, type] | None = None) -> dict[str, Any]:
        return layers.laid(f"{_FOLDER}/{name}.toml", head, cls, inner)

    made = Standards(
        laws=laid("laws", "standard", Standard),
        clauses=laid("clauses/*", "clause", Clause),
        parts=laid("parts", "part", Part),
        rooms=laid("rooms", "room_kind", RoomKind),
        wordings=laid("wordings", "wording", Wording),
        reasons=laid("reasons", "reason", Reason),
        absences=laid("absences", "absence", Absence),
        ways=laid("ways", "way", Way),
        sweeps=laid("sweeps", "sweep", Sweep),
        switches=laid("differences", "switch", Switch, {"answer": Answer}),
    )
    _cross(made, known, layers)
    if layers.faults:
        raise TradeError(layers.faults)
    return made


def _cross(made: Standards, trade: Trade, layers: Layers) -> None:
    need = layers.need
    for part in made.parts.values():
        need("part", part.id, "component", part.components, trade.components)
        need("part", part.id, "there_with", part.there_with, trade.places)
        need("part", part.id, "stands_on", part.stands_on, part.components)
        need("part", part.id, "found", [part.found], ["inside", "outside", *trade.places])
    for room in made.rooms.values():
        need("room_kind", room.id, "id", [room.id], trade.places)
        need("room_kind", room.id, "usual", room.usual, NEEDS)
    for wording in made.wordings.values():
        need("wording", wording.id, "quantity", wording.quantities, trade.quantities)
    for absence in made.absences.values():
        need("absence", absence.id, "part", absence.parts, made.parts)
        need("absence", absence.id, "place", absence.places, trade.places)
    for sweep in made.sweeps.values():
        need("sweep", sweep.id, "part", sweep.covers, made.parts)
    for c in made.clauses.values():
        _cross_clause(c, made, trade, layers)


def _cross_clause(c: Clause, made: Standards, trade: Trade, layers: Layers) -> None:
    for key, ids, among in (
        ("standard", [c.standard], made.laws),
        ("system", [c.system], [*trade.systems, *OTHER_SYSTEMS]),
        ("part", c.parts, made.parts),
        ("place", c.places, trade.places),
        ("spread", c.spread, c.parts if c.all_parts else ()),
        ("spread", [str(per) for per in c.spread.values()], Clause.LIMITS["per"]),
        ("also", c.also, LEVELS),
        ("words", [c.words], made.wordings),
        ("reason", [c.reason], made.reasons),
        ("quantity", c.quantities, trade.quantities),
        ("instead_of", [c.instead_of], made.clauses),
        ("states_with", c.states_with, trade.conditions),
    ):
        layers.need("clause", c.key, key, ids, among)
    for problem, mend in homeless(c):
        layers.fault("clause", c.key, problem, mend)


def homeless(c: Clause) -> list[tuple[str, str]]:
    """What keeps a clause from having a home, each with its mend; empty where all is well."""
    out = []
    if (c.duty == "not_required") != (c.home == "exempts"):
        out.append(("is not required but has another home", 'write home = "exempts" for duty = "not_required" alone'))
    if c.home == "exempts" and not c.reason:
        out.append(("exempts without a reason", "add reason = one of standards/reasons.toml"))
    if c.home in ("house", "agreed") and not (c.parts or c.places) and c.duty != "second_pass":
        out.append(("is about the house but names no part and no place", "add parts = [...] or places = [...]"))
    if c.home in ("report", "agreement", "practice") and (c.parts or c.places):
        out.append(("is not about the house but names parts or places", 'write home = "house", or take them out'))
    if c.notice and c.unverified:
        out.append(("prints a notice from memory", "take the notice out, or read it"))
    if c.states and c.unverified:
        out.append(("states something from memory", "take states out, or read the clause"))
    if c.basis != "memory" and c.basis != "firm" and not c.citation:
        out.append(("was read but cites nothing", "add citation"))
    return out


@lru_cache(maxsize=8)
def standards(*over: Path) -> Standards:
    """`load_standards`, kept: the data does not change while a program runs."""
    return load_standards(*over)
