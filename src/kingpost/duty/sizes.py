"""The sizes below which a law lets a place be left unentered, held against what was measured there."""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from kingpost.measure.units import convert
from kingpost.trade.duties import LawNumber
from kingpost.trade.standards import Clause, Standard, Standards
from kingpost.visit.record import Reading

HOLDS: Mapping[str, Callable[[float, float], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}


@dataclass(frozen=True, slots=True)
class Small:
    """A measured size under the number of a clause that lets the place go."""

    clause: Clause
    place: str  # id of the place that it is about
    amount: float
    unit: str
    evidence: tuple[dict[str, str], ...]


def small(
    place: str,
    values: Sequence[Reading],
    laws: Sequence[Standard],
    standards: Standards,
    numbers: Mapping[str, LawNumber],
) -> list[Small]:
    """What of a place, such as "crawl", was measured as too small by the laws that apply."""
    out = []
    named = {law.id for law in laws}
    for c in standards.clauses.values():
        m = c.measure
        number = numbers.get(str(m.get("quantity", "")))
        if c.standard not in named or m.get("role") != "exempt_when" or number is None or place not in c.places:
            continue
        unit = str(m["unit"])
        amount, evidence = _taken(number, place, values, unit)
        if amount is not None and HOLDS[str(m["comparator"])](amount, float(m["value"])):
            out.append(Small(c, place, amount, unit, evidence))
    return out


def _taken(
    number: LawNumber, place: str, values: Sequence[Reading], unit: str
) -> tuple[float | None, tuple[dict[str, str], ...]]:
    mine = [q for q in values if q.quantity in number.quantities and _fits(q.quantity, place)]
    amounts = [(v, q.id) for q in mine if (v := in_unit(q, unit)) is not None]
    kinds = {q.quantity for q in mine}
    if not amounts or (number.take != "value" and len(kinds) < len(number.quantities)):
        return None, ()
    value, name = max(amounts) if number.take == "longer" else min(amounts)
    return value, ({"reading": name},)


def _fits(quantity: str, place: str) -> bool:
    """Headroom of a crawl space is not that of an attic."""
    return not quantity.endswith("_headroom") or quantity.startswith(place)


def in_unit(q: Reading, unit: str) -> float | None:
    """A reading in a unit; None where it is no number or of another kind."""
    if isinstance(q.value, str):
        return None
    if q.unit == unit:
        return float(q.value)
    try:
        return convert(float(q.value), q.unit, unit)
    except ValueError:
        return None
