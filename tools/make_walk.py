"""Make a narration (WebVTT), its gold labels and, if asked, its sound from one marked-up source.

    python -m tools.make_walk tests/narrations/tuned/NAME.toml            # NAME.vtt and NAME.gold.json beside it
    python -m tools.make_walk --audio DIR tests/narrations/NAME.toml      # and speech, needs espeak-ng and ffmpeg
    python -m tools.make_walk --check tests/narrations                    # is what every source there makes fresh?

A source is TOML. `text` is the speech. In it

    @09:04:02              the recorder is switched on at this time of day (`clock` is time 0)
    +12                    a silence of twelve seconds
    Client: ...            another speaker (only names listed in `voices`); the cue gets a voice tag
    {f gutter: words}      these words are about the finding `gutter` of [f.gutter]
    {q lip: words}         ... the reading [q.lip];  {l attic: ...} a limitation;  {a panel: ...} something switched
    {n tip: words}         ... no finding at all, and why
    {s eave: eve}          said `eave`, heard as `eve`: the sound has the first, the transcript the second

Marks nest and may run over lines. Times come from the text alone: `pace` characters a second and a short pause between
cues, so that the same source gives the same bytes everywhere; the sound is then stretched to fit them.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import re
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tools.walk_sound import sound

WHY = {"tip", "praise", "hypothetical", "safety talk", "corrected", "other house"}
STANDING = {"d": "deficiency", "r": "recommendation", "i": "information"}
PAUSE_S = 0.35  # between two cues of one breath
PARAGRAPH_S = 1.2
MARK = re.compile(r"\{(?P<kind>[fqlans]) (?P<id>[^:{}]+): ?")


@dataclass
class Stretch:
    """Words of one speaker without a directive between them."""

    speaker: str
    at: float | None = None  # seconds on the walk clock
    pause: float = PARAGRAPH_S
    heard: str = ""
    said: dict[int, tuple[int, str]] = field(default_factory=dict)  # heard position -> (length, what was really said)


@dataclass(frozen=True)
class Cue:
    """One cue of the transcript, and what the sound says in it."""

    start: float
    end: float
    text: str
    said: str
    speaker: str
    stretch: int
    first: int  # position of its text in the stretch


@dataclass
class Mark:
    """A stretch of words with a label: (stretch, character) where it opens and closes."""

    kind: str
    id: str
    opens: tuple[int, int]
    closes: tuple[int, int] = (0, 0)


class SourceError(Exception):
    """The source cannot be used; the message says where."""


def seconds(clock: str) -> float:
    """Seconds since midnight of HH:MM:SS."""
    h, m, s = (int(x) for x in clock.split(":"))
    return h * 3600.0 + m * 60 + s


def plain_lines(source: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Lines of the text as (kind, content): at, pause, blank, a speaker's name, or '' for the inspector's words."""
    names = source.get("voices", [])
    for raw in str(source["text"]).splitlines():
        line = raw.strip()
        if not line:
            yield "blank", ""
        elif line.startswith("@"):
            yield "at", line[1:]
        elif re.fullmatch(r"\+\d+", line):
            yield "pause", line[1:]
        else:
            name = next((n for n in names if line.startswith(n + ":")), "")
            yield ("words:" + name, line[len(name) + 1 :].strip()) if name else ("words", line)


