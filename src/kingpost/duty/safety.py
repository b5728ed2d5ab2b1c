"""Go or no-go cards: which reasons to stay out apply by the facts noted. None says that going in is all right."""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping, Sequence

from kingpost.judge.findings import digest
from kingpost.listen.sweeps import indexes, place_of
from kingpost.measure.units import convert
from kingpost.trade.duties import Card, LawNumber, Stay
from kingpost.visit.owed import SafetyCard, StayOut
from kingpost.visit.record import Limitation, Reading, Record, Remark

from .given import Given
from .words import first, has, listed, normed

HOLDS: Mapping[str, Callable[[float, float], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}
TELLS = ("finding", "reading", "information", "limitation", "safety", "as_found")
SMALL = frozenset("or and of the that you are in there over what it is to who with near size".split())
NO_REASON = "No reason of this list shows in what was noted. That clears nothing: look first, and decide yourself."
DECIDE = "Whether to go is yours to decide; to stay out needs no other reason than your own."


def cards(record: Record, given: Given) -> list[SafetyCard]:
    """The cards of a visit: every place that can hurt, with the reasons to stay out that apply."""
    return [_card(c, record, given) for c in given.duties.cards.values()]


def _card(card: Card, record: Record, given: Given) -> SafetyCard:
    index = indexes(given.trade, given.standards)

    def level(label: str) -> str:
        place = place_of(label, given.trade, index.rooms)
        return place.level if place else ""

    here = [r for r in record.remarks if r.use in TELLS and (level(r.place) in card.levels or card.id == "panel")]
    values = [
        q for q in record.readings if not q.place or level(q.place) in card.levels or card.id in ("roof", "ladder")
    ]
    limits = [x for x in record.limitations if level(x.place) in card.levels]
    found = [hit for s in card.stays if (hit := _stay(card, s, here, values, limits, record, given))]
    found += _by_law(card, values, given)
    unknown = tuple(a for a in card.asks if not _noted(a, here, values, record, given))
    says = f"Reasons to stay out that apply: {listed([r.says for r in found])}. {DECIDE}" if found else NO_REASON
    return SafetyCard(
        card.id, card.name, says, tuple(found), unknown, card.minutes, card.out, tuple(x.id for x in limits)
    )


def _noted(ask: str, here: Sequence[Remark], values: Sequence[Reading], record: Record, given: Given) -> bool:
    """Whether something was noted of a fact that is asked for: words, a reading, the weather."""
    words = [w for w in normed(ask) if w not in SMALL]
    names = [given.trade.quantities[q.quantity].name for q in values if q.quantity in given.trade.quantities]
    return any(has(text, words) for text in (*(r.text for r in here), *names, *record.visit.weather))


def _stay(
    card: Card,
    stay: Stay,
    here: Sequence[Remark],
    values: Sequence[Reading],
    limits: Sequence[Limitation],
    record: Record,
    given: Given,
) -> StayOut | None:
    evidence: list[dict[str, str]] = []
    if stay.value is not None and stay.compare:
        for q in values:
            amount = _in(q, stay.unit) if q.quantity == stay.quantity else None
            if amount is not None and HOLDS[stay.compare](amount, stay.value):
                evidence.append({"reading": q.id})
        fact = record.visit.weather.get(stay.fact) if stay.fact else None
        if (
            isinstance(fact, (int, float))
            and not isinstance(fact, bool)
            and HOLDS[stay.compare](float(fact), stay.value)
        ):
            evidence.append({"fact": f"weather.{stay.fact}"})
    for r in here:
        said = first(r.text, stay.said)
        if said and not has(r.text, [f"no {said}", f"not {said}", f"isnt {said}", "dry"]):
            evidence.append({"remark": r.id})
    evidence += [dict(e) for x in limits if has(x.text, stay.said) for e in x.evidence if "remark" in e]
    if not evidence:
        return None
    source = given.trade.sources[stay.source]
    once = tuple({str(sorted(e.items())): e for e in evidence}.values())
    return StayOut(
        digest("n", card.id, stay.id),
        stay.says,
        stay.limit,
        stay.reason,
        f"{source.document}, {source.section}, {source.edition}",
        source.basis,
        once,
    )


def _by_law(card: Card, values: Sequence[Reading], given: Given) -> list[StayOut]:
    """The sizes below which a law that applies lets a place be left unentered."""
    out = []
    named = {law.id for law in given.laws}
    for c in given.standards.clauses.values():
        m = c.measure
        number = given.duties.law_numbers.get(str(m.get("quantity", "")))
        if c.standard not in named or m.get("role") != "exempt_when" or number is None or card.id not in c.places:
            continue
        amount, evidence = _taken(number, card, values, str(m["unit"]))
        if amount is None or not HOLDS[str(m["comparator"])](amount, float(m["value"])):
            continue
        says = f"{c.about}: {amount:g} {m['unit']}, under the {m['value']:g} {m['unit']} that the standard names"
        limit = f"{card.name[:1].upper()}{card.name[1:]} was not entered: {c.about} {amount:g} {m['unit']}."
        cited = "" if c.unverified else c.citation
        basis = "memory" if c.unverified else "published"
        name = digest("n", card.id, c.key)
        out.append(StayOut(name, says, limit, c.reason, cited, basis, evidence, cited, c.unverified))
    return out


def _taken(
    number: LawNumber, card: Card, values: Sequence[Reading], unit: str
) -> tuple[float | None, tuple[dict[str, str], ...]]:
    mine = [q for q in values if q.quantity in number.quantities and _fits(q.quantity, card.id)]
    amounts = [(v, q.id) for q in mine if (v := _in(q, unit)) is not None]
    kinds = {q.quantity for q in mine}
    if not amounts or (number.take != "value" and len(kinds) < len(number.quantities)):
        return None, ()
    value, name = max(amounts) if number.take == "longer" else min(amounts)
    return value, ({"reading": name},)


def _fits(quantity: str, card: str) -> bool:
    """Headroom of a crawl space is not that of an attic."""
    return not quantity.endswith("_headroom") or quantity.startswith(card)


def _in(q: Reading, unit: str) -> float | None:
    """A reading in a unit; None where it is no number or of another kind."""
    if isinstance(q.value, str):
        return None
    if q.unit == unit:
        return float(q.value)
    try:
        return convert(float(q.value), q.unit, unit)
    except ValueError:
        return None
