"""Filing held against a walk with truth: places, findings, clocks, doubts; and against statements of its rules."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import datetime
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from kingpost.look import filing_record
from kingpost.look.filing import Filing, file
from kingpost.look.filing_clocks import Shot, bursts, estimate
from kingpost.look.filing_words import Said, lag
from kingpost.look.quality import Seen, measure
from kingpost.visit.facts import Decision, Device, Photo
from kingpost.visit.record import Finding, Narrative, Remark

from .invented_walk import CAMERAS, Walk, make, picture


@cache
def walked(offsets: tuple[float, float] = (-3600.0, 40.0)) -> tuple[Walk, dict[str, Seen], Filing]:
    """A walk of 250 pictures, one camera an hour wrong, the other 40 s ahead, and its filing."""
    walk = make(seed=7, offsets=offsets)
    seen = {name: measure(picture(shot)) for name, shot in walk.truth.items()}
    return walk, seen, file(walk.photos, walk.said, seen, {})


def right(walk: Walk, filing: Filing) -> dict[str, tuple[bool, bool]]:
    """For each picture: is its place right, is its finding (or that it has none)?"""
    out = {}
    for name, shot in walk.truth.items():
        filed = filing.photos[name]
        found = shot.finding in filed.findings if shot.finding else not filed.findings
        out[name] = filed.place == shot.place, found
    return out


def test_places_and_findings_of_a_long_walk() -> None:
    walk, _, filing = walked()
    told = right(walk, filing)
    of_one = [found for name, (_, found) in told.items() if walk.truth[name].finding]
    assert len(told) == 250
    assert sum(place for place, _ in told.values()) / len(told) >= 0.95
    assert sum(of_one) / len(of_one) >= 0.8  # one hard walk; bench/photos.py measures ten


def test_clocks_come_out_within_three_seconds_and_within_what_they_claim() -> None:
    walk, _, filing = walked()
    for clock in filing.clocks:
        away = abs(clock.offset_s - walk.offsets[clock.device])
        assert clock.source == "estimated" and clock.uncertainty_s is not None
        assert away <= 3.0 and away <= 3 * clock.uncertainty_s
    hour = next(c for c in filing.clocks if c.device == CAMERAS[0])
    assert hour.says.startswith("wrong by an hour")


def test_the_doubts_hold_most_of_the_errors() -> None:
    walk, _, filing = walked()
    wrong = [name for name, told in right(walk, filing).items() if not all(told)]
    doubtful = {name for name, filed in filing.photos.items() if filed.doubts}
    assert wrong and len(doubtful & set(wrong)) > len(wrong) / 2
    assert len(doubtful) < len(walk.photos) / 2


def test_chances_mean_what_they_say() -> None:
    """Of the pictures filed with a chance of about p, a share of about p is right."""
    walk, _, filing = walked()
    told = right(walk, filing)
    for low, high in ((0.5, 0.8), (0.8, 1.01)):
        mine = [n for n, f in filing.photos.items() if f.probability is not None and low <= f.probability < high]
        said = sum(filing.photos[n].probability or 0.0 for n in mine) / len(mine)
        assert abs(sum(told[n][1] for n in mine) / len(mine) - said) < 0.12


def test_without_marks_it_files_by_time_and_words() -> None:
    walk, _, _ = walked()
    told = right(walk, file(walk.photos, walk.said, {}, {}))
    assert sum(place for place, _ in told.values()) / len(told) >= 0.95


def test_the_order_of_photos_and_remarks_does_not_matter() -> None:
    walk, seen, filing = walked()
    rng = random.Random(3)
    again = file(rng.sample(walk.photos, len(walk.photos)), rng.sample(walk.said, len(walk.said)), seen, {})
    assert again.photos == filing.photos and again.clocks == filing.clocks


def test_an_offset_that_is_given_wins_and_a_wrong_one_is_named() -> None:
    walk, seen, _ = walked()
    as_given = {CAMERAS[0]: 0.0, CAMERAS[1]: 40.0}
    photos = [replace(p, seconds=(p.seconds or 0.0) - as_given[p.device]) for p in walk.photos]
    clocks = {c.device: c for c in file(photos, walk.said, seen, as_given).clocks}
    assert {d: c.offset_s for d, c in clocks.items()} == as_given
    assert all(c.source == "given" for c in clocks.values())
    assert "check it" in clocks[CAMERAS[0]].says and "-36" in clocks[CAMERAS[0]].says
    assert "check it" not in clocks[CAMERAS[1]].says


@pytest.mark.parametrize("offset", [0.0, 7200.0, -18_000.0, 95.0])
def test_other_errors_of_a_clock_are_caught(offset: float) -> None:
    walk = make(seed=11, offsets=(0.0, offset))
    mine = [p for p in walk.photos if p.device == CAMERAS[1]]
    shots = [Shot(p.id, p.device, p.seconds or 0.0) for p in mine]
    (clock,) = estimate(shots, walk.said, {}).devices
    assert clock.offset_s == pytest.approx(offset, abs=4.0)


def test_few_pictures_tell_no_clock() -> None:
    shots = [Shot(f"p{n}", "a", 10.0 + 0.5 * n) for n in range(9)]  # one burst
    (clock,) = estimate(shots, [Said("r", 0, 5, "attic")], {}).devices
    assert clock.source == "not_estimated" and clock.offset_s == 0.0 and "too few" in clock.says
    assert bursts([s.at for s in shots]) == [9]


def test_the_density_of_a_picture_after_its_words_is_one() -> None:
    times = np.arange(-200, 2000, 0.05)
    for start, end in ((0.0, 3.0), (10.0, 60.0)):
        assert float(lag(times, start, end).sum() * 0.05) == pytest.approx(1.0, abs=0.005)


def test_a_picture_without_time_or_words_is_kept_and_said() -> None:
    photos = [Photo("p1", "photos/a.jpg", "", None, None, 4, 3), Photo("p2", "photos/b.jpg", "", None, 5.0, 4, 3)]
    filing = file(photos, [], {}, {})
    assert filing.doubtful == 2 and list(filing.photos) == ["p1", "p2"]
    assert "no time" in filing.photos["p1"].doubts[0] and "no words" in filing.photos["p2"].doubts[0]


def test_a_later_picture_mends_an_earlier_guess() -> None:
    """In the silence between two rooms time alone cannot tell; the look of the pictures of both rooms can."""
    said = [Said("r1", 0, 10, "kitchen"), Said("r2", 200, 210, "attic")]
    photos = [
        Photo(f"p{n}", f"photos/{n}.jpg", "", None, at, 4, 3, device="a")
        for n, at in enumerate((2, 4, 6, 8, 9, 150, 202, 204, 206, 208, 209))
    ]
    pale, dark = ((200, 128, 128) * 16, (1000,) + (0,) * 43), ((40, 120, 140) * 16, (0, 1000) + (0,) * 42)

    def marks(fifth: tuple[tuple[int, ...], tuple[int, ...]]) -> dict[str, Seen]:
        looks = [pale] * 5 + [fifth] + [dark] * 5
        return {f"p{n}": Seen(f"{n:016x}", f, t, 0.9, 100.0, 200.0, 0.0, 0.0) for n, (f, t) in enumerate(looks)}

    devices = {"a": 0.0}
    assert file(photos, said, marks(pale), devices).photos["p5"].place == "kitchen"
    assert file(photos, said, marks(dark), devices).photos["p5"].place == "attic"


FINDING = Finding("f1", "", "Rot at the sill", "", "sill", "crawl space", "deficiency", "this_year", (),
                  Narrative("", "", "", "", ""), evidence=({"remark": "r1"},))  # fmt: skip
SHOT = Photo("p1", "photos/a.jpg", "00", datetime(2026, 5, 12, 9, 0, 12), 12.0, 4, 3, device="Pocket 3")


def small() -> Filing:
    remarks = [Remark("r1", "walk/a.vtt", 5.0, 10.0, "look at this", "crawl space", "finding")]
    return filing_record.filed([SHOT], {}, remarks, [FINDING], {}, [Device("Pocket 3", 0.0)])


def decided(verb: str, **fields: object) -> tuple[Filing, list[str]]:
    d = Decision("d1", "p1", verb, "2026-05-12T18:00:00-05:00", fields, file="decisions.jsonl", line=3)
    filing, rest, odd = filing_record.decide(small(), [d], [FINDING])
    assert rest == []
    return filing, [str(t) for t in odd]


def test_the_inspector_decides_where_a_picture_belongs() -> None:
    assert small().photos["p1"].findings == ("f1",)
    for verb, fields, place, findings in (
        ("accept", {}, "crawl space", ("f1",)),
        ("move", {"place": "attic", "finding": ""}, "attic", ()),
        ("set_aside", {}, "crawl space", ()),
    ):
        filing, odd = decided(verb, **fields)
        one = filing.photos["p1"]
        assert (one.place, one.findings, one.probability, one.doubts, one.decided) == (place, findings, 1.0, (), verb)
        assert odd == []


def test_blur_is_applied_on_a_decision_and_never_by_itself() -> None:
    assert small().photos["p1"].blur == ()
    filing, odd = decided("blur", boxes=[[0.1, 0.2, 0.3, 0.4]])
    assert filing.photos["p1"].blur == ((0.1, 0.2, 0.3, 0.4),) and odd == []
    assert filing_record.reference(SHOT, filing, [FINDING], {}).blur == ((0.1, 0.2, 0.3, 0.4),)


@pytest.mark.parametrize("boxes", [None, "face", [[0.1, 0.2, 0.3]], [[0, 0, 2, 1]], [[0.1, 0.2, 0.3, True]]])
def test_a_decision_that_cannot_be_used_is_named(boxes: object) -> None:
    filing, odd = decided("blur", boxes=boxes)
    assert filing.photos["p1"].blur == () and odd[0].startswith("decisions.jsonl:3: blur has no boxes")


def test_a_move_to_what_is_no_finding_is_named() -> None:
    filing, odd = decided("move", finding="f9")
    assert filing.photos["p1"].findings == ("f1",) and 'move to "f9"' in odd[0]


def test_the_record_carries_the_corrected_time(tmp_path: Path) -> None:
    walk, _, filing = walked()
    photo = next(p for p in walk.photos if p.device == CAMERAS[1])
    stamped = replace(photo, taken=datetime(2026, 5, 12, 10, 0, 0))
    ref = filing_record.reference(stamped, filing, [], {})
    assert ref.seconds == pytest.approx(walk.truth[photo.id].at, abs=3.0)
    assert (
        ref.taken is not None
        and abs((datetime.fromisoformat(ref.taken) - datetime(2026, 5, 12, 9, 59, 20)).seconds) < 4
    )
