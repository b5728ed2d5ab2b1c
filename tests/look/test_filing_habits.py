"""How late a person takes pictures, learned from the walk."""

from __future__ import annotations

import numpy as np
import pytest

from kingpost.look import filing_chain
from kingpost.look.filing import Filed, file
from kingpost.look.filing_habits import FIRST_S, STEP_S, Habits, learn
from kingpost.look.filing_words import Said
from kingpost.visit.facts import Photo

from .invented_walk import make


def test_a_lateness_that_pictures_show_is_learned_and_few_pictures_change_little() -> None:
    said = [Said(f"r{n}", 100.0 * n, 100.0 * n + 4, "attic") for n in range(80)]
    at = np.array([100.0 * n + 12 for n in range(80)])
    made = learn(at, said, np.eye(80))
    assert abs(FIRST_S + STEP_S * float(np.argmax(made.late)) - 12.0) <= STEP_S
    assert abs(float(made.late.sum()) * STEP_S - 1.0) < 1e-6
    assert made.share > 0.6
    assert learn(at[:2], said, np.eye(80)[:2]).share < 0.1


def test_without_pictures_of_words_the_usual_lateness_stays() -> None:
    assert learn(np.array([3.0]), [Said("r1", 0.0, 4.0, "attic")], np.zeros((1, 1))).share == 0.0


def test_what_is_learned_files_more_pictures_right(monkeypatch: pytest.MonkeyPatch) -> None:
    """A walk whose lateness was drawn with other numbers than ours, by time and words alone."""
    walk = make(203, offsets=(0.0, 0.0))

    def right() -> int:
        made = file(walk.photos, walk.said, {}, dict.fromkeys(walk.offsets, 0.0)).photos
        true = {n: (t.finding,) if t.finding else () for n, t in walk.truth.items()}
        return sum(
            set(want) <= set(made[n].findings) and bool(want) == bool(made[n].findings) for n, want in true.items()
        )

    learned = right()
    monkeypatch.setattr(filing_chain, "learn", lambda *_: Habits())
    assert learned > right()


def talked(*sentences: tuple[str, float, float, str], at: float) -> Filed:
    """One picture, taken `at`, beside sentences of (words, start, end, finding or "")."""
    said = [
        Said(f"r{n}", start, end, "attic", (f,) if f else (), "attic" if f else "", "finding" if f else "set_aside", w)
        for n, (w, start, end, f) in enumerate(sentences)
    ]
    photo = Photo("p", "photos/p.jpg", "p", None, at, 320, 240, 1, "camera", "exif")
    return file([photo], said, {}, {"camera": 0.0}).photos["p"]


def test_a_picture_of_words_in_one_breath_with_a_fault_is_of_the_fault() -> None:
    """Said: "Knee wall. One bay got nothing. Stud to stud, bare board." The fault is told in the last sentence only."""

    def made(pause: float) -> Filed:
        fault = 105.0 + pause
        words = ("Knee wall. One bay got nothing.", 100.0, 105.0, ""), ("Bare board.", fault, fault + 4, "f1")
        return talked(*words, at=104.0)

    one = made(0.0)
    assert one.findings == ("f1",) and (one.probability or 0) > 0.85 and not one.doubts
    apart = made(20.0)
    assert apart.findings == ()
    after = talked(
        ("Bare board.", 100.0, 102.0, "f1"), ("Nobody has looked here in years.", 102.0, 115.0, ""), at=113.0
    )
    assert after.findings == ("f1",)


def test_a_doubt_names_the_other_finding_and_not_none() -> None:
    two = ("No cricket behind the chimney.", 100.0, 106.0, "f1"), ("And no cap on it.", 106.0, 110.0, "f2")
    made = talked(*two, at=108.0)
    (doubt,) = made.doubts
    assert {"f1", "f2"} <= set(doubt.replace(",", "").split()) and "none" not in doubt
