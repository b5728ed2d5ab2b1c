"""The evidence of one inspection as it lies in a visit folder: facts, cues, photos, frames, readings, decisions."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .fold import Folded


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
    locale: str = ""  # how the report writes dates and money; en-US where it is not given
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
class Said:
    """One word as a recogniser heard it: when, and how sure it was (0 to 1)."""

    start: float
    end: float
    sure: float
    other: str = ""  # what a second hearing made of it, where that was something else


@dataclass(frozen=True, slots=True)
class Cue:
    """One timed piece of speech. `start` and `end` are seconds from the start of that walk file.

    Plain text has no times: `timed` is False, and start and end are estimated from its place in the file.
    `words` is empty, or has one entry for each word of `text` between spaces: speech that Kingpost heard itself.
    """

    source: str  # walk/NAME.vtt
    index: int
    start: float
    end: float
    text: str
    speaker: str = ""
    line: int | None = None
    timed: bool = True
    words: tuple[Said, ...] = ()


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
class PanelRow:
    """One breaker, or one opening, of panel.toml. What was not noted is None or empty."""

    file: str
    line: int | None
    position: str
    poles: int = 1
    rating_a: float | None = None
    conductor: str = ""
    label: str | None = None  # "" where the directory has a blank
    observed: tuple[str, ...] = ()  # what went dead when it was switched off
    nameplate: dict[str, Any] = field(default_factory=dict)  # of what it feeds: name, mca_a, mop_a, watts, volts
    more: dict[str, Any] = field(default_factory=dict)  # wires_under_lug, multiwire_with, afci, open ...


@dataclass(frozen=True, slots=True)
class Panel:
    """panel.toml: the panel as a whole, and its rows in the order of the file."""

    rows: tuple[PanelRow, ...]
    name: str = ""
    place: str = ""
    year: int | None = None  # when the panel was put in, where it is younger than the house
    spaces: int | None = None
    main_present: bool | None = None
    main_a: float | None = None


@dataclass(frozen=True, slots=True)
class Decision:
    """What the inspector decided about one draft; keyed by the stable id of its subject, newest wins.

    verb is one of visit.journal.VERBS; `fields` holds what it says.
    """

    id: str
    subject: str
    verb: str
    at: str
    fields: dict[str, Any] = field(default_factory=dict)
    device: str = ""
    file: str = ""
    line: int | None = None
    clock: str = ""  # the hybrid clock by which the newest is known (journal_clock.py)

    @property
    def order(self) -> tuple[str, str]:
        """Which of two came first: by hybrid clock, then by id."""
        return self.clock or self.at, self.id


Share = tuple[float, float, float, float]  # left, top, width, height in shares of the upright picture


@dataclass(frozen=True, slots=True)
class Lettering:
    """A line of text that was read in a photo of a plate: its four corners in px as read, and how sure (0 to 1)."""

    photo: str
    text: str
    sure: float
    corners: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Visit:
    """Everything a visit folder holds that can be used, and what could not be."""

    folder: Path
    facts: Facts
    walks: tuple[Walk, ...] = ()
    photos: tuple[Photo, ...] = ()
    frames: tuple[Frame, ...] = ()
    rows: tuple[Row, ...] = ()
    panel: Panel | None = None
    decisions: tuple[Decision, ...] = ()
    journal: Folded | None = None  # what devices wrote down as it happened; None where there are no events
    trouble: tuple[Trouble, ...] = ()
    lettering: tuple[Lettering, ...] = ()  # of photos of plates, where they were read (look/plates.py)
    papers: dict[str, tuple[Share, ...]] = field(default_factory=dict)  # perhaps to be hidden (look/hide_suggest.py)
