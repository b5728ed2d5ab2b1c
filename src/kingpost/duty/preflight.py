"""Reconciliation before delivery: everything said, seen, measured, suggested and required has a fate, or is named.

`owed(record, ...)` fills the record with loops, limits, cards, watch list, told-records and matters. A matter blocks
until it is mended, or answered with a reason; what the tool only wonders about asks, and blocks nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from kingpost.judge.findings import digest
from kingpost.measure.units import unit_words
from kingpost.visit.owed import Loop, Matter, Owed, SafetyCard, ToldNow, Watched
from kingpost.visit.record import Record, Remark

from .contradict import clashes
from .ends import DECIDE, UNCLEAR, loose_ends, settled
from .evidence import as_said
from .formal import missing
from .given import Given
from .ledger import Ledger
from .limits import limits, no_limit
from .lint import lint
from .loops import as_found, loops, paired
from .safety import cards
from .slips import slips
from .told import tells, told_now
from .watch import watch


def owed(record: Record, ledger: Ledger, given: Given) -> Record:
    """The record with everything that the inspector owes. Order of files and of decisions does not matter."""
    found, gone = as_found(record, given)
    found = paired(found, record.photos, record, given)
    back = frozenset(str(e["remark"]) for a in found if a.put_back for e in a.evidence if "remark" in e)
    says = frozenset(r.id for r in record.remarks if tells(r, given))
    limited = [x for x in limits(record.limitations, record.photos, given) if not no_limit(x, back, says, given)]
    kept = {x.id for x in limited}
    dropped = {x.id: "" for x in record.limitations if x.id not in kept} | gone
    remarks = tuple(_kept(r, dropped, back) for r in record.remarks)
    record = replace(record, as_found=tuple(found), limitations=tuple(limited), remarks=remarks)
    as_told = replace(record, remarks=tuple(as_said(record.remarks, given.standing)))
    whole = _worked_out(_in_order(as_told), ledger, given)
    whole = replace(whole, fates=fates(record, ledger, whole))
    return replace(record, owed=whole, trouble=(*record.trouble, *given.trouble))


def _in_order(record: Record) -> Record:
    """The record in an order of its own, so that the order of files and rows changes nothing of what is owed."""
    return replace(
        record,
        remarks=tuple(sorted(record.remarks, key=lambda r: (r.source, r.start, r.end, r.id))),
        findings=tuple(sorted(record.findings, key=lambda f: (f.number, f.id))),
        readings=tuple(sorted(record.readings, key=lambda q: q.id)),
        limitations=tuple(sorted(record.limitations, key=lambda x: x.id)),
        photos=tuple(sorted(record.photos, key=lambda p: (p.seconds is None, p.seconds or 0.0, p.id))),
    )


def _worked_out(record: Record, ledger: Ledger, given: Given) -> Owed:
    made = loops(record.as_found, record, given)
    told, safety, watched = told_now(record, given), cards(record, given), watch(record, ledger.house, given)
    clashed = _clashes(record, ledger, given)
    matters = [
        *_told(told, record),
        *_loops(made),
        *_gaps(ledger, given),
        *clashed,
        *_slips(record, given),
        *_formal(record, given),
        *_lint(record, given),
        *_pencil(record),
        *loose_ends(record, settled(record, ledger, given, told) | _asked(clashed), given),
        *_photos(record),
        *_limits(record, safety, _asked(clashed)),
        *_watched(watched),
    ]
    answered = [_answered(m, given) for m in matters]
    return Owed(tuple(made), tuple(safety), tuple(watched), tuple(told), tuple(_sorted(answered, given)), {})


def blocking(whole: Owed) -> list[Matter]:
    """What keeps the report from being delivered."""
    return [m for m in whole.matters if m.blocks and not m.answer]


def asking(whole: Owed) -> list[Matter]:
    """What is only asked."""
    return [m for m in whole.matters if not m.blocks and not m.answer]


def _kept(r: Remark, gone: dict[str, str], back: frozenset[str]) -> Remark:
    """A remark with what still is made of it; of a limit that is none, the putting back or the bare words remain."""
    into = _moved(r.into, gone)
    use = r.use
    if r.use == "limitation" and into != r.into and (r.id in back or not into):
        use = "as_found" if r.id in back else "information"
    return replace(r, into=into, use=use) if into != r.into else r


def _moved(into: Sequence[str], gone: dict[str, str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(k for i in into if (k := gone.get(i, i))))


def _sorted(matters: Sequence[Matter], given: Given) -> list[Matter]:
    order = list(given.duties.kinds)
    once = {m.id: m for m in matters}
    return sorted(once.values(), key=lambda m: (order.index(m.kind), not m.blocks))


def _answered(m: Matter, given: Given) -> Matter:
    """A matter as answered, and whether its kind blocks; an answer without a reason answers nothing."""
    m = replace(m, blocks=m.blocks and given.duties.kinds[m.kind].blocks)
    why = [w for d in given.of(m.id, "answer") if (w := str(d.fields.get("why", "")).strip())]
    return replace(m, answer=why[-1]) if why else m


def _told(told: Sequence[ToldNow], record: Record) -> list[Matter]:
    title = {f.id: (f.title, f.place) for f in record.findings}
    out = []
    for t in told:
        if t.state != "open":
            continue
        says = f"{title[t.finding][0]}: nothing shows that anyone was told. Say now: {t.tell}"
        mend = f"{DECIDE}: told about {t.finding} with who, when and how, or why nobody was"
        out.append(
            Matter(digest("m", "told", t.id), "told", True, says, mend, title[t.finding][1], t.finding, t.evidence)
        )
    return out


def _loops(made: Sequence[Loop]) -> list[Matter]:
    out = []
    for x in made:
        if x.state not in ("open", "asked"):
            continue
        kind = "loop" if x.state == "open" else "asked_loop"
        says = f"{x.says.rstrip('.')}: not put back." if x.kind != "implied" else f"See that {x.says}."
        mend = f"{x.back}; then {DECIDE}: put_back about {x.id}, or leave with why"
        name = digest("m", "loop", x.id)
        out.append(Matter(name, kind, x.state == "open", says, mend, x.place, x.id, x.evidence))
    return out


def _gaps(ledger: Ledger, given: Given) -> list[Matter]:
    out = []
    for g in ledger.gaps:
        read = [c for k in g.clauses if not (c := given.standards.clauses[k]).unverified]
        kind = "there" if g.asks else "unverified_gap" if g.unverified else "gap"
        name = digest("m", "gap", g.place, g.part, "told" if g.duty == "describe" else "looked at")
        what = f"{g.part or g.clauses[0]}{f'@{g.place}' if g.label == g.place else ''}"
        mend = f"look, or say why not; or tick {g.clauses[0]}{f'@{g.place}' if g.label == g.place else ''}"
        evidence = tuple({"clause": c} for c in g.clauses)
        cite = read[0].citation if read else ""
        out.append(
            Matter(name, kind, kind == "gap", f"{g.says}. {g.why}", mend, g.label, what, evidence, cite, g.unverified)
        )
    return out


def _clashes(record: Record, ledger: Ledger, given: Given) -> list[Matter]:
    return [
        Matter(digest("m", "clash", c.key), "contradiction", True, c.says, c.mend, c.place, c.subject, c.evidence)
        for c in clashes(record, ledger.house, given)
    ]


def _slips(record: Record, given: Given) -> list[Matter]:
    out = []
    for a in slips(record, given):
        q = a.reading
        quantity = given.trade.quantities[q.quantity]
        unit = unit_words(q.unit)
        said = f"{quantity.name} {q.value:g} {unit}".strip() if not isinstance(q.value, str) else quantity.name
        maybe = f"{a.may_be:g} {unit}".strip()
        other = ", as another reading has it" if a.other else ""
        says = f"{said[:1].upper()}{said[1:]}: was it {maybe} ({a.how}){other}?"
        mend = f"correct {q.row or 'the reading'}, or answer with why it stands"
        evidence: tuple[dict[str, str], ...] = ({"reading": q.id},)
        evidence = (*evidence, {"reading": a.other}) if a.other else evidence
        out.append(Matter(digest("m", "slip", q.id), "slip", True, says, mend, q.place, q.id, evidence))
    return out


def _formal(record: Record, given: Given) -> list[Matter]:
    out = []
    for x in missing(record, given):
        kind = "formal" if x.asked and not x.unverified else "advised"
        says = f"{x.rule.says[:1].upper()}{x.rule.says[1:]}."
        evidence = tuple({"finding": f} for f in x.findings)
        name = digest("m", "formal", x.rule.id, *x.findings)
        out.append(Matter(name, kind, kind == "formal", says, x.rule.mend, "", "", evidence, x.clause, x.unverified))
    return out


def _lint(record: Record, given: Given) -> list[Matter]:
    out = []
    title = {f.id: f for f in record.findings}
    for w in lint(record, given):
        f = title[w.finding]
        says = f"“{w.words}” in: {w.sentence}"
        name = digest("m", w.kind, w.rule, w.finding)
        evidence = ({"finding": w.finding},)
        out.append(
            Matter(
                name, w.kind, True, says, w.cure, f.place, f.id, evidence, w.clause, w.unverified and w.kind != "vague"
            )
        )
    return out


def _pencil(record: Record) -> list[Matter]:
    mend = f"{DECIDE}: accept, reword, merge or set_aside"
    return [
        Matter(digest("m", "pencil", f.id), "pencil", True, f.title + ".", mend, f.place, f.id, ({"finding": f.id},))
        for f in record.findings
        if f.state != "ink"
    ]


def _asked(matters: Sequence[Matter]) -> frozenset[str]:
    """Remarks that a question rests on already: one question to a remark is enough."""
    return frozenset(str(e["remark"]) for m in matters for e in m.evidence if "remark" in e)


def _photos(record: Record) -> list[Matter]:
    mend = f"{DECIDE}: move with place and finding, or set_aside"
    return [
        Matter(
            digest("m", "photo", p.id), "photo", False, f"{p.file} belongs nowhere.", mend, "", p.id, ({"photo": p.id},)
        )
        for p in record.photos
        if not p.findings and not p.place and not p.decided
    ]


def _limits(record: Record, safety: Sequence[SafetyCard], asked: frozenset[str]) -> list[Matter]:
    """Limits without a reason. Where a reason to stay out applies to that place, it is offered.

    asked   remarks that a contradiction asks about: whether it is a limit at all, its answer says
    """
    out = []
    for x in record.limitations:
        if x.code or asked & {str(e["remark"]) for e in x.evidence if "remark" in e}:
            continue
        offers = [r for c in safety if x.id in c.limited for r in c.reasons]
        offer = f" A reason that applies there: {offers[0].says} (code {offers[0].reason})." if offers else ""
        says = f"“{x.text}” gives no reason.{offer}"
        mend = f"{DECIDE}: reword {x.id} with code (and photo), or set_aside if it is no limit"
        out.append(Matter(digest("m", "limit", x.id), "limit", False, says, mend, x.place, x.id, x.evidence))
    return out


def _watched(watched: Sequence[Watched]) -> list[Matter]:
    out = []
    for w in watched:
        if w.state == "asked":
            says, where = (
                f"{w.name[:1].upper()}{w.name[1:]}: {w.ask}",
                w.places[0].replace("_", " ") if w.places else "",
            )
            out.append(Matter(w.id, "watch", False, says, f"{DECIDE}: answer {w.id} with state and why", where, w.id))
    return out


def fates(record: Record, ledger: Ledger, whole: Owed) -> dict[str, dict[str, int]]:
    """How many of everything came to which end; nothing is left out of the count."""
    used = {r for c in record.checks for r in c.readings} | {r for f in record.findings for r in f.readings}
    out = {
        "remarks": Counter("loose" if r.why_set_aside.startswith(UNCLEAR) else r.use for r in record.remarks),
        "photos": Counter(
            "of a finding" if p.findings else "of a place" if p.place else "decided" if p.decided else "nowhere"
            for p in record.photos
        ),
        "readings": Counter("judged" if q.id in used else "listed" for q in record.readings),
        "suggestions": Counter(f.state for f in record.findings),
        "loops": Counter(x.state for x in whole.loops),
        "clauses": Counter(c.state for c in ledger.cells),
        "watch": Counter(w.state for w in whole.watch),
        "told": Counter(t.state for t in whole.told),
        "matters": Counter("answered" if m.answer else "blocks" if m.blocks else "asks" for m in whole.matters),
    }
    return {k: dict(sorted(v.items())) for k, v in out.items()}
