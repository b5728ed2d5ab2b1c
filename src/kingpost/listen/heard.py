"""One walk made ready for listening: words, layout, everything in it that has a name, where the speaker is."""

from __future__ import annotations

import bisect
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from . import moving, places, slips
from .catalogue import Catalogue
from .ear import Sound
from .lexicon import NEGATIONS
from .patterns import Hit, longest
from .places import Where
from .slips import Slip
from .statements import Layout, layout
from .words import Word

BEGINS = 0.5  # chance from which a beginning is taken as one


@dataclass
class Heard:
    """Words, layout, hits of everything, where the speaker is, and what the ear heard."""

    words: list[Word]
    norms: list[str]
    plan: Layout
    where: list[Where]
    named: list[tuple[Hit[str], Where]] = field(default_factory=list)
    components: list[Hit[str]] = field(default_factory=list)
    signs: list[Hit[str]] = field(default_factory=list)
    unless: list[Hit[str]] = field(default_factory=list)
    faults: list[Hit[str]] = field(default_factory=list)
    weak_faults: list[Hit[str]] = field(default_factory=list)
    acts: list[Hit[str]] = field(default_factory=list)
    weak_acts: list[Hit[str]] = field(default_factory=list)
    handling: list[Hit[str]] = field(default_factory=list)
    standing: list[Hit[str]] = field(default_factory=list)
    speaker: str = ""  # who inspects
    sound: Sound | None = None
    slips: list[Slip] = field(default_factory=list)
    act_names: list[str] = field(default_factory=list)

    def statements(self) -> list[tuple[int, int]]:
        """The whole walk cut where a sentence ends or the ear heard a beginning."""
        cuts = set(self.plan.hard) | {0, len(self.words)}
        if self.sound is not None:
            cuts |= {k for k in self.plan.cuts if self.sound.starts[k] >= BEGINS}
        return list(pairwise(sorted(cuts)))

    def place(self, start: int, end: int) -> Where:
        """Where a stretch of speech belongs: where most of it is said, unless it says so itself."""
        said = Counter(self.where[start:end]) or Counter(self.where[start : start + 1])
        here = max(said, key=lambda w: said[w])
        return places.inside(self.norms, self.named, start, end, here)

    def act(self, start: int, end: int) -> dict[str, float]:
        """The chance of each act over a stretch of words; empty without an ear."""
        if self.sound is None or end <= start:
            return {}
        mean = self.sound.acts[start:end].mean(axis=0)
        return {name: float(mean[k]) for k, name in enumerate(self.act_names)}


def main_speaker(words: Sequence[Word]) -> str:
    """The one who inspects: called so, or the one who says most."""
    said: dict[str, int] = defaultdict(int)
    for w in words:
        said[w.speaker] += 1 + 1000 * ("inspector" in w.speaker.lower())
    return max(sorted(said), key=lambda k: said[k]) if said else ""


def prepare(words: list[Word], cat: Catalogue) -> Heard:
    """Find everything that has a name in one walk, also where the recogniser misheard a trade word."""
    norms = [w.norm for w in words]
    breaks = frozenset(k for k in range(len(words)) if k == 0 or words[k - 1].stop)
    rooms = list(cat.place_index.find(norms))
    rough, _ = moving.track(norms, breaks, cat.trade, rooms)
    words, joined = slips.runs(words, rough, cat)
    if joined:  # some words are fewer now
        norms = [w.norm for w in words]
        breaks = frozenset(k for k in range(len(words)) if k == 0 or words[k - 1].stop)
        rooms = list(cat.place_index.find(norms))
        rough, _ = moving.track(norms, breaks, cat.trade, rooms)
    mended = sorted([*joined, *slips.slips(norms, rough, cat)], key=lambda s: s.at)
    meant = {s.at: s.meant for s in mended}
    text: list[str | frozenset[str]] = [frozenset((n, meant[k])) if k in meant else n for k, n in enumerate(norms)]
    strong = longest(cat.component_index.find(text))
    sound = cat.ear.hear([meant.get(k, w.text) for k, w in enumerate(words)]) if cat.ear else None
    nouns = frozenset(_noun_start(norms, h.start) for h in strong)
    plan = layout(words, nouns, sound.starts.tolist() if sound else None)
    acts = list(cat.act_index.find(norms))
    acts += [replace(h, key="correction") for h in acts if h.key == "withdrawal"]
    if sound is not None and cat.ear is not None:
        _told_again(sound, [h for h in acts if h.key == "repeat"], plan, cat.ear.acts)
    begins = frozenset(k for k in plan.cuts if k in plan.hard or (sound is not None and sound.starts[k] >= BEGINS))
    stops = [w.stop for w in words]
    where, named = moving.track(norms, begins if sound else frozenset(plan.cuts), cat.trade, rooms, stops, strong)
    return Heard(
        words=words,
        norms=norms,
        plan=plan,
        where=where,
        named=named,
        components=strong,
        signs=list(cat.sign_index.find(text)),
        unless=list(cat.unless_index.find(text)),
        faults=list(cat.fault_index.find(text)),
        weak_faults=list(cat.weak_fault_index.find(text)),
        acts=acts,
        weak_acts=list(cat.weak_act_index.find(norms)),
        handling=list(cat.handling_index.find(norms)),
        standing=list(cat.standing_index.find(norms)),
        speaker=main_speaker(words),
        sound=sound,
        slips=mended,
        act_names=cat.ear.acts if cat.ear else [],
    )


def _told_again(sound: Sound, again: Sequence[Hit[str]], plan: Layout, acts: Sequence[str]) -> None:
    """What is told once more is not taken back: in such a sentence the chance of a correction goes to a finding."""
    finding, correction = acts.index("finding"), acts.index("correction")
    for hit in again:
        a, b = plan.sentence(hit.start)
        sound.acts[a:b, finding] += sound.acts[a:b, correction]
        sound.acts[a:b, correction] = 0


def _noun_start(norms: Sequence[str], at: int) -> int:
    """Where the noun phrase of a component begins: "the", "this" and the like belong to it."""
    while at > 0 and norms[at - 1] in ("the", "this", "that", "these", "those", "a", "an", "my", "their"):
        at -= 1
    return at


class Spans:
    """Hits by where they start, asked by window."""

    def __init__(self, hits: Sequence[Hit[str]]) -> None:
        self.hits = sorted(hits, key=lambda h: (h.start, h.end, h.key))
        self.at = [h.start for h in self.hits]

    def inside(self, start: int, end: int) -> list[Hit[str]]:
        """Hits that lie wholly inside."""
        lo, hi = bisect.bisect_left(self.at, start), bisect.bisect_left(self.at, end)
        return [h for h in self.hits[lo:hi] if h.end <= end]


def negated(norms: Sequence[str], hit: Hit[str]) -> bool:
    """Whether a word of negation stands just before a pattern that holds none itself."""
    if any(w in NEGATIONS for w in norms[hit.start : hit.end]):
        return False
    return any(w in NEGATIONS for w in norms[max(0, hit.start - 3) : hit.start])
