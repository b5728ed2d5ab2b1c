"""Which words each picture is of, for all pictures of a walk together.

A hidden Markov model along the time axis. The state of a picture is the remark it is of (or none) and the place it was
taken in. What is seen of a state: the time of the picture against the words, the place as heard. What is seen of two
states that follow each other: walking order, whether the pictures look alike, bursts. Chances come from a forward and
a backward pass over all paths, so a later picture mends an earlier guess.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .filing_habits import Habits, learn
from .filing_places import MOVE, MOVE_PAUSE, PAUSE_S
from .filing_words import SPARE, Numbers, Said

# Our choice (basis: memory), as logs.
BURST, BURST_S = 2.0, 3.0  # the same camera, within so many seconds: the same thing
SAME = 2.5  # nearly the same picture: the same thing
BACK, BACK_S = -0.7, 15.0  # a picture of words said before those of the picture before it; and so much per seconds
LEAST_PLACE, MOST_PLACES = 0.02, 4
ARRIVE_S, WIDE_VIEWS = 20.0, 6.0  # before the first words in a place; so many times as many pictures of no words
PASSES = 4  # times the habits are learned
ARRIVE = 0.7  # in a silence between two places: chance at its end that the next is reached already


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture on the visit's clock."""

    id: str
    at: float
    device: str


@dataclass(frozen=True, slots=True)
class _States:
    """What one picture may be: words (index, or -1 for none), place (column), and the log of how well it fits."""

    words: NDArray[np.int64]
    place: NDArray[np.int64]
    fit: Numbers


@dataclass(frozen=True, slots=True)
class Chances:
    """For one picture the chance of each place (in the order of the places) and of each set of findings; () is none."""

    place: Numbers
    findings: dict[tuple[str, ...], float]


def solve(
    shots: Sequence[Shot],
    said: Sequence[Said],
    places: Sequence[str],
    where: Numbers,
    alike: Numbers,
    same: NDArray[np.bool_],
) -> list[Chances]:
    """Chances of every picture. `shots` and `said` are in order of time; `alike`, `same` are in the order of shots."""
    if not shots:
        return []
    habits, look = Habits(), None
    for _ in range(PASSES):
        states = _states(shots, said, where, habits)
        made = _passes(shots, said, states, alike, same, look)
        look = _by_place(shots, states, made, alike, len(places))
        habits = _learned(shots, said, states, made)
    states = _states(shots, said, where, habits)
    made = _passes(shots, said, states, alike, same, look)
    return [_chances(s, c, said, len(places)) for s, c in zip(states, made, strict=True)]


def _states(shots: Sequence[Shot], said: Sequence[Said], where: Numbers, habits: Habits) -> list[_States]:
    """What each picture may be."""
    rates = habits.rates(np.array([s.at for s in shots]), said)
    return [_states_of(shot.at, rates[n], said, where) for n, shot in enumerate(shots)]


def _states_of(at: float, rates: Numbers, said: Sequence[Said], where: Numbers) -> _States:
    words, place, fit = list[int](), list[int](), list[float]()
    now = _where_at(at, said, where)
    spare = SPARE * (WIDE_VIEWS if _arriving(at, said, where) else 1.0)
    for p in _likely(now):
        words.append(-1)
        place.append(p)
        fit.append(float(np.log(spare * now[p])))
    for k in np.flatnonzero(rates >= SPARE / 1000).tolist():
        for p in _likely(where[k]):
            words.append(k)
            place.append(p)
            fit.append(float(np.log(rates[k] * where[k, p])))
    return _States(np.array(words), np.array(place), np.array(fit))


def _learned(shots: Sequence[Shot], said: Sequence[Said], states: Sequence[_States], made: Sequence[Numbers]) -> Habits:
    """The habits that these chances show."""
    words = np.zeros((len(shots), len(said)))
    for n, (s, c) in enumerate(zip(states, made, strict=True)):
        np.add.at(words[n], s.words[s.words >= 0], c[s.words >= 0])
    return learn(np.array([s.at for s in shots]), said, words)


def _arriving(at: float, said: Sequence[Said], where: Numbers) -> bool:
    """Is it the moment before the first words in another place, when wide views are taken?"""
    after = next((k for k, one in enumerate(said) if one.start > at), None)
    if after is None or said[after].start - at > ARRIVE_S:
        return False
    return after == 0 or int(where[after].argmax()) != int(where[after - 1].argmax())


def _likely(chance: Numbers) -> list[int]:
    best: list[int] = np.argsort(-chance, kind="stable")[:MOST_PLACES].tolist()
    return [p for p in best if chance[p] >= LEAST_PLACE] or best[:1]


