"""How an inspector moves: where each word of a walk is said.

A place moves the speaker when it opens a statement or follows a word of moving; so do a turn ("back down", "the other
side") and, softly, a part that is met at one place only. A place named in passing ("feeds the garage") moves nobody.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kingpost.trade.model import Place, Trade

from . import lexicon as say
from .patterns import Hit, Index, longest
from .places import FLOORS, NOWHERE, OUTDOORS, Where, area, label
from .stretch import Stretch

OPPOSITE = {"front": "rear", "rear": "front", "left": "right", "right": "left"} | {
    "north": "south",
    "south": "north",
    "east": "west",
    "west": "east",
}
NEAR_SIDE = say.SIDES | say.ORDINALS
BACK_TO = 30  # words within which a place is taken back
COMPASS = ("north", "south", "east", "west")
ALONE = ("in", "front", "rear", "panel", *COMPASS)  # turns that move only where they stand alone: "Back."
SUBJECT = 4  # words within which a part opens its statement
BATHS, MAIN_BATH, MAIN_BEDROOM = "bathroom", "bathroom_primary", "bedroom_primary"


def turns() -> Index[str]:
    """The words of moving that name no place."""
    out: Index[str] = Index()
    for key, patterns in say.TURNS.items():
        out.add(key, patterns, plain=True)
    return out


TURNING = turns()


class Mover:
    """The speaker on the way through one walk."""

    def __init__(self, speech: Stretch, trade: Trade, hits: Sequence[Hit[str]]) -> None:
        self.speech, self.trade = speech, trade
        self.here, self.floor, self.hard = NOWHERE, "", NOWHERE
        self.since = 0  # word at which the speaker came here
        self.seen: list[Where] = []
        self.taken: list[tuple[int, Where]] = []  # what was taken back
        self.moves: dict[int, Where] = {}
        self.local: list[tuple[int, int, Where]] = []
        self.covered = {k for h in hits for k in range(h.start, h.end)}
        self.levels = {trade.places[h.key].level for h in hits}
        self.holding: dict[str, list[Place]] = {}
        for place in trade.places.values():
            for part in place.holds:
                self.holding.setdefault(part, []).append(place)
        self.things = {tuple(s.split()) for c in trade.components.values() for s in c.said}

    # ---- what the words around a name say

    def told_in_passing(self, at: int) -> bool:
        """Whether the name that begins at `at` is only spoken of: under the kitchen, like the attic."""
        norms, k, begin = self.speech.norms, at, self.speech.begin(at)
        while k > begin and (norms[k - 1] in NEAR_SIDE or norms[k - 1] in ("the", "a", "this")):
            k -= 1
        return k > begin and norms[k - 1] in say.PASSING and not (norms[k - 1] == "from" and k - 1 == begin)

    def announced(self, hit: Hit[str]) -> bool:
        """Whether a name opens its statement or follows a word of moving."""
        norms, k = self.speech.norms, hit.start
        if self.told_in_passing(k) or self._put_off(hit) or self._described(hit):
            return False
        while k > 0 and k not in self.speech.starts:
            if norms[k - 1] not in say.GLUE | NEAR_SIDE and k - 1 not in self.covered:
                between = norms[k : hit.start]
                return any(a in say.SELF and set(between[n:]) & say.MOVES for n, a in enumerate(between))
            k -= 1
        inner = [n for n in range(k, hit.start) if n in self.covered]
        return not (inner and {"is", "are"} & set(norms[inner[-1] + 1 : hit.start]))

    def _described(self, hit: Hit[str]) -> bool:
        """Whether a name only tells what the house has: "garage underneath", "the upstairs sticks out"."""
        if self.speech.heads(hit):
            return False
        norms, words = self.speech.norms, tuple(self.speech.norms[hit.start : hit.end])
        after = norms[hit.end] if hit.end < len(norms) else ""
        article = hit.start > 0 and norms[hit.start - 1] == "the"
        return words in say.ALONE or after in say.LIES or (article and bool(set(words) & say.STAIRWARD))

    def _put_off(self, hit: Hit[str]) -> bool:
        """Whether the move is for later: "I'll run up to the attic and come back"."""
        a, b = self.speech.begin(hit.start), self.speech.end(hit.start)
        words = self.speech.norms[a:b]
        return bool(say.WILL & set(words[: hit.start - a])) and bool(say.LATER & set(words))

    def piece_of_a_part(self, hit: Hit[str], parts: Sequence[Hit[str]]) -> bool:
        """Whether a name is a piece of the name of a part that is met here: "bath fan duct", said in the attic."""
        if self.here.place is None or self.speech.heads(hit):
            return False
        for p in parts:
            if p.start <= hit.start and hit.end <= p.end and p.end - p.start > hit.end - hit.start:
                usual = self.trade.components[p.key].places
                if self.here.level == "grounds" or (self.here.place.id in usual and hit.key not in usual):
                    return True
        return False

    def part_is_there(self, hit: Hit[str], parts: Sequence[Hit[str]]) -> bool:
        """ "The panel's in the laundry": the speaker is at the panel."""
        norms, k, begin = self.speech.norms, hit.start, self.speech.begin(hit.start)
        while k > begin and norms[k - 1] in say.BEING:
            k -= 1
        if not set(norms[k : hit.start]) & say.IN_AT or self.trade.places[hit.key].kind == "side":
            return False
        if not ({"is", "are", "was"} & set(norms[k : hit.start]) or norms[k - 1].endswith("s")):
            return False
        for p in parts:
            if p.start <= begin + SUBJECT and p.end == k and not set(range(p.start, p.end)) & self.covered:
                return set(norms[begin : p.start]) <= say.GLUE
        return False

    def taken_back(self, at: int) -> bool:
        """Whether the name replaces the last one: "not the bath, the laundry"."""
        begin = max(self.speech.begin(at), at - 6)
        words = self.speech.norms[begin:at]
        if set(words[-4:]) & say.MEANT:
            return True
        denied = [k for k in range(begin, at) if self.speech.norms[k] == "not"]
        return bool(denied) and bool({denied[-1] + 1, denied[-1] + 2} & self.covered)

    # ---- going

    def go(self, at: int, to: Where, hard: bool = True) -> None:
        """Be somewhere from the word at `at` on."""
        self.here, self.since = to, at
        self.moves[at] = to
        if hard:
            self.hard = to
            self.seen.append(to)

    def where(self, hit: Hit[str]) -> Where:
        """What a name means for somebody who stands here."""
        place = self.trade.places[hit.key]
        words = tuple(self.speech.norms[hit.start : hit.end])
        if place.id in ("upper", "main") and set(words) & say.STAIRWARD:
            place = self.trade.places[self.step(1 if place.id == "upper" else -1)]
        if place.kind == "side" and self.here.level == "roof" and not self._of_house(hit):
            slope = self.trade.places.get("roof_" + place.id.rpartition("_")[2])
            place = slope or self.trade.places["roof"]
        if words == ("closet",) and self.here.place and self.here.place.kind == "room" and not self.speech.heads(hit):
            return self.here  # the closet of this room
        if place.id == BATHS and self.here.place and self.here.place.id == MAIN_BEDROOM and self._its(hit.start):
            place = self.trade.places[MAIN_BATH]
        return self.at(place, hit)

    def _its(self, at: int) -> bool:
        return at > 0 and self.speech.norms[at - 1] in ("its", "own")

    def at(self, place: Place, hit: Hit[str] | None = None) -> Where:
        """A place with its label and level in this house."""
        level = place.level
        if place.kind == "room" and level in FLOORS:
            level = self._floor_of(place)
        elif place.kind == "part" and not place.within and level in FLOORS:
            known = self.here.level not in ("house", "grounds", "roof")
            level = self.here.level if known else ("lower" if "lower" in self.levels else "main")
        name = label(place, self.trade, self.speech.norms, hit, self.speech.starts)
        if self.here.place is place and hit is None:
            return self.here
        if place.id == "panel" and self.here.place not in (None, place) and self.here.level in (*FLOORS, "garage"):
            return Where(place, f"{self.here.label}, {name}", self.here.level)
        if level == "lower" and place.kind == "room":
            name = f"basement, {name.rpartition(', ')[2]}"
        elif place.within == "basement" and place.kind == "room":
            name = name.rpartition(", ")[2]
        return Where(place, name, level)

    def _floor_of(self, place: Place) -> str:
        if self.floor == "lower" and place.id in say.LIVING:
            self.floor = "main"  # nobody cooks in a cellar: the speaker went up without a word
        if self.floor:
            return self.floor
        if place.level == "lower":
            return "lower" if "lower" in self.levels - {"underfloor"} and self._has_lower() else "main"
        return place.level

    def _has_lower(self) -> bool:
        return self.here.level == "lower" or any(w.level == "lower" for w in self.seen) or self.below

    below = False  # whether the walk names a floor below the main one

    def step(self, by: int) -> str:
        """The floor above or below, by its id."""
        now = self.floor or (self.here.level if self.here.level in FLOORS else "")
        if by > 0:
            return "main" if now == "lower" or self.here.level == "underfloor" else "upper"
        if self.here.level == "attic":
            return "upper" if now == "upper" else "main"
        return "basement" if now == "main" and self.below else "main"

    def _of_house(self, hit: Hit[str]) -> bool:
        return bool(set(self.speech.norms[hit.start : hit.end + 4]) & OUTDOORS)

    def side_of_something(self, place: Place, hit: Hit[str]) -> bool:
        """Whether "left side", said indoors, is the side of what is looked at, not of the house."""
        indoors = self.here.place is not None and self.here.level not in ("grounds", "roof", "house")
        return place.kind == "side" and indoors and not self._of_house(hit)

    def _side_of_that(self, place: Place, hit: Hit[str]) -> bool:
        """ "Deck, west side": the side of what was named just before."""
        near = self.since >= self.speech.begin(hit.start) and hit.start - self.since <= 3
        return place.kind == "side" and near and self.here.place is not None and self.here.place.kind == "outside"

    def only_here(self, place: Place, hit: Hit[str]) -> bool:
        """Whether a name that is also the name of a part is only the subject of its statement: "the stairs creak"."""
        if self.here.place is None or self.speech.heads(hit):
            return False
        if set(self.speech.norms[self.speech.begin(hit.start) : hit.start]) & say.SELF:
            return False
        if tuple(self.speech.norms[hit.start : hit.end]) not in self.things and place.id not in (*say.THINGS, "roof"):
            return False
        if place.id in say.THINGS:
            return True
        if place.id == "roof":
            return self.here.level not in ("grounds", "roof", "house")
        out = ("grounds", "roof")
        return place.kind in ("part", "outside") and (place.level in out) != (self.here.level in out)

    def name(self, hit: Hit[str], parts: Sequence[Hit[str]]) -> Where:
        """Meet the name of a place."""
        place, to = self.trade.places[hit.key], self.where(hit)
        if self.side_of_something(place, hit) or self.piece_of_a_part(hit, parts) or self._side_of_that(place, hit):
            return to
        begin = self.speech.begin(hit.start)
        if self.taken_back(hit.start) and self.here.place is not None and hit.start - self.since <= BACK_TO:
            self.taken.append((self.since, self.here))
            self.go(self.since, to)
        elif self.after_the_fault(hit, to):
            return to
        elif (there := self.part_is_there(hit, parts)) or self.announced(hit):
            if not there and self.only_here(place, hit):
                self.local.append((begin, self.speech.end(hit.start), to))
                return to
            self.go(begin if hit.start - begin <= 6 else hit.start, to)
        else:
            return to
        if place.level in FLOORS and (place.kind == "level" or place.within == "basement"):
            self.floor = to.level
        return to

    def after_the_fault(self, hit: Hit[str], to: Where) -> bool:
        """ "That's in the powder room" tells of what was said just before, and moves nobody."""
        norms, begin = self.speech.norms, self.speech.begin(hit.start)
        lead = list(norms[begin : hit.start])
        told = [w for w in lead if w not in ("and", "so", "oh", "the", "a", "this", "too", "also", "up", "out", "down")]
        if begin == 0 or not told or told[0] not in ("thats", "thatd", "those") or not set(told[1:]) <= say.IN_AT:
            return False
        if len(told) < 2:
            return False
        self.local.append((self.speech.begin(begin - 1), self.speech.end(hit.start), to))
        return True

    def turn(self, hit: Hit[str]) -> None:
        """Meet a word of moving that names no place."""
        if not self.announced(hit) or (hit.key in ALONE and not self.speech.heads(hit)):
            return
        places, begin = self.trade.places, self.speech.begin(hit.start)
        if hit.key == "other" or hit.key == "corner":
            to = self._round(hit.key)
            if to:
                self.go(begin, self.at(places[to]))
        elif hit.key in ("front", "rear", *COMPASS):
            outdoors = self.here.level in ("grounds", "roof", "house") or hit.end - hit.start > 1
            if outdoors:
                self.go(begin, self.at(places[f"exterior_{hit.key}"]))
        elif hit.key == "panel":
            self.go(begin, self.at(places["panel"]))
        elif hit.key == "in":
            self.go(begin, self.at(places["interior"]))
        elif hit.key == "ground":
            self.go(begin, self.at(places["exterior"]))
        elif hit.key == "leave":
            self._leave(begin)
        elif self.here.level in ("roof", "grounds") and hit.key == "down":
            self.go(begin, self.at(places["exterior"]))
        elif self.here.level not in ("roof", "grounds", "garage"):
            floor = self.step(1 if hit.key == "up" else -1)
            self.floor = places[floor].level
            self.go(begin, self.at(places[floor]))

    def _round(self, how: str) -> str:
        if self.here.place is None:
            return ""
        head, _, side = self.here.place.id.rpartition("_")
        if head in ("exterior", "roof") and side in OPPOSITE:
            other = f"{head}_{OPPOSITE[side]}" if how == "other" else "exterior"
            return other if other in self.trade.places else ""
        return "exterior" if how == "corner" and self.here.level == "grounds" else ""

    def _leave(self, at: int) -> None:
        """Out of a room one stands on its floor; out of an attic or a crawl space one is where one came from."""
        if self.here.level in ("attic", "underfloor"):
            came = [w for w in self.seen if w.level not in ("attic", "underfloor")]
            out = "exterior" if self.here.level == "underfloor" else "interior"
            self.go(at, came[-1] if came else self.at(self.trade.places[out]))
        elif self.here.place is not None and self.here.place.kind == "room" and self.here.level in FLOORS:
            floor = {"upper": "upper", "lower": "basement"}.get(self.here.level, "interior")
            self.go(at, self.at(self.trade.places[floor]))

    # ---- parts

    def part(self, hit: Hit[str]) -> None:
        """Meet a part: what is met at one place only moves the speaker there, softly, when nothing was said."""
        begin = self.speech.begin(hit.start)
        lead = self.speech.norms[begin : hit.start]
        away = set(lead) & (say.PASSING | {"to", "into", "its", "thats"}) or not set(lead) <= say.GLUE
        at_it = bool(set(lead) & {"at", "by"}) and set(lead) <= say.GLUE
        fresh = self.here.place is not None and self.here.place.kind != "level" and begin <= self.speech.end(self.since)
        if hit.start - begin > SUBJECT or (not at_it and (away or fresh)):
            return
        if "upstairs" in self.speech.norms[hit.end : hit.end + 2]:
            self.floor = "upper"
        usual = self.usual(hit.key)
        level = self.here.place is None or self.here.place.kind == "level"
        if not usual or (begin <= self.since <= hit.start and not level):
            return
        rooms = all(p.kind == "room" for p in usual)
        known = [self.trade.places[p].level for p in self.trade.components[hit.key].places]
        if self._fits(usual, self.here, rooms) or (not rooms and self.here.level in known):
            return
        if self._fits(usual, self.hard, rooms):
            self.go(begin, self.hard, hard=False)
            return
        to = self._room(usual) if rooms else self.likeliest(usual)
        if to is not None:
            self.go(begin, to, hard=False)

    def usual(self, component: str) -> list[Place]:
        """The places that a part tells, as the trade data have it."""
        return self.holding.get(component, [])

    def _fits(self, usual: Sequence[Place], where: Where, rooms: bool) -> bool:
        if where.place is None:
            return False
        if not rooms and where.level in ("main", "upper") and {p.level for p in usual} <= {"lower", "underfloor"}:
            return False
        if not rooms:
            return area(where.level) in {area(p.level) for p in usual} or any(p.level == "house" for p in usual)
        if where.level not in FLOORS:
            return False
        return any(_family(where.place.id) == _family(p.id) for p in usual)

    def _room(self, usual: Sequence[Place]) -> Where | None:
        """The room of a fixture: the one seen on this floor, where there is one; none where it could be several."""
        if self.here.level not in (*FLOORS, "house"):
            return None
        if len({_family(p.id) for p in usual}) > 1:  # a fireplace stands in one room or another
            known = self.here is self.hard and self.here.place is not None and self.here.place.kind == "room"
            return None if known else self.likeliest(usual)
        if self.here.level == "lower" and self.here.place and self.here.place.kind != "room":
            return None
        family = _family(usual[0].id)
        same = [w for w in self.seen if w.place and _family(w.place.id) == family]
        if self.here.place and self.here.place.id == MAIN_BEDROOM and family == BATHS:
            return self.at(self.trade.places[MAIN_BATH])
        near = [w for w in same if w.level == self.here.level] or same
        return near[-1] if len({w.label for w in near}) == 1 else (None if near else self.at(usual[0]))

    def likeliest(self, usual: Sequence[Place]) -> Where:
        """Of the places where a part is met the one that this house is known to have."""
        for where in reversed(self.seen):
            if where.place and any(where.place.id == p.id for p in usual):
                return where
        known = [p for p in usual if p.level in self.levels]
        return self.at((known or list(usual))[0])


def _family(place: str) -> str:
    return place.partition("_")[0] if place.startswith((BATHS, "bedroom")) else place


def track(
    norms: Sequence[str],
    starts: frozenset[int],
    trade: Trade,
    found: Sequence[Hit[str]],
    stops: Sequence[str] = (),
    parts: Sequence[Hit[str]] = (),
) -> tuple[list[Where], list[tuple[Hit[str], Where]]]:
    """For each word the place in which it is said, and every naming of a place with what it names.

    starts  positions where a statement begins
    stops   by word, the punctuation that follows it
    parts   names of parts; without them only what is named moves the speaker
    """
    cut = {k for k, stop in enumerate(stops) if stop[:1] in tuple(".!?")}
    hits = longest(h for h in found if not cut & set(range(h.start, h.end - 1)))
    mover = Mover(Stretch(norms, starts, stops), trade, hits)
    mover.below = any(trade.places[h.key].level == "lower" and trade.places[h.key].kind == "level" for h in hits)
    whole = [h for h in TURNING.find(norms) if not starts & set(range(h.start + 1, h.end))]
    turned = [h for h in longest(whole) if not set(range(h.start, h.end)) & mover.covered]
    mover.covered |= {k for h in turned for k in range(h.start, h.end) if h.end - h.start > 1}
    named: list[tuple[Hit[str], Where]] = []
    events = [(h.start, 0, h) for h in turned] + [(h.start, 1, h) for h in hits]
    names = {k for h in hits for k in range(h.start, h.end) if tuple(norms[h.start : h.end]) not in say.ALONE}
    events += [(h.start, 2, h) for h in parts if h.start not in names]
    for _, kind, hit in sorted(events, key=lambda e: (e[0], e[1], e[2].end, e[2].key)):
        if kind == 0:
            mover.turn(hit)
        elif kind == 1:
            where = mover.name(hit, parts)
            if not mover.piece_of_a_part(hit, parts):
                named.append((hit, where))
        else:
            mover.part(hit)
    here, out = NOWHERE, list[Where]()
    for at in range(len(norms)):
        here = mover.moves.get(at, here)
        out.append(here)
    for since, taken in mover.taken:
        named = [(h, w) for h, w in named if h.start < since or w != taken]
    for a, b, where in mover.local:
        out[a:b] = [replace(where, told=True)] * (b - a)
    return out, named


__all__ = ["track"]
