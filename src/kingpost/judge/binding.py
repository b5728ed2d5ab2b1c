"""Which readings fill which inputs: by quantity, component and place; by the name of an input where a row gives it.

A row of readings.csv names what it holds in one of three ways: a quantity of the trade (`riser_height`), an input of
one check (`bearing-length.support`), or an input by its bare name (`treated`), which fills the checks of the same part.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.units import UnitError, convert
from kingpost.trade.checks import CheckSpec, Input
from kingpost.trade.law import Law
from kingpost.visit.record import Reading

from .values import AskError, limits_of, usual, value_of

Said = tuple[str, str, str, str]  # condition, place, component, remark


@dataclass(slots=True)
class Instance:
    """One check of one part, while its inputs are being found."""

    place: str
    component: str
    values: dict[str, Any] = field(default_factory=dict)
    used: dict[str, None] = field(default_factory=dict)  # ids of readings, in order


class Pool:
    """All readings of a visit, by quantity, in their order."""

    def __init__(self, readings: Sequence[Reading], known: Law) -> None:
        self.known = known
        self.order = {r.id: n for n, r in enumerate(readings)}
        self.by: dict[str, list[Reading]] = {}
        for reading in readings:
            self.by.setdefault(reading.quantity, []).append(reading)

    def of(self, spec: CheckSpec, one: Input, names: bool = True) -> list[Reading]:
        """Every reading that could fill the input, in their order. names: those that give it by its bare name too."""
        found = [r for q in dict.fromkeys(one.quantity) for r in self.by.get(q, ()) if self._fits(one, r)]
        found += self.by.get(f"{spec.id}.{one.name}", ())
        if names and one.name not in self.known.quantities:
            found += self.by.get(one.name, ())
        return sorted({r.id: r for r in found}.values(), key=lambda r: self.order[r.id])

    def _fits(self, one: Input, reading: Reading) -> bool:
        """A sharp quantity fits by itself; a general one (a height) only on the components that the input names."""
        if self.known.quantities[reading.quantity].components and not reading.component and not one.certain:
            return True
        return not one.components or reading.component in one.components

    def about(self, spec: CheckSpec) -> set[str]:
        """The components that a check is about."""
        found = {c for i in spec.inputs for c in (*i.components, *i.component_as)}
        return (
            found
            | set(spec.components)
            | {c for i in spec.inputs for q in i.quantity for c in self.known.quantities[q].components}
        )


def keys_of(spec: CheckSpec) -> list[Input]:
    """The inputs whose reading makes a check: those marked, else the first that a quantity fills."""
    marked = [i for i in spec.inputs if i.key]
    return marked or [i for i in spec.inputs if i.quantity][:1]


def instances(spec: CheckSpec, pool: Pool, stated: Sequence[Said]) -> Iterable[Instance]:
    """Every part of the house that the check can be made of, with what fills its inputs."""
    found: list[Instance] = []
    taken: set[str] = set()
    keys = keys_of(spec)
    for one in keys:
        for reading in pool.of(spec, one, names=False):
            if reading.id in taken or (instance := _begun(spec, one, reading, pool)) is None:
                continue
            for key in keys:
                taken |= instance.used.keys() & {r.id for r in pool.of(spec, key)}
            found.append(instance)
    _named(spec, pool, found)
    for condition, place, component, _remark in stated:
        for entry in spec.stateds:
            if entry.condition == condition:
                _state(spec, entry.inputs, place, component, found, pool)
    return found


def _named(spec: CheckSpec, pool: Pool, found: list[Instance]) -> None:
    """What rows give by the name of an input: a check of its own, where none of that part has taken it."""
    about: set[str] | None = None
    for one in spec.inputs:
        rows = list(pool.by.get(f"{spec.id}.{one.name}", ()))
        if one.name not in pool.known.quantities and (bare := pool.by.get(one.name)):
            about = pool.about(spec) if about is None else about
            rows += [r for r in bare if r.component in about]
        for reading in rows:
            if any(reading.id in i.used for i in found):
                continue
            if (instance := _begun(spec, one, reading, pool)) is not None:
                found.append(instance)


def _begun(spec: CheckSpec, one: Input, reading: Reading, pool: Pool) -> Instance | None:
    """A check that begins with this reading; None where its value cannot be used."""
    instance = Instance(reading.place, reading.component)
    if not _take(spec, one, [reading], instance, pool):
        return None
    _fill(spec, instance, reading, pool)
    return instance


def _take(spec: CheckSpec, one: Input, chosen: list[Reading], into: Instance, pool: Pool) -> bool:
    several = one.many or (one.takes == "list" and chosen[0].quantity not in one.quantity)
    if several:
        here = [r for r in pool.of(spec, one) if _reaches(one, into, r)]
        chosen = sorted({r.id: r for r in [*chosen, *here]}.values(), key=lambda r: pool.order[r.id])
    pairs = [(r, v) for r in chosen if (v := value_in(one, r, pool.known)) is not None]
    if not pairs:
        return False
    if one.many or one.takes == "list":
        into.values[one.name] = tuple(v for _, found in pairs for v in (found if _listed(found) else (found,)))
    else:
        into.values[one.name] = pairs[0][1]
    into.used.update(dict.fromkeys(r.id for r, _ in pairs))
    return True


def _listed(value: Any) -> bool:
    return isinstance(value, (tuple, list)) and not isinstance(value, Measured)


def _reaches(one: Input, instance: Instance, reading: Reading) -> bool:
    if one.reach == "house":
        return True
    named = reading.quantity not in one.quantity  # by the name of the input: what is left blank holds everywhere
    same_place = reading.place == instance.place or (named and not reading.place)
    same_part = reading.component == instance.component or (named and not reading.component)
    return same_place and (one.reach == "place" or same_part)


def _fill(spec: CheckSpec, instance: Instance, anchor: Reading | None, pool: Pool) -> None:
    """The other inputs: the reading nearest in time within reach; what the place or the component says by itself."""
    for one in spec.inputs:
        if one.name in instance.values:
            continue
        near = [r for r in pool.of(spec, one) if r.id not in instance.used and _reaches(one, instance, r)]
        near.sort(key=lambda r: (r.quantity in one.quantity, _apart(anchor, r), pool.order[r.id]))
        if near and _take(spec, one, near[:1], instance, pool):
            continue
        says = one.places.get(instance.place) or one.component_as.get(instance.component)
        if says is not None:
            instance.values[one.name] = value_of(one, str(says), pool.known.quantities)


def _apart(anchor: Reading | None, reading: Reading) -> float:
    if anchor is None or anchor.start is None or reading.start is None:
        return 0.0
    return abs(reading.start - anchor.start)


def _state(
    spec: CheckSpec, inputs: Mapping[str, Any], place: str, component: str, found: list[Instance], pool: Pool
) -> None:
    said = {n: value_of(spec.input(n), as_text(value), pool.known.quantities) for n, value in inputs.items()}
    for instance in found:
        if instance.place == place and not any(n in instance.values for n in said):
            instance.values.update(said)
            return
    instance = Instance(place, component, dict(said))
    _fill(spec, instance, None, pool)
    found.append(instance)


def as_text(value: Any) -> str:
    """A value as it would be written behind `name=`."""
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def value_in(one: Input, reading: Reading, known: Law) -> Any:
    """The reading as the input takes it; None where it cannot be."""
    try:
        if not isinstance(reading.value, (int, float)):
            # a word is a word; a number that is written as words only where a row names the input itself
            plain = one.takes in ("choice", "yes_no", "text") or reading.quantity not in one.quantity
            return value_of(one, reading.value, known.quantities) if plain else None
        if one.takes in ("choice", "yes_no", "text", "json"):
            return value_of(one, f"{reading.value:g}", known.quantities)
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
