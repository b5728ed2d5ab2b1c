"""What was switched, opened, tripped, taken off or filled for the visit, and whether it was put back.

The ear (or, without one, word patterns) says where deeds of the speaker are told. There each clause is read for the
thing and for the little words that change it or put it back; what was opened first is closed by its opposite later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, takewhile

from .deeds import Deeds
from .heard import Heard, Spans
from .lexicon import MINE, NOUN_AFTER, NOUN_BEFORE
from .patterns import Hit
from .standing import others, stands, stood, walks

ALONE, BACKED = 0.4, 0.01  # chance by ear that decides alone, and that with words of handling in it
MEANWHILE = frozenset("while when whenever because as since".split())  # what follows tells of something else
NEAR = 25  # words over which a thing that was named is still meant by "it"
FAR = 60  # words over which "it" may close what stands open
SAME = 12  # words within which the same thing told again is one deed
SOON = 7  # words within which "it" means what was only told open
LEADING = frozenset("in on up down out".split())
ARTICLES = frozenset("the a an it this that his her my their these those here there".split())
AFTER_BACK = frozenset("on in off up down to at where over again now together as like the how and so".split())
SWAPS = (("on", "off"), ("open", "shut"), ("open", "closed"), ("up", "down"))
ASIDE = frozenset("of from in at under behind by to over with near for inside against beside".split())
SEEING = frozenset("see check reach read test look get".split())  # "unplugged the fridge to see the outlet"
AFTER_THING = frozenset("off on out".split())  # "the cover's off the panel": what follows is not what was changed
RUNNING = frozenset("ran run running set think started starting pulling pushing".split())  # told of too much to decide
ENDED = frozenset("done finished through empty running".split())
SIDED = frozenset("the on to at from of front rear upper lower far back your my her".split())  # "the left one"
IT = frozenset("it its them theyre that thats both all".split())
PAST = frozenset("took shut threw lit slid cut hit set swung undid".split())
BARE = 3  # words of a clause that names nothing and still puts back
FEEDS = frozenset("ground_fault arc_fault breaker switch power disconnect".split())  # what else comes back with them
ITS = frozenset("its thats theyre".split())
SHORT = 6  # words of a clause in which "it" alone is put back
BACK_WHERE = frozenset("out the in round around".split())
NOT_BACK = frozenset("wouldnt wont doesnt dont didnt cant couldnt not never isnt nobody".split())
LIT = frozenset("furnace burner boiler range oven stove heater pilot fireplace log broiler".split())
FASTENERS = frozenset("screw screws bolt bolts".split())
DEED_CHANCE = 0.05  # chance by ear from which a thing told open counts, if it is also told put back or left
NOT_HIS = frozenset("if when you should would could always never they he she seller owner".split()) | frozenset(
    "dont wont doesnt didnt cant couldnt not".split()
)


@dataclass(frozen=True, slots=True)
class Handled:
    """One thing that was changed. Words of opening and, where it was put back, of closing."""

    things: tuple[str, ...]  # ids of what it may be called
    opened: tuple[int, int]
    closed: tuple[int, int] | None = None
    name: str = ""
    left: bool = False  # the speaker says that it stays changed
    maybe: bool = False  # only told open; counts where it is told put back, or left

    @property
    def thing(self) -> str:
        """What was changed, by its first name."""
        return self.name


@dataclass(frozen=True, slots=True)
class _Clause:
    """A clause that tells a deed: its words, the things named in it, and which way it goes."""

    start: int
    end: int
    things: tuple[str, ...]
    opens: bool
    closes: bool
    sure: bool
    restores: bool
    stays: bool
    maybe: bool = False  # nothing but a thing and a little word: "filter's out"
    by_verb: bool = False  # its things are only those that the deed may mean: "tripped it"
    changed: bool = True  # a word of changing or restoring stands in it, not only one of ending: "done"


def handled(heard: Heard, deeds: Deeds) -> list[Handled]:
    """Everything that was changed in one walk, with its closing where one was said."""
    out: list[Handled] = []
    for clause in _clauses(heard, deeds):
        _follow(clause, heard, deeds, out)
    return [h for h in out if not h.maybe or h.closed or h.left]


def _clauses(heard: Heard, deeds: Deeds) -> list[_Clause]:
    aside = Spans([h for h in heard.acts if h.key in ("tip", "other_house", "hypothetical")])
    hits = Spans(heard.handling)
    found = []
    for a, b in _sentences(heard):
        if heard.speaker and heard.words[a].speaker != heard.speaker:
            continue
        for x, y in _cut(heard, a, b):
            inside = hits.inside(x, y)
            around = heard.norms[a:b]
            own = () if aside.inside(a, b) else stands(heard.norms[x:y], deeds, around)
            if others(heard.norms[x:y]):
                continue
            if own:
                sure, maybe = True, False
            elif heard.sound is None:
                if not inside or aside.inside(a, b) or not any(_is_deed(heard, h) for h in inside):
                    continue
                sure = maybe = False
            else:
                chance = max(heard.act(x, y)["handling"], heard.act(a, b)["handling"])
                his = _his_deed(heard, deeds, x, y) and not aside.inside(a, b)
                sure = his or heard.act(x, y)["handling"] >= ALONE
                maybe = not sure and not (inside and (chance >= BACKED or any(h.key == "closes" for h in inside)))
            clause = _read(heard, deeds, x, y, inside, sure, maybe)
            if own and clause is not None and not clause.restores:
                clause = replace(clause, things=own, opens=True, closes=False)
            elif own:
                clause = clause or _Clause(x, y, own, True, False, True, False, False)
            if maybe and clause is not None and not _may(heard, clause, deeds):
                continue
            if clause is not None:
                found.append(clause)
    return found


def _sentences(heard: Heard) -> list[tuple[int, int]]:
    return list(pairwise(sorted({*heard.plan.hard, len(heard.words)}))) if heard.plan.punctuated else heard.statements()


def _cut(heard: Heard, a: int, b: int) -> list[tuple[int, int]]:
    """The clauses of a statement: cut at stops, before "and", and where another deed begins."""
    norms, cuts = heard.norms, [a]
    for k in range(a + 1, b):
        soft = not heard.plan.punctuated and k in heard.plan.cuts and k - cuts[-1] >= 2
        if heard.words[k - 1].stop or norms[k] == "and" or soft:
            cuts.append(k)
    edges = [*cuts, b]
    out: list[tuple[int, int]] = []
    for x, y in pairwise(edges):
        if out and (y - x < 2 or out[-1][1] - out[-1][0] < 2):  # a word alone says nothing by itself
            out[-1] = (out[-1][0], y)
        else:
            out.append((x, y))
    return out


def _may(heard: Heard, clause: _Clause, deeds: Deeds) -> bool:
    """Whether a clause of nothing but a thing and a little word is worth keeping for what may come."""
    if clause.stays:
        return heard.act(clause.start, clause.end)["handling"] >= DEED_CHANCE
    norms = heard.norms[clause.start : clause.end]
    if NOT_HIS & set(norms):
        return False
    if not clause.things and len(norms) <= BARE and norms[0] in {*deeds.changes, *deeds.restores, *ITS}:
        return True  # "it's down", "shut it", "folded up": closes what was told open, if it is the opposite
    if clause.closes:  # "oven's off", "it's in": closes what was told open, and nothing else
        return bool(clause.things) or (bool(IT & set(norms)) and len(norms) <= SHORT)
    return bool(clause.things) and clause.opens


def _his_deed(heard: Heard, deeds: Deeds, a: int, b: int) -> bool:
    """Whether the speaker says of himself that he changed a thing: "I shut the valve", "I've left the hatch open"."""
    norms = heard.norms[a:b]
    begins = a == 0 or a in heard.plan.hard or bool(heard.words[a - 1].stop)
    if begins and norms[0] in deeds.changes - RUNNING and (norms[0].endswith("ed") or norms[0] in PAST):
        done = list(takewhile(lambda n: n not in MEANWHILE, norms[1:]))  # "pulled in while the fan runs" moves no fan
        own = _things(done, deeds) or norms[0] in deeds.by_verb  # "Pulled the filter.", "Tripped it."
        if own and not NOT_HIS & set(norms):
            return True
    for k, word in enumerate(norms[:-1]):
        if word not in MINE:
            continue
        verb = next((n for n in norms[k + 1 : k + 3] if n not in ("just", "then", "only", "also", "now")), "")
        told = verb in deeds.changes - RUNNING or verb in deeds.stays or verb in ("turn", "open", "close", "pull")
        if told and not NOT_HIS & set(norms[: k + 3]) and (_things(norms, deeds) or verb in deeds.by_verb):
            return True
    return False


def _things(norms: Sequence[str], deeds: Deeds) -> tuple[str, ...]:
    """The things that a clause tells of, the likeliest first; those told as a place or a likeness only if alone."""
    found: list[tuple[bool, str]] = []
    for k, word in enumerate(norms):
        thing = deeds.at(norms, k)
        before = [n for n in norms[max(0, k - 3) : k] if n not in ARTICLES]
        if word == "lights" and k and (norms[k - 1] in LIT or norms[k - 1] in IT):
            continue  # "so the furnace lights" tells of no lamp
        if word == "plug" and norms[max(0, k - 2) : k] in (["pulled", "the"], ["pull", "the"]):
            continue  # of a tub
        if thing and word in ("heating", "cooling") and k and norms[k - 1] in (*IT, "is", "and"):
            continue  # "it's cooling now" names no thermostat
        if not thing or word in FASTENERS or (before and before[-1] in MINE and word in ("switch", "plug", "light")):
            continue
        lead = norms[k - 1] if k and norms[k - 1] not in ARTICLES else norms[k - 2] if k > 1 else ""
        compound = bool(k and norms[k - 1] not in ARTICLES and deeds.thing(norms[k - 1]))
        if compound and found:
            found.append((found[-1][0], thing))
            continue
        placed = lead in ASIDE or lead in SEEING or (lead in AFTER_THING and bool(found)) or lead in ("as", "like")
        found.append((placed, thing))
    own = [t for placed, t in found if not placed]
    rest = [t for placed, t in found if placed]
    if not own and (meant := _by_verb(norms, deeds)):  # "tripped the one by the sink"
        return meant
    if not found and any(w in FASTENERS for w in norms) and any(w in ("out", "off") for w in norms):
        own = [t for w in norms if w in FASTENERS and (t := deeds.thing(w))]
    return tuple(dict.fromkeys(reversed(own or rest)))


def _by_verb(norms: Sequence[str], deeds: Deeds) -> tuple[str, ...]:
    """The things that a deed means by itself, the likeliest first: what is tripped is a ground-fault device."""
    return next((deeds.by_verb[w] for w in norms if w in deeds.by_verb), ())


def _read(
    heard: Heard, deeds: Deeds, a: int, b: int, inside: Sequence[Hit[str]], sure: bool, maybe: bool
) -> _Clause | None:
    norms = heard.norms[a:b]
    things = _things(norms, deeds)
    toggles = _toggles(norms, deeds)
    restores = any(_restores(norms, k, deeds) for k in range(len(norms))) or any(h.key == "closes" for h in inside)
    opens = any(w in deeds.changes for w in norms) or any(h.key == "opens" for h in inside)
    stays = any(_stays(norms, k, deeds) for k in range(len(norms)))
    known = [deeds.things[t] for t in things]
    opens = opens or any(w in t.opens for t in known for w in toggles)
    closes = restores or any(w in t.closes and w not in t.opens for t in known for w in toggles)
    changed = not ENDED.issuperset([w for w in norms if w in deeds.changes or w in toggles])
    if not (opens or closes or toggles) or walks(norms, things, deeds):
        return None
    if not (sure or maybe) and opens and not closes and not any(_is_deed(heard, h) for h in inside):
        return None
    by_verb = bool(things) and things == _by_verb(norms, deeds)
    return _Clause(a, b, things, opens, closes, sure, restores, stays, maybe, by_verb, restores or changed)


def _stays(norms: Sequence[str], k: int, deeds: Deeds) -> bool:
    """Whether a word says that something is left changed; "left" does not in "the left one"."""
    if norms[k] not in deeds.stays:
        return False
    return norms[k] != "left" or k == 0 or not (norms[k - 1] in SIDED or norms[k + 1 : k + 2] in (["side"], ["one"]))


def _restores(norms: Sequence[str], k: int, deeds: Deeds) -> bool:
    """Whether a word says that something is as it was; "back" does not in "the back room"."""
    if norms[k] not in deeds.restores:
        return False
    if NOT_BACK & set(norms[max(0, k - 3) : k]):  # "it wouldn't go back"
        return False
    if norms[k] == "back" and k and norms[k - 1] in BACK_WHERE:  # "the hose out back"
        return False
    if norms[k] == "again":  # "measure again" puts nothing back
        return any(w in deeds.toggles or w in deeds.changes for w in norms)
    return norms[k] != "back" or k + 1 == len(norms) or norms[k + 1] in AFTER_BACK


def _toggles(norms: Sequence[str], deeds: Deeds) -> list[str]:
    """The little words by which something is changed; not those that only lead to a noun ("in the hall", "on it")."""
    after = (*norms[1:], "")
    found = [
        w
        for k, (w, n) in enumerate(zip(norms, after, strict=True))
        if w in deeds.toggles and not (w in LEADING and n in ARTICLES) and not stood(norms, k, deeds)
    ]
    if "back" in found and not any(_restores(norms, k, deeds) for k, w in enumerate(norms) if w == "back"):
        found.remove("back")  # "the back gate"
    return found + [deeds.means[w] for w in norms if w in deeds.means]


def _follow(clause: _Clause, heard: Heard, deeds: Deeds, out: list[Handled]) -> None:
    """Let one clause open or close something."""
    span = (clause.start, clause.end)
    if clause.by_verb and (last := _meant(clause, heard, deeds)) and set(last) & set(clause.things):
        clause = replace(clause, things=tuple(dict.fromkeys((*last, *clause.things))))
    if clause.stays:
        _leave(clause, heard, deeds, out)
        return
    waiting = _waiting(clause, deeds, out)
    if waiting is not None:
        one = out[waiting]
        if clause.restores or _opposite(one, clause, heard, deeds):
            out[waiting] = replace(one, closed=span)
            return
    if clause.maybe and clause.closes:
        return
    if clause.closes and not _changed(clause, heard, deeds):
        things = clause.things or _meant(clause, heard, deeds)
        repeated = any(
            h.closed
            and clause.start - h.closed[1] < SAME
            and (_any_same(h.things, things, deeds) or FEEDS & set(h.things[:1]))
            for h in out
        )
        if clause.sure and things and not repeated:
            out.append(_made(things, span, span, deeds))
        return
    things = clause.things or (_meant(clause, heard, deeds) if clause.changed else ())
    if not things or any(
        h.closed is None and not h.maybe and span[0] - h.opened[1] < SAME and _any_same(h.things, things, deeds)
        for h in out
    ):
        return
    both = clause.closes and (clause.sure or clause.restores)
    out.append(replace(_made(things, span, span if both else None, deeds), maybe=clause.maybe))


def _made(
    things: Sequence[str], opened: tuple[int, int], closed: tuple[int, int] | None, deeds: Deeds, left: bool = False
) -> Handled:
    return Handled(tuple(things), opened, closed, deeds.things[things[0]].name, left)


def _leave(clause: _Clause, heard: Heard, deeds: Deeds, out: list[Handled]) -> None:
    """It stays changed: what stands open is left so, or the leaving itself is the only word of it."""
    waiting = _waiting(clause, deeds, out)
    if waiting is not None:
        out[waiting] = replace(out[waiting], left=True)
        return
    for k in reversed(range(len(out))):
        near = clause.start - (out[k].closed or out[k].opened)[1] < NEAR
        if near and (not clause.things or _any_same(out[k].things, clause.things, deeds)):
            out[k] = replace(out[k], closed=None, left=True)
            return
    things = clause.things or _meant(clause, heard, deeds)
    if clause.sure and things:
        out.append(_made(things, (clause.start, clause.end), None, deeds, left=True))


def _any_same(some: Sequence[str], others: Sequence[str], deeds: Deeds) -> bool:
    return any(deeds.same(one, other) for one in some for other in others)


def _waiting(clause: _Clause, deeds: Deeds, out: Sequence[Handled]) -> int | None:
    """What stands open and is meant: the last of that name, else of its kin, else, unnamed, the last of all."""
    sure = bool(clause.things) and not clause.by_verb  # what was said to stay so is closed only by its name
    open_ones = [
        k for k, h in enumerate(out) if h.closed is None and h.opened[0] < clause.start and (sure or not h.left)
    ]
    told = [k for k in open_ones if not out[k].maybe]
    for ones, far in ((told, 10**6), (open_ones, FAR)):
        near = [k for k in ones if clause.start - out[k].opened[1] < far]
        named = [k for k in near if set(out[k].things) & set(clause.things)]
        akin = [k for k in near if clause.things and _any_same(out[k].things, clause.things[:1], deeds)]
        if named or akin:
            return (named or akin)[-1]
    for ones, far in ((told, FAR), (open_ones, SOON)):
        if ones and not clause.things and clause.start - out[ones[-1]].opened[1] < far:
            return ones[-1]
    return None


def _opposite(one: Handled, clause: _Clause, heard: Heard, deeds: Deeds) -> bool:
    """Whether the little words of a clause undo those by which a thing was opened."""
    before = set(_toggles(heard.norms[slice(*one.opened)], deeds))
    now = set(_toggles(heard.norms[clause.start : clause.end], deeds))
    closing = {w for t in one.things for w in deeds.things[t].closes}
    swapped = any(w in before and other in now for pair in SWAPS for w, other in (pair, pair[::-1]))
    return bool((now - before) & closing) or swapped


def _changed(clause: _Clause, heard: Heard, deeds: Deeds) -> bool:
    """Whether a clause that closes also tells the change itself, before it: "took it off and put it back"."""
    norms = heard.norms[clause.start : clause.end]
    first = next((k for k in range(len(norms)) if _restores(norms, k, deeds)), len(norms))
    return any(w in deeds.changes and w not in deeds.restores for w in norms[:first])


def _meant(clause: _Clause, heard: Heard, deeds: Deeds) -> tuple[str, ...]:
    """What "it" is: the thing named last before."""
    norms, placed = heard.norms, ""
    for k in range(clause.start - 1, max(-1, clause.start - NEAR), -1):
        t = deeds.at(norms, k)
        lead = norms[k - 1] if k and norms[k - 1] not in ARTICLES else norms[k - 2] if k > 1 else ""
        if t and lead not in ASIDE:
            return (t,)
        placed = placed or t  # "this plug by the slider": the slider only if nothing else was named
    return (placed,) if placed else ()


def _is_deed(heard: Heard, hit: Hit[str]) -> bool:
    """Whether words of handling tell a deed of the speaker, and not a part ("the shut off valve") or a fault."""
    norms = heard.norms
    if heard.speaker and heard.words[hit.start].speaker != heard.speaker:
        return False
    before = norms[max(0, hit.start - 5) : hit.start]
    if norms[hit.end - 1] == "off" and hit.end - hit.start == 2:
        if hit.end < len(norms) and norms[hit.end] in NOUN_AFTER:
            return False
        if before and before[-1] in NOUN_BEFORE:
            return False
    if NOT_HIS & set(before) or before[-1:] == ["to"]:
        return False
    starts = bool({hit.start, hit.start - 1, hit.start - 2} & set(heard.plan.cuts))
    covered = norms[hit.end - 1] in ("off", "open", "up") and hit.end - hit.start > 1
    return starts or covered or bool(MINE & set(before))
