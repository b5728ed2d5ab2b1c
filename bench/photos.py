"""Pictures measured: filing against a truth that we made, and ingest beside the library's own thumbnails.

python -m bench.photos               filing: ten invented walks, and the demo pictures where ../shared/demo is there
python -m bench.photos --ingest 60   ingest of so many pictures of 12 MP (600 take about 2 GB), beside Pillow's own
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from tests.look.invented_walk import make, picture

from kingpost.look.filing import file
from kingpost.look.quality import measure

from . import large

DEMO = Path(__file__).parent.parent.parent / "shared" / "demo"
SAMPLE = Path(__file__).parent.parent / "examples" / "split-level-1964"
WALKS = range(101, 111)  # none of them was used when numbers were chosen
NEAR_S = 3.0
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


def walks() -> None:
    """Ten walks of 250 pictures: one camera an hour behind, the other 40 s ahead."""
    place, finding, none, clocks = list[bool](), list[bool](), list[bool](), list[tuple[float, float]]()
    wrong, caught, doubts, seconds = 0, 0, 0, 0.0
    for seed in WALKS:
        walk = make(seed)
        seen = {name: measure(picture(shot)) for name, shot in walk.truth.items()}
        began = time.perf_counter()
        filing = file(walk.photos, walk.said, seen, {})
        seconds += time.perf_counter() - began
        clocks += [(c.offset_s - walk.offsets[c.device], c.uncertainty_s or 0.0) for c in filing.clocks]
        for name, shot in walk.truth.items():
            one = filing.photos[name]
            right = (shot.finding in one.findings) if shot.finding else not one.findings
            place.append(one.place == shot.place)
            (finding if shot.finding else none).append(right)
            doubts += bool(one.doubts)
            if not (right and place[-1]):
                wrong += 1
                caught += bool(one.doubts)
    print(f"{len(WALKS)} invented walks, {len(place)} pictures, filed in {seconds / len(WALKS):.1f} s a walk")
    print(f"  right place                       {share(place)}")
    print(f"  right finding, of those with one  {share(finding)}")
    print(f"  none, of those with none          {share(none)}")
    print(f"  errors that the doubts hold       {caught}/{wrong} = {caught / max(1, wrong):.1%}; doubts {doubts}")
    print(f"  clocks within {NEAR_S:g} s               {share(abs(away) <= NEAR_S for away, _ in clocks)}")
    print(f"  clocks within twice their own uncertainty {share(abs(away) <= 2 * u for away, u in clocks)}")


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
    print("  places (ours | manifest), to be read by a person: labels differ")
    for photo in record.photos:
        print(f"    {Path(photo.file).stem:26} {photo.place:24} | {manifest[photo.file]['place']}")


BARE = """
import sys
from pathlib import Path
from PIL import Image
out = Path(sys.argv[1])
for name in sys.argv[2:]:
    with Image.open(name) as image:
        image.thumbnail((1600, 1600)); image.convert("RGB").save(out / (Path(name).stem + ".1600.jpg"), quality=84)
        image.thumbnail((320, 320)); image.convert("RGB").save(out / (Path(name).stem + ".320.jpg"), quality=78)
"""
OURS = """
import sys
from pathlib import Path
from kingpost.look.ingest import ingest
from kingpost.visit import read
visit = read(Path(sys.argv[1]))
made = ingest(visit.folder, visit.photos, at=Path(sys.argv[2]))
assert len(made.seen) == len(visit.photos) and not made.trouble
"""


def ingest(count: int) -> None:
    """Both make the same two copies of the same files; ours also reads the times, measures, hashes and keeps."""
    with tempfile.TemporaryDirectory(prefix="kingpost-bench-") as passing:
        at = Path(passing)
        folder = large.make(at / "visit", words=200, photos=count)
        names = sorted(str(p) for p in (folder / "photos").iterdir())
        cores = os.cpu_count() or 1
        (at / "bare").mkdir()
        print(f"{count} pictures of 12 MP, {cores} cores")
        for crews in dict.fromkeys((1, cores)):
            shares = [names[n::crews] for n in range(crews)]
            commands = [[sys.executable, "-c", BARE, str(at / "bare"), *mine] for mine in shares if mine]
            seconds, peak = timed(commands)
            print(f"  Pillow's thumbnail, {crews} at once   {seconds:6.1f} s  {count / seconds:5.1f}/s  {peak:4.0f} MB")
        for what in ("first time", "again, kept"):
            seconds, peak = timed([[sys.executable, "-c", OURS, str(folder), str(at / "store")]])
            print(f"  ours, {what:12}            {seconds:6.1f} s  {count / seconds:5.1f}/s  {peak:4.0f} MB")


def timed(commands: list[list[str]]) -> tuple[float, float]:
    """Seconds until all have ended, and the most memory that they and what they started held together, MB."""
    began = time.perf_counter()
    going = [subprocess.Popen(command) for command in commands]
    peak, stop = [0.0], threading.Event()

    def watch() -> None:
        while not stop.wait(0.1):
            peak[0] = max(peak[0], sum(resident(p.pid) for p in going))

    watcher = threading.Thread(target=watch)
    watcher.start()
    codes = [p.wait() for p in going]
    stop.set()
    watcher.join()
    if any(codes):
        raise SystemExit("a command failed")
    return time.perf_counter() - began, peak[0]


def resident(pid: int) -> float:
    """Resident memory of a process and its children, MB; Linux only, 0 elsewhere."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
        for task in Path(f"/proc/{pid}/task").iterdir():
            children += (task / "children").read_text().split()
    except OSError:
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6 + sum(resident(int(c)) for c in set(children))


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m bench.photos", description="Measure filing and ingest.")
    parser.add_argument("--ingest", type=int, metavar="COUNT", help="ingest so many pictures instead")
    args = parser.parse_args()
    if args.ingest:
        ingest(args.ingest)
    else:
        walks()
        demo()
    return 0


if __name__ == "__main__":
    sys.exit(main())
