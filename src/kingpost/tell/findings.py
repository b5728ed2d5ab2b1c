"""Findings as their sheets print them: the text, one photograph, and how we know."""

from __future__ import annotations

import re
from dataclasses import dataclass

from kingpost.visit.record import Check, Finding, PhotoRef, Reading, Remark, SourceRef

from .index import Index, LevelSheet
from .pictures import Picture, Pictures
from .values import money, named, pairs, quantity
from .words import BASIS, IN_FORCE, capital, clock, elapsed, heading, label, listed, sentence, tidy

QUOTES, QUOTE_CHARS = 3, 260
LONG = 1900  # characters of prose that no longer fit beside the photograph on one sheet
FOUR = ("Measured", "Sum", "Held against", "By its date")


@dataclass(frozen=True, slots=True)
class Quote:
    """Words of the walk, and when they fell."""

    remark: str
    text: str
    at: str


@dataclass(frozen=True, slots=True)
class Cite:
    """A source beside what it supports; basis goes in brackets."""

    text: str
    basis: str


Line = tuple[str, str, tuple[Cite, ...]]  # its label, what it says, its sources


@dataclass(frozen=True, slots=True)
class CheckView:
    """One check: its verdict, what it says, and the four lines. The rule, where one is drawn, stands above them."""

    check: Check
    title: str
    says: str
    halves: tuple[tuple[Line, ...], tuple[Line, ...]]  # measured and sum; held against and by its date
    caution: str


@dataclass(frozen=True, slots=True)
class Shot:
    """A photograph with its caption; `picture` is None where the file cannot be read."""

    photo: PhotoRef
    picture: Picture | None
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class FindingView:
    """Everything that a finding prints."""

    finding: Finding
    number: int
    title: str
    where: str
    saw: str
    matters: str
    do: tuple[str, str, str]  # before, who does it, after
    cost: str
    cautions: tuple[str, ...]
    shot: Shot | None
    know: str
    quotes: tuple[Quote, ...]
    checks: tuple[CheckView, ...]
    facts: tuple[tuple[str, str], ...]  # further lines of evidence: label, text
    long: bool


@dataclass(frozen=True, slots=True)
class LevelView:
    """One level and its findings."""

    sheet: LevelSheet
    findings: tuple[FindingView, ...]


def levels(index: Index, pictures: Pictures) -> list[LevelView]:
    """All levels, ridge to ground."""
    return [LevelView(sheet, tuple(view(index, f, pictures) for f in findings)) for sheet, findings in index.by_level()]


def view(index: Index, finding: Finding, pictures: Pictures) -> FindingView:
    """One finding, ready to print."""
    told = finding.narrative
    photos = index.evidence(finding.evidence, "photo")
    first = next((index.photos[p] for p in photos if p in index.photos), None)
    checks = tuple(check_view(index.checks[c]) for c in finding.checks if c in index.checks)
    know, quotes = _told(sentence(told.how_we_know), _quotes(index, finding))
    cautions = [*finding.cautions, *(c.caution for c in checks)]
    return FindingView(
        finding=finding,
        number=index.number[finding.id],
        title=heading(finding.title),
        where=tidy(index.places(finding)),
        saw=tidy(sentence(told.saw)),
        matters=tidy(sentence(told.matters)),
        do=parted(told.do, index.people(finding)),
        cost=money(finding.cost),
        cautions=tuple(dict.fromkeys(tidy(sentence(c)) for c in cautions if c)),
        shot=_shot(index, first, finding, pictures) if first else None,
        know=know,
        quotes=quotes,
        checks=checks,
        facts=tuple(_facts(index, finding, photos, first)),
        long=len(told.saw) + len(told.matters) + len(told.do) > LONG,
    )


def parted(text: str, people: list[str]) -> tuple[str, str, str]:
    """What to do, split round the first mention of who does it; where nobody is named, a sentence says who."""
    text = tidy(sentence(text))
    for who in people:
        words = re.sub(r"^(?:an?|the|you,) ", "", who).replace("licensed ", "").replace("certified ", "").split()
        whole = r"\s+".join(re.escape(word) for word in words)
        short = rf"{re.escape(words[0])}\b[\w\s]{{0,16}}\b{re.escape(words[-1])}"  # "heating contractor" is one too
        for name in (rf"(?:(?:licensed|certified)\s+)?{whole}", short):
            if found := re.search(rf"\b{name}\b", text, re.IGNORECASE):
                return text[: found.start()], found[0], text[found.end() :]
    people = [who for who in people if not who.startswith("you")]  # "you" is who the report speaks to
    return (f"{text} Who does it: ".lstrip(), listed(people, "or"), ".") if people else (text, "", "")


