"""What an extract shows beside what is cut from the report: rows to cite, questions to a trade, evidence with times."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kingpost.visit.record import Finding

from ..findings import photo_words
from ..index import Index
from ..pictures import Picture, Pictures
from ..values import quantity
from ..words import STANDING_SHORT, WHEN, capital, clock, elapsed, heading, label, listed, sentence, tidy

MORE = 4  # further pictures of one finding on the sheet of a trade


@dataclass(frozen=True, slots=True)
class Row:
    """One finding to cite."""

    finding: Finding
    number: int
    title: str
    where: str
    standing: str
    when: str
    who: str


@dataclass(frozen=True, slots=True)
class More:
    """A further picture of a finding."""

    picture: Picture
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class Question:
    """What one trade is asked about one finding."""

    finding: Finding
    number: int
    where: str
    sizes: tuple[tuple[str, str], ...]
    asks: tuple[str, ...]
    more: tuple[More, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """Everything behind one finding, with files and times."""

    finding: Finding
    number: int
    title: str
    lines: tuple[tuple[str, str, str], ...]  # what, when, where it lies and what it says


def rows(index: Index) -> tuple[Row, ...]:
    """All findings as they are cited."""
    return tuple(
        Row(
            *(f, index.number[f.id], heading(f.title), index.places(f), label(f.standing, STANDING_SHORT)),
            label(f.when, WHEN),
            listed(index.people(f)),
        )
        for f in index.findings
    )


def question(index: Index, finding: Finding, pictures: Pictures) -> Question:
    """What to ask about this finding: the price and the way of mending, and every measure that is still missing."""
    number, where = index.number[finding.id], index.places(finding)
    sizes = []
    for key in finding.readings:
        if reading := index.readings.get(key):
            name = capital(index.quantity(reading.quantity))
            place = index.place(reading.place) if reading.place else ""
            value = quantity(reading.value, reading.unit, reading.uncertainty)
            sizes.append((name + (f", {place}" if place else ""), value))
    for key in finding.checks:
        if (check := index.checks.get(key)) and check.measured:
            sizes.append((capital(check.title or "Measured"), tidy(check.measured)))
    return Question(
        finding,
        number,
        where,
        tuple(dict.fromkeys(sizes)),
        tuple(_asks(index, finding)),
        _more(index, finding, pictures),
    )


def _asks(index: Index, finding: Finding) -> Iterator[str]:
    about = f"finding {index.number[finding.id]}, {index.place(finding.place)}" if finding.place else "this finding"
    if finding.standing == "information":
        yield f"For {about}: is there anything to do here, and what would it cost?"
    else:
        yield (
            f"For {about}: what do you find there, would you mend it as “What to do” says or in another way, and what "
            "does that cost?"
        )
    for key in finding.checks:
        check = index.checks.get(key)
        if check and check.verdict == "cannot_tell":
            lacks = listed([tidy(index.quantity(m)) for m in check.missing]) or "a closer measurement"
            yield f"{capital(check.title or 'This')} could not be decided. Please measure and write down: {lacks}."
    if finding.doubt:
        yield "The inspector’s draft is not certain here; please say in writing what it is."


def _more(index: Index, finding: Finding, pictures: Pictures) -> tuple[More, ...]:
    """The pictures after the first, which stands beside the finding."""
    out = []
    ids = [p for p in index.evidence(finding.evidence, "photo") if p in index.photos]
    for key in ids[1 : 1 + MORE]:
        photo = index.photos[key]
        if picture := pictures.of(photo):
            at, words = clock(index.taken(photo)), tidy(sentence(photo_words(index, photo, finding.title)))
            caption = f"Photo\u00a0{index.photo_number[key]}{f', {at}' if at else ''}. {words}".strip()
            out.append(More(picture, caption, f"{words or 'Photograph.'} For finding {index.number[finding.id]}."))
    return tuple(out)


def proofs(index: Index) -> tuple[Proof, ...]:
    """Finding by finding, what lies behind it."""
    return tuple(Proof(f, index.number[f.id], heading(f.title), tuple(_lines(index, f))) for f in index.findings)


def _lines(index: Index, finding: Finding) -> Iterator[tuple[str, str, str]]:
    for key in index.evidence(finding.evidence, "remark"):
        if remark := index.remarks.get(key):
            heard = [f"heard “{h}”, taken for “{meant}”" for h, meant in remark.mended]
            said = f"{remark.source}: “{remark.text}”" + (f" ({listed(heard)})" if heard else "")
            yield "Remark", f"{elapsed(remark.start)} to {elapsed(remark.end)}", said
    for key in index.evidence(finding.evidence, "photo"):
        if photo := index.photos.get(key):
            yield f"Photo\u00a0{index.photo_number[key]}", clock(index.taken(photo)), photo.file
    for key in index.evidence(finding.evidence, "thermal"):
        if frame := index.frames.get(key):
            yield f"Thermal picture\u00a0{index.frame_number[key]}", (frame.taken or "")[11:16], frame.file
    for key in finding.readings:
        if reading := index.readings.get(key):
            at = clock(index.moment(reading.start)) if reading.start is not None else ""
            value = quantity(reading.value, reading.unit, reading.uncertainty)
            yield (
                "Reading",
                at,
                f"{index.quantity(reading.quantity)}: {value}" + (f" ({reading.row})" if reading.row else ""),
            )
    for key in finding.checks:
        if check := index.checks.get(key):
            yield "Check", "", f"{check.title or check.check}: {check.verdict.replace('_', ' ')}"
    state = "ink" if finding.state == "ink" else "pencil"
    yield (
        "State",
        "",
        f"{state}; drafted with confidence {finding.confidence:.2g}"
        + (f"; {finding.decided}" if finding.decided else ""),
    )
    if finding.doubt:
        yield "Doubt", "", finding.doubt
