"""Units that the record keeps, their conversion, and a strict reader of what people write.

Every unit belongs to one kind, and within a kind converts by a factor (temperatures by a shift as well).
A difference of temperatures is not a temperature: `difference=True`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import atan as _atan
from math import degrees, isfinite, radians, tan

from .conformity import Measured

# kind -> unit -> size in the kind's first unit. Exact by definition, unless marked.
KINDS: dict[str, dict[str, float]] = {
    "length": {"in": 1.0, "ft": 12.0, "yd": 36.0, "mm": 1 / 25.4, "cm": 10 / 25.4, "m": 1000 / 25.4, "mil": 0.001},
    "area": {"sq_ft": 1.0, "sq_in": 1 / 144.0, "sq_m": (1 / 0.3048) ** 2, "acre": 43560.0},
    "volume": {"gal": 1.0, "cu_ft": 1728 / 231.0, "L": 1 / 3.785411784},
    "time": {"s": 1.0, "ms": 0.001, "min": 60.0, "h": 3600.0},
    "pressure": {"psi": 1.0, "kPa": 1 / 6.894757293168361, "bar": 14.503773773, "in_wc": 1 / 27.679905},
    "flow": {"gpm": 1.0, "L/min": 1 / 3.785411784, "cu_ft/s": 448.8311688},
    "airflow": {"cfm": 1.0, "cu_ft/h": 1 / 60.0, "L/s": 2.118880003},
    "current": {"A": 1.0, "mA": 0.001},
    "voltage": {"V": 1.0, "mV": 0.001},
    "power": {"BTU/h": 1.0, "kW": 3412.141633, "W": 3.412141633, "MBH": 1000.0, "ton": 12000.0},
    "resistance": {"ohm": 1.0},
    "temperature": {"degF": 1.0, "degC": 1.8},
    "slope": {"in/12": 1.0, "in/ft": 1.0, "%": 0.12, "ratio": 12.0},  # and deg, by its tangent
    "share": {"%": 1.0, "share": 100.0},
    "rain": {"in/h": 1.0, "mm/h": 1 / 25.4},
    "speed": {"ft/s": 1.0, "mph": 5280 / 3600.0, "m/s": 1 / 0.3048},
    "load": {"psf": 1.0},
    "stress": {"lb/in2": 1.0},
    "line_load": {"plf": 1.0},
    "angle": {"deg": 1.0},
    "gas": {"ppm": 1.0},
    "heating_value": {"BTU/cu_ft": 1.0},
    "wire": {"AWG": 1.0},
    "insulation": {"R": 1.0},
    "count": {"count": 1.0},
    "year": {"year": 1.0},
    "va": {"VA": 1.0, "kVA": 1000.0},
}
SLOPES = ("in/12", "in/ft")
# How units are written. The longest match wins.
SPELLED: dict[str, str] = {
    '"': "in", "″": "in", "in.": "in", "inch": "in", "inches": "in", "'": "ft", "′": "ft", "ft.": "ft", "foot": "ft",
    "feet": "ft", "ft2": "sq_ft", "in2": "sq_in", "sqft": "sq_ft", "sqin": "sq_in", "ft3": "cu_ft", "cuft": "cu_ft",
    "f": "degF", "°f": "degF", "degf": "degF", "deg_f": "degF", "c": "degC", "°c": "degC", "degc": "degC",
    "°": "deg", "degrees": "deg", "degree": "deg", "amp": "A", "amps": "A", "a": "A", "v": "V", "volt": "V",
    "volts": "V", "watt": "W", "watts": "W", "w": "W", "kw": "kW", "btu/h": "BTU/h", "btu_h": "BTU/h", "btuh": "BTU/h",
    "percent": "%", "pct": "%", "gallon": "gal", "gallons": "gal", "sec": "s", "second": "s", "seconds": "s",
    "minute": "min", "minutes": "min", "hour": "h", "hours": "h", "hr": "h", "years": "year", "yr": "year", "y": "year",
    "pcs": "count", "ea": "count", "gauge": "AWG", "ga": "AWG", "awg": "AWG", "psig": "psi", "in_12": "in/12",
    "in_per_ft": "in/ft", "/12": "in/12", ":12": "in/12", "millimeter": "mm", "millimeters": "mm", "inwc": "in_wc",
    "in w.c.": "in_wc", "iwc": "in_wc", "tons": "ton", "cfh": "cu_ft/h", "in_per_h": "in/h", "degrees f": "degF",
    "ma": "mA", "kpa": "kPa", "ohms": "ohm", "va": "VA", "l": "L", "square feet": "sq_ft", "square inches": "sq_in",
}  # fmt: skip
KNOWN: dict[str, str] = {u: kind for kind, table in KINDS.items() for u in table if u != "%"} | {"%": "share"}


class UnitError(ValueError):
    """A text that is not a number with a unit, or a unit that does not fit; the sentence names the mend."""


def convert(value: float, unit: str, to: str, difference: bool = False) -> float:
    """A value in another unit of the same kind.

    difference   True for temperature differences and uncertainties: 5 K is 9 degF, not 41

    Raises    UnitError where the kinds differ

    >>> convert(4.0, "ft", "in")
    48.0
    >>> convert(20.0, "degC", "degF"), convert(5.0, "degC", "degF", difference=True)
    (68.0, 9.0)
    >>> round(convert(0.6, "deg", "in/ft"), 4)
    0.1257
    """
    if unit == to:
        return value
    if "deg" in (unit, to) and {unit, to} & {*SLOPES, "%", "ratio"}:
        if unit == "deg":
            return convert(tan(radians(value)), "ratio", to)
        return degrees(_atan(convert(value, unit, "ratio")))
    for table in KINDS.values():
        if unit in table and to in table:
            if table is KINDS["temperature"] and not difference:
                fahrenheit = value if unit == "degF" else value * 1.8 + 32.0
                return fahrenheit if to == "degF" else (fahrenheit - 32.0) / 1.8
            return value * table[unit] / table[to]
    raise UnitError(f"{unit} cannot be given in {to}; write the value in {to}")


def unit_named(text: str) -> str:
    """The unit that a spelling means: `"` is in, `feet` is ft.

    Raises    UnitError
    """
    found = text.strip()
    if found in KNOWN:
        return found
    spelled = SPELLED.get(found) or SPELLED.get(found.lower())
    if spelled is None:
        raise UnitError(f'unit "{found}" is not known; write one of {", ".join(sorted(KNOWN))}')
    return spelled


_NUMBER = r"[+-]?(?:\d+(?:,\d{3})+(?:\.\d+)?|\d+\s+\d+/\d+|\d+-\d+/\d+|\d+/\d+|\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+)"
_FEET = re.compile(rf"""^([+-]?)(\d+)\s*(?:ft|feet|foot|'|′)\s*-?\s*({_NUMBER})\s*(?:in|inch|inches|"|″)$""", re.ASCII)
_PLUS_MINUS = re.compile(r"\s*(?:\+-|\+/-|±|\+−)\s*")
_ONE = re.compile(rf"^({_NUMBER})\s*(.*)$", re.S | re.ASCII)


def number(text: str) -> float:
    """A plain number, fraction or mixed number.

    >>> number("3/16"), number("7 3/4"), number("1,500")
    (0.1875, 7.75, 1500.0)

    Raises    UnitError, also for nan and infinity
    """
    said = text.strip().replace(",", "")
    sign = -1.0 if said.startswith("-") else 1.0
    bare = said.lstrip("+-")
    try:
        if "/" in bare:
            value = float(sum(Fraction(part) for part in re.split(r"[\s-]+", bare)))
        else:
            value = float(bare)
    except (ValueError, ZeroDivisionError, OverflowError):
        raise UnitError(f'"{text.strip()}" is not a number; write it like 8.25 or 8 1/4') from None
    if not isfinite(value):
        raise UnitError(f'"{text.strip()}" is not a number; write what was read')
    return sign * value


def _amount(text: str, unit: str, difference: bool) -> float:
    if feet := _FEET.match(text.strip()):
        whole = float(feet[2]) * 12.0 + number(feet[3])
        return convert(-whole if feet[1] == "-" else whole, "in", unit)
    found = _ONE.match(text.strip())
    if not found:
        raise UnitError(f'"{text.strip()}" is not a number; write it like 8.25{unit} or 8 1/4{unit}')
    value, spelled = number(found[1]), found[2].strip()
    if not spelled or (unit == "AWG" and spelled == "AWG"):
        return value
    given = unit_named(spelled)
    return convert(value, given, unit, difference)


def read(text: str, unit: str) -> tuple[Measured, bool]:
    """A written value in the unit asked for, and whether an uncertainty stood there.

    text   "4.0in+-0.1in", "3/16in", "26.2A", "72", "1.5 ft +- 1 in", "7ft4in", "5 % +- 0.5"; no unit: `unit` is meant
    unit   the unit of the answer; the part behind +- is one standard uncertainty

    Raises    UnitError: not a number, unknown unit, other kind of unit, negative uncertainty

    >>> read("4.0in+-0.1in", "in")
    (Measured(value=4.0, u=0.1), True)
    >>> read("7ft4in", "in"), read("1.5 ft +- 1 in", "in")
    ((Measured(value=88.0, u=0.0), False), (Measured(value=18.0, u=1.0), True))
    """
    parts = _PLUS_MINUS.split(text.strip())
    if len(parts) > 2:
        raise UnitError(f'"{text}" has more than one +-; write value+-uncertainty')
    value = _amount(parts[0], unit, difference=False)
    if len(parts) == 1:
        return Measured(value), False
    found = _ONE.match(parts[1].strip())
    plain = found is not None and not found[2].strip()
    if plain and (mine := _ONE.match(parts[0].strip())) and not _FEET.match(parts[0].strip()) and mine[2].strip():
        parts[1] += mine[2]  # "4.0in+-0.1": the unit of the value holds for both
    if unit in SLOPES and parts[1].strip().endswith(("deg", "°")):
        around = read(parts[0], "deg")[0].value
        spread = _amount(parts[1], "deg", difference=True)
        u = (convert(around + spread, "deg", unit) - convert(around - spread, "deg", unit)) / 2.0
    else:
        u = _amount(parts[1], unit, difference=True)
    if u < 0.0:
        raise UnitError(f'"{text}" has a negative uncertainty; write +-{-u:g}')
    return Measured(value, u), True


READ = {  # how a reader knows a unit, where its name here is not that
    "degF": "°F",
    "degC": "°C",
    "deg": "degrees",
    "sq_ft": "sq ft",
    "sq_in": "sq in",
    "cu_ft": "cu ft",
    "in_wc": "in of water",
    "in/12": "in 12",
    "count": "",
    "yes_no": "",
    "year": "",
    "percent": "%",
}


def unit_words(unit: str) -> str:
    """The unit as a reader knows it.

    >>> unit_words("degF"), unit_words("psi"), unit_words("year")
    ('°F', 'psi', '')
    """
    return READ.get(unit, unit.replace("_", " "))
