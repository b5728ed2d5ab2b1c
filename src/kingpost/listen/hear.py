"""From the walks of a visit to remarks, draft findings, readings, limits and what was changed for the visit.

Every word of every cue lies in exactly one remark, and every remark has a use or a reason why it is set aside.
"""

from __future__ import annotations

import bisect
import hashlib
import itertools
import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from kingpost.trade.model import Trade
from kingpost.visit.facts import Walk
from kingpost.visit.record import Remark

from . import places
from .catalogue import Catalogue, catalogue
from .ear import MISSING
from .features import look_at
from .handled import Handled, handled
from .heard import Heard, Spans, prepare
from .limits import Limit, limits
from .mentions import Mention, choose, weights_for, withdrawn
from .readings import Spoken, spoken
from .slips import strange
from .words import said, stream

WHY = {
    "tip": "a tip, not about this house",
    "hypothetical": "what would be if, not what is",
    "other_house": "about another house",
    "banter": "not about the house",
    "correction": "taken back",
    "question": "a question",
}
UNCLEAR = "unclear: nothing in it was recognised as a fault, a fact or a limit"

READABLE = 8  # words that can be read by themselves
UNSURE = 0.3  # how sure the recogniser was of a word, below which it is doubtful
READ_ON = 0.5  # chance of a fault from which a remark that became none is left for the inspector to read
LIKELY = 0.45  # chance by ear from which a remark that is no finding is what it sounds like


@dataclass(frozen=True, slots=True)
class Draft:
    """A draft finding: what one stretch of speech tells, before evidence is joined."""

    condition: str
    component: str
    fault: str
    place: str
    level: str
    score: float
    remarks: tuple[str, ...]
    start: float
    end: float
    source: str
    text: str
    standing: str = ""  # what the speaker made of it, if anything
    people: bool = False
    runner_up: str = ""
    margin: float = 9.0
    place_id: str = ""
    unsure: tuple[str, ...] = ()  # words that carry it and that the recogniser was not sure of

    @property
    def confidence(self) -> float:
        """Chance that this is a finding and this one, 0 to 1."""
        return 1 / (1 + math.exp(-self.score))


@dataclass(frozen=True, slots=True)
class SpokenReading:
    """A reading said aloud, with its remark."""

    quantity: str
    value: float
    unit: str
    place: str
    component: str
    remark: str
    start: float
    rough: bool = False
    spread: float = 0.0
    place_id: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class SpokenLimit:
    """A limit said aloud."""

    text: str
    place: str
    component: str
    remarks: tuple[str, ...]
    start: float
    source: str = ""


@dataclass(frozen=True, slots=True)
class SpokenHandling:
    """Something changed for the visit."""

    thing: str
    text: str
    place: str
    opened_at: float
    closed_at: float | None
    remarks: tuple[str, ...]
    source: str = ""


@dataclass
class Hearing:
    """What listening made of a visit."""

    remarks: list[Remark] = field(default_factory=list)
    drafts: list[Draft] = field(default_factory=list)
    readings: list[SpokenReading] = field(default_factory=list)
    limits: list[SpokenLimit] = field(default_factory=list)
    handled: list[SpokenHandling] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    words: int = 0


def hear(walks: Sequence[Walk], trade: Trade, progress: Callable[[str], None] | None = None) -> Hearing:
    """Listen to every walk. The same words give the same result."""
    cat = catalogue(trade)
    out = Hearing()
    if cat.ear is None:
        out.notes.append(MISSING)
    for walk in walks:
        if progress:
            progress(f"listening to {walk.source}")
        _walk(walk, cat, out)
    return out


