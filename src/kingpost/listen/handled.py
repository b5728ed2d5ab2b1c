"""What was switched, opened, tripped, taken off or filled for the visit, and whether it was put back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .heard import Heard, Spans
from .lexicon import MINE, NOUN_AFTER, NOUN_BEFORE
from .patterns import Hit

THINGS: dict[str, str] = {}
for _thing, _said in {
    "panel cover": "panel cover lid dead-front screws deadfront",
    "thermostat": "thermostat heat heating cooling stat temperature",
    "furnace": "furnace burner",
    "boiler": "boiler",
    "air conditioner": "condenser conditioner",
    "water": "water main",
    "well": "well pump",
    "breaker": "breaker breakers",
    "ground-fault device": "gfci gfi gfcis",
    "arc-fault device": "afci afcis",
    "hatch": "hatch scuttle hatchway",
    "door": "door",
    "valve": "valve",
    "radiator": "radiator radiators",
    "dishwasher": "dishwasher",
    "tub": "tub bath bathtub",
    "sink": "sink sinks basin",
    "faucets": "tap taps faucet faucets shower",
    "range": "range stove oven burners",
    "fan": "fan fans",
    "gas": "gas",
    "fireplace": "fireplace damper flue",
    "filter": "filter",
    "freezer": "freezer refrigerator fridge",
    "water heater": "heater",
    "disconnect": "disconnect",
    "lights": "light lights",
    "cut-off": "cutoff",
    "sump pump": "sump",
    "window": "window windows sash",
    "attic stairs": "stair stairs ladder",
    "grille": "grille register",
    "washer": "washer",
    "dryer": "dryer",
    "disposer": "disposer disposal",
    "board": "board boards",
    "plate": "plate",
    "drawer": "drawer",
    "humidifier": "humidifier",
    "power": "power",
}.items():
    for _w in _said.split():
        THINGS[_w] = _thing
DONE = frozenset(
    "on open opened running lit filled pulled took taken turned set pushing pushed started tripped lifted".split()
)
RESTORED = frozenset("back again reset restored".split())  # says by itself that something had been changed
UNDONE = frozenset("back again off shut closed drained done up down out reset".split())  # closes what stands open
KIN = {
    frozenset(p)
    for p in (
        ("thermostat", "furnace"),
        ("well", "breaker"),
        ("faucets", "tub"),
        ("faucets", "sink"),
        ("door", "hatch"),
        ("furnace", "breaker"),
        ("valve", "radiator"),
        ("well", "water"),
        ("gas", "valve"),
        ("water", "valve"),
        ("boiler", "cut-off"),
        ("panel cover", "breaker"),
        ("thermostat", "boiler"),
        ("thermostat", "air conditioner"),
    )
}


ALONE, BACKED = 0.4, 0.01  # chance by ear that decides alone, and that with words of handling in it


@dataclass(frozen=True, slots=True)
class Handled:
    """One thing that was changed. Words of opening and, where it was put back, of closing."""

    things: tuple[str, ...]  # what it may be called: "upper door", "furnace"
    opened: tuple[int, int]
    closed: tuple[int, int] | None = None

    @property
    def thing(self) -> str:
        """What was changed, by its first name."""
        return self.things[0]


def _things(heard: Heard, start: int, end: int) -> list[str]:
    return list(dict.fromkeys(THINGS[w] for w in heard.norms[start:end] if w in THINGS))


def _reach(heard: Heard, hit: Hit[str]) -> tuple[int, int]:
    """The clause around a hit."""
    cuts = heard.plan.cuts
    start = max((c for c in cuts if c <= hit.start), default=0)
    end = min((c for c in cuts if c >= hit.end), default=len(heard.words))
    if hit.start - start < 2:
        start = max(heard.plan.sentence(hit.start)[0], start - 8)
    return start, min(max(end, min(hit.end + 4, len(heard.words))), len(heard.words))


def _is_deed(heard: Heard, hit: Hit[str]) -> bool:
    """Whether words of handling tell a deed of the speaker, and not a part ("the shut off valve") or a fault."""
    norms = heard.norms
    if heard.speaker and heard.words[hit.start].speaker != heard.speaker:
        return False
    before = norms[max(0, hit.start - 5) : hit.start]
    if norms[hit.start] in ("shut", "turn", "tripped", "trip", "opened", "closed") and norms[hit.start : hit.end][
        -1:
    ] == ["off"]:
        if hit.end < len(norms) and norms[hit.end] in NOUN_AFTER and hit.end - hit.start == 2:
            return False
        if before and before[-1] in NOUN_BEFORE:
            return False
    if any(
        w
        in ("if", "when", "you", "should", "would", "could", "always", "never", "dont", "they", "he", "seller", "owner")
        for w in before
    ):
        return False
    if any(
        w in ("wont", "doesnt", "didnt", "cant", "couldnt", "not") for w in norms[max(0, hit.start - 3) : hit.start]
    ):
        return False
    starts = hit.start in heard.plan.cuts or hit.start - 1 in heard.plan.cuts or hit.start - 2 in heard.plan.cuts
    covered = norms[hit.end - 1] in ("off", "open", "up") and norms[hit.start] in (
        "cover",
        "covers",
        "lid",
        "lids",
        "hatch",
        "dead",
        "screws",
        "screw",
    )
    return starts or covered or bool(MINE & set(before))


def handled(heard: Heard) -> list[Handled]:
    """Everything that was changed in one walk, with its closing where one was said."""
    acts = Spans([h for h in heard.acts if h.key in ("tip", "other_house", "hypothetical")])
    hits = Spans(heard.handling)
    out: list[Handled] = []
    for a, b in heard.statements():
        if heard.speaker and heard.words[a].speaker != heard.speaker:
            continue
        chance = heard.act(a, b)
        inside = hits.inside(a, b)
        if chance:
            if chance["handling"] < (BACKED if inside else ALONE):
                inside = [h for h in inside if h.key == "closes"]  # words that close what stands open are believed
                if not inside:
                    continue
        elif acts.inside(a, b):
            continue
        _events(heard, a, b, inside, bool(chance) and chance["handling"] >= ALONE, out)
    return out


def _events(heard: Heard, a: int, b: int, inside: Sequence[Hit[str]], sure: bool, out: list[Handled]) -> None:
    last_end = -1
    for hit in sorted(inside, key=lambda h: (h.start, -(h.end - h.start))):
        if hit.start < last_end:
            continue
        things = _things(heard, *_reach(heard, hit)) or _things(heard, a, b)
        if hit.key == "closes":
            if _close(out, things, (a, b)):
                last_end = hit.end
            elif sure and things and not any(h.closed == (a, b) for h in out):
                out.append(Handled(tuple(things), (a, b), (a, b)))  # put back, though its opening was not heard
                last_end = hit.end
        elif (sure or _is_deed(heard, hit)) and things and not _open_already(out, things, a):
            out.append(Handled(tuple(things), (a, b)))
            last_end = hit.end
    if not inside and sure:
        _without_pattern(heard, a, b, out)


def _without_pattern(heard: Heard, a: int, b: int, out: list[Handled]) -> None:
    """A statement that the ear takes for handling, though no pattern stands in it: "fan's on", "lid off again"."""
    words = set(heard.norms[a:b])
    things = _things(heard, a, b)
    if not things or not words & (DONE | UNDONE):
        return
    if words & UNDONE and _close(out, things, (a, b)):
        return
    if words & UNDONE and not words & (DONE | MINE):
        if words & RESTORED and not any(h.closed == (a, b) for h in out):
            out.append(Handled(tuple(things), (a, b), (a, b)))
        return
    if not _open_already(out, things, a):
        out.append(Handled(tuple(things), (a, b)))


def _kin(one: str, other: str) -> bool:
    return one == other or frozenset((one, other)) in KIN


def _open_already(out: Sequence[Handled], things: Sequence[str], at: int) -> bool:
    """The same thing told again within a few words is one deed."""
    return any(h.closed is None and any(_kin(t, things[0]) for t in h.things) and at - h.opened[1] < 12 for h in out)


def _close(out: list[Handled], things: Sequence[str], span: tuple[int, int]) -> bool:
    waiting = [k for k, h in enumerate(out) if h.closed is None and h.opened[0] < span[1]]
    for k in reversed(waiting):
        if any(_kin(one, t) for one in out[k].things for t in things):
            out[k] = replace(out[k], closed=span)
            return True
    if waiting and not things and span[0] - out[waiting[-1]].opened[1] < 60:
        out[waiting[-1]] = replace(out[waiting[-1]], closed=span)
        return True
    return False
