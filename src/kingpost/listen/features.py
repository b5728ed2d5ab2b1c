"""What speaks for and against a window of speech being a finding, and which one: features for the trained rankers.

Word rules (component names, signs, fault words, words of praise and the like), term overlap, and the ear each give
features; nothing here decides. A window has features of its own; each of its candidates has others. They are worked out
for many windows at a time, as tables with one row a window or candidate and one column a feature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from .catalogue import Catalogue, stem
from .ear import is_word
from .heard import Heard
from .inside import Found, Windows, ranges
from .patterns import Hit
from .statements import windows
from .told import SIDE_ACTS, Told, best_signs

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]
    Whole = NDArray[np.intp]

TOPIC_WORDS = 45  # how far a component is carried on
NEAR_WORDS = 15
BEFORE_WORDS = 22  # how far before its sentence a word still colours a window
AFTER_WORDS = 12  # and how far after it a correction still takes it back
BATCH = 2000  # windows that are worked out at a time
TRIES = 5  # candidates kept per window and way of finding them
UNLIKELY = 0.04  # windows in which the ear hears hardly any finding get no candidates
WORDS = 0.4  # share of a window that are words of the language; less is noise
TOP = ("sim", "lex", "sign", "sign_component", "component")
ALSO_BARE = ("start_logit", "end_logit", "inner_logit", "logit_finding", "atoms", "length")

HEARD_ACTS = (
    "finding praise description tip hypothetical other_house safety_talk banter correction limitation handling question"
).split()
SHARED = (
    "length long atoms sentences comma_end praise praise_weak hypothetical_weak limitation correction_in "
    "correction_after other_speaker question starts_sentence ends_sentence says_standing fault_words fault_negated "
    "logit_finding least_finding over_other finding_around praise_around begins ends inner_most inner_sum "
    "p_before p_after drop_before drop_after start_logit end_logit inner_logit weakest "
    "top_chance chance_ahead bare".split()
    + [act + where for act in SIDE_ACTS for where in ("", "_around", "_before")]
    + ["p_" + act for act in HEARD_ACTS]
    + ["top_" + name for name in TOP]
    + [name + "_bare" for name in ALSO_BARE]
)
OWN = (
    "lex lex_behind sim sim_behind log_chance chance_of_component chance_of_fault sign against component "
    "component_near component_topic component_other sign_component fault place family named strong components_here "
    "best_sim best_chance family_component family_fault"
).split()
SHARED_AT = {name: n for n, name in enumerate(SHARED)}
OWN_AT = {name: n for n, name in enumerate(OWN)}


@dataclass(frozen=True, slots=True)
class Row:
    """One candidate: what a window may tell. `condition` is "" where only part and family are known."""

    condition: str
    component: str
    fault: str


@dataclass(frozen=True, slots=True)
class Look:
    """All windows of one walk that may tell something, and the candidates of each, with their features."""

    windows: list[tuple[int, int]]
    shared: Floats  # windows by SHARED
    at: Whole  # where the candidates of each window begin in `rows`; one more at the end
    rows: list[Row]
    own: Floats  # candidates by OWN

    def of(self, window: int) -> slice:
        """Where the candidates of a window lie."""
        return slice(int(self.at[window]), int(self.at[window + 1]))


def look_at(heard: Heard, cat: Catalogue) -> Look:
    """Every window with its candidates, but for those that can hardly be findings or have no candidate."""
    frames, told = _likely(heard), Told.of(heard, cat)
    found: list[tuple[int, int]] = []
    shared, own, rows, counts = [], [], list[Row](), list[int]()
    for at in range(0, len(frames), BATCH):
        part = _Batch(heard, cat, told, frames[at : at + BATCH])
        keep = np.flatnonzero(part.count)
        found += [part.frames[k] for k in keep.tolist()]
        shared.append(part.shared[keep])
        own.append(part.own)
        rows += part.rows
        counts += part.count[keep].tolist()
    if not found:
        return Look(
            [], np.zeros((0, len(SHARED)), np.float32), np.zeros(1, np.intp), [], np.zeros((0, len(OWN)), np.float32)
        )
    return Look(found, np.concatenate(shared), np.cumsum([0, *counts]), rows, np.concatenate(own))


def _likely(heard: Heard) -> list[tuple[int, int]]:
    """The windows that may tell something: made of words, not over a "scratch that", and not surely something else."""
    frames = windows(heard.words, heard.plan)
    if not frames:
        return []
    a, b = np.array(frames).T
    back = np.array(sorted(h.start for h in heard.acts if h.key == "withdrawal"), np.intp)
    keep = np.searchsorted(back, a, "right") == np.searchsorted(back, b, "left")
    known = np.concatenate([[0], np.cumsum([is_word(n) for n in heard.norms])])
    keep &= known[b] - known[a] >= WORDS * (b - a)
    if heard.sound is not None:
        sums = np.concatenate([[0.0], np.cumsum(heard.sound.acts[:, 0], dtype=np.float64)])
        keep &= sums[b] - sums[a] >= UNLIKELY * (b - a)
    return [frames[k] for k in np.flatnonzero(keep).tolist()]


def lexical(cat: Catalogue, norms: Sequence[str], frames: Sequence[tuple[int, int]]) -> Floats:
    """Best term overlap (cosine) of each window with each condition; windows that begin together follow each other."""
    out = np.zeros((len(frames), len(cat.conditions)), np.float32)
    if not cat.postings:
        return out
    stems = {word: stem(word) for word in set(norms)}
    score, cells = cat.no_scores(), np.zeros(0)
    start, done, norm, seen = -1, 0, 0.0, set[str]()
    for n, (a, b) in enumerate(frames):
        if a != start:
            score = cat.no_scores()
            cells = score.reshape(-1)
            start, done, norm, seen = a, a, 0.0, set()
        for word in norms[done:b]:
            s = stems[word]
            if s in cat.postings and s not in seen:
                seen.add(s)
                which, weight = cat.postings[s]
                cells[which] += weight
                norm += cat.idf[s] ** 2
        done = max(done, b)
        if seen:
            out[n] = score.max(axis=0) / math.sqrt(norm)
    return out


def highest(values: Floats, most: int) -> Whole:
    """The columns of the `most` highest values of each row, equal ones by column."""
    left, rows = values.copy(), np.arange(len(values))
    found = np.empty((len(values), min(most, values.shape[1])), np.intp)
    for k in range(found.shape[1]):  # a few times the highest of all is quicker than any sorting
        found[:, k] = left.argmax(axis=1)
        left[rows, found[:, k]] = -np.inf
    return found


class _Batch:
    """Some windows of one walk held against the catalogue."""

    def __init__(self, heard: Heard, cat: Catalogue, told: Told, frames: list[tuple[int, int]]) -> None:
        self.heard, self.cat, self.told, self.frames = heard, cat, told, frames
        self.known = [Row(*row) for row in cat.rows]
        self.w = Windows(frames, heard.plan)
        self.likeness()
        self.names()
        self.shared = np.zeros((len(frames), len(SHARED)), np.float32)
        self._said()
        self._sounds()
        self.candidates()
        self._summary()

    # -- what is in a window ---------------------------------------------------------------------------------------

    def likeness(self) -> None:
        """How much each window is like each condition, by the ear and by its words."""
        cat, sound = self.cat, self.heard.sound
        self.lex = lexical(cat, self.heard.norms, self.frames)
        self.alike = cat.ear is not None and sound is not None and cat.prototypes is not None and bool(cat.conditions)
        if not self.alike:
            return
        assert cat.ear is not None and sound is not None and cat.prototypes is not None
        self.sims = sound.spans(self.w.a, self.w.b) @ cat.prototypes.T
        chance = np.exp(cat.ear.scale * (self.sims - self.sims.max(axis=1, keepdims=True)))
        self.chance = chance / chance.sum(axis=1, keepdims=True)
        self.parts, self.kinds = self.chance @ cat.of_component, self.chance @ cat.of_fault

    def names(self) -> None:
        """Components named in, near and before each window, signs and words of faults in it."""
        cat, told, w = self.cat, self.told, self.w
        size, parts, many = len(self.frames), len(cat.component_at), len(cat.conditions)
        self.here = self._holding(told.components, parts)
        self.near = w.after(told.components, NEAR_WORDS, parts) & ~self.here
        self.topic = w.after(told.components, TOPIC_WORDS, parts) & ~self.here
        self.signs = best_signs(*w.holding(told.signs), (size, many))
        rows, column, worth = w.holding(told.against)
        against = np.bincount(rows * many + column, worth, size * many)
        self.against = against.reshape(size, many).astype(np.float32)
        self.faults = self._holding(told.faults, len(cat.fault_at))
        self.weak = self._holding(told.weak_faults, len(cat.fault_at))

    def _holding(self, some: Found, columns: int) -> Any:
        """By window and column, whether the window holds a hit."""
        rows, column, _ = self.w.holding(some)
        out = np.zeros((len(self.frames), columns), bool)
        out[rows, column] = True
        return out

    # -- features of a window ---------------------------------------------------------------------------------------

    def put(self, name: str, values: Any) -> None:
        """One column of the windows' own table."""
        self.shared[:, SHARED_AT[name]] = values

    def _said(self) -> None:
        """What word rules say about a window."""
        heard, w = self.heard, self.w
        words, hard, length = heard.words, heard.plan.hard, w.b - w.a
        cuts = np.array(heard.plan.cuts)
        begins = np.array(heard.plan.begins)
        self.put("length", np.log(np.maximum(2, length)))
        self.put("long", np.maximum(0.0, (length - 25) / 10))
        self.put("atoms", np.searchsorted(cuts, w.b, "left") - np.searchsorted(cuts, w.a, "right"))
        self.put("sentences", np.searchsorted(begins, w.b, "left") - np.searchsorted(begins, w.a, "right"))
        self.put("comma_end", [words[b - 1].stop[:1] == "," for _, b in self.frames])
        self.put("question", ["?" in words[b - 1].stop for _, b in self.frames])
        self.put("starts_sentence", [a in hard for a, _ in self.frames])
        self.put("ends_sentence", [b in hard or b == len(words) for _, b in self.frames])
        other = [bool(heard.speaker) and words[a].speaker != heard.speaker for a, _ in self.frames]
        self.put("other_speaker", other)
        told = self.told
        self.put("praise", np.minimum(2.0, w.count(told.acts["praise"])))
        self.put("praise_weak", np.minimum(3.0, w.count(told.weak_acts["praise"])) / np.sqrt(length))
        self.put("hypothetical_weak", np.minimum(2.0, w.count(told.weak_acts["hypothetical"])))
        for act in SIDE_ACTS:
            hits = told.acts[act]
            self.put(act, w.count(hits) > 0)
            self.put(act + "_around", w.count_around(hits) > 0)
            self.put(act + "_before", w.count_before(hits, BEFORE_WORDS) > 0)
        self.put("limitation", w.count(told.acts["limitation"]) > 0)
        self.put("correction_in", w.count(told.acts["correction"]) > 0)
        self.put("correction_after", w.count_after(told.acts["correction"], AFTER_WORDS) > 0)
        self.put("says_standing", w.count(told.standing) > 0)
        self.put("fault_words", np.minimum(3, w.count(told.fault_words)))
        self.put("fault_negated", np.minimum(2, w.count(told.faults_denied)))

    def _sounds(self) -> None:
        """What the ear hears in a window, where it begins and ends, and around it."""
        sound, w = self.heard.sound, self.w
        if sound is None or self.cat.ear is None:
            return
        acts = {name: n for n, name in enumerate(self.cat.ear.acts)}
        sums = np.concatenate([np.zeros((1, len(acts))), np.cumsum(sound.acts, axis=0, dtype=np.float64)])
        mean = (sums[w.b] - sums[w.a]) / (w.b - w.a)[:, None]
        around = (sums[w.hi] - sums[w.lo]) / np.maximum(1, w.hi - w.lo)[:, None]
        for name, n in acts.items():
            self.put("p_" + name, mean[:, n])
        p, rest = mean[:, 0], mean[:, 1:].max(axis=1)
        self.put("logit_finding", np.log((p + 0.01) / (1.01 - p)))
        self.put("over_other", np.log((p + 0.02) / (rest + 0.02)))
        self.put("finding_around", around[:, 0])
        self.put("praise_around", around[:, acts["praise"]])
        part, starts = sound.acts[:, 0].astype(np.float64), sound.starts.astype(np.float64)
        before = np.where(w.a > 0, part[np.maximum(w.a - 1, 0)], 0.0)
        after = np.where(w.b < len(part), part[np.minimum(w.b, len(part) - 1)], 0.0)
        self.put("p_before", before)
        self.put("p_after", after)
        self.put("drop_before", part[w.a] - before)
        self.put("drop_after", part[w.b - 1] - after)
        self.put("begins", starts[w.a])
        self.put("ends", starts[w.b])
        self.put("start_logit", np.log(starts[w.a] + 1e-3))
        self.put("end_logit", np.where(w.b < len(part), np.log(starts[w.b] + 1e-3), 0.0))
        inner = np.where(w.b - w.a > 1, w.over(np.maximum, starts, 1), 0.0)
        total = np.concatenate([[0.0], np.cumsum(starts)])
        self.put("inner_most", inner)
        self.put("inner_logit", np.log(inner + 1e-3))
        self.put("inner_sum", np.minimum(4.0, total[w.b] - total[w.a + 1]))
        self.put("least_finding", w.over(np.minimum, np.append(part, 1.0)))
        self.put("weakest", w.lowest_quarter(part))

    def _summary(self) -> None:
        """What the candidates of a window say together about the window."""
        known = self.own[:, OWN_AT["family"]] == 0
        of = self.window_of
        for name in TOP:
            top = np.zeros(len(self.frames), np.float32)
            np.maximum.at(top, of[known], self.own[known, OWN_AT[name]])
            self.put("top_" + name, top)
        if self.alike:
            two = (
                -np.sort(-self.chance, axis=1)[:, :2]
                if self.chance.shape[1] < 3
                else -np.partition(-self.chance, 1, axis=1)[:, :2]
            )
            self.put("top_chance", two[:, 0])
            self.put("chance_ahead", two[:, 0] - two[:, -1])
        if not self.heard.plan.punctuated:
            self.put("bare", 1.0)
            for name in ALSO_BARE:
                self.put(name + "_bare", self.shared[:, SHARED_AT[name]])

    # -- candidates --------------------------------------------------------------------------------------------------

    def candidates(self) -> None:
        """What each window may tell: conditions, and parts with a family of faults."""
        (first, known, f), (second, kin, g) = self._conditions(), self._families()
        of, rows = np.concatenate([first, second]), [*known, *kin]
        order = np.argsort(of, kind="stable")
        self.window_of, self.own = of[order], np.concatenate([f, g])[order]
        self.rows = [rows[k] for k in order.tolist()]
        self.count = np.bincount(of, minlength=len(self.frames)) if len(of) else np.zeros(len(self.frames), np.intp)

    def _conditions(self) -> tuple[Whole, list[Row], Floats]:
        cat = self.cat
        w, k = self._tried()
        ours, by_topic = self._any(self.here, w, k), self._any(self.topic, w, k)
        f = np.zeros((len(w), len(OWN)), np.float32)

        def put(name: str, values: Any) -> None:
            f[:, OWN_AT[name]] = values

        put("lex", self.lex[w, k])
        put("lex_behind", self.lex.max(axis=1)[w] - self.lex[w, k])
        if self.alike:
            put("sim", self.sims[w, k])
            put("sim_behind", self.sims.max(axis=1)[w] - self.sims[w, k])
            put("log_chance", np.log(self.chance[w, k] + 1e-4))
            put("chance_of_component", self.parts[w, cat.main_component[k]])
            put("chance_of_fault", self.kinds[w, cat.main_fault[k]])
        sign = np.minimum(2.5, self.signs[w, k])
        main = self.here[w, cat.main_component[k]]
        component = np.where(main, 1.0, np.where(ours, 0.8, 0.0))
        near = ~ours & self._any(self.near, w, k)
        put("sign", sign)
        put("against", np.minimum(2.0, self.against[w, k]))
        put("component", component)
        put("component_near", near)
        put("component_topic", ~ours & ~near & by_topic)
        put("component_other", self.here.any(axis=1)[w] & ~ours)
        put("sign_component", sign * np.maximum(component, 0.6 * near))
        put("fault", self.faults[w, cat.main_fault[k]])
        put("place", self._fit(w, cat.main_component[k]))
        return w, [self.known[n] for n in k.tolist()], f

    def _tried(self) -> tuple[Whole, Whole]:
        """Windows with the conditions that are tried on them: by their signs, by their words and by the ear."""
        w, k = np.nonzero(self.signs)
        of_it = self._any(self.here, w, k) | self._any(self.topic, w, k)
        tried = np.zeros(self.signs.shape, bool)
        tried[w[of_it], k[of_it]] = True
        some, most = np.arange(len(self.frames))[:, None], highest(self.lex, TRIES)
        tried[some, most] |= self.lex[some, most] > 0
        if self.alike:
            tried[some, highest(self.sims, TRIES)] = True
        at, condition = np.nonzero(tried)
        return at, condition

    def _any(self, named: Any, w: Whole, k: Whole) -> Any:
        """Whether a component of each condition, its own or one it may also be of, is named in its window's row."""
        out = np.zeros(len(w), bool)
        for column in self.cat.components_of.T:  # a condition of fewer components has its own several times
            out |= named[w, column[k]]
        return out

    def _fit(self, w: Whole, component: Whole) -> Floats:
        """Whether components are usually met where their windows are said."""
        said = [self.heard.where[a].place for a, _ in self.frames]
        names = [place.id if place else "" for place in said]
        row = {name: n for n, name in enumerate(dict.fromkeys(names))}
        table = np.stack([self.cat.fits(name) for name in row])
        found: Floats = table[np.array([row[name] for name in names])[w], component]
        return found

    def _families(self) -> tuple[Whole, list[Row], Floats]:
        """Parts with the families of faults that are told of them, where words of both are near."""
        parts, kinds = list(self.cat.component_at), list(self.cat.fault_at)
        many = self.here.sum(axis=1)
        named = np.where((many > 0)[:, None], self.here, self.near)
        rows, named_at = np.nonzero(named)
        of, told_at = np.nonzero(self.faults | self.weak)
        each, pair = ranges(np.searchsorted(of, rows), np.searchsorted(of, rows, "right"))
        w, c, k = rows[pair], named_at[pair], told_at[each]
        f = np.zeros((len(w), len(OWN)), np.float32)

        def put(name: str, values: Any) -> None:
            f[:, OWN_AT[name]] = values

        put("family", 1.0)
        put("named", many[w] > 0)
        put("strong", self.faults[w, k])
        put("components_here", many[w])
        if self.alike and len(w):
            put("best_sim", self.sims.max(axis=1)[w])
            put("best_chance", self.chance.max(axis=1)[w])
            put("family_component", self.parts[w, c])
            put("family_fault", self.kinds[w, k])
        made: dict[tuple[int, int], Row] = {}
        pairs = zip(c.tolist(), k.tolist(), strict=True)
        return w, [made.setdefault(p, Row("", parts[p[0]], kinds[p[1]])) for p in pairs], f


__all__ = ["OWN", "OWN_AT", "SHARED", "SHARED_AT", "Hit", "Look", "Row", "highest", "lexical", "look_at"]
