"""Findings as their sheets print them: the text, one photograph, and how we know."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kingpost.visit.record import Finding, PhotoRef, Reading, Remark

from . import marks
from .index import Index, LevelSheet
from .pictures import Picture, Pictures
from .proof import CheckView, check_views
from .terms import Terms
from .values import money, quantity
from .words import SENTENCE, VERDICT, capital, clock, counted, elapsed, heading, label, listed, sentence, small, tidy

QUOTES, QUOTE_CHARS = 3, 260
EMPTY = frozenset(
    "never only that with than them they until their where this from".split()
)  # says nothing in a caution
READ_HERE = re.compile(r" ?Measured or read here: .*?\.(?= [A-Z]|$)")  # told with its doubt under "How we know"
SHARED = 3  # findings of one cause that make it a sheet of its own
LONG = 1900  # characters of prose that no longer fit beside the photograph on one sheet


@dataclass(frozen=True, slots=True)
class Quote:
    """Words of the walk, and when they fell."""

    remark: str
    text: str
    at: str


@dataclass(frozen=True, slots=True)
class Shot:
    """A photograph with its caption; `picture` is None where the file cannot be read."""

    photo: PhotoRef
    picture: Picture | None
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class Also:
    """A further finding of the same fault: its mark, its place, and what only it brings."""

    finding: Finding
    number: int
    where: str
    saw: str
    quotes: tuple[Quote, ...]


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
    short: bool  # small: told in one breath, how we know with it
    cause: tuple[str, int] | None  # the cause that it shares: its id, and how many findings share it
    terms: tuple[tuple[str, str], ...] = ()  # trade words that stand here for the first time, and what they mean
    also: tuple[Also, ...] = ()  # the same fault elsewhere, under its own number


@dataclass(frozen=True, slots=True)
class LevelView:
    """One level and its findings."""

    sheet: LevelSheet
    findings: tuple[FindingView, ...]


def levels(index: Index, pictures: Pictures, theme: str = "light") -> list[LevelView]:
    """All levels, ridge to ground. A word of the trade and a check are told where they first stand."""
    terms, told = Terms(), dict[str, int]()
    return [
        LevelView(
            sheet,
            tuple(_explained(_first(view(index, same, pictures, theme), told), terms) for same in repeats(findings)),
        )
        for sheet, findings in index.by_level()
    ]


def _first(shown: FindingView, told: dict[str, int]) -> FindingView:
    """A check that an earlier finding tells is named here with its verdict, and where it stands."""
    again = [c for c in shown.checks if c.check.id in told]
    told |= {id_: shown.number for c in shown.checks if c not in again for id_ in (c.check.id, *c.ids)}
    said = [
        f"{c.title} {label(c.check.verdict, VERDICT).lower()}: see finding\u00a0{told[c.check.id]}."
        for c in again
        if not c.open
    ]
    facts = (*shown.facts, ("Held against a limit", " ".join(said))) if said else shown.facts
    return replace(shown, checks=tuple(c for c in shown.checks if c not in again), facts=facts)


def _explained(shown: FindingView, terms: Terms) -> FindingView:
    return replace(shown, terms=terms.new_in((shown.title, shown.saw, shown.matters, "".join(shown.do))))


def repeats(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Findings with those of the same fault put together, in the order of their first."""
    kinds: dict[tuple[str, ...], list[Finding]] = {}
    for f in findings:
        same = (f.title, f.condition, f.standing, f.when, f.state, f.narrative.do, f.narrative.matters)
        kinds.setdefault(same, []).append(f)
    return list(kinds.values())


def view(index: Index, same: Sequence[Finding], pictures: Pictures, theme: str = "light") -> FindingView:
    """One finding, or all of one fault, ready to print."""
    finding = same[0]
    told = finding.narrative
    photos = list(dict.fromkeys(p for f in same for p in index.evidence(f.evidence, "photo") if p in index.photos))
    first = index.photos[photos[0]] if photos else None
    prose = " ".join(tidy(t) for t in (told.saw, told.matters, told.do))
    checks = tuple(
        check_views([index.checks[c] for f in same for c in f.checks if c in index.checks], theme, prose, index.sources)
    )
    know, quotes = _told(index, sentence(told.how_we_know), finding)
    cautions = [*(c for f in same for c in f.cautions), *(c.caution for c in checks)]
    cause = next((c for c in index.record.causes if finding.id in c.findings and len(c.findings) >= SHARED), None)
    return FindingView(
        finding=finding,
        number=index.number[finding.id],
        title=heading(finding.title),
        where=tidy(index.places(*same)),
        saw=tidy(sentence(READ_HERE.sub("", told.saw) or told.saw)),
        matters=tidy(sentence(told.matters)),
        do=parted(told.do, index.people(finding)),
        cost=money(finding.cost, index.record.visit.locale),
        cautions=tuple(_once(tidy(sentence(c)) for c in cautions if c)),
        shot=_shot(index, first, finding, pictures, theme) if first else None,
        know=know,
        quotes=quotes,
        checks=checks,
        facts=tuple(_facts(index, same, photos, first)),
        long=len(told.saw) + len(told.matters) + len(told.do) > LONG,
        short=len(same) == 1 and _short(finding, checks, bool(first)),
        cause=(cause.id, len(cause.findings)) if cause else None,
        also=tuple(_also(index, f, told.saw) for f in same[1:]),
    )


