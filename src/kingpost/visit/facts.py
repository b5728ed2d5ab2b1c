"""The evidence of one inspection as it lies in a visit folder: facts, cues, photos, frames, readings, decisions."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something that could not be used: which file, which line, what is wrong, how to mend it."""

    file: str
    line: int | None
    problem: str
    mend: str

    def __str__(self) -> str:
        return f"{self.file}{f':{self.line}' if self.line else ''}: {self.problem}; {self.mend}"


@dataclass(frozen=True, slots=True)
class Alteration:
    """A later change of the house: what, and its year where known."""

    what: str
    year: int | None = None


@dataclass(frozen=True, slots=True)
class Device:
    """A camera or recorder and how far its clock runs ahead of the truth, in seconds."""

    name: str
    clock_offset_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Facts:
    """What visit.toml says. What it leaves out is None or empty: unknown, not assumed."""

    name: str = ""
    built: int | None = None
    form: str = ""
    storeys: float | None = None
    foundation: str = ""
    jurisdiction: str | None = None
    address: str = ""
    invented: bool = False  # a scenario, and the report says so
    started: datetime | None = None
    inspector: str = ""
    licence: str = ""
    client: str = ""
    present: tuple[str, ...] = ()
    standards: tuple[str, ...] = ()
    weather: dict[str, Any] = field(default_factory=dict)  # outdoor_f, humidity_percent, last_rain_h, wind
    alterations: tuple[Alteration, ...] = ()
    devices: tuple[Device, ...] = ()
    excluded: tuple[str, ...] = ()
    utilities: dict[str, bool] = field(default_factory=dict)  # electric, water, gas: on?
    section: dict[str, Any] = field(default_factory=dict)  # measures for the section drawing, feet
    more: dict[str, Any] = field(default_factory=dict)  # tables that this version does not know, kept


@dataclass(frozen=True, slots=True)
class Cue:
    """One timed piece of speech. `start` and `end` are seconds from the start of that walk file.

    Plain text has no times: `timed` is False, and start and end are estimated from its place in the file.
    """

    source: str  # walk/NAME.vtt
    index: int
    start: float
    end: float
    text: str
    speaker: str = ""
    line: int | None = None
    timed: bool = True


@dataclass(frozen=True, slots=True)
class Walk:
    """One walk file: its cues in order, and the moment its time 0 is, where known."""

    source: str
    cues: tuple[Cue, ...]
    started: datetime | None = None


@dataclass(frozen=True, slots=True)
class Photo:
    """One picture. `taken` is corrected by the device's clock offset; None where no time is known."""

    id: str  # from content: "p" + digest
    file: str  # photos/NAME.jpg
    digest: str
    taken: datetime | None
    seconds: float | None  # since the visit started
    width: int  # as displayed, orientation applied
    height: int
    orientation: int = 1
    device: str = ""
    time_from: str = ""  # "exif", "name", "given" (visit.toml says it) or ""


@dataclass(frozen=True, slots=True)
class Frame:
    """One thermal frame and what its TOML says."""

    id: str
    file: str
    digest: str
    about: dict[str, Any]
    taken: datetime | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One row of readings.csv."""

    file: str
    line: int
    time: float | None  # seconds since the visit started
    place: str
    component: str
    quantity: str
    value: float | str
    unit: str
    uncertainty: float | None = None
    instrument: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Decision:
    """What the inspector decided about one draft; keyed by the stable id of its subject, newest wins.

    verb is accept, reword, merge, set_aside, move, standing, use or restore; `fields` holds what it says.
    """

    id: str
    subject: str
    verb: str
    at: str
    fields: dict[str, Any] = field(default_factory=dict)
    device: str = ""
    file: str = ""
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Visit:
    """Everything a visit folder holds that can be used, and what could not be."""

    folder: Path
    facts: Facts
    walks: tuple[Walk, ...] = ()
    photos: tuple[Photo, ...] = ()
    frames: tuple[Frame, ...] = ()
    rows: tuple[Row, ...] = ()
    decisions: tuple[Decision, ...] = ()
    trouble: tuple[Trouble, ...] = ()
