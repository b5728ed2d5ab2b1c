"""The front door: `inspect(visit) -> Record`, a pure function of what the visit folder holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from kingpost import __version__
from kingpost.duty.evidence import as_said, stand, ticks
from kingpost.duty.given import Given, mine
from kingpost.duty.ledger import Told, as_record, ledger
from kingpost.duty.permits import with_clauses
from kingpost.duty.preflight import owed as owe
from kingpost.judge import added, audit, decisions, heat_findings, heat_pictures, journaled, plates, run
from kingpost.judge.evidence import bound, from_rows
from kingpost.judge.findings import as_found, digest, finding, limitations, menders, merge, order, spoken_readings
from kingpost.judge.proven import attach, from_checks
from kingpost.listen.hear import Hearing, hear
from kingpost.look import Moment, by_time, filing_record, frames, frames_beside, frames_spots, marks, plates_fields
from kingpost.look.ingest import ingest
from kingpost.look.plates import by_photo
from kingpost.trade.duties import duties as load_duties
from kingpost.trade.load import trade as load_trade
from kingpost.trade.model import Trade
from kingpost.trade.standards import standards as load_standards
from kingpost.visit.facts import Trouble, Visit
from kingpost.visit.record import Finding, FrameRef, Reading, Record, Remark
from kingpost.weigh.causes import causes


def plainly(_name: str, _key: object, make: Callable[[], Any]) -> Any:
    """Remember nothing: make it."""
    return make()


def inspect(
    visit: Visit,
    trade_dirs: Iterable[Path] = (),
    progress: Callable[[str], None] | None = None,
    once: Callable[[str, object, Callable[[], Any]], Any] = plainly,
) -> Record:
    """Judge one visit.

    visit       what `kingpost.visit.read` made of a folder
    trade_dirs  folders of trade data that a firm lays over ours; `trade/` in the visit folder is taken by itself
    progress    called with a few words before each long step
    once        once(name, key, make) gives what make() makes, and may remember it by name and key: the server judges
                one visit again and again, and what was heard does not change with a decision

    Raises kingpost.trade.reading.TradeError where the trade data cannot be used.
    """
    tell = progress or (lambda _: None)
    own = visit.folder / "trade"
    over = (*trade_dirs, *((own,) if own.is_dir() else ()))
    trade = load_trade(*over)
    heard = once("hearing", (visit.walks, over), lambda: hear(visit.walks, trade, tell))
    heard, by_hand, odd_drafts = added.added(heard, visit.decisions, trade)
    rows, odd_rows = from_rows(visit.rows, trade)
    readings = [*spoken_readings(heard, trade), *rows]
    on_plates, lettered, asked = _plates(visit, heard, readings, trade)
    readings += on_plates
    tell("holding readings against provisions")
    stated = [(d.condition, d.place_id or d.place, d.component, d.remarks[0]) for d in heard.drafts if d.condition]
    noted = audit.readings(visit.panel, trade) if visit.panel else []
    checks = run.run(bound(readings, trade), visit.facts, trade, _words(trade), stated, over)
    panel = audit.audit(visit.panel, noted, visit.facts, _words(trade), over) if visit.panel else ()
    mender = menders(trade)
    found = [finding(g, trade, readings, mender) for g in merge(heard.drafts, trade)]
    found = [*attach(found, checks, readings, trade), *from_checks(found, checks, readings, trade)]
    found = audit.findings(found, panel, noted, trade, mender)
    readings, checks = [*readings, *noted], (*checks, *panel)
    known = load_standards(*over)
    ticked, decided, odd_ticks = ticks(visit.decisions, trade, known)
    own_decisions, decided = mine(
        decided,
        [*limitations(heard), *journaled.limitations(visit)],
        [*as_found(heard), *journaled.as_found(visit)],
    )
    shots = {p.id for p in visit.photos}
    about_photos = [d for d in decided if d.subject in shots]
    about_words = [d for d in decided if d.subject not in shots]
    found = added.inked(found, by_hand)
    found, remarks, odd = decisions.apply(found, heard.remarks, about_words, readings)
    offsets = _offsets(visit)
    looked = ingest(visit.folder, visit.photos, tell)
    tell("filing the pictures")
    filing = filing_record.filed(visit.photos, looked.seen, remarks, found, offsets, visit.facts.devices)
    filing = filing_record.suggested(filing, visit.papers)
    filing, _, odd_photos = filing_record.decide(filing, about_photos, found)
    pictures = filing_record.beside(filing)
    found = [_with_photos(f, pictures) for f in order(found, trade)]
    found = [replace(f, number=n) for n, f in enumerate(found, 1)]
    remarks = _into(remarks, found, heard)
    photos = tuple(filing_record.reference(p, filing, found, looked.seen) for p in visit.photos)
    drawn = marks.of_pictures(visit)
    photos = tuple(replace(p, plate=lettered.get(p.id, ()), marks=drawn.get(p.id, ())) for p in photos)
    tell("counting what was looked at")
    laws = known.chosen(visit.facts.standards, visit.facts.jurisdiction)
    limits = with_clauses([*limitations(heard), *journaled.limitations(visit)], laws, trade, known)
    beside = by_time([filing_record.corrected(p, filing) for p in visit.photos], [_moment(r, offsets) for r in remarks])
    duties = load_duties(*over)
    standing = stand(remarks, about_words)
    told = Told(
        visit.facts, as_said(remarks, standing), found, readings, limits, photos, ticked, beside, duties.law_numbers
    )
    owed = ledger(told, trade, known)
    warmth, odd_frames = _thermal(visit, over, once)
    warmth = tuple(heat_findings.beside(frame, found, over) for frame in warmth)
    found = [heat_findings.evidence(f, warmth) for f in found]
    made = Record(
        kingpost=__version__,
        visit=visit.facts,
        remarks=tuple(remarks),
        readings=tuple(readings),
        findings=tuple(found),
        checks=tuple(checks),
        limitations=tuple(limits),
        as_found=(*as_found(heard), *journaled.as_found(visit)),
        causes=causes(found, trade),
        coverage=as_record(owed),
        photos=photos,
        clocks=filing_record.clock_refs(filing),
        thermal=warmth,
        trouble=(
            *visit.trouble,
            *looked.trouble,
            *odd_rows,
            *odd_drafts,
            *odd,
            *odd_photos,
            *odd_ticks,
            *odd_frames,
            *owed.trouble,
        ),
        counts=_counts(visit, heard, remarks, found) | {"photo_doubts": filing.doubtful},
        notes=(*heard.notes, *asked, *filing_record.to_hide(photos)),
    )
    tell("asking what is still open")
    return owe(made, owed, Given(trade, known, duties, laws, own_decisions, offsets, beside, standing))


def _plates(
    visit: Visit, heard: Hearing, known: Sequence[Reading], trade: Trade
) -> tuple[list[Reading], dict[str, tuple[dict[str, Any], ...]], list[str]]:
    """Readings off plates, the fields of each plate by its picture, and what of them is asked."""
    made, fields, asks = list[Reading](), dict[str, tuple[dict[str, Any], ...]](), list[str]()
    offsets, lines = _offsets(visit), by_photo(visit.lettering)
    for photo in (p for p in visit.photos if p.id in lines):
        plate = plates_fields.fields(lines[photo.id])
        said = plates.around(photo, [(_moment(r, offsets), r.place) for r in heard.remarks])
        of = plates_fields.component(lines[photo.id])
        more, asked = plates.readings(photo, plate, of, said, [*known, *made], trade)
        made, asks = [*made, *more], [*asks, *asked]
        fields[photo.id] = plates.as_record(plate, of)
    return made, fields, asks


def _thermal(
    visit: Visit, over: Sequence[Path], once: Callable[..., Any]
) -> tuple[tuple[FrameRef, ...], list[Trouble]]:
    """Thermal frames with what stands out in each, what it may be, and the photo that was taken with it."""
    made, odd = [], []
    for f in visit.frames:
        state, says, _ = heat_pictures.conditions(f, visit.facts, over)
        ref = FrameRef(
            f.id, f.file, f.taken.isoformat() if f.taken else None, str(f.about.get("place", "")), about=f.about,
            photo=frames_beside.beside(f, visit.photos), state=state, says=says,
        )  # fmt: skip
        try:
            seen = frames.read(visit.folder / f.file, f.about)
        except frames.FrameError as err:
            odd.append(Trouble(f.file, None, str(err), "export it again, and look at the TOML beside it"))
            made.append(ref)
            continue
        t = seen.celsius
        patches = once("patches", (f.digest, f.about), partial(frames_spots.spots, t))
        spots = heat_pictures.judged(patches, f, visit.facts, state, over, (t.shape[1], t.shape[0]))
        cold, hot = frames.ends(t)
        air = heat_pictures.damp_risk(cold, f, visit.facts, state, over)
        made.append(replace(ref, coldest_c=cold, hottest_c=hot, spots=spots, air=air, correction=seen.says))
    return tuple(made), odd


def _words(trade: Trade) -> Callable[[str], tuple[str, ...]]:
    """How a place or component may be called in the alterations of visit.toml."""

    def words(thing: str) -> tuple[str, ...]:
        if thing in trade.components:
            return (trade.components[thing].name, thing.replace("_", " "))
        if thing in trade.places:
            place = trade.places[thing]
            return () if place.kind in ("side", "level") else (place.name, thing.replace("_", " "))
        return tuple(part for part in thing.split(", ") if part)

    return words


def _offsets(visit: Visit) -> dict[str, float]:
    """Where time 0 of each walk lies on the visit's clock, in seconds."""
    start = visit.facts.started
    return {w.source: (w.started - start).total_seconds() if w.started and start else 0.0 for w in visit.walks}


