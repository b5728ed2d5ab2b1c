"""Trade words that a recogniser misheard: found by sound, believed only where the context bears them out.

There is no list of known slips. The words by which the trade data names components are written as they sound; a heard
word that is no trade word and sounds nearly like one may have been that one. A rare word is taken so at once; a common
word ("flu", "eve") only where the component it would name belongs to the place or to the system that is being talked
about; the commonest never. The word as heard is always kept, and the mend is shown.
"""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from dataclasses import dataclass, replace

from .catalogue import Catalogue
from .ear import pieces
from .lexicon import COMMON
from .patterns import Hit, longest
from .places import Where
from .sounds import LONGEST, Name, sound, sounds
from .words import Word

COMMONEST, FREQUENT = 3000, 12000  # pieces are numbered about by how common they are, from 1996 on
SHORTEST = 3  # letters of a word that may be a slip
NEAR = 14  # words on either side that make a context
UNSURE = 0.6  # how sure the recogniser was of a word, below which it may well have been another
SHORT, MIDDLE = 5, 8  # letters of a sound: shorter ones are not taken for another, longer ones may differ by more
MOST = 0.25  # how far, by letter that changes
STRANGE = 0.35  # share of odd words around one from which on it is no English: nothing there was a trade word misheard


@dataclass(frozen=True, slots=True)
class Slip:
    """A word at a position that was probably another one; `heard` may be several that are one word now."""

    at: int
    heard: str
    meant: str


def _rank(word: str) -> int:
    return pieces().get(word, 99999)


def _like(word: str, cat: Catalogue) -> tuple[str, ...]:
    """Trade words that a heard word may have been, nearest first."""
    own, rank = sound(word), _rank(word)
    if rank < FREQUENT:
        most = 1.0 if len(word) >= 7 else 0.5
    else:
        most = 0.5 if len(own) < 4 else 1.0 if len(own) <= 7 else 1.5
    near = [
        (far, name.words[0])
        for far, name in cat.words.within(own, most, int(4 * most))  # changed for its kin, at 0.5, a letter is two bits
        if abs(len(name.words[0]) - len(word)) <= 2
        and (rank >= FREQUENT or far < 1 or (name.words[0][0], name.words[0][-1]) == (word[0], word[-1]))
    ]
    return tuple(o for far, o in sorted(near) if far == min(near)[0])[:3]


def strange(norms: Sequence[str], cat: Catalogue) -> list[bool]:
    """Where the words around a word are no English: another language, or noise that the recogniser made words of."""
    counted, odd = [0], [0]
    for word in norms:
        counts = word.isalpha() and len(word) >= SHORTEST
        known = word in cat.vocabulary or word in COMMON or _rank(word) < FREQUENT
        counted.append(counted[-1] + counts)
        odd.append(odd[-1] + (counts and not known))
    out = []
    for at in range(len(norms)):
        a, b = max(0, at - NEAR), min(len(norms), at + NEAR + 1)
        out.append(odd[b] - odd[a] > max(2, STRANGE * (counted[b] - counted[a])))
    return out


def slips(norms: Sequence[str], where: Sequence[Where], cat: Catalogue) -> list[Slip]:
    """Every word that was probably a trade word."""
    tried: dict[int, tuple[str, ...]] = {}
    maybe: list[str | frozenset[str]] = []
    memo: dict[str, tuple[str, ...]] = {}
    foreign = strange(norms, cat)
    for at, word in enumerate(norms):
        options: tuple[str, ...] = ()
        known = word in cat.vocabulary or word in COMMON or _rank(word) < COMMONEST
        if word.isalpha() and len(word) >= SHORTEST and not known and not foreign[at]:
            if word not in memo:
                memo[word] = _like(word, cat)
            options = memo[word]
        if options:
            tried[at] = options
        maybe.append(frozenset((word, *options)) if options else word)
    out: dict[int, Slip] = {}
    hits = longest(cat.component_index.find(maybe)) if tried else []
    for hit in hits:
        new = [k for k in range(hit.start, hit.end) if k in tried]
        rare = all(_rank(norms[k]) >= FREQUENT for k in new)
        if new and (rare or hit.end - hit.start > len(new) or _fits(hit, hits, where, cat)):
            for k in new:
                meant = next((o for o in tried[k] if _names(hit, k, o, norms, cat)), tried[k][0])
                out.setdefault(k, Slip(k, norms[k], meant))
    return [out[k] for k in sorted(out)]


def _names(hit: Hit[str], at: int, option: str, norms: Sequence[str], cat: Catalogue) -> bool:
    words = [option if k == at else norms[k] for k in range(hit.start, hit.end)]
    return any(h.key == hit.key for h in cat.component_index.find(words))


