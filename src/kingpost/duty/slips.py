"""Numbers that look slipped: outside the usual range, or at odds with a like one, and explained by a common slip.

Nothing is changed; each is asked back with what it might have been.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from kingpost.measure.units import convert
from kingpost.trade.duties import Slip
from kingpost.visit.record import Reading, Record

from .given import Given

CLOSE = 0.02  # share by which a turned value may differ from a like reading and still be the same number


def swapped(value: float) -> list[float]:
    """The value with two neighbouring digits changed places.

    >>> swapped(212.0), swapped(7.5)
    ([122.0, 221.0], [5.7])
    """
    text = f"{value:g}"
    out = []
    for n in range(len(text) - 1):
        m = n + 2 if text[n + 1] == "." else n + 1
        if m < len(text) and text[n].isdigit() and text[m].isdigit() and text[n] != text[m]:
            digits = list(text)
            digits[n], digits[m] = digits[m], digits[n]
            out.append(float("".join(digits)))
    return out


TURNS: Mapping[str, tuple[str, Callable[[float], list[float]]]] = {
    "swap": ("two digits changed places", swapped),
    "celsius": ("read in °C", lambda v: [convert(v, "degC", "degF")]),
    "fahrenheit": ("read in °F", lambda v: [convert(v, "degF", "degC")]),
    "feet": ("said in feet", lambda v: [convert(v, "ft", "in")]),
    "inches": ("said in inches", lambda v: [convert(v, "in", "ft")]),
    "tenfold": ("a point was lost", lambda v: [v / 10]),
    "tenth": ("a point too many", lambda v: [v * 10]),
}


@dataclass(frozen=True, slots=True)
class Asked:
    """One number asked back: what it might have been, and by which slip."""

    reading: Reading
    may_be: float
    how: str
    other: str = ""  # the reading at odds with it


def slips(record: Record, given: Given) -> list[Asked]:
    """Every number that looks slipped, each asked once."""
    out: dict[str, Asked] = {}
    for q in sorted(record.readings, key=lambda q: q.id):
        rule = _rule(q, given)
        if rule is None or isinstance(q.value, str) or _usual(float(q.value), rule):
            continue
        for turn in rule.turns:
            how, turned = TURNS[turn]
            fit = [v for v in turned(float(q.value)) if _usual(v, rule)]
            if fit:
                out[q.id] = Asked(q, round(fit[0], 3), how)
                break
    for one, other, how in _at_odds(record, given):
        if one.id not in out and other.id not in out and not isinstance(other.value, str):
            out[one.id] = Asked(one, float(other.value), how, other.id)
    return [out[k] for k in sorted(out)]


def _rule(q: Reading, given: Given) -> Slip | None:
    quantity = given.trade.quantities.get(q.quantity)
    if quantity is None or q.unit != quantity.unit:
        return None
    return next((s for s in given.duties.slips.values() if q.quantity in s.quantities), None)


def _usual(value: float, rule: Slip) -> bool:
    if rule.allowed:
        return any(math.isclose(value, a, abs_tol=0.01) for a in rule.allowed)
    return (rule.low is None or value >= rule.low) and (rule.high is None or value <= rule.high)


def _at_odds(record: Record, given: Given) -> list[tuple[Reading, Reading, str]]:
    """Two readings of one thing in one place, one of which is the other after a slip: once said, once written."""
    groups: dict[tuple[str, str, str], list[Reading]] = {}
    for q in record.readings:
        if not isinstance(q.value, str) and _rule(q, given) is not None:
            groups.setdefault((q.quantity, q.component, q.place), []).append(q)
    out = []
    for mine in groups.values():
        ordered: Sequence[Reading] = sorted(mine, key=lambda q: (q.row is None, q.id))
        for n, one in enumerate(ordered):
            for other in ordered[n + 1 :]:
                rule = _rule(one, given)
                a, b = float(one.value), float(other.value)
                how = next(
                    (TURNS[t][0] for t in (rule.turns if rule else ()) if _turns(a, b, t) or _turns(b, a, t)), ""
                )
                if how and not math.isclose(a, b, rel_tol=CLOSE):
                    out.append((one, other, how))
    return out


def _turns(a: float, b: float, turn: str) -> bool:
    return any(math.isclose(v, b, rel_tol=CLOSE / 4) for v in TURNS[turn][1](a))