def _moment(remark: Remark, offsets: dict[str, float]) -> Moment:
    shift = offsets.get(remark.source, 0.0)
    return Moment(remark.id, remark.start + shift, remark.end + shift)


def _with_photos(one: Finding, pictures: dict[str, tuple[str, ...]]) -> Finding:
    more = tuple({"photo": p} for p in pictures.get(one.id, ()))
    return replace(one, evidence=(*one.evidence, *more)) if more else one


def _into(remarks: Sequence[Remark], findings: Sequence[Finding], heard: Hearing) -> list[Remark]:
    """Each remark with the ids of everything made of it."""
    made: dict[str, list[str]] = {}
    for f in findings:
        for e in f.evidence:
            if "remark" in e:
                made.setdefault(e["remark"], []).append(f.id)
    for q in heard.readings:
        made.setdefault(q.remark, []).append(digest("q", q.quantity, q.value, q.unit, q.component))
    for x in heard.limits:
        for r in x.remarks:
            made.setdefault(r, []).append(digest("l", x.text))
    for h in heard.handled:
        for r in h.remarks:
            made.setdefault(r, []).append(digest("a", h.thing, h.text))
    return [replace(r, into=tuple(dict.fromkeys((*r.into, *made.get(r.id, ()))))) for r in remarks]


def _counts(visit: Visit, heard: Hearing, remarks: Sequence[Remark], findings: Sequence[Finding]) -> dict[str, int]:
    return {
        "cues": sum(len(w.cues) for w in visit.walks),
        "words": heard.words,
        "remarks": len(remarks),
        "loose_ends": sum(r.use == "set_aside" and r.why_set_aside.startswith("unclear:") for r in remarks),
        "pencil": sum(f.state == "pencil" for f in findings),
        "photos": len(visit.photos),
        "thermal": len(visit.frames),
    }