def _where_at(at: float, said: Sequence[Said], where: Numbers) -> Numbers:
    """The place at a moment from the remarks around it; in a silence the next place is reached bit by bit."""
    if not said:
        return _row(np.ones((1, where.shape[1])) / where.shape[1], 0)
    starts = np.array([s.start for s in said])
    after = int(np.searchsorted(starts, at, side="right"))
    if after == 0:
        return _row(where, 0)
    if after == len(said):
        return _row(where, -1)
    end, start = said[after - 1].end, said[after].start
    share = ARRIVE * min(1.0, max(0.0, (at - end) / (start - end))) if start > end and at > end else 0.0
    mixed: Numbers = (1 - share) * where[after - 1] + share * where[after]
    return mixed


def _row(where: Numbers, n: int) -> Numbers:
    row: Numbers = where[n]
    return row


def _links(a: int, b: int, shots: Sequence[Shot], said: Sequence[Said], states: Sequence[_States],
           alike: Numbers, same: NDArray[np.bool_]) -> Numbers:  # fmt: skip
    """Log of how well each state of picture b (columns) follows each state of picture a (rows)."""
    one, other = states[a], states[b]
    starts = np.array([s.start for s in said] or [0.0])
    known = (one.words[:, None] >= 0) & (other.words[None, :] >= 0)
    same_words = known & (one.words[:, None] == other.words[None, :])
    back = np.where(known, starts[one.words][:, None] - starts[other.words][None, :], 0.0)
    pause = max(0.0, shots[b].at - shots[a].at)
    move = MOVE + (MOVE_PAUSE - MOVE) * (1 - float(np.exp(-pause / PAUSE_S)))
    here = one.place[:, None] == other.place[None, :]
    links: Numbers = np.where(here, np.log(1 - move) + alike[a, b], np.log(move))
    links = links + np.where(back > 0, BACK - back / BACK_S, 0.0)
    alone = (one.words[:, None] < 0) & (other.words[None, :] < 0)
    tied = same_words | alone
    if shots[a].device == shots[b].device and pause <= BURST_S:
        links = links + np.where(tied, BURST, 0.0)
    if same[a, b]:
        links = links + np.where(tied, SAME, 0.0)
    return links


def _passes(
    shots: Sequence[Shot],
    said: Sequence[Said],
    states: Sequence[_States],
    alike: Numbers,
    same: NDArray[np.bool_],
    look: Sequence[Numbers] | None,
) -> list[Numbers]:
    """For each picture the chance of each of its states."""
    fits = [np.exp(_levelled(s.fit + (look[n][s.place] if look else 0.0))) for n, s in enumerate(states)]
    links = [np.exp(_links(n - 1, n, shots, said, states, alike, same)) for n in range(1, len(states))]
    ahead = [fits[0] / fits[0].sum()]
    for n in range(1, len(states)):
        step = (ahead[-1][:, None] * links[n - 1]).sum(axis=0) * fits[n]
        ahead.append(step / step.sum())
    behind = np.ones_like(fits[-1])
    out = [ahead[-1]]
    for n in range(len(states) - 2, -1, -1):
        behind = (links[n] * (fits[n + 1] * behind)[None, :]).sum(axis=1)
        behind = behind / behind.sum()
        both = ahead[n] * behind
        out.append(both / both.sum())
    return out[::-1]


def _levelled(fit: Numbers) -> Numbers:
    levelled: Numbers = fit - fit.max()
    return levelled


LOOK, LOOK_MOST, LOOK_BEST = 0.6, 1.2, 3  # weight of alike pictures anywhere in the walk; how many of them count


def _by_place(
    shots: Sequence[Shot], states: Sequence[_States], chances: Sequence[Numbers], alike: Numbers, places: int
) -> list[Numbers]:
    """For each picture and place the log of how well the picture looks like those taken there: a second look."""
    there = np.zeros((len(shots), places))
    for n, (s, c) in enumerate(zip(states, chances, strict=True)):
        np.add.at(there[n], s.place, c)
    out = []
    for n in range(len(shots)):
        logs = np.delete(alike[n][:, None] * there, n, axis=0)  # pictures x places
        best = -np.sort(-logs, axis=0, kind="stable")[:LOOK_BEST]
        out.append(np.clip(LOOK * best.mean(axis=0), -LOOK_MOST, LOOK_MOST) if len(best) else np.zeros(places))
    return out


def _chances(states: _States, chance: Numbers, said: Sequence[Said], places: int) -> Chances:
    place = np.zeros(places)
    np.add.at(place, states.place, chance)
    found: dict[tuple[str, ...], float] = {}
    for k, c in zip(states.words, chance, strict=True):
        names = said[k].findings if k >= 0 else ()
        found[names] = found.get(names, 0.0) + float(c)
    return Chances(place, dict(sorted(found.items())))
