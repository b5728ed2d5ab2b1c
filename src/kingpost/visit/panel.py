"""panel.toml: an electrical panel as labelled and as observed, row by row. What cannot be used is named by line."""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from kingpost.trade.reading import Lines

from .errors import Troubles
from .facts import Panel, PanelRow
from .files import there
from .house import FIRST_YEAR, LAST_YEAR, broken
from .text import MOST_TOML_BYTES, plain, read_text

NAME = "panel.toml"
MOST_ROWS = 200  # no panel of a house has so many spaces; more is noise
MOST_A = 2000.0
Take = Callable[[Any], Any]


class _Unfit(ValueError):
    """The value does not fit; says what to write."""


def _words(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise _Unfit('words in quotes, as in "dryer"')
    return plain(str(value))


def _list(value: Any) -> tuple[str, ...]:
    if isinstance(value, str):
        return (plain(value),) if plain(value) else ()
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        raise _Unfit('a list of words, as in ["kitchen counter", "dishwasher"]')
    return tuple(plain(v) for v in value)


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise _Unfit("true or false, without quotes")
    return value


def _above_zero(mend: str) -> Take:
    def take(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 < value < math.inf:
            raise _Unfit(mend)
        return value

    return take


def _amps(value: Any) -> float:
    amps = float(_above_zero("amps without quotes, as in 20")(value))
    if amps > MOST_A:
        raise _Unfit("amps without quotes, as in 20")
    return amps


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise _Unfit("a whole number without quotes, as in 2")
    return value


def _poles(value: Any) -> int:
    if isinstance(value, bool) or value not in (1, 2, 3):
        raise _Unfit("1 or 2")
    return int(value)


def _year(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not FIRST_YEAR <= value <= LAST_YEAR:
        raise _Unfit("a year without quotes, as in 1998")
    return value


def _position(value: Any) -> str:
    parts = value if isinstance(value, list) else [value]
    if not parts or any(isinstance(p, bool) or not isinstance(p, (int, str)) for p in parts):
        raise _Unfit('the number at the breaker, as in 7 or [2, 4] or "9a"')
    text = "/".join(plain(str(p)) for p in parts)
    if not text.strip("/"):
        raise _Unfit('the number at the breaker, as in 7 or [2, 4] or "9a"')
    return text


def _leg(value: Any) -> str:
    if value not in ("A", "B"):
        raise _Unfit('"A" or "B"')
    return str(value)


PLATE: dict[str, Take] = {
    "name": _words, "mca_a": _amps, "mop_a": _amps, "watts": _above_zero("watts without quotes, as in 4500"),
    "volts": _above_zero("volts without quotes, as in 240"), "continuous": _flag,
}  # fmt: skip
WHOLE: dict[str, Take] = {
    "name": _words, "place": _words, "year": _year, "spaces": _whole, "main_present": _flag, "main_a": _amps,
}  # fmt: skip
ROW: dict[str, Take] = {
    "position": _position, "poles": _poles, "rating_a": _amps, "conductor": _words, "label": _words,
    "observed": _list, "wires_under_lug": _whole, "lug_for": _whole, "multiwire_with": _position, "tied": _flag,
    "leg": _leg, "voltage_v": _above_zero("volts without quotes, as in 240"), "afci": _flag, "gfci": _flag,
    "protected": _flag, "load": _words, "open": _flag, "type_listed": _flag, "service_disconnect": _flag,
}  # fmt: skip
CALLED = {"rating": "rating_a", "amps": "rating_a", "dead": "observed", "wire": "conductor", "feeds": "nameplate"}
OWN = ("position", "poles", "rating_a", "conductor", "label", "observed", "nameplate")


def read(folder: Path, told: Troubles) -> Panel | None:
    """The panel of a visit, where its folder holds one that can be used."""
    path = folder / NAME
    if not there(path):
        return None
    text = read_text(path, NAME, told, most=MOST_TOML_BYTES)
    if text is None:
        return None
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError) as err:
        line, problem, _ = broken(text, err)
        told.add(NAME, line, problem, 'write key = value under [[row]], with words in quotes, as in label = "dryer"')
        return None
    return _panel(tables, Lines(text), told)


def _panel(tables: Mapping[str, Any], lines: Lines, told: Troubles) -> Panel | None:
    for name in tables:
        if name not in ("panel", "row"):
            near = difflib.get_close_matches(name, ("panel", "row"), 1, 0.6)
            mend = f"write [[{near[0]}]]" if near else "write [panel] once and [[row]] for each breaker"
            told.add(NAME, lines.of(name) or lines.of("", 0, name), f'"{plain(name)[:60]}" is not known here', mend)
    whole, rows = tables.get("panel", {}), tables.get("row", [])
    if not isinstance(whole, dict):
        told.add(NAME, lines.of("panel"), "panel is not one table", "write [panel] and its keys under it")
        whole = {}
    if not isinstance(rows, list) or not all(isinstance(r, dict) for r in rows):
        told.add(NAME, lines.of("row"), "[row] stands alone", "write [[row]], once for each breaker")
        return None
    if len(rows) > MOST_ROWS:
        told.add(
            NAME, lines.of("row", MOST_ROWS), f"has {len(rows):,} rows; from here on they are not read", "split it"
        )
        rows = rows[:MOST_ROWS]
    about = _take("panel", 0, whole, WHOLE, lines, told)
    found: dict[str, PanelRow] = {}
    for index, table in enumerate(rows):
        one = _row(index, table, lines, told)
        if one.position in found:
            first = found[one.position].line
            problem = f"position {one.position} stands twice (first at line {first}); this row is not read"
            told.add(NAME, one.line, problem, 'give each breaker its own, as in "9a" and "9b" for halves')
        else:
            found[one.position] = one
    if not found:
        told.add(NAME, None, "holds no row, so the panel is not looked at", "write [[row]] for each breaker")
        return None
    return Panel(**about, rows=tuple(found.values()))


def _row(index: int, table: Mapping[str, Any], lines: Lines, told: Troubles) -> PanelRow:
    """One breaker; a value that cannot be used stays unknown, and the rest of the row is used."""
    own, written = dict[str, Any](), dict[str, str]()
    for key, value in table.items():
        name = CALLED.get(key.lower(), key)
        if name in own:
            told.add(NAME, lines.of("row", index, key), f"{key} and {written[name]} say the same", "take one out")
            continue
        own[name], written[name] = value, key
    plates = own.pop("nameplate", {})
    good = _take("row", index, own, ROW, lines, told, written)
    line = lines.of("row", index)
    if "position" not in good:
        if "position" not in own:
            told.add(NAME, line, "[[row]] has no position", "add position = 7, the number at the breaker", "rows")
        good["position"] = f"row {index + 1}"
    plate: dict[str, Any] = {}
    if not isinstance(plates, dict):
        at = lines.of("row", index, written["nameplate"])
        mend = 'write nameplate = { name = "condenser", mca_a = 26.2, mop_a = 45 }'
        told.add(NAME, at, f"{written['nameplate']} is not a table", mend, "unusable values")
    elif plates:
        plate = _take("row", index, plates, PLATE, lines, told)
    more = {k: v for k, v in good.items() if k not in OWN}
    return PanelRow(file=NAME, line=line, nameplate=plate, more=more, **{k: good[k] for k in OWN if k in good})


def _take(
    head: str,
    index: int,
    table: Mapping[str, Any],
    keys: Mapping[str, Take],
    lines: Lines,
    told: Troubles,
    written: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """The known keys that fit; every other one is named."""
    good: dict[str, Any] = {}
    for key, value in table.items():
        name = (written or {}).get(key, key)
        line = lines.of(head, index, name) or lines.of(head, index)
        if key not in keys:
            near = difflib.get_close_matches(key.lower(), [*keys, *CALLED], 1, 0.6)
            mend = f"did you mean {near[0]}?" if near else f"known are {', '.join(keys)}"
            told.add(NAME, line, f'unknown key "{plain(name)[:60]}"', mend, "unknown keys")
            continue
        try:
            good[key] = keys[key](value)
        except _Unfit as err:
            shown = f'"{plain(value)[:60]}"' if isinstance(value, str) else plain(str(value))[:60]
            told.add(NAME, line, f"{name} is {shown}, which cannot be used", f"write {err}", "unusable values")
    return good
