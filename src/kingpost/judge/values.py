"""What people write behind `name=`: numbers with unit and uncertainty, words, yes or no, lists. Strict."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from math import inf
from typing import Any

from kingpost.measure.conformity import Measured
from kingpost.measure.rounding import plain_number
from kingpost.measure.units import UnitError, convert, read
from kingpost.trade.checks import Input
from kingpost.trade.model import Quantity

from .registry import Candidates

YES, NO = ("yes", "true", "y", "1"), ("no", "false", "n", "0")


class AskError(ValueError):
    """What was asked cannot be understood; the text is one sentence with the mend."""


def limits_of(one: Input, quantities: Mapping[str, Quantity]) -> tuple[float, float]:
    """Outside them a slip is likelier than a reading: the input's own, else those of what is read, else 0 and up."""
    low, high = one.low, one.high
    for quantity in (quantities[q] for q in one.quantity):
        if quantity.unit == one.unit or (one.unit and not _other_kind(quantity.unit, one.unit)):
            low = convert(quantity.low, quantity.unit, one.unit) if low is None and quantity.low is not None else low
            high = (
                convert(quantity.high, quantity.unit, one.unit) if high is None and quantity.high is not None else high
            )
        break
    return (0.0 if low is None else low), (inf if high is None else high)


def _other_kind(unit: str, other: str) -> bool:
    try:
        convert(1.0, unit, other)
    except UnitError:
        return True
    return False


def _number(one: Input, text: str, quantities: Mapping[str, Quantity]) -> Measured:
    try:
        value, _ = read(text, one.unit)
    except UnitError as wrong:
        raise AskError(f"{one.name}: {wrong}") from None
    low, high = limits_of(one, quantities)
    if not low <= value.value <= high:
        ends = f"{plain_number(low)} or more" if high == inf else f"{plain_number(low)} to {plain_number(high)}"
        raise AskError(f"{one.name} is {plain_number(value.value)} {one.unit}; write {ends} {one.unit}")
    return value


def _word(one: Input, text: str) -> str:
    said = text.strip()
    for form in (said, said.lower(), said.lower().replace(" ", "_").replace("-", "_"), said.upper()):
        if form in one.choices:
            return form
    near = get_close_matches(said.lower(), one.choices, 1)
    mend = f"did you mean {near[0]}?" if near else "write one of " + ", ".join(one.choices)
    raise AskError(f'{one.name} cannot be "{said}"; {mend}')


def _yes_no(one: Input, text: str) -> bool:
    said = text.strip().lower()
    if said in YES or said in NO:
        return said in YES
    raise AskError(f'{one.name} is "{text}"; write yes or no')


def _json(one: Input, text: str) -> Any:
    try:
        return json.loads(text, parse_constant=_refuse)
    except ValueError:
        raise AskError(f"{one.name} is not a list or table that can be read; write it like [1, 2]") from None


def _refuse(word: str) -> float:
    raise ValueError(word)


def one_value(one: Input, text: str, quantities: Mapping[str, Quantity]) -> Any:
    """What stands behind `name=`, as the check takes it. Raises AskError."""
    if one.takes == "number":
        return _number(one, text, quantities)
    if one.takes == "yes_no":
        return _yes_no(one, text)
    if one.takes == "choice":
        if "|" in text and text not in one.choices:
            return Candidates(_word(one, part) for part in text.split("|"))
        return _word(one, text)
    if one.takes == "json":
        return _json(one, text)
    if one.takes == "list":
        parts: Sequence[Any] = _json(one, text) if text.strip().startswith("[") else text.split(",")
        return tuple(_number(one, _part(one, p), quantities) for p in parts)
    return text.strip()


def _part(one: Input, part: Any) -> str:
    if isinstance(part, list) and part and all(isinstance(p, (int, float)) for p in part):
        return "+-".join(str(p) for p in part)  # a pair is a value with its uncertainty
    if isinstance(part, (dict, list)):
        raise AskError(f"{one.name} holds {json.dumps(part)}; write plain numbers")
    return str(part)


def value_of(one: Input, text: str, quantities: Mapping[str, Quantity]) -> Any:
    """As `one_value`; a JSON list where one value is usual gives a list, each run by itself. null is not given."""
    said = text.strip()
    if said in ("", "null", "None"):
        return None
    if said.startswith("[") and one.takes in ("number", "choice", "yes_no"):
        return [one_value(one, _part(one, p), quantities) for p in _json(one, said)]
    return one_value(one, said, quantities)


def usual(one: Input, value: Any, quantities: Mapping[str, Quantity]) -> Any:
    """The value with the usual uncertainty of its instrument where it has none."""
    if not isinstance(value, Measured) or value.u > 0.0 or one.takes not in ("number", "list"):
        return value
    u = one.u
    if u is None and one.quantity:
        quantity = quantities[one.quantity[0]]
        if not _other_kind(quantity.unit, one.unit):
            u = convert(quantity.uncertainty or 0.0, quantity.unit, one.unit, difference=True)
            u = max(u, quantity.relative * abs(value.value))
    return Measured(value.value, u or 0.0)
