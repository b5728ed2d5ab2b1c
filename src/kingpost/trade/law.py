"""Provisions with their whole history, editions, jurisdictions; which rule held at a date and place.

The year of an edition is not the day of a law: adoption has its own file, and an unknown adoption is an answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, ClassVar, NamedTuple

from .model import Quantity, Source
from .nesting import nested, unique
from .reading import Fault, TradeError

DATA = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True)
class Family:
    """A line of documents that follow one another: editions of one model code or standard."""

    id: str
    name: str
    lag_years: int  # adoption comes within so many years of the edition; from then on it is taken as adopted
    basis: str
    regional: bool = False  # ruled in some states only: never taken as adopted unless the jurisdiction says so


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of a document."""

    id: str
    family: str
    document: str
    year: int


@dataclass(frozen=True, slots=True)
class Rule:
    """What one edition asked for, until the next rule of the same provision."""

    edition: str
    required: Any  # a number, yes or no, a word, or a table of them
    source: str = ""
    source_of: Mapping[str, Any] = field(default_factory=dict)  # key of `required` -> source, where it differs
    ended: str = ""  # the edition that dropped the rule without another in its place
    note: str = ""

    def number(self, key: str) -> float:
        """A number of the table `required`. Raises KeyError, naming the key."""
        return float(self.at(key))

    def at(self, key: str) -> Any:
        """An entry of the table `required`. Raises KeyError, naming the key."""
        if not isinstance(self.required, dict) or key not in self.required:
            raise KeyError(f"the rule of {self.edition} holds no {key}")
        return self.required[key]


@dataclass(frozen=True, slots=True)
class Provision:
    """One requirement, its whole history, oldest rule first."""

    id: str
    title: str
    before: str  # before the first rule: no_rule, or not_researched
    verified: date  # last day somebody compared this entry with its sources
    kind: str = "rule"  # advice: no law ever asked for it
    hazard_now: bool = False  # true: a deficiency whatever the age of the house
    lag_years: int | None = None  # where it differs from the family's
    note: str = ""
    rules: tuple[Rule, ...] = ()
    LIMITS: ClassVar[dict[str, tuple[str, ...]]] = {
        "before": ("no_rule", "not_researched"),
        "kind": ("rule", "advice"),
    }


@dataclass(frozen=True, slots=True)
class Adoption:
    """The day on which an edition became law somewhere."""

    edition: str
    effective: date
    source: str


@dataclass(frozen=True, slots=True)
class Amendment:
    """A rule that a jurisdiction wrote differently."""

    provision: str
    edition: str  # from the adoption of this edition on
    required: Any
    source: str


@dataclass(frozen=True, slots=True)
class Jurisdiction:
    """A place with its own law."""

    id: str
    name: str
    follows_editions: bool = False  # the model codes themselves: law on the day they are printed
    complete: tuple[str, ...] = ()  # families whose adoptions are listed whole, from the first on
    skipped: tuple[str, ...] = ()  # editions that did not become law for houses here, as read: no lag makes them so
    note: str = ""
    adoptions: tuple[Adoption, ...] = ()
    amendments: tuple[Amendment, ...] = ()


@dataclass(frozen=True, slots=True)
class Instrument:
    """What a reading is taken with, and its usual standard uncertainty."""

    id: str
    name: str
    said: tuple[str, ...]
    unit: str
    uncertainty: float = 0.0
    relative: float = 0.0  # share of the value; the two are added in squares
    note: str = ""
    basis: str = "common_practice"


class Selected(NamedTuple):
    """The rule of today, whether it was in force then, and the rule that surely was."""

    provision: Provision
    rule: Rule
    in_force: str  # yes, no, unknown
    then: Rule | None  # the newest rule surely in force at the judged year; may be older than `rule`
    maybe: tuple[Rule, ...]  # older rules, newer than `then`, that may have been in force
    since: int  # year of the edition of `rule`
    reason: str  # adopted, edition, window, before, not_researched, no_year, advice