def _once(cautions: Iterable[str]) -> list[str]:
    """Cautions sentence by sentence; one whose words were nearly all said before is left out."""
    out: list[str] = []
    heard: list[set[str]] = [set()]  # the first is all of them together
    for text in (t for c in cautions for t in SENTENCE.split(c)):
        words = {w.rstrip("s") for w in re.findall(r"[a-z]{4,}", text.lower())} - EMPTY or {text}
        if any(len(words & before) >= 0.6 * len(words) for before in heard[0 if len(words) > 3 else 1 :]):
            continue
        heard[0] |= words
        heard.append(words)
        out.append(text)
    return out


def _short(finding: Finding, checks: Sequence[CheckView], photo: bool) -> bool:
    """Told in one breath: nothing falls short of a limit, and it is not pressing, or has no picture to stand beside."""
    if not all(c.open or c.check.verdict == "meets" for c in checks):
        return False
    if finding.when == "before_moving_in":
        return finding.standing == "information"
    pressing = finding.standing == "deficiency" and finding.when == "this_season"
    return not photo if pressing else not (finding.standing == "deficiency" and "people" in finding.at_stake)


def _also(index: Index, finding: Finding, told: str) -> Also:
    saw = finding.narrative.saw
    quotes = tuple(_quotes(index, finding))
    where = capital(index.place(finding.place))
    return Also(finding, index.number[finding.id], tidy(where), "" if saw == told else tidy(sentence(saw)), quotes)


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


def _shot(index: Index, photo: PhotoRef, finding: Finding, pictures: Pictures, theme: str) -> Shot:
    at = clock(index.taken(photo))
    words = photo_words(index, photo, finding.title)
    number = f"Photo\u00a0{index.photo_number[photo.id]}" + (f", {at}" if at else "")
    about = tidy(sentence(words))
    alt = f"{about or 'Photograph.'} For finding {index.number[finding.id]}: {tidy(sentence(finding.title))}"
    picture = pictures.on_paper(photo) if theme == "print" else pictures.of(photo)
    return Shot(photo, picture, f"{number}. {about}".strip(), f"{alt} {marks.says(photo.marks)}".strip())


def photo_words(index: Index, photo: PhotoRef, beside: str = "") -> str:
    """What a photograph shows: its caption, or its place where the caption only repeats the title beside it.

    A place that filing doubts, and nobody has settled yet, is told as a perhaps.
    """
    place = index.place(photo.place)
    if place and any(doubt.startswith("place:") for doubt in photo.doubts):
        place = f"perhaps {small(place)}"
    if photo.caption == photo.place:
        return capital(place)
    words = index.place(photo.caption) if photo.caption in index.trade.places else photo.caption
    return capital(words if words and words != beside else place)


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


def _told(index: Index, know: str, finding: Finding) -> tuple[str, tuple[Quote, ...]]:
    """How we know in words, and the quotes: what one of them says, the other does not repeat."""
    quotes, know = _quotes(index, finding), tidy(know)
    for id_ in index.evidence(finding.evidence, "remark"):
        if said := index.remarks.get(id_):  # each as the record words it: At 43:10 (attic) the inspector said: “...”
            text = re.escape(tidy(said.text.strip()))
            know = re.sub(rf"(?:^|(?<=\s))(?:At|In) [^“”]{{0,80}} said: “{text}”[.,;]?\s*", "", know)
    kept = [q for q in quotes if q.text not in know]
    more = len(index.evidence(finding.evidence, "remark")) - len(quotes)
    if more > 0:
        know = (
            f"{know} {capital(counted(more, 'further remark'))} on it {'is' if more == 1 else 'are'} on file.".strip()
        )
    return sentence(re.sub(r"([.!?])”\.", r"\1”", know)), tuple(kept)


def reading_words(index: Index, reading: Reading) -> str:
    """ "top riser 9.75 ± 0.13 in"."""
    return f"{index.quantity(reading.quantity)} {quantity(reading.value, reading.unit, reading.uncertainty)}"


def _facts(index: Index, same: Sequence[Finding], photos: list[str], shown: PhotoRef | None) -> list[tuple[str, str]]:
    out, finding = [], same[0]
    in_checks = {r for f in same for c in f.checks if c in index.checks for r in index.checks[c].readings}
    read = dict.fromkeys(r for f in same for r in f.readings if r in index.readings and r not in in_checks)
    loose = [index.readings[r] for r in read]
    if loose:
        out.append(("Measured", sentence("; ".join(reading_words(index, r) for r in loose))))
    more = [str(index.photo_number[p]) for p in photos if not shown or p != shown.id]
    if more:
        out.append(("Also on file", f"photo{'s' if len(more) > 1 else ''}\u00a0{listed(more)}."))
    evidence = [e for f in same for e in f.evidence]
    if frames := index.evidence(evidence, "thermal"):
        told = [f"{index.frame_number[t]}, {index.frames[t].place}" for t in frames if t in index.frames]
        out.append((f"Thermal picture{'s' if len(told) > 1 else ''}", f"{'; '.join(told)}."))
    if rows := index.evidence(evidence, "row"):
        out.append(("Written down", f"{listed(rows)}."))
    if finding.doubt and finding.state != "ink":
        out.append(("In doubt", tidy(sentence(finding.doubt))))
    return out
