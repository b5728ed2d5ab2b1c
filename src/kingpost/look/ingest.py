"""Every picture once: two small copies and its marks, made in parallel processes and kept by content.

Where they are kept: `$KINGPOST_CACHE`, else `$XDG_CACHE_HOME/kingpost`, else `~/.cache/kingpost`, readable by the owner
alone. Names are the SHA-256 of the original. Taking the folder away loses nothing: everything is made again.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from queue import Empty, Queue
from typing import Any

import PIL

from kingpost.visit.facts import Photo, Trouble

from .ingest_worker import LARGE, SMALL
from .quality import Seen

EDITION = 2  # raise it when the copies or the marks change
MOST_WORKERS = 4  # each takes up to some 90 MB with a picture of 12 MP
FEW = 4  # pictures for which a second process is not worth its start
LONGEST_S = 120.0  # a picture that takes longer than this is given up
TELL_EVERY = 10


@dataclass(frozen=True, slots=True)
class Ingested:
    """What came of the pictures of a visit."""

    seen: dict[str, Seen] = field(default_factory=dict)  # by the picture's id
    trouble: tuple[Trouble, ...] = ()
    store: Path | None = None

    def copy(self, photo: Photo, longest: int = LARGE) -> Path | None:
        """The copy of 1600 or 320 px, upright, sRGB, without data about it; None where there is none."""
        if self.store is None or photo.id not in self.seen or longest not in (LARGE, SMALL):
            return None
        path = _stem(self.store, photo.digest)
        path = path.with_name(f"{path.name}.{longest}.jpg")
        return path if path.exists() else None


def store() -> Path:
    """The folder in which copies are kept."""
    given = os.environ.get("KINGPOST_CACHE")
    base = Path(given) if given else Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "kingpost"
    return base / f"pictures-{EDITION}-{PIL.__version__}"


def ingest(
    folder: Path, photos: Sequence[Photo], progress: Callable[[str], None] | None = None, at: Path | None = None
) -> Ingested:
    """Copies and marks of every picture, from the store where they are known.

    folder    the visit folder; nothing in it is written to
    progress  called with a few words now and then
    at        another store than `store()`

    A picture that cannot be decoded is a Trouble. Where the store cannot be written, a temporary one serves for the
    marks. The same pictures give the same marks, whatever was in the store and however many processes there are.
    """
    kept = at or store()
    try:
        kept.mkdir(parents=True, exist_ok=True, mode=0o700)
        usable = os.access(kept, os.W_OK)
    except OSError:
        usable = False
    if not usable:
        with tempfile.TemporaryDirectory(prefix="kingpost-") as passing:
            made = _all(folder, photos, Path(passing), progress)
        return Ingested(made.seen, made.trouble, None)
    return _all(folder, photos, kept, progress)


def _all(folder: Path, photos: Sequence[Photo], kept: Path, progress: Callable[[str], None] | None) -> Ingested:
    seen: dict[str, Seen] = {}
    todo: list[Photo] = []
    for photo in photos:
        known = _known(_stem(kept, photo.digest))
        if known is None:
            todo.append(photo)
        else:
            seen[photo.id] = known
    problems: dict[str, str] = {}
    if todo:
        jobs = {p.id: (folder / p.file, _stem(kept, p.digest)) for p in todo}
        made, problems = _Crew(jobs, progress).work()
        seen.update(made)
    trouble = tuple(
        Trouble(p.file, None, problems[p.id], "copy it again from the camera; it is listed without its picture")
        for p in photos
        if p.id in problems
    )
    return Ingested({p.id: seen[p.id] for p in photos if p.id in seen}, trouble, kept)


def _stem(kept: Path, digest: str) -> Path:
    return kept / (digest[:2] or "00") / (digest or "none")


def _known(stem: Path) -> Seen | None:
    """The marks kept for a picture, where they are whole and both copies are there."""
    try:
        seen = Seen.of_json(json.loads(stem.with_name(f"{stem.name}.json").read_bytes()))
    except (OSError, ValueError, KeyError, TypeError):
        return None
    there = all(stem.with_name(f"{stem.name}.{size}.jpg").exists() for size in (LARGE, SMALL))
    return seen if there else None


class _Crew:
    """Workers that take pictures from one queue; one that dies is replaced and its picture named."""

    def __init__(
        self, jobs: dict[str, tuple[Path, Path]], progress: Callable[[str], None] | None, workers: int = 0
    ) -> None:
        self.jobs, self.progress = jobs, progress
        self.workers = workers or max(1, min(os.cpu_count() or 1, MOST_WORKERS, len(jobs) // FEW))
        self.queue: Queue[str] = Queue()
        self.seen: dict[str, Seen] = {}
        self.problems: dict[str, str] = {}
        self.stop = threading.Event()

    def work(self) -> tuple[dict[str, Seen], dict[str, str]]:
        for name in self.jobs:
            self.queue.put(name)
        threads = [threading.Thread(target=self._serve, daemon=True) for _ in range(self.workers)]
        for thread in threads:
            thread.start()
        told = -TELL_EVERY
        try:
            while any(t.is_alive() for t in threads):
                for thread in threads:
                    thread.join(0.05)
                done = len(self.seen) + len(self.problems)
                if self.progress and done - told >= TELL_EVERY:
                    told = done
                    self.progress(f"looking at pictures, {done} of {len(self.jobs)}")
        finally:
            self.stop.set()  # on Ctrl-C the workers end with the picture they have
        return self.seen, self.problems

    def _serve(self) -> None:
        worker: subprocess.Popen[bytes] | None = None
        try:
            while not self.stop.is_set():
                try:
                    name = self.queue.get_nowait()
                except Empty:
                    return
                if worker is None:
                    worker = _worker()
                self._one(name, worker)
                if worker.poll() is not None:
                    _end(worker)
                    worker = None
        finally:
            if worker is not None:
                _end(worker)

    def _one(self, name: str, worker: subprocess.Popen[bytes]) -> None:
        path, stem = self.jobs[name]
        answer = _ask(worker, {"path": str(path), "stem": str(stem)})
        if answer is None:
            self.problems[name] = "ended the program that decodes it, or took too long; it is damaged"
        elif "problem" in answer:
            self.problems[name] = str(answer["problem"])
        else:
            self.seen[name] = Seen.of_json(answer["seen"])


def _worker() -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "kingpost.look.ingest_worker"]
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)


def _ask(worker: subprocess.Popen[bytes], job: dict[str, str]) -> dict[str, Any] | None:
    """The worker's answer; None where it died or had to be ended."""
    assert worker.stdin is not None and worker.stdout is not None
    late = threading.Timer(LONGEST_S, worker.kill)
    late.start()
    try:
        worker.stdin.write(json.dumps(job).encode() + b"\n")
        worker.stdin.flush()
        line = worker.stdout.readline()
    except OSError:
        line = b""
    finally:
        late.cancel()
    if not line:
        worker.kill()
        worker.wait()
        return None
    answer: dict[str, Any] = json.loads(line)
    return answer


def _end(worker: subprocess.Popen[bytes]) -> None:
    for pipe in (worker.stdin, worker.stdout):
        if pipe is not None:
            try:
                pipe.close()
            except OSError:
                continue
    try:
        worker.wait(timeout=5)
    except subprocess.TimeoutExpired:
        worker.kill()
        worker.wait()
