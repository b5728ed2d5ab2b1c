"""Filing and the record: remarks and findings go in as words, pictures come out as the record lists them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from kingpost.visit import clocks
from kingpost.visit.facts import Decision, Device, Photo, Trouble
from kingpost.visit.record import ClockRef, Finding, PhotoRef, Remark

from .filing import Filed, Filing, file
from .filing_words import Said
from .quality import Seen

VERBS = ("accept", "move", "set_aside", "blur")


def filed(
    photos: Sequence[Photo],
    seen: Mapping[str, Seen],
    remarks: Sequence[Remark],
    findings: Sequence[Finding],
    offsets: Mapping[str, float],
    devices: Sequence[Device],
) -> Filing:
    """File the pictures of a visit beside its remarks and findings.

    offsets  where time 0 of each walk lies on the visit's clock, s
    """
    given = {d: g for d in sorted({p.device for p in photos}) if (g := clocks.given_s(d, devices)) is not None}
    kin = {f.id: f"{f.component} of {f.place}" for f in findings}
    return file(photos, said(remarks, findings, offsets), seen, given, kin)


def said(remarks: Sequence[Remark], findings: Sequence[Finding], offsets: Mapping[str, float]) -> list[Said]:
    """Every remark on the visit's clock, with the findings made of it."""
    of: dict[str, list[Finding]] = {}
    for f in findings:
        for name in dict.fromkeys(str(e["remark"]) for e in f.evidence if "remark" in e):
            of.setdefault(name, []).append(f)
    out = []
    for r in remarks:
        shift, mine = offsets.get(r.source, 0.0), of.get(r.id, [])
        about = next((r.place for f in mine if r.place in (f.place, *f.also_at)), mine[0].place if mine else "")
        ids = tuple(f.id for f in mine)
        out.append(Said(r.id, r.start + shift, r.end + shift, r.place, ids, about, r.use, r.text))
    return out


def beside(filing: Filing) -> dict[str, tuple[str, ...]]:
    """The pictures of each finding: the one to show first, then by chance and time."""
    out: dict[str, list[Filed]] = {}
    for one in filing.photos.values():
        for f in one.findings:
            out.setdefault(f, []).append(one)
    return {f: tuple(x.photo for x in sorted(mine, key=_order)) for f, mine in sorted(out.items())}


def _order(one: Filed) -> tuple[bool, int, float, float, str]:
    return not one.proposed, len(one.faults), -(one.probability or 0.0), one.seconds or 0.0, one.photo


def corrected(photo: Photo, filing: Filing) -> Photo:
    """The picture with its camera's error taken off its time."""
    now = filing.photos[photo.id].seconds
    if now is None or photo.seconds is None or photo.taken is None or now == photo.seconds:
        return photo
    return replace(photo, seconds=now, taken=photo.taken - timedelta(seconds=photo.seconds - now))


def reference(photo: Photo, filing: Filing, findings: Sequence[Finding], seen: Mapping[str, Seen]) -> PhotoRef:
    """The picture as the record lists it."""
    one, right = filing.photos[photo.id], corrected(photo, filing)
    title = {f.id: f.title for f in findings}
    of = [f for f in findings if f.id in one.findings]
    marks = seen[photo.id].as_json() if photo.id in seen else {}
    return PhotoRef(
        id=photo.id,
        file=photo.file,
        taken=right.taken.isoformat() if right.taken else None,
        seconds=right.seconds,
        place=one.place,
        findings=tuple(f.id for f in of),
        caption=of[0].title if of else (one.place or "not placed"),
        width=photo.width,
        height=photo.height,
        orientation=photo.orientation,
        device=photo.device,
        probability=one.probability,
        place_probability=one.place_probability,
        doubts=tuple(_worded(d, title) for d in one.doubts),
        quality={k: v for k, v in marks.items() if isinstance(v, float)},
        faults=one.faults,
        like=one.like,
        burst=one.burst,
        proposed=one.proposed,
        blur=one.blur,
        blur_suggested=one.suggested,
        decided=one.decided,
    )


