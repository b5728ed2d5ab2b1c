"""readings.csv as rows. A cell that cannot be used is named with its line; everything else is read."""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from .clocks import between, since_start
from .errors import Troubles
from .facts import Row
from .text import plain

COLUMNS = ("time", "place", "component", "quantity", "value", "unit", "uncertainty", "instrument", "note")
NEEDED = ("quantity", "value")
MOST_LINES = 50_000  # no visit has so many readings; noise does
LONGEST_NUMBER = 60  # signs
LONGEST_CELL_LINES = 20  # a quote that is not closed within so many lines was not meant to be one
NO_UNIT = {"", "-", "none", "yes_no", "text", "words"}  # units under which a word is a value

NUMBER = re.compile(r"^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$", re.ASCII)
_FRACTION = re.compile(r"^([+-]?)(?:(\d{1,6})[\s-]+)?(\d{1,6})\s*/\s*(\d{1,6})\s*\"?$", re.ASCII)
_CLOCK = re.compile(r"^(\d{1,3}):(\d\d)(?::(\d\d(?:\.\d{1,6})?))?$", re.ASCII)
_WIRE = re.compile(r"^[1-4]/0(?:\s*\|\s*[1-4](?:/0)?)*$")  # a size of wire, and no fraction
_LIKE_NUMBER = re.compile(r"^[\d\s.,/'\"<>~=±+\-]*\d[\d\s.,/'\"<>~=±+\-]*(?:[^\W\d]{1,3}|%)?$")


@dataclass(frozen=True, slots=True)
class _Head:
    """Where each column stands, and the columns that we do not know."""

    at: Mapping[str, int]
    strange: Mapping[int, str]
    width: int


