"""Go or no-go cards: which reasons to stay out apply by the facts noted. None says that going in is all right."""

from __future__ import annotations

from collections.abc import Sequence

from kingpost.judge.findings import digest
from kingpost.listen.sweeps import indexes, place_of
from kingpost.trade.duties import Card, Stay
from kingpost.visit.owed import SafetyCard, StayOut
from kingpost.visit.record import Limitation, Reading, Record, Remark

from .given import Given
from .sizes import HOLDS, in_unit, small
from .words import first, has, listed, normed

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
            amount = in_unit(q, stay.unit) if q.quantity == stay.quantity else None
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
    for x in small(card.id, values, given.laws, given.standards, given.duties.law_numbers):
        c, m = x.clause, x.clause.measure
        says = f"{c.about}: {x.amount:g} {x.unit}, under the {m['value']:g} {x.unit} that the standard names"
        limit = f"{card.name[:1].upper()}{card.name[1:]} was not entered: {c.about} {x.amount:g} {x.unit}."
        cited = "" if c.unverified else c.citation
        basis = "memory" if c.unverified else "published"
        name = digest("n", card.id, c.key)
        out.append(StayOut(name, says, limit, c.reason, cited, basis, x.evidence, cited, c.unverified))
    return out
