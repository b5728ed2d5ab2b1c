"""What each check of the trade takes and says. The arithmetic is in judge/checks, the limits in provisions/."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, ClassVar

from kingpost.measure.units import KNOWN

from .law import DATA, Law, Where, law
from .nesting import nested, unique
from .reading import Fault, TradeError

VERDICTS = ("meets", "falls_short", "cannot_tell", "not_applicable")
STANDINGS = ("deficiency", "recommendation", "information")


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that a check takes: a number with a unit, one of some words, or (kind) a list or a table.

    Needed unless `optional`, or unless every input named in `unless` is given.
    """

    name: str  # exactly as on the command line and in record.json
    ask: str  # the question to ask on site when it is missing
    unit: str = ""
    choices: tuple[str, ...] = ()
    kind: str = ""  # "" is told from unit and choices: number, choice; else list, json, text, yes_no
    label: str = ""  # how the report names it: "riser"
    optional: bool = False
    unless: tuple[str, ...] = ()
    key: bool = False  # a check is made where a key input was read; none marked: the first with a quantity
    quantity: tuple[str, ...] = ()  # quantities whose reading can fill it
    components: tuple[str, ...] = ()  # of which components; none: those of the quantity
    certain: bool = False  # the component has to be known: the quantity is read on other things too
    reach: str = "component"  # the reading may be of the same: component and place, place, house
    many: bool = False  # takes every such reading, as a list
    u: float | None = None  # default standard uncertainty; none: the quantity's
    alias: tuple[str, ...] = ()  # further names under which it may be given
    u_name: str = ""  # the name under which it may be given; none: u_NAME
    low: float | None = None  # outside them it is refused
    high: float | None = None
    places: Mapping[str, Any] = field(default_factory=dict)  # place of the reading -> choice
    component_as: Mapping[str, Any] = field(default_factory=dict)  # component of the reading -> choice
    fact: str = ""  # of visit.toml: "weather.outdoor_f"
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "kind": ("", "number", "choice", "yes_no", "list", "json", "text"),
        "reach": ("component", "place", "house"),
    }

    @property
    def takes(self) -> str:
        """number, choice, yes_no, list, json or text."""
        if self.kind:
            return self.kind
        if self.choices:
            return "yes_no" if self.choices == ("yes", "no") else "choice"
        return "number" if self.unit else "text"


@dataclass(frozen=True, slots=True)
class Stated:
    """What a finding from speech says about the inputs: condition -> inputs."""

    condition: str
    inputs: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Finds:
    """What a check that finds several things finds: a condition of the trade, or the words for one that has none."""

    kind: str  # as the check names it: the key that was missed, the sentence that it tells, a row of the panel
    condition: str = ""  # the trade condition that it is; none: the words below
    title: str = ""
    matters: str = ""
    do: str = ""
    component: str = ""  # what it is found on; none: that of the check
    when: str = "this_year"
    at_stake: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckSpec:
    """One check of the trade."""

    id: str
    title: str
    system: str
    says: str  # what it decides
    provisions: tuple[str, ...] = ()
    caution: str = ""
    condition: str = ""  # the trade condition that it proves when it falls short
    components: tuple[str, ...] = ()  # what it is about, where its inputs do not say
    tell: Mapping[str, Any] = field(
        default_factory=dict
    )  # verdict -> sentence; also sum, required, and what `tell` names
    information: bool = False  # never more than information, whatever the date
    helper: bool = False  # computes, has no verdict of its own
    defer: str = ""  # who decides: a licensed trade
    note: str = ""  # the trap a naive program falls into
    inputs: tuple[Input, ...] = ()
    stateds: tuple[Stated, ...] = ()
    findings: tuple[Finds, ...] = ()

    def finds(self, kind: str) -> Finds | None:
        """What it is when it finds that."""
        return next((f for f in self.findings if f.kind == kind), None)

    def input(self, name: str) -> Input:
        """The input of that name. Raises KeyError."""
        for one in self.inputs:
            if one.name == name:
                return one
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Phrase:
    """A sentence that every check shares."""

    id: str
    text: str


def _faults_of(spec: CheckSpec, known: Law, at: tuple[str, int | None]) -> list[Fault]:
    who, faults = f'check "{spec.id}"', []

    def fault(problem: str, mend: str) -> None:
        faults.append(Fault(*at, f"{who}: {problem}", mend))

    for one in spec.provisions:
        if one not in known.provisions:
            fault(f'provision "{one}" is not known', "add it under provisions/")
    for key, text in spec.tell.items():
        if not isinstance(text, str):
            fault(f"tell.{key} is {text!r}", "write text")
    names = [i.name for i in spec.inputs]
    if len(names) != len(set(names)):
        fault("an input stands twice", "take one out")
    for one_input in spec.inputs:
        faults += _input_faults(one_input, names, known, at, who)
    for stated in spec.stateds:
        for name in sorted(set(stated.inputs) - set(names)):
            fault(f'stated input "{name}" is not known', "mend its spelling")
    return faults


def _input_faults(one: Input, names: list[str], known: Law, at: tuple[str, int | None], who: str) -> list[Fault]:
    faults = []
    if one.unit and one.unit not in KNOWN:
        faults.append(Fault(*at, f'{who}: unit "{one.unit}" of {one.name} is not known', "add it to measure/units.py"))
    if one.takes == "text" and not one.kind:
        faults.append(Fault(*at, f"{who}: {one.name} has neither unit nor choices", "add one, or kind = ..."))
    for quantity in one.quantity:
        if quantity not in known.quantities:
            faults.append(Fault(*at, f'{who}: quantity "{quantity}" is not known', "add it to quantities.toml"))
    for other in one.unless:
        if other not in names:
            faults.append(Fault(*at, f'{who}: {one.name} is needed unless "{other}"', "mend its spelling"))
    for table in (one.places, one.component_as):
        for value in table.values():
            if one.choices and str(value) not in one.choices:
                faults.append(Fault(*at, f'{who}: {one.name} cannot be "{value}"', "known: " + ", ".join(one.choices)))
    return faults


def load_checks(known: Law, *over: Path) -> dict[str, CheckSpec]:
    """All check specs, cross-checked with the law.

    Raises TradeError with every fault of every file.
    """
    faults, where, specs = list[Fault](), Where(), dict[str, CheckSpec]()

    def note(key: str, file: str, line: int | None) -> None:
        where["check", key] = (file, line)

    for folder in (DATA, *over):
        found = nested(
            folder, "checks/*.toml", "check", CheckSpec, {"input": Input, "stated": Stated, "finding": Finds}, faults
        )
        unique(found, "check", specs, faults, note)
    for spec in specs.values():
        faults += _faults_of(spec, known, where["check", spec.id])
    if faults:
        raise TradeError(faults)
    return dict(sorted(specs.items()))


def load_phrases(*over: Path) -> dict[str, str]:
    """The sentences that every check shares. Raises TradeError."""
    faults, found = list[Fault](), dict[str, Phrase]()
    for folder in (DATA, *over):
        unique(nested(folder, "phrases.toml", "phrase", Phrase, {}, faults), "phrase", found, faults)
    if faults:
        raise TradeError(faults)
    return {k: p.text for k, p in found.items()}


@lru_cache(maxsize=8)
def phrases(*over: Path) -> dict[str, str]:
    """`load_phrases`, kept."""
    return load_phrases(*over)


@lru_cache(maxsize=8)
def checks(*over: Path) -> dict[str, CheckSpec]:
    """`load_checks`, kept."""
    return load_checks(law(*over), *over)
