"""From an uncertain value and a limit to a verdict, and from the law of the date to a standing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Any, NamedTuple

from kingpost.measure.conformity import Measured, decide, needed_uncertainty, probability_within
from kingpost.trade.law import Law, Rule, Selected

ORDER = ("falls_short", "cannot_tell", "meets", "not_applicable")  # the first found decides


class Judged(NamedTuple):
    """A verdict, the probability that the requirement is met, and what would settle a doubt."""

    verdict: str
    probability: float | None = None
    needed_u: float | None = None  # standard uncertainty that would settle it, in the unit of the value


NOTHING = Judged("not_applicable")
UNKNOWN = Judged("cannot_tell")


def within_limits(value: Measured, low: float = -inf, high: float = inf) -> Judged:
    """A value against a lower and an upper limit, either of which may be left out."""
    probability = probability_within(value.value, value.u, low, high)
    verdict = decide(probability)
    if verdict != "cannot_tell":
        return Judged(verdict, probability)
    nearest = min((limit for limit in (low, high) if abs(limit) != inf), key=lambda x: abs(x - value.value))
    return Judged(verdict, probability, needed_uncertainty(value.value, nearest))


def at_most(value: Measured, limit: float) -> Judged:
    """meets where the value is likely not over the limit."""
    return within_limits(value, high=limit)


def at_least(value: Measured, limit: float) -> Judged:
    """meets where the value is likely not under the limit."""
    return within_limits(value, low=limit)


def over(value: Measured, limit: float) -> float:
    """Probability that the value is greater than the limit: for thresholds that switch a rule on."""
    return 1.0 - probability_within(value.value, value.u, high=limit)


def yes_no(good: bool) -> Judged:
    """A fact that was seen: there is no doubt in it."""
    return Judged("meets", 1.0) if good else Judged("falls_short", 0.0)


def every(judged: Iterable[Judged]) -> Judged:
    """All must be met: the worst decides."""
    found = [j for j in judged if j.verdict != "not_applicable"]
    if not found:
        return NOTHING
    return min(found, key=lambda j: (ORDER.index(j.verdict), 1.0 if j.probability is None else j.probability))


def either(judged: Iterable[Judged]) -> Judged:
    """One way out suffices: the best decides."""
    found = [j for j in judged if j.verdict != "not_applicable"]
    if not found:
        return NOTHING
    best = ("meets", "cannot_tell", "falls_short")
    return min(found, key=lambda j: (best.index(j.verdict), -(j.probability or 0.0)))


class Held(NamedTuple):
    """A verdict together with the rule it was held against and whether that was law then."""

    judged: Judged
    selected: Selected
    rule: Rule
    in_force: str
    keys: tuple[str, ...] = ()

    @property
    def required(self) -> dict[str, Any]:
        """What was asked, of the keys that were used."""
        if isinstance(self.rule.required, dict):
            return {k: self.rule.required[k] for k in self.keys if k in self.rule.required}
        return {self.selected.provision.id: self.rule.required}


@dataclass(frozen=True, slots=True)
class Rules:
    """The law as it stands for one part of one house: its year and its jurisdiction."""

    law: Law
    year: int | None = None
    jurisdiction: str | None = None

    def today(self, provision: str) -> Rule:
        """The newest rule, for a check that only needs its numbers."""
        return self.law.select(provision, self.year, self.jurisdiction).rule

    def selected(self, provision: str, year: int | None = None) -> Selected:
        """The newest rule and whether it was in force in the year (given, or that of the part)."""
        return self.law.select(provision, self.year if year is None else year, self.jurisdiction)

    def hold(self, provision: str, compare: Callable[[Rule], Judged], *keys: str) -> Held:
        """Hold the part against today's rule; and where it falls short and that rule was not surely law then,
        against the rule that was: a railing that broke the rule of its own day is still a deficiency.

        keys   of the rule's table which the comparison uses, so that the report can show them with their sources
        """
        selected = self.selected(provision)
        judged = compare(selected.rule)
        then = selected.then
        if judged.verdict == "falls_short" and selected.in_force != "yes" and then not in (None, selected.rule):
            assert then is not None
            of_its_day = compare(then)
            if of_its_day.verdict == "falls_short":
                return Held(of_its_day, selected, then, "yes", keys)
        if judged.verdict == "falls_short" and selected.in_force == "no":
            for older in reversed(selected.maybe):  # a rule that may have been law then: not kept either
                if compare(older).verdict == "falls_short":
                    return Held(judged, selected, selected.rule, "unknown", keys)
        return Held(judged, selected, selected.rule, selected.in_force, keys)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a check says of what it was given."""

    computed: dict[str, Any] = field(default_factory=dict)
    judged: Judged = NOTHING
    held: tuple[Held, ...] = ()
    required: dict[str, Any] = field(default_factory=dict)
    words: dict[str, Any] = field(default_factory=dict)  # further values for the sentences
    missing: tuple[str, ...] = ()  # what would be needed for a verdict
    standing: str = ""  # where the check itself decides it
    tell: str = ""  # the key of the sentence, where it is not the verdict's

    @classmethod
    def of(cls, *held: Held, computed: dict[str, Any] | None = None, **more: Any) -> Outcome:
        """The outcome of all that was held against the law: the worst decides."""
        required = dict(more.pop("required", {}))
        for one in held:
            required = {**one.required, **required}
        return cls(computed or {}, every(h.judged for h in held), tuple(held), required, **more)

    @property
    def deciding(self) -> tuple[Held, ...]:
        """Those that gave the verdict, the ones that were law first."""
        same = [h for h in self.held if h.judged.verdict == self.judged.verdict] or list(self.held)
        order = ("yes", "unknown", "no")
        return tuple(sorted(same, key=lambda h: (not h.selected.provision.hazard_now, order.index(h.in_force))))


def standing(verdict: str, held: Sequence[Held], information: bool = False) -> str:
    """deficiency, recommendation or information.

    What was law when the part was made, and what is a hazard now, is a deficiency; what was not, or may not have
    been, is a recommendation that says so.
    """
    if verdict != "falls_short" or information:
        return "information"
    if any(h.in_force == "yes" or h.selected.provision.hazard_now for h in held):
        return "deficiency"
    return "recommendation"
