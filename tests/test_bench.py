"""The large invented visit is what it says it is; a small one of the same making is read without trouble."""

from __future__ import annotations

from pathlib import Path

from bench import checks, large

from kingpost.visit import read


def test_a_small_large_visit_has_its_words_and_its_pictures(tmp_path: Path) -> None:
    visit = read(large.make(tmp_path / "visit", words=500, photos=3))
    assert sum(len(cue.text.split()) for walk in visit.walks for cue in walk.cues) == 500
    assert [photo.seconds for photo in visit.photos] == [30.0, 66.0, 102.0]
    assert {(photo.width, photo.height) for photo in visit.photos} == {large.SIZE}
    assert visit.trouble == ()


def test_the_invented_readings_reach_most_checks_and_decide_many() -> None:
    read = checks.readings()
    made = checks.checked(read)
    assert len({check.check for check in made}) > 100
    assert sum(check.verdict != "cannot_tell" for check in made) > len(made) / 2
