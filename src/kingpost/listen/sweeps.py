"""What the remarks of a visit show to have been looked at: which part, where, in what way, how many at once.

Reads remarks as `hear` left them; changes none. Looking is taken from words only where something is told of the part:
a thing to be done later, a tip, another house or a question shows nothing.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from kingpost.trade.model import Place, Trade
from kingpost.trade.standards import Standards
from kingpost.visit.record import Remark

from . import places
from .patterns import Hit, Index, longest
from .words import norm

TELLS = ("finding", "reading", "information", "as_found", "safety", "limitation")
UNCLEAR = "unclear"  # how `hear` begins the reason of a remark that it could not make out
TALK, SHORT = "not about the house", 4  # what `hear` takes for talk; so short, it may be a look all the same
NEAR = 6  # words between "all the" and the part it speaks of
FIRST = 4  # words within which a denial opens a statement: "and there is no sump"
CARRY_S = 8.0  # a remark that names no part still speaks of the last one for so long
NUMBERS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10}
SPLIT = re.compile(r"[^\s]+")
STOPS = re.compile(r"[.!?;:]")


@dataclass(frozen=True, slots=True)
class Look:
    """One thing that a remark shows to have been looked at.

    component  id of a component, "part:ID" for a part with words of its own, "" for the place as such
    place      as the report names it; `place_id` a place of the trade data
    ways       ids of wordings that the remark holds
    every      told of all of its kind; `extent` says how far: here, level, house, or "" where it was not said
    count      how many were told of
    """

    component: str
    place: str
    place_id: str
    remark: str
    ways: frozenset[str] = frozenset()
    every: bool = False
    extent: str = ""
    count: int = 1


@dataclass
class Swept:
    """Everything that the remarks show, and what they deny."""

    looks: list[Look] = field(default_factory=list)
    rests: list[Look] = field(default_factory=list)  # "everything else in here is fine"
    absent: list[Look] = field(default_factory=list)  # "there is no fireplace"
    facing: str = ""  # the side of the compass that the front looks to


@dataclass(frozen=True)
class Indexes:
    """The patterns of one set of trade data."""

    parts: Index[str]
    ways: Index[str]
    sweeps: Index[str]
    rooms: Index[str]
    here: dict[str, Index[str]]  # by place or level: what names a part only there


_BUILT: dict[tuple[int, int], tuple[Trade, Standards, Indexes]] = {}


def indexes(trade: Trade, standards: Standards) -> Indexes:
    """All ways of naming parts, of showing what was done, and of telling many things at once; kept."""
    kept = _BUILT.get((id(trade), id(standards)))
    if kept is not None:
        return kept[2]
    made = Indexes(Index(), Index(), Index(), places.index(trade), {})
    for c in trade.components.values():
        made.parts.add(c.id, c.said)
    for p in standards.parts.values():
        made.parts.add(f"part:{p.id}", p.said)
        for place, patterns in p.here.items():
            made.here.setdefault(place, Index()).add(f"part:{p.id}", patterns)
    for w in standards.wordings.values():
        made.ways.add(w.id, w.said)
    for s in standards.sweeps.values():
        made.sweeps.add(s.id, s.said)
    _BUILT[id(trade), id(standards)] = (trade, standards, made)
    return made


@lru_cache(maxsize=4096)
def _bare(text: str) -> str:
    return " ".join(text.lower().replace(",", " ").split())


_PLACED: dict[int, tuple[Trade, dict[str, Place | None]]] = {}


def place_of(label: str, trade: Trade, rooms: Index[str]) -> Place | None:
    """The place that a label of a remark names: "exterior, north side", "northeast bedroom two".

    A label is a place's own name, with the name of what it lies in before it and a telling word around it.
    """
    if not label:
        return None
    kept = _PLACED.setdefault(id(trade), (trade, {}))[1]  # a visit asks thousands of times for a few dozen labels
    if label not in kept:
        if len(kept) >= 4096:
            kept.clear()
        kept[label] = _place_of(label, trade, rooms)
    return kept[label]


def _place_of(label: str, trade: Trade, rooms: Index[str]) -> Place | None:
    bare = _bare(label)
    exact = [p for p in trade.places.values() if bare in (_bare(p.name), _bare(places.label(p, trade)))]
    if exact:
        return exact[0]
    for piece in (_bare(label.rpartition(", ")[2]), bare):
        named = [p for p in trade.places.values() if f" {_bare(p.name)} " in f" {piece} "]
        best = max(named, key=lambda p: (len(p.name), p.id), default=None)
        least = len(best.name.split()) if best else 0
        told = longest(rooms.find([norm(w) for w in piece.split()]))
        if more := [h for h in told if h.end - h.start > least]:  # "hall bathroom" is a bath, not the hall
            return trade.places[more[-1].key]
        if best:
            return best
    return None


def sweep(remarks: Sequence[Remark], trade: Trade, standards: Standards) -> Swept:
    """What the remarks show. The order of walks does not matter; within a walk remarks stand in order."""
    found, index = Swept(), indexes(trade, standards)
    last: dict[str, tuple[Remark, tuple[Look, ...]]] = {}
    for remark in remarks:
        words = [norm(w) for w in SPLIT.findall(remark.text) if norm(w)]
        _facing(words, {h.key: h for h in index.sweeps.find(words)}, remark.place, found)
        told = remark.use in TELLS
        if not told and not _doubtful(remark, words):
            continue
        parts = _one(remark, told, trade, index, found, last.get(remark.source))
        if parts:
            last[remark.source] = (remark, parts)
    return found


def _doubtful(remark: Remark, words: Sequence[str]) -> bool:
    """A remark that was not made out, or is too short to be told from talk: "Thermostat works." shows by its words."""
    if remark.use != "set_aside":
        return False
    return remark.why_set_aside.startswith(UNCLEAR) or (remark.why_set_aside == TALK and len(words) <= SHORT)


def _one(
    remark: Remark,
    told: bool,
    trade: Trade,
    index: Indexes,
    found: Swept,
    before: tuple[Remark, tuple[Look, ...]] | None,
) -> tuple[Look, ...]:
    """Puts what one remark shows into `found`; gives what it showed of parts."""
    text = [w for w in SPLIT.findall(remark.text.replace("-", " ")) if norm(w)]
    words = [norm(w) for w in text]
    here = place_of(remark.place, trade, index.rooms)
    at = (remark.place, here.id if here else "", remark.id)
    close = before is not None and remark.start - before[0].end <= CARRY_S and before[0].place == remark.place
    carried = before[1] if before and close else ()
    going_on = before is not None and close and not STOPS.search(before[0].text[-1:])  # `hear` cut a sentence in two
    made: list[Look] = []
    named_only: list[Look] = []  # shows nothing yet: "Outlet's a GFCI," and then "tripped it"
    pieces = [words[a:b] for a, b in _statements(text)]
    named = [_met(longest([*index.parts.find(p), *_here(p, here, index)]), here, trade) for p in pieces]
    for k, piece in enumerate(pieces):
        parts, marks = named[k], {h.key: h for h in index.sweeps.find(piece)}
        tail = itertools.takewhile(lambda j: not named[j], range(k + 1, len(pieces)))
        ways = frozenset(h.key for j in (k, *tail) for h in index.ways.find(pieces[j]))
        if "postponed" in marks or ("later" in marks and remark.use != "finding"):
            continue
        if "rest" in marks:
            found.rests.append(Look("", *at, ways, True, _extent(marks)))
        denied = _denied(piece, parts, marks, remark.use)
        for h in parts:
            if h.key in denied:
                found.absent.append(Look(h.key, *at))
            elif told or ways or "state" in marks:
                every = _every(h, marks)
                made.append(Look(h.key, *at, ways, every, _extent(marks) if every else "", _count(piece, h)))
            else:
                named_only.append(Look(h.key, *at, count=_count(piece, h)))
        if k == 0 and ways and (not parts or going_on):
            for old in carried:
                count = 0 if old.ways else old.count
                made.append(Look(old.component, *at, ways, old.every, old.extent, count))
    found.looks += made
    if told and remark.use != "limitation":
        found.looks.append(Look("", *at, frozenset(h.key for h in index.ways.find(words))))
    return tuple(made or named_only)


def _here(words: Sequence[str], here: Place | None, index: Indexes) -> list[Hit[str]]:
    """What names a part only where the speaker is: "the door", said in the garage."""
    if here is None:
        return []
    keys = dict.fromkeys((here.id, here.id.split("_")[0], here.level))
    return [h for k in keys if k in index.here for h in index.here[k].find(words)]


def _met(hits: list[Hit[str]], here: Place | None, trade: Trade) -> list[Hit[str]]:
    """Of several things of one kind those that are met where the speaker is: treads indoors are no deck's."""
    if here is None:
        return hits

    def near(key: str) -> bool:
        usual = trade.components[key].places if key in trade.components else ()
        levels = {trade.places[p].level for p in usual}
        return not levels or here.level in levels or (here.level in places.FLOORS and bool(levels & set(places.FLOORS)))

    kinds = {h.key.split("_")[-1] for h in hits if near(h.key)}  # stairs of the deck, stairs of the house
    return [h for h in hits if near(h.key) or h.key.split("_")[-1] not in kinds]