class Reader:
    """Reads marked-up text into stretches and marks."""

    def __init__(self, source: dict[str, Any]) -> None:
        self.source = source
        self.punctuation = bool(source.get("punctuation", True))
        self.stretches: list[Stretch] = []
        self.marks: list[Mark] = []
        self.open: list[tuple[Mark, int]] = []  # with the length of `heard` when a slip opened

    def read(self) -> tuple[list[Stretch], list[Mark]]:
        """Everything in the text; raises SourceError for a mark that is not closed."""
        base = seconds(self.source.get("clock", "00:00:00"))
        speaker, at, pause = str(self.source.get("speaker", "")), None, PARAGRAPH_S
        fresh = True
        for kind, what in plain_lines(self.source):
            if kind == "at":
                at, fresh = seconds(what) - base, True
            elif kind == "pause":
                pause, fresh = float(what), True
            elif kind == "blank":
                fresh = True
            else:
                name = kind[6:] or str(self.source.get("speaker", ""))
                if fresh or name != speaker:
                    self.stretches.append(Stretch(name, at, pause))
                    speaker, at, pause, fresh = name, None, PARAGRAPH_S, False
                self.words(what)
        if self.open:
            raise SourceError(f"mark {self.open[-1][0].id} is never closed")
        return self.stretches, self.marks

    def words(self, line: str) -> None:
        """One line of speech with its marks."""
        here = self.stretches[-1]
        if here.heard:
            self.put(" ")
        i = 0
        while i < len(line):
            mark = MARK.match(line, i)
            if mark:
                new = Mark(mark["kind"], mark["id"].strip(), (len(self.stretches) - 1, len(here.heard)))
                self.open.append((new, len(here.heard)))
                i = mark.end()
            elif line[i] == "}":
                self.close(here)
                i += 1
            else:
                self.put(line[i])
                i += 1

    def close(self, here: Stretch) -> None:
        """The innermost mark ends here."""
        if not self.open:
            raise SourceError(f"a brace closes nothing after: {here.heard[-40:]}")
        mark, was = self.open.pop()
        if mark.kind == "s":
            here.said[was] = (len(here.heard) - was, mark.id)
        else:
            mark.closes = (len(self.stretches) - 1, len(here.heard.rstrip()))
            self.marks.append(mark)

    def put(self, char: str) -> None:
        """One character as the recogniser gives it."""
        here = self.stretches[-1]
        if not self.punctuation:
            char = " " if char in "-—" else char.lower()
            if char in '.,;:?!"':
                return
        if char == " " and (not here.heard or here.heard.endswith(" ")):
            return
        here.heard += char


def cut(text: str, low: int, high: int) -> list[tuple[int, int]]:
    """Where a recogniser would break a stretch: near a varying length, at a full stop if one is close."""
    out, start = [], 0
    while len(text) - start > high + 25:
        aim = low + int(hashlib.sha256(text[start : start + 40].encode()).hexdigest(), 16) % (high - low)
        stops = [m.end() for m in re.finditer(r"[.?!](?= )", text[start : start + aim + 35]) if m.end() >= low * 0.6]
        near = [s for s in stops if abs(s - aim) <= 35]
        if near:
            end = start + min(near, key=lambda s: abs(s - aim))
        else:
            end = text.find(" ", start + aim)
            end = len(text) if end < 0 else end
        out.append((start, end))
        start = end + 1
    if text[start:].strip():
        out.append((start, len(text.rstrip())))
    return out


def as_said(part: Stretch, start: int, end: int) -> str:
    """The words of a piece with the recogniser's slips undone."""
    text, at = "", start
    for pos in sorted(p for p in part.said if start <= p < end):
        length, word = part.said[pos]
        text += part.heard[at:pos] + word
        at = pos + length
    return text + part.heard[at:end]


def lay_out(stretches: list[Stretch], source: dict[str, Any]) -> list[Cue]:
    """Give every piece of every stretch its time."""
    pace = float(source.get("pace", 14.5))
    low, high = source.get("cue_chars", [70, 150])
    cues: list[Cue] = []
    t = float(source.get("first_s", 1.5))
    for n, part in enumerate(stretches):
        if part.at is not None:
            if part.at < t - 1e-6:
                raise SourceError(
                    f"@ {part.at:.0f} s comes before the last words have ended ({t:.1f} s): {part.heard[:40]}"
                )
            t = part.at
        elif n:
            t += part.pause
        for k, (start, end) in enumerate(cut(part.heard, low, high)):
            t += PAUSE_S if k else 0.0
            text = part.heard[start:end]
            took = round(max(0.9, len(text) / pace), 2)
            cues.append(Cue(round(t, 2), round(t + took, 2), text, as_said(part, start, end), part.speaker, n, start))
            t = round(t + took, 2)
    return cues


