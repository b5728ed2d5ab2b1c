"""Filing measured against a truth that we made: invented walks, and the demo pictures where ../shared/demo is there.

python -m bench.photos
python -m bench.photos --walks 201-220    invented walks of other seeds, without the demo
python -m bench.photos --walks 201-220 --people    the same, each by another person with other clocks
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from tests.look.invented_walk import make, person, picture

from kingpost.look.filing import file
from kingpost.look.quality import measure

DEMO = Path(__file__).parent.parent.parent / "shared" / "demo"
SAMPLE = Path(__file__).parent.parent / "examples" / "split-level-1964"
WALKS = range(101, 111)  # none of them was used when numbers were chosen
NEAR_S = 3.0
K95 = 1.96  # of a standard uncertainty, where errors are normal
LISTS = (0.05, 0.08, 0.10, 0.12, 0.15, 0.20, 0.25, 0.30)  # lists of so many of the pictures, the least sure first
# Which conditions each demo picture shows, by us: what a person would put it beside; () where it shows no fault told.
SHOWS = {
    "p06": "downspout",
    "p07": "grading",
    "p08": "brick",
    "p11": "gutter",
    "p12": "deck_ledger joist_hanger",
    "p13": "deck_guard",
    "p14": "stairs handrail",
    "p15": "roof_age",
    "p16": "plumbing_vent",
    "p17": "chimney",
    "p18": "chimney",
    "p19": "flashing",
    "p21": "garage_house_door",
    "p22": "dryer",
    "p23": "bath_exhaust",
    "p24": "knee_wall",
    "p26": "sheathing",
    "p28": "ceiling_stain",
    "p29": "toilet",
    "p30": "smoke_alarm",
    "p31": "window_fogged",
    "p32": "gfci",
    "p33": "anti_tip",
    "p35": "panel_overfused",
    "p36": "panel_double_tap",
    "p37": "relief",
    "p38": "relief",
    "p39": "sediment",
    "p40": "water_heater_old",
    "p41": "furnace_rusted",
    "p42": "efflorescence basement",
    "p43": "supply_pipe",
    "p47": "vapor_barrier",
    "p49": "pier",
    "p50": "drain_pipe",
    "p51": "floor_joist",
}


def share(of: Iterable[bool]) -> str:
    made = list(of)
    return f"{sum(made)}/{len(made)} = {sum(made) / max(1, len(made)):.1%}"


def invented(walks: Sequence[int] = WALKS, people: bool = False) -> None:
    """Walks of 250 pictures: one camera an hour behind, the other 40 s ahead, or clocks and habits as `people` have."""
    place, finding, none, clocks = list[bool](), list[bool](), list[bool](), list[tuple[float, float]]()
    untold = 0
    wrong, caught, doubts, seconds = 0, 0, 0, 0.0
    chances: list[tuple[float, bool]] = []
    for seed in walks:
        late, offsets = person(seed)
        walk = make(seed, offsets=offsets, late_s=late) if people else make(seed)
        seen = {name: measure(picture(shot)) for name, shot in walk.truth.items()}
        began = time.perf_counter()
        filing = file(walk.photos, walk.said, seen, {})
        seconds += time.perf_counter() - began
        told = [c for c in filing.clocks if c.uncertainty_s]
        untold += len(filing.clocks) - len(told)
        clocks += [(c.offset_s - walk.offsets[c.device], c.uncertainty_s or 0.0) for c in told]
        for name, shot in walk.truth.items():
            one = filing.photos[name]
            right = (shot.finding in one.findings) if shot.finding else not one.findings
            place.append(one.place == shot.place)
            (finding if shot.finding else none).append(right)
            doubts += bool(one.doubts)
            sure = (one.probability or 0.0) * (one.place_probability or 0.0)
            chances.append((sure, not (right and place[-1])))
            if not (right and place[-1]):
                wrong += 1
                caught += bool(one.doubts)
    print(f"{len(walks)} invented walks, {len(place)} pictures, filed in {seconds / len(walks):.1f} s a walk")
    print(f"  right place                       {share(place)}")
    print(f"  right finding, of those with one  {share(finding)}")
    print(f"  none, of those with none          {share(none)}")
    print(f"  pictures in doubt                 {doubts}/{len(place)} = {doubts / len(place):.1%}")
    print(f"  errors that the doubts hold       {caught}/{wrong} = {caught / max(1, wrong):.1%}")
    print(f"  right among those not in doubt    {1 - (wrong - caught) / (len(place) - doubts):.1%}")
    expected = sum(1 - sure for sure, _ in chances)
    print(f"  errors expected by the chances    {expected:.0f}, made {wrong}")
    order = sorted(chances)
    held = {part: sum(w for _, w in order[: round(part * len(order))]) / max(1, wrong) for part in LISTS}
    print("  errors that the least sure hold   " + ", ".join(f"{p:.0%}: {h:.1%}" for p, h in held.items()))
    of_clocks(clocks, untold)


def of_clocks(clocks: Sequence[tuple[float, float]], untold: int) -> None:
    """How far away clocks were told, s, each with its own standard uncertainty; and how many were not told."""
    print(f"  clocks within {NEAR_S:g} s               {share(abs(away) <= NEAR_S for away, _ in clocks)}")
    print(f"  clocks within their own 95 %      {share(abs(away) <= K95 * u for away, u in clocks)}")
    z = (sum((away / u) ** 2 for away, u in clocks) / max(1, len(clocks))) ** 0.5
    rms = (sum(away**2 for away, _ in clocks) / max(1, len(clocks))) ** 0.5
    print(f"  the same, error over uncertainty  {z:.2f} rms; error {rms:.2f} s rms; {untold} clocks not told")
    print(f"  the clock told worst              {max((abs(away) for away, _ in clocks), default=0.0):.1f} s away")


def demo() -> None:
    """The sample visit, without a word about its cameras' clocks, against the manifest of its pictures."""
    if not (DEMO / "manifest.json").exists():
        print("demo: not on this machine")
        return
    from kingpost.inspection import inspect
    from kingpost.visit import read

    visit = read(SAMPLE)
    given = {d.name: d.clock_offset_s for d in visit.facts.devices}
    photos = [replace(p, seconds=(p.seconds or 0.0) + given.get(p.device, 0.0)) for p in visit.photos]
    record = inspect(replace(visit, photos=tuple(photos), facts=replace(visit.facts, devices=())))
    manifest = {p["file"]: p for p in json.loads((DEMO / "manifest.json").read_text())["photos"]}
    name = {f.id: f.condition or f.title for f in record.findings}
    print(f"demo, {len(record.photos)} pictures, clocks not given")
    for clock in record.clocks:
        print(f"  {clock.device}: {clock.offset_s:+.1f} s (truth {given[clock.device]:+.0f} s); {clock.says}")
    right, missed = [], []
    for photo in record.photos:
        key = Path(photo.file).name.split("-")[0]
        if key in SHOWS:
            good = any(part in name[f] for f in photo.findings for part in SHOWS[key].split())
            right.append(good)
            if not good:
                missed.append(f"{key}: {', '.join(name[f] for f in photo.findings) or 'none'}")
    print(f"  right finding, of those with one  {share(right)}; not: {'; '.join(missed)}")
    print(f"  pictures in doubt                 {record.counts['photo_doubts']}")
    print("  places (ours | manifest), to be read by a person: labels differ")
    for photo in record.photos:
        print(f"    {Path(photo.file).stem:26} {photo.place:24} | {manifest[photo.file]['place']}")


def seeds(text: str) -> range:
    """ "201-220" as these seeds, the last with them."""
    first, _, last = text.partition("-")
    return range(int(first), int(last or first) + 1)


def main() -> int:
    """Print both tables; of the walks that are asked for, theirs alone."""
    parser = argparse.ArgumentParser(prog="python -m bench.photos", description="Measure filing.")
    parser.add_argument("--walks", metavar="FIRST-LAST", type=seeds, help="seeds of other walks")
    parser.add_argument("--people", action="store_true", help="each walk by another person, with other clocks")
    asked = parser.parse_args()
    invented(asked.walks or WALKS, asked.people)
    if not (asked.walks or asked.people):
        demo()
    return 0


if __name__ == "__main__":
    sys.exit(main())
