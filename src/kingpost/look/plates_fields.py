"""Fields of a plate out of its lettering: a label finds its value by place, a value is held against what can be.

The words are looking/plates.toml. A serial number is text: nothing is made of it.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import cache
from math import hypot
from typing import Any

from kingpost.trade.looking import table
from kingpost.visit.facts import Lettering

NUMBER = re.compile(r"\d{1,3}(?:[ ,]\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?")
SLIPS = str.maketrans("OQDILSBZ", "00011582")  # letters that a reader takes for digits
TWIN = re.compile(r"[OQILSBZ]")  # letters of a code that may be digits; nothing on a plate tells
MONTHS = "JAN FEB MAR APR MAY JUN JUL AUG SEP OCT NOV DEC".split()
SLIP, FUZZY, BELOW, FAR, TWINS, CROSS = 0.7, 0.93, 0.95, 0.8, 0.8, 0.6  # what each leaves of the sureness
ROW, BELOW_MOST, ASIDE = 0.6, 2.2, 2.5  # heights of a line: of one row, the next row, beginning alike
INNER = 5  # letters of a label that cuts a line where it stands in the middle
LONG = 3.0  # length to height of a line that shows which way rows run


@dataclass(frozen=True, slots=True)
class PlateField:
    """One value of a plate: number or text, how it stands there, how sure (0 to 1), and why it is doubted."""

    field: str
    name: str
    value: float | str
    unit: str
    raw: str
    sure: float
    quantity: str = ""
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class _Line:
    """A line with the middle of its box, which way it runs, how long and how high it is, px."""

    text: str
    norm: str
    sure: float
    x: float
    y: float
    run: tuple[float, float]
    length: float
    height: float

    def to(self, other: _Line) -> tuple[float, float]:
        """From this line's end to the other's start, and from its middle across to the other's: along the way that both
        run, because the rows of a plate seen aslant are not parallel."""
        w, v = max(1.0, self.length), max(1.0, other.length)
        rx, ry = self.run[0] * w + other.run[0] * v, self.run[1] * w + other.run[1] * v
        size = hypot(rx, ry) or 1.0
        dx, dy = other.x - self.x, other.y - self.y
        along = (dx * rx + dy * ry) / size
        return along - (self.length + other.length) / 2, (dy * rx - dx * ry) / size


def bare(text: str) -> str:
    """Upper case, letters and digits with single spaces.

    >>> bare("Min. Circuit Ampacity:")
    'MIN CIRCUIT AMPACITY'
    """
    return " ".join(re.sub(r"[^A-Z0-9]+", " ", text.upper()).split())


def _lines(lettering: Sequence[Lettering]) -> list[_Line]:
    out = []
    for o in (piece for one in lettering for piece in apart(one)):
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = o.corners
        along = ((bx - ax + cx - dx) / 2, (by - ay + cy - dy) / 2)
        length = hypot(*along) or 1.0
        height = (hypot(dx - ax, dy - ay) + hypot(cx - bx, cy - by)) / 2
        middle = ((ax + bx + cx + dx) / 4, (ay + by + cy + dy) / 4)
        run = (along[0] / length, along[1] / length)
        out.append(_Line(o.text, bare(o.text), o.sure, *middle, run, length, max(1.0, height)))
    return _smoothed(out)


def apart(one: Lettering) -> list[Lettering]:
    """A line that runs on into the label of the next value, as two or more; each with its share of the length.

    >>> box = ((0.0, 0.0), (200.0, 0.0), (200.0, 20.0), (0.0, 20.0))
    >>> [(o.text, round(o.corners[0][0])) for o in apart(Lettering("p", "QN-01-5B85 SERIAL NO", 0.9, box))]
    [('QN-01-5B85', 0), ('SERIAL NO', 110)]
    """
    at, cuts = 0, list[int]()
    for found in _inner().finditer(one.text.upper()):
        if found.start() > 0 and found.start() >= at:
            cuts.append(found.start())
        at = found.end()
    if not cuts:
        return [one]
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = one.corners
    out = []
    for start, end in itertools.pairwise([0, *cuts, len(one.text)]):
        p, q = start / len(one.text), end / len(one.text)
        corners = (
            (ax + (bx - ax) * p, ay + (by - ay) * p), (ax + (bx - ax) * q, ay + (by - ay) * q),
            (dx + (cx - dx) * q, dy + (cy - dy) * q), (dx + (cx - dx) * p, dy + (cy - dy) * p),
        )  # fmt: skip
        out.append(replace(one, text=one.text[start:end].strip(), corners=corners))
    return out


@cache
def _inner() -> re.Pattern[str]:
    """Labels that are long enough to be known in the middle of a line, the longest first."""
    data = table("plates.toml")
    names = {n for f in data["field"] for n in f["labels"]} | set(data["other"]["labels"])
    names -= {u for f in data["field"] for u in f.get("units", ())}  # "40 GALLONS" is a value
    long = sorted((n for n in names if len(n.replace(" ", "")) >= INNER), key=lambda n: (-len(n), n))
    return re.compile("|".join(rf"(?<![A-Z]){r'[^A-Z0-9]+'.join(map(re.escape, n.split()))}(?![A-Z])" for n in long))


def _smoothed(lines: list[_Line]) -> list[_Line]:
    """Each line with the way that rows run at its height, by all long lines: a short one says little of its own way."""
    long = [o for o in lines if o.length > LONG * o.height and abs(o.run[0]) > abs(o.run[1])]
    if len(long) < 2:
        return lines
    total = sum(o.length for o in long)
    y0 = sum(o.y * o.length for o in long) / total
    s0 = sum(o.run[1] / o.run[0] * o.length for o in long) / total
    spread = sum((o.y - y0) ** 2 * o.length for o in long) + (long[0].height ** 2) * total
    turn = sum((o.y - y0) * (o.run[1] / o.run[0] - s0) * o.length for o in long) / spread
    out = []
    for o in lines:
        slope = s0 + turn * (o.y - y0)
        size = hypot(1.0, slope)
        out.append(replace(o, run=(1.0 / size, slope / size)))
    return out


def component(lettering: Sequence[Lettering]) -> str:
    """What the plate is of, by its title; "" where it does not say."""
    said = " ".join(bare(o.text) for o in lettering)
    return next((str(of["component"]) for of in table("plates.toml")["of"] if any(w in said for w in of["words"])), "")


def fields(lettering: Sequence[Lettering]) -> tuple[PlateField, ...]:
    """Every field that has a label and a value, in the order of plates.toml."""
    data, lines = table("plates.toml"), _lines(lettering)
    labels = _labels(lines, data)
    found: dict[str, PlateField] = {}
    for spec, line, rest, like in labels:
        if spec is None:
            continue
        made = _best(spec, line, rest, like, lines, {id(x[1]) for x in labels if not x[2]})
        if made is not None and (spec["id"] not in found or made.sure > found[spec["id"]].sure):
            found[spec["id"]] = made
    order = [f["id"] for f in data["field"]]
    return tuple(_crossed(found)[i] for i in order if i in found)


_Label = tuple[Mapping[str, Any] | None, _Line, str, float]


def _labels(lines: Sequence[_Line], data: Mapping[str, Any]) -> list[_Label]:
    """Lines that begin with a label: its field (None: one that we don't use), what follows it, how alike it is."""
    names: list[tuple[str, Mapping[str, Any] | None]] = [(n, f) for f in data["field"] for n in f["labels"]]
    names += [(n, None) for n in data["other"]["labels"]]
    out: list[_Label] = []
    for line in lines:
        exact = max(
            (n for n in names if (line.norm + " ").startswith(n[0] + " ")), key=lambda n: len(n[0]), default=None
        )
        if exact is not None:
            out.append((exact[1], line, _after(line.text, exact[0]), 1.0))
            continue
        if len(line.norm) < 5 or sum(c.isdigit() for c in line.norm) > 2:
            continue
        ratio, best = max(((SequenceMatcher(None, line.norm, n[0]).ratio(), n) for n in names), key=lambda m: m[0])
        if ratio >= data["limits"]["name_like"]:
            out.append((best[1], line, "", FUZZY))
    return out


def _after(text: str, label: str) -> str:
    """What stands behind the label in the same line.

    >>> _after("Min. Circuit Ampacity: 18.6 A", "MIN CIRCUIT AMPACITY"), _after("VOLTS", "VOLTS")
    ('18.6 A', '')
    """
    want, seen = label.replace(" ", ""), ""
    for at, sign in enumerate(text):
        if seen == want:
            return text[at:].strip(" :.-=#()")
        seen += sign.upper() if sign.isalnum() else ""
    return ""


def _best(
    spec: Mapping[str, Any], label: _Line, rest: str, like: float, lines: Sequence[_Line], taken: set[int]
) -> PlateField | None:
    """The value that stands best to a label: behind it, to its right in the row, or below it."""
    tries: list[tuple[float, str, float]] = [(1.0, rest, label.sure)] if rest else []
    row = {id(o): label.to(o) for o in lines if o is not label}
    for line in (o for o in lines if o is not label and id(o) not in taken):
        gap, down = row[id(line)]
        size, sure = max(label.height, line.height), min(label.sure, line.sure)
        if abs(down) < ROW * size and gap > -0.5 * label.height:
            nearer = any(abs(d) < ROW * size and -0.5 * label.height < g < gap for g, d in row.values())
            tries.append((FAR if nearer else 1.0, line.text, sure))
        aside = abs(gap + label.length)  # from left end to left end
        if ROW * size <= down < BELOW_MOST * size and aside < ASIDE * size and not rest:
            tries.append((BELOW, line.text, sure))
    made = [f for place, text, sure in tries if (f := _value(spec, text, sure * place * like)) is not None]
    return max(made, key=lambda f: f.sure, default=None)


def _value(spec: Mapping[str, Any], text: str, sure: float) -> PlateField | None:
    """A text as the value of a field; None where it cannot be one."""
    quantity, unit = str(spec.get("quantity", "")), str(spec.get("unit", ""))
    value: float | str | None
    doubt = ""
    if spec["form"] == "text":
        value = text.strip(" :.-=#")
        if len(value) < 3 or not any(c.isdigit() for c in value):
            return None
        if spec["id"] == "serial" and TWIN.search(value.upper()) and re.search(r"[0-9]", value):
            sure, doubt = sure * TWINS, "letters in it may be digits"
    elif spec["form"] == "date":
        value, clear = _year(text, spec)
        sure *= 1.0 if clear else CROSS
        doubt = "" if clear else "the year is not written in full"
    else:
        value, slips = _numbers(text, spec)
        sure *= SLIP if slips else 1.0
        doubt = "letters were read as digits" if slips else ""
    if value is None:
        return None
    return PlateField(str(spec["id"]), str(spec["name"]), value, unit, text, round(sure, 4), quantity, doubt)


def _numbers(text: str, spec: Mapping[str, Any]) -> tuple[float | str | None, bool]:
    """The number, or the pair of voltages, of a text, and whether letters had to be taken for digits."""
    upper = text.upper().strip()
    for slips in (False, True):
        body = upper
        for unit in sorted(spec.get("units", ()), key=len, reverse=True):
            body = re.sub(rf"(?<![A-Z]){re.escape(unit)}(?![A-Z])\.?", " ", body)
        body = body.translate(SLIPS) if slips else body
        if spec["form"] == "pair":
            body = re.split(r"[~,;]| PH|HZ", body)[0]
            parts = [p for p in re.split(r"\s*[/\-]\s*", body.strip()) if p]
            if parts and all(p.isdigit() and int(p) in spec["allowed"] for p in parts) and len(parts) <= 2:
                return (float(parts[0]) if len(parts) == 1 else "/".join(parts)), slips
            continue
        found = NUMBER.fullmatch(body.strip(" .:~"))
        if found and _can_be(number := float(re.sub(r"[ ,]", "", found[0])), spec):
            return number, slips
    return None, False


def _can_be(number: float, spec: Mapping[str, Any]) -> bool:
    if "allowed" in spec:
        return number in spec["allowed"]
    return bool(spec["low"] <= number <= spec["high"])


def _year(text: str, spec: Mapping[str, Any]) -> tuple[float | None, bool]:
    """The year of a date, and whether it is written in full. Two digits are no year that a report may rest on."""
    upper = text.upper()
    years = [int(y) for y in re.findall(r"(?<!\d)(\d{4})(?!\d)", upper) if spec["low"] <= int(y) <= spec["high"]]
    rest = re.sub(r"[A-Z]{3,9}", lambda m: "" if m[0][:3] in MONTHS else m[0], upper)
    if len(set(years)) == 1 and re.fullmatch(r"[\d\s/.,\-]+", rest):
        return float(years[0]), True
    if found := re.fullmatch(r"\s*(?:\d{1,2}|[A-Z]{3,9})\s*[/\-. ]\s*(\d{2})\s*", upper):
        return float(2000 + int(found[1]) if int(found[1]) < 50 else 1900 + int(found[1])), False
    return None, False


def _crossed(found: dict[str, PlateField]) -> dict[str, PlateField]:
    """Values that do not fit each other are doubted, both of them."""

    def clash(less: str, more: str, why: str) -> None:
        a, b = found.get(less), found.get(more)
        if a and b and isinstance(a.value, float) and isinstance(b.value, float) and a.value > b.value:
            for f in (a, b):
                found[f.field] = replace(f, sure=round(f.sure * CROSS, 4), doubt=why)

    clash("minimum_circuit_ampacity", "maximum_overcurrent", "the circuit would be larger than its protection")
    clash("output_rate", "input_rate", "more would come out than goes in")
    return found
