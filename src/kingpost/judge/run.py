"""Every check that the readings of a visit can feed: binding by quantity, component and place; several a house."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import blake2b
from pathlib import Path
from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.units import UnitError, convert
from kingpost.trade.checks import CheckSpec, Input, checks, phrases
from kingpost.trade.law import Law, law
from kingpost.trade.model import Trade
from kingpost.visit.facts import Facts
from kingpost.visit.record import Check, Reading, plain

from .compose import compose, inputs_of
from .registry import conclude, registry
from .values import AskError, limits_of, usual, value_of
from .verdict import Outcome, Rules

Words = Callable[[str], Iterable[str]]
Said = tuple[str, str, str, str]  # condition, place, component, remark


@dataclass(slots=True)
class _Instance:
    """One check of one part, while its inputs are being found."""

    place: str
    component: str
    values: dict[str, Any] = field(default_factory=dict)
    used: dict[str, None] = field(default_factory=dict)  # ids of readings, in order


def run(
    readings: Sequence[Reading],
    facts: Facts,
    trade: Trade | None = None,
    words: Words | None = None,
    stated: Sequence[Said] = (),
    over: Sequence[Path] = (),
) -> tuple[Check, ...]:
    """The checks of one visit, by name and place. What nothing was read or said for is not there.

    words    words by which a place or component may be called in visit.toml's alterations; None: those of `trade`
    stated   findings from speech that state a fact: (condition, place, component, remark)
    """
    known, said = law(*over), phrases(*over)
    naming = words or (lambda thing: _trade_words(trade, thing))
    out: dict[str, Check] = {}
    for spec in checks(*over).values():
        if spec.id not in registry():
            continue
        for one in _instances(spec, readings, stated, known):
            _facts(spec, one, facts, known)
            rules = Rules(known, judged_year(facts, one.place, one.component, naming), facts.jurisdiction)
            outcome = conclude(spec, one.values, rules)
            name = _id(spec, one)
            check = compose(spec, one.values, outcome, rules, said, name, tuple(one.used))
            out[name] = replace(check, finds=_finds(spec, outcome, one.component)) if spec.findings else check
    return tuple(out.values())


def _finds(spec: CheckSpec, outcome: Outcome, component: str) -> str:
    """Which of the things that the check can find: by its sentence, by what was not kept, by the part that was read."""
    keys = [key for held in outcome.deciding for key in (*held.keys, held.selected.provision.id)]
    return next((k for k in (outcome.tell, *keys, component) if k and spec.finds(k) is not None), "")


def judged_year(facts: Facts, place: str, component: str, words: Words) -> int | None:
    """Year of the part: of the newest alteration that names its place or component, else of the house."""
    years = [facts.built] if facts.built is not None else []
    called = {w.lower() for thing in (place, component) if thing for w in words(thing)}
    for change in facts.alterations:
        text = f" {' '.join(change.what.lower().replace(',', ' ').split())} "
        if change.year is not None and any(f" {w} " in text or f" {w}s " in text for w in called):
            years.append(change.year)
    return max(years, default=None)


def _trade_words(trade: Trade | None, thing: str) -> tuple[str, ...]:
    plain_name = (thing.replace("_", " "),)
    if trade is None:
        return plain_name
    if place := trade.places.get(thing):
        return () if place.kind in ("side", "level") else (place.name, *plain_name)
    if component := trade.components.get(thing):
        return (component.name, *plain_name)
    return plain_name


def _id(spec: CheckSpec, one: _Instance) -> str:
    content = [spec.id, one.place, one.component, plain(inputs_of(spec, one.values)), list(one.used)]
    text = json.dumps(content, sort_keys=True, ensure_ascii=False)
    return "c" + blake2b(text.encode(), digest_size=6).hexdigest()


def _fits(one: Input, reading: Reading, known: Law) -> bool:
    """A sharp quantity fits by itself; a general one (a height) only on the components that the input names."""
    if reading.quantity not in one.quantity:
        return False
    if known.quantities[reading.quantity].components and not reading.component and not one.certain:
        return True
    return not one.components or reading.component in one.components


def _value(one: Input, reading: Reading, known: Law) -> Any:
    """The reading as the input takes it; None where it cannot be."""
    try:
        if one.takes in ("choice", "yes_no", "text"):
            said = reading.value if isinstance(reading.value, str) else f"{reading.value:g}"
            return value_of(one, said, known.quantities)
        if not isinstance(reading.value, (int, float)):
            return None
        value = convert(float(reading.value), reading.unit or one.unit, one.unit)
        u = convert(reading.uncertainty or 0.0, reading.unit or one.unit, one.unit, difference=True)
    except (UnitError, AskError):
        return None
    low, high = limits_of(one, known.quantities)
    if not low <= value <= high:
        return None
    if reading.uncertainty is None:  # nobody said how good it is: as good as its usual instrument
        return usual(one, Measured(value), known.quantities)
    return Measured(value, abs(u))


def _keys(spec: CheckSpec) -> list[Input]:
    marked = [i for i in spec.inputs if i.key]
    return marked or [i for i in spec.inputs if i.quantity][:1]


def _instances(spec: CheckSpec, readings: Sequence[Reading], stated: Sequence[Said], known: Law) -> Iterable[_Instance]:
    found: list[_Instance] = []
    taken: set[str] = set()
    for one in _keys(spec):
        for reading in readings:
            if reading.id in taken or not _fits(one, reading, known):
                continue
            instance = _Instance(reading.place, reading.component)
            if not _take(spec, one, [reading], instance, readings, known):
                continue
            _fill(spec, instance, reading, readings, known)
            taken |= instance.used.keys() & {r.id for r in readings if any(_fits(k, r, known) for k in _keys(spec))}
            found.append(instance)
    for condition, place, component, _remark in stated:
        for entry in spec.stateds:
            if entry.condition == condition:
                _state(spec, entry.inputs, place, component, found, readings, known)
    return found


def _take(
    spec: CheckSpec, one: Input, chosen: list[Reading], into: _Instance, readings: Sequence[Reading], known: Law
) -> bool:
    if one.many:
        here = [r for r in readings if _fits(one, r, known) and _reaches(one, into, r)]
        chosen = list({r.id: r for r in [*chosen, *here]}.values())
        chosen.sort(key=lambda r: readings.index(r))
    pairs = [(r, v) for r in chosen if (v := _value(one, r, known)) is not None]
    if not pairs:
        return False
    into.values[one.name] = tuple(v for _, v in pairs) if one.many or one.takes == "list" else pairs[0][1]
    into.used.update(dict.fromkeys(r.id for r, _ in pairs))
    return True


def _reaches(one: Input, instance: _Instance, reading: Reading) -> bool:
    if one.reach == "house":
        return True
    same_place = reading.place == instance.place
    return same_place and (one.reach == "place" or reading.component == instance.component)


def _fill(
    spec: CheckSpec, instance: _Instance, anchor: Reading | None, readings: Sequence[Reading], known: Law
) -> None:
    """The other inputs: the reading nearest in time within reach; what the place or the component says by itself."""
    for one in spec.inputs:
        if one.name in instance.values:
            continue
        near = [r for r in readings if r.id not in instance.used and _fits(one, r, known)]
        near = [r for r in near if _reaches(one, instance, r)]
        near.sort(key=lambda r: (_apart(anchor, r), readings.index(r)))
        if near and _take(spec, one, near[:1], instance, readings, known):
            continue
        says = one.places.get(instance.place) or one.component_as.get(instance.component)
        if says is not None:
            instance.values[one.name] = value_of(one, str(says), known.quantities)


def _apart(anchor: Reading | None, reading: Reading) -> float:
    if anchor is None or anchor.start is None or reading.start is None:
        return 0.0
    return abs(reading.start - anchor.start)


def _state(
    spec: CheckSpec,
    inputs: Mapping[str, Any],
    place: str,
    component: str,
    found: list[_Instance],
    readings: Sequence[Reading],
    known: Law,
) -> None:
    said = {name: value_of(spec.input(name), _text(value), known.quantities) for name, value in inputs.items()}
    for instance in found:
        if instance.place == place and not any(n in instance.values for n in said):
            instance.values.update(said)
            return
    instance = _Instance(place, component, dict(said))
    _fill(spec, instance, None, readings, known)
    found.append(instance)


def _text(value: Any) -> str:
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def _facts(spec: CheckSpec, instance: _Instance, facts: Facts, known: Law) -> None:
    """What visit.toml says, where an input asks for it."""
    for one in spec.inputs:
        if not one.fact or one.name in instance.values:
            continue
        value: Any = facts
        for step in one.fact.split("."):
            value = value.get(step) if isinstance(value, dict) else getattr(value, step, None)
        if value is not None and value != "":
            try:
                instance.values[one.name] = value_of(one, _text(value), known.quantities)
            except AskError:
                continue  # the visit names it as trouble; a check does not stop for it
