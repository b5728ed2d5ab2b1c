"""The sheets after the findings: what could not be seen, left as found, readings, sources, the appendix."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass

from kingpost.visit.facts import Facts, Trouble
from kingpost.visit.record import Limitation, Reading, Remark

from .answer import name_of
from .findings import photo_words, spoken_at
from .index import Index
from .pictures import Picture, Pictures
from .proof import CheckView, check_views, cite
from .values import quantity
from .words import NB, SET_ASIDE, USE, capital, cited, clock, counted, date_words, label, listed, sentence, tidy

CAPTION = 3  # words under a picture of the contact sheet; the text for those who do not see it holds all
WORST = ("falls_short", "cannot_tell", "meets", "not_applicable")


@dataclass(frozen=True, slots=True)
class Unseen:
    """One thing that could not be seen or run."""

    id: str
    what: str
    why: str
    where: str
    at: str


@dataclass(frozen=True, slots=True)
class Ring:
    """One thing disturbed: an open ring until it is put back."""

    id: str
    thing: str  # "Door opener"
    text: str
    where: str
    put_back: bool
    times: str


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading in the table."""

    reading: Reading
    what: str
    where: str
    value: str
    source: str


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One document, and the findings that rest on it."""

    number: int
    text: str
    basis: str
    findings: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """One remark in the full list."""

    remark: Remark
    text: str
    at: str
    became: str
    findings: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """One photograph in the list of all."""

    id: str
    number: int
    at: str
    file: str
    caption: str
    findings: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Contact:
    """One picture of the contact sheet."""

    picture: Picture
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class Closing:
    """All sheets after the findings."""

    unseen: tuple[Unseen, ...]
    rings: tuple[Ring, ...]
    readings: tuple[ReadingRow, ...]
    by_place: tuple[tuple[str, tuple[ReadingRow, ...]], ...]  # the same, as paper lists them
    other_checks: tuple[CheckView, ...]
    sources: tuple[SourceRow, ...]
    about: tuple[str, ...]
    inspector: tuple[str, str]
    said: tuple[Said, ...]
    aside: tuple[tuple[str, int], ...]
    photos: tuple[PhotoRow, ...]
    contacts: tuple[Contact, ...]  # the photographs that stand beside no finding
    frames: tuple[str, ...]
    trouble: tuple[Trouble, ...]
    notes: tuple[str, ...]


def closing(index: Index, pictures: Pictures, beside: Collection[str], theme: str = "light") -> Closing:
    """The closing sheets of a record.

    beside  ids of the photographs that stand beside findings; the others make the contact sheet
    theme   of the rules
    """
    record = index.record
    in_findings = {c for f in record.findings for c in f.checks}
    others = [c for c in record.checks if c.id not in in_findings]
    readings = tuple(_reading(index, r) for r in record.readings)
    places = dict.fromkeys(row.where for row in readings)
    return Closing(
        unseen=tuple(_unseen(index, lim) for lim in record.limitations),
        rings=tuple(_rings(index)),
        readings=readings,
        by_place=tuple((place, tuple(row for row in readings if row.where == place)) for place in places),
        other_checks=tuple(
            check_views(
                sorted(others, key=lambda c: WORST.index(c.verdict) if c.verdict in WORST else 9),
                theme,
                numbers=index.sources,
            )
        ),
        sources=tuple(_sources(index)),
        about=tuple(_about(index)),
        inspector=(record.visit.inspector, _signed(record.visit)),
        said=tuple(_said(index, r) for r in record.remarks),
        aside=tuple(_aside(index)),
        photos=tuple(_photos(index)),
        contacts=tuple(_contacts(index, pictures, beside)),
        frames=tuple(f.file for f in record.thermal),
        trouble=record.trouble,
        notes=tuple(tidy(sentence(n)) for n in record.notes),
    )


def _signed(facts: Facts) -> str:
    """Licence and signature, as North Carolina wants both in the report (11 NCAC 08 .1103(b)(3)(E))."""
    name = str(facts.more.get("visit", {}).get("signature", "")).strip()
    return ". ".join(w for w in (facts.licence and f"Licence {facts.licence}", name and f"Signed: {name}") if w)


def _unseen(index: Index, lim: Limitation) -> Unseen:
    what = name_of(index, lim)
    why = lim.text if lim.item else (lim.reason if lim.text.startswith(what.rstrip("…")) else lim.text)
    if lim.item and lim.reason and lim.reason not in lim.text:
        why = f"{sentence(lim.text)} {lim.reason}"
    ids = index.evidence(lim.evidence, "remark")
    at = [spoken_at(index, index.remarks[r]) for r in ids if r in index.remarks]
    asked = f" ({cited(lim.clause)})" if lim.clause else ""
    who = f" ({lim.who[:1].lower()}{lim.who[1:]})" if lim.who else ""
    lift = f" To see it: {lim.shows}{who}." if lim.shows else ""
    where = capital(index.place(lim.place))
    return Unseen(lim.id, tidy(capital(what)), tidy(sentence(why) + asked + lift), where, listed(at[:2]))


def _rings(index: Index) -> list[Ring]:
    out = []
    for thing in sorted(index.record.as_found, key=lambda a: (a.put_back, a.opened_at or 0.0)):
        opened, closed = clock(index.moment(thing.opened_at)), clock(index.moment(thing.closed_at))
        if not thing.put_back:
            left = f"left so: {thing.why}" if thing.why else "not put back"
            times = f"{opened}, {left}" if opened else left
        elif opened and closed:
            times = opened if opened == closed else f"{opened} to {closed}"
        else:
            times = f"{opened}, put back" if opened else "put back"
        where = capital(index.place(thing.place))
        text = tidy(sentence(thing.text))
        out.append(Ring(thing.id, capital(thing.thing), text, where, thing.put_back, capital(times)))
    return out


def _reading(index: Index, reading: Reading) -> ReadingRow:
    sources = []
    if reading.remark and (said := index.remarks.get(reading.remark)):
        sources.append(f"Said at {spoken_at(index, said)}")
    if reading.photo and reading.photo in index.photo_number:
        sources.append(f"Photo\u00a0{index.photo_number[reading.photo]}")
    if reading.row:
        sources.append(reading.row)
    if reading.instrument:
        sources.append(reading.instrument)
    what = index.quantity(reading.quantity)
    part = index.component(reading.component)
    if part and part.lower() not in what.lower():
        what = f"{what}, {part}"
    value = quantity(reading.value, reading.unit, reading.uncertainty)
    where = capital(index.place(reading.place))
    return ReadingRow(reading, tidy(capital(what)), where, tidy(value), tidy(", ".join(sources)))


def _sources(index: Index) -> list[SourceRow]:
    used: dict[tuple[str, str], set[int]] = {key: set() for key in index.sources}
    for f in index.findings:
        for source in (s for c in f.checks if c in index.checks for s in index.checks[c].sources):
            one = cite(source)
            used[one.text, one.basis].add(index.number[f.id])
    return [SourceRow(index.sources[key], *key, tuple(sorted(numbers))) for key, numbers in used.items()]


def _about(index: Index) -> list[str]:
    facts, day = index.record.visit, index.record.visit.started
    where = facts.address or facts.name or "the house"
    on = f" on {date_words(day, facts.locale)}" if day else ""
    out = [
        f"It tells what could be seen and reached at {where}{on}. It is the condition on that day. It is not a promise "
        "about what is hidden or about the years to come, and not advice to buy or not to buy.",
        "Nothing was taken apart beyond what “Left as found” lists. Before anyone works on the roof, the electrical "
        "panel, gas or the structure, a licensed trade looks again, and local rules decide.",
    ]
    said = []
    if facts.standards:
        said.append(f"Standard of practice: {listed(facts.standards)}.")
    if facts.excluded:
        said.append(f"Left out by agreement: {listed(facts.excluded)}.")
    if off := sorted(k for k, on_ in facts.utilities.items() if not on_):
        said.append(f"Not turned on that day: {listed(off)}.")
    if facts.present:
        said.append(f"There that day: {listed(facts.present)}.")
    if said:
        out.append(" ".join(said))
    if facts.invented:
        out.append("This house is invented. Its address, people, readings and pictures are made up to show the report.")
    return [tidy(o) for o in out]


def _said(index: Index, remark: Remark) -> Said:
    into = [f for f in remark.into if f in index.by_id]
    became = f"set aside: {remark.why_set_aside}" if remark.use == "set_aside" else label(remark.use, USE)
    numbers = tuple(sorted((index.number[f], f) for f in into))
    return Said(remark, tidy(remark.text), spoken_at(index, remark), capital(became), numbers)


def _aside(index: Index) -> list[tuple[str, int]]:
    why = Counter(r.why_set_aside or "no reason given" for r in index.record.remarks if r.use == "set_aside")
    return sorted(why.items(), key=lambda w: (SET_ASIDE.index(w[0]) if w[0] in SET_ASIDE else len(SET_ASIDE), w[0]))


def _photos(index: Index) -> list[PhotoRow]:
    shown: dict[str, set[int]] = {}
    for f in index.findings:
        for p in index.evidence(f.evidence, "photo"):
            shown.setdefault(p, set()).add(index.number[f.id])
    rows = []
    for photo in index.record.photos:
        words = " ".join(sentence(w) for w in (photo_words(index, photo), photo.trouble) if w)
        used, number = tuple(sorted(shown.get(photo.id, ()))), index.photo_number[photo.id]
        rows.append(PhotoRow(photo.id, number, clock(index.taken(photo)), photo.file, tidy(words), used))
    return rows


def _contacts(index: Index, pictures: Pictures, beside: Collection[str]) -> list[Contact]:
    """In the order they were taken, so that the wide picture comes before the close one."""
    used: dict[str, list[str]] = {}
    for f in index.findings:
        for p in index.evidence(f.evidence, "photo"):
            used.setdefault(p, []).append(str(index.number[f.id]))
    out = []
    left = [p for p in index.record.photos if p.id not in beside]
    for photo in sorted(left, key=lambda p: (p.seconds is None, p.seconds or 0.0, index.photo_number[p.id])):
        if picture := pictures.small(photo):
            at, numbers = clock(index.taken(photo)), used.get(photo.id, [])
            about = sentence(tidy(photo_words(index, photo)))
            parts = about.split(" ")
            few = about if len(parts) <= CAPTION else " ".join(parts[:CAPTION]).rstrip(".,;:") + "…"
            shown_for = f" For finding{'s' if len(numbers) > 1 else ''}{NB}{listed(numbers)}." if numbers else ""
            name = f"{index.photo_number[photo.id]}" + (f", {at}" if at else "")
            alt = f"{about}{shown_for}".strip() or f"Photo{NB}{name}"
            out.append(Contact(picture, f"{name}. {few}{shown_for}".strip(), alt))
    return out


def aside_words(rows: tuple[tuple[str, int], ...]) -> str:
    """ "twelve remarks were set aside: seven not about the house, five said twice"."""
    total = counted(sum(n for _, n in rows), "remark was", "remarks were")
    return f"{total} set aside: {listed([f'{n} {why}' for why, n in rows])}"