def moment(cues: list[Cue], stretch: int, char: int, closing: bool) -> float:
    """The time of a character, words being spread evenly over a cue's characters."""
    best = [c for c in cues if c.stretch == stretch]
    for c in best:
        last = c.first + len(c.text)
        if char < last or (closing and char <= last):
            return c.start + (c.end - c.start) * max(0, char - c.first) / len(c.text)
    return best[-1].end


def spans_of(cues: list[Cue], mark: Mark) -> list[list[float]]:
    """The times of a mark; silences of more than three seconds are left out."""
    start = moment(cues, *mark.opens, closing=False)
    end = moment(cues, *mark.closes, closing=True)
    out: list[list[float]] = []
    for c in cues:
        s, e = max(start, c.start), min(end, c.end)
        if e - s <= 0.01:
            continue
        if out and s - out[-1][1] <= 3.0:
            out[-1][1] = round(e, 1)
        else:
            out.append([round(s, 1), round(e, 1)])
    if not out:
        raise SourceError(f"mark {mark.kind} {mark.id} holds no words")
    return out


def terms(text: str) -> list[str]:
    """A comma list as clean terms."""
    return [t.strip() for t in text.split(",") if t.strip()]


def tied(findings: dict[str, Any]) -> dict[str, list[str]]:
    """same_cause_as, pointing both ways."""
    ties: dict[str, set[str]] = {k: set() for k in findings}
    for key, f in findings.items():
        for other in terms(f.get("cause", "")):
            if other not in findings:
                raise SourceError(f"finding {key}: cause {other} is not a finding")
            ties[key].add(other)
            ties[other].add(key)
    return {k: sorted(v) for k, v in ties.items()}


def check_declared(source: dict[str, Any], said: set[tuple[str, str]]) -> None:
    """Every label is said, and everything marked has a label."""
    for kind in "fqla":
        declared, used = set(source.get(kind, {})), {i for k, i in said if k == kind}
        if declared != used:
            mute, strange = sorted(declared - used), sorted(used - declared)
            raise SourceError(f"{kind}: declared but not said {mute}, said but not declared {strange}")


def findings_of(source: dict[str, Any], spans: dict[tuple[str, str], list[list[float]]]) -> list[dict[str, Any]]:
    """The findings of the gold file."""
    readings = source.get("q", {})
    ties = tied(source["f"])
    findings = []
    for key, f in source["f"].items():
        quantities = [
            {"name": q["name"], "value": q["value"], "unit": q["unit"]} for q in readings.values() if q.get("of") == key
        ]
        findings.append(
            {
                "key": key,
                "what": f["what"],
                "component_any": terms(f["component"]),
                "condition_any": terms(f["condition"]),
                "standing": STANDING[f.get("standing", "d")],
                "place_any": terms(f["place"]),
                "people_hurt": bool(f.get("hurt", False)),
                "spans": spans["f", key],
                "quantities": quantities,
                "same_cause_as": ties[key],
            }
        )
    return findings


def gold_of(source: dict[str, Any], cues: list[Cue], marks: list[Mark], narration: str) -> dict[str, Any]:
    """The gold file: labels of the source with the times of the cues."""
    marks = sorted(marks, key=lambda m: m.opens)
    spans: dict[tuple[str, str], list[list[float]]] = {}
    for m in marks:
        if m.kind != "n":
            spans.setdefault((m.kind, m.id), []).extend(spans_of(cues, m))
    check_declared(source, set(spans))
    readings = source.get("q", {})
    return {
        "narration": narration,
        "house": source["house"],
        "findings": findings_of(source, spans),
        "limitations": [{"what": what, "spans": spans["l", k]} for k, what in source.get("l", {}).items()],
        "as_found": [
            {"what": a["what"], "spans": spans["a", k], "put_back": a["put_back"]}
            for k, a in source.get("a", {}).items()
        ],
        "readings": [reading(q, spans["q", k]) for k, q in readings.items()],
        "not_findings": [{"spans": spans_of(cues, m), "why": m.id} for m in marks if m.kind == "n"],
    }


