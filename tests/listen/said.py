"""Short spoken passages with what each of them tells: readings, limits, things changed for the visit.

The tables in `spoken/` were written in one go, before anything was measured on them, by the hand that then mended the
rules with the half called `tuned`; the half called `kept` was measured at the start and at the end only. Invented.

    .venv/bin/python -m tests.listen.said tuned [--misses]

A line: half | kind | what is said | what it tells.
readings  `value unit quantity part`, joined by `;`. `a|b`: either. `?` first: may be taken for a reading or not.
limits    {} around the words of the limit; without them there is none.
handled   `thing back` or `thing open`, joined by `;`; so are `opening` (what is left changed) and `closing` (put back).
looking   room | what is said there | `part way`, joined by `;`: a part of parts.toml and a wording that it must show,
          or one of the two; `! part way` must not show.
Each passage is heard twice: as written, and in small letters without a stop, as many recognisers give it.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from kingpost.listen.catalogue import catalogue
from kingpost.listen.handled import handled
from kingpost.listen.hear import hear
from kingpost.listen.heard import Heard, prepare
from kingpost.listen.limits import limits
from kingpost.listen.readings import spoken
from kingpost.listen.sweeps import Look, sweep
from kingpost.listen.words import stream
from kingpost.trade.load import trade
from kingpost.trade.standards import standards
from kingpost.visit.facts import Cue, Walk

HERE = Path(__file__).parent / "spoken"
TRADE = trade()
KNOWN = standards()


@dataclass(frozen=True)
class Said:
    """One passage."""

    half: str
    kind: str
    text: str
    tells: str = ""


def passages(name: str, half: str) -> list[Said]:
    """The passages of a table and a half."""
    rows = [tuple(x.strip() for x in line.split("|", 3)) for line in (HERE / f"{name}.txt").read_text().splitlines()]
    return [Said(*row) for row in rows if row[0] == half]


def ways(text: str) -> Iterator[str]:
    """As written, and as a recogniser without punctuation gives it."""
    yield text
    yield re.sub(r"[^\w\s'./{}-]|[.](?!\d)", "", text.lower())


def listened(text: str) -> Heard:
    """One passage made ready for listening, spoken at three words a second."""
    return prepare(stream(Walk("w.vtt", (Cue("w.vtt", 1, 0.0, seconds(text), text),))), catalogue(TRADE))


def seconds(text: str) -> float:
    """How long a passage lasts."""
    return len(text.split()) / 3


def score_readings(half: str, misses: list[str]) -> Counter[str]:
    """`told`, `got`, `extra`, and of those got `named`: how many have the quantity that the table names."""
    count: Counter[str] = Counter()
    for one in passages("readings", half):
        want = [w.split() for w in one.tells.split(";") if w.split() not in (["-"], ["?"])]
        for text in ways(one.text):
            left = [(q.value, q.unit, q.quantity) for q in spoken(listened(text), TRADE)]
            lost = []
            for asked in sorted(want, key=lambda w: w[0] == "?"):
                maybe, (value, unit, *name) = asked[0] == "?", [a for a in asked if a != "?"]
                fits = [q for q in left if abs(q[0] - float(value)) <= 1e-6 + 0.01 * abs(q[0]) and q[1] == unit]
                fits.sort(key=lambda q: bool(name) and q[2] not in name[0].split("|"))
                if fits:
                    left.remove(fits[0])
                if maybe:
                    continue
                count["told"] += 1
                count["got"] += bool(fits)
                if fits and name:
                    count["asked"] += 1
                    count["named"] += fits[0][2] in name[0].split("|")
                if not fits:
                    lost.append(f"{value} {unit}")
                elif name and fits[0][2] not in name[0].split("|"):
                    misses.append(f"NAME {fits[0]} for {name[0]}: {text}")
            if not any(w == ["?"] for w in [w.split() for w in one.tells.split(";")]):
                count["extra"] += len(left)
            if lost or left:
                misses.append(f"{one.kind}: lost {lost} extra {left}: {text}")
    return count


def score_limits(half: str, misses: list[str]) -> Counter[str]:
    """`told`, `got`, `extra`."""
    count: Counter[str] = Counter()
    for one in passages("limits", half):
        for text in ways(one.text):
            a, b = text.find("{"), text.find("}") - 1
            plain = text.replace("{", "").replace("}", "")
            unit = seconds(plain) / max(1, len(plain))
            heard = listened(plain)
            words = heard.words
            hits = [
                words[x.start].start < b * unit - 0.1 and words[x.end - 1].end > a * unit + 0.1
                for x in limits(heard, TRADE)
            ]
            count["told"] += a >= 0
            count["got"] += a >= 0 and any(hits)
            count["extra"] += hits.count(False) if a >= 0 else len(hits)
            if (a >= 0) != any(hits) or (a < 0 and hits):
                misses.append(f"{one.kind}: {'lost' if a >= 0 else 'extra'}: {text}")
    return count


def score_handled(half: str, misses: list[str], table: str = "handled") -> Counter[str]:
    """`told`, `got`, `extra`, and of those got `right`: whether it was put back."""
    count: Counter[str] = Counter()
    for one in passages(table, half):
        want = [w.rsplit(" ", 1) for w in one.tells.split(";") if w != "-"]
        for text in ways(one.text):
            left = [(h.thing, h.closed is not None) for h in handled(listened(text), catalogue(TRADE).deeds)]
            seen = list(left)
            for thing, way in want:
                fits = [h for h in left if re.search(thing.strip(), h[0])]
                fits.sort(key=lambda h: h[1] != (way == "back"))
                count["told"] += 1
                count["got"] += bool(fits)
                count["right"] += bool(fits) and fits[0][1] == (way == "back")
                if fits:
                    left.remove(fits[0])
                if not fits or fits[0][1] != (way == "back"):
                    misses.append(f"{one.kind}: {thing} {way} got {seen}: {text}")
            count["extra"] += len(left)
            if left:
                misses.append(f"{one.kind}: extra {left}: {text}")
    return count


def score_opening(half: str, misses: list[str]) -> Counter[str]:
    """As score_handled, of things left changed."""
    return score_handled(half, misses, "opening")


def score_closing(half: str, misses: list[str]) -> Counter[str]:
    """As score_handled, of things put back."""
    return score_handled(half, misses, "closing")


def looked(room: str, text: str) -> list[Look]:
    """What one passage shows, said in a room that was named five seconds before."""
    cues = (Cue("w.vtt", 1, 0.0, 1.0, f"{room}."), Cue("w.vtt", 2, 6.0, 6.0 + seconds(text), text))
    return sweep(hear([Walk("w.vtt", cues)], TRADE).remarks, TRADE, KNOWN).looks


def _shown(asked: str, looks: list[Look]) -> bool:
    part, _, way = asked.partition(" ")
    if part in KNOWN.wordings:
        part, way = "", part
    parts = KNOWN.components([part]) if part else frozenset()
    return any((not part or x.component in parts) and (not way or way in x.ways) for x in looks)


def score_looking(half: str, misses: list[str]) -> Counter[str]:
    """`told`, `got`, and `extra`: what must not show and does."""
    count: Counter[str] = Counter()
    for one in passages("looking", half):
        for text in ways(one.text):
            looks = looked(one.kind, text)
            for asked in [w.strip() for w in one.tells.split(";")]:
                shown = _shown(asked.removeprefix("! "), looks)
                never = asked.startswith("!")
                count["told"] += not never
                count["got"] += shown and not never
                count["extra"] += shown and never
                if shown == never:
                    seen = sorted({(x.component, *sorted(x.ways)) for x in looks})
                    misses.append(f"{one.kind}: {asked} got {seen}: {text}")
    return count


SCORES = {
    "readings": score_readings, "limits": score_limits, "handled": score_handled,
    "opening": score_opening, "closing": score_closing, "looking": score_looking,
}  # fmt: skip

if __name__ == "__main__":
    for table in [t for t in SCORES if t in sys.argv] or list(SCORES):
        shown: list[str] = []
        got = SCORES[table](sys.argv[1], shown)
        print(table, f"recall {got['got'] / got['told']:.3f}", dict(got))
        if "--misses" in sys.argv:
            print(*shown, sep="\n")
