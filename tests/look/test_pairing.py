"""Pictures beside words by the clock."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kingpost.look import Moment, by_time
from kingpost.look.pairing import AFTER_S, BEFORE_S, EARLY
from kingpost.visit.facts import Photo


def shot(name: str, seconds: float | None) -> Photo:
    return Photo(name, f"photos/{name}.jpg", "", None, seconds, 4, 3)


CASES: dict[str, tuple[float | None, list[Moment], dict[str, tuple[str, ...]]]] = {
    "during": (5.0, [Moment("r1", 0, 9), Moment("r2", 10, 19)], {"r1": ("p",)}),
    "just after rather than just before": (10.0, [Moment("r1", 0, 8), Moment("r2", 11, 19)], {"r1": ("p",)}),
    "before, where nothing else is near": (10.0, [Moment("r2", 15, 19)], {"r2": ("p",)}),
    "long before": (0.0, [Moment("r2", BEFORE_S + 1, 99)], {}),
    "long after": (9 + AFTER_S + 1, [Moment("r1", 0, 9)], {}),
    "inside both": (5.0, [Moment("r1", 0, 9), Moment("r2", 4, 19)], {"r1": ("p",), "r2": ("p",)}),
    "no time": (None, [Moment("r1", 0, 9)], {}),
    "no words": (5.0, [], {}),
}


@pytest.mark.parametrize(("at", "moments", "expected"), CASES.values(), ids=CASES)
def test_a_picture_goes_to_the_words_it_lies_nearest_to(
    at: float | None, moments: list[Moment], expected: dict[str, tuple[str, ...]]
) -> None:
    assert by_time([shot("p", at)], moments) == expected


def test_the_nearest_picture_comes_first() -> None:
    assert by_time([shot("late", 20), shot("in", 5), shot("soon", 12)], [Moment("r1", 0, 9)]) == {
        "r1": ("in", "soon", "late")
    }


seconds = st.integers(-50, 400).map(float)
photos = st.lists(st.one_of(st.none(), seconds), max_size=12).map(
    lambda times: [shot(f"p{n}", at) for n, at in enumerate(times)]
)
moments = st.lists(st.tuples(seconds, st.integers(0, 40)), max_size=10).map(
    lambda spans: [Moment(f"r{n}", start, start + length) for n, (start, length) in enumerate(spans)]
)


@given(photos, moments, st.randoms(use_true_random=False))
def test_order_does_not_matter(shots: list[Photo], spans: list[Moment], rng: Any) -> None:
    paired = by_time(shots, spans)
    assert by_time(rng.sample(shots, len(shots)), rng.sample(spans, len(spans))) == paired
    assert list(paired) == sorted(paired)


@given(photos, moments)
def test_each_picture_has_its_nearest_words_within_bounds_and_only_ties_share(
    shots: list[Photo], spans: list[Moment]
) -> None:
    """Held against a plain statement of the rule."""

    def away(at: float, span: Moment) -> float | None:
        late, early = at - span.end, span.start - at
        if late > AFTER_S or early > BEFORE_S:
            return None
        return max(0.0, late, EARLY * early)

    paired = by_time(shots, spans)
    for photo in shots:
        has = {m for m, ids in paired.items() if photo.id in ids}
        near = {m.id: d for m in spans if photo.seconds is not None and (d := away(photo.seconds, m)) is not None}
        assert has == {m for m, d in near.items() if d == min(near.values())}
    assert all(len(set(ids)) == len(ids) for ids in paired.values())