def _fits(hit: Hit[str], hits: Sequence[Hit[str]], where: Sequence[Where], cat: Catalogue) -> bool:
    component = cat.trade.components[hit.key]
    place = where[hit.start].place
    if place is not None and component.places and (place.id in component.places or place.within in component.places):
        return True
    near = [h for h in hits if h.start < hit.end + NEAR and hit.start - NEAR < h.end and h.start != hit.start]
    return component.system in {cat.trade.components[h.key].system for h in near}


# --- several words heard for one name -------------------------------------------------------------------------


def runs(words: Sequence[Word], where: Sequence[Where], cat: Catalogue) -> tuple[list[Word], list[Slip]]:
    """Words heard for a name of more or fewer words ("saw fit", "beat ramp"): the stream as meant, and what was mended.

    Words that are one in the name become one Word, whose text is still all that was heard.
    """
    hits = list(cat.component_index.find([w.norm for w in words]))
    taken = {k for h in longest(hits) for k in range(h.start, h.end)}
    near, foreign = _Systems(hits, cat), strange([w.norm for w in words], cat)
    out, mended, at = list[Word](), list[Slip](), 0
    while at < len(words):
        found = None if foreign[at] else _run(words, at, where[at], near, taken, cat)
        if found is None:
            out.append(words[at])
            at += 1
            continue
        count, name = found
        groups = _shared(words[at : at + count], len(name.words))
        for group, meant in zip(groups, name.words, strict=True):
            heard = " ".join(w.norm for w in group)
            if heard != meant:
                mended.append(Slip(len(out), heard, meant))
            out.append(_as_one(group, meant))
        at += count
    return out, mended


class _Systems:
    """The systems of the parts that a walk names, asked by word."""

    def __init__(self, hits: Sequence[Hit[str]], cat: Catalogue) -> None:
        self.at = [h.start for h in hits]
        self.systems = [cat.trade.components[h.key].system for h in hits]

    def around(self, at: int) -> set[str]:
        """Those that are talked about around a word."""
        first, last = bisect.bisect_left(self.at, at - NEAR), bisect.bisect_right(self.at, at + NEAR)
        return set(self.systems[first:last])


def _run(
    words: Sequence[Word], at: int, here: Where, near: _Systems, taken: set[int], cat: Catalogue
) -> tuple[int, Name] | None:
    """How many words from here were heard for which name, the nearest in sound; None where they are what they are."""
    best: tuple[float, int, Name] | None = None
    for count in range(1, LONGEST + 1):
        heard = words[at : at + count]
        if len(heard) < count or not all(w.norm.isalpha() for w in heard) or any(w.stop for w in heard[:-1]):
            break
        if at + count - 1 in taken or heard[0].norm in COMMON:
            break
        if heard[-1].norm in COMMON:
            continue
        norms = tuple(w.norm for w in heard)
        for far, name in _names_like(heard, norms, cat):
            if len(name.words) > count or len(name.words) == count == 1:
                continue
            if (best is None or (far, -count) < best[:2]) and _borne_out(name, at, here, near, cat):
                best = (far, -count, name)
    return (-best[1], best[2]) if best else None


def _names_like(heard: Sequence[Word], norms: tuple[str, ...], cat: Catalogue) -> tuple[tuple[float, Name], ...]:
    """Names just like a stretch in sound; nearly like it where the recogniser was unsure or a word is rare."""
    length = len(sounds(norms))
    if length < SHORT:
        return ()
    odd = any(_rank(n) >= FREQUENT and n not in cat.vocabulary for n in norms)
    if not odd and min(w.sure for w in heard) >= UNSURE:
        return cat.sounds.same(norms)
    near = cat.sounds.near(norms, 1.5 if length < MIDDLE else 2.0)
    return tuple((far, name) for far, name in near if far <= MOST * _changed(norms, name.words))


def _changed(heard: Sequence[str], meant: Sequence[str]) -> int:
    """Letters of the sound of what was heard, without the words that the name has, too."""
    return len(sounds(tuple(w for w in heard if w not in meant)))


def _borne_out(name: Name, at: int, here: Where, near: _Systems, cat: Catalogue) -> bool:
    """Whether the part it would name belongs where the speaker is, or to what is talked about just then."""
    around = near.around(at)
    for part in cat.named_by(name.words):
        if here.place is not None and {here.place.id, here.place.within} & set(part.places):
            return True
        if part.system in around:
            return True
    return False


def _shared(words: Sequence[Word], count: int) -> list[Sequence[Word]]:
    """Words shared out over fewer words of a name: the first takes what is over."""
    over = len(words) - count + 1
    return [words[:over], *([w] for w in words[over:])]


def _as_one(words: Sequence[Word], meant: str) -> Word:
    first, last = words[0], words[-1]
    return replace(
        first,
        text=" ".join(w.text for w in words),
        norm=meant,
        end=last.end,
        stop=last.stop,
        sure=min(w.sure for w in words),
        other=" ".join(w.other for w in words if w.other),
    )
