"""What the inspector owes besides coverage, as data: putting back, limits, staying out, what a house of an age hides,
and what a report must not say. Files of `data/duty/`; a firm lays its own over them with the same names.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, ClassVar

from .layers import Layers
from .load import trade as load_trade
from .model import LEVELS, Trade
from .reading import TradeError
from .standards import Standards
from .standards import standards as load_standards

FOLDER = "duty"


@dataclass(frozen=True, slots=True)
class Care:
    """What a changed thing can do while it stays changed, and how it is put back. `id` is a handled thing."""

    id: str
    risk: str
    back: str
    due_min: float | None = None  # minutes after which it is asked for
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"risk": ("water", "heat", "power", "live", "way")}


@dataclass(frozen=True, slots=True)
class Implied:
    """What a test stops besides what was touched, and how it shows that it runs again."""

    id: str
    thing: str
    says: str
    said: tuple[str, ...]
    named: tuple[str, ...] = ()  # words that show the house to have one; empty where every house has
    due_min: float | None = None


@dataclass(frozen=True, slots=True)
class Procedure:
    """A test that opens more than it touches."""

    id: str
    name: str
    things: tuple[str, ...]
    said: tuple[str, ...] = ()  # words by which the same test is told of another thing ("GFCI at the sink, tripped it")
    implieds: tuple[Implied, ...] = ()


@dataclass(frozen=True, slots=True)
class Lift:
    """How a limit is told to a client: why, what would make it visible, who should look then."""

    id: str
    reason: str
    because: str
    shows: str
    who: tuple[str, ...]
    levels: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()  # only where it is about one of these components
    said: tuple[str, ...] = ()
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"levels": LEVELS}


@dataclass(frozen=True, slots=True)
class Stay:
    """One reason to stay out: a number that a fact or a reading is held against, or words."""

    id: str
    says: str
    limit: str
    reason: str
    source: str
    quantity: str = ""
    fact: str = ""
    compare: str = ""
    value: float | None = None
    unit: str = ""
    said: tuple[str, ...] = ()
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"compare": ("", "<", "<=", ">", ">=")}


@dataclass(frozen=True, slots=True)
class Card:
    """A place that can hurt: its reasons to stay out, what to know first, and the watch kept from outside."""

    id: str
    name: str
    levels: tuple[str, ...]
    minutes: float
    out: str
    asks: tuple[str, ...]
    stays: tuple[Stay, ...] = ()
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"levels": LEVELS}


@dataclass(frozen=True, slots=True)
class LawNumber:
    """How the laws name what we measure."""

    id: str
    quantities: tuple[str, ...]
    take: str = "value"
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"take": ("value", "shorter", "longer")}


@dataclass(frozen=True, slots=True)
class WatchFor:
    """Something rare and costly that houses of some years, regions and kinds may have."""

    id: str
    name: str
    places: tuple[str, ...]
    ask: str
    why: str
    components: tuple[str, ...]
    conditions: tuple[str, ...]
    settled: tuple[str, ...]
    sources: tuple[str, ...]
    since: int | None = None
    until: int | None = None
    states: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Imminent:
    """A hazard that cannot wait for the report."""

    id: str
    name: str
    conditions: tuple[str, ...]
    tell: str
    to: tuple[str, ...]
    said: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()  # words that take it back
    about: tuple[str, ...] = ()  # words by which somebody is told of it


@dataclass(frozen=True, slots=True)
class Telling:
    """Words by which the inspector says that somebody was told, and the way it was done."""

    id: str
    how: str
    said: tuple[str, ...]
    unless: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Listener:
    """Somebody who can be told."""

    id: str
    name: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Vague:
    """Words that leave the reader without a fact, and the fact that would cure them."""

    id: str
    said: tuple[str, ...]
    ask: str
    cured: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Overreach:
    """Something that most laws do not ask for, and that is held against whoever says it."""

    id: str
    name: str
    reasons: tuple[str, ...]
    said: tuple[str, ...]
    why: str
    about: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    switch: str = ""
    allowed: tuple[str, ...] = ()
    money: bool = False  # a sum of money says it too


@dataclass(frozen=True, slots=True)
class Claim:
    """One of several things of a topic that cannot both be true of one house."""

    id: str
    topic: str
    value: str
    said: tuple[str, ...]
    unless: tuple[str, ...] = ()
    levels: tuple[str, ...] = ()  # only words said there: "from the hatch" in the attic
    fact: str = ""  # a key of visit.toml that says it too: foundation, or utilities.water
    fact_said: tuple[str, ...] = ()
    fact_unless: tuple[str, ...] = ()
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"levels": LEVELS}


@dataclass(frozen=True, slots=True)
class Steady:
    """A quantity of which one thing has one value."""

    id: str
    tolerance: float
    components: tuple[str, ...]
    years: str = ""
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"years": ("", "year", "age")}


@dataclass(frozen=True, slots=True)
class Slip:
    """The usual range of some quantities, and the slips that would explain a value outside it."""

    id: str
    quantities: tuple[str, ...]
    turns: tuple[str, ...]
    low: float | None = None
    high: float | None = None
    allowed: tuple[float, ...] = ()
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "turns": ("swap", "celsius", "fahrenheit", "feet", "inches", "tenfold", "tenth")
    }


@dataclass(frozen=True, slots=True)
class Formal:
    """Something that has to stand on the report or in the file."""

    id: str
    need: str
    says: str
    mend: str
    clauses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MatterKind:
    """A kind of thing that preflight names; `blocks` while it is open."""

    id: str
    name: str
    blocks: bool


@dataclass(frozen=True, slots=True)
class Duties:
    """All of it, cross-checked."""

    care: dict[str, Care]
    procedures: dict[str, Procedure]
    lifts: dict[str, Lift]
    cards: dict[str, Card]
    law_numbers: dict[str, LawNumber]
    watch: dict[str, WatchFor]
    imminent: dict[str, Imminent]
    tellings: dict[str, Telling]
    listeners: dict[str, Listener]
    vague: dict[str, Vague]
    overreach: dict[str, Overreach]
    claims: dict[str, Claim]
    steady: dict[str, Steady]
    slips: dict[str, Slip]
    formal: dict[str, Formal]
    kinds: dict[str, MatterKind]


def load_duties(*over: Path, trade: Trade | None = None, standards: Standards | None = None) -> Duties:
    """Our duties with the given folders laid over them. Raises TradeError with every fault of every file."""
    layers = Layers(over)

    def laid(name: str, head: str, cls: type[Any], inner: dict[str, type] | None = None) -> dict[str, Any]:
        return layers.laid(f"{FOLDER}/{name}.toml", head, cls, inner)

    made = Duties(
        care=laid("care", "care", Care),
        procedures=laid("procedures", "procedure", Procedure, {"implied": Implied}),
        lifts=laid("lifts", "lift", Lift),
        cards=laid("safety", "card", Card, {"stay": Stay}),
        law_numbers=laid("law_numbers", "law_number", LawNumber),
        watch=laid("watch", "watch", WatchFor),
        imminent=laid("imminent", "imminent", Imminent),
        tellings=laid("telling", "telling", Telling),
        listeners=laid("listeners", "listener", Listener),
        vague=laid("vague", "vague", Vague),
        overreach=laid("overreach", "overreach", Overreach),
        claims=laid("claims", "claim", Claim),
        steady=laid("steady", "steady", Steady),
        slips=laid("slips", "slip", Slip),
        formal=laid("formal", "formal", Formal),
        kinds=laid("matters", "matter_kind", MatterKind),
    )
    known = trade or load_trade(*over)
    _cross(made, known, standards or load_standards(*over), layers)
    if layers.faults:
        raise TradeError(layers.faults)
    return made


def _cross(made: Duties, trade: Trade, laws: Standards, layers: Layers) -> None:
    need = layers.need
    for care in made.care.values():
        need("care", care.id, "handled thing", [care.id], trade.handled)
    for p in made.procedures.values():
        need("procedure", p.id, "handled thing", [*p.things, *(i.thing for i in p.implieds)], trade.handled)
    for lift in made.lifts.values():
        need("lift", lift.id, "reason", [lift.reason], laws.reasons)
        need("lift", lift.id, "person", lift.who, trade.people)
        need("lift", lift.id, "component", lift.parts, trade.components)
    for card in made.cards.values():
        for stay in card.stays:
            need("card", card.id, "source", [stay.source], trade.sources)
            need("card", card.id, "quantity", [stay.quantity], trade.quantities)
            need("card", card.id, "reason", [stay.reason], laws.reasons)
    for n in made.law_numbers.values():
        need("law_number", n.id, "quantity", n.quantities, trade.quantities)
    for w in made.watch.values():
        need("watch", w.id, "place", w.places, trade.places)
        need("watch", w.id, "component", w.components, trade.components)
        need("watch", w.id, "condition", w.conditions, trade.conditions)
        need("watch", w.id, "source", w.sources, trade.sources)
    for i in made.imminent.values():
        need("imminent", i.id, "condition", i.conditions, trade.conditions)
    for o in made.overreach.values():
        need("overreach", o.id, "reason", o.reasons, laws.reasons)
        need("overreach", o.id, "switch", [o.switch], laws.switches)
    for s in made.steady.values():
        need("steady", s.id, "quantity", [s.id], trade.quantities)
        need("steady", s.id, "component", s.components, trade.components)
    for slip in made.slips.values():
        need("slip", slip.id, "quantity", slip.quantities, trade.quantities)
    for f in made.formal.values():
        need("formal", f.id, "clause", f.clauses, laws.clauses)


@lru_cache(maxsize=8)
def duties(*over: Path) -> Duties:
    """`load_duties`, kept: the data does not change while a program runs."""
    return load_duties(*over)


def counted(made: Duties) -> str:
    """How much of each there is, for whoever checks the data."""
    return ", ".join(f"{len(getattr(made, f.name))} {f.name}" for f in fields(made))
