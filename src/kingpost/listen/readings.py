"""Spoken amounts that are readings: which quantity, of what, in which unit.

An amount that tells what should be ("that ought to be ten"), the weather, an age or a count of things is no reading.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kingpost.trade.model import Quantity, Trade

from .heard import Heard, Spans
from .lexicon import SHOULD, WEATHER
from .numbers import UNITS, Amount, amounts
from .patterns import Hit, Index

TIME_UNITS = {"min", "s", "h", "year"}
WEAK = "weak:"  # words that count only where a component of the quantity is being talked about
PLATE = frozenset("plate nameplate label tag sticker placard".split())  # where minimum and maximum are read off
NEAR = 12  # words on either side in which a quantity's words are looked for
TOPIC = 40  # words over which it is remembered what was talked about
MOST_COUNTED = 12  # a bare number above it is hardly a count
LUMBER = frozenset("one two four six 1 2 4 6".split())
POINTING = frozenset(
    "no this that the which each every any another first second third fourth last other next only".split()
)
NOT_PLURAL = frozenset(
    "inches feet amps degrees pounds volts gallons parts this thats its is was has across less does".split()
)
COUNTING = frozenset("of out times layers coats people".split())
COUNTED = ("i count", "i counted", "count", "counted", "that i count")
CONVERT = {("ft", "in"): 12.0, ("in", "ft"): 1 / 12, ("mm", "in"): 1 / 25.4, ("yd", "ft"): 3.0, ("h", "min"): 60.0}


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
            made.add(q.id, q.said)
            made.add(WEAK + q.id, q.weak)
        _INDEX[id(trade)] = made
    return _INDEX[id(trade)]


def _units(q: Quantity) -> set[str]:
    return {q.unit, *q.units}


def _plausible(q: Quantity, value: float) -> bool:
    return (q.low is None or value >= q.low) and (q.high is None or value <= q.high)


def _says(words: Sequence[str], options: Sequence[str]) -> bool:
    text = f" {' '.join(words)} "
    return any(f" {o} " in text for o in options)


def _bare_unit(norms: Sequence[str], one: Amount, trade: Trade) -> str:
    """The unit of a bare number that trade talk implies: "fourteen copper", "on a thirty", "meter's twelve"."""
    before, after = norms[max(0, one.start - 4) : one.start], norms[one.end : one.end + 3]
    near = norms[max(0, one.start - 8) : one.end + 8]
    whole = float(one.value).is_integer()
    shape = "any" if whole else "fraction" if one.fraction else "decimal"
    talk = norms[max(0, one.start - TOPIC) : one.end + 8]
    if _is_count(norms, one):
        return "count" if _says(near, COUNTED) else ""
    for rule in trade.implied.values():
        if (rule.topic and not _says(talk, rule.topic)) or _says(near, rule.unless):
            continue
        if not rule.low <= one.value <= rule.high or (rule.values and one.value not in rule.values):
            continue
        if rule.shape not in ("any", shape) and not (rule.shape == "part" and not whole):
            continue
        beside = _says(before, rule.before) or _says(after, rule.after)
        around = _says(near, rule.near)
        said = (around and beside) if rule.both else (around or beside)
        if said or not (rule.before or rule.after or rule.near):
            return rule.unit
    return ""


def _is_count(norms: Sequence[str], one: Amount) -> bool:
    """Whether a bare number counts things ("six screws", "a two by four", "the fourth one") and measures nothing."""
    if one.fraction or one.value > MOST_COUNTED or not float(one.value).is_integer():
        return False
    before = norms[one.start - 1] if one.start else ""
    after = norms[one.end] if one.end < len(norms) else ""
    beyond = norms[one.end + 1] if one.end + 1 < len(norms) else ""
    if (before == "by" and norms[max(0, one.start - 2)] in LUMBER) or (after == "by" and norms[one.start] in LUMBER):
        return True
    if norms[one.start] == "one" and (before in POINTING or after not in UNITS):
        return True
    plural = [w for w in (after, beyond) if w.endswith("s") and len(w) > 3 and w not in NOT_PLURAL]
    return bool(plural) or after in COUNTING or _says(norms[max(0, one.start - 4) : one.end + 4], COUNTED)


def spoken(heard: Heard, trade: Trade) -> list[Spoken]:
    """Every reading in one walk, in order."""
    norms = heard.norms
    index = Spans(list(_quantity_index(trade).find(norms)))
    parts = Spans(heard.components)
    acts = Spans(heard.acts)
    out: list[Spoken] = []
    for one in amounts(norms, [k for k in range(1, len(norms)) if heard.words[k - 1].stop[:1] in (",", ".", ";", "?")]):
        unit = one.unit or _bare_unit(norms, one, trade)
        if not unit or not _is_reading(norms, one, unit, heard, acts):
            continue
        a, b = _around(heard, one)
        near = index.inside(a, b)
        components = {h.key: h for h in parts.inside(a, b)}
        q = _best(trade, unit, one, near, set(components), components)
        closest = min(components.values(), key=lambda h: (_distance(h.start, h.end, one), h.start), default=None)
        out.append(
            Spoken(
                q.id if q else _plain_name(unit),
                one.value,
                unit,
                one.start,
                one.end,
                closest.key if closest else "",
                one.rough,
                one.spread,
            )
        )
    return out


def _around(heard: Heard, one: Amount) -> tuple[int, int]:
    a, b = heard.plan.sentence(one.start)
    return max(a, one.start - NEAR), min(b, one.end + NEAR)


def _distance(start: int, end: int, one: Amount) -> int:
    return max(0, one.start - end, start - one.end)


def _is_reading(norms: Sequence[str], one: Amount, unit: str, heard: Heard, acts: Spans) -> bool:
    before = set(norms[max(0, one.start - 6) : one.start])
    after = set(norms[one.end : one.end + 4])
    plate = set(norms[max(0, one.start - 16) : one.start]) & PLATE
    if (before & SHOULD and not plate) or {"be", "got"} <= before:
        return False
    if unit in TIME_UNITS and unit != "min":
        return False
    if unit == "min" and not (before & {"ran", "run", "running", "for", "left"}):
        return False
    if unit == "degF" and (set(norms[max(0, one.start - 10) : one.end + 10]) & WEATHER):
        return False
    if after & {"ago", "old"} or (
        unit in ("ft", "in") and after & {"away", "back"} and before & {"stay", "stand", "step"}
    ):
        return False
    if unit == "sq_ft":
        return False
    a, b = heard.plan.sentence(one.start)
    said = [h.key for h in acts.inside(max(a, one.start - 25), min(b, one.end + 12))]
    if any(k in said for k in ("tip", "other_house", "safety_talk", "hypothetical")):
        return False
    return not (heard.speaker and heard.words[one.start].speaker != heard.speaker)


def _best(
    trade: Trade, unit: str, one: Amount, near: Sequence[Hit[str]], here: set[str], where: Mapping[str, object]
) -> Quantity | None:
    keys: dict[str, int] = {}
    for h in near:
        keys[h.key] = max(keys.get(h.key, 0), 20 - min(20, _distance(h.start, h.end, one)))
    best, score = None, 0.0
    for q in trade.quantities.values():
        if unit not in _units(q):
            continue
        spoken_of = bool(here & set(q.components))
        strong, weak = keys.get(q.id, 0), keys.get(WEAK + q.id, 0)
        points = max(strong, weak) + 12.0 if spoken_of else float(strong)
        points += 0.5 if q.unit == unit else 0.0
        value = one.value * CONVERT.get((unit, q.unit), 1.0)
        if not _plausible(q, value):
            points -= 15
        if points > score + 1e-9:
            best, score = q, points
    return best if score > 5 else None


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
    }.get(unit, "amount")