def _statements(text: Sequence[str]) -> list[tuple[int, int]]:
    """Cuts a remark at its full stops, so that "no sump. Water heater is gas" denies the sump alone."""
    cuts = [0, *(k + 1 for k, w in enumerate(text) if STOPS.search(w[-1:])), len(text)]
    return [(a, b) for a, b in itertools.pairwise(cuts) if a < b]


def _every(part: Hit[str], marks: Mapping[str, Hit[str]]) -> bool:
    hit = marks.get("all")
    return hit is not None and (0 <= part.start - hit.end <= NEAR or hit.start <= part.end <= hit.start + NEAR)


def _extent(marks: Mapping[str, Hit[str]]) -> str:
    return next((e for e in ("house", "level", "here") if e in marks), "")


def _count(words: Sequence[str], part: Hit[str]) -> int:
    """How many are told of: "three windows", "both sinks", else one."""
    for word in words[max(0, part.start - 3) : part.start]:
        if word == "both":
            return 2
        if word in NUMBERS:
            return NUMBERS[word]
        if word.isdigit() and 1 < int(word) <= 20:
            return int(word)
    return 1


def _denied(words: Sequence[str], parts: Sequence[Hit[str]], marks: Mapping[str, Hit[str]], use: str) -> frozenset[str]:
    """Parts that a statement denies: "there is no sump", said near its beginning and right before the part."""
    none = marks.get("none")
    if none is None or use in ("finding", "limitation"):
        return frozenset()
    bare = words[none.start : none.end] == ["no"]
    out = set()
    for h in parts:
        gap = h.start - none.end
        if 0 <= gap <= 1 and (not bare or none.start <= FIRST) and h.end >= len(words) - FIRST:
            out.add(h.key)
    return frozenset(out)


def _facing(words: Sequence[str], marks: Mapping[str, Hit[str]], place: str, found: Swept) -> None:
    """ "The front faces south", or "faces south" said at the front."""
    hit = marks.get("faces")
    if hit is None or found.facing or not ("front" in words or place.endswith("front")):
        return
    after = [w for w in words[hit.end : hit.end + 3] if w in ("north", "south", "east", "west")]
    found.facing = after[0] if after else ""
