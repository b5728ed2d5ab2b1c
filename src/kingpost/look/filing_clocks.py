"""How far each camera's clock runs ahead, from the pictures themselves.

A wrong clock takes the pictures away from the words they belong to and from alike pictures of other cameras. For every
offset from -14 to +14 hours we ask how likely the pictures are (a Poisson process whose rate the words give), with a
prior that holds most clocks for right, some for wrong by whole hours and a few for anything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

from .filing_habits import Habits, learn
from .filing_words import SPARE, Numbers, Rate, Said

# Our choice (basis: memory), for want of a log of real clocks.
HOURS = 14
COARSE_S, FINE_S, NEAR_S = 2.0, 0.25, 30.0
HABIT_S, HABIT_MOST_S = 3.0, 6.0  # how far a person's habit (word first or picture first) shifts all pictures alike
BURST_S = 4.0  # pictures so near each other tell the offset once
TEMPER = 0.6  # pictures are not independent of each other; so much of what they say is believed
SET, ABOUT, HOURLY = 0.6, 0.3, 0.07  # share of clocks set by a network, about right, and either of these but for hours
SET_S, ABOUT_S = 0.6, 20.0  # spread of the first two; times in whole seconds alone make 0.6 of it
LEAST = 4  # bursts from which an offset is told
UNTOLD = "not_estimated"
SURE = 0.9  # chance of its peak from which an offset is believed
TIE_S, TIE = 5.0, 0.8  # alike pictures of two cameras: within so many seconds, and their weight
TIE_MOST = 12.0  # ties together count no more than this


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture for the clocks: when, by its own clock less what is known of it."""

    id: str
    device: str
    at: float


@dataclass(frozen=True, slots=True)
class Clock:
    """What is known of one camera's clock. Offsets are seconds that it runs ahead of the truth."""

    device: str
    offset_s: float  # taken off its pictures' times
    uncertainty_s: float | None  # one standard uncertainty; None where nothing was estimated
    source: str  # "given", "estimated" or UNTOLD
    pictures: int
    probability: float | None = None  # that the offset lies around the one told
    says: str = ""


@dataclass(frozen=True, slots=True)
class Clocks:
    """The clock of every device, in order of its name, and how long after its words a picture is taken, by habit."""

    devices: tuple[Clock, ...] = ()
    habit_s: float = 0.0  # more than filing_words supposes


@dataclass(frozen=True, slots=True)
class _Curve:
    """Offsets around the likeliest ones, and the log of how likely the pictures are with each."""

    offsets: Numbers
    score: Numbers

    @property
    def top(self) -> float:
        return float(self.offsets[int(self.score.argmax())])


def estimate(
    shots: Sequence[Shot],
    said: Sequence[Said],
    given: Mapping[str, float],
    alike: Mapping[tuple[str, str], float] | None = None,
) -> Clocks:
    """What the pictures tell of the clocks: once with the usual lateness, then with this person's, learned from that.

    shots  pictures with a time; a given offset is taken off already
    given  device to the offset that visit.toml gives; it wins
    alike  for pairs of pictures of two devices (ids in order) the log of how much likelier they show one thing
    """
    first = _estimate(shots, said, given, alike or {}, Rate(said))
    if all(c.source == UNTOLD for c in first.devices):
        return first
    return _estimate(shots, said, given, alike or {}, Rate(said, _lateness(shots, said, first).drawn))


def _lateness(shots: Sequence[Shot], said: Sequence[Said], clocks: Clocks) -> Habits:
    """How late pictures come after their words, where the clocks are as told; a habit that shifts all is left out."""
    known = {c.device: c.offset_s if c.source == "estimated" else 0.0 for c in clocks.devices if c.source != UNTOLD}
    off = {device: offset + clocks.habit_s for device, offset in known.items()}
    at = np.array([s.at - off[s.device] for s in shots if s.device in off])
    words = Habits().rates(at, said)
    return learn(at, said, words / (words.sum(axis=1, keepdims=True) + SPARE))