def reading(q: dict[str, Any], spans: list[list[float]]) -> dict[str, Any]:
    """One reading of the gold file; said again is not another reading."""
    out = {"name": q["name"], "value": q["value"], "unit": q["unit"], "span": spans[0]}
    return {**out, "also_said": spans[1:]} if spans[1:] else out


def stamp(t: float) -> str:
    """WebVTT time."""
    ms = round(t * 1000)
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def vtt_of(cues: list[Cue], source: dict[str, Any]) -> str:
    """The transcript as WebVTT."""
    out = ["WEBVTT", ""]
    if note := source.get("note"):
        out += ["NOTE", *str(note).strip().splitlines(), ""]
    for n, c in enumerate(cues, 1):
        if source.get("numbered"):
            out.append(str(n))
        out.append(f"{stamp(c.start)} --> {stamp(c.end)}")
        out += [f"<v {c.speaker}>{c.text}" if c.speaker else c.text, ""]
    return "\n".join(out)


def make(path: Path) -> tuple[list[Cue], dict[Path, str]]:
    """The cues of a source, and the text of each file it makes."""
    source = tomllib.loads(path.read_text("utf-8"))
    vtt = (path.parent / source["vtt"]) if "vtt" in source else path.with_suffix(".vtt")
    try:
        stretches, marks = Reader(source).read()
        unknown = {m.id for m in marks if m.kind == "n"} - WHY
        if unknown:
            raise SourceError(f"not a reason: {sorted(unknown)}")
        cues = lay_out(stretches, source)
        gold = gold_of(source, cues, marks, vtt.name)
    except (SourceError, KeyError) as err:
        raise SystemExit(f"{path.name}: {err}") from err
    body = json.dumps(gold, indent=1, ensure_ascii=False) + "\n"
    # lists of numbers and words read better on one line
    body = re.sub(r"\[\s*([^\[\]{}]*?)\s*\]", lambda m: "[" + re.sub(r"\s*\n\s*", " ", m[1]) + "]", body)
    return cues, {vtt: vtt_of(cues, source), path.with_suffix(".gold.json"): body}


def main(argv: list[str] | None = None) -> int:
    """Make or check what the named sources make."""
    ap = argparse.ArgumentParser(description="Make narrations, gold labels and sound from marked-up sources.")
    ap.add_argument("sources", nargs="+", type=Path, help="source files, or folders to search")
    ap.add_argument("--check", action="store_true", help="change nothing; end with 1 if a made file is not fresh")
    ap.add_argument("--audio", type=Path, help="also make the sound, into this folder (one source)")
    a = ap.parse_args(argv)
    paths = [p for s in a.sources for p in (sorted(s.rglob("*.toml")) if s.is_dir() else [s])]
    stale = 0
    for path in paths:
        cues, files = make(path)
        for out, body in files.items():
            if a.check:
                fresh = out.is_file() and out.read_text("utf-8") == body
                stale += not fresh
                if not fresh:
                    print(f"{out}: not what {path.name} makes; run tools/make_walk.py {path}", file=sys.stderr)
            else:
                out.write_text(body, "utf-8")
        talk = sum(c.end - c.start for c in cues)
        words = sum(len(c.text.split()) for c in cues)
        print(
            f"{path.stem}: {len(cues)} cues, {words} words, {talk / 60:.1f} min of speech, ends {stamp(cues[-1].end)}"
        )
        if a.audio:
            sound(cues, tomllib.loads(path.read_text("utf-8")), a.audio)
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main())
