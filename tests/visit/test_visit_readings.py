"""readings.csv: what a spreadsheet, a hurry or a habit gets wrong is named by line, with the number to write."""

from __future__ import annotations

import csv
import io
import time
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kingpost.visit import read, readings
from kingpost.visit.errors import Troubles
from kingpost.visit.facts import Row
from tests.conftest import MakeVisit

HEAD = "time,place,component,quantity,value,unit,uncertainty,instrument,note\n"
NINE = datetime.fromisoformat("2026-05-12T09:00:00-05:00")


def rows(text: str) -> tuple[tuple[Row, ...], list[str]]:
    told = Troubles()
    found = readings.read(text, "readings.csv", NINE, told)
    return found, [str(t) for t in told.all()]


def test_a_row_in_full() -> None:
    found, told = rows(HEAD + '09:14:30,crawl space,sill,moisture_content,28,%,1.5,pins,"wet, soft"\n')
    assert found == (
        Row(
            "readings.csv",
            2,
            870.0,
            "crawl space",
            "sill",
            "moisture_content",
            28.0,
            "%",
            1.5,
            "pins",
            "wet, soft",
        ),
    )
    assert told == []


def test_columns_in_any_order_and_only_those_needed() -> None:
    assert rows("Value,Quantity\n8.25,riser\n")[0][0].value == 8.25


@pytest.mark.parametrize(
    ("at", "seconds"),
    [
        ("2026-05-12T09:14:00-05:00", 840.0),
        ("2026-05-12T14:14:00Z", 840.0),
        ("2026-05-12 09:14", 840.0),
        ("09:14", 840.0),
        ("0:14:00", 840.0),
        ("840", 840.0),
        ("", None),
    ],
)
def test_a_time_is_a_date_a_clock_a_stretch_or_seconds(at: str, seconds: float | None) -> None:
    found, told = rows(HEAD + f"{at},,,riser,8,in,,,\n")
    assert found[0].time == seconds
    assert told == []


VALUES = [
    ("8 1/4", "in", "8.25"),
    ("8-1/4", "in", "8.25"),
    ('3/4""', "in", "0.75"),
    ("8,25", "in", "8.25"),
    ("1,200", "ft", "1200"),
    ("12 ft", "", "12, and ft under unit"),
    ("28%", "", "28, and % under unit"),
    ("~28", "%", "28, and the rest under note"),
    (">= 28", "%", "28, and the rest under note"),
    ("twelve", "ft", "it in digits, as in 8.25"),
    ("nan", "ft", "it in digits, as in 8.25"),
    ("inf", "ft", "it in digits, as in 8.25"),
    ("1_000", "ft", "it in digits, as in 8.25"),
    ("１２", "ft", "it in digits, as in 8.25"),
    ("1e999", "ft", "it in digits, as in 8.25"),
    ("8 1/0", "in", "it in digits, as in 8.25"),
]


@pytest.mark.parametrize(("value", "unit", "mend"), VALUES)
def test_words_for_a_number_are_named_with_the_number_to_write(value: str, unit: str, mend: str) -> None:
    found, told = rows(HEAD + f'09:14,,,riser,"{value}",{unit},,,\n09:15,,,riser,7.5,in,,,\n')
    assert told == [f'readings.csv:2: value "{value.replace(chr(34) * 2, chr(34))}" is not a number; write {mend}']
    assert [row.value for row in found] == [7.5]


@pytest.mark.parametrize("value", ["yes", "aluminum", "A-frame", "NL-20K3"])
def test_a_word_is_a_value_where_no_unit_asks_for_a_number(value: str) -> None:
    found, told = rows(HEAD + f",,,wiring,{value},,,,\n")
    assert [row.value for row in found] == [value]
    assert told == []


LINES = {
    "too short": (
        "09:14,crawl,sill,riser,8\n",
        1,
        "2: has 5 cells where the first line has 9; the missing ones are read as empty",
    ),
    "too long": (
        "09:14,crawl,sill,riser,8,in,,tape,worn, loose\n",
        1,
        "2: has 10 cells where the first line has 9; what is over is kept in the note",
    ),
    "no value": (",,,riser,,in,,,\n", 0, "2: has no value, so it is not read; write the value"),
    "no quantity": (",,,,8,in,,,\n", 0, "2: has no quantity, so it is not read; write the quantity"),
    "bad time": ("soon,,,riser,8,in,,,\n", 1, '2: time "soon" is not a time; the row is kept without it'),
    "only a day": ("2026-05-12,,,riser,8,in,,,\n", 1, '2: time "2026-05-12" is not a time'),
    "bad uncertainty": (
        ",,,riser,8,in,a bit,,\n",
        1,
        '2: uncertainty "a bit" is not a number; the instrument\'s default applies',
    ),
    "open quote": (
        ',,,riser,8,in,,,"6 in\n,,,riser,7,in,,,\n',
        1,
        "2: cannot be read: a quote is opened and not closed",
    ),
    "a quote too many": (',,,riser,8,in,,,"a"b\n', 0, "2: cannot be read: (',' expected after '\"')"),
}