def _estimate(
    shots: Sequence[Shot],
    said: Sequence[Said],
    given: Mapping[str, float],
    alike: Mapping[tuple[str, str], float],
    rate: Rate,
) -> Clocks:
    """The same with one lateness, as `rate` has it."""
    by: dict[str, list[Shot]] = {}
    for shot in sorted(shots, key=lambda s: (s.at, s.id)):
        by.setdefault(shot.device, []).append(shot)
    enough = [d for d in sorted(by) if said and len(bursts([s.at for s in by[d]])) >= LEAST]
    fixed = [s for d in sorted(by) if d in given for s in by[d]]
    curves: dict[str, _Curve] = {}
    for device in sorted((d for d in enough if d not in given), key=lambda d: (-len(by[d]), d)):
        curves[device] = _curve(by[device], rate, fixed, alike)
        top = curves[device].top
        fixed = [*fixed, *(Shot(s.id, device, s.at - top) for s in by[device])]
    known = {d: _near(by[d], rate) for d in enough if d in given}
    habits = np.arange(-HABIT_MOST_S, HABIT_MOST_S + FINE_S, FINE_S)
    chance = _habit(habits, curves, known)
    habit = round(float((habits * chance).sum()), 2)
    told = {d: _one(d, curve, habits, chance, len(by[d])) for d, curve in curves.items()}
    for device in by:
        if device not in told:
            told[device] = _untold(device, by[device], given, rate if device in known else None, bool(said))
    return Clocks(tuple(told[d] for d in sorted(told)), habit)


def _near(shots: Sequence[Shot], rate: Rate) -> _Curve:
    """How well shifts by a habit fit the pictures of a clock that is given."""
    shifts = np.arange(-HABIT_MOST_S, HABIT_MOST_S + FINE_S, FINE_S)
    return _Curve(shifts, _score(shifts, shots, rate, (), {}))


def _habit(habits: Numbers, curves: Mapping[str, _Curve], known: Mapping[str, _Curve]) -> Numbers:
    """The chance of each habit: a clock that is surely right, or right but for hours, gives it away."""
    log = -0.5 * (habits / HABIT_S) ** 2
    for curve in known.values():
        log = log + curve.score - curve.score.max()
    for curve in curves.values():
        log = log + np.array([_logsum(curve.score + _prior(curve.offsets - h)) for h in habits])
    chance = np.exp(log - log.max())
    scaled: Numbers = chance / chance.sum()
    return scaled


def _logsum(log: Numbers) -> float:
    return float(log.max() + np.log(np.exp(log - log.max()).sum()))


def bursts(times: Sequence[float]) -> list[int]:
    """Sizes of the runs of pictures that follow each other within BURST_S; `times` are in order.

    >>> bursts([0.0, 1.0, 2.5, 60.0])
    [3, 1]
    """
    sizes: list[int] = []
    for n, at in enumerate(times):
        if n and at - times[n - 1] <= BURST_S:
            sizes[-1] += 1
        else:
            sizes.append(1)
    return sizes


def _prior(offsets: Numbers) -> Numbers:
    """Log of how likely a clock is wrong by so much, before any picture is seen."""
    right = SET * _normal(offsets) + ABOUT * _bell(offsets, ABOUT_S)
    halves = np.rint(offsets / 1800)
    rest = offsets - 1800 * halves
    weight = np.where(halves == 0, 0.0, np.where(halves % 2 == 0, 1.0, 0.1)) / (2 * HOURS * 1.1)
    hours = weight * (SET * _normal(rest) + ABOUT * _bell(rest, ABOUT_S)) / (SET + ABOUT)
    flat = (1 - SET - ABOUT - HOURLY) / (2 * HOURS * 3600)
    logged: Numbers = np.log(right + HOURLY * hours + flat)
    return logged


def _normal(away: Numbers) -> Numbers:
    density: Numbers = np.exp(-0.5 * (away / SET_S) ** 2) / (SET_S * np.sqrt(2 * np.pi))
    return density


def _bell(away: Numbers, spread: float) -> Numbers:
    """Density of Cauchy: most near, some far."""
    density: Numbers = 1 / (np.pi * spread * (1 + (away / spread) ** 2))
    return density


def _score(
    offsets: Numbers, shots: Sequence[Shot], rate: Rate, fixed: Sequence[Shot], alike: Mapping[tuple[str, str], float]
) -> Numbers:
    """Log of the likelihood of each offset, less a constant."""
    sizes = bursts([s.at for s in shots])
    weights = [1 / size for size in sizes for _ in range(size)]
    score = np.zeros_like(offsets)
    for shot, weight in zip(shots, weights, strict=True):
        score += TEMPER * weight * rate.at(shot.at - offsets)
    ties = np.zeros_like(offsets)
    for one in shots:
        for other in fixed:
            known = alike.get((min(one.id, other.id), max(one.id, other.id)))
            if known is not None and known > 0:
                ties += TIE * known * np.exp(-np.abs(one.at - offsets - other.at) / TIE_S)
    total: Numbers = score + TIE_MOST * np.tanh(ties / TIE_MOST)
    return total


