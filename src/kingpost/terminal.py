"""What a command says on a terminal: counts after a report, the remarks and drafts of a transcript."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kingpost.visit.record import Record, Remark

STANDINGS = ("deficiency", "recommendation", "information")
NARROW, WIDE = 60, 140  # columns between which a terminal is filled
ACCENT, FAINT, PLAIN = "\x1b[35m", "\x1b[2m", "\x1b[0m"


def pencil(record: Record) -> int:
    """How many findings no person has decided on."""
    return sum(1 for f in record.findings if f.state != "ink")


def loose_ends(record: Record) -> int:
    """How many remarks nothing uses and nobody set aside."""
    return int(record.counts.get("loose_ends", 0))


def told(record: Record, written: Sequence[Path], notes: Sequence[str] = ()) -> list[str]:
    """What a person reads after a report: counts, loose ends, trouble, where it is."""
    loose = loose_ends(record)
    by = {name: sum(1 for f in record.findings if f.standing == name) for name in ("deficiency", "recommendation")}
    rest = len(record.findings) - sum(by.values())
    drafts = pencil(record)
    ends = _many(loose, "loose end") if loose else "no word unaccounted for"
    lines = [
        f"{_many(len(record.remarks), 'remark')}, {_many(len(record.photos), 'photo')}, "
        f"{_many(len(record.readings), 'reading')}; {ends}",
        f"{_many(len(record.findings), 'finding')}: {_many(by['deficiency'], 'deficiency', 'deficiencies')}, "
        f"{_many(by['recommendation'], 'recommendation')}, {rest} for information; "
        f"{_many(len(record.limitations), 'limitation')}",
    ]
    if drafts:
        findings = _many(len(record.findings), "finding")
        lines.append(f"{drafts} of {findings} in pencil: a draft until you decide on each")
    lines += [*pictures(record), *record.notes, *notes]
    if record.trouble:
        count = len(record.trouble)
        lines.append(f"{_many(count, 'thing')} could not be used as {'it stands' if count == 1 else 'they stand'}:")
        lines += [f"  {trouble}" for trouble in record.trouble]
    lines.append("  ".join(str(path) for path in written))
    return lines


SPOILT = 6  # spoilt pictures that are named; the rest is counted


def pictures(record: Record) -> list[str]:
    """What a person should know of the pictures: clocks, doubts, what is spoilt."""
    lines = [
        f"clock of {c.device or 'the unnamed camera'}: {c.says} ({_many(c.pictures, 'photo')})"
        for c in record.clocks
        if c.source == "estimated" or "check it" in c.says
    ]
    doubts = sum(1 for p in record.photos if p.doubts)
    if doubts:
        lines.append(
            f"{_many(doubts, 'photo')} of {len(record.photos)} filed with doubts: photos[].doubts in record.json"
        )
    spoilt = [f"{p.file} {', '.join(p.faults)}" for p in record.photos if p.faults]
    if spoilt:
        more = f"; and {len(spoilt) - SPOILT} more" if len(spoilt) > SPOILT else ""
        lines.append(f"{_many(len(spoilt), 'photo')} spoilt: {'; '.join(spoilt[:SPOILT])}{more}")
    return lines


def _many(count: int, one: str, more: str = "") -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"


def summary(record: Record, written: Sequence[Path], notes: Sequence[str] = ()) -> dict[str, Any]:
    """What a program reads after a report, as JSON can hold it."""
    from kingpost.visit.record import plain

    standings = Counter(f.standing for f in record.findings)
    drafts = pencil(record)
    return {
        "ok": True,
        "draft": drafts > 0,
        "remarks": len(record.remarks),
        "photos": len(record.photos),
        "readings": len(record.readings),
        "findings": len(record.findings),
        "by_standing": {name: standings.get(name, 0) for name in STANDINGS},
        "pencil": drafts,
        "limitations": len(record.limitations),
        "loose_ends": loose_ends(record),
        "counts": plain(record.counts),
        "notes": [*record.notes, *notes],
        "trouble": plain(record.trouble),
        "files": [str(path) for path in written],
    }


def heard(record: Record) -> Iterator[str]:
    """Remarks and draft findings of a transcript in columns; colour only on a terminal."""
    width = min(max(shutil.get_terminal_size().columns, NARROW), WIDE)
    for remark in record.remarks:
        head = f"{_clock(remark.start):>7}  {remark.use:<11}  {remark.place or '-':<16.16}  "
        accent = ACCENT if remark.use == "finding" else FAINT if remark.use == "set_aside" else ""
        text = " ".join((remark.text, *_notes(remark)))
        yield from _block(_coloured(head, accent), len(head), text, width)
    yield ""
    for finding in record.findings:
        head = f"{finding.number or '':>5}  {finding.standing:<14}  "
        when = finding.when.replace("_", " ")
        text = f"{finding.place or 'place not said'}: {finding.title} ({when})"
        yield from _block(_coloured(head, ACCENT), len(head), text, width)
    words = record.counts.get("words", sum(len(r.text.split()) for r in record.remarks))
    loose = loose_ends(record)
    ends = _many(loose, "loose end") if loose else "no word unaccounted for"
    yield ""
    findings = _many(len(record.findings), "draft finding")
    yield f"{_many(words, 'word')}, {_many(len(record.remarks), 'remark')}, {findings}; {ends}"
    for trouble in record.trouble:
        yield f"  {trouble}"


def _notes(remark: Remark) -> Iterator[str]:
    """What a reader of a remark has to know: why it is set aside, what was mended, what may be misheard."""
    if remark.why_set_aside:
        yield f"[{remark.why_set_aside}]"
    yield from (f"[heard {heard}, taken for {meant}]" for heard, meant in remark.mended)
    if remark.doubtful:
        yield f"[not sure of: {', '.join(f'{w} or {other}' if other else w for w, other in remark.doubtful)}]"


def _clock(seconds: float) -> str:
    whole = int(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _coloured(words: str, accent: str) -> str:
    return f"{accent}{words}{PLAIN}" if accent and sys.stdout.isatty() and "NO_COLOR" not in os.environ else words


def _block(head: str, indent: int, text: str, width: int) -> Iterator[str]:
    first, *rest = textwrap.wrap(text, max(20, width - indent), break_long_words=False) or [""]
    yield head + first
    yield from (" " * indent + line for line in rest)
