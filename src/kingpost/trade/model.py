"""The types of the trade data. Each class is the schema of one kind of TOML entry."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

STANDINGS = ("deficiency", "recommendation", "information")
WHENS = ("before_moving_in", "this_season", "this_year", "keep_an_eye_on")
STAKES = ("people", "structure", "water", "equipment", "comfort")
BASES = ("published", "common_practice", "memory")
LEVELS = ("roof", "attic", "upper", "main", "lower", "underfloor", "garage", "grounds", "house")


@dataclass(frozen=True, slots=True)
class System:
    """One system of the house, as the standards of practice divide it."""

    id: str
    name: str
    order: int  # ridge to ground


@dataclass(frozen=True, slots=True)
class Place:
    """A place that an inspector names or implies: a room, a side, a level."""

    id: str
    name: str  # as the report says it
    level: str
    said: tuple[str, ...]  # patterns, see listen/patterns.py
    kind: str = "room"
    within: str = ""  # the place it is a part of
    holds: tuple[str, ...] = ()  # ids of parts that stand nowhere else: they tell the room
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "level": LEVELS,
        "kind": ("room", "outside", "level", "side", "part"),
    }


@dataclass(frozen=True, slots=True)
class Component:
    """A part of the house that can be in a condition."""

    id: str
    name: str  # singular, as the report says it: "deck ledger"
    system: str
    said: tuple[str, ...]  # how it is named on site, patterns; trade words first
    means: str = ""  # one plain sentence for a reader outside the trade
    places: tuple[str, ...] = ()  # where it is usually met; only a hint
    weak: tuple[str, ...] = ()  # words that mean it only where it is already being talked about


@dataclass(frozen=True, slots=True)
class FaultKind:
    """A family of faults that any component can show; used where no condition fits better."""

    id: str
    name: str
    words: tuple[str, ...]  # patterns
    title: str  # with {component}
    saw: str
    matters: str
    do: str
    standing: str = "deficiency"
    when: str = "this_season"
    at_stake: tuple[str, ...] = ()
    weak: tuple[str, ...] = ()  # words that mean it only together with a component
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "standing": STANDINGS,
        "when": WHENS,
        "at_stake": STAKES,
    }


@dataclass(frozen=True, slots=True)
class Condition:
    """What can be found about a component, how it is said, what it means, who mends it."""

    id: str
    component: str
    fault: str  # the family it belongs to
    title: str  # states the fact in a full sentence, no full stop
    said: tuple[str, ...]  # six or more truly different utterances
    signs: tuple[str, ...]  # patterns that mean it once the component is known
    saw: str
    matters: str
    do: str
    who: tuple[str, ...]  # trades
    standing: str
    when: str
    at_stake: tuple[str, ...]
    also: tuple[str, ...] = ()  # further components it is said of
    unless: tuple[str, ...] = ()  # patterns that rule it out
    checks: tuple[str, ...] = ()  # ids of trade/checks that bear on it
    provisions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    causes: tuple[str, ...] = ()  # effects it may bring about
    caused_by: tuple[str, ...] = ()  # effects that may bring it about
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "standing": STANDINGS,
        "when": WHENS,
        "at_stake": STAKES,
    }


@dataclass(frozen=True, slots=True)
class Effect:
    """A link between causes: what one condition brings about and another suffers from."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class TradePerson:
    """Who mends it."""

    id: str
    name: str  # "an electrician"
    licensed: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """One document cited anywhere, once."""

    id: str
    document: str
    section: str
    edition: str
    basis: str
    read: date | None = None  # published needs a day somebody read it, or `via`
    via: str = ""
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"basis": BASES}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity that is measured, read off or judged by eye, and how it is spoken.

    `said` are words that stand near the number, `weak` those that mean it only where one of its components is being
    talked about ("high", "wide"), `components` what it is measured on (ids or plain words). A quantity without
    components fits anything and stands last in its file.
    """

    id: str
    name: str
    unit: str  # the unit the record keeps
    said: tuple[str, ...] = ()
    weak: tuple[str, ...] = ()
    units: tuple[str, ...] = ()  # in which it may be spoken or written; `unit` always may
    components: tuple[str, ...] = ()
    uncertainty: float | None = None  # one standard uncertainty in `unit` where none is given
    relative: float = 0.0  # and as a share of the value; the larger of the two counts
    low: float | None = None  # outside low to high a slip is likelier than a reading
    high: float | None = None
    basis: str = "common_practice"
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"basis": BASES}


@dataclass(frozen=True, slots=True)
class Act:
    """What a stretch of speech is doing when it does not tell a fault."""

    id: str
    name: str
    strong: tuple[str, ...]
    weak: tuple[str, ...] = ()
    examples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Handling:
    """How one says that something of the house was changed for the visit, or put back."""

    id: str  # "opens" or "closes"
    patterns: tuple[str, ...]
    examples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HandledThing:
    """Something that is switched, opened, run or taken off on a visit; see handled.toml."""

    id: str
    name: str
    said: tuple[str, ...]
    opens: tuple[str, ...]
    closes: tuple[str, ...]
    kin: tuple[str, ...] = ()
    plain: tuple[str, ...] = ()  # states in which it stands on a visit only by the inspector's hand
    verbs: tuple[str, ...] = ()  # deeds that by themselves mean this thing: "tripped it"


@dataclass(frozen=True, slots=True)
class Implied:
    """When a bare number has a unit that trade talk leaves out; see implied.toml."""

    id: str
    unit: str
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    near: tuple[str, ...] = ()
    both: bool = False  # `near` and one of `before` or `after` must hold
    topic: tuple[str, ...] = ()  # one of these words was said not long before
    unless: tuple[str, ...] = ()  # none of these stands within eight
    values: tuple[float, ...] = ()
    low: float = 0.0
    high: float = 1e6
    shape: str = "any"
    cue: bool = False  # told as a reading: "reads", "is at" before it, or it stands alone; the nearest topic decides
    spoken: str = ""  # the unit as it was called, where that leaves open which it is: "pounds", "in"
    reach: int = 0  # words before the number in which the topic is looked for, if not the usual
    quantity: str = ""  # what it is a reading of, where nothing nearer says so
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {"shape": ("any", "fraction", "decimal", "part")}


@dataclass(frozen=True, slots=True)
class LimitWords:
    """How one kind of limit is told; see limits.toml."""

    id: str
    patterns: tuple[str, ...]
    near: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StandingWords:
    """Words by which the speaker gives a finding its standing, time or stakes."""

    id: str
    patterns: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Trade:
    """All trade data, cross-checked."""

    systems: dict[str, System]
    places: dict[str, Place]
    components: dict[str, Component]
    fault_kinds: dict[str, FaultKind]
    conditions: dict[str, Condition]
    effects: dict[str, Effect]
    people: dict[str, TradePerson]
    sources: dict[str, Source]
    quantities: dict[str, Quantity] = field(default_factory=dict)
    acts: dict[str, Act] = field(default_factory=dict)
    handling: dict[str, Handling] = field(default_factory=dict)
    handled: dict[str, HandledThing] = field(default_factory=dict)
    standing_words: dict[str, StandingWords] = field(default_factory=dict)
    implied: dict[str, Implied] = field(default_factory=dict)
    limit_words: dict[str, LimitWords] = field(default_factory=dict)
