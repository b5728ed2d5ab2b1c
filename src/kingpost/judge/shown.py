"""Values as a reader sees them, and sentences with values in them. Rounding happens here and nowhere before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import Any

from kingpost.measure.conformity import Measured, times
from kingpost.measure.rounding import doubt, plain_number

WORDS = {
    "in": "in", "ft": "ft", "sq_ft": "square feet", "sq_in": "square inches", "cu_ft": "cubic feet", "degF": "°F",
    "degC": "°C", "in/12": "in 12", "in/ft": "in per ft", "deg": "degrees", "%": "%", "count": "", "year": "",
    "in_wc": "in of water", "AWG": "AWG", "BTU/h": "Btu/h",
}  # fmt: skip


class Shown:
    """A value that prints itself for a reader, and still takes a format of its own: `{slope:.1f}`."""

    def __init__(self, value: Any) -> None:
        self.value = value

    def __format__(self, spec: str) -> str:
        value = self.value.value if isinstance(self.value, Measured) else self.value
        return format(value, spec) if spec and isinstance(value, (int, float)) else show(value)

    def __str__(self) -> str:
        return show(self.value)


def show(value: Any) -> str:
    """A value in words and figures: 2.05, yes, `asphalt shingles`, `a, b and c`."""
    if isinstance(value, Measured):
        return show(value.value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return plain_number(float(value))
    if value is None:
        return "unknown"
    if isinstance(value, Mapping):
        return ", ".join(f"{show(k)} {show(v)}" for k, v in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return series([show(v) for v in value])
    return str(value).replace("_", " ")


def series(parts: Sequence[str], last: str = "and") -> str:
    """a, b and c."""
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}" if len(parts) > 1 else "".join(parts)


def with_unit(value: Any, unit: str) -> str:
    """A value with its doubt, two standard uncertainties, and its unit: `2.05 ± 0.12 in`.

    >>> with_unit(Measured(8.0625, 0.0625), "in"), with_unit(136, "degF"), with_unit(Measured(5, 0.25), "in/12")
    ('8.06 ± 0.13 in', '136 °F', '5 ± 0.5 in 12')
    """
    if unit == "share":
        return with_unit(times(value, 100) if isinstance(value, Measured) else 100 * value, "%")
    if unit == "year":  # 1964, not 1,964
        return show(value).replace(",", "")
    return f"{with_doubt(value)} {WORDS.get(unit, unit)}".strip()


def with_doubt(value: Any) -> str:
    """A value and its doubt, without a unit; the value at no more places than the doubt, where that is shorter."""
    if not isinstance(value, Measured) or not 0.0 < value.u < inf:
        return show(value)
    either = doubt(value.u)
    near = show(round(value.value, len(either.partition(".")[2])))
    return f"{min(show(value), near, key=len)} ± {either}"


class _Known(dict[str, Any]):
    def __missing__(self, key: str) -> Shown:
        return Shown(GAP)  # the report goes out; a test fails on any gap


GAP = "…"


def fill(template: str, values: Mapping[str, Any]) -> str:
    """A sentence with its values put in; what nobody gave shows as a gap, with its format left aside."""
    return template.format_map(_Known({k: Shown(v) for k, v in values.items()})) if template else ""
