"""Times Kingpost and prints a small table; `--write` keeps it as bench/results.md.

python -m bench            everything; the first time it makes the large visit (about 2 GB in the temporary folder)
python -m bench --small    the sample visit only
python -m bench --checks   the checks and the pure core only; `--write` puts these lines into the table that is kept
python -m bench --clean    takes the large visit away again
"""

from __future__ import annotations

import argparse
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from kingpost import __version__

from . import checks, large

HERE = Path(__file__).parent
SAMPLE = HERE.parent / "examples" / "split-level-1964"
LARGE = Path(tempfile.gettempdir()) / "kingpost-bench-large"
MEGA = 1024  # ru_maxrss counts kilobytes here


@dataclass(frozen=True)
class Line:
    """One line of the table."""

    what: str
    size: str
    seconds: float
    peak_mb: float | None = None
    rate: str = ""


def spent(*command: str) -> tuple[float, float, float]:
    """Seconds on the clock and of the processors, and peak memory in MB, of a command of its own."""
    began = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as going:
        _, status, used = os.wait4(going.pid, 0)
        going.returncode = os.waitstatus_to_exitcode(status)
    if going.returncode:
        raise SystemExit(f"{' '.join(command)} ended with {going.returncode}")
    return time.perf_counter() - began, used.ru_utime + used.ru_stime, used.ru_maxrss / MEGA


def child(*command: str) -> tuple[float, float]:
    """Seconds and peak memory in MB of a command of its own."""
    seconds, _, peak = spent(*command)
    return seconds, peak


def report(what: str, folder: Path, size: str, *options: str) -> Line:
    """One `kingpost report` in an interpreter of its own."""
    with tempfile.TemporaryDirectory() as out:
        seconds, peak = child(sys.executable, "-m", "kingpost.cli", "report", str(folder), "-o", out, *options)
    return Line(what, size, seconds, peak)


def reading(what: str, folder: Path, size: str) -> Line:
    """Reading the folder alone."""
    code = "import sys, pathlib, kingpost.visit; kingpost.visit.read(pathlib.Path(sys.argv[1]))"
    return Line(what, size, *child(sys.executable, "-c", code, str(folder)))


def hearing(what: str, text: str, warm: bool) -> Line:
    """Transcript to findings in this process: cold with the trade data to load, or warm."""
    from kingpost.inspection import inspect
    from kingpost.visit import cues
    from kingpost.visit.errors import Troubles
    from kingpost.visit.facts import Facts, Visit, Walk

    heard = cues.read(text, "walk/walk.vtt", Troubles())
    words = sum(len(cue.text.split()) for cue in heard.cues)
    began = time.perf_counter()
    record = inspect(Visit(HERE, Facts(), (Walk("walk/walk.vtt", heard.cues),)))
    seconds = time.perf_counter() - began
    size = f"{words:,} words, {len(record.findings)} findings{'' if warm else ', cold'}"
    return Line(what, size, seconds, rate=f"{words / seconds:,.0f} words/s")


def arithmetic() -> list[Line]:
    """The checks alone and the pure core, in processor seconds; each with its goal."""
    house, three, core = checks.checks_of(checks.PLACES[:1]), checks.checks_of(checks.PLACES), checks.core_import()
    return [
        Line("all checks, every quantity read once (processor)", house.size, house.seconds, rate="goal 0.100"),
        Line("all checks, every quantity in three rooms (processor)", three.size, three.seconds),
        Line("import of the pure core (processor)", core.size, core.seconds, rate="goal 0.150"),
    ]


def lines(small: bool, tell: Callable[[str], None]) -> list[Line]:
    """Every line of the table."""
    tell("sample visit")
    words = (SAMPLE / "walk" / "walk.vtt").read_text(encoding="utf-8")
    photos = len(list((SAMPLE / "photos").glob("*.jpg")))
    size = f"{photos} photos"
    out = [
        report("report, sample visit", SAMPLE, size),
        report("report, sample visit, --no-pdf", SAMPLE, size, "--no-pdf"),
        hearing("transcript to findings", words, warm=False),
        hearing("transcript to findings", words, warm=True),
        hearing("transcript to findings, large", large.transcript(large.WORDS), warm=True),
        *arithmetic(),
    ]
    if not small:
        tell(f"large visit in {LARGE.name} of the temporary folder")
        folder = large.make(LARGE)
        size = f"{large.WORDS:,} words, {large.PHOTOS} photos of 12 MP"
        out.append(reading("reading the folder, large visit", folder, size))
        out.append(report("report, large visit", folder, size))
    return out


def table(found: list[Line]) -> str:
    """The table as Markdown."""
    rows = ["| what | size | seconds | peak MB | rate |", "|---|---|---|---|---|"]
    for line in found:
        peak = f"{line.peak_mb:,.0f}" if line.peak_mb is not None else ""
        seconds = f"{line.seconds:.1f}" if line.seconds >= 1 else f"{line.seconds:.3f}"
        rows.append(f"| {line.what} | {line.size} | {seconds} | {peak} | {line.rate} |")
    return "\n".join(rows)


def _put(rows: list[str]) -> None:
    """Lines into the table that is kept, in place of those of the same name."""
    kept = (HERE / "results.md").read_text(encoding="utf-8").rstrip("\n").split("\n")
    named = {row.split("|")[1] for row in rows}
    kept = [row for row in kept if not (row.startswith("|") and row.split("|")[1] in named)]
    (HERE / "results.md").write_text("\n".join([*kept, *rows]) + "\n", encoding="utf-8")


def main() -> int:
    """Measure, print, and keep where asked."""
    parser = argparse.ArgumentParser(prog="python -m bench", description="Time Kingpost on this machine.")
    parser.add_argument("--small", action="store_true", help="the sample visit only")
    parser.add_argument("--checks", action="store_true", help="the checks and the pure core only")
    parser.add_argument("--write", action="store_true", help="keep the table as bench/results.md")
    parser.add_argument("--clean", action="store_true", help="take the large visit away again and stop")
    args = parser.parse_args()
    if args.clean:
        shutil.rmtree(LARGE, ignore_errors=True)
        return 0
    if args.checks:
        made = table(arithmetic())
        print(made)
        if args.write:
            _put(made.splitlines()[2:])
        return 0
    made = table(lines(args.small, lambda step: print(step, "...", file=sys.stderr, flush=True)))
    print(made)
    if args.write:
        about = (
            f"Kingpost {__version__}, Python {platform.python_version()}, {os.cpu_count()} cores, {platform.machine()}."
        )
        text = (
            f"# Measured\n\n{about} Times move by a third when the machine is busy. Made by `make bench`.\n\n{made}\n"
        )
        (HERE / "results.md").write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
