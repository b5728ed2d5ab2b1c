"""What could not be seen or run, and why, as it was said."""

from __future__ import annotations

from dataclasses import dataclass

from .heard import Heard, Spans

REACH = 9  # words on either side where speech has no stops
NOT_LIMIT = frozenset(["tip", "other_house", "hypothetical", "safety_talk"])


@dataclass(frozen=True, slots=True)
class Limit:
    """A stretch of speech that tells a limit; start and end are words."""

    start: int
    end: int
    component: str = ""


def limits(heard: Heard) -> list[Limit]:
    """Every limit in one walk; hits close together are one."""
    acts = Spans(heard.acts)
    spans: list[list[int]] = []
    for hit in acts.hits:
        if hit.key != "limitation":
            continue
        if heard.speaker and heard.words[hit.start].speaker != heard.speaker:
            continue
        a, b = heard.plan.sentence(hit.start)
        if NOT_LIMIT & {h.key for h in acts.inside(a, b)} and heard.plan.punctuated:
            continue
        if not heard.plan.punctuated or b - a > 45:
            a, b = max(a, _cut_before(heard, hit.start)), min(b, _cut_after(heard, hit.end))
        if spans and a <= spans[-1][1] + 2:
            spans[-1][1] = max(spans[-1][1], b)
        else:
            spans.append([a, b])
    parts = Spans(heard.components)
    out = []
    for a, b in spans:
        named = parts.inside(a, b)
        out.append(Limit(a, b, named[0].key if named else ""))
    return out


def _cut_before(heard: Heard, at: int) -> int:
    return max((c for c in heard.plan.cuts if c <= max(0, at - 4)), default=0) if at > 4 else 0


def _cut_after(heard: Heard, at: int) -> int:
    return min((c for c in heard.plan.cuts if c >= at), default=len(heard.words))
