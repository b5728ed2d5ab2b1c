"""visit.toml as Facts. A value that cannot be used is a trouble and stays unknown; what we do not know is kept."""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Callable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

from kingpost.trade.reading import Lines

from .errors import Troubles, VisitError
from .facts import Alteration, Device, Facts
from .files import there
from .text import MOST_TOML_BYTES, plain, read_text

NAME = "visit.toml"
FIRST_YEAR, LAST_YEAR = 1500, 2200  # no house here is older, none is built later; anything else is a slip
Take = Callable[[Any], Any]


class _Unfit(ValueError):
    """The value does not fit; says what to write."""


def _text(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise _Unfit('words in quotes, as in "Alder Row"')
    return plain(str(value))


def _texts(value: Any) -> tuple[str, ...]:
    if isinstance(value, str):
        return (plain(value),)
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        raise _Unfit('a list of words, as in ["one", "two"]')
    return tuple(plain(v) for v in value)


def _year(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not FIRST_YEAR <= value <= LAST_YEAR:
        raise _Unfit("a year without quotes, as in 1964, or leave it out")
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise _Unfit("a number without quotes, as in 2.5")
    return float(value)


def _storeys(value: Any) -> float:
    number = _number(value)
    return int(number) if number == int(number) else number


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise _Unfit("true or false")
    return value


def _on(value: Any) -> bool:
    if isinstance(value, str) and value.lower() in ("on", "off"):
        return value.lower() == "on"
    if not isinstance(value, bool):
        raise _Unfit('"on" or "off"')
    return value


def moment(value: Any) -> datetime:
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(value.strip())
        except ValueError:
            raise _Unfit("a date and time, as in 2026-05-12T09:00:00-05:00") from None
    if not isinstance(value, datetime):
        raise _Unfit("a date and time, as in 2026-05-12T09:00:00-05:00")
    return value


def _weather(value: Any) -> Any:
    return _text(value) if isinstance(value, str) else _number(value)


LOCALES = ("en-US", "en-CA", "en-GB", "en-IE", "en-AU", "en-NZ")


def _locale(value: Any) -> str:
    known = next((one for one in LOCALES if str(value).strip().replace("_", "-").lower() == one.lower()), None)
    if known is None:
        raise _Unfit(f'one of {", ".join(LOCALES)}, as in "en-US"')
    return known


SECTION_FT = (  # feet; heights count from the main floor up
    *("width_ft", "ceiling_ft", "plate_ft", "ridge_ft", "overhang_ft", "floor_ft", "basement_ft", "crawl_ft"),
    *("ground_left_ft", "ground_right_ft", "porch_ft", "deck_ft", "garage_ft"),
)
SECTION_WORDS = (
    *("roof", "dormers", "chimney", "porch", "deck", "garage", "furnace", "water_heater", "panel", "condenser"),
)
TABLES: dict[str, dict[str, Take]] = {
    "house": {
        "name": _text, "built": _year, "form": _text, "storeys": _storeys, "foundation": _text,
        "jurisdiction": _text, "address": _text, "invented": _flag,
    },
    "visit": {
        "started": moment, "inspector": _text, "licence": _text, "client": _text, "present": _texts,
        "standards": _texts, "locale": _locale,
    },
    "weather": {"outdoor_f": _number, "humidity_percent": _number, "last_rain_h": _number, "wind": _weather},
    "section": {
        **dict.fromkeys(SECTION_FT, _number), **dict.fromkeys(SECTION_WORDS, _text), "slope": _number,
    },
    "scope": {"excluded": _texts},
    "utilities": {"electric": _on, "water": _on, "gas": _on},
    "pictures": {"look_for_papers": _flag},
}  # fmt: skip
LISTS: dict[str, dict[str, Take]] = {
    "alteration": {"what": _text, "year": _year},
    "device": {"name": _text, "clock_offset_s": _number},
    "walk": {"file": _text, "started": moment},  # when time 0 of one walk file is
    "photo": {"file": _text, "taken": moment},  # a time for a picture that has none
}
NEEDS = {"alteration": ("what",), "device": ("name",), "walk": ("file", "started"), "photo": ("file", "taken")}


def read(folder: Path, told: Troubles) -> Facts:
    """The facts of a visit. Raises VisitError where visit.toml is absent or broken."""
    before = len(told.all())
    path = folder / NAME
    if not there(path):
        told.add(
            NAME, None, "is not there", f"write one; `kingpost new {folder.name or 'DIR'}` makes one to start from"
        )
        raise VisitError(told.all())
    text = read_text(path, NAME, told, most=MOST_TOML_BYTES)
    if text is None:
        if len(told.all()) == before:
            told.add(NAME, None, "cannot be read", "check the file")
        raise VisitError(told.all())
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError) as err:
        told.add(NAME, *broken(text, err))
        raise VisitError(told.all()) from None
    return _facts(tables, Lines(text), told)


def broken(text: str, err: Exception) -> tuple[int | None, str, str]:
    """Line, problem and mend of a file that is no TOML."""
    if isinstance(err, RecursionError):
        return None, "is nested too deep", "write plain tables"
    where = re.search(r"line (\d+)", str(err))
    lines = text.splitlines()
    number = int(where[1]) if where else (len(lines) if "end of document" in str(err) else None)
    why = re.sub(r"\s*\(at [^)]*\)$", "", str(err))
    here = plain(lines[number - 1])[:60] if number and number <= len(lines) else ""
    what = f'"{here}" is not TOML ({why})' if here else f"is not TOML ({why})"
    return number, what, 'write key = value, with words in quotes, as in name = "Alder Row"'


def _facts(tables: Mapping[str, Any], lines: Lines, told: Troubles) -> Facts:
    more: dict[str, Any] = {}
    found: dict[str, dict[str, Any]] = {name: {} for name in TABLES}
    listed: dict[str, list[dict[str, Any]]] = {name: [] for name in LISTS}
    for name, table in tables.items():
        if name in TABLES and isinstance(table, dict):
            found[name], rest = _take(name, 0, table, TABLES[name], lines, told)
            if rest:
                more[name] = rest
        elif name in LISTS and isinstance(table, list) and all(isinstance(t, dict) for t in table):
            listed[name] = _entries(name, table, lines, told)
        else:
            _unknown_table(name, table, lines, told)
            more[name] = table
    if "house" not in tables:
        told.add(NAME, None, "has no [house], so nothing is known about the house", "add [house] with name and built")
    if found["pictures"]:
        more["pictures"] = found["pictures"] | more.get("pictures", {})
    for name in ("walk", "photo"):
        if listed[name]:
            more[name] = listed[name]
    house, visit = found["house"], found["visit"]
    return Facts(
        **house,
        **visit,
        weather=found["weather"],
        section=found["section"],
        utilities=found["utilities"],
        excluded=found["scope"].get("excluded", ()),
        alterations=tuple(Alteration(**a) for a in listed["alteration"]),
        devices=tuple(Device(**d) for d in listed["device"]),
        more=printable(more),
    )


def _take(
    name: str, index: int, table: Mapping[str, Any], keys: Mapping[str, Take], lines: Lines, told: Troubles
) -> tuple[dict[str, Any], dict[str, Any]]:
    """The known keys of one table that fit, and the unknown ones as they stand."""
    good: dict[str, Any] = {}
    rest: dict[str, Any] = {}
    for key, value in table.items():
        line = lines.of(name, index, key)
        if key not in keys:
            rest[key] = value
            _unknown_key(name, key, line, keys, told)
            continue
        try:
            good[key] = keys[key](value)
        except _Unfit as err:
            told.add(NAME, line, f"{key} is {_quoted(value)}, which cannot be used", f"write {err}", "unusable values")
    return good, rest


def _quoted(value: Any) -> str:
    words = value.isoformat() if isinstance(value, (date, datetime)) else plain(str(value))
    return f'"{words[:60]}"' if isinstance(value, str) else words[:60]


def _unknown_key(name: str, key: str, line: int | None, keys: Mapping[str, Take], told: Troubles) -> None:
    """Says so where an unknown key looks like a slip; what looks like nothing we know is kept without a word."""
    near = difflib.get_close_matches(key.lower(), keys, 1, 0.75)
    home = [
        (other, k) for other, theirs in TABLES.items() for k in difflib.get_close_matches(key.lower(), theirs, 1, 0.8)
    ]
    shown = plain(key)[:60]
    if near:
        told.add(NAME, line, f'unknown key "{shown}" in [{name}]', f"did you mean {near[0]}?", "unknown keys")
    elif home:
        told.add(
            NAME, line, f'"{shown}" stands in [{name}]', f"write {home[0][1]} under [{home[0][0]}]", "misplaced keys"
        )


def _unknown_table(name: str, table: Any, lines: Lines, told: Troubles) -> None:
    line = lines.of(name) or lines.of("", 0, name)
    if name in TABLES:
        told.add(NAME, line, f"{name} is not one table", f"write [{name}] and its keys under it")
    elif name in LISTS:
        told.add(NAME, line, f"[{name}] stands alone", f"write [[{name}]], once for each")
    elif not isinstance(table, (dict, list)) and (home := [t for t, keys in TABLES.items() if name in keys]):
        told.add(NAME, line, f'"{plain(name)}" stands before any table', f"write it under [{home[0]}]")
    elif near := difflib.get_close_matches(name.lower(), [*TABLES, *LISTS], 1, 0.75):
        told.add(NAME, line, f'unknown table "{plain(name)[:60]}"', f"did you mean {near[0]}?")


def _entries(name: str, tables: list[dict[str, Any]], lines: Lines, told: Troubles) -> list[dict[str, Any]]:
    """The entries of [[name]] that hold what they must."""
    out = []
    for index, table in enumerate(tables):
        good, _ = _take(name, index, table, LISTS[name], lines, told)
        missing = [key for key in NEEDS[name] if key not in good]
        if missing:
            line = lines.of(name, index)
            told.add(
                NAME, line, f"[[{name}]] has no usable {missing[0]}", f"add {missing[0]} = ...", "entries cut short"
            )
        else:
            out.append(good)
    return out


def printable(value: Any) -> Any:
    """What is kept unread, with its words made fit to print."""
    if isinstance(value, dict):
        return {plain(str(k)): printable(v) for k, v in value.items()}
    if isinstance(value, list):
        return [printable(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)  # JSON has no such number
    return plain(value) if isinstance(value, str) else value
