"""Judges visit folders, or writes their reports, in a process of its own, fed by lines: a crash costs one run, and the
doors stay quick.

In:  {"folder": "...", "out": "...", "n": 7} judges; {"folder": "...", "out": "...", "write": "to", "pdf": false} writes
     the report of what was judged last
Out: {"step": "..."} as it goes on, then {"done": {...}} or {"failed": ["line", ...]}

What was heard is remembered by the words themselves, so that a decision listens to nothing again. A report takes
seconds, on paper many; so it is written by another process than the one that judges, from the record that this one
leaves behind, and `--gently`: a decision never waits for it.
"""

from __future__ import annotations

import hashlib
import json
import os
import pickle
import sys
import time
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import Any

MOST_KEPT = {"hearing": 8, "patches": 200}
LEFT = ".record.pickle"  # the record that was judged last, for the process that writes; it never leaves the server
NICE = 10


class Memory:
    """once(name, key, make) of `kingpost.inspect`, remembered by the digest of the key."""

    def __init__(self) -> None:
        self._kept: dict[str, OrderedDict[str, Any]] = {}

    def __call__(self, name: str, key: object, make: Callable[[], Any]) -> Any:
        kept = self._kept.setdefault(name, OrderedDict())
        digest = hashlib.sha256(repr(key).encode("utf-8", "surrogatepass")).hexdigest()
        if digest not in kept:
            kept[digest] = make()
            while len(kept) > MOST_KEPT.get(name, 8):
                kept.popitem(last=False)
        kept.move_to_end(digest)
        return kept[digest]


def judge(asked: dict[str, Any], memory: Memory, tell: Callable[[str], None]) -> dict[str, Any]:
    """One visit folder to its record.json. Raises commands.base.Refused."""
    from kingpost.commands.base import Refused, visit_of
    from kingpost.inspection import inspect
    from kingpost.tell.record_json import dump
    from kingpost.trade.reading import TradeError

    begun = time.perf_counter()
    folder, out = Path(asked["folder"]), Path(asked["out"])
    visit = visit_of(folder, tell)  # as the command line reads it, plates and all
    tell("inspecting")
    try:
        record = inspect(visit, progress=tell, once=memory)
    except TradeError as err:
        raise Refused(*(str(fault) for fault in err.faults)) from None
    out.mkdir(parents=True, exist_ok=True)
    content = dump(record)
    _whole(out / "record.json", content)
    _whole(out / LEFT, pickle.dumps((int(asked.get("n", 0)), record), pickle.HIGHEST_PROTOCOL))
    return {"etag": hashlib.sha256(content).hexdigest(), "seconds": round(time.perf_counter() - begun, 3)}


def write(asked: dict[str, Any], tell: Callable[[str], None]) -> dict[str, Any]:
    """The report of the record that was judged last; which one that was. A file is there whole, or as it was before."""
    from kingpost.tell.write import write as report

    to = Path(asked["write"])
    n, record = pickle.loads((Path(asked["out"]) / LEFT).read_bytes())
    tell("writing the report")
    part = to.with_name(f"{to.name}.part")
    made = report(record, Path(asked["folder"]), part, pdf=bool(asked.get("pdf")), progress=tell)
    to.mkdir(exist_ok=True)
    for old in to.iterdir():
        if not (part / old.name).exists():
            old.unlink()
    for path in made.paths:
        path.replace(to / path.name)
    return {"n": n, "notes": list(made.notes)}


def _whole(path: Path, content: bytes) -> None:
    part = path.with_name(f".{path.name}.part")
    part.write_bytes(content)
    part.replace(path)


def main() -> None:
    """Answer line by line until the input ends."""
    from kingpost.commands.base import Refused

    out = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever a library prints must not stand among the answers
    memory = Memory()

    def say(**answer: Any) -> None:
        print(json.dumps(answer), file=out, flush=True)

    from kingpost.trade.load import trade

    if "--gently" in sys.argv:
        os.nice(NICE)
    trade()  # the data is read before the first visit comes
    say(ready=True)

    def step(words: str) -> None:
        say(step=words)

    for line in sys.stdin:
        asked = json.loads(line)
        try:
            say(done=write(asked, step) if "write" in asked else judge(asked, memory, step))
        except Refused as err:
            say(failed=list(err.lines))
        except Exception as err:
            say(failed=[f"a fault in Kingpost ({type(err).__name__}: {err})"])
            if os.environ.get("KINGPOST_DEBUG"):
                raise


if __name__ == "__main__":
    main()