@pytest.mark.parametrize(("line", "kept", "said"), LINES.values(), ids=LINES)
def test_a_bad_line_is_named_and_the_rest_is_read(line: str, kept: int, said: str) -> None:
    found, told = rows(HEAD + line)
    assert len(found) == kept
    assert [t for t in told if t.startswith(f"readings.csv:{said}")], told


def test_what_stands_over_the_columns_or_in_unknown_ones_goes_to_the_note() -> None:
    found, told = rows("quantity,value,unit,note,colour\nriser,8,in,worn,red\nriser,7,in,worn,red,left,side\n")
    assert [row.note for row in found] == ["worn, colour: red", "worn, colour: red, left, side"]
    assert told[0] == 'readings.csv:1: unknown column "colour"; its cells are kept in the note'
    told = rows("quantity,value,units\nriser,8,in\n")[1]
    assert told == ['readings.csv:1: unknown column "units"; did you mean unit?']


def test_a_note_of_several_lines_is_one_row_and_lines_are_counted_on() -> None:
    found, told = rows(HEAD + ',,,riser,8,in,,,"one\ntwo"\n,,,riser,x7,in,,,\n')
    assert [(row.line, row.note) for row in found] == [(2, "one two")]
    assert told == ['readings.csv:4: value "x7" is not a number; write it in digits, as in 8.25']


def test_a_head_without_rows_is_no_trouble_and_without_columns_it_is() -> None:
    assert rows(HEAD) == ((), [])
    assert rows("\n \n")[1][0].startswith("readings.csv: is empty; write the column names in the first line: time,")
    assert rows("where,what\na,b\n")[1][-1].startswith("readings.csv:1: has no column quantity and no column value")


@pytest.mark.parametrize("between", [";", "\t"])
@pytest.mark.parametrize(("encoding", "end"), [("utf-8-sig", "\n"), ("utf-16", "\r\n"), ("utf-8", "\r")])
def test_tables_of_other_spreadsheets(make_visit: MakeVisit, between: str, encoding: str, end: str) -> None:
    text = (HEAD + ",,,riser,8.5,in,,,\n").replace(",", between).replace("\n", end)
    visit = read(make_visit({"readings.csv": text.encode(encoding)}))
    assert [row.value for row in visit.rows] == [8.5]
    assert visit.trouble == ()


NOISE = {"quotes": b'"\n', "digits": b"1", "commas": b",", "words": b"sill wet rot\n", "a cell": b"riser,"}


@pytest.mark.parametrize("piece", NOISE.values(), ids=NOISE)
def test_ten_megabytes_of_noise_take_bounded_time(make_visit: MakeVisit, piece: bytes) -> None:
    noise = b"quantity,value\nriser,8\n" + piece * (10_000_000 // len(piece))
    folder = make_visit({"readings.csv": noise, "decisions.jsonl": noise})
    began = time.monotonic()
    visit = read(folder)
    assert time.monotonic() - began < 30
    assert [row.value for row in visit.rows][:1] == [8.0]
    assert "decisions.jsonl" in {t.file for t in visit.trouble}


@given(st.text(max_size=300), st.booleans())
def test_any_table_is_survived(text: str, with_head: bool) -> None:
    found, _ = rows((HEAD if with_head else "") + text)
    assert all(row.quantity and row.value != "" for row in found)


@given(
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.text(st.characters(exclude_categories=("C", "Z")), max_size=20),
)
def test_what_a_table_writer_writes_is_read_back(value: float, note: str) -> None:
    out = io.StringIO()
    csv.writer(out).writerow(["", "", "", "riser", repr(value), "in", "", "", note])
    found, told = rows(HEAD + out.getvalue())
    assert (found[0].value, found[0].note) == (value, note)
    assert told == []
