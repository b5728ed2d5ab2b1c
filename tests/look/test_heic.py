"""HEIC pixels through a helper process: a good picture comes back, a damaged one is an OSError and nothing worse."""

from __future__ import annotations

from pathlib import Path

import pytest

from kingpost.look import heic

HEIC = Path(__file__).parent.parent / "visit" / "computed-turned.heic"


def test_what_is_inside_counts_not_the_name(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(HEIC.read_bytes())
    assert heic.holds(path)
    path.write_bytes(b"\xff\xd8\xff")
    assert not heic.holds(path)


def test_a_picture_comes_back_as_shown_and_small_enough() -> None:
    picture = heic.opened(HEIC, 48)
    assert picture.size == (32, 48)
    assert not picture.getexif()


@pytest.mark.parametrize("content", [HEIC.read_bytes()[:-300], HEIC.read_bytes()[:500], b"not a picture", b""])
def test_a_damaged_picture_is_an_error_of_its_own(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.heic"
    path.write_bytes(content)
    with pytest.raises(OSError, match=r"a\.heic cannot be decoded"):
        heic.opened(path, 48)