def _worded(doubt: str, title: Mapping[str, str]) -> str:
    for name, words in title.items():
        doubt = doubt.replace(name, f"“{words}”")
    return doubt


def to_hide(photos: Sequence[PhotoRef]) -> list[str]:
    """A question for each picture that may show something that should be hidden."""
    return [f"{p.file}: perhaps a paper or a screen: should it be hidden?" for p in photos if p.blur_suggested]


def clock_refs(filing: Filing) -> tuple[ClockRef, ...]:
    """The cameras' clocks as the record lists them."""
    return tuple(
        ClockRef(c.device, c.offset_s, c.uncertainty_s, c.source, c.pictures, c.probability, c.says)
        for c in filing.clocks
    )


def suggested(filing: Filing, papers: Mapping[str, tuple[tuple[float, float, float, float], ...]]) -> Filing:
    """The filing with the boxes that may show papers or screens."""
    return replace(filing, photos={n: replace(f, suggested=papers.get(n, ())) for n, f in filing.photos.items()})


def decide(
    filing: Filing, decisions: Sequence[Decision], findings: Sequence[Finding]
) -> tuple[Filing, list[Decision], list[Trouble]]:
    """Lay the inspector's decisions about pictures over the filing.

    accept     it is filed right
    move       place and finding (an id, or "" for none) as given
    set_aside  it belongs to no finding
    blur       boxes: a list of [left, top, width, height] in shares of the upright picture's width and height, [] for
               none, or "suggested" for those that were suggested; open: those of the suggested that are asked still

    Returns the filing, the decisions that are not about pictures, and what could not be used.
    """
    photos, rest, odd = dict(filing.photos), list[Decision](), list[Trouble]()
    known = {f.id for f in findings}
    for d in sorted(decisions, key=lambda d: d.order):
        if d.subject not in photos:
            rest.append(d)
            continue
        changed = _changed(photos[d.subject], d, known, odd)
        if changed is not None:
            photos[d.subject] = changed
    return replace(filing, photos=photos), rest, odd


def _changed(one: Filed, d: Decision, known: set[str], odd: list[Trouble]) -> Filed | None:
    def wrong(problem: str, mend: str) -> None:
        odd.append(Trouble(d.file or "decisions.jsonl", d.line, problem, mend))

    if d.verb == "blur":
        said = d.fields.get("boxes")
        if said == "suggested" and not one.suggested:
            wrong("takes the suggestion, but there is none for this picture", "write the boxes themselves")
            return None
        boxes = one.suggested if said == "suggested" else _boxes(said)
        if boxes is None:
            wrong(
                "blur has no boxes that can be used", "write boxes as [[left, top, width, height]], shares from 0 to 1"
            )
            return None
        still = _boxes(d.fields.get("open", [])) or ()
        return replace(one, blur=boxes, suggested=tuple(b for b in one.suggested if b in still))
    if d.verb not in VERBS:
        wrong(f"{d.verb} is not for a picture", f"write one of {', '.join(VERBS)}")
        return None
    sure = {"probability": 1.0, "place_probability": 1.0, "doubts": (), "decided": d.verb}
    if d.verb == "set_aside":
        return replace(one, findings=(), **sure)  # type: ignore[arg-type]
    place, findings = str(d.fields.get("place", one.place)), one.findings
    if "finding" in d.fields:
        name = str(d.fields["finding"])
        if name and name not in known:
            wrong(f'move to "{name}", which is not a finding', "give the id of a finding, or an empty one for none")
            return None
        findings = (name,) if name else ()
    return replace(one, place=place, findings=findings, **sure)  # type: ignore[arg-type]


def _boxes(said: object) -> tuple[tuple[float, float, float, float], ...] | None:
    """Boxes within the picture; None where any is none."""
    if not isinstance(said, list):
        return None
    out = []
    for box in said:
        if not isinstance(box, list) or len(box) != 4 or not all(type(v) in (int, float) for v in box):
            return None
        left, top, width, height = map(float, box)
        if not (0 <= left < 1 and 0 <= top < 1 and 0 < width <= 1 and 0 < height <= 1):
            return None
        out.append((left, top, width, height))
    return tuple(out)
