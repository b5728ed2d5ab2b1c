"""Visits, events and devices in SQLite; photos and sound on disk by their SHA-256."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import threading
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from kingpost.visit.fold_chain import gaps
from kingpost.visit.journal_form import Event, canonical, event, loads

SCHEMA = """
CREATE TABLE IF NOT EXISTS visits (id TEXT PRIMARY KEY, name TEXT NOT NULL, changed_ms INTEGER NOT NULL);
CREATE TABLE IF NOT EXISTS events (
    n INTEGER PRIMARY KEY AUTOINCREMENT, visit TEXT NOT NULL REFERENCES visits(id), digest TEXT NOT NULL,
    device TEXT NOT NULL, seq INTEGER NOT NULL, kind TEXT NOT NULL, media TEXT, line TEXT NOT NULL,
    UNIQUE (visit, digest));
CREATE INDEX IF NOT EXISTS by_device ON events (visit, device, seq);
CREATE INDEX IF NOT EXISTS by_media ON events (media) WHERE media IS NOT NULL;
CREATE TABLE IF NOT EXISTS pairs (
    id TEXT PRIMARY KEY, name TEXT NOT NULL, key_hash TEXT NOT NULL UNIQUE, since_ms INTEGER, seen_ms INTEGER);
CREATE TABLE IF NOT EXISTS tokens (token_hash TEXT PRIMARY KEY, until_ms INTEGER NOT NULL);
"""
BLOCK = 1 << 20
MOST_READ = 8  # visits whose events are held as they were read


def now_ms() -> int:
    return time.time_ns() // 1_000_000


class Store:
    """All that the server keeps in one folder. Every method may be called from any thread."""

    def __init__(self, root: Path) -> None:
        self.root = root
        for sub in ("media", "uploads", "visits", "tmp"):
            (root / sub).mkdir(parents=True, exist_ok=True)
        self._lock = threading.RLock()
        self._read: dict[str, list[tuple[int, Event]]] = {}  # what `every` has read; an event is never changed
        self._db = sqlite3.connect(root / "kingpost.db", check_same_thread=False, isolation_level=None, timeout=30)
        self._db.execute("PRAGMA journal_mode=WAL")
        self._db.execute("PRAGMA synchronous=FULL")  # taken means on disk
        self._db.executescript(SCHEMA)

    def close(self) -> None:
        with self._lock:
            self._db.close()

    @contextmanager
    def change(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is on disk, or none."""
        with self._lock:
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield self._db
            except BaseException:
                self._db.execute("ROLLBACK")
                raise
            self._db.execute("COMMIT")

    def ask(self, sql: str, *values: Any) -> list[tuple[Any, ...]]:
        with self._lock:
            return self._db.execute(sql, values).fetchall()

    # visits

    def add_visit(self, visit: str, name: str) -> None:
        with self.change() as db:
            db.execute("INSERT OR IGNORE INTO visits VALUES (?, ?, ?)", (visit, name, now_ms()))

    def rename(self, visit: str, name: str) -> None:
        with self.change() as db:
            db.execute("UPDATE visits SET name = ?, changed_ms = ? WHERE id = ?", (name, now_ms(), visit))

    def visits(self) -> list[str]:
        return [row[0] for row in self.ask("SELECT id FROM visits ORDER BY changed_ms DESC, id")]

    def has_visit(self, visit: str) -> bool:
        return bool(self.ask("SELECT 1 FROM visits WHERE id = ?", visit))

    def summary(self, visit: str) -> dict[str, Any]:
        name, changed = self.ask("SELECT name, changed_ms FROM visits WHERE id = ?", visit)[0]
        count, cursor = self.ask("SELECT count(*), coalesce(max(n), 0) FROM events WHERE visit = ?", visit)[0]
        return {"id": visit, "name": name, "events": count, "changed_ms": changed, "cursor": cursor}

    def folder(self, visit: str) -> Path:
        return self.root / "visits" / visit / "folder"

    # events

    def take(self, visit: str, events: Sequence[Event]) -> list[int]:
        """Keep events; the numbers of those that were new. On disk when it returns."""
        rows = [(visit, e.digest, e.device, e.seq, e.kind, media(e), canonical(e.whole)) for e in events]
        new: list[int] = []
        with self.change() as db:
            for row in rows:
                done = db.execute(
                    "INSERT OR IGNORE INTO events (visit, digest, device, seq, kind, media, line)"
                    " VALUES (?, ?, ?, ?, ?, ?, ?)",
                    row,
                )
                if done.rowcount:
                    new.append(int(done.lastrowid or 0))
            if new:
                db.execute("UPDATE visits SET changed_ms = ? WHERE id = ?", (now_ms(), visit))
        return new

    def events(self, visit: str, after: int = 0, most: int = -1) -> list[tuple[int, Event]]:
        rows = self.ask("SELECT n, line FROM events WHERE visit = ? AND n > ? ORDER BY n LIMIT ?", visit, after, most)
        return [(n, event(loads(line))) for n, line in rows]

    def every(self, visit: str) -> list[Event]:
        """All events of a visit, in order of number; only those that are new since the last time are read."""
        with self._lock:
            known = self._read.pop(visit, [])
            known += self.events(visit, after=known[-1][0] if known else 0)
            self._read[visit] = known
            while len(self._read) > MOST_READ:
                del self._read[next(iter(self._read))]
            return [e for _, e in known]

    def lines(self, visit: str) -> dict[str, list[str]]:
        """The journals as their files hold them: per device, in order of number."""
        out: dict[str, list[str]] = {}
        for device, line in self.ask(
            "SELECT device, line FROM events WHERE visit = ? ORDER BY device, seq, digest", visit
        ):
            out.setdefault(device, []).append(line)
        return out

    def cursor(self, visit: str) -> int:
        return int(self.ask("SELECT coalesce(max(n), 0) FROM events WHERE visit = ?", visit)[0][0])

    def heads(self, visit: str, devices: Iterable[str] | None = None) -> dict[str, Any]:
        """What is held of each journal: the newest number, its digest, and the gaps before it."""
        mine: dict[str, dict[int, str]] = {}
        wanted = None if devices is None else set(devices)
        for device, seq, digest in self.ask(
            "SELECT device, seq, digest FROM events WHERE visit = ? ORDER BY device, seq, digest", visit
        ):
            if wanted is None or device in wanted:
                mine.setdefault(device, {})[seq] = digest
        return {
            device: {
                "seq": max(held),
                "digest": held[max(held)],
                "missing": [list(gap) for gap in gaps(set(held))][:50],
            }
            for device, held in sorted(mine.items())
        }

    # media

    def media_at(self, digest: str) -> Path:
        return self.root / "media" / digest[:2] / digest

    def has_media(self, digest: str) -> bool:
        return self.media_at(digest).is_file()

    def missing_media(self, visit: str) -> list[str]:
        rows = self.ask("SELECT DISTINCT media FROM events WHERE visit = ? AND media IS NOT NULL ORDER BY n", visit)
        return [digest for (digest,) in rows if not self.has_media(digest)]

    def visits_with(self, digest: str) -> list[str]:
        return [row[0] for row in self.ask("SELECT DISTINCT visit FROM events WHERE media = ?", digest)]

    def keep_media(self, path: Path, digest: str) -> bool:
        """Move a file under its digest, synced to disk; False where its bytes are not what the digest says."""
        if digest_of(path) != digest:
            return False
        at = self.media_at(digest)
        at.parent.mkdir(exist_ok=True)
        with path.open("rb") as file:
            os.fsync(file.fileno())
        path.chmod(0o444)  # the visit folder links to it; nobody writes into it
        path.replace(at)
        sync_folder(at.parent)
        return True


def media(e: Event) -> str | None:
    """The bytes that an event points to."""
    value = e.body.get("media")
    is_one = e.kind in ("audio", "photo") and isinstance(value, str) and len(value) == 64 and value.isalnum()
    return value if is_one else None


def digest_of(path: Path) -> str:
    sha = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            sha.update(block)
    return sha.hexdigest()


def sync_folder(folder: Path) -> None:
    """A new name is on disk only when its folder is."""
    at = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(at)
    finally:
        os.close(at)
