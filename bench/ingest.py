"""Ingest of many pictures of 12 MP beside the bare library's own thumbnails: the same files and outputs, in one run.

python -m bench.ingest             600 pictures (about 3 GB in the temporary folder, made once and kept there)
python -m bench.ingest --count 60

Memory is that of the whole tree of processes, five times a second: what each holds of its own, and its share of what
they hold together (PSS); Linux only. Processor time counts every process of the tree: it does not grow when the
machine is busy, as the time on the clock does.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from . import large

EVERY_S = 0.2
HOME = Path(tempfile.gettempdir())

# The same two copies as ours. "own": the library's thumbnail command as it stands. "draft": by a hand that knows that
# JPEG can be decoded at half its size, and that the small copy can be made of the large one.
BARE = """
import sys
from pathlib import Path
from PIL import Image
out, how = Path(sys.argv[1]), sys.argv[2]
for name in sys.stdin.read().split("\\n"):
    if not name:
        continue
    with Image.open(name) as image:
        if how == "draft":
            image.draft("RGB", (1600, 1200))
        image.thumbnail((1600, 1600))
        image.convert("RGB").save(out / (Path(name).stem + ".1600.jpg"), quality=84)
        image.thumbnail((320, 320))
        image.convert("RGB").save(out / (Path(name).stem + ".320.jpg"), quality=78)
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


@dataclass(frozen=True)
class Used:
    """What some commands took together: seconds on the clock and of the processors, most memory at once in MB."""

    clock_s: float
    cpu_s: float
    peak_mb: float


def watched(commands: list[tuple[list[str], str]]) -> Used:
    """Run (command, standard input) side by side until all have ended."""
    began, peak = time.perf_counter(), 0.0
    before = os.times()
    going = [subprocess.Popen(c, stdin=subprocess.PIPE, text=True) for c, _ in commands]
    feeds = [threading.Thread(target=p.communicate, args=(said,)) for p, (_, said) in zip(going, commands, strict=True)]
    for feed in feeds:
        feed.start()
    while any(feed.is_alive() for feed in feeds):
        peak = max(peak, sum(held(p.pid) for p in going))
        time.sleep(EVERY_S)
    if any(p.returncode for p in going):
        raise SystemExit("a command failed")
    after = os.times()
    cpu = after.children_user + after.children_system - before.children_user - before.children_system
    return Used(time.perf_counter() - began, cpu, peak)


def held(pid: int) -> float:
    """Memory of a process and all below it, MB: shared pages are counted once in all (PSS)."""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
        own = next((int(line.split()[1]) for line in lines if line.startswith("Pss:")), 0) * 1024 / 1e6
        below = {
            int(child)
            for task in Path(f"/proc/{pid}/task").iterdir()
            for child in (task / "children").read_text().split()
        }
    except OSError:
        return 0.0
    return own + sum(held(child) for child in below)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m bench.ingest", description="Measure ingest.")
    parser.add_argument("--count", type=int, default=large.PHOTOS)
    parser.add_argument("--crews", type=int, default=os.cpu_count() or 1, help="processes of the bare library")
    args = parser.parse_args()
    folder = large.make(HOME / f"kingpost-bench-ingest-{args.count}", words=200, photos=args.count)
    files = sorted((folder / "photos").iterdir())
    names = [str(p) for p in files]
    size = sum(p.stat().st_size for p in files) / 1e6 / len(files)
    print(f"{len(names)} pictures of 12 MP, {size:.1f} MB each, {os.cpu_count()} cores", flush=True)
    with tempfile.TemporaryDirectory(prefix="kingpost-bench-") as passing:
        at = Path(passing)
        (at / "bare").mkdir()

        def tell(what: str, used: Used) -> None:
            rates = f"{len(names) / used.clock_s:5.1f}/s  {len(names) / max(used.cpu_s, 0.01):5.1f} per CPU second"
            print(
                f"  {what:28} {used.clock_s:6.1f} s  {used.cpu_s:6.1f} CPU s  {rates}  {used.peak_mb:4.0f} MB",
                flush=True,
            )

        for what, how in (("Pillow's own thumbnail", "own"), ("Pillow, draft by hand", "draft")):
            command = [sys.executable, "-c", BARE, str(at / "bare"), how]
            shares = ["\n".join(names[n :: args.crews]) for n in range(args.crews)]
            tell(f"{what}, {args.crews} at once", watched([(command, mine) for mine in shares]))
        for what in ("ours, first time", "ours again, all kept"):
            tell(what, watched([([sys.executable, "-c", OURS, str(folder), str(at / "store")], "")]))
    return 0


if __name__ == "__main__":
    sys.exit(main())