def _walk(walk: Walk, cat: Catalogue, out: Hearing) -> None:
    words = stream(walk)
    out.words += len(words)
    if not words:
        return
    heard = prepare(words, cat)
    words = heard.words  # where several were heard for one, they are one now
    foreign = strange([w.norm for w in words], cat)
    mentions = [m for m in choose(heard, look_at(heard, cat), weights_for(cat)) if not all(foreign[m.start : m.end])]
    back = withdrawn(mentions, heard)
    mentions = [m for m in mentions if m not in back]
    limited, changed, amounts = limits(heard, cat.trade), handled(heard, cat.deeds), spoken(heard, cat.trade)
    remarks = _remarks(walk, heard, mentions, back, limited, changed, amounts)
    out.remarks += [r for r, _, _ in remarks]

    starts = [a for _, a, _ in remarks]

    def ids(a: int, b: int) -> tuple[str, ...]:
        first = max(0, bisect.bisect_right(starts, a) - 1)
        return tuple(r.id for r, _, end in remarks[first : bisect.bisect_left(starts, b)] if a < end)

    own, shaky = Spans(heard.standing), _shaky(heard)
    for m in mentions:
        out.drafts.append(_draft(m, heard, cat, ids(m.start, m.end), walk.source, own, shaky))
    for q in amounts:
        around = _sentence(heard, q.start)
        place = _place(q.component, heard.place(*around), around, heard, cat)
        out.readings.append(
            SpokenReading(
                q.quantity,
                q.value,
                q.unit,
                place[0],
                q.component,
                ids(q.start, q.end)[0],
                words[q.start].start,
                q.rough,
                q.spread,
                place[2],
                walk.source,
            )
        )
    for x in limited:
        out.limits.append(
            SpokenLimit(
                said(words[slice(*_whole(heard, x.start, x.end))]),
                heard.where[x.start].label,
                x.component,
                ids(x.start, x.end),
                words[x.start].start,
                walk.source,
            )
        )
    for h in changed:
        closing = ids(*h.closed) if h.closed else ()
        out.handled.append(
            SpokenHandling(
                h.thing,
                said(words[slice(*_whole(heard, *h.opened))]),
                heard.where[h.opened[0]].label,
                words[h.opened[0]].start,
                words[h.closed[0]].start if h.closed else None,
                tuple(dict.fromkeys((*ids(*h.opened), *closing))),
                walk.source,
            )
        )


def _whole(heard: Heard, start: int, end: int) -> tuple[int, int]:
    """The sentence around a stretch that is too short to be read by itself."""
    if end - start >= READABLE:
        return start, end
    a, b = heard.plan.sentence(start)[0], heard.plan.sentence(end - 1)[1]
    return (a, b) if b - a <= 3 * READABLE else (start, end)


def _sentence(heard: Heard, at: int) -> tuple[int, int]:
    a, b = heard.plan.sentence(at)
    return max(a, at - 12), min(b, at + 12)


def _place(
    component: str, where: places.Where, span: tuple[int, int], heard: Heard, cat: Catalogue
) -> tuple[str, str, str]:
    """Label, level and id of the place of what is told in a stretch of words."""
    found = places.settle(component, where, cat.trade, heard.named, span)
    return found.label, found.level, found.place.id if found.place else ""


def _draft(
    m: Mention,
    heard: Heard,
    cat: Catalogue,
    remarks: tuple[str, ...],
    source: str,
    own: Spans,
    shaky: Mapping[int, str],
) -> Draft:
    words = heard.words[m.start : m.end]
    a, b = m.start, min(len(heard.words), m.end + (0 if heard.plan.punctuated else 3))
    after = heard.plan.sentence(m.end)[1] if m.end < len(heard.words) else m.end
    keys = [h.key for h in own.inside(a, b)]
    later = [h.key for h in own.inside(m.end, min(after, m.end + 18))]
    standing = next((s for s in ("recommendation", "information", "deficiency") if s in keys), "")
    if not standing or standing == "deficiency":
        standing = next((s for s in ("recommendation", "information") if s in later), standing)
    place, level, place_id = _place(m.component, m.where, (m.start, m.end), heard, cat)
    return Draft(
        m.condition,
        m.component,
        m.fault,
        place,
        level,
        m.score,
        remarks,
        words[0].start,
        words[-1].end,
        source,
        said(words),
        standing,
        "people" in keys,
        m.runner_up,
        m.margin,
        place_id,
        tuple(dict.fromkeys(shaky[k] for k in range(m.start, m.end) if k in shaky)),
    )