def _shot(index: Index, photo: PhotoRef, finding: Finding, pictures: Pictures) -> Shot:
    at = clock(index.taken(photo))
    words = photo_words(index, photo, finding.title)
    number = f"Photo\u00a0{index.photo_number[photo.id]}" + (f", {at}" if at else "")
    about = tidy(sentence(words))
    alt = f"{about or 'Photograph.'} For finding {index.number[finding.id]}: {tidy(finding.title)}"
    return Shot(photo, pictures.of(photo), f"{number}. {about}".strip(), alt)


def photo_words(index: Index, photo: PhotoRef, beside: str = "") -> str:
    """What a photograph shows: its caption, or its place where the caption only repeats the title beside it."""
    words = index.place(photo.caption) if photo.caption in index.trade.places else photo.caption
    return capital(words if words and words != beside else index.place(photo.place))


def spoken_at(index: Index, remark: Remark) -> str:
    """When something was said, by its recording: "43:10"; the file too where there are several."""
    several = len({r.source for r in index.record.remarks}) > 1
    if remark.source.endswith(".txt"):
        return remark.source
    return elapsed(remark.start) + (f" in {remark.source}" if several else "")


def _quotes(index: Index, finding: Finding) -> list[Quote]:
    out = []
    for id_ in index.evidence(finding.evidence, "remark")[:QUOTES]:
        if said := index.remarks.get(id_):
            text = said.text.strip()
            if len(text) > QUOTE_CHARS:
                text = text[:QUOTE_CHARS].rsplit(" ", 1)[0] + " …"
            out.append(Quote(said.id, tidy(text), spoken_at(index, said)))
    return out


def _told(know: str, quotes: list[Quote]) -> tuple[str, tuple[Quote, ...]]:
    """How we know in words, and the quotes: what one of them says, the other does not repeat."""
    know, kept = tidy(know), []
    for quote in quotes:
        said = rf"(?:^|(?<=\s))(?:At|In) [^“”]{{0,80}} said: “{re.escape(quote.text)}”[.,;]?\s*"
        know = re.sub(said, "", know)
        if quote.text not in know:
            kept.append(quote)
    return sentence(re.sub(r"([.!?])”\.", r"\1”", know)), tuple(kept)


def reading_words(index: Index, reading: Reading) -> str:
    """ "top riser 9.75 ± 0.13 in"."""
    return f"{index.quantity(reading.quantity)} {quantity(reading.value, reading.unit, reading.uncertainty)}"


def _facts(index: Index, finding: Finding, photos: list[str], shown: PhotoRef | None) -> list[tuple[str, str]]:
    out = []
    in_checks = {r for c in finding.checks if c in index.checks for r in index.checks[c].readings}
    loose = [index.readings[r] for r in finding.readings if r in index.readings and r not in in_checks]
    if loose:
        out.append(("Measured", sentence("; ".join(reading_words(index, r) for r in loose))))
    more = [str(index.photo_number[p]) for p in photos if p in index.photos and (not shown or p != shown.id)]
    if more:
        out.append(("Also on file", f"photo{'s' if len(more) > 1 else ''}\u00a0{listed(more)}."))
    if frames := index.evidence(finding.evidence, "thermal"):
        files = [index.frames[t].file for t in frames if t in index.frames]
        out.append(("Thermal picture", f"{listed(files)}."))
    if rows := index.evidence(finding.evidence, "row"):
        out.append(("Written down", f"{listed(rows)}."))
    if finding.doubt and finding.state != "ink":
        out.append(("In doubt", tidy(sentence(finding.doubt))))
    return out


def check_view(check: Check) -> CheckView:
    """One check with its four lines, always in the same order; a line with nothing to say is left out."""
    held = check.held_against or pairs(check.required)
    texts = (
        check.measured or pairs(check.inputs),
        check.sum or pairs(check.computed),
        held,
        check.by_its_date or (IN_FORCE.get(check.in_force_when_built, "") if check.sources else ""),
    )
    cites = tuple(c for c in (cite(source, held) for source in check.sources) if c.text or f"({c.basis}" not in held)
    lines: list[Line] = [
        (name, tidy(text), cites if name == "Held against" else ()) for name, text in zip(FOUR, texts, strict=True)
    ]
    right = [*lines[2:], ("Not known", tidy(listed([named(m)[0] for m in check.missing])), ())]
    return CheckView(
        check=check,
        title=tidy(check.title or capital(check.check.replace("-", " ").replace("_", " "))),
        says=tidy(sentence(check.says)),
        halves=(tuple(line for line in lines[:2] if any(line[1:])), tuple(line for line in right if any(line[1:]))),
        caution=check.caution,
    )


def cite(source: SourceRef, beside: str = "") -> Cite:
    """A source in one line; what the text beside it already names is not said twice."""
    parts = [p for p in (source.document, source.section, source.edition) if p and p not in beside]
    return Cite(tidy(", ".join(parts)), label(source.basis, BASIS))
