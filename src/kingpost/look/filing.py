"""Filing: place and finding of every picture of a visit, each with its chance, and what is in doubt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from kingpost.visit.facts import Photo

from . import filing_alike, filing_chain, filing_clocks, filing_places
from .filing_clocks import Clock
from .filing_words import Said, ordered
from .quality import Seen, faults, sharpest

SURE = 0.85  # chance that place and finding are both right, below which a picture is in doubt; our choice
EACH = SURE**0.5  # where it is in doubt, that of them is told whose own chance is below this: one is, at least
SHARED = 0.5  # chance from which a picture is filed with a further finding
ALSO = 0.15  # the same for a further finding of the same part: its picture shows them all
BURST_S = 3.0


@dataclass(frozen=True, slots=True)
class Filed:
    """Where one picture belongs."""

    photo: str
    seconds: float | None  # on the visit's clock, the camera's error taken off
    place: str = ""
    place_probability: float | None = None
    findings: tuple[str, ...] = ()
    probability: float | None = None  # that the finding, or that none, is right
    doubts: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    like: tuple[str, ...] = ()  # ids of pictures that are nearly the same
    burst: tuple[str, ...] = ()  # ids of the pictures taken in one go, this one with them
    proposed: bool = True  # the one to show of its burst
    blur: tuple[tuple[float, float, float, float], ...] = ()  # what the inspector wants hidden: shares of the picture
    suggested: tuple[tuple[float, float, float, float], ...] = ()  # the same, not decided yet
    decided: str = ""  # what the inspector did with it


@dataclass(frozen=True, slots=True)
class Filing:
    """All pictures of a visit, and the clocks of the cameras."""

    photos: dict[str, Filed] = field(default_factory=dict)
    clocks: tuple[Clock, ...] = ()

    @property
    def doubtful(self) -> int:
        """How many pictures a person should look at."""
        return sum(1 for f in self.photos.values() if f.doubts)


def file(
    photos: Sequence[Photo],
    said: Sequence[Said],
    seen: Mapping[str, Seen],
    given: Mapping[str, float],
    kin: Mapping[str, str] | None = None,
) -> Filing:
    """File every picture.

    photos  those of the visit; offsets that visit.toml gives are taken off their times already
    said    every remark on the visit's clock
    seen    marks of the pictures that could be decoded; filing works without, on time and words alone
    given   device to clock offset, for the devices that visit.toml names
    kin     finding to the part of the house it is about: a picture of a part shows all its findings

    The same answer whatever the order of photos and remarks.
    """
    said = ordered(said)
    timed = [p for p in photos if p.seconds is not None]
    told = _clocks(timed, said, seen, given)
    clocks = told.devices
    off = {c.device: c.offset_s for c in clocks if c.source == "estimated"}
    right = {
        p.id: round((p.seconds or 0.0) - (off.get(p.device, 0.0) if p.time_from != "given" else 0.0), 3) for p in timed
    }
    shots = sorted((filing_chain.Shot(p.id, right[p.id], p.device) for p in timed), key=lambda s: (s.at, s.id))
    ids = [s.id for s in shots]
    places, where = filing_places.way(said)
    alike, same = filing_alike.matrix(ids, seen), filing_alike.same_thing(ids, seen)
    chances = (
        filing_chain.solve([replace(s, at=s.at - told.habit_s) for s in shots], said, places, where, alike, same)
        if said
        else []
    )
    bursts = _bursts(shots, seen)
    filed: dict[str, Filed] = {}
    for n, shot in enumerate(shots):
        burst = bursts[shot.id]
        filed[shot.id] = Filed(
            shot.id,
            shot.at,
            **(_decided(chances[n], places, kin or {}) if chances else {"doubts": ("no words to file it by",)}),
            faults=faults(seen[shot.id]) if shot.id in seen else (),
            like=tuple(sorted(ids[m] for m in range(len(ids)) if same[n, m])),
            burst=burst if len(burst) > 1 else (),
            proposed=_best(burst, seen) == shot.id,
        )
    for p in photos:
        if p.id not in filed:
            wrong = faults(seen[p.id]) if p.id in seen else ()
            filed[p.id] = Filed(p.id, None, doubts=("no time, so nothing ties it to the walk",), faults=wrong)
    return Filing({p.id: filed[p.id] for p in photos}, clocks)


def _clocks(
    timed: Sequence[Photo], said: Sequence[Said], seen: Mapping[str, Seen], given: Mapping[str, float]
) -> filing_clocks.Clocks:
    mine = [p for p in timed if p.time_from != "given"]
    shots = [filing_clocks.Shot(p.id, p.device, float(p.seconds or 0.0)) for p in mine]
    order = sorted(shots, key=lambda s: (s.at, s.id))
    logs = filing_alike.matrix([s.id for s in order], seen)
    alike = {
        (min(a.id, b.id), max(a.id, b.id)): float(logs[i, j])
        for i, a in enumerate(order)
        for j, b in enumerate(order[:i])
        if a.device != b.device and logs[i, j] > 0.5
    }
    return filing_clocks.estimate(order, said, given, alike)


def _decided(chances: filing_chain.Chances, places: Sequence[str], kin: Mapping[str, str]) -> dict[str, Any]:
    """Place and findings of one picture with their chances, and the doubts in words."""
    order = sorted(range(len(places)), key=lambda p: (-float(chances.place[p]), places[p]))
    sure = round(float(chances.place[order[0]]), 3)
    groups: dict[str, float] = {}  # a part of the house, or "" for no finding
    single: dict[str, float] = {}
    for names, chance in chances.findings.items():
        for part in {kin.get(f, f) for f in names} or {""}:
            groups[part] = groups.get(part, 0.0) + chance
        for f in names:
            single[f] = single.get(f, 0.0) + chance
    best = sorted(groups, key=lambda g: (-groups[g], g))
    chance = round(min(1.0, groups[best[0]]), 3)
    found = _of_part(best[0], single, kin)
    doubts = []
    doubtful = sure * chance < SURE
    if doubtful and sure < EACH and len(order) > 1:
        doubts.append(f"place: {places[order[0]] or 'not said'}, or {places[order[1]] or 'not said'}")
    if doubtful and (chance < EACH or not doubts):
        rivals = (_of_part(g, single, kin, alone=True) for g in best[1:])
        other = next((names for names in rivals if not set(names) & set(found)), ())
        doubts.append(f"finding: {' and '.join(found) or 'none'}, or {' and '.join(other) or 'none'}")
    return {
        "place": places[order[0]],
        "place_probability": sure,
        "findings": found,
        "probability": chance,
        "doubts": tuple(doubts),
    }


def _of_part(part: str, single: Mapping[str, float], kin: Mapping[str, str], alone: bool = False) -> tuple[str, ...]:
    """The findings of one part that a picture may show, the likeliest first, and others told in the same breath.

    alone  without those others: what else it may be, where they are what it is taken for
    """
    if not part:
        return ()
    order = sorted(single, key=lambda f: (-single[f], f))
    mine = [f for f in order if kin.get(f, f) == part]
    told = () if alone else (f for f in order if single[f] >= SHARED)
    return tuple(dict.fromkeys([*mine[:1], *(f for f in mine if single[f] >= ALSO), *told]))


def _bursts(shots: Sequence[filing_chain.Shot], seen: Mapping[str, Seen]) -> dict[str, tuple[str, ...]]:
    """For each picture the pictures of its burst, itself with them: one camera, each within BURST_S of the last."""
    runs: list[list[filing_chain.Shot]] = []
    last: dict[str, list[filing_chain.Shot]] = {}
    for shot in shots:
        run = last.get(shot.device)
        if run and shot.at - run[-1].at <= BURST_S:
            run.append(shot)
        else:
            last[shot.device] = [shot]
            runs.append(last[shot.device])
    return {s.id: tuple(x.id for x in run) for run in runs for s in run}


def _best(burst: Sequence[str], seen: Mapping[str, Seen]) -> str:
    known = [(name, seen[name]) for name in burst if name in seen]
    return sharpest(known) if known else burst[0]
