"""The section drawing as the report shows it: whole on the first sheet, one stretch of it at the head of each level."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot

from markupsafe import Markup

from kingpost.visit.facts import Facts
from kingpost.visit.record import Finding

from . import section
from .chains import CauseView
from .glyphs import uri
from .index import Index
from .section import Mark
from .section.pen import THEMES, num

WIDE, NARROW = 724, 354  # px: the drawing on a desk and on a phone

NEAR, BOW = 30.0, 0.14  # units between spots that still get an arrow of their own; how far an arrow bends


@dataclass(frozen=True, slots=True)
class Shown:
    """A drawing in the forms that the page needs; on paper a picture with its sentence."""

    large: Markup
    small: Markup
    uri: str
    alt: str


def drawable(facts: Facts) -> bool:
    """Whether enough is known of the house to draw it: a form, storeys, or what it stands on."""
    return bool(facts.form or facts.storeys or facts.foundation or facts.section)


def whole(index: Index, on_paper: bool) -> Shown | None:
    """The drawing with all findings on it, or None where too little is known of the house."""
    return _shown(index, index.findings, None, on_paper) if drawable(index.record.visit) else None


def of_levels(index: Index, on_paper: bool) -> dict[str, Shown]:
    """For each level sheet that has findings and a place on the drawing, its stretch of it."""
    if not drawable(index.record.visit):
        return {}
    return {
        sheet.id: shown
        for sheet, findings in index.by_level()
        if sheet.id in section.CROPS and (shown := _shown(index, findings, sheet.id, on_paper))
    }


def of_causes(index: Index, causes: Iterable[CauseView], on_paper: bool) -> dict[str, Shown]:
    """For each cause sheet the section with its findings alone, and the path from cause to effect drawn on it."""
    if not drawable(index.record.visit):
        return {}
    return {cause.id: _path_of(index, cause, on_paper) for cause in causes}


def _path_of(index: Index, cause: CauseView, on_paper: bool) -> Shown:
    sheets = {sheet.id for sheet, found in index.by_level() if any(f in found for f in cause.findings)}
    crop = next(iter(sheets)) if len(sheets) == 1 else None
    ties = [(index.number[lead.of.id], index.number[to.id]) for lead in cause.leads for to in lead.to]
    return _shown(index, cause.findings, crop if crop in section.CROPS else None, on_paper, ties)


def _shown(
    index: Index,
    findings: Iterable[Finding],
    crop: str | None,
    on_paper: bool,
    ties: Sequence[tuple[int, int]] = (),
) -> Shown:
    facts, seen = index.record.visit, [_mark(index, f) for f in index.findings]
    marks = [_mark(index, f) for f in findings]
    if on_paper:
        size = NARROW if crop and not ties else WIDE  # a level's stretch is small in print: heavy lines, large marks
        one = section.draw(facts, marks, width=size, theme="print", crop=crop, seen=seen)
        return Shown(Markup(), Markup(), uri(_with_path(one, ties, "print")), one.alt)
    large = section.draw(facts, marks, width=WIDE, crop=crop, seen=seen)
    small = section.draw(facts, marks, width=NARROW, crop=crop, seen=seen)
    wide, narrow = (Markup(_with_path(one, ties, "light")) for one in (large, small))  # it escapes what it is told
    return Shown(wide, narrow, "", large.alt)


def _with_path(drawn: section.Drawing, ties: Sequence[tuple[int, int]], theme: str) -> str:
    """The drawing with a dashed arrow from spot to spot, cased so that it shows on any line."""
    paper, _, mark, *_ = THEMES[theme]
    at = {p.mark.number: p.dot for p in drawn.placed}
    lines, heads = list[str](), list[str]()
    for a, b in dict.fromkeys((at[a], at[b]) for a, b in ties if a in at and b in at):
        long = hypot(b[0] - a[0], b[1] - a[1])
        if long < NEAR:
            continue
        ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        cx, cy = (a[0] + b[0]) / 2 + uy * long * BOW, (a[1] + b[1]) / 2 - ux * long * BOW
        ex, ey = (b[0] - cx) / hypot(b[0] - cx, b[1] - cy), (b[1] - cy) / hypot(b[0] - cx, b[1] - cy)
        tip = (b[0] - ex * 7, b[1] - ey * 7)
        lines.append(f"M{num(a[0])},{num(a[1])}Q{num(cx)},{num(cy)} {num(tip[0] - ex * 16)},{num(tip[1] - ey * 16)}")
        heads.append(
            f"M{num(tip[0])},{num(tip[1])}l{num(-22 * ex - 9 * ey)},{num(-22 * ey + 9 * ex)}"
            f"l{num(18 * ey)},{num(-18 * ex)}z"
        )
    if not lines:
        return drawn.svg
    d, h = "".join(lines), "".join(heads)
    path = (
        f'<path d="{d}" fill="none" stroke="{paper}" stroke-width="9"/>'
        f'<path d="{d}" fill="none" stroke="{mark}" stroke-width="4.6" stroke-dasharray="15 8"/>'
        f'<path d="{h}" fill="{mark}" stroke="{paper}" stroke-width="2.5"/>'
    )
    return drawn.svg.removesuffix("</svg>") + path + "</svg>"


def _mark(index: Index, finding: Finding) -> Mark:
    return Mark(
        number=index.number[finding.id],
        standing=finding.standing,
        level=index.level(finding),
        place=finding.place,
        component=finding.component,
        href=f"#{finding.id}",
    )
