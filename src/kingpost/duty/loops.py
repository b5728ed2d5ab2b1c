"""The house as found: what was changed opens a loop, and only its closing, or a reason, closes it.

Loops come from speech (`record.as_found`), from ticks (`open` in a journal, with a picture or without), and from
procedures: a tripped device also stops what it feeds. Closing twice is one closing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kingpost.judge.findings import digest
from kingpost.trade.duties import Implied, Procedure
from kingpost.visit.facts import Trouble
from kingpost.visit.owed import Loop
from kingpost.visit.record import AsFound, PhotoRef, Record, Remark

from .given import Given, seconds
from .words import has

BREATH_S = 20.0  # what is told of the same thing so soon after it was put back tells the putting back again
NEAR_S = 120.0  # a picture within this time of an opening or a closing shows it, if its place fits
SPOKEN = ("set_aside",)


def as_found(record: Record, given: Given) -> tuple[list[AsFound], dict[str, str]]:
    """What was changed, each once, with what the inspector decided; and the ids that went into another."""
    ids = {t.name: t.id for t in given.trade.handled.values()}
    told = [*(_named(a, given) for a in record.as_found), *_ticked(record, given)]
    told.sort(key=lambda a: (_at(a, record, given), a.id))
    kept: list[AsFound] = []
    gone: dict[str, str] = {}
    for one in told:
        home = next((k for k in reversed(range(len(kept))) if _same(kept[k], one, ids, record, given)), None)
        if home is None:
            kept.append(one)
        else:
            gone[one.id] = kept[home].id
            kept[home] = _joined(kept[home], one, record, given)
    out = [_decided(a, record, given) for a in kept if not given.of(a.id, *SPOKEN)]
    gone |= {a.id: "" for a in kept if given.of(a.id, *SPOKEN)}
    return out, gone


def _named(one: AsFound, given: Given) -> AsFound:
    """The words of a test name the thing: "GFCI by the door, I tripped it" is about no door."""
    for procedure in given.duties.procedures.values():
        if has(one.text, procedure.said):
            fit = [t for t in procedure.things if has(one.text, given.trade.handled[t].said)]
            return replace(one, thing=given.trade.handled[(fit or procedure.things)[0]].name)
    return one


def _ticked(record: Record, given: Given) -> list[AsFound]:
    """Changes told by a tick: its subject is a thing of handled.toml, alone or with a place after an at sign."""
    out = []
    for d in given.about("open"):
        what, _, place = d.subject.partition("@")
        thing = given.trade.handled.get(what)
        if thing is None:
            mend = "name a thing of handled.toml, such as " + ", ".join(sorted(given.trade.handled)[:4])
            given.trouble.append(Trouble(d.file, d.line, f'open is about "{what}", which is not known', mend))
            continue
        shown: tuple[dict[str, str], ...] = ({"tick": d.id},)
        if isinstance(d.fields.get("photo"), str):
            shown = (*shown, {"photo": str(d.fields["photo"])})
        text = str(d.fields.get("text") or f"{thing.name[:1].upper()}{thing.name[1:]} changed.")
        at = seconds(d.at, record)
        out.append(AsFound(digest("a", "tick", d.subject), text, at, None, False, shown, place, thing.name))
    return list({a.id: a for a in reversed(out)}.values())


def offset(evidence: Sequence[Mapping[str, object]], record: Record, given: Given) -> float:
    """Where time 0 of the walk lies that a piece of evidence comes from."""
    ids = {str(e["remark"]) for e in evidence if "remark" in e}
    source = next((r.source for r in record.remarks if r.id in ids), "")
    return given.offsets.get(source, 0.0)


def _at(one: AsFound, record: Record, given: Given) -> float:
    return (one.opened_at or 0.0) + offset(one.evidence, record, given)


def _ended(one: AsFound, record: Record, given: Given) -> float | None:
    return None if one.closed_at is None else one.closed_at + offset(one.evidence, record, given)


def _same(one: AsFound, other: AsFound, ids: Mapping[str, str], record: Record, given: Given) -> bool:
    """Whether `other`, told later, speaks of the change that `one` tells already."""
    a, b = ids.get(one.thing, ""), ids.get(other.thing, "")
    if not a or not b:
        return False
    ended, begun = _ended(one, record, given), _at(other, record, given)
    while_open = not one.put_back or (ended is not None and begun < ended)
    if a == b and one.place == other.place and while_open:
        return True
    if a == b and ended is not None and not other.put_back and 0 <= begun - ended <= BREATH_S:
        return True
    care = given.duties.care
    effect = a in care and b in care and care[a].risk == care[b].risk == "heat"
    return effect and not one.put_back and not other.put_back and b in given.trade.handled[a].kin


def _joined(one: AsFound, other: AsFound, record: Record, given: Given) -> AsFound:
    """One change told twice: put back if either telling puts it back; a repeat of the closing adds nothing."""
    evidence = tuple({str(sorted(e.items())): e for e in (*one.evidence, *other.evidence)}.values())
    shift = offset(one.evidence, record, given)
    closes = [c - shift for c in (_ended(one, record, given), _ended(other, record, given)) if c is not None]
    return replace(one, evidence=evidence, closed_at=max(closes, default=None), put_back=one.put_back or other.put_back)


def _decided(one: AsFound, record: Record, given: Given) -> AsFound:
    """As the inspector decided: put back, or left with a reason. The first putting back counts; more change nothing."""
    for d in given.of(one.id, "put_back")[:1]:
        at = seconds(d.at, record)
        shift = offset(one.evidence, record, given)
        closed = one.closed_at if one.put_back else (at - shift if at is not None else None)
        photo = ({"photo": str(d.fields["photo"])},) if isinstance(d.fields.get("photo"), str) else ()
        one = replace(one, put_back=True, closed_at=closed, evidence=(*one.evidence, *photo))
    for d in given.of(one.id, "leave")[-1:]:
        one = replace(one, why=str(d.fields.get("why", "")).strip())
    return one


def loops(found: Sequence[AsFound], record: Record, given: Given) -> list[Loop]:
    """All loops of a visit, in the order in which they were opened."""
    ids = {t.name: t.id for t in given.trade.handled.values()}
    out = [_loop(a, ids.get(a.thing, ""), record, given) for a in found]
    triggers = [(a, ids.get(a.thing, "")) for a in found]
    for procedure in given.duties.procedures.values():
        by = [a for a, thing in triggers if thing in procedure.things or has(a.text, procedure.said)]
        if by:
            wanted = [i for i in procedure.implieds if not i.named or _has_one(i, record)]
            out += [_implied(procedure, i, by, record, given) for i in wanted]
    return sorted(_once(out), key=lambda x: (x.opened_at or 0.0, x.kind == "implied", x.id))


def _has_one(wanted: Implied, record: Record) -> bool:
    """Whether anything said shows that this house has one. A talk about other houses does not."""
    told = (r for r in record.remarks if not r.why_set_aside.startswith(("about another", "a tip", "what would")))
    return any(has(r.text, wanted.named) for r in told)


def _once(made: Sequence[Loop]) -> list[Loop]:
    """Two procedures that ask for the same thing to run again ask once; the answer to one is the answer to both."""
    out: dict[tuple[str, str], Loop] = {}
    for x in made:
        key = (x.thing, "implied") if x.kind == "implied" else (x.id, "")
        other = out.get(key)
        rank = ("open", "left", "closed", "asked")
        if other is None or rank.index(x.state) < rank.index(other.state):
            first, second = x, other
        else:
            first, second = other, x
        by = (*first.implied_by, *(second.implied_by if second else ()))
        out[key] = replace(first, implied_by=tuple(dict.fromkeys(by)))
    return list(out.values())


def _loop(one: AsFound, thing: str, record: Record, given: Given) -> Loop:
    care = given.duties.care.get(thing)
    opened = _at(one, record, given) if one.opened_at is not None else None
    closed = _ended(one, record, given)
    state = "closed" if one.put_back else "left" if one.why else "open"
    due = opened + care.due_min * 60 if opened is not None and care and care.due_min is not None else None
    return Loop(
        one.id,
        one.thing,
        "ticked" if any("tick" in e for e in one.evidence) else "said",
        one.text,
        one.place,
        state,
        opened,
        closed,
        due,
        round((closed - opened) / 60, 2) if opened is not None and closed is not None else None,
        due is not None and (closed > due if closed is not None else state == "open"),
        care.risk if care else "",
        care.back if care else "put it back as it was found",
        one.why,
        (),
        one.before,
        one.after,
        one.evidence,
    )


def _implied(procedure: Procedure, wanted: Implied, by: Sequence[AsFound], record: Record, given: Given) -> Loop:
    """One thing that a test stopped: closed by words after the last such test, or by a decision."""
    name = digest("a", "implied", procedure.id, wanted.id)
    first = min(_at(a, record, given) for a in by)
    last = max(_at(a, record, given) for a in by)
    words = sorted(record.remarks, key=lambda r: (_when(r, given), r.id))
    shows = [r for r in words if _when(r, given) >= last and has(r.text, wanted.said)]
    shows += [r for n, r in enumerate(words[:-1]) if _when(r, given) >= last and _across(words[n : n + 3], wanted)]
    state, why, closed = ("open" if wanted.named else "asked"), "", None
    evidence = tuple(e for a in by for e in a.evidence)
    if shows:
        state, closed = "closed", _when(shows[0], given)
        evidence = (*evidence, {"remark": shows[0].id})
    for d in given.of(name, "put_back")[:1]:
        state, closed = "closed", closed if closed is not None else seconds(d.at, record)
    for d in given.of(name, "leave")[-1:]:
        state, why = ("left" if state != "closed" else state), str(d.fields.get("why", ""))
    thing = given.trade.handled[wanted.thing]
    due = last + wanted.due_min * 60 if wanted.due_min is not None else None
    return Loop(
        name, thing.name, "implied", wanted.says, by[0].place, state, first, closed, due, None,
        state in ("open", "asked"), "power", f"because {procedure.name}: see that {wanted.says}", why,
        tuple(a.id for a in by), (), (), evidence,
    )  # fmt: skip


def _when(remark: Remark, given: Given) -> float:
    return remark.start + given.offsets.get(remark.source, 0.0)


def _across(run: Sequence[Remark], wanted: Implied) -> bool:
    """Words cut into two remarks: "Freezer," "it's running"."""
    same = [r for r in run if r.source == run[0].source]
    return len(same) > 1 and has(" ".join(r.text for r in same), wanted.said)


def paired(found: Sequence[AsFound], photos: Sequence[PhotoRef], record: Record, given: Given) -> list[AsFound]:
    """As-found and as-left pictures: the nearest in time to the opening and to the closing, where the place fits."""
    out = []
    for a in found:
        given_ids = [str(e["photo"]) for e in a.evidence if "photo" in e]
        opened = _at(a, record, given) if a.opened_at is not None else None
        before = _near(opened, a.place, photos)
        late = _near(_ended(a, record, given), a.place, photos) if a.put_back else ()
        after = tuple(p for p in late if p not in before)
        pair = (dict.fromkeys((*given_ids[:1], *before)), dict.fromkeys((*given_ids[1:], *after)))
        out.append(replace(a, before=tuple(pair[0]), after=tuple(pair[1])))
    return out


def _near(at: float | None, place: str, photos: Sequence[PhotoRef]) -> tuple[str, ...]:
    if at is None:
        return ()
    timed = [(abs(p.seconds - at), p.id, p.place) for p in photos if p.seconds is not None]
    fit = [(gap, name) for gap, name, where in timed if gap <= NEAR_S and where in ("", place)]
    return (min(fit)[1],) if fit else ()
