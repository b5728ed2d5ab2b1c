"""The folder as a whole: strangers named, links and rights survived, the same answer every time."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from kingpost.visit import VisitError, new, read
from tests.conftest import MakeVisit, jpeg


def test_a_good_visit_has_no_trouble_and_reads_the_same_twice(make_visit: MakeVisit) -> None:
    folder = make_visit({"photos/a.jpg": jpeg(), ".DS_Store": "x", "README.md": "notes", "photos/Thumbs.db": "x"})
    assert read(folder) == read(folder)
    assert read(folder).trouble == ()


STRANGERS = {
    "pictures/a.jpg": "pictures: is a folder that Kingpost does not know; nothing in it was read",
    "photo/a.jpg": "photo: is a folder that Kingpost does not know; nothing in it was read; did you mean photos?",
    "reading.csv": "reading.csv: is a file that Kingpost does not know; it was not read; did you mean readings.csv?",
    "grades.csv": "grades.csv: holds spot elevations, which this version does not read yet; leave it; nothing is lost",
    "photos/day2/a.jpg": "photos/day2: is a folder; nothing in it was read; put its files directly into photos/",
    "journal/a.txt": "journal/a.txt: is no journal; a journal is a .jsonl file, one JSON object a line",
}


@pytest.mark.parametrize(("name", "said"), STRANGERS.items())
def test_nothing_is_left_unread_in_silence(make_visit: MakeVisit, name: str, said: str) -> None:
    told = [str(t) for t in read(make_visit({name: b"abc"})).trouble]
    assert len(told) == 1
    assert told[0].startswith(said)


def test_an_earlier_report_inside_is_no_evidence(make_visit: MakeVisit) -> None:
    assert read(make_visit({"out/record.json": "{}", "out/report.html": "x"})).trouble == ()


def test_links_that_lead_nowhere_or_in_a_circle_are_named(make_visit: MakeVisit) -> None:
    folder = make_visit({})
    (folder / "walk/loop.vtt").symlink_to("loop.vtt")
    (folder / "photos").mkdir()
    (folder / "photos/gone.jpg").symlink_to("nothing.jpg")
    (folder / "photos/up").symlink_to("..")
    (folder / "readings.csv").symlink_to("readings.csv")
    (folder / "thermal").symlink_to("thermal")
    told = {t.file: t.problem for t in read(folder).trouble}
    assert told["walk/loop.vtt"].startswith("cannot be read (too many levels of symbolic links")
    assert told["photos/gone.jpg"] == "cannot be read (no such file or directory)"
    assert told["photos/up"] == "is a folder; nothing in it was read"
    assert told["readings.csv"].startswith("cannot be read (too many levels")
    assert told["thermal"] == "is not a folder"


def test_a_pipe_or_a_device_is_not_waited_for(make_visit: MakeVisit) -> None:
    folder = make_visit({})
    os.mkfifo(folder / "walk/pipe.vtt")
    (folder / "walk/zero.txt").symlink_to("/dev/zero")
    assert [str(t) for t in read(folder).trouble] == [
        "walk/pipe.vtt: is not an ordinary file; put a copy of the file itself there",
        "walk/zero.txt: is not an ordinary file; put a copy of the file itself there",
    ]


def test_a_file_nobody_may_read_is_named(make_visit: MakeVisit, monkeypatch: pytest.MonkeyPatch) -> None:
    """The right is refused by a stand-in: where tests run as root, the disk refuses nothing."""
    ordinary = Path.read_bytes

    def refuse(self: Path) -> bytes:
        if self.name == "shut.jpg":
            raise PermissionError(13, "Permission denied")
        return ordinary(self)

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert [str(t) for t in read(make_visit({"photos/shut.jpg": jpeg()})).trouble] == [
        "photos/shut.jpg: cannot be read (permission denied); check the file and who may read it"
    ]


def test_a_name_that_no_text_can_hold_is_named(make_visit: MakeVisit) -> None:
    folder = make_visit({"photos/good.jpg": jpeg()})
    for name in (b"caf\xe9.jpg", b"two\nlines.jpg"):
        (folder / "photos" / os.fsdecode(name)).write_bytes(jpeg(colour=(name[0], name[3], 9)))
    visit = read(folder)
    assert [str(t) for t in visit.trouble] == [
        r"photos/caf\udce9.jpg: its name holds signs that cannot be printed; give it another name",
        r"photos/two\nlines.jpg: its name holds signs that cannot be printed; give it another name",
    ]
    assert [p.file for p in visit.photos] == ["photos/good.jpg"]


def test_an_enormous_file_is_not_read(make_visit: MakeVisit) -> None:
    folder = make_visit({})
    with (folder / "walk/huge.txt").open("wb") as file:
        file.truncate(40 * 1024 * 1024)  # sparse: it takes no room on the disk
    assert [str(t) for t in read(folder).trouble] == ["walk/huge.txt: is larger than 32 MB; split it, or take it out"]


def test_every_fault_is_told_at_once(make_visit: MakeVisit) -> None:
    folder = make_visit({"walk/walk.vtt": "", "walk/x.m4a": b"x", "photos/a.jpg": b"x", "readings.csv": "a,b\n1,2\n"})
    with pytest.raises(VisitError) as told:
        read(folder)
    assert [t.file for t in told.value.troubles] == [
        "walk/x.m4a", "photos/a.jpg", "readings.csv", "readings.csv", "readings.csv", "visit"
    ]  # fmt: skip


def test_a_walk_alone_or_pictures_alone_or_readings_alone_are_a_visit(make_visit: MakeVisit) -> None:
    assert read(make_visit({})).walks
    folder = make_visit({"photos/a.jpg": jpeg(), "readings.csv": "quantity,value\nriser,8\n"})
    (folder / "walk/walk.vtt").unlink()
    assert read(folder).photos
    (folder / "photos/a.jpg").unlink()
    assert read(folder).rows


def test_a_new_folder_is_empty_readable_and_never_overwritten(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "visit"
    written = new(folder)
    assert sorted(p.name for p in folder.iterdir()) == ["photos", "readings.csv", "thermal", "visit.toml", "walk"]
    assert all(p.exists() for p in written)
    with pytest.raises(VisitError, match="already holds something; give the name of a new folder"):
        new(folder)
    with pytest.raises(VisitError, match=r"cannot be written \(not a directory\)"):
        new(folder / "visit.toml" / "inner")
    (folder / "walk/a.txt").write_text("The sill is wet.")
    visit = read(folder)
    assert visit.facts.name == "Name of the house"
    assert visit.trouble == ()


def test_every_line_of_the_new_visit_toml_is_good_when_uncommented(tmp_path: Path) -> None:
    import re

    folder = tmp_path / "visit"
    new(folder)
    text = (folder / "visit.toml").read_text()
    (folder / "visit.toml").write_text(re.sub(r"(?m)^# (?=\[|[a-z_]+ = )", "", text))
    (folder / "walk/second.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:02.000\none\n")
    (folder / "photos/scan-1.png").write_bytes(jpeg(""))
    visit = read(folder)
    assert [str(t) for t in visit.trouble] == []
    assert visit.facts.utilities == {"electric": True, "water": True, "gas": False}
    assert (visit.facts.weather["outdoor_f"], visit.facts.excluded) == (48, ("detached shed",))
    assert visit.photos[0].time_from == "given"
