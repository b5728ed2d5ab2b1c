"""Spoken amounts that are readings: which quantity, of what, in which unit.

An amount that tells what should be ("that ought to be ten"), the weather, an age or a count of things is no reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kingpost.trade.model import Quantity, Trade

from .heard import Heard, Spans
from .implied import beside, says, unit_of
from .lexicon import MEASURED, SHOULD, WEATHER
from .numbers import ONES, TENS, Amount, amounts
from .patterns import Hit, Index

TIME_UNITS = {"min", "s", "h", "year"}
WEAK = "weak:"  # words that count only where a component of the quantity is being talked about
PLATE = frozenset("plate nameplate label tag sticker placard".split())  # where minimum and maximum are read off
RATED = frozenset("minimum maximum min max".split())
TOOLS = frozenset("ladder level tape pole cord extension stick straightedge".split())  # "a two foot level"
WOULD = frozenset("youd id theyd would itd itll youll hed".split())
WISHED = ("look for", "looking for", "like to see", "want to see", "hope for", "shoot for", "supposed to")
NO = frozenset("no correction sorry scratch make".split())  # between a number and the one it should have been
PART = "part:"  # the name of a part alone, which says less than that of the quantity
NEAR = 12  # words on either side in which a quantity's words are looked for
BEFORE = 24  # words before, over two sentences, where the sentence itself names none
OWN_UNIT = 0.4  # the word for the unit hardly says what was measured
BY_PART = 0.3  # how much less
CLAUSE = 8.0  # what a name in the same clause is worth, of 20 for one right beside
HINTED = 18.0  # what the rule that gave the unit knows of the quantity
CONVERT = {
    ("ft", "in"): 12.0,
    ("in", "ft"): 1 / 12,
    ("mm", "in"): 1 / 25.4,
    ("in", "mm"): 25.4,
    ("yd", "ft"): 3.0,
    ("h", "min"): 60.0,
}


@dataclass(frozen=True, slots=True)
class Spoken:
    """A reading in speech; start and end are words."""

    quantity: str
    value: float
    unit: str
    start: int
    end: int
    component: str
    rough: bool = False
    spread: float = 0.0


_INDEX: dict[int, Index[str]] = {}


def _quantity_index(trade: Trade) -> Index[str]:
    if id(trade) not in _INDEX:
        _INDEX.clear()
        made: Index[str] = Index()
        for q in trade.quantities.values():
            names = {w.replace("_", " ") for w in q.components}
            made.add(q.id, [w for w in q.said if w not in names])
            made.add(PART + q.id, [w for w in q.said if w in names])
            made.add(WEAK + q.id, q.weak)
        _INDEX[id(trade)] = made
    return _INDEX[id(trade)]


def _units(q: Quantity) -> set[str]:
    return {q.unit, *q.units}


def _plausible(q: Quantity, value: float) -> bool:
    return (q.low is None or value >= q.low) and (q.high is None or value <= q.high)


def spoken(heard: Heard, trade: Trade) -> list[Spoken]:
    """Every reading in one walk, in order."""
    norms = heard.norms
    index = Spans(list(_quantity_index(trade).find(norms)))
    parts, acts = Spans(heard.components), Spans(heard.acts)
    stops = [k for k in range(1, len(norms)) if heard.words[k - 1].stop[:1] in (",", ".", ";", "?")]
    told: list[tuple[Amount, str]] = []
    bare: list[Amount] = []
    for one in _meant(norms, amounts(norms, stops)):
        unit, hint = unit_of(heard, one, trade)
        unit = "lb" if unit == "pounds" else unit
        if not unit:
            if _is_reading(norms, one, unit, heard, acts):
                bare.append(one)
        elif _is_reading(norms, one, unit, heard, acts):
            told.append((replace(one, unit=unit), hint))
    known = [(one, _quantity(heard, trade, one, hint, index, parts)) for one, hint in told]
    also = beside(heard, bare, [(one, q.id if q else "") for one, q in known])
    known += [(one, _quantity(heard, trade, one, hint, index, parts)) for one, hint in also]
    known.sort(key=lambda k: k[0].start)
    return [
        Spoken(
            q.id if q else _plain_name(one.unit),
            one.value,
            one.unit,
            one.start,
            one.end,
            _component(parts.inside(*_around(heard, one)), one),
            one.rough,
            one.spread,
        )
        for one, q in known
    ]


def _meant(norms: Sequence[str], found: Sequence[Amount]) -> list[Amount]:
    """Amounts without those that the speaker took back at once: "eleven, no, four and a half"."""
    out: list[Amount] = []
    for one in found:
        between = norms[out[-1].end : one.start] if out else []
        if 0 < len(between) <= 3 and between[0] in NO and out[-1].unit in ("", "mm", one.unit):
            out.pop()
        out.append(one)
    return out


def _component(near: Sequence[Hit[str]], one: Amount) -> str:
    closest = min(near, key=lambda h: (_distance(h.start, h.end, one), h.start), default=None)
    return closest.key if closest else ""


def _around(heard: Heard, one: Amount) -> tuple[int, int]:
    a, b = heard.plan.sentence(one.start)
    return max(a, one.start - NEAR), min(b, one.end + NEAR)


def _distance(start: int, end: int, one: Amount) -> int:
    return max(0, one.start - end, start - one.end)


def _is_reading(norms: Sequence[str], one: Amount, unit: str, heard: Heard, acts: Spans) -> bool:
    a, b = heard.plan.sentence(one.start)
    own = _own(norms, one)  # from here on the speaker tells what he measured
    before = set(norms[max(own, one.start - 6) : one.start])
    after = norms[one.end : one.end + 4]
    plate = set(norms[max(0, one.start - 16) : one.start]) & PLATE and before & SHOULD <= RATED
    if (before & SHOULD and not plate) or {"be", "got"} <= set(norms[max(0, one.start - 6) : one.start]):
        return False
    if after[:1] in (["is"], ["are"], ["isnt"]) and set(after[1:]) & SHOULD and unit:
        return False
    if says(norms[max(own, one.start - 7) : one.start], WISHED) or _if(norms, one):
        return False
    if not _by_unit(norms, one, unit):
        return False
    if unit == "degF" and (_weather(heard, one) or _setting(norms, one, a)):
        return False
    ever = set(norms[max(0, one.start - 6) : one.start])
    if set(after) & {"ago", "old"} or (
        unit in ("ft", "in") and ever & {"stay", "stand", "step"} and (set(after) | ever) & {"away", "back"}
    ):
        return False
    if after[:1] and after[0] in TOOLS and unit in ("ft", "in"):
        return False
    for h in acts.inside(max(a, one.start - 25), min(b, one.end + 12)):
        if h.key in ("tip", "other_house", "hypothetical") and not h.end <= own < one.start:
            return False
    return not (heard.speaker and heard.words[one.start].speaker != heard.speaker)


def _own(norms: Sequence[str], one: Amount) -> int:
    """Where, shortly before a number, the speaker begins to tell his own: "code's thirty six, I've got thirty five"."""
    return next((k for k in range(one.start - 1, max(-1, one.start - 7), -1) if norms[k] in MEASURED), 0)


def _by_unit(norms: Sequence[str], one: Amount, unit: str) -> bool:
    if unit == "sq_ft" or (unit in TIME_UNITS and unit != "min"):
        return False
    if unit == "min":
        return bool(set(norms[max(0, one.start - 6) : one.start]) & {"ran", "run", "running", "for", "left"})
    return True


def _if(norms: Sequence[str], one: Amount) -> bool:
    """Whether a number stands in what would be: "if it goes over thirty you'd see"."""
    then = set(norms[one.end : one.end + 4]) & WOULD
    return bool(then) and "if" in norms[max(0, one.start - 8) : one.start]


def _setting(norms: Sequence[str], one: Amount, begins: int) -> bool:
    """Whether a temperature is what a control is put to: "thermostat went to seventy five", "back at sixty eight"."""
    before = norms[max(begins, one.start - 4) : one.start]
    if "back" in before or "set" in before:
        return "return" not in before
    return bool(
        {"thermostat", "thermostats", "stat", "setpoint"} & set(norms[max(begins, one.start - 6) : one.start])
    ) and ("to" in before or "at" in before)


def _weather(heard: Heard, one: Amount) -> bool:
    """Whether a temperature is that of the day: a word of weather close by, with no other number between."""
    a, b = heard.plan.sentence(one.start)
    near = range(max(a, one.start - 6), min(b, one.end + 5))
    for k in near:
        between = heard.norms[min(k, one.end) : max(k, one.start)]
        if heard.norms[k] in WEATHER and not any(w in ONES or w in TENS or w[:1].isdigit() for w in between):
            return True
    # "it's forty eight degrees out"
    return heard.norms[one.end : one.end + 1] == ["out"] and heard.norms[max(0, one.start - 1)] in ("its", "was", "is")


def _quantity(heard: Heard, trade: Trade, one: Amount, hint: str, index: Spans, parts: Spans) -> Quantity | None:
    """What a reading is of, by what is named in its clause, its sentence, and where neither says, shortly before."""
    a, b = _around(heard, one)
    found = _best(heard, trade, one, hint, index.inside(a, b), parts.inside(a, b))
    if found is not None:
        return found
    a = max(0, *heard.plan.begun(one.start, 3)[:1], one.start - BEFORE)
    return _best(heard, trade, one, hint, index.inside(a, b), parts.inside(a, b), far=True)


def _best(
    heard: Heard,
    trade: Trade,
    one: Amount,
    hint: str,
    near: Sequence[Hit[str]],
    named: Sequence[Hit[str]],
    far: bool = False,
) -> Quantity | None:
    low, high = _clause(heard, one)
    reach = 2 * NEAR if far else 20
    here = {h.key for h in named}
    beside_it = {h.key for h in named if low <= h.start and h.end <= high}
    keys: dict[str, float] = {}
    for h in near:
        worth = reach - min(reach, _distance(h.start, h.end, one)) + (CLAUSE if low <= h.start and h.end <= high else 0)
        worth *= OWN_UNIT if one.start <= h.start and h.end <= one.end else 1.0
        keys[h.key] = max(keys.get(h.key, 0.0), worth)
    best, score = None, 0.0
    for q in trade.quantities.values():
        if one.unit not in _units(q):
            continue
        spoken_of = 12.0 if beside_it & set(q.components) else 8.0 if here & set(q.components) else 0.0
        strong, weak = keys.get(q.id, 0.0), keys.get(WEAK + q.id, 0.0)
        strong = max(strong, BY_PART * keys.get(PART + q.id, 0.0))
        points = max(strong, weak) + spoken_of if spoken_of else strong
        points += (0.5 if q.unit == one.unit else 0.0) + (HINTED if q.id == hint else 0.0)
        if not _plausible(q, one.value * CONVERT.get((one.unit, q.unit), 1.0)):
            points -= 15
        if points > score + 1e-9:
            best, score = q, points
    return best if score > 5 else None


def _clause(heard: Heard, one: Amount) -> tuple[int, int]:
    """The words around a reading up to the next comma, "and" or other number on either side."""
    a, b = heard.plan.sentence(one.start)
    low, high = one.start, one.end
    while low > a and not heard.words[low - 1].stop and not _parts(heard.norms[low - 1]):
        low -= 1
    while high < b and not heard.words[high - 1].stop and not _parts(heard.norms[high]):
        high += 1
    return low, high


def _parts(word: str) -> bool:
    return word in ("and", "but", "so", "then") or word in ONES or word in TENS or word[:1].isdigit()


def _plain_name(unit: str) -> str:
    return {
        "in": "length",
        "ft": "length",
        "psi": "pressure",
        "A": "current",
        "V": "voltage",
        "degF": "temperature",
        "%": "share",
        "in/12": "roof_slope",
        "AWG": "wire_size",
        "cfm": "air_flow",
        "min": "duration",
        "in/ft": "slope",
        "lb": "force",
        "in_wc": "gas_pressure",
        "ppm": "ambient_co",
        "mm": "length",
    }.get(unit, "amount")