def _shaky(heard: Heard) -> dict[int, str]:
    """Words that carry something and that the recogniser was not sure of, or that were mended: by where they are."""
    telling = {k for h in (*heard.components, *heard.signs, *heard.faults) for k in range(h.start, h.end)}
    out = {k: heard.words[k].norm for k in sorted(telling) if heard.words[k].sure < UNSURE}
    return out | {x.at: f"{x.heard} (taken for {x.meant})" for x in heard.slips}


def _remarks(
    walk: Walk,
    heard: Heard,
    mentions: Sequence[Mention],
    back: Sequence[Mention],
    limited: Sequence[Limit],
    changed: Sequence[Handled],
    amounts: Sequence[Spoken],
) -> list[tuple[Remark, int, int]]:
    words = heard.words
    inner = {k for m in (*mentions, *back) for k in range(m.start + 1, m.end)}
    cuts = {0, len(words)} | {k for m in (*mentions, *back) for k in (m.start, m.end)}
    extra = (
        {a for a, _ in heard.statements()}
        | set(heard.plan.hard)
        | {x.start for x in limited}
        | {x.end for x in limited}
    )
    extra |= {k for h in changed for k in (*h.opened, *(h.closed or ()))}
    cuts |= {k for k in extra if k not in inner}
    edges = sorted(cuts)
    uses = [
        ("finding", _cover(len(words), [(m.start, m.end) for m in mentions])),
        ("taken_back", _cover(len(words), [(m.start, m.end) for m in back])),
        ("limitation", _cover(len(words), [(x.start, x.end) for x in limited])),
        ("as_found", _cover(len(words), [p for h in changed for p in (h.opened, h.closed) if p])),
        ("reading", _cover(len(words), [(q.start, q.end) for q in amounts])),
    ]
    acts, parts = Spans(heard.acts), Spans(heard.components)
    seen: Counter[str] = Counter()
    out: list[tuple[Remark, int, int]] = []
    for a, b in itertools.pairwise(edges):
        use, why = next(((name, "") for name, at in uses if at.find(1, a, b) >= 0), None) or _use(
            a, b, heard, acts, parts
        )
        if use == "taken_back":
            use, why = "set_aside", WHY["correction"]
        text = said(words[a:b])
        seen[text] += 1
        name = "r" + hashlib.sha256(f"{walk.source}|{text}|{seen[text]}".encode()).hexdigest()[:10]
        where = heard.where[min(b - 1, (a + b) // 2)] if b > a else heard.where[a]
        out.append(
            (
                Remark(
                    name,
                    walk.source,
                    round(words[a].start, 3),
                    round(words[b - 1].end, 3),
                    text,
                    where.label,
                    use,
                    why,
                    (),
                    words[a].speaker,
                    tuple((x.heard, x.meant) for x in heard.slips if a <= x.at < b),
                    tuple((w.text, w.other) for w in words[a:b] if w.sure < UNSURE),
                ),
                a,
                b,
            )
        )
    return out


def _cover(words: int, spans: Sequence[tuple[int, int]]) -> bytearray:
    """By word, 1 where a stretch covers it."""
    out = bytearray(words)
    for a, b in spans:
        out[a:b] = b"\1" * (b - a)
    return out


def _use(a: int, b: int, heard: Heard, acts: Spans, parts: Spans) -> tuple[str, str]:
    """What a remark is that became no finding, limit, reading and is nothing changed for the visit."""
    if heard.speaker and heard.words[a].speaker != heard.speaker:
        return "set_aside", "said by someone else"
    inside = {h.key for h in acts.inside(a, b)}
    chance = heard.act(a, b)
    if chance:
        likely = max(sorted(chance), key=lambda k: chance[k])
        if likely != "finding" and chance[likely] >= LIKELY:
            inside = {likely}
    for key in ("correction", "other_house", "tip", "hypothetical", "question"):
        if key in inside:
            return "set_aside", WHY[key]
    if "safety_talk" in inside:
        return "safety", ""
    if inside & {"praise", "description", "limitation", "handling"}:
        return "information", ""
    if "banter" in inside or b - a <= 3:
        return "set_aside", WHY["banter"]
    told = chance.get("finding", 0.0)
    if told < READ_ON and parts.inside(a, b):
        return "information", ""  # a part is named, and nothing sounds like a fault of it
    return "set_aside", UNCLEAR
