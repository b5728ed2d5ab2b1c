"""Editions: a number, a day, and what changed, finding by finding; and the extracts that are cut from the report."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from kingpost.cli import main
from kingpost.tell import Issue, PencilLeft, changes, editions
from kingpost.tell.editions import EditionError
from kingpost.tell.extracts import ExtractError
from kingpost.tell.extracts.cut import by_id, unlinked
from kingpost.tell.record_json import shape
from kingpost.visit.record import Record

from .invented_house import house, inked, told

FIRST, SECOND = date(2026, 5, 14), date(2026, 5, 20)


def numbered(record: Record) -> Record:
    return replace(record, findings=tuple(replace(f, number=n) for n, f in enumerate(record.findings, 1)))


RECORD = numbered(inked(house(12, photos=False)))


def changed() -> Record:
    """The third finding is only recommended now, the sixth is withdrawn."""
    kept = [replace(f, standing="information") if n == 2 else f for n, f in enumerate(RECORD.findings) if n != 5]
    return numbered(replace(RECORD, findings=tuple(kept)))


def said(before: Record, after: Record) -> list[str]:
    return [f"{c.title}: {' '.join(c.words)}" for c in changes.changes(shape(before), shape(after))]


def test_the_same_record_has_no_changes() -> None:
    assert said(RECORD, RECORD) == []


def test_what_changed_is_told_finding_by_finding_in_words() -> None:
    lines = said(RECORD, changed())
    third, sixth = RECORD.findings[2], RECORD.findings[5]
    assert f"{third.title}: Its standing was “Deficiency”; it is “For your information”." in lines
    assert f"{sixth.title}: Withdrawn. It was finding 6." in lines
    assert "Numbers: Findings have other numbers: 7 to 12 are now 6 to 11." in lines
    assert len(lines) == 3
    back = said(changed(), RECORD)
    assert f"{sixth.title}: This finding is new." in back


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("title", "Another", "Its title was “"),
        ("when", "keep_an_eye_on", "Its time was “"),
        ("cost", {"low": 100, "high": 300, "currency": "USD", "basis": "memory"}, "Its cost was “not given”; it is “"),
        ("cautions", ("Keep off.",), "A caution is added: “Keep off.”"),
        ("evidence", ({"photo": "p1"},), "1 photograph more behind it."),
        ("place", "attic_of_nowhere", "Its place was “"),
        ("people", ("mason",), "Who does it: it was “"),
        ("readings", ("q9",), "The readings and checks behind it are not the same"),
    ],
)
def test_every_field_that_a_reader_sees_is_compared(field: str, value: object, words: str) -> None:
    first, *rest = RECORD.findings
    after = replace(RECORD, findings=(replace(first, **{field: value}), *rest))  # type: ignore[arg-type]
    assert any(words in line for line in said(RECORD, after)), said(RECORD, after)


def test_a_verdict_and_the_facts_of_the_visit_count_too() -> None:
    record = inked(house(40, photos=False))
    check = replace(record.checks[0], verdict="meets")
    lines = said(record, replace(record, checks=(check, *record.checks[1:])))
    assert any("Riser height: it was “falls short”; it is “meets”." in line for line in lines)
    moved = replace(record, visit=replace(record.visit, client="Nobody Known"))
    assert "The visit: The client was “Ines and Tobias Marrowby”; it is “Nobody Known”." in said(record, moved)


def test_an_edition_is_kept_once_and_the_same_bytes_come_again(tmp_path: Path) -> None:
    one = told(RECORD, tmp_path, pdf=False, issue=Issue(FIRST))
    first = (one.html, sorted(p.name for p in (tmp_path / "visit/editions").iterdir()))
    again = told(RECORD, tmp_path, pdf=False, issue=Issue(SECOND))
    assert (again.html, sorted(p.name for p in (tmp_path / "visit/editions").iterdir())) == first
    assert told(RECORD, tmp_path, pdf=False).html == one.html
    assert re.search(r"Edition 1 of ", one.html)


def test_a_re_issue_says_what_it_changed(tmp_path: Path) -> None:
    told(RECORD, tmp_path, pdf=False, issue=Issue(FIRST))
    draft = told(changed(), tmp_path, pdf=False)
    assert "Edition 2, not yet issued" in draft.html
    made = told(changed(), tmp_path, pdf=False, extracts=["agent"], issue=Issue(SECOND, "the mason looked again"))
    sheet = by_id(made.html, "section", "sheet-editions")
    assert "The mason looked again." in sheet
    assert "Withdrawn. It was finding 6." in sheet
    assert "The first edition." in sheet
    assert '<a href="#sheet-editions">' in made.html
    assert "Edition 2 of " in (made.out / "report-agent.html").read_text(encoding="utf-8")
    kept = editions.read(tmp_path / "visit")
    assert [(e.number, e.issued) for e in kept] == [(1, FIRST), (2, SECOND)]


def test_a_record_without_editions_shows_none(tmp_path: Path) -> None:
    assert "Edition" not in told(RECORD, tmp_path, pdf=False).html


def test_only_a_final_report_is_an_edition(tmp_path: Path) -> None:
    with pytest.raises(PencilLeft):
        told(house(3, photos=False), tmp_path, pdf=False, issue=Issue(FIRST))
    assert not (tmp_path / "visit/editions").exists()


@pytest.mark.parametrize(
    ("harm", "words"),
    [
        (lambda at: (at / "001/record.json").write_bytes(b"{}"), "is not what was delivered"),
        (lambda at: (at / "001/record.json").unlink(), "cannot be read"),
        (lambda at: (at / "001/edition.toml").write_text("number = 1\n"), "has no date as in issued = 2026-05-14"),
        (lambda at: (at / "001").rename(at / "003"), "is not edition 1, which comes next"),
        (lambda at: (at / "001/edition.toml").write_bytes(b"\xff\xfe"), "cannot be read"),
    ],
)
def test_a_damaged_edition_is_named_with_the_mend(tmp_path: Path, harm: object, words: str) -> None:
    told(RECORD, tmp_path, pdf=False, issue=Issue(FIRST))
    harm(tmp_path / "visit/editions")  # type: ignore[operator]
    with pytest.raises(EditionError, match=words) as found:
        told(RECORD, tmp_path, pdf=False)
    assert "put back the folder as it was delivered" in str(found.value)


def test_an_edition_is_not_dated_before_the_last(tmp_path: Path) -> None:
    told(RECORD, tmp_path, pdf=False, issue=Issue(SECOND))
    with pytest.raises(EditionError, match="lies before edition 1"):
        told(changed(), tmp_path, pdf=False, issue=Issue(FIRST))


# ---- extracts
def test_each_reader_gets_a_page_cut_from_the_report(tmp_path: Path) -> None:
    record = inked(house(24))
    made = told(record, tmp_path, pdf=False, extracts=["buyer", "agent", "trade:roofer", "inspector"])
    page = {p.stem: p.read_text(encoding="utf-8") for p in made.written.paths if p.suffix == ".html"}
    assert sorted(page) == ["report", "report-agent", "report-buyer", "report-inspector", "report-trade-roofer"]
    for words in ("What is wrong that matters", "Settle before closing"):
        assert words in page["report-buyer"]
    assert page["report-agent"].count("<tr id=") == 24
    roofer = page["report-trade-roofer"]
    mine = [f for f in record.findings if "roofer" in f.people]
    assert mine
    assert all(f.narrative.do.split(".")[0] in roofer.replace("<b>", "").replace("</b>", "") for f in mine)
    assert roofer.count("what do you find there") == sum(f.standing != "information" for f in mine)
    assert "walk/walk.vtt: “" in page["report-inspector"]
    assert "confidence 0.8" in page["report-inspector"]


def test_files_of_an_earlier_run_do_not_stay(tmp_path: Path) -> None:
    told(RECORD, tmp_path, pdf=False, extracts=["buyer", "trade:roofer"])
    made = told(RECORD, tmp_path, pdf=False, extracts=["agent"])
    assert sorted(p.name for p in made.out.iterdir()) == ["record.json", "report-agent.html", "report.html"]


@pytest.mark.parametrize(
    ("who", "words"),
    [
        ("seller", "is nobody; write buyer, agent, inspector, or trade:NAME"),
        ("trade:", "mends nothing in this report; write one of roofer"),
        ("trade:wizard", '"wizard" mends nothing in this report'),
    ],
)
def test_a_reader_that_there_is_not_is_named(tmp_path: Path, who: str, words: str) -> None:
    with pytest.raises(ExtractError, match=words):
        told(RECORD, tmp_path, pdf=False, extracts=[who])


def test_a_trade_may_be_named_as_the_report_names_it(tmp_path: Path) -> None:
    made = told(RECORD, tmp_path, pdf=False, extracts=["trade:Licensed Electrician"])
    assert (made.out / "report-trade-electrician.html").is_file()


def test_what_was_cut_off_is_no_link_any_more() -> None:
    page = '<b id="a"></b><a class="pp x" href="#z">w</a><svg><a href="#z" aria-label="Finding 1"><i></i></a></svg>'
    assert unlinked(page) == '<b id="a"></b><span class="x">w</span><svg><g><i></i></g></svg>'


def test_the_kept_record_is_the_record_that_was_delivered(tmp_path: Path) -> None:
    made = told(RECORD, tmp_path, pdf=False, issue=Issue(FIRST))
    kept = (tmp_path / "visit/editions/001/record.json").read_bytes()
    assert kept == (made.out / "record.json").read_bytes()
    assert json.loads(kept)["findings"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--issued", "2026-05-14"], "give --final with it"),
        (["--final", "--issued", "the other day"], "--issued the other day: is not a day; write it as 2026-05-14"),
        (["--why", "again"], "give --final --issued DATE with it"),
    ],
)
def test_the_command_refuses_an_edition_that_cannot_be(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    assert main(["report", str(tmp_path), "-o", str(tmp_path / "out"), *words]) == 2
    assert says in capsys.readouterr().err
