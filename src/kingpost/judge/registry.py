"""The checks by name, and one run of one check: what is missing, sets of candidates, lists, and the sentences."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib import import_module
from itertools import product
from pkgutil import iter_modules
from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.limits import OutOfRange
from kingpost.measure.rounding import plain_number
from kingpost.trade.checks import CheckSpec, Input

from .given import Given, Missing
from .verdict import UNKNOWN, Judged, Outcome, Rules, every

Logic = Callable[[Given, Rules], Outcome]
_LOGIC: dict[str, Logic] = {}


def check(name: str) -> Callable[[Logic], Logic]:
    """Registers the logic of a check; its spec stands in trade/data/checks under the same id."""

    def keep(logic: Logic) -> Logic:
        if name in _LOGIC:
            raise ValueError(f"check {name} is registered twice; give one of them another name")
        _LOGIC[name] = logic
        return logic

    return keep


@cache
def registry() -> Mapping[str, Logic]:
    """The logic of every check, by name."""
    from . import checks

    for found in sorted(iter_modules(checks.__path__), key=lambda m: m.name):
        import_module(f"{checks.__name__}.{found.name}")
    return dict(sorted(_LOGIC.items()))


class Candidates(tuple[Any, ...]):
    """What a choice may be where it could not be told: `12|10`."""


def lacking(spec: CheckSpec, values: Mapping[str, Any]) -> list[str]:
    """The inputs that are needed and not given, in the order of the spec."""
    return [
        i.name
        for i in spec.inputs
        if values.get(i.name) is None
        and not i.optional
        and not (i.unless and all(values.get(o) is not None for o in i.unless))
    ]


def conclude(spec: CheckSpec, values: Mapping[str, Any], rules: Rules) -> Outcome:
    """One run of one check. Never raises for what was read on site: that becomes cannot_tell with its reason."""
    doubtful = [n for n, v in values.items() if isinstance(v, Candidates)]
    if doubtful:
        return _candidates(spec, values, rules, doubtful)
    rows = [n for n, v in values.items() if isinstance(v, list) and _scalar(spec.input(n))]
    if rows:
        return _each(spec, values, rules, rows)
    return _one(spec, values, rules)


def _scalar(one: Input) -> bool:
    return one.takes in ("number", "choice", "yes_no") and not one.many


def _one(spec: CheckSpec, values: Mapping[str, Any], rules: Rules) -> Outcome:
    if spec.system == "gas" and values.get("gas_smell") is True:
        return Outcome(judged=UNKNOWN, tell="smell")  # nothing else is done first
    try:
        out = registry()[spec.id](Given(values, rules.year), rules)
    except Missing as gone:
        wanted = {*gone.names, *lacking(spec, values)}
        return Outcome(judged=UNKNOWN, missing=tuple(i.name for i in spec.inputs if i.name in wanted))
    except OutOfRange as refused:
        return Outcome(judged=UNKNOWN, words={"reason": _reason(spec, refused)}, tell="refused")
    except (ZeroDivisionError, OverflowError):
        none = [i.label or i.name for i in spec.inputs if _nought(values.get(i.name))]
        reason = f"nothing can be computed with {' and '.join(none) or 'these values'}{' of 0' if none else ''}"
        return Outcome(judged=UNKNOWN, words={"reason": reason}, tell="refused")
    except ValueError as wrong:
        return Outcome(judged=UNKNOWN, words={"reason": str(wrong)}, tell="refused")
    except (TypeError, LookupError, AttributeError):
        shapes = [i.label or i.name for i in spec.inputs if i.takes == "json" and values.get(i.name) is not None]
        if not shapes:
            raise  # our own slip, not the reader's
        reason = f"{shapes[0]} is not in the form that was asked for"
        return Outcome(judged=UNKNOWN, words={"reason": reason}, tell="refused")
    return out


def _nought(value: Any) -> bool:
    return isinstance(value, Measured) and value.value == 0.0


def _reason(spec: CheckSpec, refused: OutOfRange) -> str:
    """The refusal with the input's own name: `outdoors is 45, outside 60 to 120; ...`."""
    named = next((i.label or i.name for i in spec.inputs if refused.name in (i.name, *i.alias)), refused.name)
    ends = f"{plain_number(refused.low)} to {plain_number(refused.high)}"
    text = f"{named.replace('_', ' ')} is {plain_number(refused.value)}, outside {ends}"
    return f"{text}; {refused.slip}" if refused.slip else text


def _candidates(spec: CheckSpec, values: Mapping[str, Any], rules: Rules, names: Sequence[str]) -> Outcome:
    """All candidates agree: their verdict. They do not: cannot_tell, naming what would settle it."""
    runs = []
    for chosen in product(*(values[n] for n in names)):
        runs.append(conclude(spec, {**values, **dict(zip(names, chosen, strict=True))}, rules))
    worst = next(o for o in runs if o.judged.verdict == every(o.judged for o in runs).verdict)
    if len({o.judged.verdict for o in runs}) == 1:
        return worst
    of = {n: [o.computed.get(n) for o in runs] for n in dict.fromkeys(k for o in runs for k in o.computed)}
    words = {"unsure_of": [spec.input(n).label or n for n in names], "could_be": [values[n] for n in names]}
    return Outcome(of, UNKNOWN, worst.held, worst.required, words, tuple(names), tell="candidates")


def _each(spec: CheckSpec, values: Mapping[str, Any], rules: Rules, names: Sequence[str]) -> Outcome:
    """A list where one value is usual: every value by itself, answers as lists, the worst decides."""
    count = max(len(values[n]) for n in names)
    runs = []
    for index in range(count):
        row = {n: values[n][min(index, len(values[n]) - 1)] for n in names}
        runs.append(_one(spec, {**values, **row}, rules))
    keys = dict.fromkeys(k for o in runs for k in o.computed)
    computed: dict[str, Any] = {k: [o.computed.get(k) for o in runs] for k in keys}
    verdicts = [o.judged.verdict for o in runs]
    computed.setdefault("verdicts", verdicts)
    worst: Judged = every(o.judged for o in runs)
    deciding = next(o for o in runs if o.judged.verdict == worst.verdict)
    required = {k: [o.required.get(k) for o in runs] for k in dict.fromkeys(k for o in runs for k in o.required)}
    missing = tuple(dict.fromkeys(m for o in runs for m in o.missing))
    held = tuple(h for o in runs for h in o.held)
    return Outcome(computed, worst, held, required, deciding.words, missing, deciding.standing, deciding.tell)
