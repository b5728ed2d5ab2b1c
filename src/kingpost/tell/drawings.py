"""The section drawing as the report shows it: whole on the first sheet, one stretch of it at the head of each level."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup

from kingpost.visit.facts import Facts
from kingpost.visit.record import Finding

from . import section
from .index import Index
from .section import Mark

WIDE, NARROW = 724, 354  # px: the drawing on a desk and on a phone


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


def _shown(index: Index, findings: Iterable[Finding], crop: str | None, on_paper: bool) -> Shown:
    facts, seen = index.record.visit, [_mark(index, f) for f in index.findings]
    marks = [_mark(index, f) for f in findings]
    if on_paper:
        one = section.draw(facts, marks, width=WIDE, theme="print", crop=crop, seen=seen)
        uri = "data:image/svg+xml;base64," + b64encode(one.svg.encode()).decode()
        return Shown(Markup(), Markup(), uri, one.alt)
    large = section.draw(facts, marks, width=WIDE, crop=crop, seen=seen)
    small = section.draw(facts, marks, width=NARROW, crop=crop, seen=seen)
    return Shown(Markup(large.svg), Markup(small.svg), "", large.alt)  # the drawing escapes what it is told


def _mark(index: Index, finding: Finding) -> Mark:
    return Mark(
        number=index.number[finding.id],
        standing=finding.standing,
        level=index.level(finding),
        place=finding.place,
        component=finding.component,
        href=f"#{finding.id}",
    )