@dataclass(frozen=True, slots=True)
class Law:
    """All provisions with what they rest on, cross-checked."""

    families: dict[str, Family]
    editions: dict[str, Edition]
    provisions: dict[str, Provision]
    jurisdictions: dict[str, Jurisdiction]
    instruments: dict[str, Instrument]
    sources: dict[str, Source]
    quantities: dict[str, Quantity]

    def select(self, provision: str, judged_year: int | None, jurisdiction: str | None = None) -> Selected:
        """The rule of today and whether it was in force in the judged year, there.

        judged_year    year of the part or, failing that, of the house; None: unknown
        jurisdiction   id of jurisdictions/; None or one we do not know: the usual lag of adoption is all we have

        Raises KeyError for an unknown provision
        """
        asked = self.provisions[provision]
        local = self.jurisdictions.get(jurisdiction or "")
        rules = [self._amended(asked, rule, local) for rule in asked.rules]
        rule, since = rules[-1], self.editions[asked.rules[-1].edition].year
        if asked.kind == "advice":
            return Selected(asked, rule, "no", None, (), since, "advice")
        if judged_year is None:
            return Selected(asked, rule, "unknown", None, (), since, "no_year")
        states = [self._state(asked, r, judged_year, local) for r in asked.rules]
        sure = max((i for i, s in enumerate(states) if s[0] == "yes"), default=-1)
        then = rules[sure] if sure >= 0 else None
        maybe = tuple(r for i, r in enumerate(rules[:-1]) if i > sure and states[i][0] == "unknown")
        in_force, reason = states[-1]
        if in_force == "no" and states[0][0] == "no" and asked.before == "not_researched":
            in_force, reason = "unknown", "not_researched"
        return Selected(asked, rule, in_force, then, maybe, since, reason)

    def _state(self, asked: Provision, rule: Rule, year: int, local: Jurisdiction | None) -> tuple[str, str]:
        edition = self.editions[rule.edition]
        if year < edition.year:
            return "no", "before"
        if local is not None and local.follows_editions:
            return "yes", "edition"
        if self.families[edition.family].regional and not self._adopts(local, edition.family):
            return "unknown", "regional"
        lag = asked.lag_years if asked.lag_years is not None else self.families[edition.family].lag_years
        if local is not None and (told := self._adopted(edition, year, lag, local)):
            return told, "adopted"
        return ("yes", "edition") if year - edition.year >= lag else ("unknown", "window")

    def _adopted(self, edition: Edition, year: int, lag: int, local: Jurisdiction) -> str:
        """What the days of a place tell of an edition in a year: yes, no, unknown; "" where they tell nothing."""
        family = [(self.editions[a.edition].year, a.effective) for a in local.adoptions if
                  self.editions[a.edition].family == edition.family]  # fmt: skip
        days = sorted((day, of) for of, day in family if of >= edition.year)
        if days and year > days[0][0].year:
            return "yes"
        if days and edition.family in local.complete:
            return "no" if year < days[0][0].year else "unknown"
        # A list that is not whole tells nothing of editions long before its own: theirs is the usual lag.
        if edition.id in local.skipped or any(of < edition.year + lag for _, of in days):
            return "unknown"
        return ""

    def _adopts(self, local: Jurisdiction | None, family: str) -> bool:
        return local is not None and any(self.editions[a.edition].family == family for a in local.adoptions)

    def _amended(self, asked: Provision, rule: Rule, local: Jurisdiction | None) -> Rule:
        for one in local.amendments if local else ():
            if one.provision == asked.id and self.editions[one.edition].year <= self.editions[rule.edition].year:
                return Rule(rule.edition, one.required, one.source, {}, rule.ended, rule.note)
        return rule

    def sources_of(self, rule: Rule, keys: Iterable[str] = ()) -> tuple[Source, ...]:
        """The sources of a rule, or of those keys of its table, each once, in order."""
        ids = [str(rule.source_of.get(k, rule.source)) for k in keys] or [rule.source]
        return tuple(self.sources[i] for i in dict.fromkeys(ids) if i)


Where = dict[tuple[str, str], tuple[str, int | None]]


def _source_faults(law: Law, where: Where) -> list[Fault]:
    faults = []
    for key, source in law.sources.items():
        if source.basis == "published" and not (source.read or source.via):
            faults.append(
                Fault(
                    *where["source", key],
                    f'source "{key}" is published without a day it was read',
                    'add read = the day, or via = "...", or write basis = "memory"',
                )
            )
    return faults


