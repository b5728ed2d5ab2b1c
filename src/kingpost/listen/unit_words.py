"""Units as they are called in speech; what `_unit` in `numbers.py` reads after a number."""

from __future__ import annotations

UNITS: dict[str, str] = {}
for _name, _words in {
    "in": "inch inches in. in",
    "ft": "foot feet ft",
    "yd": "yard yards",
    "psi": "psi",
    "pounds": "pounds pound lbs lb",
    "A": "amp amps ampere amperes",
    "V": "volt volts",
    "degF": "degrees degree fahrenheit",
    "%": "percent %",
    "AWG": "gauge awg",
    "cfm": "cfm",
    "min": "minute minutes mins",
    "s": "second seconds secs",
    "h": "hour hours",
    "ppm": "ppm",
    "gal": "gallon gallons",
    "gpm": "gpm",
    "BTU/h": "btu btus",
    "W": "watt watts",
    "kW": "kilowatts kw",
    "mm": "millimeter millimeters mm",
    "cm": "centimeter centimeters centimetre centimetres cm",
    "sq_ft": "sqft",
    "pCi/L": "picocuries",
    "deg": "deg",
    "year": "years year",
}.items():
    for _w in _words.split():
        UNITS[_w] = _name
LONG_UNITS = tuple(
    (tuple(said.split()), unit)
    for said, unit in (
        ("square feet", "sq_ft"),
        ("square foot", "sq_ft"),
        ("parts per million", "ppm"),
        ("parts", "ppm"),
        ("gallons a minute", "gpm"),
        ("gallons per minute", "gpm"),
        ("gallon a minute", "gpm"),
        ("inches of water column", "in_wc"),
        ("inches of water", "in_wc"),
        ("inches water column", "in_wc"),
        ("inches w c", "in_wc"),
        ("inches wc", "in_wc"),
        ("water column", "in_wc"),
        ("pounds of pressure", "psi"),
        ("pounds static", "psi"),
        ("cubic feet a minute", "cfm"),
        ("cubic feet per minute", "cfm"),
    )
)
NOT_UNIT_ALONE = {"in", "second", "year", "years", "hour", "hours", "yard", "yards"}