def _curve(shots: Sequence[Shot], rate: Rate, fixed: Sequence[Shot], alike: Mapping[tuple[str, str], float]) -> _Curve:
    """Coarse over all hours, then fine around the best and around those that bring alike pictures together."""
    coarse = np.arange(-HOURS * 3600, HOURS * 3600 + COARSE_S, COARSE_S)
    rough = _score(coarse, shots, rate, fixed, {}) + _prior(coarse)
    ties = [o for o in _tied(shots, fixed, alike) if abs(o) <= HOURS * 3600]
    best = [*_peaks(coarse, rough), *ties]
    fine = np.concatenate([np.arange(b - NEAR_S, b + NEAR_S + FINE_S, FINE_S) for b in best])
    fine = np.unique(np.rint(fine / FINE_S)) * FINE_S
    return _Curve(fine, _score(fine, shots, rate, fixed, alike))


def _one(device: str, curve: _Curve, habits: Numbers, chance: Numbers, count: int) -> Clock:
    """The offset of one clock, whatever the habit is."""
    likely = [n for n in range(len(habits)) if chance[n] > 1e-4]
    offsets = np.concatenate([curve.offsets - habits[n] for n in likely])
    log = np.concatenate(
        [
            (joint := curve.score + _prior(curve.offsets - habits[n])) - _logsum(joint) + np.log(chance[n])
            for n in likely
        ]
    )
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    top = float(offsets[int(weight.argmax())])
    near = np.abs(offsets - top) <= NEAR_S
    share = float(weight[near].sum())
    mean = float((weight[near] * offsets[near]).sum() / share)
    spread = float(np.sqrt((weight[near] * (offsets[near] - mean) ** 2).sum() / share))
    return _told(device, round(mean, 1), max(0.5, round(spread, 1)), round(share, 3), count)


def _tied(shots: Sequence[Shot], fixed: Sequence[Shot], alike: Mapping[tuple[str, str], float]) -> list[float]:
    """Offsets that would bring the most alike pictures of two cameras together."""
    pairs = []
    for one in shots:
        for other in fixed:
            known = alike.get((min(one.id, other.id), max(one.id, other.id)), 0.0)
            if known > 0:
                pairs.append((-known, one.at - other.at))
    return [away for _, away in sorted(pairs)[:12]]


def _peaks(offsets: Numbers, score: Numbers, most: int = 12) -> list[float]:
    """The offsets of the highest hills, each at least NEAR_S from a higher one."""
    found: list[float] = []
    for n in np.argsort(-score, kind="stable"):
        at = float(offsets[n])
        if all(abs(at - other) > NEAR_S for other in found):
            found.append(at)
            if len(found) == most:
                break
    return found


def _told(device: str, offset: float, spread: float, share: float, count: int) -> Clock:
    if share < SURE:
        guess = f"best guess {offset:+.0f} s, chance {share:.0%}"
        says = f"its clock cannot be told from its pictures ({guess}); taken as right"
        return Clock(device, 0.0, None, UNTOLD, count, share, says)
    if abs(offset) < 2 * spread:  # taken as right, so what it may be wrong by counts from there
        spread = round(hypot(spread, offset), 1)
        says = f"right within {2 * spread:.0f} s"
        return Clock(device, 0.0, spread, "estimated", count, share, says)
    hour = round(offset / 1800)
    rest = offset - 1800 * hour
    way = "ahead" if offset > 0 else "behind"
    says = f"runs {abs(offset):.0f} s {way}, give or take {2 * spread:.0f} s"
    if hour and abs(rest) < 300:
        says = f"wrong by {_hours(abs(hour))}: {says}"
    return Clock(device, offset, spread, "estimated", count, share, says)


def _hours(halves: int) -> str:
    hours = halves / 2
    return "an hour" if hours == 1 else "half an hour" if hours == 0.5 else f"{hours:g} hours"


def _untold(device: str, shots: Sequence[Shot], given: Mapping[str, float], rate: Rate | None, words: bool) -> Clock:
    if device not in given:
        why = "too few pictures to tell its clock" if words else "no words to hold its clock against"
        return Clock(device, 0.0, None, UNTOLD, len(shots), None, f"{why}; taken as right")
    says = "as visit.toml gives it"
    if rate is not None:
        habits = np.zeros(1)
        free = _one(device, _curve(shots, rate, (), {}), habits, np.ones(1), len(shots))
        if free.source == "estimated" and abs(free.offset_s) > max(15.0, 5 * (free.uncertainty_s or 0.0)):
            says += f"; its pictures would fit the words better with {given[device] + free.offset_s:+.0f} s: check it"
    return Clock(device, given[device], 0.0, "given", len(shots), None, says)
