"""The record: what Kingpost makes of a visit. The fields and their names are fixed by docs/contract.md."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any

from .facts import Facts, Trouble
from .owed import Owed

SCHEMA = "kingpost-record/1"


@dataclass(frozen=True, slots=True)
class Remark:
    """A stretch of speech about one thing. Every word of every cue lies in exactly one remark."""

    id: str
    source: str
    start: float
    end: float
    text: str
    place: str
    use: str  # finding, reading, information, limitation, as_found, safety, set_aside
    why_set_aside: str = ""
    into: tuple[str, ...] = ()
    speaker: str = ""
    mended: tuple[tuple[str, str], ...] = ()  # (heard, taken as): recogniser slips on trade words
    doubtful: tuple[tuple[str, str], ...] = ()  # (heard, by a second hearing): words the recogniser was unsure of


@dataclass(frozen=True, slots=True)
class Reading:
    """A value that was measured, read off or judged by eye. uncertainty: one standard uncertainty."""

    id: str
    quantity: str
    value: float | str
    unit: str
    uncertainty: float | None
    place: str
    component: str
    remark: str | None = None
    photo: str | None = None
    row: str | None = None  # readings.csv:14
    instrument: str = ""
    note: str = ""
    start: float | None = None  # when it was said or noted, seconds since the visit started
    default_uncertainty: bool = False  # the instrument's default, not given


@dataclass(frozen=True, slots=True)
class Narrative:
    """The parts of a finding that a reader reads."""

    saw: str
    matters: str
    do: str
    who: str
    how_we_know: str


@dataclass(frozen=True, slots=True)
class SourceRef:
    """A source as the record prints it."""

    document: str
    section: str
    edition: str
    basis: str


@dataclass(frozen=True, slots=True)
class Check:
    """One computation held against one requirement."""

    id: str
    check: str
    inputs: dict[str, Any]
    computed: dict[str, Any]
    required: dict[str, Any]
    verdict: str  # meets, falls_short, cannot_tell, not_applicable
    probability: float | None
    in_force_when_built: str  # yes, no, unknown
    sources: tuple[SourceRef, ...]
    standing: str = ""
    says: str = ""  # the sentence for the client
    caution: str = ""
    missing: tuple[str, ...] = ()
    title: str = ""
    measured: str = ""  # the four lines of "how we know"
    sum: str = ""
    held_against: str = ""
    by_its_date: str = ""
    readings: tuple[str, ...] = ()
    finds: str = ""  # which of several things it found, where a check can find several


@dataclass(frozen=True, slots=True)
class Finding:
    """One condition of one component, with its evidence."""

    id: str
    condition: str  # id of trade/conditions, or "" where none fits
    title: str
    system: str
    component: str
    place: str
    standing: str
    when: str
    at_stake: tuple[str, ...]
    narrative: Narrative
    readings: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    evidence: tuple[dict[str, Any], ...] = ()  # {"remark": id}, {"photo": id}, {"thermal": id}, {"row": ...}
    state: str = "pencil"
    confidence: float = 0.0
    cost: dict[str, Any] | None = None
    cautions: tuple[str, ...] = ()
    number: int = 0  # ridge to ground, the mark in the report
    level: str = ""  # one of trade.model.LEVELS
    also_at: tuple[str, ...] = ()  # further places of the same fault
    doubt: str = ""  # why the draft is doubtful, if it is
    people: tuple[str, ...] = ()  # ids of trade/people
    effects: tuple[str, ...] = ()
    decided: str = ""  # what the inspector did with it


@dataclass(frozen=True, slots=True)
class Limitation:
    """What could not be seen or run, and why."""

    id: str
    text: str
    clause: str
    evidence: tuple[dict[str, Any], ...]
    item: str = ""
    reason: str = ""
    place: str = ""
    code: str = ""  # of the lawful ground, by the words; trade/data/standards/reasons.toml
    says: str = ""  # in plain words for the client
    shows: str = ""  # what would make it visible
    who: str = ""  # who should look then
    photos: tuple[str, ...] = ()
    permits: str = ""  # key of the clause that permits it, unverified ones too; `clause` cites only what was read


@dataclass(frozen=True, slots=True)
class AsFound:
    """Something switched, opened, tripped or taken off, and whether it was put back."""

    id: str
    text: str
    opened_at: float | None
    closed_at: float | None
    put_back: bool
    evidence: tuple[dict[str, Any], ...]
    place: str = ""
    thing: str = ""  # what was changed, by its name in trade/data/handled.toml
    why: str = ""  # why it was left changed
    before: tuple[str, ...] = ()  # pictures near the opening
    after: tuple[str, ...] = ()  # and near the closing


@dataclass(frozen=True, slots=True)
class Cause:
    """One story behind several findings; links are (from, to, kind)."""

    id: str
    story: str
    findings: tuple[str, ...]
    links: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class PhotoRef:
    """A picture as the record lists it."""

    id: str
    file: str
    taken: str | None
    seconds: float | None
    place: str = ""
    findings: tuple[str, ...] = ()
    caption: str = ""
    width: int = 0
    height: int = 0
    orientation: int = 1
    device: str = ""
    trouble: str = ""
    probability: float | None = None  # that it belongs to these findings, or to none
    place_probability: float | None = None
    doubts: tuple[str, ...] = ()  # what a person should look at before believing the filing
    quality: dict[str, float] = field(default_factory=dict)  # sharp, bright, light, white, covered: docs/looking.md
    faults: tuple[str, ...] = ()  # blurred, too dark, ...
    like: tuple[str, ...] = ()  # ids of pictures that are nearly the same
    burst: tuple[str, ...] = ()  # ids of the pictures taken in one go
    proposed: bool = True  # the one to show of its burst
    blur: tuple[tuple[float, float, float, float], ...] = ()  # decided: left, top, width, height, shares of the picture
    blur_suggested: tuple[tuple[float, float, float, float], ...] = ()  # perhaps a paper or a screen: not decided
    marks: tuple[dict[str, Any], ...] = ()  # drawn on it: shape, points in shares of the picture, label, length
    plate: tuple[dict[str, Any], ...] = ()  # fields read off a plate: field, value, unit, reads, sure, used, doubt
    decided: str = ""  # what the inspector did with it


@dataclass(frozen=True, slots=True)
class ClockRef:
    """What is known of a camera's clock; `offset_s`, by which it runs ahead, is taken off its pictures' times."""

    device: str
    offset_s: float
    uncertainty_s: float | None  # one standard uncertainty
    source: str  # given, estimated, not_estimated
    pictures: int
    probability: float | None = None
    says: str = ""


@dataclass(frozen=True, slots=True)
class HeatCause:
    """What a patch in a thermal frame may be, never that it is so: reasons for and against, and what would tell."""

    id: str
    name: str
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    settle: str
    caution: str = ""


@dataclass(frozen=True, slots=True)
class HeatSpot:
    """A patch in a thermal frame that is warmer or colder than what is around it."""

    id: str  # A, B, ... within its frame
    where: str  # in the picture: "upper left"
    shape: str
    count: int  # of alike ones that are listed as one
    box: tuple[float, float, float, float]  # left, top, width, height, shares of the frame
    outline: tuple[tuple[float, float], ...]
    area: float  # share of the frame
    contrast_k: float
    least_c: float
    most_c: float
    around_c: float
    size_m: tuple[float, float] | None = None  # width and height, seen square on
    causes: tuple[HeatCause, ...] = ()


@dataclass(frozen=True, slots=True)
class FrameRef:
    """A thermal frame as the record lists it."""

    id: str
    file: str
    taken: str | None
    place: str = ""
    findings: tuple[str, ...] = ()
    about: dict[str, Any] = field(default_factory=dict)
    photo: str = ""  # the picture of the same view, where one was taken with it
    state: str = ""  # can, too_small, unknown: whether it can judge insulation
    says: str = ""  # what that rests on
    coldest_c: float | None = None
    hottest_c: float | None = None
    spots: tuple[HeatSpot, ...] = ()
    air: dict[str, Any] = field(default_factory=dict)  # dew_point_c, dew_point, temperature_index, ...
    correction: str = ""


@dataclass(frozen=True, slots=True)
class Record:
    """One inspection, judged. `kingpost.inspect(visit)` makes it; `tell` renders it."""

    kingpost: str
    visit: Facts
    remarks: tuple[Remark, ...] = ()
    readings: tuple[Reading, ...] = ()
    findings: tuple[Finding, ...] = ()
    checks: tuple[Check, ...] = ()
    limitations: tuple[Limitation, ...] = ()
    as_found: tuple[AsFound, ...] = ()
    causes: tuple[Cause, ...] = ()
    coverage: dict[str, Any] = field(default_factory=dict)
    plan: dict[str, Any] = field(default_factory=dict)
    photos: tuple[PhotoRef, ...] = ()
    clocks: tuple[ClockRef, ...] = ()  # of the cameras
    thermal: tuple[FrameRef, ...] = ()
    trouble: tuple[Trouble, ...] = ()
    counts: dict[str, int] = field(default_factory=dict)  # cues, words, loose ends ...
    owed: Owed = field(default_factory=Owed)  # loops, staying out, watch list, told now, what is open before delivery
    notes: tuple[str, ...] = ()  # what the tool has to say about itself: "the trained ear is not installed"
    schema: str = SCHEMA


def plain(thing: Any) -> Any:
    """Dataclasses, tuples and dates as what JSON can hold; numbers rounded to 1e-6 so that bytes repeat."""
    if is_dataclass(thing) and not isinstance(thing, type):
        return {f.name: plain(getattr(thing, f.name)) for f in fields(thing)}
    if isinstance(thing, dict):
        return {str(k): plain(v) for k, v in thing.items()}
    if isinstance(thing, (list, tuple)):
        return [plain(v) for v in thing]
    if isinstance(thing, float):
        return round(thing, 6)
    if hasattr(thing, "isoformat"):
        return thing.isoformat()
    return thing