def _provision_faults(law: Law, where: Where) -> list[Fault]:
    faults = []
    for p in law.provisions.values():
        at, who = where["provision", p.id], f'provision "{p.id}"'
        if not p.rules:
            faults.append(Fault(*at, f"{who} has no rule", "add [[provision.rule]]"))
        years: list[int] = []
        for rule in p.rules:
            cited = {rule.source, *map(str, rule.source_of.values())} - {""}
            for source in sorted(cited - set(law.sources)):
                faults.append(Fault(*at, f'{who}: source "{source}" is not known', "add it under sources/"))
            if not cited:
                faults.append(Fault(*at, f"{who}: rule of {rule.edition} has no source", "add source = ..."))
            loose = set(rule.source_of) - set(rule.required if isinstance(rule.required, dict) else ())
            for key in sorted(loose):
                faults.append(Fault(*at, f"{who}: source_of {key} is no key of required", "mend its spelling"))
            for edition in filter(None, (rule.edition, rule.ended)):
                if edition not in law.editions:
                    faults.append(Fault(*at, f'{who}: edition "{edition}" is not known', "add it to editions.toml"))
            if rule.edition in law.editions:
                years.append(law.editions[rule.edition].year)
        if years != sorted(set(years)):
            faults.append(Fault(*at, f"{who}: rules are not oldest first, one an edition", "sort them by edition"))
    return faults


def _place_faults(law: Law, where: Where) -> list[Fault]:
    faults = []
    for e in law.editions.values():
        if e.family not in law.families:
            faults.append(
                Fault(*where["edition", e.id], f'family "{e.family}" is not known', "add it to families.toml")
            )
    for j in law.jurisdictions.values():
        at, who = where["jurisdiction", j.id], f'jurisdiction "{j.id}"'
        asked = [(a.edition, a.source) for a in j.adoptions] + [(a.edition, a.source) for a in j.amendments]
        for edition, source in asked:
            if edition not in law.editions:
                faults.append(Fault(*at, f'{who}: edition "{edition}" is not known', "add it to editions.toml"))
            if source not in law.sources:
                faults.append(Fault(*at, f'{who}: source "{source}" is not known', "add it under sources/"))
        for a in j.amendments:
            if a.provision not in law.provisions:
                faults.append(Fault(*at, f'{who}: provision "{a.provision}" is not known', "mend its spelling"))
        for edition in j.skipped:
            if edition not in law.editions:
                faults.append(Fault(*at, f'{who}: edition "{edition}" is not known', "add it to editions.toml"))
        for family in j.complete:
            if family not in law.families:
                faults.append(Fault(*at, f'{who}: family "{family}" is not known', "add it to families.toml"))
    return faults


def load_law(*over: Path) -> Law:
    """Our law data with the given folders laid over it, in order.

    Raises TradeError with every fault of every file.
    """
    faults, where = list[Fault](), Where()
    law = Law({}, {}, {}, {}, {}, {}, {})

    def collect(head: str, pattern: str, cls: type[Any], into: dict[str, Any], inner: Mapping[str, type]) -> None:
        def note(key: str, file: str, line: int | None) -> None:
            where[head, key] = (file, line)

        for folder in (DATA, *over):
            unique(nested(folder, pattern, head, cls, inner, faults), head, into, faults, note)

    collect("source", "sources/*.toml", Source, law.sources, {})
    collect("family", "families.toml", Family, law.families, {})
    collect("edition", "editions.toml", Edition, law.editions, {})
    collect("provision", "provisions/*.toml", Provision, law.provisions, {"rule": Rule})
    collect(
        "jurisdiction", "jurisdictions/*.toml", Jurisdiction, law.jurisdictions,
        {"adoption": Adoption, "amendment": Amendment},
    )  # fmt: skip
    collect("instrument", "instruments.toml", Instrument, law.instruments, {})
    collect("quantity", "quantities.toml", Quantity, law.quantities, {})
    if not faults:
        faults += _source_faults(law, where) + _provision_faults(law, where) + _place_faults(law, where)
    if faults:
        raise TradeError(faults)
    return law


@lru_cache(maxsize=8)
def law(*over: Path) -> Law:
    """`load_law`, kept: the data does not change while a program runs."""
    return load_law(*over)