def read(text: str, name: str, started: datetime | None, told: Troubles) -> tuple[Row, ...]:
    """The rows of a table of readings that can be used."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_LINES:
        told.add(name, MOST_LINES, f"has {len(lines):,} lines; those after this one are not read", "split the table")
        lines = lines[:MOST_LINES]
    first = next((i for i, line in enumerate(lines) if line.strip()), None)
    if first is None:
        told.add(name, None, "is empty", "write the column names in the first line: " + ",".join(COLUMNS))
        return ()
    delimiter = max(",;\t", key=lambda d: (lines[first].count(d), d == ","))
    records = _records(lines, first, delimiter, name, told)
    head = _head(next(records, (first + 1, []))[1], first + 1, name, told)
    if head is None:
        return ()
    rows = []
    for line, cells in records:
        if any(cell.strip() for cell in cells):
            row = _row(_fit(cells, head, line, name, told), line, name, started, told)
            if row is not None:
                rows.append(row)
    return tuple(rows)


def _records(
    lines: Sequence[str], first: int, delimiter: str, name: str, told: Troubles
) -> Iterator[tuple[int, list[str]]]:
    """Each record with the line it begins on. A quote left open costs one line, not the rest of the file."""
    at = first
    while at < len(lines):
        for length in range(1, LONGEST_CELL_LINES + 1):
            piece = "\n".join(lines[at : at + length])
            try:
                cells = next(csv.reader([piece], delimiter=delimiter, strict=True), [])
            except csv.Error as err:
                if "unexpected end of data" in str(err) and at + length < len(lines) and length < LONGEST_CELL_LINES:
                    continue
                why = "a quote is opened and not closed" if "unexpected end" in str(err) else f"({err})"
                told.add(
                    name, at + 1, f"cannot be read: {why}", "write inches as in; quotes stand in pairs", "bad quotes"
                )
                at += 1
                break
            yield at + 1, cells
            at += length
            break


def _head(cells: Sequence[str], line: int, name: str, told: Troubles) -> _Head | None:
    at: dict[str, int] = {}
    strange: dict[int, str] = {}
    for index, cell in enumerate(cells):
        column = plain(cell).lower()
        if column in at:
            told.add(name, line, f'column "{column}" stands twice', "take one out; the first is read")
        elif column in COLUMNS:
            at[column] = index
        elif column:
            strange[index] = column[:60]
            near = difflib.get_close_matches(column, COLUMNS, 1, 0.6)
            mend = f"did you mean {near[0]}?" if near else "its cells are kept in the note"
            told.add(name, line, f'unknown column "{column[:60]}"', mend, "unknown columns")
    missing = [column for column in NEEDED if column not in at]
    if missing:
        told.add(
            name,
            line,
            f"has no column {' and no column '.join(missing)}, so no row of it is read",
            "write the column names in the first line: " + ",".join(COLUMNS),
        )
        return None
    return _Head(at, strange, len(cells))


def _fit(cells: list[str], head: _Head, line: int, name: str, told: Troubles) -> dict[str, str]:
    """The cells by column. Too few are read as empty, too many as the rest of the note."""
    if len(cells) < head.width:
        told.add(
            name,
            line,
            f"has {len(cells)} cells where the first line has {head.width}; the missing ones are read as empty",
            "put a comma for each cell that is left empty",
            "too few cells",
        )
    out = {column: plain(cells[i]) for column, i in head.at.items() if i < len(cells)}
    extra = [
        f"{column}: {plain(cells[i])}" for i, column in head.strange.items() if i < len(cells) and cells[i].strip()
    ]
    if len(cells) > head.width:
        told.add(
            name,
            line,
            f"has {len(cells)} cells where the first line has {head.width}; what is over is kept in the note",
            "put quotes around a note that holds commas",
            "too many cells",
        )
        extra += [plain(cell) for cell in cells[head.width :] if cell.strip()]
    if extra:
        out["note"] = ", ".join(filter(None, [out.get("note", ""), *extra]))
    return out


def _row(cells: Mapping[str, str], line: int, name: str, started: datetime | None, told: Troubles) -> Row | None:
    quantity, raw, unit = cells.get("quantity", ""), cells.get("value", ""), cells.get("unit", "")
    if not quantity or not raw:
        what = "quantity" if not quantity else "value"
        told.add(name, line, f"has no {what}, so it is not read", f"write the {what}", f"no {what}")
        return None
    value = _value(raw, unit)
    if value is None:
        told.add(
            name, line, f'value "{raw[:60]}" is not a number', f"write {mend_number(raw)}", "values that are no numbers"
        )
        return None
    return Row(
        file=name,
        line=line,
        time=_time(cells.get("time", ""), line, name, started, told),
        place=cells.get("place", ""),
        component=cells.get("component", ""),
        quantity=quantity,
        value=value,
        unit=unit,
        uncertainty=_uncertainty(cells.get("uncertainty", ""), line, name, told),
        instrument=cells.get("instrument", ""),
        note=cells.get("note", ""),
    )


def _value(raw: str, unit: str) -> float | str | None:
    """A number; or the words themselves where no unit asks for a number; or None."""
    if NUMBER.match(raw) and abs(float(raw)) < float("inf"):
        return float(raw)
    if unit.lower() in NO_UNIT | {"awg"} and _WIRE.match(raw):
        return raw
    if unit.lower() in NO_UNIT and (len(raw) > LONGEST_NUMBER or not _LIKE_NUMBER.match(raw)):
        return raw
    return None


def mend_number(raw: str) -> str:
    """What to write for a value that is not a plain number.

    >>> mend_number("8 1/4"), mend_number("8,25"), mend_number("1,200"), mend_number("12 ft"), mend_number("about six")
    ('8.25', '8.25', '1200', '12, and ft under unit', 'it in digits, as in 8.25')
    """
    bare = raw[:LONGEST_NUMBER].strip().lstrip("~<>=± ").strip()
    if (found := _FRACTION.match(bare)) and int(found[4]):
        number = Fraction(int(found[2] or 0)) + Fraction(int(found[3]), int(found[4]))
        return f"{found[1].replace('+', '')}{float(number):.6g}"
    if re.match(r"^[+-]?\d{1,3}(,\d{3})+(\.\d+)?$", bare, re.ASCII):
        return bare.replace(",", "")
    if re.match(r"^[+-]?\d+,\d+$", bare, re.ASCII):
        return bare.replace(",", ".")
    if NUMBER.match(bare) and bare != raw:
        return f"{bare}, and the rest under note"
    if (found := re.match(r"^([+-]?\d+(?:\.\d+)?)\s*([^\W\d]{1,12}|%)$", bare)) is not None:
        return f"{found[1]}, and {found[2]} under unit"
    return "it in digits, as in 8.25"


def _uncertainty(raw: str, line: int, name: str, told: Troubles) -> float | None:
    if not raw:
        return None
    if NUMBER.match(raw) and 0 <= float(raw) < float("inf"):
        return float(raw)
    told.add(
        name,
        line,
        f'uncertainty "{raw[:60]}" is not a number; the instrument\'s default applies',
        f"write one standard uncertainty in the unit of the value, {mend_number(raw).replace('it in digits, ', '')}",
        "uncertainties that are no numbers",
    )
    return None


def _time(raw: str, line: int, name: str, started: datetime | None, told: Troubles) -> float | None:
    """Seconds since the visit started: from a date and time, a clock time, seconds, or h:mm:ss since the start."""
    if not raw:
        return None
    if NUMBER.match(raw):
        return float(raw) if abs(float(raw)) < float("inf") else None
    if clock := _CLOCK.match(raw):
        hours, minutes, rest = int(clock[1]), int(clock[2]), float(clock[3] or 0)
        return since_start(hours * 3600 + minutes * 60 + rest, started)
    try:
        moment = datetime.fromisoformat(raw)
    except ValueError:
        moment = None
    if moment is None or (isinstance(moment, date) and len(raw) <= len("2026-05-12")):
        mend = "write 2026-05-12T09:14:00-05:00, 09:14 or seconds since the start"
        told.add(
            name, line, f'time "{raw[:60]}" is not a time; the row is kept without it', mend, "times that are no times"
        )
        return None
    return between(started, moment)
