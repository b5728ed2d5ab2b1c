"""Numbers as the report prints them: value, doubt, unit, money."""

from __future__ import annotations

from math import floor, isfinite, log10
from typing import Any

from kingpost.measure.rounding import doubt
from kingpost.measure.units import unit_words

from .words import NB, tidy

ENDS = {  # how keys of checks end, the longer first
    "in_per_ft": "in per ft",
    "in_12": "in 12",
    "sq_ft": "sq ft",
    "sq_in": "sq in",
    "percent": "%",
    "gpm": "gpm",
    "psi": "psi",
    "deg": "degrees",
    "gal": "gal",
    "mm": "mm",
    "in": "in",
    "ft": "ft",
    "lb": "lb",
    "f": "°F",
    "c": "°C",
    "a": "A",
    "v": "V",
    "w": "W",
}
SIGN = {"USD": "US$", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "EUR": "€", "GBP": "£"}
DOLLAR = {"en-CA": "CAD", "en-AU": "AUD", "en-NZ": "NZD", "en-GB": "", "en-IE": ""}  # whose "$" needs no name


def number(value: float | int | str) -> str:
    """At most four significant figures, no trailing zeros, commas from ten thousand.

    >>> number(9.75), number(1964.0), number(0.06255), number(12500), number("open")
    ('9.75', '1964', '0.06255', '12,500', 'open')
    """
    if isinstance(value, (str, bool)):
        return str(value)
    if not isfinite(value):
        return "not known"
    if value == int(value):
        return f"{int(value):,}" if abs(value) >= 10_000 else str(int(value))
    shown = f"{value:.{max(0, 3 - floor(log10(abs(value))))}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def quantity(value: float | str, unit: str, standard: float | None = None) -> str:
    """A value with its doubt and unit, tied by no-break spaces.

    >>> quantity(9.75, "in", 0.0625)
    '9.75\\xa0±\\xa00.13\\xa0in'
    >>> quantity(8.0625, "in", 0.0625)
    '8.06\\xa0±\\xa00.13\\xa0in'
    >>> quantity("yes", "yes_no")
    'yes'
    """
    parts = [number(value)]
    if standard and not isinstance(value, str):
        either = doubt(standard)
        places = len(either.partition(".")[2])
        parts = [min(number(value), number(round(value, places)), key=len), "±", either]
    said = unit_words(unit)
    return NB.join([*parts, *([said.replace(" ", NB)] if said else [])])


def money(cost: dict[str, Any] | None, locale: str = "") -> str:
    """A price as a range, or nothing. A dollar of the reader's own country is "$", of another it is named.

    >>> money({"low": 2400, "high": 3900, "currency": "USD"}), money({"low": 80, "high": 80}, "en-CA")
    ('$2,400 to 3,900', 'US$80')
    """
    if not cost or cost.get("low") is None or cost.get("high") is None:
        return ""
    low, high = float(cost["low"]), float(cost["high"])
    code = str(cost.get("currency") or "USD")
    sign = "$" if code == DOLLAR.get(locale, "USD") else SIGN.get(code, code + NB)
    return f"{sign}{low:,.0f}" + (f" to {high:,.0f}" if high != low else "")


def named(key: str) -> tuple[str, str]:
    """The name of a value and its unit, where the key ends in one.

    >>> named("riser_height_in"), named("fall_in_per_ft"), named("covering")
    (('riser height', 'in'), ('fall', 'in per ft'), ('covering', ''))
    """
    for end, unit in ENDS.items():
        if key.endswith(f"_{end}"):
            return key.removesuffix(f"_{end}").replace("_", " "), unit
    return key.replace("_", " "), ""


def pairs(values: dict[str, Any]) -> str:
    """What a check computed or asked for where it brings no sentence of its own.

    >>> pairs({"riser_in": 9.75, "handrail": False, "slope_verdict": "meets"})
    'handrail\xa0no, riser\xa09.75\xa0in'
    """
    said = []
    for key, value in sorted(values.items()):
        if key.endswith("verdict"):
            continue
        name, unit = named(key)
        said.append(NB.join(part for part in (name, _plain(value), unit) if part))
    return tidy(", ".join(said))


def _plain(value: Any) -> str:
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return pairs(value)
    if isinstance(value, (list, tuple)):
        return ", ".join(_plain(v) for v in value)
    return number(value) if isinstance(value, (int, float)) else str(value).replace("_", " ")
