"""What differs between two records, finding by finding, in words. Records are plain data, as record.json holds them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from .values import money
from .words import STAKE, STANDING, VERDICT, WHEN, capital, label, listed, small

Plain = dict[str, Any]
FACTS = {
    "name": "name of the house",
    "address": "address",
    "built": "year built",
    "form": "form of the house",
    "storeys": "number of storeys",
    "foundation": "foundation",
    "client": "client",
    "inspector": "inspector",
    "licence": "licence",
    "started": "start of the visit",
}
PARTS = {"saw": "What we saw", "matters": "Why it matters", "do": "What to do and who does it"}


@dataclass(frozen=True, slots=True)
class Change:
    """What became of one finding, or of one other thing that the report tells."""

    id: str  # of the finding; empty where it is about something else, or where the finding is gone
    number: int | None  # its number now
    title: str
    words: tuple[str, ...]


def changes(before: Plain, after: Plain) -> tuple[Change, ...]:
    """New, changed and withdrawn findings ridge to ground, then what could not be seen, then the facts of the visit."""
    old, new = _by_id(before.get("findings")), _by_id(after.get("findings"))
    out = []
    for key, finding in new.items():
        told = tuple(_finding(old[key], finding, before, after)) if key in old else ("This finding is new.",)
        if told:
            out.append(Change(key, finding.get("number"), str(finding.get("title", "")), told))
    for key, finding in old.items():
        if key not in new:
            told = (f"Withdrawn. It was finding {finding.get('number')}.",)
            out.append(Change("", None, str(finding.get("title", "")), told))
    if moved := _moved(old, new):
        out.append(Change("", None, "Numbers", (moved,)))
    for said in (*_limits(before, after), *_rings(before, after), *_facts(before, after)):
        out.append(Change("", None, *said))
    return tuple(out)


def _by_id(rows: Any) -> dict[str, Plain]:
    return {str(row["id"]): row for row in sorted(rows or (), key=lambda r: (r.get("number") or 0, str(r["id"])))}


def _finding(old: Plain, new: Plain, before: Plain, after: Plain) -> Iterator[str]:
    if old.get("title") != new.get("title"):
        yield f"Its title was “{old.get('title')}”."
    for key, name, among in (("standing", "standing", STANDING), ("when", "time", WHEN)):
        if old.get(key) != new.get(key):
            yield _was(name, label(str(old.get(key)), among), label(str(new.get(key)), among))
    if old.get("at_stake") != new.get("at_stake"):
        yield _was("at stake", *(_listed([label(s, STAKE) for s in f.get("at_stake") or ()]) for f in (old, new)))
    if (old.get("place"), old.get("also_at")) != (new.get("place"), new.get("also_at")):
        yield _was("place", _places(old), _places(new))
    if old.get("people") != new.get("people"):
        yield _was("who does it", *(_listed([_plain(p) for p in f.get("people") or ()]) for f in (old, new)))
    yield from _told(old, new)
    yield from _proven(old, new, before, after)


def _told(old: Plain, new: Plain) -> Iterator[str]:
    a, b = old.get("narrative") or {}, new.get("narrative") or {}
    for key, name in PARTS.items():
        if a.get(key) != b.get(key):
            yield f"“{name}” is reworded. It was: “{a.get(key) or 'nothing'}”"
    if old.get("cost") != new.get("cost"):
        yield _was("cost", money(old.get("cost")) or "not given", money(new.get("cost")) or "not given")
    for caution in new.get("cautions") or ():
        if caution not in (old.get("cautions") or ()):
            yield f"A caution is added: “{caution}”"
    for caution in old.get("cautions") or ():
        if caution not in (new.get("cautions") or ()):
            yield f"A caution is taken out: “{caution}”"


def _proven(old: Plain, new: Plain, before: Plain, after: Plain) -> Iterator[str]:
    """Pictures, words and readings behind it, and the verdicts of its checks."""
    for kind, one in (("photo", "photograph"), ("remark", "remark"), ("thermal", "thermal picture"), ("row", "row")):
        had, has = ({str(e[kind]) for e in f.get("evidence") or () if kind in e} for f in (old, new))
        for these, word in ((has - had, "more"), (had - has, "fewer")):
            if these:
                yield f"{len(these)} {one if len(these) == 1 else one + 's'} {word} behind it."
    a, b = ({str(c["id"]): c for c in r.get("checks") or ()} for r in (before, after))
    for key in dict.fromkeys((*(old.get("checks") or ()), *(new.get("checks") or ()))):
        was, now = a.get(key), b.get(key)
        if was and now and was.get("verdict") != now.get("verdict"):
            verdicts = [small(label(str(c.get("verdict")), VERDICT)) for c in (was, now)]
            yield f"{capital(str(now.get('title') or key))}: it was “{verdicts[0]}”; it is “{verdicts[1]}”."
    gone = [c for c in old.get("checks") or () if c not in (new.get("checks") or ())]
    come = [c for c in new.get("checks") or () if c not in (old.get("checks") or ())]
    if gone or come or old.get("readings") != new.get("readings"):
        yield "The readings and checks behind it are not the same; see “How we know”."


def _was(name: str, old: str, new: str) -> str:
    return (
        f"Its {name} was “{old}”; it is “{new}”."
        if name not in ("who does it", "at stake")
        else (f"{capital(name)}: it was “{old}”; it is “{new}”.")
    )


def _plain(word: str) -> str:
    return word.replace("_", " ")


def _places(finding: Plain) -> str:
    return _listed([_plain(str(p)) for p in (finding.get("place"), *(finding.get("also_at") or ())) if p])


def _listed(parts: list[str]) -> str:
    return listed(parts) or "nothing"


def _moved(old: dict[str, Plain], new: dict[str, Plain]) -> str:
    """Which numbers are others than before, runs of them together: "4 to 9 are now 5 to 10"."""
    pairs = sorted(
        (int(old[k].get("number") or 0), int(new[k].get("number") or 0))
        for k in new
        if k in old and old[k].get("number") != new[k].get("number")
    )
    runs: list[list[tuple[int, int]]] = [[p] for p in pairs[:1]]
    for a, b in pairwise(pairs):
        if b[0] == a[0] + 1 and b[1] == a[1] + 1:
            runs[-1].append(b)
        else:
            runs.append([b])
    said = [
        f"{r[0][0]} is now {r[0][1]}" if len(r) == 1 else f"{r[0][0]} to {r[-1][0]} are now {r[0][1]} to {r[-1][1]}"
        for r in runs
    ]
    return f"Findings have other numbers: {listed(said)}." if said else ""


def _limits(before: Plain, after: Plain) -> Iterator[tuple[str, tuple[str, ...]]]:
    old, new = ({str(r["id"]): r for r in x.get("limitations") or ()} for x in (before, after))
    for key, row in new.items():
        if key not in old:
            yield "What could not be seen", (f"Added: {row.get('item') or row.get('text')}.",)
    for key, row in old.items():
        if key not in new:
            yield "What could not be seen", (f"Taken out: {row.get('item') or row.get('text')}.",)


def _rings(before: Plain, after: Plain) -> Iterator[tuple[str, tuple[str, ...]]]:
    old = {str(r["id"]): r for r in before.get("as_found") or ()}
    for row in after.get("as_found") or ():
        was = old.get(str(row["id"]))
        if was and was.get("put_back") != row.get("put_back"):
            state = "is now known to be put back" if row.get("put_back") else "is no longer known to be put back"
            yield "Left as found", (f"{row.get('text')}: {state}.",)


def _facts(before: Plain, after: Plain) -> Iterator[tuple[str, tuple[str, ...]]]:
    old, new = before.get("visit") or {}, after.get("visit") or {}
    for key, name in FACTS.items():
        if old.get(key) != new.get(key):
            said = f"The {name} was “{old.get(key) or 'not given'}”; it is “{new.get(key) or 'not given'}”."
            yield "The visit", (said,)
